"""Who is in a block of casks: parcels in order of coming, and the few casks that are to meet each other later on."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import count as count_from

from caskbook.demo.dice import Dice
from caskbook.demo.house import Calendar
from caskbook.demo.page import day_of
from caskbook.demo.parcels import SHOWN_FIRST, Plan, parcel_for

BLOCK = 500
CHILDREN = 4
PARENTS = 5
ROOM_FOR_REMAKING = 9 * 365


@dataclass(slots=True)
class Lot:
    """Casks that meet. `kind`: rack, convert, swap or move; of a racking the last member is the one filled."""

    kind: str
    members: list[Plan]
    numbers: list[str] = field(default_factory=list)


@dataclass(slots=True)
class Roster:
    """A block: the casks bought, in order of number, and their meetings."""

    plans: list[Plan]
    lots: list[Lot]


def roster(seed: int, block: int, first: int, size: int, window: tuple[int, int], calendar: Calendar) -> Roster:
    """Plan one block: `size` casks from running number `first`, coming within the window of days (first, last)."""
    dice = Dice(f"{seed}/block/{block}")
    remade = _remakings(size, window, calendar)
    bought = size - CHILDREN * remade
    plans = _plans(dice, first, bought, window, f"{block}")
    made = Roster(plans, [])
    children = [f"TR-{first + bought + n:06d}" for n in range(CHILDREN * remade)]
    for n in range(remade):
        _remake(made, dice, children[CHILDREN * n : CHILDREN * (n + 1)])
    if sum(len(lot.numbers) for lot in made.lots) < len(children):
        return _without_remaking(made, dice, calendar, children, window)
    _others(made, dice, calendar)
    return made


def _remakings(size: int, window: tuple[int, int], calendar: Calendar) -> int:
    """How many times five barrels become four hogsheads: about one child in forty casks, where time is left for it."""
    if window[0] + ROOM_FOR_REMAKING > calendar.until or size < 30:
        return 0
    return max(1, size // 160)


def _plans(dice: Dice, first: int, count: int, window: tuple[int, int], name: str) -> list[Plan]:
    """The casks bought, parcel by parcel. Over many years parcels are small, and every kind comes once."""
    plans: list[Plan] = []
    long = window[1] - window[0] > 5 * 365
    most = max(6, count // (16 if long else 5))
    for nth in count_from(0):
        if len(plans) >= count:
            return plans
        share = (len(plans) + dice.roll() * 5) / max(count, 6)
        day = window[0] + int((window[1] - window[0]) * min(share, 0.999))
        label = f"P-{day_of(day).year}-{int(name) % 1000:03d}{chr(97 + nth % 26)}"
        shown = SHOWN_FIRST[nth] if long and nth < len(SHOWN_FIRST) else None
        parcel, size = parcel_for(dice, day, label, shown)
        few = most if shown is None or shown.type == "barrel" else max(2, most // 3)
        size = few if shown else min(size, few)
        plans += [Plan(f"TH-{first + len(plans) + n:06d}", parcel) for n in range(min(size, count - len(plans)))]
    return plans


def _free(made: Roster, *types: str) -> list[Plan]:
    return [p for p in made.plans if p.fate == "open" and not p.reject and p.parcel.kind.type in types]


def _same_parcel(plans: list[Plan], count: int) -> list[Plan]:
    """The first run of so many free casks of one parcel."""
    groups: dict[str, list[Plan]] = {}
    for plan in plans:
        group = groups.setdefault(plan.parcel.name, [])
        group.append(plan)
        if len(group) == count:
            return group
    return []


def _remake(made: Roster, dice: Dice, children: list[str]) -> None:
    """Five used barrels of one parcel, four to six years after they came."""
    early = [p for p in _free(made, "barrel") if p.parcel.kind.prior and not p.parcel.shook]
    members = _same_parcel(early, PARENTS)
    if not members:
        return
    meet = members[0].parcel.day + int(dice.real(4.2, 6.0) * 365)
    for plan in members:
        plan.fate, plan.meet = "convert", meet
    made.lots.append(Lot("convert", members, children))


def _without_remaking(made: Roster, dice: Dice, calendar: Calendar, children: list[str], window: tuple[int, int]) -> Roster:
    """No five barrels came together: the numbers meant for what they would have become go to casks bought last."""
    used = sum(len(lot.numbers) for lot in made.lots)
    spare = children[used:]
    for lot, begin in zip(made.lots, range(0, used, CHILDREN), strict=True):
        lot.numbers = children[begin : begin + CHILDREN]
    start = int(spare[0][3:])
    made.plans += _plans(dice, start, len(spare), (window[1] - 1, window[1]), "999")
    _others(made, dice, calendar)
    return made


def _others(made: Roster, dice: Dice, calendar: Calendar) -> None:
    """Refusals with their replacements, early donors, double labels, rackings, swaps and moved entries."""
    for at, plan in enumerate(made.plans[:-1]):
        if plan.fate == "open" and dice.chance(0.006 * plan.parcel.bad):
            plan.reject = True
            following = made.plans[at + 1]
            if following.fate == "open" and following.parcel is plan.parcel and not following.reject and dice.chance(0.5):
                following.instead_of = plan.number
    _early_donors(made, dice)
    _doubles(made, dice)
    for _ in range(max(1, len(made.plans) // 120)):
        _racking(made, dice, calendar)
    if len(made.plans) >= 25:
        _swap(made, dice, calendar)
    for _ in range(max(1, len(made.plans) // 250)):
        _moved(made, dice)


def _early_donors(made: Roster, dice: Dice) -> None:
    """The first casks of the block that are refused are broken up, so that there are staves for the others."""
    for kind in ("barrel", "hogshead", "butt"):
        free = [p for p in _free(made, kind) if p.instead_of is None]
        if len(free) > 8 or (kind == "barrel" and free):
            free[0].reject, free[0].fate = True, "donor"


def _doubles(made: Roster, dice: Dice) -> None:
    """Now and then one cask is labelled twice on the dock."""
    for at, plan in enumerate(made.plans[:-1]):
        other = made.plans[at + 1]
        free = all(p.fate == "open" and not p.reject and p.instead_of is None for p in (plan, other))
        if free and other.parcel is plan.parcel and not plan.parcel.shook and dice.chance(0.0015 + 0.03 * (at == 10)):
            plan.fate, other.fate = "joined", "double"
            plan.parents = [other.number]


def _racking(made: Roster, dice: Dice, calendar: Calendar) -> None:
    """Three barrels into a butt or pipe, one into a barrique, five to eight years after both came."""
    last = calendar.until - 8 * 365 - 30
    targets = [p for p in _free(made, "butt", "port-pipe", "barrique") if p.instead_of is None and p.parcel.day < last]
    tried = [(target, _sources(made, target, last, dice)) for target in (dice.pick(targets) for _ in range(6 if targets else 0))]
    target, lot = next(((one, lot) for one, lot in tried if lot), (None, []))
    if target is None:
        return
    meet = max(target.parcel.day, lot[0].parcel.day) + int(dice.real(5.0, 8.0) * 365)
    for plan in (*lot, target):
        plan.meet, plan.fate = meet, "rack-out"
    target.fate = "rack-in"
    made.lots.append(Lot("rack", [*lot, target]))


def _sources(made: Roster, target: Plan, last: int, dice: Dice) -> list[Plan]:
    near = [
        p for p in _free(made, "barrel")
        if p.instead_of is None and not p.parcel.grain and not p.parcel.shook
        and p.parcel.day < last and abs(p.parcel.day - target.parcel.day) < 3 * 365
    ]  # fmt: skip
    return _same_parcel(near[dice.whole(0, len(near) // 2) :], 1 if target.parcel.kind.type == "barrique" else 3)


def _swap(made: Roster, dice: Dice, calendar: Calendar) -> None:
    lot = _same_parcel([p for p in _free(made, "barrel", "hogshead") if p.instead_of is None and not p.parcel.shook], 2)
    if lot and lot[0].parcel.day + 6 * 365 < calendar.until:
        for plan in lot:
            plan.fate, plan.meet = "swap", plan.parcel.day + dice.whole(4 * 365, 6 * 365 - 30)
        lot[1].meet = lot[0].meet
        made.lots.append(Lot("swap", lot))


def _moved(made: Roster, dice: Dice) -> None:
    """Two neighbours, one of which got the other's entry."""
    if len(made.plans) < 4:
        return
    at = dice.whole(1, len(made.plans) - 2)
    pair = [made.plans[at], made.plans[at + 1]]
    if all(p.fate in ("open", "rack-out", "convert") and not p.reject for p in pair):
        made.lots.append(Lot("move", pair))
