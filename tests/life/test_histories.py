"""Random histories: legal ones by a small model of the trade that knows nothing of the fold, and illegal ones."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import pytest
from casks import HOUSE, cask_data
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.due import judge
from caskbook.life import Life, live
from caskbook.life.facts import Facts, facts_of
from caskbook.model.cask import read_cask
from caskbook.model.house import House
from caskbook.model.jobs import JOBS

STATES = {
    "gone", "missing", "away", "filled", "seasoning", "shook", "open", "emptied", "rejected", "retired", "held", "tainted", "sulphured",
    "unexamined", "repair", "failed", "untested", "ready",
}  # fmt: skip
COUNTS = ("fills", "fills_life_min", "fails_this_visit", "hoops_replaced", "heads_replaced", "bung_stave_replacements", "treatments")
SHOP = {"by": "shop-rivet"}


@dataclass
class Bench:
    """The least that decides which job a cooper could do next."""

    contents: str = "empty"
    out: set[str] = field(default_factory=set)
    shook: bool = False
    where: str = "here"

    def choices(self) -> list[str]:
        anywhere = ["note", "hold", "release", "mark", "decide", "grade"]
        if self.where == "missing":
            return [*anywhere, "found"]
        empty, whole = self.contents == "empty", not self.out and not self.shook
        if self.where == "away":
            return [*anywhere, "return", *(["examine", "nose"] if empty and not self.shook else [])]
        jobs = [*anywhere, "move", "send", "missing", "measure"]
        if not empty:
            jobs += ["regauge", "draw", "top", "sample", "leak", "look", "empty", "rack-out"]
            jobs += ["drive", "peg", "bung", "hoop"]
        elif self.shook:
            jobs += ["nose", "treat", "flag", "sulphur", "raise", "retire"]
        else:
            jobs += ["examine", "nose", "treat", "flag", "hoop", "bung", "sulphur", "retire"]
            jobs += (
                ["soak", "test", "drive", "peg", "open", "season", "fill", "rack-in", "knock-down"]
                if whole
                else ["stave", "head", "shave", "toast", "char", "close"]
            )
            jobs += ["open"] if len(self.out) == 1 else []
        return jobs

    def fields(self, job: str, draw: st.DrawFn) -> dict[str, Any]:
        """The fields of a job; closing puts in one of the heads that are out, or both; of an open cask only the other head is opened."""
        if job == "close":
            return {"heads": sorted(self.out) if draw(st.booleans()) else sorted(self.out)[:1]}
        if job == "open" and self.out:
            return {"heads": sorted({"A", "B"} - self.out)}
        made: dict[str, Any] = FIELDS[job](draw) if job in FIELDS else {}
        # A strength is that of what is in the cask.
        return {**made, "abv": 17.0} if self.contents == "wine" and "abv" in made else made

    def after(self, event: dict[str, Any]) -> None:
        """What the job leaves behind."""
        job = event["job"]
        if job == "open":
            self.out |= set(event["heads"])
        elif job == "close":
            self.out -= set(event["heads"])
        elif job in ("fill", "rack-in", "season"):
            self.contents = "wine" if job == "season" else "spirit"
        elif job in ("empty", "rack-out"):
            self.contents = "empty"
        elif job in ("send", "missing"):
            self.where = {"send": "away", "missing": "missing"}[job]
        elif job in ("return", "found"):
            self.where = "here"
        elif job in ("knock-down", "raise"):
            self.shook = job == "knock-down"


def one_of(*values: Any) -> Any:
    return lambda draw, values=values: draw(st.sampled_from(values))


FIELDS: dict[str, Any] = {
    "note": one_of({"note": "seen"}), "hold": one_of({"why": "x"}), "release": one_of({"why": "x", "approved_by": "ql"}),
    "mark": one_of({"text": "7", "kind": "paint", "at": "head-A"}), "grade": one_of({"grade": "A"}),
    "decide": one_of({"rule": "rechar", "outcome": "defer", "until": "2030-01-01", "why": "x", "approved_by": "ql"}),
    "move": one_of({"berth": "W1"}), "send": one_of({"to": "shop-rivet", "why": "char"}), "return": one_of({"verdict": "accept"}, {"verdict": "hold"}),
    "measure": one_of({"capacity_l": 199.0}, {"stave_mm": 22.0}, {"hoops": 8}), "found": one_of({}, {"berth": "W2"}),
    "regauge": one_of({"litres": 180.0, "abv": 60.0, "method": "dip"}), "draw": one_of({"litres": 5.0, "abv": 60.0}),
    "top": one_of({"litres": 5.0, "abv": 60.0}, {"litres": 5.0, "abv": 60.0, "oak_since": "2001-01-01"}), "sample": one_of({"ml": 100.0}),
    "leak": one_of({"at": "joint-3", "severity": "weep"}, {"at": "croze-A", "severity": "run"}), "look": one_of({"seen": "dry"}, {"seen": "drip", "at": "joint-3"}),
    "empty": one_of({"litres": 170.0, "abv": 60.0}, {"litres": 0.0}), "rack-out": one_of({"to": [{"cask": "TH-000001", "litres": 100.0}], "why": "x"}),
    "drive": one_of({}, {"hoops": ["A-1"]}), "peg": one_of({"at": "joint-3", "kind": "wedge"}), "hoop": one_of({"hoops": ["B-1", "B-2"], "from": "new"}),
    "bung": one_of({"action": "rebore"}, {"action": "moved", "to": 5}, {"action": "replace"}),
    "examine": one_of({"verdict": "sound"}, {"verdict": "repair", "findings": [{"at": "stave-4", "defect": "cracked"}]}, {"verdict": "hold"}),
    "nose": one_of({"verdict": "clean"}, {"verdict": "faint"}, {"verdict": "fault", "faults": ["musty"]}),
    "treat": one_of({"method": "steam", "for": "taint"}), "flag": one_of({"at": ["joint-3"]}), "sulphur": one_of({"grams": 5.0, "why": "store"}),
    "retire": one_of({"reasons": ["old"], "approved_by": "ql"}), "soak": one_of({"method": "cold"}), "raise": one_of({}, {"staves": 31}),
    "test": one_of({"psi": 10.0, "result": "pass"}, {"psi": 10.0, "result": "fail", "leaks": [{"at": "joint-3"}]},
                   {"psi": 10.0, "result": "pass", "leaks": [{"at": "joint-3"}], "cured_by": "drive"}),
    "open": one_of({"heads": ["A"]}, {"heads": ["A", "B"]}), "season": one_of({"wine": "oloroso", "litres": 190.0}), "knock-down": one_of({}),
    "fill": one_of({"spirit": "malt", "litres": 190.0, "abv": 63.0}), "rack-in": one_of({"from": [{"cask": "TH-000001", "litres": 150.0}], "spirit": "malt", "oak_since": "unknown"}),
    "stave": one_of({"staves": [4], "action": "replace", "from": "new"}, {"staves": ["4b"], "action": "rejoint"}),
    "head": one_of({"head": "B", "action": "replace", "from": "new"}, {"head": "A", "action": "redowel"}),
    "shave": one_of({"method": "flail"}), "toast": one_of({"level": "medium"}), "char": one_of({"level": 3}),
}  # fmt: skip


@st.composite
def legal_histories(draw: st.DrawFn) -> list[dict[str, Any]]:
    bench, day = Bench(), date(2001, 1, 1)
    events: list[dict[str, Any]] = [{"id": "e0000000", "date": day, "job": "receive", "by": "ab", "verdict": "accept"}]
    for n in range(1, draw(st.integers(0, 59)) + 1):
        day += timedelta(days=draw(st.sampled_from([0, 0, 1, 5, 40, 400])))
        job = draw(st.sampled_from(bench.choices()))
        by = SHOP if bench.where == "away" and job in ("examine", "nose") else {"by": "ab"}
        events.append({"id": f"e{n:07d}", "date": day, "job": job, **by, **bench.fields(job, draw)})
        bench.after(events[-1])
    return events


def told(events: list[dict[str, Any]], day: date) -> tuple[list[str], Facts]:
    cask, faults = read_cask({**cask_data(), "events": events})
    assert cask is not None and not faults, faults
    life = live(cask, HOUSE, day)
    return [fault.code for fault in life.faults if fault.severity == "error"], facts_of(life)


@pytest.mark.thorough
@settings(max_examples=many(150), deadline=None)
@given(legal_histories())
def test_a_legal_history_has_no_impossible_entry_and_no_illegal_figure(events: list[dict[str, Any]]) -> None:
    last = events[-1]["date"]
    errors, facts = told(events, last)
    assert errors == []
    assert facts.state in STATES
    assert all(getattr(facts, name) >= 0 for name in COUNTS)
    assert facts.fills_since_char is None or 0 <= facts.fills_since_char <= (facts.fills or 0) + 1
    assert 0 <= (facts.years_in_wood_since_char or 0) <= (facts.years_in_wood or 0)
    assert (facts.fitness is None) == (facts.contents != "empty")


@pytest.mark.thorough
@settings(max_examples=many(60), deadline=None)
@given(legal_histories())
def test_one_by_one_or_at_once_it_is_the_same_life(events: list[dict[str, Any]]) -> None:
    """On every day: the life read from the whole file equals that of a file holding only what was done by then."""
    for n in range(1, len(events) + 1, 7):
        day = events[n - 1]["date"]
        by_then = [event for event in events if event["date"] <= day]
        assert told(events, day) == told(by_then, day)
        assert told(list(reversed(by_then)), day)[1] == told(by_then, day)[1]


@pytest.mark.thorough
@settings(max_examples=many(100), deadline=None)
@given(legal_histories(), st.data())
def test_an_impossible_entry_is_always_found(events: list[dict[str, Any]], data: st.DataObject) -> None:
    """One entry put in that the model says nobody could have done."""
    bench = Bench()
    for event in events:
        bench.after(event)
    impossible = sorted(set(FIELDS) - set(bench.choices()) - {"rack-in", "close"} | ({"open"} if bench.out else set()))
    job = data.draw(st.sampled_from(impossible))
    fields = FIELDS[job](data.draw)
    if job == "open" and bench.out:
        # With one head out the other may come out too: what cannot be is to take out one that is out.
        fields = {"heads": sorted(bench.out | set(fields["heads"]))}
    extra = {"id": "e9999999", "date": events[-1]["date"], "job": job, "by": "ab", **fields}
    errors, _ = told([*events, extra], events[-1]["date"])
    assert errors, job


def test_the_model_knows_most_jobs() -> None:
    left_out = {"receive", "convert", "made-from", "swap-heads", "break-up", "dispose", "moved", "same-as", "correct", "void", "missing", "close"}
    assert left_out <= set(JOBS) - set(FIELDS) and set(FIELDS) < set(JOBS)
    assert len(FIELDS) >= 42, "a job that was drawn is drawn no longer; a new one may be, by a line in FIELDS and one in `choices`"


def test_the_other_head_may_be_opened_and_the_same_one_may_not() -> None:
    out = [{"heads": ["A", "B"], "job": "open"}, {"heads": ["A"], "job": "close"}, {"heads": ["A"], "job": "open"}]
    day = date(2001, 1, 1)
    events: list[dict[str, Any]] = [{"id": "e0000000", "date": day, "job": "receive", "by": "ab", "verdict": "accept"}]
    events += [{"id": f"e{n:07d}", "date": day, "by": "ab", **fields} for n, fields in enumerate(out, 1)]
    assert told(events, day)[0] == []
    again = {"id": "e0000009", "date": day, "by": "ab", "job": "open", "heads": ["A"]}
    assert told([*events, again], day)[0] == ["head-already-out"]


def life_at_end(events: list[dict[str, Any]], house: House) -> Life:
    cask, _ = read_cask({**cask_data(), "events": events})
    assert cask is not None
    return live(cask, house, events[-1]["date"])


@pytest.mark.thorough
@pytest.mark.parametrize("needs", ["examine", "test"])
@settings(max_examples=many(100))
@given(events=legal_histories())
def test_ready_and_retest_due_never_meet(needs: str, events: list[dict[str, Any]]) -> None:
    house = House({**HOUSE.raw, "fill_needs": needs})
    life = life_at_end(events, house)
    facts = facts_of(life)
    words = {verdict.rule: verdict.verdict for verdict in judge(life, facts)}
    if facts.fitness == "ready" and facts.whereabouts == "here":
        assert words["retest"] not in ("due", "blocked"), words


@pytest.mark.thorough
@settings(max_examples=many(100))
@given(legal_histories())
def test_an_empty_cask_that_is_not_ready_has_a_line(events: list[dict[str, Any]]) -> None:
    life = life_at_end(events, HOUSE)
    facts = facts_of(life)
    if (
        facts.contents != "empty"
        or facts.whereabouts != "here"
        or facts.fitness in ("ready", "retired")
        or "retired" in (facts.marks or [])
        or facts.form == "shook"
    ):
        return
    assert any(verdict.verdict in ("due", "soon", "blocked", "unknown") for verdict in judge(life, facts)), facts.fitness
