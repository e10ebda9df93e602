"""Topping from the cask itself, or from one that is not here, is asked about at entry and stays a finding."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook

pytestmark = pytest.mark.thorough

HEAD = "cask: {cask}\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior: []\ncharred: 2011\nevents:\n"
FULL = (
    "{id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}",
    "{id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}",
    "{id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, at_20: true}",
)
GONE = {
    "away": "{id: e1000004, date: 2021-01-03, job: send, by: ab, to: shop-kiln, why: heads}",
    "missing": "{id: e1000004, date: 2021-01-03, job: missing, by: ab}",
    "here": "{id: e1000004, date: 2021-01-03, job: note, by: ab, note: seen}",
}


@pytest.mark.parametrize(
    ("other", "source", "code"),
    [
        ("here", "TH-004217", "top-from-itself"),
        ("away", "TH-004218", "top-from-elsewhere"),
        ("missing", "TH-004218", "top-from-elsewhere"),
        ("here", "TH-004218", ""),
    ],
)
def test_it_is_refused_without_a_reason_and_stays_a_finding(tmp_path: Path, other: str, source: str, code: str) -> None:
    (tmp_path / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\nshops: [kiln]\n")
    (tmp_path / "casks" / "TH-004").mkdir(parents=True)
    for number, events in (("TH-004217", FULL), ("TH-004218", (*FULL, GONE[other]))):
        (tmp_path / "casks" / "TH-004" / f"{number}.yaml").write_text(HEAD.format(cask=number) + "".join(f"  - {event}\n" for event in events))
    typed = ("enter", "top", "TH-004217", "--from", source, "--litres", "3", "--abv", "62", "--at-20", "--oak-since", "2019-01-03", "--by", "ab", "--yes")
    done = caskbook(*typed, cwd=tmp_path)
    assert (done.returncode == 0) is (not code), done.stdout + done.stderr
    if code:
        assert f"`from` is {source}" in done.stdout + done.stderr and "--anyway" in done.stdout + done.stderr
        assert caskbook(*typed, "--anyway", "--why", "so it was told", cwd=tmp_path).returncode == 0
    assert (code or "top-from") in caskbook("check", cwd=tmp_path).stdout or not code
