"""Facts and events as plain JSON data."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

from casks import cask_data, cask_of, ev

from caskbook.life import Life, live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import read_cask
from caskbook.render.facts_json import facts_json
from render import lives


def data(life: Life) -> dict[str, Any]:
    return json.loads(json.dumps(facts_json(life, facts_of(life)), allow_nan=False))


def test_every_fact_stands_under_its_name() -> None:
    names = list(Facts("", "", lives.date.min).as_dict())
    assert list(data(lives.worked())) == [*names, "loss", "events"]


def test_days_are_text_and_unknown_is_null() -> None:
    got = data(lives.worked())
    assert (got["as_of"], got["last_char"], got["minimum_age_on"]) == ("2026-11-25", "2023-05-21", "2026-06-01")
    assert got["last_test"] == {"date": "2023-05-23", "result": "pass", "psi": 11.0}
    assert (got["years_since_char"], got["years_in_wood"], got["fitness"]) == (3.515, 11.606, None)
    assert data(lives.leaking())["open_leaks"][0]["since"] == "2026-10-02"
    unknown = data(lives.unknown_past())
    assert (unknown["fills_life"], unknown["fills_life_min"], unknown["last_char"]) == (None, 1, None)


def test_events_have_the_keys_of_the_file() -> None:
    events = data(lives.worked())["events"]
    assert [event["date"] for event in events] == sorted(event["date"] for event in events) and len(events) == 15
    stave = next(event for event in events if event["job"] == "stave")
    assert stave["from"] == "new" and stave["stands"] is True and "voided_by" not in stave and "note" not in stave
    assert "method" not in next(event for event in events if event["job"] == "test")


def test_what_is_out_of_force_names_the_event_that_did_it() -> None:
    events = {event["id"]: event for event in data(lives.put_right())["events"]}
    fallen = [event for event in events.values() if not event["stands"]]
    assert [event["job"] for event in fallen] == ["test", "fill", "void"]
    assert all(events[event["voided_by"]]["stands"] for event in fallen)


def test_before_the_first_entry() -> None:
    got = data(lives.worked("2015-03-01"))
    assert got["state"] is None and got["fills"] is None and len(got["events"]) == 15


def test_entries_under_all_numbers_stand_in_the_order_of_the_work_each_with_its_number() -> None:
    """Those of the other file too that are out of force, of a day to come or of no known job; what is found of an id here is not said of the same id there."""
    theirs = [
        ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-03", "test", psi=10, result="pass"), ev("2020-01-04", "void", of="e0000002", why="wrong"),
        ev("2020-01-05", "fil"), ev("2031-01-01", "note", note="later"),
    ]  # fmt: skip
    other, faults = read_cask(cask_data(*theirs, cask="TH-000009"))
    mine = cask_of(
        ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-03", "examine", verdict="sound"), ev("2020-02-01", "same-as", of="TH-000009", why="one")
    )
    assert other is not None and [fault.code for fault in faults] == ["unknown-job"]
    life = live(mine, lives.HOUSE, date(2021, 1, 1), [other])
    got = facts_json(life, facts_of(life), found={"e0000002": ["some-code"]})
    alone = live(other, lives.HOUSE, date(2021, 1, 1))
    own, their = ([one for one in got["events"] if one["number"] == number] for number in ("TH-004217", "TH-000009"))
    assert their == [{"number": "TH-000009", **one} for one in facts_json(alone, facts_of(alone))["events"]]
    assert [(one["id"], one["stands"], one.get("voided_by")) for one in their] == [
        ("e0000001", True, None), ("e0000002", False, "e0000003"), ("e0000003", True, None), ("e0000004", None, None), ("e0000005", True, None),
    ]  # fmt: skip
    assert len(own) + len(their) == len(got["events"]) and own[1]["findings"] == ["some-code"] and "findings" not in their[1]
    assert [(one["date"], one["number"][-1]) for one in got["events"]][:5] == [
        ("2020-01-01", "7"), ("2020-01-01", "9"), ("2020-01-03", "7"), ("2020-01-03", "9"), ("2020-01-04", "9"),
    ]  # fmt: skip
    assert "number" not in facts_json(alone, facts_of(alone))["events"][0]
