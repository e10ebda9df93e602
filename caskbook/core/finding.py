"""What a check can say: one frozen Finding, its severity and its order. A user's fault is a value, never an exception."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

Severity = Literal["error", "warning", "note"]
SEVERITIES: tuple[Severity, ...] = ("error", "warning", "note")


class CaskbookError(Exception):
    """A fault of the surroundings or of the call: printed as one line, exit code 2."""


class NotInBook(CaskbookError):  # noqa: N818 - named for what it is
    """What was named is not in this book, and nothing of the book is gone: another ledger may have it."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a file's text: lines and columns count from 1, in characters; the end column is exclusive."""

    line: int
    column: int
    end_line: int
    end_column: int


START = Span(1, 1, 1, 1)


@dataclass(frozen=True, slots=True)
class Origin:
    """The commit that altered something: its full name, its author, the days (ISO) it was written and committed; and the later
    commit that put it back, if one did."""

    commit: str
    author: str
    day: str
    committed_on: str
    put_back: str | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault at one place. `message` is one line: the value found and what was expected; `help` starts with a verb. `day`: of a warning about
    an entry the entry's, on which the house says how grave it is; None where it is about none, or nobody can read the day."""

    code: str
    severity: Severity
    message: str
    path: str
    span: Span = START
    help: str = ""
    cask: str | None = None
    related: tuple[str, ...] = ()
    origin: Origin | None = None
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Fault:
    """A finding that does not know its place yet: `where` is the path in the file's data, `on_key` points at the key itself."""

    code: str
    severity: Severity
    message: str
    where: tuple[str | int, ...]
    help: str = ""
    on_key: bool = False
    related: tuple[str, ...] = ()

    def placed(self, path: str, span: Span, cask: str | None, day: date | None = None) -> Finding:
        """The finding at its place."""
        return Finding(self.code, self.severity, self.message, path, span, self.help, cask, self.related, None, day)


def in_file_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by path, then place, then code: each once."""
    unique = dict.fromkeys(findings)
    return sorted(unique, key=lambda f: (f.path, f.span.line, f.span.column, f.code, f.message))
