"""Which casks a sheet is about, whatever else stands in it: a day sheet, a table saved as CSV, or what `list --format csv` wrote."""

from __future__ import annotations

import csv

from caskbook.core.finding import CaskbookError
from caskbook.entry.sheet_text import Row, rows_of_csv, rows_of_yaml

_YAML = (".yaml", ".yml")


def cask_words(text: str, path: str) -> list[list[str]] | None:
    """The words that name casks, row by row; None for a text that is no sheet, as `rows_naming_casks` has it."""
    rows = rows_naming_casks(text, path)
    return None if rows is None else [row.cells["cask"].replace(",", " ").split() for row in rows]


def rows_naming_casks(text: str, path: str) -> list[Row] | None:
    """The rows with a cask; None for a text that is no sheet: no YAML by its name, and without several headings of which one is `cask`.

    CaskbookError for a sheet that cannot be read whole.
    """
    if not path.endswith(_YAML) and not _is_headed(text):
        return None
    rows = rows_of_yaml(text.encode(), path) if path.endswith(_YAML) else rows_of_csv(text, path)
    found = [row for row in rows if "cask" in row.cells]
    if not found:
        raise CaskbookError(f"{path}: no row names a cask")
    return found


def _is_headed(text: str) -> bool:
    first = text.lstrip("\ufeff").split("\n", 1)[0]
    cells = next(csv.reader([first], delimiter=max(",;\t", key=first.count)), [])
    return len(cells) > 1 and "cask" in (cell.strip().casefold() for cell in cells)
