"""The recipe for a job in DEVELOPERS.md does what it says: it is applied to a copy, and the copy enters, explains, shows and reviews it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from recipes.blocks import ROOT, apply, steps

pytestmark = pytest.mark.thorough

# Everything in one process: to load the copy takes longer than the commands.
RUNS = """\
import subprocess, sys
from caskbook.cli.app import run
import caskbook
for line in sys.stdin.read().splitlines():
    print("$", line, flush=True)
    code = subprocess.call(line.split()) if line.startswith("git ") else run(line.split())
    print("exit", code, flush=True)
print("$ ran", caskbook.__file__)
"""
COMMANDS = """\
enter rivet --help
enter --help
enter rivett TH-004217 --hoops A-1
enter rivet TH-004217 --hoops A-1,B-1 --bore 5 --by ab --date 2026-11-24 --yes
enter riveting TH-004217 --hoops C-9 --by ab --date 2026-11-24 --yes
schema schemas
show TH-004217 --as-of 2026-11-25
due retest --as-of 2026-11-25
check
git -c user.name=ab -c user.email=ab@example.org commit -qam rivets
review base..HEAD
"""
HOUSE = "name: Example house\ntimezone: Europe/London\ncrew: [{initials: ab}]\n"
CASK = """\
cask: TH-004217
format: 1
type: barrel
capacity_l: 200
staves: 31
heads: [5, 5]
hoops: 6
prior: [{contents: bourbon, fills: 1}]
charred: 2011
events:
  - {id: e0000001, date: 2026-11-02, job: receive, by: ab, verdict: accept}
  - {id: e0000002, date: 2026-11-03, job: examine, by: ab, verdict: sound}
  - {id: e0000003, date: 2026-11-04, job: test, by: ab, psi: 11, result: pass}
"""


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The program with the recipe applied, and a ledger of one cask under git beside it."""
    copy = tmp_path_factory.mktemp("recipe")
    shutil.copytree(ROOT / "caskbook", copy / "caskbook")  # with its bytecode, where there is some
    (copy / "tests" / "entry").mkdir(parents=True)
    shutil.copy(ROOT / "tests" / "entry" / "test_every_job.py", copy / "tests" / "entry")
    for path, new, kind, text in steps("A job"):
        file = copy / path
        assert file.exists() is not new and (kind == "python") is new, path
        if new:
            file.write_text(text, encoding="utf-8")
        else:
            apply(text, file)
    (copy / "records" / "casks" / "TH-004").mkdir(parents=True)
    (copy / "records" / "house.yaml").write_text(HOUSE)
    (copy / "records" / "casks" / "TH-004" / "TH-004217.yaml").write_text(CASK)
    for words in (("init", "-q"), ("add", "records"), ("-c", "user.name=ab", "-c", "user.email=ab@example.org", "commit", "-qm", "base"), ("tag", "base")):
        subprocess.run(["git", *words], cwd=copy, check=True)
    return copy


def python(copy: Path, *words: str, typed: str = "") -> str:
    keep = {key: value for key, value in os.environ.items() if not key.startswith(("CASKBOOK_TEST", "PYTHONPYCACHE"))}
    own = {"CASKBOOK_STATE": str(copy / "state"), "PYTHONPATH": str(copy)}
    done = subprocess.run(
        [sys.executable, *words], cwd=copy, env=keep | own, input=typed, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False
    )
    assert done.returncode == 0 and "Traceback (most" not in done.stdout, done.stdout
    return done.stdout


def test_a_job_is_four_files(copy: Path) -> None:
    assert len(steps("A job")) == 4, "a job is four files, each named before its block"
    said = python(copy, "-c", RUNS, typed=COMMANDS).split("$ ")[1:]
    help_, jobs, near, entered, refused, schema, show, due, check, _, review, ran = said
    assert str(copy / "caskbook") in ran, "it is the copy that ran"
    assert "Rivets of hoops are replaced" in help_ and "--hoops *" in help_ and "A-1, B-2" in help_ and "mm, 3 to 10" in help_
    assert "as: caskbook enter rivet TH-004217 --hoops A-1,B-1" in help_ and "exit 0" in help_
    assert "  rivet       Rivets of hoops are replaced" in jobs
    assert "did you mean rivet" in near and "exit 2" in near
    assert "rivet: hoop-A-1 and hoop-B-1" in entered and "exit 0" in entered
    assert "is no hoop" in refused and "exit 2" in refused
    assert '"const": "rivet"' in (copy / "schemas" / "cask.schema.json").read_text() and "exit 0" in schema
    assert "2026-11-24" in show and "rivet" in show and "hoop-A-1 and hoop-B-1" in show
    assert "rivets replaced 2026-11-24: no pass since" in due
    assert "exit 0" in check
    assert "riveted: hoop-A-1 and hoop-B-1" in review


@pytest.mark.slow
def test_the_tests_of_the_copy_take_the_job(copy: Path) -> None:
    files = ("entry/test_every_job.py", "entry/test_typed.py", "words", "life", "review", "demo/test_demo.py", "model/test_recovery.py", "checks/test_check_any_file.py",
             "render/test_any_history.py", "test_nothing_recovered.py", "test_unread_entries.py", "model/test_json_schema.py::test_the_kept_files_equal_the_models")  # fmt: skip
    shutil.copytree(ROOT / "tests", copy / "tests", ignore=shutil.ignore_patterns("test_every_job.py"), dirs_exist_ok=True)
    for name in ("pyproject.toml", "DEVELOPERS.md", "README.md"):
        shutil.copy(ROOT / name, copy / name)
    python(copy, "-m", "caskbook", "schema", "schemas")
    python(copy, "-m", "pytest", "-n", "0", "-q", "-p", "no:cacheprovider", "--rootdir", str(copy), *(f"tests/{file}" for file in files))
