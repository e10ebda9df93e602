"""What a plan changes, as a unified diff."""

from __future__ import annotations

import difflib

from caskbook.yaml.source import Source

_NO_NEWLINE = "\\ No newline at end of file\n"


def unified(shown: str, old: bytes | None, new: bytes) -> str:
    """The diff of one file under the path as shown; `old` None for a file that is not there yet."""
    before = _lines(shown, old) if old is not None else []
    after = _lines(shown, new)
    name = "/dev/null" if old is None else f"a/{shown}"
    rows = difflib.unified_diff(before, after, name, f"b/{shown}", n=3)
    return "".join(row if row.endswith("\n") else f"{row}\n{_NO_NEWLINE}" for row in rows)


def _lines(shown: str, data: bytes) -> list[str]:
    """Lines end at a line feed and nowhere else."""
    text = Source.from_bytes(shown, data).text
    lines = [line + "\n" for line in text.split("\n")]
    last = lines.pop().removesuffix("\n")
    return [*lines, last] if last else lines
