"""Who reads while exports go on: in the state that was current as he began all tables are whole and of one moment; by the links each folder is."""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import duckdb
import pytest
from commands import caskbook

from caskbook.export import buckets
from export.exports import export, files, manifest

pytestmark = pytest.mark.thorough
TOLD = {"event": "cask, event", "gauge": "cask, fill_event, event, gauged_on", "fill": "cask, fill_number", "due": "cask, rule"}
"""Table → what tells its rows apart."""
Counts = tuple[int, int]


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(buckets, "MOST_CASKS", 4)
    assert caskbook("demo", str(tmp_path / "book"), "--casks", "30", "--seed", "5").returncode == 0
    return tmp_path / "book"


def work(book: Path, number: int) -> None:
    """Casks are noted of in several years and measured anew, so that files of many folders are others."""
    casks = [file.stem for file in sorted((book / "casks").rglob("*.yaml"))]
    for n in range(3):
        words = ("--by", "dy", "--records", str(book), "--yes", "--anyway", "--why", "as it is")
        cask = casks[(number * 7 + n) % len(casks)]
        caskbook("enter", "note", cask, "--note", f"seen {number}", "--date", f"{2026 - n}-06-{number + 1:02}", *words)
        caskbook("enter", "regauge", cask, "--litres", str(150 - number), "--abv", "58.5", "--method", "meter", "--date", "2026-06-29", *words)


def counts_of(folder: Path) -> dict[str, Counts]:
    """Table → (rows, rows that are told apart) as the manifest of a state has them: no row twice."""
    (path,) = (folder / "manifest").glob("*.json")
    found = dict.fromkeys(TOLD, 0)
    for one in json.loads(path.read_text())["files"]:
        if one["table"] in found:
            found[one["table"]] += one["rows"]
    return {name: (rows, rows) for name, rows in found.items()}


def read(engine: duckdb.DuckDBPyConnection, folder: Path, table: str) -> Counts:
    """(rows, rows that are told apart) of the files below a folder."""
    asked = f"SELECT count(*), count(DISTINCT ({TOLD[table]})) FROM read_parquet('{folder}/{table}/**/*.parquet', hive_partitioning = true)"
    rows, apart = engine.execute(asked).fetchone() or (0, 0)
    return rows, apart


@contextlib.contextmanager
def meanwhile(look: Callable[[duckdb.DuckDBPyConnection], None]) -> Iterator[None]:
    """Something is looked at again and again while the rest is done; what goes wrong there goes wrong here."""
    done, faults = threading.Event(), list[BaseException]()

    def run() -> None:
        try:
            with duckdb.connect() as engine:
                while not done.is_set():
                    look(engine)
        except BaseException as error:
            faults.append(error)

    thread = threading.Thread(target=run)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
    if faults:
        raise faults[0]


def test_readers_see_whole_tables_while_exports_go_on(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(book, folder, "parquet").returncode == 0
    states, by_links, refused = list[Path](), list[tuple[str, Counts]](), list[str]()

    def look(engine: duckdb.DuckDBPyConnection) -> None:
        state = (folder / ".caskbook-export" / "current").resolve()
        try:
            assert {name: read(engine, state, name) for name in TOLD} == counts_of(state)
            states.append(state)
        except (duckdb.Error, OSError, ValueError):
            assert state not in {(folder / ".caskbook-export" / name).resolve() for name in ("current", "before")}, "one of the last two can be read"
        for name in ("gauge", "fill"):
            try:
                by_links.append((name, read(engine, folder, name)))
            except duckdb.Error as error:
                refused.append(str(error))

    seen = [counts_of(folder)]
    with meanwhile(look):
        for number in range(12):
            work(book, number)
            done = export(book, folder, "parquet")
            assert done.returncode == 0, done.stderr
            seen.append(counts_of(folder))
    assert len(set(states)) > 3 and len(by_links) > 10
    assert len({one["event"] for one in seen}) > 10 and len({one["gauge"] for one in seen}) > 5
    assert [(name, counts) for name, counts in by_links if counts not in {one[name] for one in seen}] == []
    assert all("gauge" in one or "fill" in one for one in refused), refused


def test_the_state_before_stays_until_the_next_export_has_ended(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "lake"
    assert export(book, folder).returncode == 0
    first, whole = (folder / ".caskbook-export" / "current").resolve(), files(folder)
    (first / "event" / "own.txt").write_text("put there by hand\n")
    for number in range(2):
        work(book, number)
        assert export(book, folder).returncode == 0 and manifest(folder)
        assert first.exists() == (number == 0)
        if number == 0:
            assert {str(path.relative_to(first)): path.read_bytes() for path in first.rglob("*.csv")} == whole
    assert len(list(first.parent.iterdir())) == 2
