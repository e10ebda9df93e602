"""The index file: disposable, made anew when damaged, out of git's sight, done without where it cannot be."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
import subprocess
from pathlib import Path

import pytest
import warm

from caskbook.index import schema, store
from caskbook.index.schema import fingerprint
from index.book import answer, cask_files, commit_all, copied, git, make_demo, same

pytestmark = pytest.mark.thorough

LOOK = ("due", "--all", "--format", "json")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = make_demo(tmp_path_factory.mktemp("demo") / "book", 15)
    answer(root, *LOOK)
    answer(root, "check")
    return root


def index_of(root: Path) -> Path:
    (found,) = (root / ".caskbook").glob("index-*.sqlite")
    return found


def test_it_is_made_by_itself_and_git_does_not_see_it(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    assert index_of(root).stat().st_size > 10_000
    assert ".caskbook" not in git(root, "ls-files") and git(root, "status", "--short") == ""


@pytest.mark.parametrize("hurt", ["cut", "noise", "middle", "empty", "text", "page"])
def test_a_damaged_one_is_made_anew(demo: Path, tmp_path: Path, hurt: str) -> None:
    root = copied(demo, tmp_path / "book")
    index = index_of(root)
    data = bytearray(index.read_bytes())
    chance = random.Random(5)
    match hurt:
        case "cut":
            data = data[: len(data) // 2]
        case "noise":
            data = bytearray(chance.randbytes(len(data)))
        case "middle":
            data[len(data) // 4 : len(data) // 2] = bytes(len(data) // 2 - len(data) // 4)
        case "empty":
            data = bytearray()
        case "text":
            data = bytearray(b"not a database")
        case _:
            data[4096 : 4096 * 3] = chance.randbytes(8192)
    for old in (root / ".caskbook").glob("index-*.sqlite-*"):
        old.unlink()
    index.write_bytes(data)  # in its place, so that it still is the one that was made here
    same(root, *LOOK)
    same(root, "check", "--format", "json")
    same(root, *LOOK)


def test_another_program_has_an_index_of_its_own(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = copied(demo, tmp_path / "book")
    before = index_of(root).name
    monkeypatch.setattr(store, "fingerprint", lambda: "f" * 32)
    same(root, *LOOK)
    assert index_of(root).name != before


def test_where_nothing_can_be_written_everything_still_works(demo: Path, tmp_path: Path) -> None:
    root = copied(demo, tmp_path / "book")
    for old in (root / ".caskbook").iterdir():
        old.unlink()
    (root / ".caskbook").rmdir()
    (root / ".caskbook").write_text("in the way", encoding="utf-8")
    same(root, *LOOK)
    same(root, "check", "--format", "json")
    same(root, "show", cask_files(root)[3].stem)
    assert answer(root, "list")[0] == 0
    assert answer(root, "query", "SELECT count(*) FROM event")[0] == 0


def test_without_room_for_it_everything_works_or_says_so(tmp_path: Path) -> None:
    root = tmp_path / "book"
    shutil.copytree(Path(__file__).parents[2] / "records", root, ignore=shutil.ignore_patterns(".caskbook"))
    answer(root, "list")
    for blocks, words in ((100, "list --as-of 2020-01-01"), (0, "query --as-of 2020-01-02 'select 1'"), (180, "list"), (180, "due --as-of 2021-01-01")):
        line = ["sh", "-c", f"ulimit -f {blocks}; exec {warm.REAL} -B -m caskbook {words}"]  # -B: bytecode that is cut off would stay.
        done = subprocess.run(line, cwd=root, capture_output=True, text=True, check=False)
        assert "fault of the program" not in done.stderr, (words, done.stderr)
        if done.returncode:  # no room anywhere: not for the rows of an index in memory either
            assert re.fullmatch("caskbook: .*no (room|folder) to put the rows together: .*\n", done.stderr) and not done.stdout and "due" not in words
        if not blocks:
            shutil.rmtree(root / ".caskbook")


def test_without_git_on_the_path(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = copied(demo, tmp_path / "book")
    commit_all(root)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(FileNotFoundError):
        subprocess.run(["git"], check=False)
    same(root, *LOOK)


@pytest.mark.parametrize("hurt", [4096, 20_000])
def test_a_cask_is_shown_beside_a_damaged_index(demo: Path, tmp_path: Path, hurt: int) -> None:
    root = copied(demo, tmp_path / "book")
    index = index_of(root)
    data = bytearray(index.read_bytes())
    data[hurt:] = random.Random(6).randbytes(len(data) - hurt)
    for old in (root / ".caskbook").glob("index-*.sqlite-*"):
        old.unlink()
    index.write_bytes(data)  # in its place, so that it still is the one that was made here
    same(root, "show", cask_files(root)[3].stem)


def test_one_of_another_layout_is_made_anew(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = copied(demo, tmp_path / "book")
    before = index_of(root)
    with sqlite3.connect(before) as rows:  # as an older program may have left it: a row twice
        rows.execute("INSERT INTO fill (life, event, n, spirit, start) SELECT life, event, n + 100, spirit, start FROM fill")
    rows.close()
    fingerprint.cache_clear()
    monkeypatch.setattr(schema, "LAYOUT", schema.LAYOUT + 1)
    try:
        same(root, "query", "SELECT * FROM fill ORDER BY cask, n", "--format", "json")
        assert index_of(root).name != before.name and not before.exists()
    finally:
        fingerprint.cache_clear()


def test_the_layout_is_not_the_one_that_held_doubled_rows() -> None:
    assert schema.LAYOUT > 4
