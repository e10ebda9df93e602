"""Every command that reads the book of a day, taken from the table of commands: what is added there is tried with the others."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from typing import Any

from caskbook.cli.typer_commands import COMMANDS, GROUPS

Words = tuple[str, ...]
# What a command must be given beside its options. A new one that must be given something has its line here.
_GIVEN: dict[Words, Words] = {("show",): ("TH-004217",), ("query",): ("SELECT cask, type, state FROM cask",)}
# They put the same cards, lists and tables into a folder, and have tests of their own.
_WRITES = {("book",), ("export",)}
# One cask, and the findings: these have tests of their own.
_APART = {("show",), ("check",)}


def _functions() -> Iterator[tuple[Words, Any]]:
    for name, function in COMMANDS.items():
        yield (name,), function
    for group, app in GROUPS.items():
        for command in app.registered_commands:
            function = command.callback
            assert function is not None
            yield (group, command.name or function.__name__.replace("_", "-")), function


def reading_commands() -> list[Words]:
    """The words of each command that works out a day of the book (it takes a day and a revision), in the form that it has unasked."""
    found = []
    for name, function in _functions():
        takes = inspect.signature(function).parameters
        if {"as_of", "at"} <= set(takes) and name not in _WRITES:
            must = [key for key, one in takes.items() if one.default is inspect.Parameter.empty]
            assert len(must) <= len(_GIVEN.get(name, ())), f"say in tests/reading_commands.py what {' '.join(name)} is given for {must}"
            found.append(name + _GIVEN.get(name, ()))
    return found


def of_the_whole_book() -> list[Words]:
    """Those of `reading_commands` that tell figures of all casks."""
    return [words for words in reading_commands() if words[:1] not in _APART]


def not_among(known: tuple[Words, ...], commands: list[Words]) -> tuple[Words, ...]:
    """The commands of which no line is among the known ones."""
    return tuple(words for words in commands if not any(line[: len(words)] == words or line[:1] == words[:1] and words[0] in COMMANDS for line in known))
