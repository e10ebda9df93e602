"""A decision on a loss answers what was gone by then: a leak that begins later is another matter, with and without an index, and on the card."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

CASK = """cask: TH-000001
format: 1
type: barrel
capacity_l: 200
prior:
  - {contents: bourbon, fills: 1}
charred: 2016
events:
"""
EVENTS = (
    ("2020-01-01", "receive", "verdict: accept"), ("2020-01-02", "examine", "verdict: sound"),
    ("2020-01-05", "fill", "spirit: malt", "litres: 195", "abv: 63.5", "at_20: true", "method: weigh"),
    ("2021-01-05", "regauge", "litres: 170", "abv: 63", "at_20: true", "method: weigh"),
    ("2021-01-06", "decide", "rule: loss", "outcome: explained", "why: sample taken", "approved_by: ab"),
    ("2022-01-05", "regauge", "litres: 167", "abv: 62.5", "at_20: true", "method: weigh"),
    ("2023-01-05", "regauge", "litres: 120", "abv: 62", "at_20: true", "method: weigh"),
)  # fmt: skip
AGAIN = ("2023-01-06", "decide", "rule: loss", "outcome: explained", "why: a second sample", "approved_by: ab")


def book(root: Path, *events: tuple[str, ...]) -> Path:
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\nloss_table: {barrel: 2}\n", encoding="utf-8")
    text = CASK
    for n, (day, job, *fields) in enumerate(events):
        text += f"  - id: e000000{n}\n    date: {day}\n    job: {job}\n    by: ab\n" + "".join(f"    {field}\n" for field in fields)
    (root / "casks" / "TH-000" / "TH-000001.yaml").write_text(text, encoding="utf-8")
    return root


def said(root: Path, day: str) -> tuple[str, bool]:
    done = caskbook("due", "loss", "--all", "--format", "json", "--as-of", day, "--records", str(root))
    assert done.returncode == 0, done.stderr
    (one,) = json.loads(done.stdout)
    return one["verdict"], one["decided"] is not None


@pytest.mark.parametrize("index", ["", "off"])
def test_what_begins_after_a_decision_is_due_again(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    root = book(tmp_path / "book", *EVENTS)
    assert [said(root, day) for day in ("2021-01-05", "2021-01-06", "2022-01-05", "2023-01-05")] == [
        ("due", False), ("ok", True), ("ok", True), ("due", False),
    ]  # fmt: skip
    card = caskbook("show", "TH-000001", "--as-of", "2023-01-05", "--records", str(root)).stdout
    assert "LOSS since 2023-01-05" in card and "explained" not in card.partition("\n\n")[2].partition("2020  ")[0].partition("due ")[2].partition("\n\n")[0]


def test_another_decision_answers_that_too(tmp_path: Path) -> None:
    assert said(book(tmp_path / "book", *EVENTS, AGAIN), "2023-01-06") == ("ok", True)


@pytest.mark.parametrize("index", ["", "off"])
def test_gauges_that_give_no_figure_are_unknown_and_not_ok(tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    dips = (
        ("2018-01-05", "regauge", "wet_mm: 440", "method: dip", "abv: 63", "at_20: true"),
        ("2020-01-05", "regauge", "wet_mm: 280", "method: dip", "abv: 63", "at_20: true"),
    )
    filled = EVENTS[2]
    never, dipped = book(tmp_path / "never", *EVENTS[:2], filled), book(tmp_path / "dipped", *EVENTS[:2], ("2016-01-05", *filled[1:]), *dips)
    (dipped / "casks" / "TH-000" / "TH-000001.yaml").write_text(
        (dipped / "casks" / "TH-000" / "TH-000001.yaml").read_text(encoding="utf-8").replace("2020-01-01", "2016-01-01").replace("2020-01-02", "2016-01-02"),
        encoding="utf-8",
    )
    assert said(never, "2021-01-01") == ("ok", False) and said(dipped, "2021-01-01") == ("unknown", False)
    assert "gauged since: no figure comes of it" in caskbook("due", "loss", "--unknown", "--as-of", "2021-01-01", "--records", str(dipped)).stdout
