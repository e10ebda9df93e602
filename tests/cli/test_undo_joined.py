"""undo of a run on a cask of two numbers: what came since under the other number, and rests on it, stops it too."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook
from entry.shop import Shop, days_ago
from run_notes import noted, put_note

pytestmark = pytest.mark.thorough

OLD, NEW = "TL-000009", "TH-004217"
CAME = [
    {"date": days_ago(400), "job": "receive", "by": "ab", "verdict": "accept"},
    {"date": days_ago(6), "job": "examine", "by": "ab", "verdict": "sound"},
    {"date": days_ago(5), "job": "test", "by": "ab", "psi": 11, "result": "pass"},
]
JOINED = [{"id": "n0000001", "date": days_ago(100), "job": "receive", "by": "ab", "verdict": "accept"},
          {"id": "n0000002", "date": days_ago(90), "job": "same-as", "by": "ab", "of": OLD, "why": "two numbers"}]  # fmt: skip
FILL = ("--spirit", "malt", "--litres", "190", "--abv", "63", "--temp", "12")
SAMPLE = {"date": days_ago(0), "job": "sample", "by": "kd", "ml": 100}
ANYWAY = ("--anyway", "--why", "found so")


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_BY", "ab")
    monkeypatch.chdir(tmp_path)
    made = Shop(tmp_path)
    made.put(*CAME, cask=OLD)
    made.put(*JOINED, cask=NEW)
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    return made


def by_hand(shop: Shop, cask: str, event: dict[str, Any]) -> None:
    """Somebody else adds an entry at the end of a file."""
    path = shop.path(cask)
    text = yaml.safe_dump([{"id": "zzzzzzz1", **event}], sort_keys=False)
    path.write_text(path.read_text(encoding="utf-8") + "".join(f"  {line}\n" for line in text.splitlines()), encoding="utf-8")


def commit(shop: Shop) -> None:
    for words in (["add", "-A"], ["-c", "user.name=x", "-c", "user.email=x@y", "commit", "-qm", "x"]):
        subprocess.run(["git", "-C", str(shop.root.parent), *words], check=True)


@pytest.mark.parametrize("landed", [False, True])
@pytest.mark.parametrize(("under", "since"), [(NEW, OLD), (OLD, NEW)])
def test_what_came_since_under_the_other_number_and_rests_on_it_stops_it(shop: Shop, under: str, since: str, landed: bool) -> None:
    assert caskbook("enter", "fill", under, *FILL, *(ANYWAY if under == OLD else ()), "--yes").returncode == 0
    by_hand(shop, since, SAMPLE)
    if landed:
        commit(shop)
    before = shop.path(under).read_bytes()
    ran = caskbook("undo", "--yes")
    assert ran.returncode == 2 and f"{since}: its sample of {days_ago(0)} (zzzzzzz1, kd) came since and rests on it: sample on an empty cask" in ran.stderr, (
        ran.stderr
    )
    assert "nothing taken back" in ran.stderr and f"caskbook void {under} " in ran.stderr and shop.path(under).read_bytes() == before


def test_what_names_it_under_the_other_number_stops_it(shop: Shop) -> None:
    assert caskbook("enter", "fill", NEW, *FILL, "--yes").returncode == 0
    assert caskbook("enter", "leak", NEW, "--at", "joint-3", "--severity", "weep", "--yes").returncode == 0
    run = shop.last(NEW)["id"]
    by_hand(shop, OLD, {"date": days_ago(0), "job": "look", "by": "kd", "seen": "dry", "of": run})
    ran = caskbook("undo", "--yes")
    assert ran.returncode == 2 and f"{OLD}: its look of" in ran.stderr and f"it names {run}" in ran.stderr, ran.stderr


def test_what_stood_under_the_other_number_before_does_not_stop_it(shop: Shop) -> None:
    """A gauge that was there before this late filling, and is impossible without it, was so before the run."""
    by_hand(shop, OLD, SAMPLE)
    run = ("enter", "fill", NEW, *FILL, "--date", days_ago(1).isoformat(), "--yes")
    before = shop.path(NEW).read_bytes()
    assert caskbook(*run).returncode == 0 and shop.path(NEW).read_bytes() != before
    ran = caskbook("undo", "--yes")
    assert ran.returncode == 0 and shop.path(NEW).read_bytes() == before, ran.stderr


def test_what_came_since_under_the_other_number_and_does_not_rest_on_it_does_not_stop_it(shop: Shop) -> None:
    before = shop.path(NEW).read_bytes()
    assert caskbook("enter", "fill", NEW, *FILL, "--yes").returncode == 0
    by_hand(shop, OLD, {"date": days_ago(0), "job": "note", "by": "kd", "note": "x"})
    ran = caskbook("undo", "--yes")
    assert ran.returncode == 0 and shop.path(NEW).read_bytes() == before, ran.stderr


@pytest.mark.parametrize("note", ["old", "odd"])
def test_a_note_of_before_looks_at_its_own_file_as_it_did(shop: Shop, note: str) -> None:
    assert caskbook("enter", "fill", NEW, *FILL, "--yes").returncode == 0
    text = json.dumps(noted(shop.root))
    assert '"beside"' in text
    put_note(shop.root, (text.replace('"beside"', '"other"') if note == "old" else text.replace('"beside": {', '"beside": 7, "x": {')).encode())
    by_hand(shop, OLD, SAMPLE)
    assert caskbook("undo", "--yes").returncode == 0
