"""What the index keeps in parts is as the files have it: middles of peers, sums, days for which a life is good, stamps."""

from __future__ import annotations

import os
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from caskbook.index import git_list, index
from caskbook.index.file_contents import Contents, Known, keep_contents
from caskbook.index.files_now import FilesNow, stat_stamps
from caskbook.index.index import Index
from caskbook.index.loss_verdicts import LossJudge
from caskbook.index.store import in_memory
from caskbook.life.facts import facts_of
from caskbook.loss.fill_summary import summaries_of
from caskbook.loss.peers import Key, PeerTable
from caskbook.model.cask import Cask
from index.book import DAY, answer, cask_files, commit_all, copied, make_demo, same
from index.tables_of_files import Files
from index.test_turning_days import in_order, tables_of_index, turning_days

pytestmark = pytest.mark.thorough

Middles = dict[Key, tuple[object, ...] | None]
NOW = datetime(2026, 11, 1, 9, 0, tzinfo=UTC)
ON = date.fromisoformat(DAY)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger in which some fills have peers enough, known to the index."""
    root = make_demo(tmp_path_factory.mktemp("parts") / "book", 60)
    answer(root, "due")
    return root


def kept_middles(root: Path) -> Middles:
    """The middles that the index keeps of the answer about the day, by group."""
    with Index(root, root, NOW) as opened:
        held = opened.answer(DAY)
        assert held is not None
        rows = held.store.execute(
            "SELECT type, store, band, count, rate, spread, drift, drift_spread, noise, few FROM middle WHERE answer = ?", (held.number,)
        ).fetchall()
    keys: list[Key] = [(None if row[0] == "*" else row[0], row[1] or None, None if row[2] == "*" else row[2]) for row in rows]
    return {key: tuple(row[3:]) if row[3] else None for key, row in zip(keys, rows, strict=True)}


def middles_of_files(root: Path, keys: Middles, without: str = "") -> Middles:
    """The same groups by the files, one cask left out."""
    lives = Files(root).lives(ON)
    table = PeerTable(summary.figure for life, _ in lives if life.cask.id != without for summary in summaries_of(life))
    found = {key: table.middle(key) for key in keys}
    return {key: middle.as_row()[3:] if middle is not None else None for key, middle in found.items()}


def one_that_counts(root: Path) -> str:
    """A cask in stock without which the middle of some kept group of several would be another."""
    kept = kept_middles(root)
    files = Files(root)
    for life, facts in files.lives(ON):
        if facts.is_here and list(summaries_of(life)) and middles_of_files(root, kept, life.cask.id) != kept:
            return life.cask.id
    raise AssertionError("no cask has peers")


def file_of(root: Path, cask: str) -> Path:
    return next(file for file in cask_files(root) if file.stem == cask)


def due_is_that_of_the_files(root: Path) -> None:
    assert in_order(tables_of_index(root, ON)["due"]) == in_order(Files(root).tables(ON)["due"])


def test_middles_are_those_of_the_files(demo: Path) -> None:
    kept = kept_middles(demo)
    assert len(kept) > 3 and any(kept.values())
    assert middles_of_files(demo, kept) == kept


def test_a_fill_that_goes_moves_the_middle_and_what_is_said_of_its_peers(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    file_of(root, one_that_counts(root)).unlink()
    same(root, "due")  # with how many are due at its head
    kept = kept_middles(root)
    assert middles_of_files(root, kept) == kept
    due_is_that_of_the_files(root)


def test_others_that_are_judged_again_are_not_taken_for_others_that_are_joined(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A fill goes, and among its peers is one whose file joins a number: its peers are judged again, and not the whole book."""
    root = copied(demo, tmp_path / "book")
    gone = one_that_counts(root)
    with Index(root, root, NOW) as opened:
        held = opened.answer(DAY)
        assert held is not None
        peers = held.store.execute(
            "SELECT DISTINCT o.cask FROM peer p JOIN peer o ON o.store = p.store JOIN wide w ON w.life = o.life WHERE p.cask = ? AND p.rate IS NOT NULL",
            (gone,),
        ).fetchall()
    peer = next(cask for (cask,) in peers if cask != gone)
    with file_of(root, peer).open("a", encoding="utf-8") as file:
        file.write("  - id: zzzzzzz0\n    date: 2026-06-01\n    job: same-as\n    by: gp\n    of: TH-999001\n    why: two numbers\n")
    answer(root, "due")
    judged: list[object] = []
    whole = LossJudge.judge_all
    monkeypatch.setattr(LossJudge, "judge_all", lambda self: (judged.append(self), whole(self)))
    file_of(root, gone).unlink()
    kept = kept_middles(root)
    assert middles_of_files(root, kept) == kept and not judged
    due_is_that_of_the_files(root)


