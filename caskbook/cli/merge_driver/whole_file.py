"""A file that is there whole or not at all."""

from __future__ import annotations

from pathlib import Path


def write_whole(path: Path, data: bytes) -> None:
    """Writes a file that is there as a whole or not at all."""
    temporary = path.with_name(path.name + ".tmp")
    temporary.write_bytes(data)
    temporary.replace(path)
