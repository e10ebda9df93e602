"""Every job of the trade, put right: on another day, on another cask and out of force it leaves the casks as if it had been entered so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from entry.shop import CASK, Shop, days_ago
from entry.states import STATES
from entry.test_every_job import CASES, OTHER, arranged, begun, typed

from caskbook.cli.commands.correct import move_event, void
from caskbook.cli.commands.redate import redate
from caskbook.entry.redate import TIMELESS
from caskbook.ledger.files import file_of

pytestmark = pytest.mark.thorough

RIGHT = "TH-004230"
FIRST = [(case.job, case.good[0]) for case in CASES if case.good and case.job not in ("moved", "void")]
BY_JOB = {case.job: case for case in CASES}
WRONG, TODAY = days_ago(1), days_ago(0)


@pytest.fixture(autouse=True)
def by_ab(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_BY", "ab")


def entered(folder: Path, job: str, state: str, day: Any) -> Shop:
    """A shop in which the job stands on a sheet of that day; with a second cask in the same state."""
    shop = Shop(folder)
    words = arranged(shop, BY_JOB[job], state)
    if STATES[state] is not None:
        shop.put(*begun(state), cask=RIGHT)
    ran = shop.enter(*typed([*words, "--sheet", "Z-9", "--date", day.isoformat()]))
    assert ran.code == 0, ran.err
    return shop


def lives(shop: Shop, *casks: str) -> list[dict[str, Any]]:
    """The facts of these casks, and what the check finds in their files."""
    there = [cask for cask in casks if (shop.root / file_of(cask)).exists()]
    return [{**shop.facts(cask).as_dict(), "cask": "", "codes": shop.codes(cask)} for cask in there]


@pytest.mark.parametrize(("job", "state"), FIRST)
def test_on_another_day(tmp_path: Path, job: str, state: str) -> None:
    shop = entered(tmp_path / "wrong", job, state, WRONG)
    untouched = None if STATES[state] is None else lives(plain(tmp_path / "plain", job, state), CASK, OTHER)
    ran = shop.run(redate, "--sheet", "Z-9", "--date", TODAY.isoformat(), "--yes")
    assert ran.code == 0, ran.err
    if job in TIMELESS:
        assert "nothing to write" in ran.err
        return
    right = entered(tmp_path / "right", job, state, TODAY)
    assert named(lives(shop, CASK, OTHER)) == named(lives(right, CASK, OTHER))
    assert shop.run(void, "--sheet", "Z-9", "--why", "never done", "--yes").code == 0
    if untouched is not None:
        assert lives(shop, CASK, OTHER) == untouched


@pytest.mark.parametrize(("job", "state"), FIRST)
def test_on_another_cask(tmp_path: Path, job: str, state: str) -> None:
    shop = entered(tmp_path / "wrong", job, state, WRONG)
    if STATES[state] is None:
        return  # A number that is not in the book has no place for a receipt of another.
    before = {cask: shop.path(cask).read_bytes() for cask in (CASK, RIGHT)}
    ran = shop.run(move_event, "--sheet", "Z-9", "--map", f"{CASK}={RIGHT}", "--why", "misread", "--yes")
    if ran.code == 1:
        assert ("cannot be moved" in ran.err or "names the" in ran.err) and {cask: shop.path(cask).read_bytes() for cask in before} == before, ran.err
        assert job in ("same-as", "look", "convert", "rack-in", "rack-out", "swap-heads", "raise"), ran.err
        return
    assert ran.code == 0, ran.err
    right = entered(tmp_path / "right", job, state, WRONG)
    assert named(lives(shop, RIGHT)) == named(lives(right, CASK))
    assert lives(shop, CASK) == lives(plain(tmp_path / "plain", job, state), CASK)


def plain(folder: Path, job: str, state: str) -> Shop:
    """A shop in which the job was not done."""
    shop = Shop(folder)
    arranged(shop, BY_JOB[job], state)
    return shop


def named(found: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The same without the ids that facts name, which are drawn anew."""
    return [{key: without_ids(value) for key, value in one.items()} for one in found]


def without_ids(value: Any) -> Any:
    if isinstance(value, list):
        return [without_ids(one) for one in value]
    return {key: one for key, one in value.items() if key != "event"} if isinstance(value, dict) else value
