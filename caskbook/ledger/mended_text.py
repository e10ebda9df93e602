"""Lines of a landed file that no reader could take, as the later version has them: the one change of landed text that is lawful.

An entry that nobody could read cannot be voided, for a void would stand in a file that is refused. So a line on which a fault of the
text stands may be written well, sign for sign, and the marks of a merge and a key's second line may go. Every other line stays
under the law.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import SequenceMatcher

from caskbook.model.cask_file import Record, read_record

_TAG = re.compile(rb"(?<=[:,\[{-] )[&!][^\s,\]}]*(?= |$)")
_ALIAS = re.compile(rb"(?<=[:,\[{-] )\*[^\s,\]}]+")
_QUOTED = re.compile(rb"'[^']*'|\"[^\"]*\"")
_CONTROL = re.compile(rb"[\x00-\x08\x0b-\x1f\x7f]")
_NOT_ASCII = re.compile(rb"[\x80-\xff]+")
_BESIDE_SIGNS = re.compile(rb" *([:,{}\[\]]) *")
_END = re.compile(rb"[\]}]*$")
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
            again = after[at] if at < j2 and _says_the_same(before[n], after[at], wrong.get(n + 1, set())) else None
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


def _says_the_same(old: bytes, new: bytes, codes: set[str]) -> bool:
    """Whether a line says the same, sign for sign, written well.

    Free are spaces at signs and before the first word, quotes, closing brackets at the end, and what no reader takes: control signs,
    bytes that are no UTF-8, tags and anchors. An alias may become whatever it stood for. Nothing may come behind a sign for remarks.
    """
    if b"#" in _QUOTED.sub(b"", new) or (b"#" in new and b"#" not in old):
        return False
    now = _plain(new)
    for gap in (b"", b" "):
        parts = [_plain(_CONTROL.sub(gap, part)) for part in _ALIAS.split(_TAG.sub(b"", old))]
        if "not-utf8" in codes:
            parts, now = [_NOT_ASCII.sub(b"", part) for part in parts], _NOT_ASCII.sub(b"", now)
        first, last = parts[0], parts[-1]
        if len(parts) == 1 and _END.sub(b"", now) == _END.sub(b"", first):
            return True
        if len(parts) == 2 and len(now) >= len(first) + len(last) and now.startswith(first) and now.endswith(last):
            return True
    return False


def _plain(line: bytes) -> bytes:
    """A line without quotes, with one space where there are several, and none at the signs between words."""
    return _BESIDE_SIGNS.sub(rb"\1", b" ".join(line.replace(b"'", b"").replace(b'"', b"").split()))


def _faults(record: Record) -> int:
    return sum(one.severity == "error" for one in record.document.findings)


def _text(line: bytes) -> str:
    return line.decode("utf-8", "backslashreplace").rstrip("\r")
