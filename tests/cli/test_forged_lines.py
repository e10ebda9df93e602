"""A file's name with a newline in it, as a clone may bring it, makes no line of its own in what is said."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop

NAME = "TH-\n\x1b[31mforged by a name\n003.yaml"
SAID = ("due", "list --state ready", f"show {CASK}", "report loss", "report stock", "report outlook", "plan", "ready --want 3", "check", "check --format concise", "check --format github",
        "review", "round W1/05 3378", "days -9..today", "query 'select count(*) from cask'", f"enter note {CASK} --note x --by ab --yes", f"stamp records/casks/TH-004/{CASK}.yaml",
        "undo --yes", "due --at HEAD", "list --at HEAD", "check --since HEAD~1", "review HEAD~1..HEAD", "report loss --at HEAD", "settle", "git install", "schema")  # fmt: skip


@pytest.fixture(params=["", "off"])
def book(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CASKBOOK_INDEX", request.param)
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    folder = tmp_path / "book"
    Shop(folder).put({"date": "2026-01-05", "job": "receive", "verdict": "accept"})

    def git(*words: str) -> None:
        subprocess.run(["git", "-c", "user.name=a", "-c", "user.email=a@b", *words], cwd=folder, check=True, capture_output=True)

    git("init", "-q", "-b", "main")
    git("add", "-A")
    git("commit", "-qm", "base")
    (folder / "records" / "casks" / "TH-004" / NAME).write_text("x: [")
    git("add", "-A")
    git("commit", "-qm", "brought in")
    return folder


@pytest.mark.thorough
def test_no_line_is_forged_by_a_name(book: Path) -> None:
    import shlex

    for words in SAID:
        done = caskbook(*shlex.split(words), cwd=book)
        lines = (done.stdout + done.stderr).splitlines()
        assert not [line for line in lines if line.lstrip().startswith(("forged", "\x1b", "\\x1b[31mforged"))], (words, lines)


def test_a_line_to_be_typed_has_its_words_in_quotes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    shop = Shop(tmp_path)
    came = {"date": "2026-01-05", "job": "receive", "verdict": "accept"}
    shop.put(came, {"date": "2026-01-06", "job": "move", "berth": "W1/05/9$(>p)"})
    shop.put(came, {"date": "2026-01-06", "job": "move", "berth": "W1/05/1"}, cask="TH-004218")
    shop.put(came, {"date": "2026-01-07", "job": "raise", "id": "$(>q)"}, cask="TH-004219")
    (shop.root / "casks" / "TH-004" / "TH-$(>p)003.yaml").write_text("x: [")
    records = ("--records", str(shop.root))
    said = [caskbook(*words, *records) for words in (("due",), ("report", "loss"), ("round", "W1/05", "TH-004218 at 'W1/05/9$(>p)'"), ("check",))]
    told = "".join(one.stdout + one.stderr for one in said)
    assert told.count("caskbook check 'TH-$(>p)003'") == 2 and "--berth 'W1/05/9$(>p)'" in told
    assert "caskbook void TH-004219 " in told and "caskbook check TH-$" not in told and "void TH-004219 $" not in told
