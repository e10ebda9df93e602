"""Whatever was entered, possible or not: losses are worked out without a failure, add up, and no loss below nothing is unflagged."""

from __future__ import annotations

import json
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from casks import HOUSE, cask_of
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.due import judge
from caskbook.life import Life, live
from caskbook.life.facts import facts_of
from caskbook.loss import figures_of, fill_losses, loss_facts, loss_parts
from caskbook.loss.account import rows_of, total
from caskbook.loss.evidence import evidence
from caskbook.loss.slips import likely_slips
from loss.test_verdicts import PEERS

FIRST = date(2012, 1, 1)
LITRES = st.floats(0, 700).map(lambda value: round(value, 1))
ABV = st.floats(0, 100).map(lambda value: round(value, 1))
PLACE = st.fixed_dictionaries({"cask": st.just("TH-009000"), "litres": LITRES}, optional={"abv": ABV})


def job(word: str, optional: dict[str, Any] | None = None, **fields: Any) -> st.SearchStrategy[dict[str, Any]]:
    known = {key.rstrip("_"): value if isinstance(value, st.SearchStrategy) else st.just(value) for key, value in fields.items()}
    return st.fixed_dictionaries({"job": st.just(word), "by": st.just("ab"), **known}, optional=optional or {})


WARM = {"temp_c": st.floats(-20, 40).map(lambda value: round(value, 1)), "at_20": st.just(True)}
METHOD = st.sampled_from(["meter", "weigh", "dip"])
EVENTS = st.one_of(
    job("receive", WARM, verdict="accept"), job("receive", {"litres": LITRES, "abv": ABV, **WARM}, verdict="accept", spirit="malt"),
    job("fill", {"berth": st.just("W1"), "stow": st.just("upright-A"), **WARM}, spirit="malt", litres=LITRES, abv=st.floats(20, 95)),
    job("fill", WARM, spirit="malt", litres=LITRES, abv=63.5),
    job("regauge", {"litres": LITRES, **WARM}, gross_kg=st.floats(0, 700), abv=ABV, method=METHOD),
    job("regauge", WARM, wet_mm=st.floats(0, 3000), abv=ABV, method="dip"),
    job("regauge", WARM, dry_mm=st.floats(0, 3000), abv=ABV, method="dip"),
    job("draw", WARM, litres=LITRES, abv=ABV), job("top", WARM, litres=LITRES, abv=ABV), job("sample", ml=st.floats(0, 20000)),
    job("rack-out", {"left_l": LITRES, "lost_l": LITRES, **WARM}, to=st.lists(PLACE, min_size=1, max_size=2), why="room"),
    job("rack-in", WARM, from_=st.lists(PLACE, min_size=1, max_size=2), spirit=st.sampled_from(["malt", "grain"]), oak_since="unknown"),
    job("empty", {"why": st.sampled_from(["drawn", "leaked-out"]), **WARM}, litres=LITRES, abv=ABV),
    job("measure", {"capacity_l": st.floats(1, 700), "tare_kg": st.floats(0, 200)}, dims_mm=st.fixed_dictionaries({}, optional=dict.fromkeys(("bung", "head", "length"), st.floats(1, 3000)))),
    job("season", wine="oloroso", litres=190.0), job("leak", at="joint-3", severity="weep"), job("dispose", how="sold"), job("missing"),
)  # fmt: skip
HISTORIES = st.lists(st.tuples(EVENTS, st.integers(0, 600)), max_size=14)


def life_of(history: list[tuple[dict[str, Any], int]]) -> Life:
    day, events = FIRST, []
    for event, later in history:
        day += timedelta(days=later)
        events.append({**event, "date": str(day)})
    return live(cask_of(*events), HOUSE, date(2040, 1, 1))


def holds(history: list[tuple[dict[str, Any], int]]) -> None:
    life = life_of(history)
    for loss in fill_losses(life):
        for one in loss.intervals:
            assert one.share is None or one.share >= 0 or {"gain", "within-error"} & set(one.flags)
            assert one.share is None or one.share <= 1 + 1e-9 or any(move.litres_20 < 0 for move in one.moves)
        parts = [one.lost for one in loss.intervals]
        if loss.whole is not None and None not in parts:
            assert loss.whole.lost == sum((part for part in parts if part is not None), Decimal(0))
    json.dumps(loss_facts(life, PEERS), default=str, allow_nan=False)
    rows = rows_of(life, PEERS)
    assert total(rows).lpa == sum((row.lpa for row in rows if row.lpa is not None), Decimal("0.00"))
    assert all("\n" not in text for text in loss_parts(life, PEERS))
    assert all(len(row) in (1, len(rows[0])) for _, rows in evidence(life, PEERS) for row in rows)
    assert len(figures_of(life)) == len(rows)
    for event in life.cask.events[-2:]:
        likely_slips(life, event)
    judge(life, facts_of(life), peers=PEERS)


@settings(max_examples=many(40), deadline=None)
@given(HISTORIES)
def test_any_history(history: list[tuple[dict[str, Any], int]]) -> None:
    holds(history)


@pytest.mark.slow
@settings(max_examples=3000, deadline=None)
@given(HISTORIES)
def test_many_histories(history: list[tuple[dict[str, Any], int]]) -> None:
    holds(history)
