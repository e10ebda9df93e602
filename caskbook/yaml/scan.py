"""A look at a file's raw characters before YAML is read: what no cask file may hold, and a text the parser can follow.

What is at fault is reported once and then covered with spaces of equal length, so it causes no second finding and every
place stays exact.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from caskbook.core.finding import Finding, Severity
from caskbook.yaml.source import REPLACEMENT, Source

# These are control characters, separators that only some readers take for a line's end, marks that reorder what is shown, and
# signs without a width that no word needs. Joiners and the marks of a direction (U+200C to U+200F, U+061C) stay: words have them.
_CONTROLS = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\u00ad\u180e\u200b\u2060-\u2064\ufeff\ufffe\uffff\ud800-\udfff"
CONTROL = re.compile(f"[{_CONTROLS}]|\r(?!\n)")
# It stands behind a word; a blank in its place would make a comment of what follows.
_BEFORE_COMMENT = re.compile(rf"(?<=[^ \n])(?:[{_CONTROLS}]|\r(?!\n))+(?=#)")
_UNUSUAL = re.compile(f"[{_CONTROLS}\t\r]|(?m:^(?:<<<<<<<|>>>>>>>|%))")
_CONFLICT = re.compile(r"(<{7,}|={7,}|>{7,}|\|{7,})(?: .*)?\r?")
MOST_OF_ONE_CODE = 200
_BOM = "\ufeff"


def shown(text: str, width: int = 30) -> str:
    """A found value as it may stand in a message: one line, no control characters, at most `width` characters."""
    clean = "".join(ch if ch.isprintable() else "?" for ch in text)
    return clean if len(clean) <= width else clean[: width - 1] + "…"


@dataclass
class Scan:
    """The raw faults of a file and what the parser reads instead of its text.

    `text` begins `skipped` characters behind the file's start; `opaque`: not a text at all; `uneven`: covering a fault
    may itself have broken the layout, so a fault of syntax is no news.
    """

    source: Source
    text: str
    findings: list[Finding] = field(default_factory=list)
    skipped: int = 0
    opaque: bool = False
    uneven: bool = False
    covers: list[tuple[int, int]] = field(default_factory=list)
    counts: Counter[str] = field(default_factory=Counter)

    def add(self, code: str, start: int, end: int, message: str, help: str = "", severity: Severity = "error") -> None:
        """A finding about the stretch between two offsets; of one code only the first MOST_OF_ONE_CODE are kept."""
        self.counts[code] += 1
        if self.counts[code] <= MOST_OF_ONE_CODE:
            span = self.source.span(start, end)
            self.findings.append(Finding(code, severity, message, self.source.path, span, help))


def scan(source: Source) -> Scan:
    """The raw faults of a file and a text of equal length without them."""
    seen = Scan(source, source.text)
    if not source.bad_bytes and not _UNUSUAL.search(source.text):
        return seen
    if _not_text(seen):
        return seen
    for step in (_bad_bytes, _byte_order_mark, _tabs, _controls, _returns, _directives, _conflicts):
        step(seen)
    seen.text = _covered(seen)
    return seen


def _covered(seen: Scan) -> str:
    text, parts, last = seen.text, [], seen.skipped
    for start, end in sorted(seen.covers):
        parts += [text[last:start], re.sub(r"[^\r\n]", " ", text[start:end])]
        last = end
    parts.append(text[last:])
    whole = "".join(parts).replace("\t", " ")
    whole = _BEFORE_COMMENT.sub(lambda found: REPLACEMENT * len(found.group()), whole)
    return CONTROL.sub(" ", whole)


def _not_text(seen: Scan) -> bool:
    nul = seen.text.find("\0")
    if seen.source.data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        seen.add("not-utf8", 0, 1, "UTF-16 text, expected UTF-8", "save the file again as UTF-8")
    elif nul >= 0:
        message = "NUL byte, expected a text in UTF-8"
        seen.add("control-character", nul, nul + 1, message, "restore the file from version control")
    else:
        return False
    seen.opaque = True
    return True


def _first_in_line(seen: Scan, offsets: Iterable[int]) -> Iterator[int]:
    last = 0
    for offset in offsets:
        line = seen.source.position(offset)[0]
        if line != last:
            yield offset
        last = line


def _bad_bytes(seen: Scan) -> None:
    values = dict(seen.source.bad_bytes)
    for offset in _first_in_line(seen, values):
        message = f"byte 0x{values[offset]:02x} is not UTF-8"
        seen.add("not-utf8", offset, offset + 1, message, "save the file again as UTF-8")


def _byte_order_mark(seen: Scan) -> None:
    if seen.text.startswith(_BOM):
        seen.skipped = 1
        help = "save the file as UTF-8 without a byte order mark"
        seen.add("byte-order-mark", 0, 1, "byte order mark before the first line", help)


def _tabs(seen: Scan) -> None:
    ends = {match.start(): match.end() for match in re.finditer(r"\t+", seen.text)}
    for offset in _first_in_line(seen, ends):
        line_start = offset - seen.source.position(offset)[1] + 1
        seen.uneven |= not seen.text[line_start:offset].strip(" -")
        seen.add("tab-in-file", offset, ends[offset], "tab, expected spaces", "replace the tab by spaces")


def _controls(seen: Scan) -> None:
    found = (match.start() for match in CONTROL.finditer(seen.text, seen.skipped))
    for offset in _first_in_line(seen, found):
        message = f"{character_name(seen.text[offset])}, expected printable text"
        seen.add("control-character", offset, offset + 1, message, "delete the character")
        seen.uneven |= seen.text[offset] == "\r"


def character_name(char: str) -> str:
    """A character that cannot be shown, by what it is and its number."""
    words = {"\r": "carriage return alone", "\x1b": "escape character", "\x85": "next line character"}
    return f"{words.get(char) or unicodedata.name(char, 'control character').lower()} (U+{ord(char):04X})"


def _returns(seen: Scan) -> None:
    first = seen.text.find("\r\n")
    if first < 0:
        return
    with_return, lines = seen.text.count("\r\n"), seen.text.count("\n")
    message = f"{with_return} of {lines} lines end in CRLF, expected LF"
    help = "convert the newlines in a commit of its own; until then they are kept as they are"
    seen.add("crlf-newlines", first, first + 1, message, help, "warning")


def _directives(seen: Scan) -> None:
    for line in range(1, seen.source.line_count + 1):
        start, end = seen.source.bounds(line)
        start += seen.skipped if line == 1 else 0
        text = seen.text[start:end].rstrip()
        if text.startswith("%"):
            message = f"YAML directive {shown(text.split()[0], 20)}, expected none"
            seen.add("yaml-directive", start, start + len(text), message, "delete the line")
            seen.covers.append((start, end))
        elif text and not text.lstrip().startswith("#"):
            return


def _conflicts(seen: Scan) -> None:
    """One finding for each conflict; the lines of our side stay for reading, the others are covered."""
    opened, side = 0, ""
    for line in range(1, seen.source.line_count + 1):
        start, end = seen.source.bounds(line)
        if not opened and seen.text[start : start + 1] not in ("<", ">"):
            continue
        match = _CONFLICT.fullmatch(seen.text[start:end].rstrip("\n"))
        mark = match.group(1)[0] if match else ""
        if not opened and mark in ("<", ">"):
            opened = line
        if opened and (mark or side in ("|", "=")):
            seen.covers.append((start, end))
        side = mark or side
        if opened and mark == ">":
            _conflict(seen, opened, line)
            opened, side = 0, ""
    if opened:
        _conflict(seen, opened, opened)


def _conflict(seen: Scan, first: int, last: int) -> None:
    seen.uneven = True
    message = f"merge conflict, lines {first} to {last}" if last > first else "merge conflict marker"
    end = seen.source.bounds(last)[0] + len(seen.source.line(last))
    help = "keep the events of both sides and delete the marker lines"
    seen.add("merge-conflict-marker", seen.source.bounds(first)[0], end, message, help)