def test_a_joined_number_is_counted_once(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    gone = one_that_counts(root)
    lives = {life.cask.id: facts for life, facts in Files(root).lives(ON)}
    other = next(cask for cask, facts in lives.items() if facts.type != lives[gone].type and facts.is_here)
    with file_of(root, other).open("a", encoding="utf-8") as file:
        file.write(f"  - id: zzzzzzz0\n    date: 2026-06-01\n    job: same-as\n    by: gp\n    of: {gone}\n    why: two numbers\n")
    assert set(Files(root).ledger.joins()) == {gone}
    for _ in range(2):  # as the answer is taken over, and as it is made anew
        same(root, "due")
        kept = kept_middles(root)
        assert middles_of_files(root, kept) == kept
        due_is_that_of_the_files(root)
        Index.forget(root)


def test_an_answer_made_of_older_lives_is_not_good_for_their_days(tmp_path: Path) -> None:
    root = make_demo(tmp_path / "book", 12)
    answer(root, "due")
    commit_all(root)
    files = Files(root)
    turns = sorted(turning_days(root, cask_files(root), date(2026, 7, 2), 60))
    before, turn = next((day - timedelta(1), day) for day in turns if files.tables(day)["due"] != files.tables(day - timedelta(1))["due"])
    answer(root, "due", day=str(before))
    same(root, "due", "--all", "--format", "json", "--at", "HEAD", day=str(turn))
    same(root, "due", "--all", "--format", "json", "--at", "HEAD", day=str(before))
    same(root, "list", "--format", "json", "--at", "HEAD", day=str(before))


def test_a_berth_is_met_from_its_beginning(demo: Path) -> None:
    berths = sorted(facts.berth for _, facts in Files(demo).lives(ON) if facts.berth)
    begins, within = berths[0][:2], berths[0][1:3]
    assert any(within in one and not one.startswith(within) for one in berths)
    for berth in (begins, within):
        same(demo, "due", "--all", "--format", "json", "--berth", berth)


def test_the_sum_follows_a_day_that_turns(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    for day in sorted(turning_days(root, cask_files(root)[:20], date(2026, 7, 2), 60))[:6]:
        same(root, "due", "--soon", "--unknown", "--top", "1", day=str(day))


AWAY = {"sent away": "send\n    by: gp\n    to: shop-elm\n    why: to be looked after\n", "gone": "dispose\n    by: gp\n    how: sold\n"}


def away_when(root: Path, fact: str, how: str) -> tuple[str, date]:
    """End the story of an empty cask where a fact holds, and let it go; (its number, the last day on which the fact holds)."""
    files = Files(root)
    cask, at = next((cask, n) for cask in files.casks if cask.id not in files.joined for n in range(len(cask.events) - 1) if ends_well(files, cask, n, fact))
    last, file = cask.events[at].date, file_of(root, cask.id)
    text = file.read_text(encoding="utf-8")
    sent = f"  - id: zzzzzzz2\n    date: {last + timedelta(1)}\n    job: {AWAY[how]}"
    file.write_text(text[: text.index(f"  - id: {cask.events[at + 1].id}\n")] + sent, encoding="utf-8")
    files = Files(root)
    away = next(one for one in files.casks if one.id == cask.id)
    held = [day for n in range(1, 2000) if getattr(facts_of(files.ledger.life_of(away, day := last + timedelta(n))), fact)]
    assert held[0] == last + timedelta(1) and len(held) == (held[-1] - held[0]).days + 1
    return cask.id, held[-1]


def ends_well(files: Files, cask: Cask, at: int, fact: str) -> bool:
    """Whether the fact holds of an empty cask here on the day of an entry that is the last one of its day."""
    day = cask.events[at].date
    facts = facts_of(files.ledger.life_of(cask, day))
    return bool(getattr(facts, fact)) and facts.contents == "empty" and facts.is_here and cask.events[at + 1].date > day


@pytest.mark.parametrize("how", AWAY)
@pytest.mark.parametrize("fact", ["examined", "test_valid"])
def test_what_expires_while_a_cask_is_away_is_seen_though_no_rule_judges_it(demo: Path, tmp_path: Path, fact: str, how: str) -> None:
    root = copied(demo, tmp_path / "book")
    cask, last = away_when(root, fact, how)
    for day in (last - timedelta(3), last, last + timedelta(1)):
        (row,) = [row for row in tables_of_index(root, day)["cask"] if row["cask"] == cask]
        assert row[fact] is (day <= last), day


def test_there_is_no_answer_while_several_files_are_being_written(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(index, "unfinished", lambda root: True)
    with Index(demo, demo, NOW) as opened:
        assert opened.answer(DAY) is None


NAME = "casks/TH-001/TH-001001.yaml"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / NAME
    path.parent.mkdir(parents=True)
    path.write_bytes(b"cask: TH-001001\n")
    return path


def test_a_file_touched_just_now_has_no_stamp(file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert stat_stamps(tmp_path, [NAME]) == {NAME: ""}
    os.utime(file, (1e9, 1e9))  # what was written over just now may bear an old time
    assert stat_stamps(tmp_path, [NAME]) == {NAME: ""}
    monkeypatch.setattr(git_list.time, "time_ns", lambda usual=time.time_ns: usual() + 10**11)
    assert stat_stamps(tmp_path, [NAME])[NAME].startswith("s1000000000000000000 ")


def test_a_stamp_tells_other_bytes_of_the_same_time(file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(git_list.time, "time_ns", lambda usual=time.time_ns: usual() + 10**11)
    os.utime(file, (1e9, 1e9))
    before = stat_stamps(tmp_path, [NAME])
    file.write_bytes(b"cask: TH-001001\ntype: butt\n")
    os.utime(file, (1e9, 1e9))
    assert stat_stamps(tmp_path, [NAME]) != before


@pytest.mark.parametrize("stamp", ["", "s1 2 3 4 5"])
def test_the_files_are_known_by_their_digest_only_if_each_stamp_tells_of_changes(stamp: str) -> None:
    store = in_memory()
    contents = Contents(Known(store), stamps={NAME: stamp})
    contents.known[NAME] = 1
    keep_contents(store, contents, [], FilesNow("scan 1", lambda: True, dict))
    assert store.meta("digest") == ("scan 1" if stamp else "")
    store.close()
