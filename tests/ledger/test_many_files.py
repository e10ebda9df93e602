"""Many files put in place together: as few files do, whatever moment the process ends at, all of them change or none; and everything is on
the disk before the act that rests on it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from ledger.killed import killed_at

from caskbook.core.finding import CaskbookError
from caskbook.ledger import atomic_write, many_files
from caskbook.ledger.journal import Entry, unfinished
from caskbook.ledger.pending_writes import overlay, recover, write_many

OLD: dict[str, bytes | None] = {
    "casks/TH-000/TH-000001.yaml": b"a: 1\n", "casks/TH-000/TH-000002.yaml": None, "casks/TH-001/TH-001000.yaml": None, "casks/TH-001/TH-001001.yaml": b"a: 1\n",
}  # fmt: skip
NEW: dict[str, bytes] = dict.fromkeys(OLD, b"a: 2\n")
CHANGES = {name: (OLD[name], NEW[name]) for name in OLD}


@pytest.fixture(autouse=True)
def together(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(many_files, "MANY", 2)
    monkeypatch.setattr(os, "sync", lambda: None)


def made(root: Path) -> Path:
    for name, data in OLD.items():
        if data is not None:
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_bytes(data)
            (root / name).chmod(0o640)
    return root


def on_disk(root: Path) -> dict[str, bytes | None]:
    return {name: (root / name).read_bytes() if (root / name).exists() else None for name in OLD}


def litter(root: Path) -> set[str]:
    return {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()} - {*OLD, ".caskbook/lock", ".caskbook/.gitignore"}


def write(root: Path) -> None:
    write_many(root, CHANGES)


def test_all_are_written_and_nothing_is_left(tmp_path: Path) -> None:
    root = made(tmp_path)
    told: list[tuple[int, int]] = []
    write_many(root, CHANGES, lambda total, done: told.append((total, done)))
    assert on_disk(root) == NEW and litter(root) == set() and not (root / ".pending").exists()
    assert (root / "casks/TH-000/TH-000001.yaml").stat().st_mode & 0o777 == 0o640
    shares = [done / total for total, done in told]
    assert shares == sorted(shares) and shares[0] >= 0 and shares[-1] < 1


@pytest.mark.thorough
def test_a_kill_at_every_step_leaves_all_or_none(tmp_path: Path) -> None:
    outcomes = []
    for number in range(1, 60):
        root = made(tmp_path / str(number))
        if not killed_at(root, number, write):
            break
        seen = {name: overlay(root).get(name, data) for name, data in on_disk(root).items()}
        assert seen in (OLD, NEW), number
        assert (seen == NEW) == (unfinished(root) or on_disk(root) == NEW)
        recover(root)
        assert on_disk(root) == seen and litter(root) == set()
        outcomes.append(seen == NEW)
    assert outcomes == sorted(outcomes) and {True, False} == set(outcomes) and len(outcomes) >= 16


def committed(root: Path) -> None:
    """Up to the journal in place: folder, four stores, made to last, journal written, journal in place."""
    assert killed_at(root, 8, write) and unfinished(root) and on_disk(root) == OLD


@pytest.mark.thorough
def test_a_kill_while_completing_leaves_all_or_none(tmp_path: Path) -> None:
    for number in range(1, 60):
        root = made(tmp_path / str(number))
        committed(root)
        got_there = killed_at(root, number, recover)
        assert {name: overlay(root).get(name, data) for name, data in on_disk(root).items()} == NEW
        recover(root)
        assert on_disk(root) == NEW and litter(root) == set()
        if not got_there:
            return
    raise AssertionError("completing never ended")


@pytest.mark.parametrize("name", list(OLD))
def test_a_file_changed_in_between_is_not_overwritten(tmp_path: Path, name: str) -> None:
    root = made(tmp_path)
    committed(root)
    (root / name).parent.mkdir(exist_ok=True)
    (root / name).write_bytes(b"mine\n")
    with pytest.raises(CaskbookError, match="changed while a write of 4 files was unfinished"):
        recover(root)
    assert (root / name).read_bytes() == b"mine\n" and unfinished(root)
    assert {**on_disk(root), name: OLD[name]} == OLD


def test_a_reader_beside_a_command_that_completes_sees_all_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A new file is moved out of the folder where it waited just after a reader found its place empty."""
    from caskbook.ledger import pending_writes

    root = made(tmp_path)
    committed(root)
    real = pending_writes.stored

    def moved_meanwhile(folder: Path, entry: Entry) -> bytes:
        if entry.old is None:
            (root / entry.path).parent.mkdir(exist_ok=True)
            (folder / entry.store).replace(root / entry.path)
        return real(folder, entry)

    monkeypatch.setattr(pending_writes, "stored", moved_meanwhile)
    seen = overlay(root)
    assert unfinished(root) and {name: seen.get(name, data) for name, data in on_disk(root).items()} == NEW


@pytest.mark.parametrize("name", list(OLD))
def test_what_somebody_saves_while_all_waits_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    root, syncs = made(tmp_path), list[int]()

    def saved_meanwhile() -> None:
        syncs.append(1)
        if len(syncs) == 2:  # everything is beside its place, and nothing is moved yet
            (root / name).write_bytes(b"mine\n")

    monkeypatch.setattr(os, "sync", saved_meanwhile)
    with pytest.raises(CaskbookError, match="changed by somebody else"):
        write(root)
    assert on_disk(root) == {**OLD, name: b"mine\n"} and litter(root) == set() and not unfinished(root)


def test_each_act_waits_for_what_it_rests_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stores before the journal, new bytes before the moves, moves before the journal goes: a machine that falls finds no half file."""
    root, acts = made(tmp_path), list[str]()
    monkeypatch.setattr(os, "sync", lambda: acts.append("sync"))
    monkeypatch.setattr(atomic_write, "step", acts.append)
    write(root)
    at = {name: [n for n, act in enumerate(acts) if act == name] for name in dict.fromkeys(acts)}
    first, second, third = at["sync"]
    assert max(at["new bytes stored"]) < first < at["journal in place"][0]
    assert max(at["temporary file written"]) < second < min(at["moved into place"])
    assert max(at["moved into place"]) < third < at["journal removed"][0]


def test_few_files_wait_each_for_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root, syncs = made(tmp_path), list[int]()
    monkeypatch.setattr(many_files, "MANY", len(OLD) + 1)
    monkeypatch.setattr(os, "sync", lambda: syncs.append(1))
    write(root)
    assert on_disk(root) == NEW and syncs == []


def test_only_where_the_call_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    assert many_files.at_once(2) and not many_files.at_once(1)
    monkeypatch.setattr(many_files.sys, "platform", "darwin")
    assert not many_files.at_once(1000)
