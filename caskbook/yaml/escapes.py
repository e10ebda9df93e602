"""Whether a word may stand in the text of a file, by its bytes: in double quotes any sign can be written as an escape, or a line parted by one."""

from __future__ import annotations

ESCAPE = b"\\"


def may_hold(data: bytes, *words: bytes) -> bool:
    """Whether one of these words may be among the values or keys of a YAML text; where signs are written as escapes, any may."""
    return ESCAPE in data or any(word in data for word in words)
