"""Data for other programs on standard output: the same bytes on every machine."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator

from caskbook.cli.common import write

_AT_ONCE = 1 << 16


def write_data(text: str) -> None:
    """Print JSON, CSV or another text that a program reads: in UTF-8, whatever the machine's locale says, for with letters exchanged a
    value would be one that nobody entered, and JSON is UTF-8 (RFC 8259). A terminal gets it in its own encoding.
    """
    _in_utf8()
    write(text)


def write_data_pieces(pieces: Iterable[str]) -> None:
    """The same of what is too much to be held, in pieces that end their last line; the rest is not even made where nobody takes it any more."""
    _in_utf8()
    for lines in _lines_at_once(pieces):
        if not write(lines):
            return


def _in_utf8() -> None:
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None and not sys.stdout.isatty():
        reconfigure(encoding="utf-8", errors="backslashreplace")


def _lines_at_once(pieces: Iterable[str]) -> Iterator[str]:
    """Short pieces together, up to the end of a line: to write each by itself would take longer than to make it."""
    some, size = list[str](), 0
    for piece in pieces:
        some.append(piece)
        size += len(piece)
        if size > _AT_ONCE and "\n" in piece:
            lines, _, begun = "".join(some).rpartition("\n")
            yield lines + "\n"
            some, size = [begun], len(begun)
    yield "".join(some)
