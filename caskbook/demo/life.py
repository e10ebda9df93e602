"""The life of one cask from its coming to its end, or to the last day of the book, told in steps that stop where it meets others."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from caskbook.demo.bench import make_ready
from caskbook.demo.filling import emptied, fill, stay, years_for
from caskbook.demo.mend import burn
from caskbook.demo.page import day_of, fig
from caskbook.demo.story import WINE_TYPES, Donor, Story

MEETINGS = ("rack-out", "rack-in", "convert", "swap")
_AGEING = {"rack-out": 0, "rack-in": 20, "convert": 14, "swap": 4}
"""Days before the meeting on which the first filling ends."""


def live(s: Story) -> Iterator[str]:
    """Tell the cask's life; yields the name of a meeting when it waits for one. Raises BookEndsError on the last day."""
    if s.plan.fate == "double":
        receive(s)
        return
    if not receive(s) or not _readied(s):
        _refused(s)
        return
    while not s.spent:
        stand(s)
        fill(s)
        yield from live_on(s)


def stand(s: Story) -> None:
    """Most are filled at once; some wait in the yard for months, dry out, and are looked over and tested again."""
    dice = s.dice
    if s.plan.fate in MEETINGS or not dice.chance(0.18):
        return
    s.add(s.after(1, 8), "move", berth=f"YD/{dice.whole(1, 12):02d}")
    s.day += dice.whole(35, 330)
    s.add(s.day, "soak", method=dice.pick(("cold", "cold", "hot")), hours=dice.pick((24, 36, 48)))
    if s.wine:
        s.add(s.after(1, 3), "nose", verdict="clean")
    s.add(s.after(0, 2), "examine", verdict="sound")
    s.add(s.day, "test", psi=9, water_l=3, result="pass")


def live_on(s: Story) -> Iterator[str]:
    """From the day of a filling to the day the cask is ready for the next one, or done."""
    meeting = s.plan.fate if s.plan.fate in MEETINGS else ""
    s.plan.fate = "open" if meeting else s.plan.fate
    last = s.plan.meet - _AGEING[meeting] if meeting else None
    if last is not None and s.liquor is not None and last < s.liquor.start + 700:
        meeting, last = "", None
    end = stay(s, years_for(s), last)
    if meeting == "rack-out":
        yield meeting
        if s.liquor is None:
            yield from _between(s)
            return
    emptied(s, end)
    if meeting == "convert":
        s.add(s.after(1, 4), "examine", verdict="sound")
        yield meeting
        if s.spent:
            return
    elif meeting == "swap":
        yield meeting
        s.unproved = True
    elif meeting == "rack-in" and make_ready(s, smooth=True):
        yield meeting
        if s.liquor is not None:
            yield from live_on(s)
            return
        s.day = max(s.day, s.plan.meet)
    yield from _between(s)


def _between(s: Story) -> Iterator[str]:
    """What is decided of an emptied cask: sold, sent out, seasoned, retired, or made ready again."""
    dice = s.dice
    if _worn_out(s):
        _retire(s, ["spent and worn"] if s.rechars < 2 else ["charred twice here", "six fills and more"])
    elif dice.chance(0.05):
        s.add(s.after(3, 60), "dispose", how="sold", to=dice.pick(("garden trade", "Saltmarsh Bond", "R. Quillan")))
        s.spent = True
    else:
        if dice.chance(0.3):
            s.day += dice.whole(5, 120)
        if dice.chance(0.07):
            _sent_out(s)
        elif s.type in ("butt", "puncheon") and dice.chance(0.1):
            _season(s)
        elif s.wine and dice.chance(0.08):
            s.add(s.after(1, 5), "sulphur", grams=dice.pick((5, 8, 10)), why="to stand empty over the winter")
            s.day += dice.whole(40, 110)
        s.worn += 0.15
        if not make_ready(s):
            _retire(s, ["taint after two treatments" if s.page.events[-1]["job"] == "nose" else "three fails in one visit"])
    yield from ()


def _readied(s: Story) -> bool:
    """Made ready for the first time; what is found in a supplier's cask in time is claimed now and then."""
    ready = make_ready(s, smooth=s.plan.fate in MEETINGS)
    supplier = s.plan.parcel.kind.supplier
    found = any(event["job"] == "examine" and event["verdict"] == "repair" for event in s.page.events)
    if found and supplier and s.dice.chance(0.4):
        day = s.after(1, 6)
        ref = f"C-{s.dice.whole(1000, 9999)}"
        s.add(
            day,
            "decide",
            rule="claim",
            outcome=s.dice.pick(("claimed", "credited")),
            ref=ref,
            why=f"repair within the days of {supplier}",
            approved_by=s.lead(day),
        )
    return ready


