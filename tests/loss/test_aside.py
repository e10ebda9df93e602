"""The gauge that cannot be true is the same one in check, due and report, with the same question for what was meant."""

from __future__ import annotations

from pathlib import Path

import pytest
from casks import ev
from commands import caskbook

from caskbook.loss.aside import asides_of
from loss.filled import filled, gauged, lost

HOUSE = "timezone: UTC\ncrew:\n  - {initials: ab}\nin_drink_percent: 0\nloss_table: {barrel: 2}\n"
HEAD = "cask: TH-004217\nformat: 1\ntype: barrel\ncapacity_l: 210\nevents:\n"
BEFORE = (
    "  - {id: e1000001, date: 2014-12-01, job: receive, by: ab, verdict: accept}\n  - {id: e1000002, date: 2014-12-02, job: examine, by: ab, verdict: sound}\n"
    "  - {id: e1000003, date: 2015-01-01, job: fill, by: ab, spirit: malt, litres: 200, abv: 63.5, at_20: true}\n"
)


def book(root: Path, *litres: float) -> Path:
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    rows = "".join(
        f"  - {{id: e100000{n + 4}, date: {2017 + 2 * n}-01-01, job: regauge, by: ab, litres: {one:g}, abv: 63.2, method: meter, at_20: true}}\n"
        for n, one in enumerate(litres)
    )
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(HEAD + BEFORE + rows, encoding="utf-8")
    return root


@pytest.mark.parametrize(("wrong", "question"), [(50.2, "did you mean US gal?"), (18.9, "did you mean 189 L?"), (120.0, "")])
def test_check_due_and_report_blame_the_same_gauge(tmp_path: Path, wrong: float, question: str) -> None:
    """192 L, then a slip, then 185 L: the good gauge after the slip is blamed by none of them."""
    root = str(book(tmp_path / "book", 192, wrong, 185, 181))
    checked = caskbook("check", "TH-004217", "--records", root, "--format", "github").stdout
    (line,) = [line for line in checked.splitlines() if "lpa-gain" in line]
    assert f"line={HEAD.count(chr(10)) + BEFORE.count(chr(10)) + 2}," in line and question in line
    due = " ".join(caskbook("due", "loss", "--all", "--records", root).stdout.split())
    assert "set aside, as it cannot be true beside the others: the gauge of 2019-01-01 (e1000005)" in due and question in due
    report = " ".join(caskbook("report", "loss", "TH-004217", "--evidence", "--records", root).stdout.split())
    assert question in report and "2021-01-01 (e1000006)" not in report


def test_a_gauge_above_the_others_is_blamed_itself(tmp_path: Path) -> None:
    root = str(book(tmp_path / "book", 192, 1890, 185))
    checked = caskbook("check", "TH-004217", "--records", root).stdout
    assert checked.count("lpa-gain") >= 1 and "1194.5 L of alcohol: it held 121.3 L at the last measure; did you mean 189 L?" in checked


def test_what_was_drawn_before_it_is_allowed_for() -> None:
    """100 L were drawn: 88 L after it are right, and 880 was a slip of the point."""
    found = lost(filled(), ev("2016-01-01", "draw", litres=100, abv=63.4, at_20=True), gauged("2017-01-01", 880, 63.2), gauged("2019-01-01", 85, 63.0))
    (aside,) = asides_of(found)
    assert aside.meant == "did you mean 88 L?" and str(aside.gauge.day) == "2017-01-01"
