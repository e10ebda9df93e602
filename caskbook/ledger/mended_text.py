"""Lines of a landed file that no reader could take, as the later version has them: the one change of landed text that is lawful.

An entry that nobody could read cannot be voided, for a void would stand in a file that is refused. So a line on which a fault of the
text stands may be written well, word for word, and the marks of a merge and a key's second line may go. Every other line stays
under the law.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import SequenceMatcher

from caskbook.model.cask_file import Record, read_record

_WORD = re.compile(rb"[-+]?[0-9A-Za-z_]+(?:[.+-][0-9A-Za-z_]+|,[0-9]+)*")
_NAME = re.compile(rb"(?<![^\s:,\[{-])[&!][^\s,\]}]*")
_ALIAS = re.compile(rb"(?<![^\s:,\[{-])\*[^\s,\]}]+")
_MARK = re.compile(rb"(?:<{7}|={7}|>{7}|\|{7})(?: |\r?$)")
_KEY = re.compile(rb" *[A-Za-z_]+:(?: [^\[{]*)?\r?$")


@dataclass(frozen=True, slots=True)
class MendedLine:
    """One line as it landed and as it reads now (None: it was taken out). `line` counts from 1, in the later text; where the line is
    gone, of the one that stands there now."""

    line: int
    old: str
    new: str | None


def with_mended_lines(old: Record, new: Record) -> tuple[Record, tuple[MendedLine, ...]]:
    """The earlier version with its unreadable lines as the later one has them, and these lines.

    The earlier version itself, and none, where it had no such line, or where writing them so leaves as many faults as there were.
    """
    wrong = _wrong_lines(old)
    if not wrong:
        return old, ()
    before, after = old.data.split(b"\n"), new.data.split(b"\n")
    kept: list[bytes] = []
    mended: list[MendedLine] = []
    for kind, i1, i2, j1, j2 in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        for n in range(i1, i2):
            at = j1 + n - i1
            again = after[at] if at < j2 and _says_the_same(before[n], after[at]) else None
            if kind == "equal" or n + 1 not in wrong or (again is None and not _may_go(before[n], wrong[n + 1])):
                kept.append(before[n])
                continue
            kept += [] if again is None else [again]
            mended.append(MendedLine(min(at, len(after) - 1) + 1, _text(before[n]), None if again is None else _text(again)))
    if not mended:
        return old, ()
    found = read_record(old.path, b"\n".join(kept))
    return (found, tuple(mended)) if _faults(found) < _faults(old) else (old, ())


def _wrong_lines(record: Record) -> dict[int, set[str]]:
    """The lines on which a fault of the text stands, with the codes of these faults."""
    found: dict[int, set[str]] = {}
    for one in record.document.findings:
        if one.severity == "error":
            for line in range(one.span.line, one.span.end_line + 1):
                found.setdefault(line, set()).add(one.code)
    return found


def _may_go(line: bytes, codes: set[str]) -> bool:
    """Whether a line may be taken out whole: a mark of a merge, or the second line of a key."""
    return bool(_MARK.match(line)) or (codes == {"duplicate-key"} and bool(_KEY.match(line)))


def _says_the_same(old: bytes, new: bytes) -> bool:
    """Whether a line says the same words, written well; an alias may become whatever it stood for."""
    parts = [_words(part) for part in _ALIAS.split(old)]
    words = _words(new)
    if len(parts) == 1:
        return words == parts[0]
    first, last = parts[0], parts[-1]
    return len(parts) == 2 and len(words) >= len(first) + len(last) and words[: len(first)] == first and words[len(words) - len(last) :] == last


def _words(text: bytes) -> list[bytes]:
    return _WORD.findall(_NAME.sub(b"", text))


def _faults(record: Record) -> int:
    return sum(one.severity == "error" for one in record.document.findings)


def _text(line: bytes) -> str:
    return line.decode("utf-8", "backslashreplace").rstrip("\r")
