"""Facts and events as plain JSON data."""

from __future__ import annotations

import json
from typing import Any

from caskbook.life import Life
from caskbook.life.facts import Facts, facts_of
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
