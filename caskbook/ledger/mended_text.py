"""Lines of a landed file that no reader could take, as the later version has them: the one change of landed text that is lawful.

An entry that nobody could read cannot be voided, for a void would stand in a file that is refused. So a line on which a fault of the
text stands may be written well, sign for sign, and the marks of a merge and a key's second line may go. Every other line stays
under the law.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import SequenceMatcher

from caskbook.model.cask_file import Record, read_record
from caskbook.yaml.scan import CONTROL

_TAG = re.compile(r"(?<=[:,\[{-] )[&!][^\s,\]}]*(?= |$)")
_ALIAS = re.compile(r"(?<=[:,\[{-] )\*[^\s,\]}]+")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")
_QUOTE = re.compile(r"['\"]")
_REMARK = re.compile(r"(?:^|(?<=[ \t]))#.*")
_REMARK_SIGN = re.compile(r"(?:^|(?<=[ \t]))#")
_ESCAPE = re.compile(r"\\(\\|x[0-9A-Fa-f]{2}|u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|[0abefvNLP])")
_ESCAPED = {"0": 0, "a": 7, "b": 8, "e": 0x1B, "f": 0xC, "v": 0xB, "N": 0x85, "L": 0x2028, "P": 0x2029}
_NOT_ASCII = re.compile(r"[^\x00-\x7f]+")
_BLANKS = re.compile(r"[ \t]+")
_BESIDE_SIGNS = re.compile(r" *([:,{}\[\]]) *")
_END = re.compile(r"[\]}]*$")
_MARK = re.compile(r"(?:<{7}|={7}|>{7}|\|{7})(?: |\r?$)")
_KEY = re.compile(r" *[A-Za-z_]+:(?: [^\[{]*)?\r?$")


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
    before, after = (record.data.decode("utf-8", "surrogateescape").split("\n") for record in (old, new))
    pairs = list(_pairs(before, after, wrong))
    requoted = any(again is not None and _quotes(was) != _quotes(again) for _, was, again in pairs)
    kept: list[str] = []
    mended: list[MendedLine] = []
    for at, was, again in pairs:
        if again is was or (again is not None and requoted and _may_remark(again)):
            kept.append(was)
            continue
        kept += [] if again is None else [again]
        mended.append(MendedLine(min(at, len(after) - 1) + 1, _text(was), None if again is None else _text(again)))
    if not mended:
        return old, ()
    found = read_record(old.path, "\n".join(kept).encode("utf-8", "surrogateescape"))
    return (found, tuple(mended)) if _faults(found) < _faults(old) else (old, ())


def _pairs(before: list[str], after: list[str], wrong: dict[int, set[str]]) -> Iterator[tuple[int, str, str | None]]:
    """Each earlier line with its place in the later text, and as it is now: itself where it is no mended one, None where it may go."""
    for kind, i1, i2, j1, j2 in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        for n in range(i1, i2):
            at, was, codes = j1 + n - i1, before[n], wrong.get(n + 1)
            if kind == "equal" or codes is None:
                yield at, was, was
            elif at < j2 and _says_the_same(was, after[at], codes):
                yield at, was, after[at]
            else:
                yield at, was, None if _may_go(was, codes) else was


def _wrong_lines(record: Record) -> dict[int, set[str]]:
    """The lines on which a fault of the text stands, with the codes of these faults."""
    found: dict[int, set[str]] = {}
    for one in record.document.findings:
        if one.severity == "error":
            for line in range(one.span.line, one.span.end_line + 1):
                found.setdefault(line, set()).add(one.code)
    return found


def _may_go(line: str, codes: set[str]) -> bool:
    """Whether a line may be taken out whole: a mark of a merge, or the second line of a key."""
    return bool(_MARK.match(line)) or (codes == {"duplicate-key"} and bool(_KEY.match(line)))


def _says_the_same(old: str, new: str, codes: set[str]) -> bool:
    """Whether a line says the same, sign for sign, written well.

    Free are spaces at signs and before the first word, quotes, closing brackets at the end, and what no reader takes: hidden signs, also by
    an escape, bytes that are no UTF-8, tags and anchors. An alias may become whatever it stood for. A remark stays as it is, and nothing
    else may come behind its sign: with one, the quotes of the line stay too, for they say where it begins.
    """
    old, new = old.rstrip("\r"), new.rstrip("\r")
    if "control-character" in codes and '"' in old:
        old = _ESCAPE.sub(_without_hidden, old)
    was, now = (_may_remark(line) for line in (CONTROL.sub("", old), new))
    signs = len(_REMARK_SIGN.findall(CONTROL.sub("", old)))
    if signs != len(_REMARK_SIGN.findall(new)) or (now and _quotes(old) != _quotes(new)) or (was and not now and not _quotes(_masked(old)[: was.start()])):
        return False
    for gap in ("", " "):
        line = CONTROL.sub(gap, old)
        if len(_REMARK_SIGN.findall(line)) != signs:
            continue  # A blank in the place of a hidden sign would make a remark of what follows.
        cut = _may_remark(line) if now else None
        said, told = (_plain_remark(found, codes) for found in (cut, now))
        if said == told and _same_words(line[: cut.start()] if cut else line, new[: now.start()] if now else new, codes):
            return True
    return False


def _same_words(old: str, new: str, codes: set[str]) -> bool:
    parts, now = [_plain(part) for part in _ALIAS.split(_TAG.sub("", old))], _plain(new)
    if "not-utf8" in codes:
        parts, now = [_NOT_ASCII.sub("", part) for part in parts], _NOT_ASCII.sub("", now)
    first, last = parts[0], parts[-1]
    if len(parts) == 1:
        return _END.sub("", now) == _END.sub("", first)
    return len(parts) == 2 and len(now) >= len(first) + len(last) and now.startswith(first) and now.endswith(last)


def _without_hidden(escape: re.Match[str]) -> str:
    """An escape, or nothing where it stands for a sign that cannot be seen."""
    word = escape[1]
    if word == "\\":
        return escape[0]
    number = _ESCAPED[word] if word in _ESCAPED else int(word[1:], 16)
    return "" if number < 0x110000 and CONTROL.search(chr(number)) else escape[0]


def _masked(line: str) -> str:
    """A line with what stands between two quotes covered, sign by sign."""
    return _QUOTED.sub(lambda found: "x" * len(found[0]), line)


def _may_remark(line: str) -> re.Match[str] | None:
    """Where a remark may begin: not between two quotes."""
    return _REMARK.search(_masked(line))


def _plain_remark(found: re.Match[str] | None, codes: set[str]) -> str:
    text = _BLANKS.sub(" ", found.string[found.start() :]).strip() if found else ""
    return _NOT_ASCII.sub("", text) if "not-utf8" in codes else text


def _quotes(line: str) -> list[str]:
    return _QUOTE.findall(line)


def _plain(line: str) -> str:
    """A line without quotes, with one space where there are several, and none at the signs between words."""
    return _BESIDE_SIGNS.sub(r"\1", _BLANKS.sub(" ", _QUOTE.sub("", line)).strip(" "))


def _faults(record: Record) -> int:
    return sum(one.severity == "error" for one in record.document.findings)


def _text(line: str) -> str:
    return line.encode("utf-8", "surrogateescape").decode("utf-8", "backslashreplace").rstrip("\r")
