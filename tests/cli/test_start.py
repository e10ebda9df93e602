"""What a command loads: a known answer needs no models, and no command that a person waits for needs what is slow and not used."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.thorough

ROOT = Path(__file__).parents[2]
HEAVY = ("typer", "pydantic", "ruamel.yaml", "rich.console", "importlib.metadata", "multiprocessing", "prompt_toolkit")
REPORT = "import atexit, sys\natexit.register(lambda: sys.stderr.write('loaded: ' + ' '.join(sys.modules)))\nfrom caskbook.__main__ import main\nmain()"
NOTE = ("enter", "note", "TH-004409", "--note", "seen", "--by", "ab", "--dry-run")


@pytest.fixture(scope="module")
def ledger(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("start") / "records"
    shutil.copytree(ROOT / "records", root, ignore=shutil.ignore_patterns(".caskbook"))
    loaded(root, "due")  # the index is made, and so are the answers known
    loaded(root, "list")
    return root


def loaded(root: Path, *words: str) -> set[str]:
    ran = subprocess.run([sys.executable, "-c", REPORT, *words], cwd=root, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    return set(ran.stderr.rpartition("loaded: ")[2].split()) & set(HEAVY)


@pytest.mark.parametrize("words", [("due",), ("list", "--state", "ready")])
def test_a_known_answer_needs_no_models(ledger: Path, words: tuple[str, ...]):
    assert loaded(ledger, *words) == set()


@pytest.mark.parametrize("words", [("show", "TH-004409"), NOTE])
def test_one_cask_needs_its_models_and_little_else(ledger: Path, words: tuple[str, ...]):
    assert loaded(ledger, *words) <= {"pydantic"}


def test_a_hook_starts_as_lightly_as_a_command(tmp_path: Path):
    subprocess.run(["git", "init", "-q", str(tmp_path)], check=True)
    code = "import sys\nfrom caskbook.cli.hooks.start import main\nmain('pre-commit', [])\nimport gc, pydantic.main\nprint(gc.get_threshold()[0], 'importlib.metadata' in sys.modules)"
    shutil.copytree(ROOT / "records", tmp_path / "records", ignore=shutil.ignore_patterns(".caskbook"))
    subprocess.run(["git", "-C", str(tmp_path), "add", "-A"], check=True)
    ran = subprocess.run([sys.executable, "-P", "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert ran.stdout == "200000 False\n", ran.stdout + ran.stderr
