"""The jobs that a rule calls for, and of what kind its work is: what a plan of work counts."""

from __future__ import annotations

from typing import Any

import pytest
from casks import ev, life_on

from caskbook.due import RULES, rule_named
from caskbook.due.case import case_of
from caskbook.life.facts import facts_of
from caskbook.model.jobs import JOBS
from due.judged import RECEIVED, emptied, failed, filled, fills, nosed

DAY = "2026-11-25"


def called(rule: str, *events: dict[str, Any], word: str = "due", **head: Any) -> tuple[str, ...]:
    life = life_on(DAY, *events, **head)
    found = rule_named(rule)
    assert found is not None and found.calls is not None
    return found.calls(case_of(life, facts_of(life)), word)


def repaired(*findings: str) -> dict[str, Any]:
    return ev("2020-02-01", "examine", verdict="repair", findings=[dict(zip(("at", "defect"), one.split(), strict=True)) | {"severity": 2} for one in findings])


def test_every_rule_has_a_kind_and_a_job_of_the_book() -> None:
    assert {rule.name: rule.kind for rule in RULES} == {
        "look": "must", "hold": "must", "nose": "must", "claim": "must", "retest": "test", "examine": "examine", "rechar": "re-char", "regauge": "gauge",
        "loss": "gauge", "retire": "retire",
    }  # fmt: skip
    assert all(rule.jobs and set(rule.jobs) <= set(JOBS) for rule in RULES)
    assert rule_named("hold").jobs[0] == "decide", "a person decides; a plan does not say how"  # type: ignore[union-attr]


def test_a_taint_is_treated_once_and_then_nosed() -> None:
    faulty = [RECEIVED, nosed("2020-01-12", "fault", "musty")]
    treated = ev("2020-01-14", "treat", method="rinse", for_="taint")
    assert called("nose", *faulty) == ("treat", "nose")
    assert called("nose", *faulty, treated) == ("nose",)
    assert called("nose", *faulty, treated, nosed("2020-01-16", "fault", "musty")) == ("treat", "nose"), "a nose since: treated again"
    assert called("nose", RECEIVED, prior=[{"contents": "oloroso"}]) == ("nose",)
    assert called("nose", *faulty, word="blocked") == (), "no treatment lifts it"


def test_a_test_comes_after_what_mends_the_findings() -> None:
    assert called("retest", RECEIVED, failed("2020-01-20")) == ("test",)
    assert called("retest", RECEIVED, repaired("stave-3 cracked", "stave-4 thin", "head-A-2 broken", "joint-1 joint-leak")) == (
        "stave",
        "head",
        "drive",
        "test",
    )
    mended = [RECEIVED, repaired("stave-3 cracked", "hoop-A-1 burst-hoop"), ev("2020-02-03", "stave", action="replace", staves=[3], from_="new")]
    assert called("retest", *mended) == ("hoop", "test"), "the stave is done"
    assert called("retest", *mended, ev("2020-02-04", "open", heads=["A"])) == ("hoop", "close", "test")


def test_the_fire_is_the_char_or_the_lesser_one_or_none() -> None:
    spent = [RECEIVED, *fills(2020, 2021, 2022, 2023, 2024)]
    assert called("rechar", *spent) == ("shave", "char")
    assert called("rechar", *spent, type="butt", capacity_l=500) == ("toast",)
    assert called("rechar", *spent, word="blocked") == ()


def test_a_loss_is_gauged_while_there_is_spirit_and_decided_after() -> None:
    assert called("loss", RECEIVED, filled("2020-03-01")) == ("regauge",)
    assert called("loss", RECEIVED, filled("2020-03-01"), emptied("2024-03-01")) == ("decide",)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_work_in_vain_on_a_cask_to_be_retired_is_that_for_its_next_fill(rule: Any) -> None:
    assert rule.if_kept == (rule.name in ("rechar", "retest"))
