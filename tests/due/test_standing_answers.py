"""Over random histories: judging never fails, and an answer stands exactly until the day it names."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from casks import HOUSE, cask_of
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.due import Verdict, changes_on, judge
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.life.later import without_later
from caskbook.model.cask import Cask
from caskbook.model.house import House

FIRST = date(2018, 1, 1)
PLACES = st.sampled_from(["stave-14", "joint-3", "head-A-2", "croze-B", "hoop-A-1", "unseen"])
LATER = st.integers(0, 2000).map(lambda n: str(FIRST + timedelta(days=n)))


def job(word: str, **fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    """An event without its date and id; fields are strategies or plain values."""
    drawn = {key.rstrip("_"): value if isinstance(value, st.SearchStrategy) else st.just(value) for key, value in fields.items()}
    return st.fixed_dictionaries({"job": st.just(word), "by": st.just("ab"), **drawn})


DEFECTS = st.fixed_dictionaries({"at": PLACES, "defect": st.just("cracked"), "severity": st.sampled_from([1, 2, 3])})
FINDINGS = st.lists(DEFECTS, max_size=2)
LEAKS = st.lists(st.fixed_dictionaries({"at": PLACES}), min_size=1, max_size=2)
STAVES = st.lists(st.integers(1, 31), min_size=1, max_size=8)
ABV = st.sampled_from([41.0, 43.0, 60.0])
RULES = ["rechar", "retest", "examine", "nose", "look", "hold", "regauge", "retire", "claim"]
EVENTS = st.one_of(
    job("receive", verdict=st.sampled_from(["accept", "hold", "reject"]), findings=FINDINGS),
    job("receive", verdict="accept", contents="spirit", spirit="malt", claim_by=LATER),
    job("examine", verdict=st.sampled_from(["sound", "hold", "reject"]), findings=FINDINGS, soaked=st.sampled_from([0.2, 0.6])),
    job("examine", verdict="repair", findings=st.lists(DEFECTS, min_size=1, max_size=2), soaked=st.sampled_from([0.2, 0.6])),
    job("nose", verdict=st.sampled_from(["clean", "faint", "fault"])),
    job("treat", method="steam", for_="taint"),
    job("test", psi=11, result="pass"),
    job("test", psi=11, result="fail", leaks=LEAKS),
    job("drive"), job("hoop", hoops=["A-2"]), job("flag", at=["joint-3"]), job("peg", at=PLACES, kind="spile"),
    job("bung", action="rebore"), job("open", heads=["A"]), job("close", heads=["A"]), job("char", level=3),
    job("toast", level="medium"), job("stave", staves=STAVES, action="replace", from_="new"),
    job("measure", stave_mm=st.sampled_from([17.0, 25.0])), job("sulphur", grams=5, why="kept"),
    job("season", wine="oloroso", litres=190.0),
    job("fill", spirit="malt", litres=190.0, abv=ABV), job("fill", spirit="malt", litres=190.0, abv=ABV),
    job("empty", litres=150.0, abv=55.0), job("empty", litres=150.0, abv=55.0),
    job("regauge", litres=170.0, abv=ABV, method="dip"),
    job("leak", at=PLACES, severity=st.sampled_from(["weep", "drip", "run"])), job("leak", at=PLACES, severity="weep", look_again=LATER),
    job("look", seen=st.sampled_from(["dry", "weep", "drip", "run"])),
    job("rack-out", to=[{"cask": "TH-009000", "litres": 100.0}], left_l=st.sampled_from([0, 20.0]), why="room"),
    job("rack-in", from_=[{"cask": "TH-009000", "litres": 100.0, "abv": 58.0}], spirit="malt", oak_since="unknown"),
    job("hold", why="unsure"), job("release", why="well", approved_by="KD"),
    job("send", to="shop-hollow", why="work"), job("return", verdict="accept"), job("missing"), job("found"),
    job("retire", reasons=["spent"], approved_by="KD"), job("knock-down"), job("raise"),
    job("made-from", parents=[{"unnumbered": "two barrels"}], inherited=st.sampled_from([{}, {"fills_life_min": 4, "last_char": 2010, "held": "spirit"}])),
    job("decide", rule=st.sampled_from(RULES), outcome="defer", until=LATER, why="busy", approved_by="KD"),
    job("decide", rule=st.sampled_from(RULES), outcome="keep", why="good", approved_by="KD"),
)  # fmt: skip
HEADS = st.fixed_dictionaries(
    {
        "type": st.sampled_from(["barrel", "hogshead", "butt"]),
        "prior": st.sampled_from(
            ["absent", [], [{"contents": "bourbon"}], [{"contents": "bourbon", "fills": 4}], [{"contents": "oloroso", "fills": 1}], [{"contents": "tokay"}]]
        ),
        "charred": st.sampled_from(["absent", "unknown", "never", 2011]),
        "made": st.sampled_from(["absent", 1970, "1969-03", "2011-02-28"]),
        "staves": st.sampled_from(["absent", 24, 31]),
    }
)


def dated(*values: Any) -> st.SearchStrategy[list[dict[str, Any]]]:
    """A setting that changes on a few days."""
    return st.lists(st.fixed_dictionaries({"since": LATER, "value": st.sampled_from(values)}), min_size=1, max_size=2)


HOUSES = st.one_of(
    st.just(HOUSE),
    st.fixed_dictionaries(
        {
            "examine_valid_days": dated(10, 90), "test_valid_days": dated(5, 200), "fill_needs": dated("examine", "test"),
            "wine_words": dated(["tokay"]), "count_prior": dated(True, False),
            "due": st.fixed_dictionaries({
                "rechar": st.fixed_dictionaries({"due_at": dated(1, 2, 7)}), "look": st.fixed_dictionaries({"new_fill_days": dated([2, 7, 30]), "weep_days": dated(3)}),
                "hold": st.fixed_dictionaries({"after_days": dated(3, 30)}), "nose": st.fixed_dictionaries({"off": dated(True, False)}),
                "regauge": st.fixed_dictionaries({"first_year": dated(1, 3)}), "retire": st.fixed_dictionaries({"points": dated(1)}),
                "claim": st.fixed_dictionaries({"days": dated(10, 500)}),
            }),
        }
    ).map(House),
)  # fmt: skip


@st.composite
def histories(draw: st.DrawFn) -> tuple[Cask, House, date]:
    """A cask with random events, legal or not, a house, and a day in or after that history."""
    events = draw(st.lists(EVENTS, min_size=draw(st.integers(0, 20)), max_size=25))
    days = sorted(draw(st.lists(st.integers(0, 1500), min_size=len(events), max_size=len(events))))
    placed = [{**event, "date": str(FIRST + timedelta(days=day))} for event, day in zip(events, days, strict=True)]
    day = FIRST + timedelta(days=draw(st.one_of(st.integers(0, 2200), st.sampled_from([0, *days]))))
    return cask_of(*placed, **draw(HEADS)), draw(HOUSES), day


def judged(cask: Cask, house: House, day: date) -> list[Verdict]:
    life = live(cask, house, day)
    return judge(life, facts_of(life))


def face(verdict: Verdict) -> tuple[object, ...]:
    """All that a reader sees of it."""
    return verdict.verdict, verdict.since, verdict.well_past, verdict.reasons, verdict.decided, verdict.severity


def well_formed(verdict: Verdict, day: date) -> None:
    assert (verdict.since is None) or verdict.verdict in ("due", "soon")
    if verdict.verdict == "due":
        assert verdict.since is not None and verdict.since <= day
    if verdict.verdict == "soon" and verdict.since is not None:
        assert verdict.since > day and verdict.changes_on is not None and verdict.changes_on <= verdict.since
    assert verdict.reasons and all(reason and len(reason) <= 170 and reason.isprintable() for reason in verdict.reasons)
    assert verdict.changes_on is None or verdict.changes_on > day


def stands(cask: Cask, house: House, day: date, offset: int) -> None:
    """Nothing changes before the day named, and on it something does, or the file goes on."""
    entered = {event.date for event in cask.events}
    answers = judged(cask, house, day)
    life = live(cask, house, day)
    for verdict in answers:
        well_formed(verdict, day)
        until = verdict.changes_on
        last = until - timedelta(days=1) if until else day + timedelta(days=30_000)
        for later in {last, day + timedelta(days=min(offset, (last - day).days))}:
            same = next(v for v in judged(cask, house, later) if v.rule == verdict.rule)
            assert face(same) == face(verdict), (verdict.rule, day, later)
        if until and until not in entered:
            other = next(v for v in judged(cask, house, until) if v.rule == verdict.rule)
            assert face(other) != face(verdict), (verdict.rule, day, until)
    end = changes_on(life, answers)
    assert end is None or end > day


def turns(cask: Cask, house: House, day: date, offset: int) -> None:
    """On the day on which the word turns it is another than the day before, and on no earlier day, of what was entered up to now."""
    known = without_later(cask, day)
    for verdict in judged(cask, house, day):

        def word(on: date, rule: str = verdict.rule) -> str:
            return next(one.verdict for one in judged(known, house, on) if one.rule == rule)

        turn = verdict.turns_on
        last = turn - timedelta(days=1) if turn else day + timedelta(days=30_000)
        for later in {last, day + timedelta(days=min(offset, (last - day).days))}:
            assert word(later) == verdict.verdict, (verdict.rule, day, later)
        assert turn is None or word(turn) != verdict.verdict, (verdict.rule, day, turn)


@pytest.mark.thorough
@given(histories(), st.integers(1, 4000))
@settings(max_examples=many(120), deadline=None)
def test_the_word_of_a_verdict_turns_on_the_day_it_names_and_on_none_before(history: tuple[Cask, House, date], offset: int) -> None:
    turns(*history, offset)


@pytest.mark.slow
@given(histories(), st.integers(1, 4000))
@settings(max_examples=5000, deadline=None)
def test_the_word_of_a_verdict_turns_on_the_day_it_names_at_length(history: tuple[Cask, House, date], offset: int) -> None:
    turns(*history, offset)


@pytest.mark.thorough
@given(histories(), st.integers(1, 4000))
@settings(max_examples=many(120), deadline=None)
def test_an_answer_stands_until_the_day_it_names(history: tuple[Cask, House, date], offset: int) -> None:
    stands(*history, offset)


@pytest.mark.slow
@given(histories(), st.integers(1, 4000))
@settings(max_examples=5000, deadline=None)
def test_an_answer_stands_until_the_day_it_names_at_length(history: tuple[Cask, House, date], offset: int) -> None:
    stands(*history, offset)
