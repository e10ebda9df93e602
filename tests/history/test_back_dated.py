"""A row of house.yaml that begins before it came in, and a setting without a day that is new: both judge anew what was done before."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import HOUSE, RECEIVED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

OVER = event("dt3q62s1", "2015-03-20", "test", "psi: 11", "water_l: 2", "result: pass")
LIMIT, TWO = "test_limit_psi: 10\n", "test_limit_psi: [{{since: 1900-01-01, value: 10}}, {{since: {day}, value: 20}}]\n"
NOON = {"GIT_AUTHOR_DATE": "2024-05-05T12:00:00Z", "GIT_COMMITTER_DATE": "2024-05-05T12:00:00Z"}


def book(tmp_path: Path, settings: str = LIMIT) -> Repo:
    repo = ledger(tmp_path)
    repo.house(HOUSE + settings)
    repo.write(cask(RECEIVED, OVER))
    repo.commit("book")
    return repo


def committed(repo: Repo, settings: str, **when: str) -> str:
    repo.house(HOUSE + settings)
    repo.git("add", "-A")
    repo.git("commit", "-q", "--no-verify", "-m", "limit", **(when or NOON))
    return repo.head()


def told(repo: Repo, *words: str) -> list[str]:
    """What a check says of house.yaml: code, line and message of each finding."""
    found = json.loads(caskbook("check", *words, "--format", "json", cwd=repo.ledger).stdout)["findings"]
    return [f"{one['code']} {one['line']} {one['message']}" for one in found if one["path"].endswith("house.yaml")]


def test_a_row_of_2015_that_comes_in_today_is_named_by_every_gate(tmp_path: Path) -> None:
    repo = book(tmp_path)
    assert "test-over-house-limit" in caskbook("check", cwd=repo.ledger).stdout
    repo.house(HOUSE + TWO.format(day="2015-01-01"))
    said = "`test_limit_psi` is 20 from 2015-01-01 on, was 10: it came in on "
    for words in (("--since", "HEAD"), ("--new-since", "HEAD"), ("--since", "HEAD", "--ends-only")):
        done = caskbook("check", "--strict", *words, cwd=repo.ledger)
        assert done.returncode == 1 and "1 cask: 1 warning " in done.stdout and said in " ".join(done.stdout.split()), done.stdout
    done = caskbook("review", cwd=repo.ledger)
    assert "it begins before the day it came in, so the past is judged anew" in " ".join(done.stdout.split()), done.stdout
    repo.git("add", "-A")
    assert caskbook("git", "install", cwd=repo.ledger).returncode == 0
    assert "back-dated-setting" in repo.git("commit", "-m", "limit")
    made = repo.head()
    for words in (("--since", "HEAD~1"), ("--new-since", "HEAD~1"), ("--since", "HEAD~1", "--ends-only"), ("--at", "HEAD", "--since", "HEAD~1")):
        (line,) = told(repo, *words)
        assert line.startswith(f"back-dated-setting 5 {said}") and f"({made[:10]}, Tester, " in line, line
    done = caskbook("review", "HEAD~1..HEAD", cwd=repo.ledger)
    assert f"the past is judged anew ({made[:10]}, Tester, " in " ".join(done.stdout.split()), done.stdout
    setting = next(one for one in json.loads(caskbook("review", "HEAD~1..HEAD", "--format", "json", cwd=repo.ledger).stdout)["settings"])
    assert setting["back_dated"] is True and setting["undated"] is False and setting["commit"] == made


@pytest.mark.parametrize(
    ("old", "new", "lines"),
    [
        (LIMIT, TWO.format(day="2024-05-05"), []),
        (LIMIT, TWO.format(day="2024-05-06"), []),
        (LIMIT, TWO.format(day="2024-05-04"), ["back-dated-setting 5 `test_limit_psi` is 20 from 2024-05-04 on, was 10: it came in on 2024-05-05"]),
        (LIMIT, TWO.format(day="2015-01-01").replace("20}", "10}"), []),
        ("test_limit_psi: [{since: 2000-01-01, value: 10}]\n", TWO.format(day="2024-05-05").replace("1900", "2000"), []),
        (
            "test_limit_psi: [{since: 2000-01-01, value: 10}]\n",
            TWO.format(day="2015-01-01").replace("1900", "2000"),
            ["back-dated-setting 5 `test_limit_psi` is 20 from 2015-01-01 on, was 10: it came in on 2024-05-05"],
        ),
        (
            "test_limit_psi: [{since: 2000-01-01, value: 10}]\n",
            TWO.format(day="2000-01-01").replace("value: 10", "value: 9").replace("20}", "10}"),
            ["back-dated-setting 5 `test_limit_psi` is 9 from 1900-01-01 on, was 12: it came in on 2024-05-05"],
        ),
        ("", "short_fill_days: 300\n", ["undated-setting-changed 5 `short_fill_days` was absent when it landed, is 300"]),
        ("", "count_prior: false\n", ["undated-setting-changed 5 `count_prior` was absent when it landed, is False"]),
        ("", "count_prior: true\npaper: A5\nstores: {W1: moor}\nshops: [weir]\ndue: {rechar: {due_at: 4}}\n", []),
        ("", "due: {rechar: {most_rechars: 1}}\n", ["undated-setting-changed 5 `due.rechar.most_rechars` was absent when it landed, is 1"]),
        ("", "due: {rechar: {most_rechars: 2}}\n", []),
        ("due: {rechar: {most_rechars: 3, due_at: 6}}\n", "due: {rechar: {most_rechars: 1, due_at: 7}}\n", ["undated-setting-changed 5 `due.rechar.most_rechars` was 3 when it landed, is 1"]),
        ("", "due: {rechar: {most_rechars: [{since: 1900-01-01, value: 2}, {since: 2024-05-05, value: 1}]}}\n", []),
        ("", "types: {butt: {due: {rechar: {most_rechars: 1}}}}\n", ["undated-setting-changed 5 `types.butt.due.rechar.most_rechars` was absent when it landed, is 1"]),
        ("", "fill_needs: [{since: 1900-01-01, value: examine}, {since: 2024-05-05, value: test}]\n", []),
        ("", "fill_needs: [{since: 2020-01-01, value: test}]\n", ['back-dated-setting 5 `fill_needs` is "test" from 2020-01-01 on, was "examine": it came in on 2024-05-05']),
        ("", "types: {barrel: {stave_floor_mm: 18}, butt: {stave_floor_mm: 18}}\n", ["undated-setting-changed 5 `types.butt.stave_floor_mm` was absent when it landed, is 18"]),
        (LIMIT, LIMIT + "types: {butt: {test_limit_psi: [{since: 2015-01-01, value: 20}]}}\n",
         ["back-dated-setting 6 `types.butt.test_limit_psi` is 20 from 2015-01-01 on, was 10: it came in on 2024-05-05"]),
    ],
)  # fmt: skip
def test_what_judges_the_past_and_what_does_not(tmp_path: Path, old: str, new: str, lines: list[str]) -> None:
    repo = book(tmp_path, old)
    made = committed(repo, new)
    assert told(repo, "--since", "HEAD~1") == [f"{line} ({made[:10]}, Tester, 2024-05-05)" for line in lines]


NORTHQUAY = "suppliers: {{northquay: {{claim_days: {}}}}}\n"
GRAVE = "severities: {}\n"


@pytest.mark.parametrize(("old", "new", "codes"), [
    (NORTHQUAY.format(60), NORTHQUAY.format("[{since: 1900-01-01, value: 60}, {since: 2015-01-01, value: 20}]"), ["back-dated-setting"]),
    (NORTHQUAY.format(60), NORTHQUAY.format("[{since: 1900-01-01, value: 60}, {since: 2024-05-05, value: 20}]"), []),
    (NORTHQUAY.format(60), NORTHQUAY.format("60}, weir: {claim_days: 20"), []),
    (NORTHQUAY.format(60), NORTHQUAY.format(20), ["undated-setting-changed"]),
    (GRAVE.format("{lpa-gain: error}"), GRAVE.format("[{since: 1900-01-01, value: {lpa-gain: error}}, {since: 2015-01-01, value: {lpa-gain: note}}]"), ["back-dated-setting"]),
    (GRAVE.format("[{since: 1900-01-01, value: {lpa-gain: error}}]"), GRAVE.format("[{since: 1900-01-01, value: {lpa-gain: note}}]"), ["landed-setting-changed"]),
    (GRAVE.format("{lpa-gain: error}"), GRAVE.format("{lpa-gain: note}"), ["undated-setting-changed"]),
    (GRAVE.format("{lpa-gain: error}"), GRAVE.format("{lpa-gain: error, over-capacity: note}"), []),
])  # fmt: skip
def test_claim_days_and_severities_that_had_landed_are_altered_as_any_setting(tmp_path: Path, old: str, new: str, codes: list[str]) -> None:
    repo = book(tmp_path, old)
    committed(repo, new)
    assert [line.split()[0] for line in told(repo, "--since", "HEAD~1")] == codes


def test_a_row_that_was_lawful_on_its_day_stays_so_and_one_taken_back_is_told_with_who_did_it(tmp_path: Path) -> None:
    repo = book(tmp_path)
    committed(repo, TWO.format(day="2024-05-05"))
    made = committed(repo, TWO.format(day="2024-05-05").replace("}]", "}, {since: 2024-05-06, value: 30}]"), GIT_COMMITTER_DATE="2024-05-09T12:00:00Z")
    back = committed(repo, TWO.format(day="2024-05-05"), GIT_COMMITTER_DATE="2024-05-10T12:00:00Z")
    (line,) = told(repo, "--since", "HEAD~3")
    assert line.startswith("back-dated-setting ") and made[:10] in line and f"put back by {back[:10]}" in line
    repo.house(HOUSE + TWO.format(day="2024-05-05") + "name: A\n")
    for words in (("--since", "HEAD"), ("--since", "HEAD~3", "--ends-only"), ("--since", "HEAD~2", "--at", "HEAD~2")):
        assert told(repo, *words) == [], words


def test_a_merge_does_not_tell_anew_what_came_in_on_its_own_day(tmp_path: Path) -> None:
    repo = book(tmp_path)
    repo.git("checkout", "-q", "-b", "bench")
    committed(repo, TWO.format(day="2024-05-05"))
    repo.git("checkout", "-q", "main")
    (repo.top / "other").write_text("x")
    repo.commit("elsewhere")
    repo.git("merge", "-q", "--no-ff", "-m", "merge", "bench")
    assert told(repo, "--since", "HEAD~2") == []


def test_the_day_is_that_of_the_house(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    there = HOUSE.replace("Europe/London", "Pacific/Kiritimati")
    repo.house(there + LIMIT)
    repo.commit("book")
    repo.house(there + TWO.format(day="2024-05-05"))
    repo.git("add", "-A")
    repo.git("commit", "-q", "-m", "limit", **NOON)
    assert ["it came in on 2024-05-06" in line for line in told(repo, "--since", "HEAD~1")] == [True], "fourteen hours ahead it is the next day"


def test_a_row_of_today_in_the_work_tree_is_lawful(tmp_path: Path) -> None:
    repo = book(tmp_path)
    repo.house(HOUSE.replace("Europe/London", "UTC") + TWO.format(day=datetime.now(UTC).date()))
    assert [line for line in told(repo, "--since", "HEAD") if not line.startswith("undated-setting-changed 1 `timezone`")] == []
