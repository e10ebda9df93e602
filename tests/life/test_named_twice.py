"""A place that one entry names twice counts once, however it is written."""

from __future__ import annotations

from typing import Any

import pytest
from casks import ev, facts_on

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
