"""What the teller of one cask's life has in hand: its file, its chance, how it stands, and the block's donors of staves."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from caskbook.demo.dice import Dice
from caskbook.demo.house import STORES, Calendar, Climate
from caskbook.demo.liquor import Liquor
from caskbook.demo.page import Page, day_of
from caskbook.demo.parcels import Plan

WINE_TYPES = ("butt", "puncheon", "port-pipe", "barrique")


@dataclass(slots=True)
class Donor:
    """A cask broken up: staves that are left of it, and since when."""

    number: str
    day: int
    type: str
    staves: int


@dataclass(slots=True)
class Block:
    """What the casks of one block share. `leakers`: share of casks to be planted as leakers; `planted`: (cask, fill) so far."""

    calendar: Calendar
    leakers: float
    donors: list[Donor] = field(default_factory=list)
    planted: list[tuple[str, str]] = field(default_factory=list)

    def stave_source(self, kind: str, day: int, staves: int, dice: Dice) -> str:
        """Where replaced staves come from: a donor of the same type if there is one on that day, else new wood."""
        if dice.chance(0.75):
            for donor in self.donors:
                if donor.day <= day and donor.type == kind and donor.staves >= staves:
                    donor.staves -= staves
                    return donor.number
        return "unknown" if dice.chance(0.03) else "new"


@dataclass(slots=True)
class Finding:
    """A defect to be mended, as an examination lists it."""

    at: str
    defect: str
    severity: int

    def written(self) -> dict[str, Any]:
        """As it stands in the file."""
        return {"at": self.at, "defect": self.defect, "severity": self.severity}


@dataclass(slots=True)
class Story:
    """One cask as it stands while its life is told. Counts are those the house knows; `since_char` counts prior fills too."""

    page: Page
    plan: Plan
    dice: Dice
    block: Block
    climate: Climate = STORES[2]
    berth: str = ""
    wine: bool = False
    grain: bool = False
    since_char: int = 0
    rechars: int = 0
    life_fills: int = 0
    fills: int = 0
    liquor: Liquor | None = None
    fill_id: str = ""
    waiting: list[Finding] = field(default_factory=list)
    spent: bool = False
    unproved: bool = False
    day: int = 0
    worn: float = 1.0

    @property
    def type(self) -> str:
        """The word for its type."""
        return str(self.page.head["type"])

    @property
    def capacity(self) -> int:
        """Nominal litres."""
        return int(self.page.head["capacity_l"])

    @property
    def staves(self) -> int:
        """How many staves it has."""
        return int(self.page.head["staves"])

    def add(self, day: int, job: str, **fields: Any) -> str:
        """An entry; the story's day moves on to it."""
        self.day = day
        return self.page.add(day, job, **fields)

    def add_late(self, day: int, entered: int, job: str, **fields: Any) -> str:
        """An entry of this day that is written later."""
        self.day = day
        return self.page.add_late(day, entered, job, **fields)

    def after(self, low: int, high: int) -> int:
        """A day so many days after the last entry; no work on Sundays."""
        day = self.day + self.dice.whole(low, high)
        return day + 1 if day % 7 == 0 and day > self.day else day

    def lead(self, day: int) -> str:
        """Who signs on a day."""
        return self.block.calendar.lead_on(day)

    def settle(self) -> str:
        """A berth in a store, which the cask keeps until it is moved."""
        dice = self.dice
        store = dice.weigh(_SHARES)
        self.climate = store
        self.berth = f"{store.prefix}/{dice.whole(1, store.rows):02d}/{dice.whole(1, 40):02d}/{dice.whole(1, 4)}"
        return self.berth


_SHARES = tuple(zip(STORES, (0.22, 0.2, 0.27, 0.23, 0.08), strict=True))


def month_of(day: int) -> int:
    """The month, 1 to 12."""
    return day_of(day).month
