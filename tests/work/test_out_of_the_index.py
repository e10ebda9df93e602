"""What a plan and `ready` take out of the index is what the files say: minutes of work, the first day of each rule, losses that speak for retiring, what was worked out before."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from history.ledgers import RECEIVED, cask, event
from index.book import DAY, make_demo

from caskbook.index.ahead import Ahead
from caskbook.index.foreseen import Foreseen
from caskbook.index.index import Index
from caskbook.ledger.files import Ledger
from caskbook.work import coming, gather, ready
from caskbook.work.coming import Files

HOUSE = "timezone: UTC\ncrew: [{initials: ab}]\n"


def hours(book: Path, day: str) -> dict[str, tuple[float | None, int]]:
    """Job → (hours, of how many entries) as a plan tells it."""
    done = caskbook("plan", "--format", "json", "--as-of", day, "--records", str(book))
    assert done.returncode == 0, done.stderr
    return {one["job"]: (one["hours"], one["entries"]) for one in json.loads(done.stdout)["settings"]["job_hours"]}


def test_minutes_are_those_of_standing_entries_up_to_the_day(tmp_path: Path) -> None:
    folder = tmp_path / "casks" / "TH-004"
    folder.mkdir(parents=True)
    (tmp_path / "house.yaml").write_text(HOUSE)
    for n in range(6):
        tests = [event(f"dt3q62s{n}", "2015-03-20", "examine", "verdict: sound", f"work_minutes: {30 + n // 3}")]
        if n == 0:  # a second one that was voided, and a later one
            tests += [event("dt3q62t0", "2015-03-21", "examine", "verdict: sound", "work_minutes: 900"),
                      event("dt3q62t1", "2015-03-22", "void", "of: dt3q62t0", "why: not done"),
                      event("dt3q62t2", "2016-03-22", "examine", "verdict: sound", "work_minutes: 600")]  # fmt: skip
        (folder / f"TH-00421{n}.yaml").write_text(cask(RECEIVED, *tests, cask_id=f"TH-00421{n}"))
    assert hours(tmp_path, "2015-12-31")["examine"] == (pytest.approx(30.5 / 60, abs=1e-4), 6)
    assert hours(tmp_path, "2016-12-31")["examine"] == (pytest.approx(31 / 60, abs=1e-4), 7)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("plan") / "book", 150, 5)


@pytest.mark.thorough
@pytest.mark.parametrize("day", [DAY, "2024-02-29", "2019-11-30"])
def test_each_rule_by_itself_says_what_all_together_say(demo: Path, day: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def both() -> list[Any]:
        return [caskbook(*words, "--format", "json", "--as-of", day, "--records", str(demo)).stdout for words in (("plan", "--weeks", "12"), ("ready",))]

    quick = both()
    monkeypatch.setattr(Ahead, "turns", lambda *_: {})
    monkeypatch.setattr(Ahead, "losing", lambda *_: None)
    assert both() == quick and '"job"' in quick[0]


def _told(book: Path, *words: str) -> str:
    done = caskbook(*words, "--format", "json", "--records", str(book))
    assert done.returncode == 0, done.stderr
    return done.stdout


ASKED = [("plan", "--weeks", weeks, "--as-of", day) for day in (DAY, "2026-06-08") for weeks in ("4", "12", "2")] + [
    ("ready", "--as-of", day) for day in (DAY, "2026-06-08", DAY)
]


@pytest.mark.thorough
def test_what_was_worked_out_of_files_before_is_what_they_say(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept, anew = tmp_path / "kept", tmp_path / "anew"
    for book in (kept, anew):
        shutil.copytree(demo, book, ignore=shutil.ignore_patterns(".caskbook"))
    before = {words: _told(kept, *words) for words in ASKED}
    read: list[str] = []

    def noted(ledger: Ledger, cask: str, day: date, of: Callable[..., Files] = coming.files_of) -> Files:
        read.append(cask)
        return of(ledger, cask, day)

    for module in (gather, ready):
        monkeypatch.setattr(module, "files_of", noted)
    again = {words: _told(kept, *words) for words in (ASKED[0], ASKED[-1])}
    few = len(read)
    monkeypatch.setattr(Foreseen, "of", lambda *_: {})
    afresh = {words: _told(anew, *words) for words in ASKED}
    assert again.items() <= before.items() and before == afresh
    assert few < 0.1 * len(read) / len(ASKED), (few, len(read))


@pytest.mark.thorough
def test_of_a_file_that_changed_nothing_is_known_before(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    book = tmp_path / "book"
    shutil.copytree(demo, book, ignore=shutil.ignore_patterns(".caskbook"))
    words = (("plan", "--as-of", DAY), ("ready", "--as-of", DAY))
    before = [_told(book, *one) for one in words]
    planned = {one["cask"] for one in json.loads(before[0])["jobs"]}
    for cask_id in sorted(planned)[:20]:
        done = caskbook("enter", "hold", cask_id, "--by", "tb", "--date", DAY, "--why", "to be looked over", "--yes", "--records", str(book))
        assert done.returncode == 0, done.stderr
    entered = [_told(book, *one) for one in words]
    house = book / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8").replace("test_valid_days: 60", "test_valid_days: 5"), encoding="utf-8")
    changed = [_told(book, *one) for one in words]
    monkeypatch.setattr(Foreseen, "of", lambda *_: {})
    assert [_told(book, *one) for one in words] == changed != entered != before


@pytest.mark.thorough
def test_a_note_is_kept_of_the_content_and_the_settings_that_were_asked_about_alone(demo: Path, tmp_path: Path) -> None:
    book = tmp_path / "book"
    shutil.copytree(demo, book, ignore=shutil.ignore_patterns(".caskbook"))
    settings = (book / "house.yaml").read_bytes()
    one, other, *_ = sorted(book.glob("casks/*/*.yaml"))

    def noted(kind: str, *, while_asked: bytes = b"") -> dict[str, Any]:
        index = Index(book, book, datetime(2026, 6, 30, 12, tzinfo=UTC))
        with index:
            assert index.answer(DAY) is not None
            notes = index.foreseen()
            notes.keep(kind, one.stem, one.read_bytes(), ["as it is"])
            notes.keep(kind, other.stem, other.read_bytes() + b"# looked over\n", ["as it is not"])
            with (book / "house.yaml").open("ab") as house:
                house.write(while_asked)
            notes.write()
            (book / "house.yaml").write_bytes(settings)
        with index:
            assert index.answer(DAY) is not None
            return index.foreseen().of(kind)

    assert noted("ways") == {one.stem: ["as it is"]}
    assert noted("turns", while_asked=b"# looked over\n") == {}


@pytest.mark.thorough
def test_a_way_is_that_of_the_day_asked_about(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    words = ("ready", "--as-of", DAY)
    told = _told(demo, *words)
    casks = re.findall(r'"cask": "(T[HR]-\d+)"', told)
    monkeypatch.setattr(Foreseen, "of", lambda *_: {cask: ["2026-06-29", ["no way known", [], "of another day"]] for cask in casks})
    assert casks and _told(demo, *words) == told
