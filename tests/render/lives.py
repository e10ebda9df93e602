"""Lives to draw: a handful of casks with ids as they would be minted, and the comparing with golden files."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev

from caskbook.life import Life, live
from caskbook.model.cask import read_cask
from caskbook.model.house import House
from caskbook.model.ids import mint_id

GOLDEN = Path(__file__).parent / "golden"
HOUSE = House({"crew": [{"initials": "ab"}, {"initials": "kd"}], "minimum_age": 3, "stores": {"W": "dunnage", "Y": "yard"}})
TODAY = "2026-11-25"


@dataclass(frozen=True)
class Said:
    """A verdict as the due rules give it."""

    rule: str
    verdict: str
    reasons: tuple[str, ...] = ()
    since: date | None = None
    well_past: bool = False
    decided: str | None = None
    cask: str = "TH-004217"
    type: str = "barrel"
    berth: str | None = None


def dated(events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Give ids as minted at five in the afternoon of each day, `_late` days after; `@name` stands for the id of `_name`."""
    bits = random.Random(7)
    names: dict[str, str] = {}
    days: dict[str, list[str]] = {}
    done = []
    for event in events:
        event = dict(event)
        entered = datetime.fromisoformat(event["date"]).replace(tzinfo=UTC) + timedelta(days=event.pop("_late", 0), hours=17)
        earlier = days.setdefault(event["date"], [])
        own = mint_id(entered, day_ids=earlier, random_bits=bits.getrandbits)
        earlier.append(own)
        names[event.pop("_name", own)] = own
        told = {key: names[value[1:]] if isinstance(value, str) and value.startswith("@") else value for key, value in event.items()}
        done.append({"id": own, **told})
    return sorted(done, key=lambda event: (event["date"], event["id"]))


def life_of(*events: dict[str, Any], day: str = TODAY, house: House = HOUSE, **head: Any) -> Life:
    """The life on a day of a cask with these events; the form must be faultless."""
    data = {**cask_data(**head), "events": dated(list(events))}
    cask, faults = read_cask(data)
    assert cask is not None and not faults, faults
    return live(cask, house, date.fromisoformat(day))


def agrees(name: str, text: str, request: pytest.FixtureRequest) -> None:
    """Compare with golden/NAME.txt, or write it when pytest runs with --golden."""
    file = GOLDEN / f"{name}.txt"
    if request.config.getoption("--golden"):
        file.write_text(text + "\n", encoding="utf-8", newline="\n")
    assert file.read_text(encoding="utf-8") == text + "\n"


KNOWN = {
    "made": 2011, "maker": "Fenwick Hollow", "wood": "american-white-oak", "supplier": "northquay", "parcel": "P-2015-014",
    "was": ["88-1207"],
}  # fmt: skip


def worked(day: str = TODAY) -> Life:
    """A barrel examined, filled, repaired, charred and filled again."""
    return life_of(
        ev("2015-03-12", "receive", verdict="accept", berth="Y2"),
        ev("2015-03-12", "examine", verdict="sound", stave_mm=24),
        ev("2015-03-20", "test", psi=11, water_l=2, result="pass"),
        ev("2015-04-02", "fill", spirit="malt", litres=198.4, abv=63.5, temp_c=14.5, berth="W3/11/2", stow="bilge"),
        ev("2019-06-11", "regauge", litres=180.0, abv=61.0, method="dip"),
        ev("2023-05-16", "empty", litres=160.0, abv=58.0, why="drawn"),
        ev("2023-05-18", "examine", verdict="repair", findings=[{"at": "stave-1", "defect": "cracked", "severity": 2}]),
        ev("2023-05-20", "open", heads=["A", "B"]),
        ev("2023-05-20", "stave", staves=[1], action="replace", from_="new", why="cracked at the bung"),
        ev("2023-05-21", "char", level=3, seconds=40, heads="plain"),
        ev("2023-05-23", "close", heads=["A", "B"]),
        ev("2023-05-23", "test", psi=11, result="fail", leaks=[{"at": "joint-1"}]),
        ev("2023-05-23", "drive"),
        ev("2023-05-23", "test", psi=11, result="pass"),
        ev("2023-06-01", "fill", spirit="malt", litres=196.2, abv=63.4, berth="W3/12/4", stow="bilge", by="kd"),
        day=day, **KNOWN,
    )  # fmt: skip


def unknown_past() -> Life:
    """Nobody knows what it was before; nobody counted its staves."""
    return life_of(
        ev("2024-02-01", "receive", verdict="accept"),
        ev("2024-02-02", "examine", verdict="sound"),
        ev("2024-02-10", "fill", spirit="grain", litres=240, abv=63.5, berth="W1/03/2"),
        type="hogshead", capacity_l=250, prior="absent", charred="absent", staves="absent", heads="absent", hoops="absent",
    )  # fmt: skip


def sherry_butt() -> Life:
    """A seasoned butt that came out of its first fill with a fault of the nose."""
    return life_of(
        ev("2014-01-08", "receive", verdict="accept", berth="Y2"),
        ev("2014-01-20", "season", wine="oloroso", litres=480),
        ev("2015-08-20", "empty", litres=455, abv=17.0),
        ev("2015-08-21", "nose", verdict="clean"),
        ev("2015-08-21", "examine", verdict="sound"),
        ev("2015-08-25", "fill", spirit="malt", litres=486, abv=63.4, berth="W1/01/1"),
        ev("2026-11-20", "empty", litres=380.5, abv=57.2, why="drawn"),
        ev("2026-11-21", "nose", verdict="fault", faults=["acetic", "musty"]),
        ev("2026-11-23", "treat", method="steam", for_="taint", hours=2),
        type="butt", capacity_l=500, staves=46, heads=[7, 7], hoops=10, wood="european-oak", prior=[], charred="never",
    )  # fmt: skip