def receive(s: Story) -> bool:
    """The coming, and what the dock finds; False for a cask that is refused."""
    plan, dice, parcel = s.plan, s.dice, s.plan.parcel
    late = 0 if plan.instead_of is None else dice.whole(15, 40)
    day = min(parcel.day + late, s.block.calendar.until)
    verdict = "reject" if plan.reject else "hold" if plan.fate == "open" and dice.chance(0.006 * parcel.bad) else "accept"
    fields: dict[str, Any] = {"verdict": verdict}
    if plan.reject:
        fields["findings"] = [{"at": f"stave-{dice.whole(2, s.staves)}", "defect": dice.pick(("broken", "soaked-through", "woodworm")), "severity": 3}]
    if dice.chance(0.08):
        fields["residue_l"] = fig(dice.real(0.2, 6.0))
    if parcel.kind.supplier:
        fields["claim_by"] = day_of(day + 30)
    if parcel.shook:
        fields["form"] = "shook"
    if plan.instead_of:
        fields["instead_of"] = plan.instead_of
    s.add(day, "receive", **fields, sheet=f"in-{parcel.name}")
    if plan.fate == "joined":
        s.add(s.after(4, 12), "same-as", of=plan.parents[0], why="labelled twice on the dock")
    if verdict == "hold":
        s.add(s.after(2, 12), "release", why="papers came", approved_by=s.lead(s.day))
    if parcel.shook and verdict != "reject":
        s.add(s.after(5, 40), "raise", staves=s.staves)
        s.unproved = True
    _first_looks(s)
    return verdict != "reject"


def _first_looks(s: Story) -> None:
    dice = s.dice
    if s.plan.fate == "open" and not s.plan.reject:
        if dice.chance(0.03) and not s.plan.parcel.shook:
            measured = s.capacity * dice.real(0.99, 1.015)
            s.add(s.after(0, 3), "measure", capacity_l=fig(max(measured, s.capacity * 0.995)), tare_kg=fig(s.capacity * dice.real(0.23, 0.27)))
        if s.wine and dice.chance(0.12):
            s.add(s.after(0, 2), "treat", method="drain", **{"for": "residue"}, litres_out=fig(dice.real(0.5, 8)))
            s.add(s.after(0, 1), "treat", method="rinse", **{"for": "residue"})


def _refused(s: Story) -> None:
    """A cask that is not taken, or never came right: claimed, and broken up for its staves, sent back or retired."""
    dice, day = s.dice, s.after(3, 12)
    rejected = s.plan.reject
    if rejected and s.plan.parcel.kind.supplier:
        s.add(day, "decide", rule="claim", outcome="claimed", ref=f"C-{dice.whole(1000, 9999)}", why="refused on the dock", approved_by=s.lead(day))
        day = s.after(10, 50)
        s.add(day, "decide", rule="claim", outcome=dice.weigh((("credited", 0.8), ("refused", 0.2))), why="supplier's answer", approved_by=s.lead(day))
    if rejected and s.plan.fate != "donor" and dice.chance(0.4):
        s.add(s.after(5, 40), "dispose", how="returned", to=s.plan.parcel.kind.supplier or "sender")
    elif rejected:
        break_up(s)
    else:
        _retire(s, ["taint after two treatments" if s.page.events[-1]["job"] == "nose" else "three fails in one visit"])


def _worn_out(s: Story) -> bool:
    share = 0.02 + 0.05 * max(0, s.life_fills - 4) + (0.35 if s.rechars >= 2 and s.since_char >= 2 else 0.0)
    return s.dice.chance(min(share, 0.8))


def _retire(s: Story, reasons: list[str]) -> None:
    """Retired, signed for; broken up for its staves, sold, scrapped, or left standing."""
    s.spent = True
    day = s.after(2, 25)
    s.add(day, "retire", reasons=reasons, approved_by=s.lead(day))
    what = s.dice.weigh((("break-up", 0.5), ("sold", 0.2), ("scrapped", 0.15), ("stands", 0.15)))
    if what == "break-up":
        break_up(s)
    elif what != "stands":
        s.add(s.after(5, 120), "dispose", how=what)


def break_up(s: Story) -> None:
    """From here it gives staves to others."""
    dice = s.dice
    s.spent = True
    if dice.chance(0.25) and not s.plan.parcel.shook:
        s.add(s.after(2, 20), "knock-down", staves=s.staves)
    saved = dice.whole(s.staves // 3, s.staves - 4)
    day = s.after(1, 60)
    s.add(day, "break-up", staves_saved=saved, heads_saved=dice.whole(0, 2), hoops_saved=dice.whole(2, 6))
    s.block.donors.append(Donor(s.page.number, day, s.type, saved))


def _sent_out(s: Story) -> None:
    """Away to an outside shop, which chars or re-heads it; what it did are entries of its own."""
    dice = s.dice
    shop = dice.pick(("cinder-row", "stoopwell"))
    by, fire = f"shop-{shop}", s.type not in WINE_TYPES and not s.wine and s.since_char >= 2 and s.rechars < 2
    s.add(s.after(2, 20), "send", to=shop, why="shave and char" if fire else "new head B")
    day = s.after(15, 60)
    s.add(day, "open", by=by, heads=["A", "B"] if fire else ["B"])
    if fire:
        burn(s, "char", by)
    else:
        s.add(s.after(0, 2), "head", by=by, head="B", action="replace", **{"from": "new"})
    s.add(s.after(0, 2), "close", by=by, heads=["A", "B"] if fire else ["B"])
    s.add(s.after(3, 20), "return", verdict="accept", done=["shaved and charred" if fire else "head B replaced"])
    s.unproved = True


def _season(s: Story) -> None:
    """Wine is put in on purpose for some months, and drawn off."""
    dice = s.dice
    day = s.after(5, 20)
    long = dice.whole(200, 500)
    litres = fig(s.capacity * 0.96, 0)
    s.add(day, "season", wine="oloroso", litres=litres, until=day_of(day + long))
    s.wine = True
    s.day = day + long
    s.add(s.after(0, 10), "empty", litres=fig(litres * 0.95, 0), abv=fig(dice.real(20.0, 21.5)), at_20=True, why="drawn")
