"""The shape of a rule of the check, as it stands in the tuple RULES at the end of its family's file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from caskbook.checks.context import View
from caskbook.core.finding import Fault, Severity


class Rule(NamedTuple):
    """One rule on a cask's file: its function, every code that it reports with the severity, and what it is asked on.

    `on`: jobs, or keys of `context.KEYS`, any one of which has to occur in the file; none: the rule is asked on every file. What a
    code means stands in the docstring of the function, or of one that it calls.
    """

    function: Callable[[View], Iterable[Fault]]
    codes: Mapping[str, Severity]
    on: tuple[str, ...] = ()

    def __call__(self, view: View) -> Iterator[Fault]:
        """What the rule finds in a file, each with the severity of its code; a code that the row does not state is a KeyError."""
        for fault in self.function(view):
            severity = self.codes[fault.code]
            yield fault if severity == fault.severity else replace(fault, severity=severity)

    def is_asked(self, things: frozenset[str]) -> bool:
        """Whether the rule may have something to say of a file in which these jobs and keys occur."""
        return not self.on or not things.isdisjoint(self.on)
