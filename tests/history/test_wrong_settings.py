"""A house.yaml with a wrong setting: review tells it as check does and gives the rest; no command stops for it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from casks import cask_data, ev
from commands import caskbook
from laws import crossed

from caskbook.model.house import whole_settings
from caskbook.yaml.write import flow_text

pytestmark = pytest.mark.thorough

GOOD = "timezone: UTC\ncrew: [{initials: ab}]\n"
SETTINGS = [field.alias or name for name, field in whole_settings().model_fields.items()]
WRONG = (
    "due: {rechar: {due: x}}", "due: {look: {new_fill_days: x}}", "types: {barrel: 3}", "types: [1]", "types: {barrel: {examine_valid_days: x}}", "nosuch: 1", "suppliers: no such",
    "types: {barrel: [{since: 2020-01-01, value: 3}]}", "short_fill_days: [{since: 2020-01-01, value: x}]", "short_fill_days: [{since: x, value: 3}]", "crew: {a: b}", "due: [1]",
    "types: {barrel: {due: {rechar: {due: x}}}}",
)  # fmt: skip


def _git(root: Path, *words: str) -> str:
    return subprocess.run(["git", "-C", str(root), "-c", "user.name=a", "-c", "user.email=a@b.c", *words], check=True, capture_output=True, text=True).stdout


def _cask(root: Path, *more: dict[str, object]) -> None:
    data = cask_data(ev("2020-01-01", "receive", verdict="accept"), ev("2020-01-02", "note", note="seen"), *more)  # type: ignore[arg-type]
    rows = [f"  - {flow_text(event)}" for event in data.pop("events")]
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(
        "\n".join([*(f"{key}: {flow_text(value)}" for key, value in data.items()), "events:", *rows]) + "\n"
    )


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("wrong") / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text(GOOD)
    _cask(root)
    _git(root, "init", "-q")
    _git(root, "add", ".")
    _git(root, "commit", "-qm", "Begin")
    _cask(root, ev("2020-01-03", "test", psi=9, result="pass"))
    return root


def _house(setting: str) -> str:
    key = setting.partition(":")[0]
    kept = [line for line in GOOD.splitlines() if not line.startswith(f"{key}:")]
    return "\n".join([*kept, setting, ""])


def _altered(setting: str) -> int:
    """The exit code: whoever is of the crew when the book lands stays of it, so a crew that cannot be read is told as altered."""
    return int(setting.startswith("crew"))


@crossed("setting,form", WRONG, ["text", "markdown"])
def test_review_tells_it_with_its_place_in_every_form(book: Path, setting: str, form: str) -> None:
    (book / "house.yaml").write_text(_house(setting))
    check = caskbook("check", "--format", "json", cwd=book)
    codes = {(one["code"], one["line"]) for one in json.loads(check.stdout)["findings"] if one["path"] == "house.yaml"}
    assert codes, check.stdout
    done = caskbook("review", "--format", "json", cwd=book)
    answer = json.loads(done.stdout)
    assert done.returncode == _altered(setting) and {(one["code"], one["line"]) for one in answer["house"]} == codes, done.stderr
    assert answer["days"][0]["casks"][0]["text"] == "passed at 9 psi"
    done = caskbook("review", "--format", form, cwd=book)
    assert done.returncode == _altered(setting) and "passed at 9 psi" in done.stdout
    for code, line in codes:
        assert f"house.yaml:{line}:" in done.stdout and code in done.stdout


@pytest.mark.parametrize("setting", WRONG)
def test_no_command_stops_for_it(book: Path, setting: str) -> None:
    (book / "house.yaml").write_text(_house(setting))
    for words in (("due",), ("show", "TH-004217"), ("list",), ("check",)):
        done = caskbook(*words, cwd=book)
        assert done.returncode in (0, 1) and "fault of the program" not in done.stderr, (words, done.stderr)


@pytest.mark.parametrize(
    "value", ["no such", pytest.param("-5", marks=pytest.mark.slow), pytest.param("[{since: 2020-01-01, value: {}}]", marks=pytest.mark.slow)]
)
@pytest.mark.parametrize("key", SETTINGS)
def test_each_setting_wrong_leaves_the_rest_of_the_review(book: Path, key: str, value: str) -> None:
    (book / "house.yaml").write_text(_house(f"{key}: {value}"))
    done = caskbook("review", cwd=book)
    assert done.returncode == _altered(key) and "passed at 9 psi" in done.stdout and "fault of the program" not in done.stderr, done.stderr


@pytest.mark.parametrize("text", ["a: [\n", "- 1\n", "x\n"])
def test_what_is_no_yaml_of_settings_takes_no_setting_out(book: Path, text: str) -> None:
    (book / "house.yaml").write_text(text)
    done = caskbook("review", cwd=book)
    assert (
        done.returncode == 1
        and "cannot be compared" in done.stdout
        and "house.yaml:1:" in done.stdout
        and "unset" not in done.stdout
        and "passed at 9 psi" in done.stdout
    )


def test_review_settle_and_merge_by_the_command_itself(tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text(GOOD)
    _cask(root)
    _git(root, "init", "-q", "-b", "main")
    _git(root, "add", ".")
    _git(root, "commit", "-qm", "Begin")
    run = [sys.executable, "-m", "caskbook"]
    subprocess.run([*run, "git", "install"], cwd=root, check=True, capture_output=True)
    _git(root, "checkout", "-qb", "other")
    (root / "house.yaml").write_text(GOOD + "due: {rechar: {due: x}}\n")
    _git(root, "commit", "-qam", "Settings", "--no-verify")
    _git(root, "checkout", "-q", "main")
    (root / "house.yaml").write_text(GOOD + "due: {rechar: {due: y}}\ntypes: {barrel: 3}\n")
    _git(root, "commit", "-qam", "More", "--no-verify")
    merged = subprocess.run(["git", "-C", str(root), "-c", "user.name=a", "-c", "user.email=a@b.c", "merge", "other"], capture_output=True, text=True)
    settled = subprocess.run([*run, "settle"], cwd=root, capture_output=True, text=True)
    reviewed = subprocess.run([*run, "review"], cwd=root, capture_output=True, text=True)
    for done in (merged, settled, reviewed):
        assert "fault of the program" not in done.stdout + done.stderr and "Traceback" not in done.stdout + done.stderr, done.stderr
    ranged = subprocess.run([*run, "review", "main~1..main"], cwd=root, capture_output=True, text=True)
    assert ranged.returncode in (0, 1) and "wrong-type" in ranged.stdout, ranged.stdout + ranged.stderr


def test_a_house_file_taken_away_is_told(tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text(GOOD)
    _cask(root)
    _git(root, "init", "-q")
    _git(root, "add", ".")
    _git(root, "commit", "-qm", "Begin")
    _git(root, "rm", "-q", "house.yaml")
    _git(root, "commit", "-qm", "Gone")
    done = caskbook("review", "HEAD~1..HEAD", "--records", str(root), cwd=root)
    assert done.returncode in (0, 1, 2) and "fault of the program" not in done.stderr and "house.yaml" in done.stdout + done.stderr
