"""What was read of a file is kept with the index, and another day is asked about without reading it: the same cask, and never one that the file is not."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from caskbook.index.index import Index
from caskbook.index.kept_files import KeptError, KeptFile, Later, cask_kept, kept_form
from caskbook.ledger.files import Ledger, open_folder
from caskbook.model.cask_file import Record
from caskbook.model.jobs import JOBS
from index.book import DAY, SHIPPED, copied, make_demo, put_every_job
from index.test_beside import PAST, QUESTIONS

NOW = datetime(2026, 11, 1, 9, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A ledger; whoever asks it takes a copy."""
    return make_demo(tmp_path_factory.mktemp("kept") / "book", 24)


@pytest.fixture(scope="module")
def records(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> list[Record]:
    """Every file of the ledger, of the shipped one, and of one in which every job was done."""
    every = copied(demo, tmp_path_factory.mktemp("every") / "book")
    put_every_job(every)
    return [record for root in (every, SHIPPED) for record in open_folder(root, root).records()]


def parts(one: Any) -> Any:
    """What a model holds, with the kind of each value and which of its keys were written."""
    return type(one), repr(one), one.model_fields_set, one.model_dump()


def kept(record: Record, data: bytes) -> KeptFile:
    """As the index hands it out."""
    return KeptFile(f"casks/{record.name[:-3]}/{record.name}.yaml", "", data)


def test_a_file_is_told_by_what_is_kept_as_by_itself(records: list[Record]) -> None:
    jobs = set()
    for record in records:
        data = kept_form(record if record.findings else replace(record, entrywise=True))  # Of every job, however its file is written.
        if data is None:
            continue
        found, cask = cask_kept(kept(record, data)), record.own
        assert cask is not None
        assert found.rows == cask.rows
        assert [*map(parts, (found.head, *found.events))] == [*map(parts, (cask.head, *cask.events))]
        jobs |= {event.job for event in cask.events}
    assert set(JOBS) - jobs == {"correct"}


def test_most_files_are_kept_and_those_in_doubt_are_not(records: list[Record]) -> None:
    without = [record for record in records if kept_form(record) is None]
    doubtful = [record for record in records if not record.entrywise]
    assert doubtful
    assert all(kept_form(record) is None for record in doubtful)
    assert len(without) < len(records) / 2
    assert all(not record.entrywise or record.own is None or any(event.job == "correct" for event in record.own.events) for record in without)


def test_of_an_entry_behind_the_day_no_more_is_read_than_is_asked_for(records: list[Record]) -> None:
    day = date(2019, 6, 30)
    some = 0
    for record in records:
        data, cask = kept_form(record), record.own
        if data is None or cask is None:
            continue
        found = cask_kept(kept(record, data), day)
        for event, same in zip(found.events, cask.events, strict=True):
            later: Any = event
            if isinstance(later, Later):
                assert (later.id, later.date, later.job, later._event) == (same.id, same.date, same.job, None)
                assert same.date > day
                assert (later.replaces, later.moved_from) == (same.replaces, same.moved_from)
                assert later.by == same.by
                assert parts(later._event) == parts(same)
                some += 1
            else:
                assert same.date <= day or same.replaces or same.moved_from
    assert some > 20


def _zipped(text: bytes) -> bytes:
    from caskbook.index import kept_files

    packer = zlib.compressobj(1, zdict=kept_files._WORDS)
    return packer.compress(text) + packer.flush()


def _planted(data: bytes, other: bytes) -> Iterator[bytes]:
    """What might lie in the place of what was kept."""
    yield b""
    yield b"x"
    yield data[:-3]
    yield data[:20] + b"?" + data[21:]
    yield zlib.compress(b"{}")
    yield _zipped(b"{}")
    yield _zipped(b'{"cask":"TH-000001","format":1,"type":"barrel"}\nno entry')
    yield _zipped(b'{"cask":"TH-000001","format":1,"type":"barrel"}\n{"id":"abcdefgh","date":"2020-01-01","job":"none"}')
    yield _zipped(b"[" * 100_000)
    yield _zipped(b" " * 200_000_000)
    yield other


@pytest.mark.thorough
def test_what_was_planted_is_no_cask(records: list[Record]) -> None:
    forms = [(record, data) for record in records if (data := kept_form(record)) is not None]
    (record, data), (_, other) = forms[:2]
    for planted in _planted(data, other):
        with pytest.raises(KeptError):
            cask_kept(kept(record, planted))


def asked(demo: Path, to: Path) -> Path:
    """A copy of the ledger, of which the index has an answer about the day."""
    root = copied(demo, to)
    with Index(root, root, NOW) as opened:
        assert opened.answer(DAY) is not None
    return root


def told(root: Path, *, disk: bool = True) -> list[Any]:
    """What all questions get on the past day."""
    with Index(root, root, NOW, disk=disk, memory=True) as opened:
        assert opened.answer(PAST) is not None
        cask, due = (rows(opened, f"SELECT * FROM {table} ORDER BY cask, 2, 3, 4") for table in ("cask", "due"))
        return [cask, due, *(ask(opened) for ask in QUESTIONS.values())]


def rows(index: Index, sql: str) -> list[Any]:
    """The rows of SQL."""
    with index.select(sql) as found:
        return list(found.rows)


def store_of(root: Path) -> sqlite3.Connection:
    """The index file, opened by somebody else."""
    return sqlite3.connect(next((root / ".caskbook").glob("index-*.sqlite")))


@pytest.mark.thorough
def test_another_day_reads_no_file_that_is_kept(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = asked(demo, tmp_path / "book")
    whole = told(root, disk=False)
    read: list[str] = []
    real = Ledger.read_file
    monkeypatch.setattr(Ledger, "read_file", lambda ledger, name: (read.append(name), real(ledger, name))[1])
    monkeypatch.setattr("caskbook.ledger.parallel.cores", lambda: 1)
    with Index(root, root, NOW) as opened:
        assert opened.answer(PAST) is not None
        assert list(opened.services((), ()))
    assert len(read) <= 2, "those alone whose head is corrected, or whose fills lost too much one after the other"
    assert told(root) == whole


@pytest.mark.thorough
def test_what_cannot_be_what_was_kept_is_read_again_and_kept_anew(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    whole = told(root, disk=False)
    with store_of(root) as store:
        # What is known of the past day already is not looked at.
        lives = "SELECT version FROM life WHERE from_day > ?"
        forms = store.execute(f"SELECT version, data FROM kept WHERE version IN ({lives}) ORDER BY version", (date.fromisoformat(PAST).toordinal(),)).fetchall()
        assert len(forms) > 15
        for n, planted in enumerate(_planted(forms[0][1], forms[-1][1])):
            store.execute("UPDATE kept SET data = ? WHERE version = ?", (planted, forms[n][0]))
        # An entry of a later day that is none: it is found out where it is looked at, and not before.
        store.execute("UPDATE kept SET data = ? WHERE version = ?", (b"?", forms[-1][0]))
    store.close()
    assert told(root) == whole
    with store_of(root) as store:
        kept = dict(store.execute("SELECT version, data FROM kept"))
        assert {version: kept[version] for version, _ in forms} == dict(forms)
    store.close()


@pytest.mark.thorough
def test_a_changed_file_is_read_and_not_told_as_it_was_kept(demo: Path, tmp_path: Path) -> None:
    root = asked(demo, tmp_path / "book")
    before = told(root)
    for file in sorted((root / "casks").rglob("*.yaml"))[:5]:
        file.write_text(file.read_text(encoding="utf-8").split("events:")[0] + "events: []\n", encoding="utf-8")
    now = told(root)
    assert now != before
    assert now == told(root, disk=False)


def test_what_is_kept_goes_with_the_last_life_of_the_file(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = asked(demo, tmp_path / "book")
    monkeypatch.setattr("caskbook.index.refresh._BETWEEN_SWEEPS", 0)
    file = next(iter(sorted((root / "casks").rglob("*.yaml"))))
    text = file.read_text(encoding="utf-8")
    for n in range(3):
        file.write_text(f"{text}# {n}\n", encoding="utf-8")
        with Index(root, root, NOW) as opened:
            assert opened.answer(DAY) is not None
    with store_of(root) as store:
        assert store.execute("SELECT count(*) FROM kept WHERE version NOT IN (SELECT version FROM life)").fetchone() == (0,)
        assert store.execute("SELECT count(*) FROM kept k JOIN version v ON v.id = k.version WHERE v.name LIKE ?", (f"%{file.name}",)).fetchone() == (1,)
    store.close()
