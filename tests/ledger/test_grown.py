"""A file that only grew is told apart by its bytes, and read and compared by what came behind them: just as if all of it were read."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from history.ledgers import RECEIVED, cask, ledger
from hypothesis import example, given
from hypothesis import strategies as st

from caskbook.git import Git
from caskbook.git.walk import FileChange
from caskbook.ledger.changes import compare, only_adds
from caskbook.ledger.revisions import file_store_at
from caskbook.ledger.revisions.pairs import Pairs
from caskbook.model.cask_file import Record, read_later, read_record
from caskbook.yaml.fast import fast_data
from caskbook.yaml.grown import grown

PATH = "casks/TH-009/TH-009001.yaml"
HEAD = "cask: TH-009001\nformat: 1\ntype: barrel\ncapacity_l: 200\nevents:\n"
CAME = "  - id: d9wqvmt6\n    date: 2013-03-12\n    job: receive\n    by: mo\n    verdict: accept\n"
NOTE = "  - id: e0000001\n    date: 2014-01-01\n    job: note\n    by: mo\n    note: hi\n"
FLAG = "  - id: e0000002\n    date: 2014-01-02\n    job: flag\n    by: mo\n    at: [croze-B-4]\n"
FLAG_IN_LINES = "  - id: e0000003\n    date: 2014-01-02\n    job: flag\n    by: mo\n    at:\n      - croze-B-4\n"
RIGHT = "  - id: e0000004\n    date: 2014-01-02\n    job: correct\n    by: mo\n    capacity_l: 198\n    why: misread\n"
PIECES = [
    CAME, NOTE, FLAG, FLAG_IN_LINES, RIGHT, NOTE.replace("e0000001", "e0000005"), NOTE.replace("hi", "00175"), NOTE.replace("hi", "|"), NOTE.replace("hi", '"a'),
    NOTE.replace("note: hi", "# a remark\n    note: hi"), NOTE.replace("hi", "hi\n      more"), NOTE.replace("  - id: e0000001\n    date", "  - date").replace("\n    job", "\n    id: e0000001\n    job"),
    "# a remark\n", "    # a deeper remark\n", "\n", "    note: again\n", "note: below\n", "  - id: x\n", NOTE[:-1], NOTE.replace("\n", "\r\n"), NOTE.replace("  -", "-").replace("\n  ", "\n"),
    NOTE.replace("hi", "\x07"), NOTE.replace("hi", "größer"), "    by:\n",
]  # fmt: skip
TEXTS = st.lists(st.sampled_from(PIECES), max_size=4).map("".join)


def told(change: Any) -> tuple[object, ...]:
    return change.kind, change.added, change.altered, change.removed, change.moved, change.head, change.layout, change.reason, change.mended


def by_lines(record: Record) -> Record:
    """The record of which nobody knows that it is written the plain way, so that its lines are compared."""
    return replace(record, entrywise=False, _content=fast_data(record.data))


@given(TEXTS, TEXTS)
@example(CAME, NOTE)
@example(CAME + NOTE, FLAG + RIGHT)
@example(CAME + "\n", NOTE)
@example(CAME, NOTE + "\n")
@example(CAME + "# a remark\n", NOTE)
@example(CAME, NOTE + "    # a remark\n")
@example(CAME, "    # a remark\n" + NOTE)
@example(CAME + NOTE, NOTE)
@example(CAME + RIGHT, NOTE)
@example(CAME + RIGHT, RIGHT.replace("e0000004", "e0000006").replace("198", "197"))
@example(CAME, NOTE[:-1])
@example(CAME + "    by:\n", NOTE)
def test_what_came_behind_is_read_and_compared_as_the_whole_file_would_be(before: str, more: str) -> None:
    old, data = read_record(PATH, (HEAD + before).encode()), (HEAD + before + more).encode()
    whole = read_record(PATH, data)
    assert replace(read_later(old, PATH, data), _document=None) == replace(whole, _document=None)
    assert told(compare(old, whole)) == told(compare(by_lines(old), by_lines(whole)))


def pairs_of(old: bytes, new: bytes) -> tuple[Pairs, FileChange]:
    found = Pairs(None, "")  # type: ignore[arg-type]
    found._blobs = {"1" * 40: old, "2" * 40: new}
    return found, FileChange(PATH, "100644", "100644", "1" * 40, "2" * 40)


@given(TEXTS, TEXTS)
@example(CAME, NOTE)
@example(CAME + NOTE, NOTE)
@example(CAME, NOTE + NOTE)
@example(CAME.replace("d9wqvmt6", "5"), NOTE)
@example("", CAME)
def test_a_walk_passes_by_what_only_grew_where_it_adds_entries_and_nothing_else(before: str, more: str) -> None:
    old, new = ((HEAD + text).encode() for text in (before, before + more))
    pairs, change = pairs_of(old, new)
    if pairs._grew(change):
        assert only_adds(fast_data(old) or {}, fast_data(new) or {}) and fast_data(old) and fast_data(new)
        found = compare(*(by_lines(read_record(PATH, data)) for data in (old, new)))
        assert not (found.altered or found.removed or found.moved or found.head or found.layout or found.reason or found.mended)


def test_a_walk_knows_it_from_version_to_version() -> None:
    first, second, third = ((HEAD + text).encode() for text in (CAME, CAME + NOTE, CAME + NOTE + FLAG))
    pairs, change = pairs_of(first, second)
    assert pairs._grew(change)
    pairs._blobs["3" * 40] = third
    assert pairs._grew(replace(change, old_oid="2" * 40, new_oid="3" * 40))
    pairs._blobs["4" * 40] = third + NOTE.encode()
    assert not pairs._grew(replace(change, old_oid="3" * 40, new_oid="4" * 40)), "an id that the second version gave"
    assert not pairs._grew(replace(change, new_mode="100755"))


@pytest.mark.parametrize(
    "old, new",
    [
        (HEAD + CAME, HEAD + CAME),
        (HEAD + CAME, HEAD + CAME.replace("accept", "reject") + NOTE),
        (HEAD + CAME[:-1], HEAD + CAME + NOTE),
        (HEAD + CAME, HEAD + CAME + "    note: hi\n"),
        (HEAD + CAME + "\n", HEAD + CAME + "\n" + NOTE),
        (HEAD + CAME, HEAD + CAME + NOTE + "\n" + FLAG),
        (HEAD + CAME, HEAD + CAME + NOTE.replace("hi", "h\u200bi")),
        (HEAD + CAME, HEAD + CAME + NOTE[:-1]),
    ],
)
def test_what_did_anything_but_grow_by_whole_entries_is_compared_as_a_whole(old: str, new: str) -> None:
    assert grown(old.encode(), new.encode(), "id") is None


def test_what_grew_gives_its_entries() -> None:
    assert grown((HEAD + CAME).encode(), (HEAD + CAME + NOTE + FLAG).encode(), "id") == [NOTE[8:-1], FLAG[8:-1]]


@pytest.mark.thorough
def test_who_reads_many_files_of_a_revision_starts_git_no_oftener_than_for_a_few(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    repo = ledger(tmp_path)
    names = [f"casks/TH-007/TH-0070{n:02d}.yaml" for n in range(40)]
    for name in names:
        repo.write(cask(RECEIVED, cask_id=Path(name).stem), Path(name).stem)
    repo.commit()
    started: list[object] = []
    process = Git._process
    monkeypatch.setattr(Git, "_process", lambda self, args, *more, **named: started.append(args) or process(self, args, *more, **named))
    read = {}
    for most in (8, 40):
        started.clear()
        store = file_store_at(repo.ledger, "HEAD")
        found = [store.read(name) for name in names[:most]]
        assert found == [repo.path(Path(name).stem).read_bytes() for name in names[:most]]
        read[most] = len(started)
    assert read[40] < read[8] + 8, read
