"""What casks the house takes in: kinds in believable shares, parcels good and bad, and the head of each file."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from caskbook.demo.dice import Dice
from caskbook.demo.house import MAKERS
from caskbook.demo.page import day_of


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of cask on the market: what it is, what it held (None: nobody knows; (): virgin), who sells it, how many."""

    type: str
    litres: int
    wood: str
    prior: tuple[tuple[str, int | None], ...] | None
    supplier: str | None
    maker: str | None
    staves: tuple[int, int]
    pieces: tuple[int, int]
    hoops: int
    parcel: tuple[int, int]
    made_before: tuple[int, int]
    charred: str = "made"


_AMERICAN, _EUROPEAN = "american-white-oak", "european-oak"
KINDS: tuple[tuple[Kind, float], ...] = (
    (Kind("barrel", 200, _AMERICAN, (("bourbon", 1),), "northquay", MAKERS[0], (29, 33), (5, 6), 6, (40, 120), (4, 8)), 0.40),
    (Kind("barrel", 200, _AMERICAN, (("bourbon", 1),), "ashgarth", MAKERS[1], (28, 33), (5, 6), 6, (30, 90), (4, 9)), 0.13),
    (Kind("barrel", 200, _AMERICAN, (("bourbon", 1), ("malt", 3)), "ashgarth", MAKERS[1], (28, 33), (5, 6), 6, (20, 60), (24, 40)), 0.05),
    (Kind("barrel", 200, _AMERICAN, (), "tollerby", MAKERS[3], (30, 32), (5, 5), 6, (20, 50), (0, 0)), 0.04),
    (Kind("barrel", 200, _AMERICAN, (("bourbon", None),), "ashgarth", MAKERS[2], (28, 33), (5, 6), 6, (10, 40), (6, 20), "unknown"), 0.03),
    (Kind("hogshead", 250, _AMERICAN, (("bourbon", 1), ("malt", 2)), "ashgarth", MAKERS[1], (32, 38), (6, 7), 8, (20, 60), (15, 30)), 0.12),
    (Kind("hogshead", 250, "mixed", None, None, None, (32, 38), (6, 7), 8, (10, 40), (15, 40), "unknown"), 0.04),
    (Kind("butt", 500, _EUROPEAN, (("oloroso", 1),), "velo-negro", MAKERS[4], (40, 48), (7, 8), 8, (8, 30), (3, 8), "never"), 0.055),
    (Kind("butt", 500, _AMERICAN, (("fino", None),), "velo-negro", MAKERS[4], (40, 48), (7, 8), 8, (8, 24), (6, 20), "never"), 0.025),
    (Kind("port-pipe", 550, _EUROPEAN, (("port", 2),), "quinta-pedrinal", MAKERS[5], (42, 50), (7, 8), 8, (6, 16), (8, 20), "never"), 0.025),
    (Kind("quarter-cask", 125, _AMERICAN, (("bourbon", 1),), "tollerby", MAKERS[3], (24, 28), (4, 5), 6, (10, 40), (3, 6)), 0.045),
    (Kind("barrique", 225, _EUROPEAN, (("wine", 3),), "quinta-pedrinal", MAKERS[5], (28, 32), (5, 6), 8, (10, 40), (4, 8), "never"), 0.03),
    (Kind("puncheon", 500, _AMERICAN, (), "tollerby", MAKERS[3], (40, 46), (7, 8), 8, (6, 16), (0, 0)), 0.01),
)  # fmt: skip
_DRAWS = tuple((kind, share / (kind.parcel[0] + kind.parcel[1])) for kind, share in KINDS)
"""Shares are of casks; large parcels are drawn less often for theirs."""
SHOWN_FIRST = tuple(KINDS[n][0] for n in (0, 7, 2, 5, 10, 1, 9, 6, 8, 3, 11, 4, 12))
"""In a ledger of few casks every kind comes once, before chance decides."""
HOGSHEAD = Kind("hogshead", 250, _AMERICAN, None, None, "Tarnholt Stillhouse", (33, 37), (6, 7), 8, (4, 4), (0, 0))


