"""With the index and without: the same bytes, on whole ledgers and on sabotaged ones."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from commands import caskbook

from index.book import DAY, SHIPPED, answer, cask_files, commit_all, copied, make_demo, same, without_index

pytestmark = pytest.mark.thorough

COMMANDS = (
    ("due",), ("due", "--soon", "--unknown"), ("due", "--all", "--format", "json"), ("due", "rechar", "look", "--format", "csv"),
    ("due", "--type", "hogshead", "--berth", "R"), ("check", "--notes"), ("check", "--format", "json"),
)  # fmt: skip


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 60)


def all_same(root: Path, commands: tuple[tuple[str, ...], ...] = COMMANDS, day: str | None = DAY) -> None:
    for words in commands:
        same(root, *words, day=day)


@pytest.mark.parametrize("in_git", [pytest.param(False, marks=pytest.mark.slow), True])
def test_a_ledger_asked_twice_answers_as_its_files_do(demo: Path, tmp_path: Path, in_git: bool) -> None:
    root = copied(demo, tmp_path / "book")
    if in_git:
        commit_all(root)
    all_same(root)
    all_same(root, COMMANDS[2:3] + COMMANDS[6:])
    number = cask_files(root)[40].stem
    same(root, "show", number)
    same(root, "show", number, "--format", "json")


@pytest.mark.parametrize(
    "day", ["2026-07-01", "2021-06-30", *(pytest.param(day, marks=pytest.mark.slow) for day in ("2027-01-15", "2009-02-28", "1999-01-01"))]
)
def test_another_day_is_answered_as_its_files_do(demo: Path, day: str) -> None:
    same(demo, "due", "--all", "--format", "json")
    same(demo, "due", "--all", "--format", "json", day=day)
    same(demo, "check", "--format", "json", day=day)


@pytest.mark.parametrize("first", ["2017-01-01", "2031-01-01"])
def test_show_of_today_knows_the_peers_of_today(tmp_path: Path, first: str) -> None:
    """Whatever day was asked about last: earlier, the peers were others; later, entries that come then count."""
    root = copied(SHIPPED, tmp_path / "book")
    answer(root, "list", day=first)
    for cask in ("TH-003383", "TH-004380", "TH-003378"):
        same(root, "show", cask, "--format", "json", day=None)


def sabotaged(root: Path, seed: int, share: float = 0.2) -> None:
    """Hurts some of the files in ways that people and programs do."""
    chance = random.Random(seed)
    files = cask_files(root)
    for file in chance.sample(files, int(len(files) * share)):
        text = file.read_text(encoding="utf-8")
        match chance.randrange(9):
            case 0:
                file.unlink()
            case 1:
                file.write_text(text[: len(text) // 2], encoding="utf-8")
            case 2:
                file.write_text(text.replace("job: fill", "job: fil", 1), encoding="utf-8")
            case 3:
                file.write_bytes(text.replace("\n", "\r\n").encode())
            case 4:
                file.write_bytes(b"\xff\x00")
            case 5:
                file.write_text(text.replace("date: 20", "date: 29", 1), encoding="utf-8")
            case 6:
                other = chance.choice(files).stem
                file.write_text(
                    text + f"  - id: zzzzzzz0\n    date: 2026-06-01\n    job: same-as\n    by: gp\n    of: {other}\n    why: two numbers\n", encoding="utf-8"
                )
            case 7:
                file.rename(file.with_name(chance.choice(files).stem[:-3] + "999.yaml"))
            case _:
                file.write_text(text.replace("verdict: sound", "verdict: repair"), encoding="utf-8")


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.slow)])
def test_a_sabotaged_ledger_is_answered_as_its_files_do(demo: Path, tmp_path: Path, seed: int) -> None:
    root = copied(demo, tmp_path / "book")
    if seed % 2:
        commit_all(root)
    answer(root, "due")
    answer(root, "check")
    sabotaged(root, seed)
    all_same(root, COMMANDS[2:3] + COMMANDS[6:])


@pytest.mark.slow
@pytest.mark.parametrize("in_git", [False, True])
def test_two_thousand_casks_whole_and_sabotaged(tmp_path: Path, in_git: bool) -> None:
    root = make_demo(tmp_path / "book", 2000)
    if in_git:
        commit_all(root)
    all_same(root)
    for file in cask_files(root)[::100]:
        same(root, "show", file.stem)
    sabotaged(root, 5)
    all_same(root)
    for file in cask_files(root)[::100]:
        same(root, "show", file.stem)


def facts_without_index(root: Path, number: str, day: str) -> dict[str, object]:
    with without_index():
        found = json.loads(answer(root, "show", number, "--format", "json", day=day)[1])
    found.pop("events", None)
    assert found.pop("settings_unread") is False, "it is no fact of the cask"
    loss = found.pop("loss", None) or {}
    return {**found, **{f"loss_{name}": loss.get(name) for name in ("from", "to", "litres_20", "lpa", "share", "per_year", "plus_minus", "doubt")}}


@pytest.mark.parametrize("day", [DAY, pytest.param("2026-07-03", marks=pytest.mark.slow), "2016-02-29"])
def test_every_fact_of_the_list_is_that_of_the_card(demo: Path, day: str) -> None:
    answer(demo, "list", day=DAY)  # so that later days are reckoned on from there
    done = caskbook("list", "--format", "json", "--records", str(demo), "--as-of", day)
    assert done.returncode == 0, done.stderr
    rows = json.loads(done.stdout)
    assert len(rows) > 10
    for row in rows[::5]:
        assert row == facts_without_index(demo, row["cask"], day)


def test_what_a_joined_file_has_for_later_days_is_seen_on_its_day(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    one, other = [file for file in cask_files(root) if "job: dispose" not in file.read_text(encoding="utf-8")][:2]
    with one.open("a", encoding="utf-8") as file:
        file.write(f"  - id: zzzzzzz0\n    date: 2026-06-01\n    job: same-as\n    by: gp\n    of: {other.stem}\n    why: two numbers\n")
    with other.open("a", encoding="utf-8") as file:
        file.write("  - id: zzzzzzz1\n    date: 2026-07-02\n    job: hold\n    by: gp\n    why: by hand\n    reason: other\n")
    commit_all(root)
    for day in (DAY, "2026-07-01", "2026-07-02", DAY, "2026-07-03"):
        same(root, "due", "--all", "--format", "json", day=day)
        same(root, "show", one.stem, day=day)
