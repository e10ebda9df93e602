"""One row of a spreadsheet: texts, and what each of them is."""

from __future__ import annotations

from dataclasses import dataclass

TEXT, NUMBER, DAY, ERROR = "t", "n", "d", "e"
"""What a cell is: only a workbook tells a figure or a day from its text, and a fault of a formula from a value."""
OTHERWISE, MERGED, STRUCK, EARLY = "o", "m", "s", "y"
"""What no value can be taken from: shown otherwise than it is, merged over several cells, struck out, a day before spreadsheets agree on days."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number in the spreadsheet, its cells as texts without outer blanks, and a letter for what each is; "" where all are text;
    `hidden`: whether the spreadsheet does not show it."""

    number: int
    texts: tuple[str, ...]
    kinds: str = ""
    hidden: bool = False

    def kind(self, at: int) -> str:
        """TEXT, NUMBER, DAY, or another of these letters, of a cell that is there."""
        return self.kinds[at] if self.kinds else TEXT