@dataclass(slots=True)
class Parcel:
    """Casks that came together. `bad`: how much worse than usual, 1 to 6; `shook`: came as bundles of staves."""

    kind: Kind
    day: int
    name: str
    made: int
    bad: float
    shook: bool
    owner: str | None
    grain: bool


@dataclass(slots=True)
class Plan:
    """One cask to be told. `fate`: what is settled beforehand; `meet`: the day it has to be ready for that."""

    number: str
    parcel: Parcel
    fate: str = "open"
    meet: int = 0
    lot: int = -1
    instead_of: str | None = None
    reject: bool = False
    parents: list[str] = field(default_factory=list)


def parcel_for(dice: Dice, day: int, name: str, kind: Kind | None = None) -> tuple[Parcel, int]:
    """A parcel of a day, and how many casks it has; of any kind unless one is named."""
    kind = kind or dice.weigh(_DRAWS)
    bad = dice.weigh(((1.0, 0.80), (2.5, 0.12), (6.0, 0.08)))
    shook = kind.type in ("barrel", "hogshead") and kind.prior is not None and kind.supplier == "northquay" and dice.chance(0.04)
    owner = "house" if dice.chance(0.93) else dice.pick(("Gorse & Linden", "R. Quillan", "Saltmarsh Bond"))
    made = day_of(day).year - dice.whole(*kind.made_before)
    parcel = Parcel(kind, day, name, made, bad, shook, owner, dice.chance(0.28))
    return parcel, dice.whole(*kind.parcel)


def head_of(plan: Plan, dice: Dice) -> dict[str, Any]:
    """The head of a cask that was bought."""
    parcel, kind = plan.parcel, plan.parcel.kind
    prior = None if kind.prior is None else [_stretch(parcel, contents, fills, n, dice) for n, (contents, fills) in enumerate(kind.prior)]
    pieces = [dice.whole(*kind.pieces), dice.whole(*kind.pieces)]
    charred: object = parcel.made if kind.charred == "made" else kind.charred
    known: dict[str, Any] = {
        "cask": plan.number, "format": 1, "type": kind.type, "capacity_l": kind.litres, "wood": kind.wood, "maker": kind.maker,
        "made": parcel.made if kind.prior is not None else None, "staves": dice.whole(*kind.staves), "heads": pieces, "hoops": kind.hoops,
        "was": [f"{parcel.made % 100:02d}-{dice.whole(100, 9999)}"] if kind.prior and dice.chance(0.4) else None,
        "owner": parcel.owner, "prior": prior, "charred": charred, "parcel": parcel.name, "supplier": kind.supplier,
    }  # fmt: skip
    return {key: value for key, value in known.items() if value is not None}


def _stretch(parcel: Parcel, contents: str, fills: int | None, order: int, dice: Dice) -> dict[str, Any]:
    """One stretch of the life before us; the last one ended in the months before the parcel came."""
    stretch: dict[str, Any] = {"contents": contents}
    if fills is not None:
        stretch["fills"] = fills if fills < 3 else dice.whole(fills - 1, fills + 1)
    if parcel.kind.prior is not None and order == len(parcel.kind.prior) - 1:
        emptied = day_of(parcel.day - dice.whole(40, 150))
        if emptied.year > parcel.made:
            stretch["emptied"] = f"{emptied.year}-{emptied.month:02d}"
        stretch["evidence"] = dice.weigh((("declaration", 0.7), ("stencil", 0.2), ("nose", 0.1)))
    return stretch


def remade_head(number: str, staves: int, dice: Dice) -> dict[str, Any]:
    """The head of a hogshead built here from barrels."""
    return {
        "cask": number, "format": 1, "type": "hogshead", "capacity_l": 250, "wood": HOGSHEAD.wood, "maker": HOGSHEAD.maker,
        "staves": staves, "heads": [dice.whole(6, 7), dice.whole(6, 7)], "hoops": 8, "owner": "house",
    }  # fmt: skip
