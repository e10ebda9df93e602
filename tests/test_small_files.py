"""What others' tools read at the top of the checkout: hooks for pre-commit, and the settings of editors."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest
import yaml
from commands import caskbook

ROOT = Path(__file__).parents[1]
HOOKS = yaml.safe_load((ROOT / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
KEYS = {"id", "name", "description", "entry", "language", "files", "pass_filenames", "require_serial"}


def tracked() -> list[str]:
    return subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()


@pytest.mark.parametrize("hook", HOOKS, ids=lambda hook: str(hook["id"]))
def test_a_hook_is_one_that_the_framework_takes(hook: dict[str, object]) -> None:
    assert hook.keys() <= KEYS and {"id", "name", "entry", "language", "files"} <= hook.keys()
    assert hook["language"] == "python" and str(hook["entry"]).split() == ["caskbook", "check"]


def test_hooks_have_ids_of_their_own_and_look_at_house_and_casks_alone() -> None:
    assert [hook["id"] for hook in HOOKS] == ["caskbook-check", "caskbook-check-files"]
    for hook in HOOKS:
        found = {name for name in tracked() if re.search(hook["files"], name)}
        assert "records/house.yaml" in found and len(found) > 60
        assert all(name == "records/house.yaml" or name.startswith("records/casks/") for name in found)


def test_the_commands_of_the_hooks_run() -> None:
    assert caskbook("check", cwd=ROOT).returncode == 0
    named = ("records/house.yaml", "records/casks/TH-003/TH-003372.yaml")
    assert caskbook("check", *named, cwd=ROOT).stdout == "1 cask: nothing wrong\n"


def test_files_are_as_the_settings_of_editors_would_leave_them() -> None:
    text = (ROOT / ".editorconfig").read_text(encoding="utf-8")
    assert text.startswith("root = true\n") and "[records/**.yaml]" in text
    odd = []
    for name in tracked():
        data = (ROOT / name).read_bytes()
        if b"\r" in data or data and not data.endswith(b"\n") or re.search(rb"[ \t]\n", data):
            odd.append(name)
    assert odd == []
