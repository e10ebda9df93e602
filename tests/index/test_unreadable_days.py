"""What grows from day to day is worked out twice, for `show` and in SQL for `list`: both say the same of a day that cannot be read."""

from __future__ import annotations

import json
from dataclasses import fields
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import ev
from faulty_entries import MISSING, whole_of

from caskbook.life.facts import Facts
from caskbook.model.jobs import JOBS
from caskbook.render.facts_json import facts_json
from index.book import answer, put_cask, without_index
from index.tables_of_files import Files

pytestmark = pytest.mark.thorough

DAY = date(2026, 1, 1)
WRONG_DAYS = (MISSING, "30.2.2023", "2023-02-30")


def book(folder: Path) -> Path:
    """One cask for each job and each wrong day of it, the entry being the last; and the same with another of its kind before it."""
    (folder / "casks" / "TH-001").mkdir(parents=True)
    (folder / "house.yaml").write_text("timezone: UTC\nwood_left: {bourbon: 0.04}\ncrew:\n  - {initials: ab}\n  - {initials: kd}\n")
    number = 0
    for job in JOBS:
        before, whole = whole_of(job)
        for wrong in WRONG_DAYS:
            entry: dict[str, Any] = {**ev("2023-04-05", job), **whole, "date": wrong}
            if wrong is MISSING:
                del entry["date"]
            for earlier in ([], [{**ev("2022-04-05", job), **whole}]):
                number += 1
                put_cask(folder, number, *before, *earlier, entry)
    return folder


@pytest.mark.parametrize("kept", [True, False])
def test_show_and_list_say_the_same_of_every_job_on_a_day_that_cannot_be_read(tmp_path: Path, kept: bool) -> None:
    root = book(tmp_path / "book")
    shown = {facts.cask: facts_json(life, facts) for life, facts in Files(root).lives(DAY)}
    if kept:
        listed = answer(root, "list", "--format", "json", day=str(DAY))[1]
    else:
        with without_index():
            listed = answer(root, "list", "--format", "json", day=str(DAY))[1]
    rows = json.loads(listed)
    assert {row["cask"] for row in rows} == set(shown) and len(rows) > 200
    names = shown["TH-001001"].keys() & rows[0].keys()
    assert names == {field.name for field in fields(Facts)}
    assert [(row["cask"], name, row[name], said) for row in rows for name in names if (said := shown[row["cask"]][name]) != row[name]] == []
