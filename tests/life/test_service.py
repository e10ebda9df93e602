"""Spans of service of one cask: when a char, the cask and its staves begin, from when they are watched, and how they end."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from casks import ev, facts_on, life_on

from caskbook.life.service import AGAIN, BUNG, FIRST, GONE, OTHER, RECHARRED, REPLACED, Service, services_of

RECEIVED = ev("2015-03-12", "receive", verdict="accept")
OPENED = ev("2020-01-01", "open", heads=["A"])
DAY = "2026-06-30"


def filled(day: str, berth: str | None = None) -> dict[str, Any]:
    return ev(day, "fill", spirit="malt", litres=190, abv=63.5, at_20=True, **({"berth": berth} if berth else {}))


def emptied(day: str) -> dict[str, Any]:
    return ev(day, "empty", litres=150, abv=60, at_20=True)


def spans(what: str, *events: dict[str, Any], day: str = DAY, **head: Any) -> list[Service]:
    return [one for one in services_of(life_on(day, *events, **head)) if one.what == what]


def test_a_char_of_before_the_book_is_watched_from_the_receipt_until_the_next_one() -> None:
    events = [RECEIVED, filled("2015-04-01"), emptied("2019-12-01"), OPENED, ev("2020-01-02", "char", level=3), filled("2020-02-01")]
    first, again = spans("char", *events)
    assert first == Service("char", date(2011, 7, 1), date(2015, 3, 12), date(2020, 1, 2), RECHARRED, FIRST, None, 1, 2, about=True)
    assert again == Service("char", date(2020, 1, 2), None, None, "", AGAIN, None, None, 1)
    assert facts_on(DAY, *events).fills_since_char == again.fills


@pytest.mark.parametrize(
    ("charred", "lacks"), [("unknown", "last char not known"), ("never", "never charred"), ("2015-04", "said to be charred after it came")]
)
def test_a_char_of_no_known_age_is_left_out_with_why(charred: str, lacks: str) -> None:
    assert spans("char", RECEIVED, charred=charred) == [Service("char", None, lacks=lacks)]


def test_a_first_char_here_of_a_cask_never_charred_is_no_lack() -> None:
    (one,) = spans("char", RECEIVED, OPENED, ev("2020-01-02", "char", level=3), charred="never", prior=[])
    assert (one.start, one.entry, one.sort, one.fills) == (date(2020, 1, 2), None, FIRST, 0)


def test_a_year_that_has_not_reached_july_counts_from_the_receipt() -> None:
    (one,) = spans("char", RECEIVED, charred=2015)
    assert (one.start, one.entry, one.about) == (date(2015, 3, 12), None, True)
    (cask,) = spans("cask", RECEIVED, made=2015)
    assert (cask.start, cask.entry, cask.received) == (date(2015, 3, 12), None, False)


def test_fills_before_us_that_nobody_knows_leave_the_fills_unknown() -> None:
    (one,) = spans("char", RECEIVED, prior="absent")
    assert (one.start, one.fills_in, one.fills) == (date(2011, 7, 1), None, None)


@pytest.mark.parametrize(
    ("event", "kind"),
    [
        (ev("2021-05-05", "dispose", how="sold"), "sold"), (ev("2021-05-05", "dispose", how="stolen"), "lost"),
        (ev("2021-05-05", "dispose", how="kept-by-shop"), "returned"), (ev("2021-05-05", "dispose", how="scrapped"), "scrapped"),
        (ev("2021-05-05", "break-up"), "broken up"), (ev("2021-05-05", "convert", children=["TR-000001"]), "converted"),
        (ev("2021-05-05", "retire", reasons=["spent"], approved_by="kd"), "retired"),
    ],
)  # fmt: skip
def test_a_cask_ends_by_its_retirement_or_leaving_and_with_it_char_and_staves(event: dict[str, Any], kind: str) -> None:
    events = (RECEIVED, event)
    (cask,) = spans("cask", *events, made=2010)
    assert (cask.start, cask.entry, cask.end, cask.kind) == (date(2010, 7, 1), date(2015, 3, 12), date(2021, 5, 5), kind)
    (char,) = spans("char", *events)
    assert (char.end, char.kind) == (date(2021, 5, 5), GONE)
    assert {(one.end, one.kind) for one in spans("stave", *events)} == {(date(2021, 5, 5), "")}


def test_the_retirement_ends_it_and_not_the_breaking_up_that_follows() -> None:
    retired = ev("2021-05-05", "retire", reasons=["spent"], approved_by="kd")
    (cask,) = spans("cask", RECEIVED, retired, ev("2022-05-05", "break-up"))
    assert (cask.end, cask.kind, cask.received) == (date(2021, 5, 5), "retired", True)


def test_what_is_missing_was_last_seen_when_it_was_missed() -> None:
    missed = ev("2021-05-05", "missing")
    (cask,) = spans("cask", RECEIVED, missed)
    assert (cask.end, cask.kind) == (date(2021, 5, 5), "")
    (cask,) = spans("cask", RECEIVED, missed, ev("2021-06-05", "found", berth="R1"))
    assert (cask.end, cask.kind) == (None, "")


def test_a_cask_said_to_be_made_after_it_came_is_left_out() -> None:
    assert spans("cask", RECEIVED, made=2016) == [Service("cask", None, lacks="said to be made after it came")]


def replaced(day: str, *staves: int | str, after: int | None = None) -> dict[str, Any]:
    return ev(day, "stave", staves=list(staves), action="replace", from_="new", **({} if after is None else {"staves_after": after}))


def counted(*events: dict[str, Any], **head: Any) -> dict[tuple[str, str, bool], int]:
    """(position, how it ended, whether put in here) → staves."""
    found: dict[tuple[str, str, bool], int] = {}
    for one in spans("stave", *events, **head):
        key = one.sort, one.kind, one.entry is None and not one.received
        found[key] = found.get(key, 0) + one.weight
    return found


def test_staves_end_by_replacement_and_the_new_one_begins() -> None:
    assert counted(RECEIVED, OPENED, replaced("2020-01-02", 1, 7), made=2010) == {
        (BUNG, REPLACED, False): 1, (OTHER, REPLACED, False): 1, (BUNG, "", True): 1, (OTHER, "", True): 1, (OTHER, "", False): 29,
    }  # fmt: skip


def test_two_staves_for_one_and_one_for_two() -> None:
    two = [RECEIVED, OPENED, replaced("2020-01-02", 7, after=32)]
    assert counted(*two, made=2010)[OTHER, "", True] == 2
    assert counted(*two, replaced("2021-01-02", "7b"), made=2010) == {
        (BUNG, "", False): 1, (OTHER, "", False): 29, (OTHER, REPLACED, False): 1, (OTHER, REPLACED, True): 1, (OTHER, "", True): 2,
    }  # fmt: skip
    assert counted(RECEIVED, OPENED, replaced("2020-01-02", 7, 8, after=30), made=2010)[OTHER, "", True] == 1


def test_the_bung_stave_is_the_one_that_is_bored() -> None:
    moved = ev("2016-01-01", "bung", action="moved", to=16)
    assert counted(RECEIVED, moved, OPENED, replaced("2020-01-02", 16), made=2010)[BUNG, REPLACED, False] == 1


def test_staves_of_a_cask_knocked_down_are_followed_no_further() -> None:
    down = [RECEIVED, ev("2020-01-01", "knock-down"), ev("2020-02-01", "raise", staves=31)]
    assert {one.end for one in spans("stave", *down, made=2010)} == {date(2020, 1, 1)}


def test_staves_that_nobody_counted_or_that_come_from_other_casks_are_left_out() -> None:
    assert spans("stave", RECEIVED, staves="absent") == [Service("stave", None, lacks="number of staves not known")]
    share = {"cask": "TH-000001", "staves": 31}
    inherited = {"fills_life": 3, "fills_since_char": 2, "char_count": 1, "rechar_count": 0, "last_char": "2012-01-01", "held": "spirit"}
    made = ev("2020-01-01", "made-from", parents=[share], inherited=inherited)
    (lack,) = spans("stave", made)
    assert (lack.lacks, lack.weight) == ("staves of other casks, of an age not known", 31)
    (cask,) = spans("cask", made, made=2001)
    assert (cask.start, cask.entry, cask.received) == (date(2020, 1, 1), None, False)
    (char,) = spans("char", made)
    assert (char.start, char.entry, char.fills_in, char.fills) == (date(2012, 1, 1), date(2020, 1, 1), 2, 2)


def test_before_the_first_entry_and_of_a_cask_told_in_part_there_is_nothing() -> None:
    assert services_of(life_on("2014-01-01", RECEIVED)) == ()


def test_a_span_goes_into_a_row_and_back() -> None:
    for one in services_of(life_on(DAY, RECEIVED, filled("2015-04-01", "R1"), made=2010)):
        assert Service.of_row(one.as_row()) == one
