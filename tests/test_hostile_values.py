"""What a faulty or hostile file holds crashes no command and steers no terminal."""

from __future__ import annotations

import json
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from commands import caskbook
from laws import crossed
from reading_commands import Words, not_among, reading_commands

from caskbook.model.jobs.arrival.inherited import Inherited

pytestmark = pytest.mark.thorough

CASK = "TH-004217"
LIVED = """events:
  - {id: e1000000, date: 2020-01-01, job: receive, by: ab, verdict: accept, berth: W1/01}
  - {id: e1000001, date: 2020-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, temp_c: 14}
  - {id: e1000002, date: 2024-01-02, job: regauge, by: ab, litres: 170, abv: 58, temp_c: 14}
"""
ASKED: tuple[Words, ...] = (
    ("list",), ("list", "--format", "json"), ("list", "--format", "csv"), ("due", "--all"), ("due", "--all", "--format", "json"), ("due", "--all", "--format", "csv"),
    ("show", CASK), ("show", CASK, "--map"), ("show", CASK, "--line"), ("show", CASK, "--format", "json"), ("report", "loss"), ("report", "loss", CASK),
    ("query", "SELECT cask, type, wood FROM cask"), ("query", "SELECT cask, rule, verdict FROM due", "--format", "json"), ("check",), ("check", "--format", "json"),
)  # fmt: skip
ASKED += not_among(ASKED, reading_commands())


def book(folder: Path, head: str) -> Path:
    root = folder / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    (root / "casks" / "TH-004" / f"{CASK}.yaml").write_text(f"cask: {CASK}\nformat: 1\n{head}\n{LIVED}", encoding="utf-8")
    return root


def unseen(text: str) -> list[str]:
    return sorted({f"{ord(sign):x}" for sign in text if sign not in "\r\n" and unicodedata.category(sign) in ("Cc", "Cf", "Zl", "Zp")})


HEADS = [
    "type: [barrel]",
    "type: 7",
    "type: ~",
    "type: nonsense",
    "note: x",
    'type: barrel\nwood: "\\u200f\\u05e9\\u05dc"\nmaker: "\\u200fx\\u2066y"\nwas: ["\\u200e1"]',
]


@crossed("head,mode", HEADS, ["on", "off"])
def test_no_command_falls_or_is_steered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, head: str, mode: str) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    root = book(tmp_path, head)
    for words in ASKED:
        told = caskbook(*words, "--records", str(root))
        assert told.returncode in (0, 1) and "fault of the program" not in told.stderr, (words, told.stderr)
        assert unseen(told.stdout + told.stderr) == [], words
        if "json" not in words and words != ("query", "SELECT cask, type, wood FROM cask"):
            assert "None" not in told.stdout, (words, told.stdout)


FAR = 2**63 - 1
MADE = "events:\n  - {id: e1000000, date: 2015-01-02, job: made-from, by: ab, parents: [{unnumbered: x}], inherited: {held: spirit, %s: %d}}\n"
FILLED = "  - {id: e1000001, date: 2020-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, temp_c: 14}\n"


@crossed("count,mode", [name for name in Inherited.model_fields if name.startswith("fills_") or name.endswith("_count")], ["on", "off"])
def test_no_count_is_so_large_that_a_book_cannot_be_asked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, count: str, mode: str) -> None:
    """What a cask took over is added to, kept and asked for; a slip in one file takes the answers from none."""
    monkeypatch.setenv("CASKBOOK_INDEX", mode)
    root = book(tmp_path, "type: barrel")
    (root / "casks" / "TH-004" / "TH-004218.yaml").write_text("cask: TH-004218\nformat: 1\ntype: barrel\n" + MADE % (count, FAR) + FILLED)
    for words in (("list",), ("due",), ("show", CASK), ("show", "TH-004218"), ("query", "SELECT count(*) FROM cask"), ("check",)):
        told = caskbook(*words, "--records", str(root))
        assert told.returncode in (0, 1) and "fault of the program" not in told.stderr, (words, told.stderr)
    assert f"`{count}` is {FAR}" in told.stdout and told.returncode == 1


def test_no_decay_of_the_wood_is_below_nothing(tmp_path: Path) -> None:
    root = book(tmp_path, "type: barrel\nprior: [{contents: bourbon, fills: 1}]\ncharred: 2015")
    (root / "house.yaml").write_text("timezone: UTC\nwood_left: {bourbon: -9999999}\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    told = caskbook("show", CASK, "--format", "json", "--records", str(root))
    assert "fault of the program" not in told.stderr and json.loads(told.stdout)["wood_left"] is None, told.stderr
    assert "house.yaml:2" in caskbook("check", "--records", str(root)).stdout


def test_json_holds_what_was_written_all_the_same(tmp_path: Path) -> None:
    root = book(tmp_path, HEADS[-1])
    assert json.loads(caskbook("show", CASK, "--format", "json", "--records", str(root)).stdout)["wood"] == "\u200f\u05e9\u05dc"


def test_review_tells_of_a_cask_of_no_type(tmp_path: Path) -> None:
    root = book(tmp_path, "type: [barrel]")
    git = ["git", "-C", str(root), "-c", "user.name=a", "-c", "user.email=a@b.c"]
    for words in (["init", "-q"], ["add", "."], ["commit", "-qm", "Begin"]):
        subprocess.run([*git, *words], check=True)
    path = root / "casks" / "TH-004" / f"{CASK}.yaml"
    path.write_text(path.read_text() + "  - {id: e1000003, date: 2024-02-02, job: note, by: ab, note: seen}\n")
    for form in ("text", "json", "markdown"):
        done = subprocess.run([sys.executable, "-m", "caskbook", "review", "--format", form], cwd=root, capture_output=True, text=True)
        assert "seen" in done.stdout and "None" not in done.stdout and "fault of" not in done.stderr, done.stdout + done.stderr
