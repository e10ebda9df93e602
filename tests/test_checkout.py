"""The tests try this checkout: a copy that is installed elsewhere, which no edit reaches, is refused in one sentence."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]


@pytest.mark.thorough
def test_a_copy_from_elsewhere_is_not_tested_for_this_one(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "caskbook", tmp_path / "caskbook", ignore=shutil.ignore_patterns("__pycache__"))
    env = {key: value for key, value in os.environ.items() if not key.startswith(("PYTEST", "CASKBOOK"))} | {"PYTHONPATH": str(tmp_path)}
    words = ["-n", "0", "-p", "no:cacheprovider", "tests/words/test_plural.py"]
    done = subprocess.run([sys.executable, "-P", "-m", "pytest", *words], cwd=ROOT, env=env, capture_output=True, text=True, check=False)
    assert done.returncode == 4 and done.stdout == "", done.stdout
    (line,) = [line for line in done.stderr.splitlines() if line.strip()]
    assert f"the copy in {tmp_path / 'caskbook'} and not this checkout: pip install -e '.[test]'" in line


def test_the_test_command_is_the_same_in_the_readme_and_in_the_whole_check() -> None:
    (line,) = [line for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines() if "[test]" in line]
    assert line == ".venv/bin/pip install -q -e '.[test]' && .venv/bin/pytest"
    assert line in (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
