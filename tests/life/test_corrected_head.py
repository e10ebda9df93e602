"""The head put right by a `correct`: worked out by hand, and the law that it equals the same file with its head edited."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import yaml
from casks import HOUSE, cask_data, cask_of, codes, ev
from hypothesis import given, settings
from hypothesis import strategies as st

from caskbook.entry.fields import HEAD_KEYS
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import Cask, CaskHead, read_cask
from caskbook.model.cask_file import read_record
from caskbook.model.head_corrections import change_words, was_words
from caskbook.model.jobs import JOBS
from caskbook.model.jobs.cask_head import KEYS
from caskbook.yaml.insertion import new_document

CAME = ev("2015-03-12", "receive", verdict="accept")
FILLED = ev("2015-04-02", "fill", spirit="malt", litres=190, abv=63.5, temp_c=14)


def right(day: str = "2026-11-28", **fields: Any) -> dict[str, Any]:
    return ev(day, "correct", **{"why": "misread", **fields})


def facts(cask: Cask, day: str) -> dict[str, Any]:
    return facts_of(live(cask, HOUSE, date.fromisoformat(day))).as_dict()


@pytest.mark.parametrize("day", ["2015-03-12", "2020-01-01", "2026-11-28"])
def test_it_holds_for_all_days_those_before_its_own_too(day: str) -> None:
    found = facts(cask_of(CAME, right(type="hogshead", capacity_l=250, staves=33)), day)
    assert (found["type"], found["capacity_l"], found["staves"]) == ("hogshead", 250, 33)


def test_the_written_head_stays_beside_it() -> None:
    cask = cask_of(CAME, right(type="hogshead", capacity_l=250))
    assert (cask.head.type, cask.head.capacity_l, cask.written.type, cask.written.capacity_l) == ("hogshead", 250, "barrel", 200)
    assert was_words(cask.corrected) == ["was barrel, 200 L until corrected 2026-11-28: misread"]


@pytest.mark.parametrize("key", ["supplier", "parcel", "owner", "maker", "wood"])
def test_a_name_can_be_corrected_to_nobody_knows(key: str) -> None:
    """The word is no name: the fact is unknown, and what is told of the change says so; corrected once more it is a name again."""
    cask = cask_of(CAME, right(**{key: "unknown"}), **{key: "northquay"})
    assert facts(cask, "2026-11-28")[key] is None and getattr(cask.written, key) == "northquay"
    assert [(one.key, one.old, one.new) for one in cask.corrected] == [(key, "northquay", None)]
    assert change_words(cask.written, cask.events, cask.events[-1]) == f"{key} northquay → unknown: misread"
    again = cask_of(CAME, right(**{key: "Unknown"}), right(**{key: "southquay"}), **{key: "northquay"})
    assert getattr(again.head, key) == "southquay"
    assert change_words(again.written, again.events, again.events[-1]) == f"{key} unknown → southquay: misread"


@pytest.mark.parametrize(
    ("key", "held", "nobody"), [("was", ["88-1207"], ["unknown"]), ("prior", [{"contents": "bourbon", "fills": 1}], [{"contents": "unknown"}])]
)
def test_old_marks_and_what_it_was_before_can_be_corrected_to_nobody_knows(key: str, held: Any, nobody: Any) -> None:
    cask = cask_of(CAME, right(**{key: nobody}), **{key: held})
    assert getattr(cask.head, key) is None and facts(cask, "2026-11-28")["fills_life" if key == "prior" else "old_marks"] in (None, [])
    assert change_words(cask.written, cask.events, cask.events[-1]).endswith("→ unknown: misread")
    assert cask.events[-1].says() == f"{key} unknown: misread"
    some = {"was": ["unknown", "88"], "prior": [{"contents": "unknown", "fills": 2}]}[key]
    assert getattr(cask_of(CAME, right(**{key: some}), **{key: held}).head, key), "more than that nobody knows is said"


def test_a_void_gives_the_old_back_and_a_void_of_that_the_new() -> None:
    one, two, three = right(type="hogshead"), ev("2026-11-28", "void", of="e0000002", why="w"), ev("2026-11-28", "void", of="e0000003", why="w")
    assert [cask_of(CAME, *events).head.type for events in ([one], [one, two], [one, two, three])] == ["hogshead", "barrel", "hogshead"]


def test_one_that_replaces_another_stands_alone() -> None:
    # The first said two keys, the second only one: the other goes back to what the head says.
    cask = cask_of(CAME, right(type="hogshead", maker="X"), right(type="butt", replaces="e0000002"))
    assert (cask.head.type, cask.head.maker) == ("butt", None)


def test_of_two_standing_the_larger_id_counts_whatever_its_day() -> None:
    cask = cask_of(CAME, {"id": "e9000000", **right("2020-01-01", type="butt")}, {"id": "e5000000", **right("2026-11-28", type="hogshead", maker="X")})
    assert (cask.head.type, cask.head.maker) == ("butt", "X")
    assert change_words(cask.written, cask.events, cask.events[1]) == "type hogshead → butt: misread"


@pytest.mark.parametrize("end", [ev("2020-01-01", "dispose", how="sold"), ev("2020-01-01", "break-up"), ev("2020-01-01", "convert", children=["TH-009001"])])
def test_nothing_is_put_right_on_a_cask_that_is_gone(end: dict[str, Any]) -> None:
    cask = cask_of(CAME, end, right(type="hogshead"))
    assert cask.head.type == "barrel"
    assert [code for code in codes(live(cask, HOUSE, date(2026, 11, 28))) if "gone" in code]
    assert cask_of(CAME, right("2019-01-01", type="hogshead"), end).head.type == "hogshead"
    assert cask_of(CAME, end, right(type="hogshead"), ev("2026-11-28", "void", of="e0000002", why="w")).head.type == "hogshead"


def test_places_are_judged_by_the_corrected_counts() -> None:
    flag = ev("2015-04-01", "flag", at=["joint-30"])
    assert "no-such-stave" not in codes(live(cask_of(CAME, flag), HOUSE, date(2026, 11, 28)))
    assert "no-such-stave" in codes(live(cask_of(CAME, flag, right(staves=28)), HOUSE, date(2026, 11, 28)))


def test_a_type_that_then_lacks_its_litres_is_an_error_at_its_key_and_left_out() -> None:
    data = cask_data(CAME, right(type="hogshead"), right(type="custom", maker="X"), capacity_l="absent")
    cask, faults = read_cask(data)
    assert [(fault.code, fault.severity, fault.where) for fault in faults] == [("missing-field", "error", ("events", 2, "type"))]
    assert cask is not None and (cask.head.type, cask.head.maker) == ("hogshead", "X")
    assert not read_cask(cask_data(CAME, right(type="custom"), right(capacity_l=300), capacity_l="absent"))[1]


@pytest.mark.parametrize(
    ("fields", "where"),
    [({"capacity_l": 9999}, "capacity_l"), ({"type": "tub"}, "type"), ({"heads": [5]}, "heads"), ({"cask": "TH-000001"}, "cask"), ({"format": 1}, "format"),
     ({"hoops": 1}, "hoops"), ({"made": "long ago"}, "made"), ({"staves": 31.5}, "staves"), ({}, "type")],
)  # fmt: skip
def test_a_value_is_held_to_what_the_head_itself_is(fields: dict[str, Any], where: str) -> None:
    cask, faults = read_cask(cask_data(CAME, right(**fields)))
    assert [fault.where[:3] for fault in faults] == [("events", 1, where)]
    assert cask is not None and cask.head.type == (None if "type" in fields else "barrel"), "somebody put it right, and nobody can read how"


def test_what_a_correction_that_cannot_be_read_put_right_is_unknown_until_it_is_corrected_again() -> None:
    bad = [CAME, right(charred="2O18"), right(prior=[{"contents": "bourbon", "fills": "4x"}]), right(type="hogshed")]
    cask, _ = read_cask(cask_data(*bad, charred=2011, prior=[{"contents": "bourbon", "fills": 1}]))
    assert cask is not None and (cask.head.type, cask.head.charred, cask.head.prior) == (None, None, None)
    assert cask.head.lost == {"type", "charred", "prior"} and cask.head.capacity_l == 200
    facts = facts_of(live(cask, HOUSE, date(2026, 1, 1)))
    assert (facts.fills_life, facts.fills_since_char, facts.last_char, facts.state) == (None, None, None, "unexamined")
    again, _ = read_cask(cask_data(*bad, right(charred=2018, type="hogshead"), charred=2011))
    assert again is not None and (again.head.type, again.head.charred) == ("hogshead", 2018)


def test_a_reason_must_be_given() -> None:
    assert [fault.where for fault in read_cask(cask_data(CAME, right(type="butt", why=None)))[1]] == [("events", 1, "why")]


def test_every_key_of_the_head_but_its_number_its_form_and_its_note_can_be_corrected() -> None:
    assert (
        set(KEYS)
        == set(HEAD_KEYS)
        == set(CaskHead.model_fields) - {"cask", "format", "note"}
        == set(JOBS["correct"].model_fields) - set(JOBS["hold"].model_fields)
    )


def test_a_faulty_head_is_mended_by_a_correction_of_its_lost_key() -> None:
    cask, faults = read_cask(cask_data(CAME, right(staves=33), staves="many"))
    assert [fault.where for fault in faults] == [("staves",)]
    assert cask is not None and cask.head.staves == 33 == cask.likely().head.staves and "staves" not in cask.head.lost


VALUES: dict[str, st.SearchStrategy[Any]] = {
    "type": st.sampled_from(["barrel", "hogshead", "butt", "octave", "custom"]), "capacity_l": st.sampled_from([50, 190, 250.5, 500]),
    "wood": st.sampled_from(["european-oak", "cherry"]), "maker": st.just("Fenwick"), "made": st.sampled_from([1999, "2001-04", date(2002, 3, 4)]),
    "staves": st.integers(20, 40), "heads": st.sampled_from([[4, 5], [6, 6]]), "hoops": st.sampled_from([6, 8]), "was": st.just(["88-1"]),
    "owner": st.just("a friend"), "prior": st.sampled_from([[], [{"contents": "oloroso", "fills": 2}], [{"contents": "bourbon"}]]),
    "charred": st.sampled_from(["never", "unknown", 2009, "2010-02"]), "parcel": st.just("P-1"), "supplier": st.just("northquay"),
}  # fmt: skip
WORK = (
    CAME,
    FILLED,
    ev("2018-05-01", "regauge", litres=180, abv=62.0, temp_c=12, method="dip"),
    ev("2021-05-01", "empty", litres=170, abv=61.0, temp_c=12),
    ev("2021-06-01", "flag", at=["joint-3"]),
)


@pytest.mark.thorough
@settings(max_examples=30, deadline=None)
@given(
    given_=st.lists(st.dictionaries(st.sampled_from(sorted(VALUES)), st.none(), min_size=1, max_size=4), min_size=1, max_size=3),
    data=st.data(),
    day=st.dates(date(2014, 1, 1), date(2027, 1, 1)),
)
def test_a_head_read_with_corrections_equals_the_same_file_with_its_head_edited(given_: list[dict[str, None]], data: st.DataObject, day: date) -> None:
    corrects = [
        right(data.draw(st.sampled_from(["2015-03-12", "2019-01-01", "2026-11-28"])), **{key: data.draw(VALUES[key]) for key in keys}) for keys in given_
    ]
    named = [{"id": f"g{n:07d}", **event} for n, event in enumerate(corrects)]
    plain = cask_data(*WORK)
    edited = {key: value for event in named for key, value in event.items() if key in KEYS}
    files = []
    for head in ({}, edited):
        events = sorted(
            [*plain["events"], *(named if not head else [{"id": one["id"], **ev(one["date"], "note", note="x")} for one in named])],
            key=lambda one: (one["date"], one["id"]),
        )
        files.append(
            new_document(
                {**{key: value for key, value in plain.items() if key != "events"}, **head},
                [{**one, "date": date.fromisoformat(one["date"])} for one in events],
            )
        )
    read = [[read_record("TH-004217.yaml", one, fast=fast).cask for fast in (True, False)] for one in files]
    read.append([read_cask(yaml.load(files[0], getattr(yaml, "CSafeLoader", yaml.SafeLoader)))[0]] * 2)
    (fast, slow), (other, _), (loaded, _) = read
    assert fast is not None and slow is not None and other is not None and loaded is not None
    assert fast == slow == loaded and fast.head == other.head
    lives = [live(one, HOUSE, day) for one in (fast, other)]
    first, second = (facts_of(life).as_dict() for life in lives)
    assert first == second
    assert [(fault.code, fault.message) for fault in lives[0].faults] == [(fault.code, fault.message) for fault in lives[1].faults]
