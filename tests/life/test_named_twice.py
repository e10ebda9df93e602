"""A place that one entry names twice counts once, however it is written."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
import yaml
from casks import HOUSE, cask_data, ev, facts_on

from caskbook.checks.check import check_cask
from caskbook.checks.context import Context
from caskbook.life import live
from caskbook.model.cask_file import read_record

READY = (ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "examine", verdict="sound"))


@pytest.mark.parametrize(
    ("job", "fields", "fact", "expected"),
    [
        ("stave", {"staves": [3, 3, 4], "action": "replace", "from": "new"}, "staves_replaced", {"3": 1, "4": 1}),
        ("stave", {"staves": [1, "1"], "action": "replace", "from": "new"}, "bung_stave_replacements", 1),
        ("hoop", {"hoops": ["A-1", "hoop-A-1", "B-1"], "from": "new"}, "hoops_replaced", 2),
        ("flag", {"at": ["joint-4", "joint-4", "joint-5"]}, "flagged", {"joint-4": 1, "joint-5": 1}),
    ],
)
def test_it_counts_once(job: str, fields: dict[str, Any], fact: str, expected: Any) -> None:
    opened = (ev("2020-01-03", "open", heads=["A"]),) if job == "stave" else ()
    assert getattr(facts_on("2020-01-05", *READY, *opened, ev("2020-01-04", job, **fields)), fact) == expected


def test_a_defect_written_twice_is_open_once() -> None:
    crack = {"at": "stave-4", "defect": "cracked", "severity": 2}
    found = facts_on("2020-01-05", READY[0], ev("2020-01-02", "examine", verdict="repair", findings=[crack, crack, {**crack, "severity": 3}])).open_defects
    assert found is not None and [(one["at"], one["severity"]) for one in found] == [("stave-4", 2), ("stave-4", 3)]


@pytest.mark.parametrize(
    ("job", "fields"),
    [("drive", {"hoops": ["A-1", "hoop-A-1"]}), ("hoop", {"hoops": ["A-1", "A-1"], "from": "new"}), ("flag", {"at": ["joint-4", "joint-4"]})],
)
def test_each_job_that_names_a_place_twice_is_told_by_itself(job: str, fields: dict[str, Any]) -> None:
    record = read_record("records/casks/TH-004/TH-004217.yaml", yaml.safe_dump(cask_data(*READY, ev("2020-01-04", job, **fields)), sort_keys=False).encode())
    assert record.cask is not None
    found = check_cask(record, live(record.cask, HOUSE, date(2020, 1, 5)), Context(HOUSE, date(2020, 1, 5)))
    assert [one.code for one in found if one.code == "place-named-twice"] == ["place-named-twice"]