def on_the_bench() -> Life:
    """Open, in the middle of a repair, some of it done before by a donor's wood."""
    return life_of(
        ev("2016-05-02", "receive", verdict="accept"),
        ev("2016-05-03", "open", heads=["A"]),
        ev("2016-05-03", "stave", staves=[7, "7b", 8], action="replace", from_="TH-001187"),
        ev("2016-05-04", "head", head="A", action="piece", which=[2], from_="new"),
        ev("2016-05-04", "close", heads=["A"]),
        ev("2016-05-05", "flag", at=["joint-14"]),
        ev("2016-05-05", "test", psi=11, result="pass", leaks=[{"at": "head-A-joint-2"}], cured_by="drive"),
        ev("2016-05-06", "examine", verdict="sound"),
        ev("2016-05-10", "fill", spirit="malt", litres=198, abv=63.5),
        ev("2026-11-01", "empty", litres=140, abv=55.1),
        ev("2026-11-02", "examine", verdict="repair", stave_mm=19.5, soaked=0.4, findings=[
            {"at": "stave-14", "defect": "cracked", "severity": 3, "depth": 0.5}, {"at": "hoop-A-1", "defect": "loose-hoop", "severity": 1},
            {"at": "head-B-2", "defect": "blister"}]),
        ev("2026-11-03", "test", psi=11, result="fail", leaks=[{"at": "joint-14"}, {"at": "croze-B-3"}]),
        ev("2026-11-04", "hoop", hoops=["A-1"], from_="new"),
        ev("2026-11-04", "flag", at=["joint-14", "croze-B-3"]),
        ev("2026-11-05", "open", heads=["A", "B"]),
    )  # fmt: skip


def leaking() -> Life:
    """Full, one leak pegged, another turned from weep to drip."""
    return life_of(
        ev("2022-03-01", "receive", verdict="accept"),
        ev("2022-03-02", "examine", verdict="sound"),
        ev("2022-03-05", "fill", spirit="malt", litres=198, abv=63.5, berth="W3/12/4", stow="upright-B", oak_since="2018-02-01"),
        ev("2026-10-02", "leak", at="joint-3", severity="weep", look_again="2026-10-16"),
        ev("2026-10-05", "leak", at="stave-20", severity="run"),
        ev("2026-10-05", "peg", at="stave-20", kind="spile"),
        ev("2026-11-24", "look", seen="drip", at="joint-3"),
    )


def broken_up() -> Life:
    """Retired after two fills and taken down; a donor now."""
    return life_of(
        ev("2001-04-01", "receive", verdict="accept"),
        ev("2001-04-02", "examine", verdict="sound"),
        ev("2001-04-05", "fill", spirit="malt", litres=198, abv=63.5),
        ev("2012-04-05", "empty", litres=140, abv=55.1),
        ev("2012-04-06", "examine", verdict="sound"),
        ev("2012-04-09", "fill", spirit="malt", litres=197, abv=63.5),
        ev("2024-04-09", "empty", litres=120, abv=50.1),
        ev("2024-04-20", "retire", reasons=["soaked through", "life fills 3"], approved_by="kd"),
        ev("2024-04-22", "break-up", staves_saved=20, heads_saved=1),
        type="barrel",
    )  # fmt: skip


def made_here() -> Life:
    """A hogshead out of five barrels."""
    inherited = {"fills_life": 3, "fills_life_min": 3, "fills_of_class": 2, "fills_since_char": 1, "fills_since_fire": 1,
                 "char_count": 2, "rechar_count": 1, "last_char": 2012, "held": "spirit"}  # fmt: skip
    parents = [{"cask": f"TH-00118{n}", "staves": 7} for n in range(5)]
    return life_of(
        ev("2023-05-02", "made-from", parents=parents, inherited=inherited),
        ev("2023-05-03", "examine", verdict="sound"),
        ev("2023-05-03", "test", psi=10, result="pass"),
        ev("2023-05-08", "fill", spirit="malt", litres=244, abv=63.5, berth="W1/02/9"),
        cask="TH-005001", type="hogshead", capacity_l=250, staves=36, prior="absent", charred="absent",
    )  # fmt: skip


def put_right() -> Life:
    """A mis-keyed test voided, a fill corrected, a void voided, a late entry and one first written elsewhere."""
    return life_of(
        ev("2020-01-06", "receive", verdict="accept"),
        ev("2020-01-06", "examine", verdict="sound"),
        ev("2020-01-08", "test", psi=11, result="pass", _name="kept"),
        ev("2020-01-08", "test", psi=11, result="fail", leaks=[{"at": "croze-A"}], _name="wrong"),
        ev("2020-01-09", "void", of="@wrong", why="wrong cask, it was TH-004271"),
        ev("2020-01-10", "fill", spirit="malt", litres=189.4, abv=63.5, _name="fill"),
        ev("2020-01-10", "fill", spirit="malt", litres=198.4, abv=63.5, replaces="@fill", why="figure misread on the sheet", by="kd"),
        ev("2020-02-01", "void", of="@kept", why="thought it was the other cask", _name="hasty"),
        ev("2020-02-03", "void", of="@hasty", why="it was this one after all"),
        ev("2022-07-04", "regauge", litres=188.1, abv=62.4, method="dip", _late=22, note="dip rod 3, paper found behind the desk " + "and so on " * 20),
        ev("2022-08-01", "sample", ml=100, moved_from="TH-004271/dsy3jphz"),
    )  # fmt: skip
