"""`due --set`: what would turn if a setting were another, held against the same setting written and against what review counts."""

from __future__ import annotations

import csv
import io
import json
import shutil
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from index.book import DAY, make_demo
from laws import others_thorough

SETTINGS = (
    ("due.rechar.due_at", "3"),
    ("fill_needs", "test"),
    ("due.regauge.first_year", "2"),
    ("due.regauge.off", "true"),
    ("due.examine.off", "true"),
    ("due.loss.false_alarms_per_1000_casks_a_year", "90"),
    ("types.hogshead.due.rechar.due_at", "2"),
)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 150)


def verdicts(root: Path, *words: str) -> dict[tuple[str, str], str]:
    done = caskbook("due", "--all", *words, "--format", "json", "--records", str(root), "--as-of", DAY)
    return {(one["cask"], one["rule"]): one["verdict"] for one in json.loads(done.stdout)}


def tried(root: Path, *words: str) -> dict:
    done = caskbook("due", *words, "--format", "json", "--records", str(root), "--as-of", DAY)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def written(root: Path, key: str, value: str, to: Path) -> Path:
    """A copy of the book with the setting written by hand."""
    shutil.copytree(root, to)
    path, house = key.split("."), to / "house.yaml"
    import yaml

    raw = yaml.safe_load(house.read_text(encoding="utf-8"))
    at = raw
    for name in path[:-1]:
        at[name] = at = at.get(name) or {}
    at[path[-1]] = yaml.safe_load(value)
    house.write_text(yaml.safe_dump(raw, sort_keys=False, allow_unicode=True), encoding="utf-8")
    return to


@pytest.mark.thorough
@pytest.mark.parametrize("setting", others_thorough(SETTINGS, 1))
def test_it_turns_what_the_setting_turns_once_it_is_written(demo: Path, tmp_path: Path, setting: tuple[str, str]) -> None:
    key, value = setting
    now, then = verdicts(demo), verdicts(written(demo, key, value, tmp_path / "other"))
    turned = {one: (now.get(one, "ok"), then.get(one, "ok")) for one in now.keys() | then.keys() if now.get(one, "ok") != then.get(one, "ok")}
    found = tried(demo, "--set", f"{key}={value}")
    assert {(cask, one["rule"]): (one["now"], one["then"]) for one in found["turns"] for cask in one["casks"]} == turned
    assert found["turned"] == len({cask for cask, _ in turned}) and found["casks"] == len({cask for cask, _ in now})
    assert turned


@pytest.mark.thorough
@pytest.mark.parametrize(("key", "value"), [one for one in SETTINGS if "loss" not in one[0]])
def test_review_counts_the_same(demo: Path, tmp_path: Path, key: str, value: str) -> None:
    found, book = tried(demo, "--set", f"{key}={value}"), tmp_path / "other"
    shutil.copytree(demo, book)
    git = ["git", "-C", str(book), "-c", "user.name=A", "-c", "user.email=a@example.org"]
    for words in (["init", "-q"], ["add", "-A"], ["commit", "-qm", "before"]):
        subprocess.run([*git, *words], check=True)
    shutil.copy(written(demo, key, value, tmp_path / "third") / "house.yaml", book)
    review = json.loads(caskbook("review", "--format", "json", "--as-of", DAY, "--records", str(book)).stdout)
    (setting,) = [one for one in review["settings"] if key.startswith(one["key"])]
    names = ("newly_due", "no_longer", "at_emptying", "no_longer_at_emptying")
    assert [setting[name] for name in names] == [found[name] for name in names]
    assert any(found[name] for name in names)


@pytest.mark.thorough
def test_nothing_is_written(demo: Path) -> None:
    files = {path: path.read_bytes() for path in sorted(demo.rglob("*")) if path.is_file() and ".caskbook" not in path.parts}
    before = verdicts(demo)
    tried(demo, "--set", "due.rechar.due_at=2", "--set", "test_valid_days=5")
    assert {path: path.read_bytes() for path in sorted(demo.rglob("*")) if path.is_file() and ".caskbook" not in path.parts} == files
    assert verdicts(demo) == before


