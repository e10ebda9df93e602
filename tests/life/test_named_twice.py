"""A place that one entry names twice counts once, however it is written."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import HOUSE, cask_data, ev, facts_on, life_on
from commands import caskbook

from caskbook.checks.check import check_cask
from caskbook.checks.context import Context
from caskbook.life import live
from caskbook.life.service import services_of
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


OPEN = (*READY, ev("2020-01-03", "open", heads=["A"]))


@pytest.mark.parametrize("staves", [[3, 3], [3, "3"], ["3", "stave-3"], [3, 3, 4], ["3b", "3b"]])
def test_a_stave_replaced_twice_in_one_entry_ended_once(staves: list[Any]) -> None:
    """As the same entry with each of them once."""
    once = {"action": "replace", "from": "new", "staves_after": 31}
    told, plain = (
        services_of(life_on("2020-01-05", *OPEN, ev("2020-01-04", "stave", staves=named, **once)))
        for named in (staves, list({str(name).removeprefix("stave-"): name for name in staves}.values()))
    )
    assert told == plain


TWICE = {
    "stave": {"staves": [3, 3], "action": "replace", "from": "TH-004217"},
    "hoop": {"hoops": ["A-1", "A-1"], "from": "TH-004217"},
    "flag": {"at": ["joint-4", "joint-4"]},
    "drive": {"hoops": ["A-1", "A-1"]},
    "head": {"head": "B", "action": "piece", "which": [1, 1], "from": "new"},
    "examine": {"verdict": "repair", "findings": [{"at": "stave-4", "defect": "cracked", "severity": 2}] * 2},
}


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_no_command_breaks_on_an_entry_that_names_a_place_twice(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, index: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    folder = tmp_path / "casks" / "TH-000"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    for n, (job, fields) in enumerate(TWICE.items()):
        text = json.dumps(cask_data(*OPEN, ev("2020-01-04", job, **fields), cask=f"TH-00000{n}"))
        (folder / f"TH-00000{n}.yaml").write_text(text)
    whole = tmp_path / "casks" / "TH-004" / "TH-004217.yaml"
    whole.parent.mkdir()
    down = (ev("2020-01-02", "retire", reasons=["worn"], approved_by="KD"), ev("2020-01-03", "break-up", staves_saved=1, hoops_saved=1))
    whole.write_text(json.dumps(cask_data(READY[0], *down, cask="TH-004217")))
    for words in ("list", "due", "ready", "report service", "report parts", "report stock", "morning", "plan --weeks 2", "show TH-000000"):
        ran = caskbook(*words.split(), "--as-of", "2020-02-01", "--records", str(tmp_path))
        assert ran.returncode == 0 and "Error" not in ran.stderr, (words, ran.stderr)
    told = json.loads(caskbook("check", "--format", "json", "--records", str(tmp_path)).stdout)["findings"]
    assert not [one["code"] for one in told if one["code"].startswith("donor-out-of")], "it counts once"
