"""`init`: a ledger that can be used at once, and what is said of git."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook


def test_a_new_ledger_is_sound_and_says_how_it_comes_under_git(tmp_path: Path):
    ran = caskbook("init", cwd=tmp_path)
    assert ran.returncode == 0 and ran.stdout == "a new ledger in records\n"
    assert "not in a git work tree" in ran.stderr and "`git init`" in ran.stderr and "`caskbook git install`" in ran.stderr
    assert caskbook("check", cwd=tmp_path).returncode == 0
    again = caskbook("init", cwd=tmp_path)
    assert again.returncode == 2 and "a ledger already" in again.stderr


def test_inside_a_work_tree_only_the_installing_is_left(tmp_path: Path):
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    ran = caskbook("init", cwd=tmp_path)
    assert "git init" not in ran.stderr and "`caskbook git install`" in ran.stderr


def test_without_git_it_says_what_is_missing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    ran = caskbook("init", cwd=tmp_path)
    assert ran.returncode == 0 and "git is not installed" in ran.stderr
