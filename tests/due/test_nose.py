"""Nosing wine casks, sulphured, faint and tainted ones."""

from __future__ import annotations

from datetime import date

import pytest
from casks import HOUSE, ev

from caskbook.model.house import House
from due.judged import RECEIVED, day_of, decided, due_house, emptied, examined, filled, nosed, of, said

WINE = {"type": "butt", "capacity_l": 500, "prior": [{"contents": "oloroso", "fills": 1}]}


def treated(day: str) -> dict[str, object]:
    return ev(day, "treat", method="steam", for_="taint")


def test_a_wine_cask_on_arrival_and_on_emptying() -> None:
    assert day_of(of("nose", "2020-01-12", RECEIVED, **WINE)) == "due 2020-01-10"
    clean = [RECEIVED, nosed("2020-01-11", "clean"), examined("2020-01-11"), filled("2020-01-20")]
    assert of("nose", "2020-01-12", RECEIVED, nosed("2020-01-11", "clean"), **WINE).verdict == "ok"
    assert of("nose", "2021-01-12", *clean, **WINE).verdict == "ok"
    verdict = of("nose", "2026-11-25", *clean, emptied("2026-11-20"), **WINE)
    assert day_of(verdict) == "due 2026-11-20"
    assert said(verdict) == "emptied 2026-11-20, held wine: nose before anything else"


def test_a_spirit_cask_is_not_nosed() -> None:
    assert of("nose", "2020-01-12", RECEIVED).verdict == "ok"


def test_a_word_of_the_house_for_wine() -> None:
    house = House({**HOUSE.raw, "wine_words": ["tokay"]})
    head = {**WINE, "prior": [{"contents": "tokay"}]}
    assert of("nose", "2020-01-12", RECEIVED, **head).verdict == "ok"
    assert of("nose", "2020-01-12", RECEIVED, house=house, **head).verdict == "due"


def test_sulphured_until_a_clean_nose() -> None:
    burnt = [RECEIVED, ev("2020-02-01", "sulphur", grams=5, why="to keep it")]
    assert day_of(of("nose", "2020-02-05", *burnt)) == "due 2020-02-01"
    assert of("nose", "2020-02-06", *burnt, nosed("2020-02-06", "clean")).verdict == "ok"


@pytest.mark.parametrize(
    ("day", "word", "late"),
    [
        ("2020-02-01", "soon 2020-02-08", False),
        ("2020-02-07", "soon 2020-02-08", False),
        ("2020-02-08", "due 2020-02-08", False),
        ("2020-02-15", "due 2020-02-08", False),
        ("2020-02-16", "due 2020-02-08", True),
    ],
)
def test_faint_again_after_a_week_and_late_after_two(day: str, word: str, late: bool) -> None:
    verdict = of("nose", day, RECEIVED, nosed("2020-02-01", "faint", "musty"))
    assert (day_of(verdict), verdict.well_past) == (word, late)
    turn = "2020-02-08" if verdict.verdict == "soon" else None if late else "2020-02-16"
    assert verdict.changes_on == (date.fromisoformat(turn) if turn else None)


def test_tainted_is_treated_then_nosed() -> None:
    tainted = [RECEIVED, nosed("2020-02-01", "fault", "musty")]
    verdict = of("nose", "2020-02-03", *tainted)
    assert day_of(verdict) == "due 2020-02-01"
    assert said(verdict) == "tainted since 2020-02-01 (musty): treat it, then nose again"
    verdict = of("nose", "2020-02-10", *tainted, treated("2020-02-09"))
    assert day_of(verdict) == "due 2020-02-09"
    assert "treated 2020-02-09: nose again" in said(verdict)
    faint = [*tainted, treated("2020-02-09"), nosed("2020-02-12", "faint")]
    assert day_of(of("nose", "2020-02-15", *faint)) == "soon 2020-02-19"
    assert of("nose", "2020-02-20", *faint, nosed("2020-02-20", "clean")).verdict == "ok"


def test_two_treatments_that_did_not_help_block_it_unless_it_is_kept() -> None:
    twice = [
        RECEIVED, nosed("2020-02-01", "fault", "musty"), treated("2020-02-02"), nosed("2020-02-09", "fault"), treated("2020-02-10"),
    ]  # fmt: skip
    assert of("nose", "2020-02-11", *twice).verdict == "due"
    still = [*twice, nosed("2020-02-20", "fault")]
    assert of("nose", "2020-02-21", *still).verdict == "blocked"
    kept = of("nose", "2020-02-21", *still, decided("2020-02-21", "retire", until="2020-03-01"))
    assert (day_of(kept), str(kept.changes_on)) == ("due 2020-02-20", "2020-03-02")


def test_off_and_quiet() -> None:
    assert of("nose", "2020-01-12", RECEIVED, house=due_house(nose={"off": True}), **WINE).verdict == "ok"
    assert of("nose", "2020-01-12", RECEIVED, decided("2020-01-11", "nose"), **WINE).verdict == "ok"
