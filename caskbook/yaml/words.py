"""A parser's complaint in plain words, at the place a person would put right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from caskbook.core.finding import Finding
from caskbook.yaml.scan import Scan, shown

if TYPE_CHECKING:
    from ruamel.yaml.error import MarkedYAMLError

_CONTEXT_FIRST = ("simple key", "quoted scalar", "flow mapping", "flow sequence")

# Each row has the parser's complaint, what is wrong, and what to do.
_WORDS = (
    (
        "too large to convert",
        "an escape in double quotes that names no character",
        "use single quotes, or double the backslash",
    ),
    (
        "chr() arg",
        "an escape in double quotes that names no character",
        "use single quotes, or double the backslash",
    ),
    (
        "could not find expected ':'",
        "no colon behind this word, expected `key: value`",
        "write a colon and a space behind the key",
    ),
    (
        "mapping values are not allowed",
        "a second `: ` in one line, or a wrong indent",
        "put quotes round the value, or line the keys up",
    ),
    ("unexpected end of stream", "a quote that is never closed", "close the quote at the end of its line"),
    (
        "unexpected document separator",
        "a quote that is never closed",
        "close the quote at the end of its line",
    ),
    (
        "expected ',' or",
        "a bracket that is never closed, or a missing comma",
        "close the bracket and put commas between the items",
    ),
    ("cannot start any token", "a value that begins with a reserved sign", "put quotes round the value"),
    (
        "unknown escape character",
        "a backslash in double quotes that means nothing",
        "use single quotes, or double the backslash",
    ),
    (
        "sequence entries are not allowed",
        "a dash where no list may begin",
        "line the dash up with the other dashes",
    ),
    (
        "expected <block end>",
        "a line that does not fit the lines above it",
        "line it up with them; look for an open quote above",
    ),
    ("found duplicate anchor", "an anchor given twice", "delete the anchors"),
)


FAULT_WORDS = {
    "date-impossible": ("date {} does not exist", "correct the date"),
    "time-of-day": ("time of day in {}, expected a date", "write the day alone, as 2015-03-12"),
    "not-a-number": ("{} is no figure, expected a number", "write the number, or leave the line out"),
    "number-too-large": ("number {} is too large to be meant", "correct the number"),
}


@dataclass(frozen=True)
class SyntaxFault:
    """The fault, the offset it is shown at, where the parser gave up, and whether the first is sure to be the cause."""

    finding: Finding
    offset: int
    gave_up: int


def syntax_fault(seen: Scan, error: MarkedYAMLError | None, at: int = 0, words: str = "") -> SyntaxFault:
    """A parser's complaint as a finding; without one, the complaint `words` at the offset `at`."""
    if error is None:
        return _fault(seen, at, at, words)
    problem, context = str(error.problem or error.context or ""), str(error.context or "")
    mark = error.problem_mark or error.context_mark
    gave_up = (mark.index if mark is not None else 0) + seen.skipped
    shown_at = gave_up
    if error.context_mark is not None and any(word in context for word in _CONTEXT_FIRST) and "escape" not in problem:
        shown_at = error.context_mark.index + seen.skipped
    if "unknown escape" in problem:
        shown_at -= 1  # The backslash is meant, not the letter behind it.
    return _fault(seen, shown_at, gave_up, problem)


def _fault(seen: Scan, offset: int, gave_up: int, problem: str) -> SyntaxFault:
    """The parser's complaint as a fault in plain words, at the line that a person would put right."""
    message, help = f"not YAML: {shown(problem, 60)}", "put the line right; quotes round the value often help"
    for words, plain, advice in _WORDS:
        if words in problem:
            message, help = plain, advice
            break
    line = seen.source.position(offset)[0]
    end = seen.source.bounds(line)[0] + len(seen.source.line(line)) if seen.source.line_count else offset
    span = seen.source.span(offset, max(offset + 1, end))
    return SyntaxFault(Finding("yaml-syntax", "error", message, seen.source.path, span, help), offset, gave_up)
