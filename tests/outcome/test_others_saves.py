"""An editor takes no lock: what it saved between our reading and our move into place is not overwritten."""

from __future__ import annotations

import os
import random
import time
from pathlib import Path

import pytest
from laws import others_thorough

from outcome.ending import ONE, THREE, TWO, at_step, book, contents, path, run

NOTE_ONE = ("enter", "note", ONE, "--note", "seen", "--by", "ab", "--yes")
NOTE_ALL = ("enter", "note", ONE, TWO, THREE, "--note", "seen", "--by", "ab", "--yes")
MINE = b"# mine\n"


def saved(file: Path, mark: bytes = MINE, data: bytes | None = None) -> None:
    """Save as most editors do: a new file put in the place of the old one."""
    new = file.with_name(f"{file.name}~")
    new.write_bytes((file.read_bytes() if data is None else data) + mark)
    new.replace(file)


def written_over(file: Path) -> None:
    """Save as other editors do: the same file, emptied and filled again."""
    file.write_bytes(file.read_bytes() + MINE)


@pytest.mark.parametrize("save", others_thorough([saved, written_over, lambda file: file.write_bytes(b""), lambda file: file.unlink()], 1))
def test_a_save_while_the_new_bytes_are_made_to_last_is_kept(tmp_path: Path, save) -> None:
    records = book(tmp_path)
    before = contents(records)
    ended = run(records, *NOTE_ONE, before=at_step(1, lambda: save(path(records, ONE))))
    assert ended.code == 2 and "changed by somebody else" in ended.err and "not written" in ended.err
    now = contents(records)
    assert now != before and b"note: seen" not in now.get(ONE, b"")
    assert [one.name for one in path(records, ONE).parent.iterdir() if one.name.startswith(".")] == []


def test_a_file_that_appears_meanwhile_is_kept(tmp_path: Path) -> None:
    records = book(tmp_path)
    new = path(records, "TH-000007")
    words = (
        "enter",
        "receive",
        "TH-000007",
        "accept",
        "--type",
        "barrel",
        "--capacity",
        "200",
        "--prior",
        "bourbon 1",
        "--charred",
        "2016",
        "--by",
        "ab",
        "--yes",
    )
    ended = run(records, *words, before=at_step(1, lambda: new.write_bytes(MINE)))
    assert ended.code == 2 and "changed by somebody else" in ended.err and new.read_bytes() == MINE


@pytest.mark.parametrize("number", others_thorough(range(1, 6), 1))
def test_a_save_before_several_files_are_written_stops_all(tmp_path: Path, number: int) -> None:
    records = book(tmp_path)
    before = contents(records)
    ended = run(records, *NOTE_ALL, before=at_step(number, lambda: saved(path(records, TWO))))
    assert ended.code == 2 and "changed by somebody else" in ended.err and "nothing written" in ended.err
    assert contents(records) == {**before, TWO: before[TWO] + MINE} and not (records / ".pending").exists()


@pytest.mark.parametrize("number", others_thorough(range(6, 9), 1))
def test_a_save_between_several_files_stops_all_and_is_kept(tmp_path: Path, number: int) -> None:
    """From the journal in place to the move of that file: what was moved already is taken back."""
    records = book(tmp_path)
    before = contents(records)
    ended = run(records, *NOTE_ALL, before=at_step(number, lambda: saved(path(records, TWO))))
    assert ended.code == 2 and "changed by somebody else" in ended.err and ended.err.strip().endswith("nothing written") or "nothing written: " in ended.err
    assert "next command" not in ended.err and "\nwritten" not in ended.err
    assert contents(records) == {**before, TWO: before[TWO] + MINE} and not (records / ".pending").exists()


@pytest.mark.slow
def test_an_editor_that_saves_at_random_moments_loses_nothing(tmp_path: Path) -> None:
    """At every round an editor saves what it read before, with a line of its own, while `enter` runs."""
    rng, lost, both = random.Random(3), 0, 0
    for count in range(158):
        records = book(tmp_path / str(count))
        file = path(records, ONE)
        read = file.read_bytes()
        child = os.fork()
        if child == 0:
            time.sleep(rng.random() * 0.1)
            saved(file, data=read)
            os._exit(0)
        rng.random()
        run(records, *NOTE_ONE)
        os.waitpid(child, 0)
        now = file.read_bytes()
        lost += MINE not in now
        both += MINE in now and b"note: seen" in now
    assert not lost, f"{lost} of 158 saves were overwritten"
    assert both, "no save fell before an entry"
