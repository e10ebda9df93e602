"""What a setting alone makes due: counted as a whole judging under either book of settings would count it, and no more work than needed."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from commands import caskbook

from caskbook.due import judge, pressing
from caskbook.ledger.files import open_folder
from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.house import House, Settings
from caskbook.review.effects import settings_with_effect
from caskbook.review.losses import OF_LOSSES
from caskbook.review.settings import QUIET, put_in, settings_changed

pytestmark = pytest.mark.thorough

DAY = date(2026, 3, 1)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    root = tmp_path_factory.mktemp("book") / "records"
    assert caskbook("demo", str(root), "--casks", "80", "--seed", "5", "--until", "2026-03-01").returncode == 0
    ledger = open_folder(root, root.parent)
    return ledger, [record.cask for record in ledger.records() if record.cask is not None]


def due(cask: Any, house: House) -> set[str]:
    life = live(cask, house, DAY)
    return {one.rule for one in judge(life, facts_of(life)) if one.verdict in ("due", "blocked")}


def test_what_is_pressing_is_what_is_judged_due_or_blocked(book: Any) -> None:
    ledger, casks = book
    for cask in casks:
        life = live(cask, ledger.house, DAY)
        assert pressing(life, facts_of(life)) == due(cask, ledger.house)


CHANGES = [
    {"fill_needs": "test"}, {"examine_valid_days": 400}, {"test_valid_days": 9999}, {"drive_unproves": False}, {"count_prior": False},
    {"types": {"barrel": {"examine_valid_days": 900}}}, {"types": {"butt": {"due": {"rechar": {"due_at": 1, "soon_at": 1}}}}}, {"suppliers": {"northquay": {"claim_days": 3650}}},
    {"due": {"regauge": {"first_year": 1}, "rechar": {"due_at": 2, "soon_at": 1}, "retire": {"age_years": 5, "points": 1}}},
]  # fmt: skip


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: ",".join(change))
def test_each_setting_counts_what_it_alone_turns(book: Any, change: dict[str, Any]) -> None:
    ledger, casks = book
    old = {**ledger.house.raw, "types": ledger.house.types}
    new = _over(old, change)
    changed = list(settings_changed(old, new))
    found = {one.key: (one.newly_due, one.no_longer) for one in settings_with_effect(old, changed, casks, DAY)}
    for path, _, value in changed:
        house = House(put_in(old, path, value))
        pairs = [(due(cask, House(old)), due(cask, house)) for cask in casks]
        assert found[".".join(path)] == (sum(bool(b - a) for a, b in pairs), sum(bool(a - b) for a, b in pairs))


def _over(old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    return old | {key: _over(old[key], value) if isinstance(value, dict) and isinstance(old.get(key), dict) else value for key, value in new.items()}


ODD = {
    "name": "Elsewhere", "timezone": "Asia/Tokyo", "crew": [{"initials": "zz"}], "shops": ["nowhere"], "stores": {"D1": "barn"}, "temperate_stores": [],
    "severities": {"unknown-crew": "note"}, "id_pattern": "TH-.*", "gallon": "uk", "proof": "uk", "decimal_comma": True, "laws": ["scotch-2009"],
    "test_limit_psi": 5, "minimum_age": 30, "class_of_spirit": "gin", "wood_left": {"bourbon": 0.9}, "in_drink_percent": 9, "rounding": ["us-tenth"],
    "measuring_error": {"meter": 9}, "strength_error": 3, "uncorrected_error": 9, "loss_table": {"barrel": 0.1},
    "coopers": 1, "hours_a_week": 9, "job_hours": {"test": 9}, "questions": {"a": {"title": "A", "sql": "SELECT 1"}},
}  # fmt: skip


def test_settings_passed_by_turn_nothing(book: Any) -> None:
    assert set(ODD) == QUIET | OF_LOSSES and set(Settings.model_fields) > QUIET | OF_LOSSES
    ledger, casks = book
    old = {**ledger.house.raw, "types": ledger.house.types}
    house, other = House(old), House({**old, **ODD, "due": _over(old["due"], {"loss": {"fewest_peers": 2, "false_alarms_per_1000_casks_a_year": 50}})})
    assert all(due(cask, house) == due(cask, other) for cask in casks) and any(due(cask, house) for cask in casks)


@pytest.mark.parametrize("first", [True, False])
def test_a_setting_is_counted_alike_whatever_stands_beside_it(book: Any, first: bool) -> None:
    """A row of another setting that starts on a day on which some casks are gone, and others have only just come, takes none of them away."""
    ledger, casks = book
    old = {**ledger.house.raw, "types": ledger.house.types}
    alone = {"due": {"rechar": {"due_at": 2, "soon_at": 1}}}
    early = date(2015, 1, 1)
    beside = {"test_valid_days": [{"since": date(1900, 1, 1), "value": 365}, {"since": DAY, "value": 99}]}

    def counted(change: dict[str, Any]) -> Any:
        changed = list(settings_changed(old, _over(old, change)))
        (found,) = [one for one in settings_with_effect(old, changed if first else changed[::-1], casks, early) if one.key == "due.rechar.due_at"]
        return found

    assert counted({**beside, **alone}) == counted(alone) and counted(alone).at_emptying + counted(alone).newly_due
