"""The foot of printed pages: whose they are, by which command they were made, when they were printed, and which of how many each is."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from caskbook.paper.letters import fitted
from caskbook.paper.shapes import Page, Words
from caskbook.render.console import safe

_SIZE, _LEAST, _SIDE = 2.2, 1.5, 10.0
_LINES = (7.6, 5.0)
"""mm: of the foot of a laid-out page the letters, how small they may get, the room left and right, and what its two lines stand above the lower end."""
_INDENT = "  "


@dataclass(frozen=True, slots=True)
class Imprint:
    """`house`: its name, None where house.yaml gives none; `command`: the command line as typed; `printed`: the clock's day in the house, whatever
    day is judged."""

    house: str | None
    command: str
    printed: date

    @property
    def said(self) -> str:
        """House and day of printing: "The Old Kiln · printed 2026-11-30"."""
        return safe(" · ".join([*([self.house] if self.house else []), f"printed {self.printed}"]))

    def lines(self, page: int, pages: int, wide: int) -> list[str]:
        """The foot of one page, in lines of at most `wide` signs that are all as wide: nothing of the command is left out."""
        first = f"{self.said} · page {page} of {pages}"
        return [line for text in (first, safe(self.command)) for line in textwrap.wrap(text, max(wide, 20), subsequent_indent=_INDENT, break_on_hyphens=False)]


def with_imprint(pages: Sequence[Page], imprint: Imprint) -> list[Page]:
    """The same pages with the foot below what is laid out on them, each line squeezed to the width of its page."""
    return [Page(page.width, page.height, [*page.shapes, *_foot(page, imprint, n, len(pages))]) for n, page in enumerate(pages, 1)]


def _foot(page: Page, imprint: Imprint, n: int, pages: int) -> list[Words]:
    told = (f"{imprint.said} · page {n} of {pages}", safe(imprint.command))
    return [fitted(_SIDE, page.height - above, page.width - 2 * _SIDE, _SIZE, text, least=_LEAST) for above, text in zip(_LINES, told, strict=True)]