@pytest.mark.thorough
def test_rules_filters_and_forms(demo: Path) -> None:
    words = ("--set", "due.rechar.due_at=2", "--set", "due.regauge.first_year=1")
    whole, narrow = tried(demo, *words), tried(demo, *words, "rechar", "--type", "hogshead")
    of_type = {cask for cask, _ in verdicts(demo, "--type", "hogshead")}
    assert {one["rule"] for one in whole["turns"]} >= {"rechar", "regauge"}
    wanted = [{**one, "casks": [c for c in one["casks"] if c in of_type]} for one in whole["turns"] if one["rule"] == "rechar"]
    assert narrow["turns"] == [one for one in wanted if one["casks"]] != []
    assert narrow["casks"] == len(of_type)
    done = caskbook("due", *words, "--format", "csv", "--records", str(demo), "--as-of", DAY)
    rows = {(row["cask"], row["rule"], row["now"], row["then"]) for row in csv.DictReader(io.StringIO(done.stdout))}
    assert rows == {(cask, one["rule"], one["now"], one["then"]) for one in whole["turns"] for cask in one["casks"]}
    text = caskbook("due", *words, "--records", str(demo), "--as-of", DAY).stdout
    assert max(map(len, text.splitlines())) <= 80 and f"{whole['turned']} of {whole['casks']} casks turn" in text


@pytest.mark.thorough
@pytest.mark.parametrize("index", others_thorough(["", "off"], 1))
def test_a_dated_setting_and_another_day(demo: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    done = caskbook("due", "--set", "due.rechar.due_at=2", "--as-of", "2015-06-01", "--format", "json", "--records", str(demo))
    found = json.loads(done.stdout)
    assert found["day"] == "2015-06-01" and 0 < found["casks"] < tried(demo, "--set", "due.rechar.due_at=2")["casks"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("suppliers.ashgarth.days=4",), "--set suppliers.ashgarth.days: no setting of house.yaml"),
        (("due_at=4",), "--set due_at: no setting of house.yaml; did you mean due.rechar.due_at?"),
        (("due.rechar.due_att=4",), "did you mean due.rechar.due_at?"),
        (("due.rechar.due_at=x",), '`due_at` is "x": expected a whole number'),
        (("coopers=3",), "--set coopers: no due rule reads it; caskbook plan --coopers N tries it"),
        (("types.butt.job_hours={char: 1}",), "no due rule reads it; it is for plan and ready"),
        (("due.rechar.due_at",), "expected KEY=VALUE, as due.rechar.due_at=4"),
        (("due.rechar.due_at=[",), "no value of YAML stands behind the ="),
        (("types.barel.test_valid_days=4",), "barel is no type of cask; did you mean barrel?"),
        (("test_valid_days=4", "test_valid_days=5"), "--set test_valid_days: given twice"),
        (("test_valid_days=4\nname: x",), "no value of YAML stands behind the ="),
    ],
)
def test_what_cannot_be_tried_is_one_line(demo: Path, words: tuple[str, ...], said: str) -> None:
    done = caskbook("due", *(part for word in words for part in ("--set", word)), "--records", str(demo))
    assert done.returncode == 2 and said in done.stderr and done.stdout == "" and done.stderr.count("\n") == 1, done.stderr


@pytest.mark.parametrize("option", [("--top", "3"), ("--by-cask",), ("--fail-if-any",), ("--all",), ("--sort", "cask")])
def test_what_does_nothing_beside_it_is_refused(demo: Path, option: tuple[str, ...]) -> None:
    done = caskbook("due", "--set", "test_valid_days=5", *option, "--records", str(demo))
    assert done.returncode == 2 and f"{option[0]} with --set" in done.stderr


@pytest.mark.thorough
def test_the_claim_days_of_one_supplier_are_tried(tmp_path: Path) -> None:
    (tmp_path / "house.yaml").write_text("name: H\ntimezone: UTC\nsuppliers: {ashgarth: {claim_days: 20}, northquay: {claim_days: 20}}\n", encoding="utf-8")
    for number, supplier in (("TH-000001", "ashgarth"), ("TH-000002", "northquay")):
        path = tmp_path / "casks" / "TH-000" / f"{number}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        found = "findings: [{at: stave-3, defect: cracked, severity: 3}]"
        path.write_text(
            f"cask: {number}\nformat: 1\ntype: barrel\nsupplier: {supplier}\nevents:\n  - {{id: e0000001, date: 2026-06-01, job: receive, by: ab, verdict: accept}}\n"
            f"  - {{id: e0000002, date: 2026-06-02, job: examine, by: ab, verdict: repair, {found}}}\n",
            encoding="utf-8",
        )
    where = ("--records", str(tmp_path), "--as-of", "2026-07-01", "--format", "json")
    turns = json.loads(caskbook("due", "--set", "suppliers.ashgarth.claim_days=60", *where).stdout)["turns"]
    assert turns == [{"rule": "claim", "now": "ok", "then": "due", "casks": ["TH-000001"]}]
