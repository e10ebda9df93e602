"""Data for other programs on standard output: the same bytes on every machine."""

from __future__ import annotations

import sys

from caskbook.cli.common import write


def write_data(text: str) -> None:
    """Print JSON, CSV or another text that a program reads: in UTF-8, whatever the machine's locale says, for with letters exchanged a
    value would be one that nobody entered, and JSON is UTF-8 (RFC 8259). A terminal gets it in its own encoding.
    """
    reconfigure = getattr(sys.stdout, "reconfigure", None)
    if reconfigure is not None and not sys.stdout.isatty():
        reconfigure(encoding="utf-8", errors="backslashreplace")
    write(text)
