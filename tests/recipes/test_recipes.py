"""The recipes of DEVELOPERS.md do what they say: each is applied to a copy of the program, and that copy is run on a small ledger."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from recipes.blocks import ROOT, TITLES, apply, hunks, steps

pytestmark = pytest.mark.thorough

HOUSE = "name: Example house\ntimezone: Europe/London\ncrew: [{initials: ab}]\n"
CASK = """cask: TH-004217
format: 1
type: barrel
capacity_l: 200
staves: 31
heads: [5, 5]
hoops: 6
prior:
  - {contents: bourbon, fills: 1}
charred: 2011
events:
  - {id: e0000001, date: 2015-01-01, job: receive, by: ab, verdict: accept}
  - {id: e0000002, date: 2015-01-02, job: examine, by: ab, verdict: sound}
  - {id: e0000003, date: 2015-01-03, job: measure, by: ab, capacity_l: 200}
  - {id: e0000004, date: 2015-01-04, job: measure, by: ab, capacity_l: 180}
  - {id: e0000005, date: 2015-01-05, job: fill, by: ab, spirit: malt, litres: 175, abv: 63.5, at_20: true}
  - {id: e0000006, date: 2016-02-03, job: look, by: ab, seen: dry}
"""


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """A copy of the program, and a ledger of one cask beside it."""
    shutil.copytree(ROOT / "caskbook", tmp_path / "caskbook")  # with its bytecode
    (tmp_path / "records" / "casks" / "TH-004").mkdir(parents=True)
    (tmp_path / "records" / "house.yaml").write_text(HOUSE)
    (tmp_path / "records" / "casks" / "TH-004" / "TH-004217.yaml").write_text(CASK)
    return tmp_path


def follow(title: str, copy: Path) -> None:
    for path, new, kind, text in steps(title):
        file = copy / path
        assert file.exists() is not new and (kind == "python") is new, path
        if new:
            file.write_text(text, encoding="utf-8")
        else:
            apply(text, file)


def run(copy: Path, *words: str) -> str:
    """What the copy prints."""
    return ran(copy, *words).stdout


def ran(copy: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """The run of a command; it is the copy that runs, and it is content (a finding may make its exit code 1)."""
    keep = {key: value for key, value in os.environ.items() if not key.startswith(("CASKBOOK_TEST", "PYTHONPYCACHE"))}
    own = {"CASKBOOK_STATE": str(copy / "state"), "PYTHONPATH": str(copy)}
    done = subprocess.run(
        [sys.executable, "-m", "caskbook", *words],
        cwd=copy,
        env=keep | own,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1) and "Traceback" not in done.stderr and "caskbook:" not in done.stderr, done.stderr
    return done


@pytest.mark.parametrize("title", TITLES)
def test_a_recipe_done_for_good_leaves_its_own_test_as_it_is(title: str) -> None:
    """Each hunk only adds, above or below the text it stands at, so that the next one finds that text as this one did."""
    for path, new, _, text in steps(title):
        for old, then in [] if new else hunks(text):
            assert then.count(old) == 1 and old != then, f"{path} in {title}: quote a text that stays whole\n{old}"


def test_the_copy_is_what_runs(copy: Path) -> None:
    (copy / "caskbook" / "__init__.py").write_text('__version__ = "of the copy"\n')
    assert run(copy, "--version") == "caskbook of the copy\n"


def test_a_finding(copy: Path) -> None:
    follow("A finding", copy)
    found = run(copy, "check")
    assert "warning  capacities-differ" in found and "`capacity_l`" not in found
    assert "measured 180 L, before that 200 L: expected nearly the same" in found
    earlier = ran(copy, "enter", "measure", "TH-004217", "--capacity", "170", "--date", "2015-01-02", "--by", "ab", "--yes")
    assert "measured 200 L, before that 170 L: expected nearly the same" in earlier.stderr and "nothing written" in earlier.stderr
    told = run(copy, "explain", "capacities-differ")
    assert told.startswith("capacities-differ (warning)\n") and "capacity_l: 181" in told


def test_a_due_rule(copy: Path) -> None:
    follow("A due rule", copy)
    assert "filled or driven 2015-01-05: house drives hoops every 10 years" in run(copy, "due", "drive", "--as-of", "2026-01-01")
    assert "10" in run(copy, "explain", "due.drive.every_years")
    with (copy / "records" / "house.yaml").open("a") as house:
        house.write("due:\n  drive: {every_years: 20}\n")
    assert "driven 2015-01-05" not in run(copy, "due", "drive", "--as-of", "2026-01-01")


def test_a_column(copy: Path) -> None:
    follow("A column", copy)
    assert run(copy, "list", "--columns", "cask,last_look", "--format", "csv") == "cask,last_look\nTH-004217,2016-02-03\n"
    assert "2016-02-03" in run(copy, "query", "select last_look from cask where last_look < '2017'")


def test_a_report(copy: Path) -> None:
    follow("A report", copy)
    assert "states" in run(copy, "report", "--help")
    assert [line.split() for line in run(copy, "report", "states").splitlines()] == [
        ["type", "state", "casks"],
        ["barrel", "filled", "1"],
    ]


@pytest.mark.parametrize(("counts", "rows"), [("()", []), ('({("?", "?"): 0})', [["?", "?", "0"]])])
def test_a_report_of_anything_says_that_the_casks_are_gone(copy: Path, counts: str, rows: list[list[str]]) -> None:
    """A copy of it that has rows of nought as well: whether casks were found is not whether there is something to print."""
    follow("A report", copy)
    file = copy / "caskbook" / "cli" / "commands" / "report_states.py"
    whole = file.read_text(encoding="utf-8")
    assert whole.count("Counter[tuple[str, str]]()") == 1
    file.write_text(whole.replace("Counter[tuple[str, str]]()", f"Counter[tuple[str, str]]{counts}"), encoding="utf-8")
    for words in (("init", "-q"), ("add", "records")):
        subprocess.run(["git", *words], cwd=copy, check=True)
    shutil.rmtree(copy / "records" / "casks")
    told = ran(copy, "report", "states")
    assert "git knows 1 cask there" in told.stderr
    assert [line.split() for line in told.stdout.splitlines()][1:] == rows
