"""The file of a day sheet, read into its rows."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.sheet_text import Row

_MOST_BYTES = 20_000_000


def rows_in(path: Path) -> list[Row]:
    """The rows of a sheet's file. CaskbookError for what cannot be read."""
    from caskbook.entry.sheet_text import rows_of_csv, rows_of_yaml
    from caskbook.ledger.atomic_write import read_bytes
    from caskbook.yaml.source import Source

    data = read_bytes(path, _MOST_BYTES)
    if len(data) > _MOST_BYTES:
        raise CaskbookError(f"{path}: too large for a day sheet")
    source = Source.from_bytes(str(path), data)
    if source.bad_bytes:
        raise CaskbookError(f"{path}: not UTF-8; save the sheet as CSV UTF-8")
    return rows_of_yaml(data, str(path)) if path.suffix in (".yaml", ".yml") else rows_of_csv(source.text, str(path))
