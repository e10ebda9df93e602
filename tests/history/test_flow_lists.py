"""Files whose entries stand in brackets, through real commits, reviews and merges: held to the law, told, and never locked."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import Repo, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
HEAD = "cask: TH-009001\nformat: 1\ntype: barrel\ncapacity_l: 200\n"
ONE = "{id: d9wqvmt6, date: 2013-03-12, job: receive, by: ab, verdict: accept}"
TWO = "{id: dacxk1ce, date: 2013-04-04, job: fill, by: ab, spirit: malt, litres: 196.3, abv: 63.3, temp_c: 11.7}"
EARLY = "{id: dacxk1ce, date: 2013-04-04, job: sample, by: ab, ml: 100}"
NEW = "{id: e0000001, date: 2014-01-01, job: note, by: ab, note: hi}"
OTHER = "{id: f0000001, date: 2015-01-01, job: note, by: ab, note: ho}"
CASK = "TH-009001"


def listed(*entries: str) -> str:
    return f"{HEAD}events: [{', '.join(entries)}]\n"


@pytest.fixture
def book(tmp_path: Path) -> Repo:
    repo = ledger(tmp_path)
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    repo.write(listed(ONE, TWO), CASK)
    repo.commit("in brackets")
    return repo


def test_the_hook_takes_no_altered_entry_in_brackets(book: Repo) -> None:
    base = book.head()
    book.write(listed(ONE, TWO).replace("196.3", "156.3"), CASK)
    book.git("add", "-A")
    assert "`litres` was 196.3 when it landed, is 156.3" in book.git("commit", "-m", "altered", good=(1,))
    book.commit("altered all the same")
    ran = subprocess.run([PROGRAM, "check", "--since", base], cwd=book.top, capture_output=True, text=True, check=False)
    assert ran.returncode == 1 and "landed-event-altered" in ran.stdout
    told = caskbook("review", f"{base}..HEAD", cwd=book.top)
    assert "nothing landed was altered" not in told.stdout and "156.3" in told.stdout


def test_the_review_tells_what_was_added_in_brackets(book: Repo) -> None:
    book.write(listed(ONE, TWO, NEW), CASK)
    book.git("commit", "-qam", "note")
    assert "hi" in caskbook("review", "HEAD~..HEAD", cwd=book.top).stdout
    base = book.head()
    assert caskbook("void", CASK, "e0000001", "--why", "no", "--by", "ab", "--yes", cwd=book.top).returncode == 0
    book.git("commit", "-qam", "void")
    assert "voided   TH-009001 note of 2014-01-01" in caskbook("review", f"{base}..HEAD", cwd=book.top).stdout


@pytest.mark.parametrize(
    "text",
    [
        listed(ONE, EARLY),
        f"{HEAD}events:\n  [\n    {ONE},\n    {EARLY}\n  ]\n",
        f"{{cask: {CASK}, format: 1, type: barrel, events: [{ONE}, {EARLY}], capacity_l: 200}}\n",
    ],
)
def test_an_old_error_in_brackets_locks_nobody_out(book: Repo, text: str) -> None:
    book.write(text, CASK)
    book.commit("with an old error")
    book.write(text.replace(EARLY, f"{EARLY}, {NEW}"), CASK)
    book.git("commit", "-qam", "a note")
    book.write(text.replace(EARLY, f"{EARLY}, {NEW}, {NEW.replace('0001', '0002').replace('note: hi', 'nota: hi')}"), CASK)
    assert "nota" in book.git("commit", "-qam", "a new error", good=(1,))


@pytest.mark.parametrize(
    "text",
    [
        listed(ONE, TWO),
        listed(ONE, TWO).replace("\n", "\r\n"),
        f"{HEAD}events:\n  [\n    {ONE},\n    {TWO}\n  ]\n",
        f"{HEAD}events: [{ONE}, # one\n  {TWO}]\n",
        f"{{cask: {CASK}, format: 1, type: barrel, events: [{ONE}, {TWO}], capacity_l: 200}}\n",
    ],
)
@pytest.mark.parametrize("day", ["2026-01-01", "2013-03-20"])
def test_undo_takes_out_what_was_written_in_brackets(tmp_path: Path, text: str, day: str) -> None:
    book = ledger(tmp_path)
    path = book.write(text, CASK)
    book.commit()
    assert caskbook("enter", "note", CASK, "--note", "hi", "--by", "ab", "--date", day, "--yes", cwd=book.top).returncode == 0
    assert path.read_bytes() != text.encode()
    done = caskbook("undo", "--yes", cwd=book.top)
    assert done.returncode == 0, done.stderr
    assert path.read_bytes() == text.encode()


def test_undo_of_a_landed_entry_in_brackets_is_a_void(book: Repo) -> None:
    assert caskbook("enter", "note", CASK, "--note", "hi", "--by", "ab", "--yes", cwd=book.top).returncode == 0
    book.commit()
    assert caskbook("undo", "--why", "no", "--by", "ab", "--yes", cwd=book.top).returncode == 0
    assert "job: void" in book.path(CASK).read_text()


def test_undo_leaves_an_entry_changed_by_hand(book: Repo) -> None:
    assert caskbook("enter", "note", CASK, "--note", "hi", "--by", "ab", "--yes", cwd=book.top).returncode == 0
    path = book.path(CASK)
    path.write_text(path.read_text().replace("note: hi", "note: ho"))
    done = caskbook("undo", "--yes", cwd=book.top)
    assert done.returncode != 0 and "changed by hand since" in done.stderr and "note: ho" in path.read_text()


@pytest.mark.parametrize("driver", [True, False])
def test_two_benches_that_each_added_a_note_are_united(tmp_path: Path, driver: bool) -> None:
    book = ledger(tmp_path)
    assert not driver or caskbook("git", "install", cwd=book.top).returncode == 0
    book.write(listed(ONE, TWO), CASK)
    book.commit("in brackets")
    book.git("checkout", "-q", "-b", "other")
    book.write(listed(ONE, TWO, OTHER), CASK)
    book.commit("one bench")
    book.git("checkout", "-q", "main")
    book.write(listed(ONE, TWO, NEW), CASK)
    book.commit("another bench")
    assert "lines of its own" in book.git("merge", "--no-edit", "other") if driver else book.git("merge", "other", good=(1,))
    if not driver:
        done = caskbook("settle", cwd=book.top)
        assert done.returncode == 0, done.stdout + done.stderr
        book.git("commit", "-qm", "settled")
    text = book.path(CASK).read_text()
    assert text == HEAD + "events:\n" + "".join(f"  - {one}\n" for one in (ONE, TWO, NEW, OTHER))
    ran = caskbook("check", "--since", "HEAD~2", cwd=book.top)
    assert ran.returncode == 0 and "error" not in ran.stdout
    assert "nothing landed was altered" in caskbook("review", "HEAD~1..HEAD", cwd=book.top).stdout


def test_a_gate_keeps_the_law_and_lets_lawful_entries_through(tmp_path: Path) -> None:
    book = ledger(tmp_path)
    book.write(listed(ONE, EARLY), CASK)
    book.commit("with an old error")
    server = tmp_path / "server.git"
    subprocess.run(["git", "clone", "-q", "--bare", str(book.top), str(server)], check=True)
    assert caskbook("git", "install", "--server", str(server), cwd=book.top).returncode == 0
    book.git("remote", "add", "origin", str(server))
    book.write(listed(ONE, EARLY, NEW), CASK)
    book.commit("a lawful note")
    book.git("push", "-q", "origin", "main")
    book.write(f"{HEAD}events:\n  - {ONE}\n  - {EARLY}\n  - {NEW}\n", CASK)
    book.commit("in lines now")
    book.git("push", "-q", "origin", "main")
    book.write(listed(ONE, EARLY, NEW).replace("ml: 100", "ml: 10"), CASK)
    book.commit("altered")
    assert "`ml` was 100 when it landed, is 10" in book.git("push", "-q", "origin", "main", good=(1,))
