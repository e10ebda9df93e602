"""A back-test of the outlook reads what git held on the day: a late entry and a later void are not seen from it, in whatever zone the house is."""

from __future__ import annotations

import json
import subprocess
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

from caskbook.cli.commands.report_outlook_backtest import origin_on
from caskbook.cli.common import open_book
from caskbook.life.turns import month_of
from caskbook.stats.outlook_backtest import Origin

pytestmark = pytest.mark.thorough
HOUSE = "timezone: America/New_York\ncrew: [{initials: ab}, {initials: kd}]\n"
LATE, VOIDED = "TH-000001", "TH-000002"


def committed(root: Path, when: str, files: dict[str, str]) -> None:
    for name, text in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    dated = {"GIT_AUTHOR_DATE": when, "GIT_COMMITTER_DATE": when, "HOME": str(root), "PATH": "/usr/bin:/bin:/usr/local/bin", "GIT_CONFIG_NOSYSTEM": "1"}
    names = ["-c", "user.name=ab", "-c", "user.email=ab@example.org", "-c", "commit.gpgsign=false"]
    for words in (["init", "-q", "-b", "main"], ["add", "-A"], ["commit", "-q", "-m", "work"]):
        subprocess.run(["git", *names, *words], cwd=root, check=True, capture_output=True, env=dated)


def cask(number: str, *events: dict[str, Any]) -> dict[str, str]:
    return {f"casks/{number[:-3]}/{number}.yaml": yaml.safe_dump(cask_data(*events, cask=number), sort_keys=False)}


def filled(day: str) -> dict[str, Any]:
    return ev(day, "fill", spirit="malt", litres=190, abv=63.5, at_20=True, berth="R1")


def emptied(day: str) -> dict[str, Any]:
    return ev(day, "empty", litres=150, abv=60, at_20=True)


def month(day: str) -> int:
    return month_of(date.fromisoformat(day)) or 0


BEGUN = (ev("2015-01-10", "receive", verdict="accept"), filled("2015-02-01"))
LEAK = ev("2016-05-01", "leak", at="joint-4", severity="weep")


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """Committed before midnight of 30 June 2018 in the house, then half a year later an emptying of May, entered late, and the void of a leak."""
    committed(tmp_path, "2018-07-01T03:30:00+00:00", {"house.yaml": HOUSE} | cask(LATE, *BEGUN) | cask(VOIDED, *BEGUN, LEAK))
    void = ev("2018-12-03", "void", of="e0000003", why="other cask")
    committed(tmp_path, "2018-12-03T12:00:00+00:00", cask(LATE, *BEGUN, emptied("2018-05-10")) | cask(VOIDED, *BEGUN, LEAK, void))
    return tmp_path


def origin(root: Path, day: str) -> Origin:
    found = origin_on(open_book(str(root), "2022-12-31"), date.fromisoformat(day))
    assert found is not None
    return found


def test_a_late_entry_and_a_later_void_are_not_seen_from_the_day(root: Path) -> None:
    then, after = origin(root, "2018-06-30"), origin(root, "2018-12-31")
    assert sum(then.book.tips_by_month) == 0 and sum(one.many for one in then.book.full) == 2
    assert [one.start for one in then.book.leaks] == [month("2016-05-01")]
    assert [tip.month for tip in after.book.tips] == [month("2018-05-10")] and sum(one.many for one in after.book.full) == 1
    assert after.book.leaks == [] and then.revision != after.revision


def test_a_commit_of_the_next_day_of_the_house_is_not_taken(root: Path) -> None:
    """That of 30 June 23:30 in New York is there on the 30th, and not on the 29th, though it is 1 July in Greenwich."""
    book = open_book(str(root), "2022-12-31")
    assert origin_on(book, date(2018, 6, 29)) is None and origin_on(book, date(2018, 6, 30)) is not None


def test_settings_are_those_of_then(root: Path) -> None:
    committed(root, "2019-02-01T12:00:00+00:00", {"house.yaml": HOUSE + "due: {rechar: {due_at: 3, soon_at: 2}}\n"})
    limits = [origin(root, day).limit_of("barrel") for day in ("2018-12-31", "2019-02-28")]
    assert [one and one.due_at for one in limits] == [5, 3]


def test_the_command_says_from_which_commits_it_forecast(tmp_path: Path) -> None:
    """Thirty casks that come empty again and again; a commit at the end of each second year, of what was entered until then."""
    lives = {}
    for n in range(30):
        events, day = [ev("2008-01-10", "receive", verdict="accept")], date(2008, 1, 20) + timedelta(days=11 * n)
        while day < date(2022, 1, 1):
            events += [filled(str(day)), emptied(str(day + timedelta(days=400)))]
            day += timedelta(days=430)
        lives[f"TH-{n:06d}"] = events
    for year in range(2013, 2023, 2):
        known = {name: [one for one in events if one["date"] < f"{year}"] for name, events in lives.items()}
        committed(
            tmp_path,
            f"{year - 1}-12-31T12:00:00-05:00",
            {"house.yaml": HOUSE} | {k: v for name, events in known.items() for k, v in cask(name, *events).items()},
        )
    found = caskbook("report", "outlook", "--records", str(tmp_path), "--as-of", "2020-12-31", "--back-test", "--format", "json")
    assert found.returncode == 0, found.stderr
    told = json.loads(found.stdout)
    assert [one["day"] for one in told["origins"]] == [f"{year}-12-31" for year in range(2012, 2020)]
    revisions = [one["revision"] for one in told["origins"]]
    assert None not in revisions and len(set(revisions)) == 4 and revisions[0] == revisions[1]
    text = " ".join(caskbook("report", "outlook", "--records", str(tmp_path), "--as-of", "2020-12-31", "--back-test").stdout.split())
    assert "the book as known then: of 8 days by their last commit" in text and "git has none" not in text
