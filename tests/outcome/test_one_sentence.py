"""Whatever ends a run that writes, its last line says what is written, as it is on the disk, and the exit code fits."""

from __future__ import annotations

import errno
import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from run_notes import believed

from outcome.ending import ONE, THREE, TWO, Ended, at_note, at_step, book, contents, git, path, run, send

pytestmark = pytest.mark.thorough

NOTE_ONE = ("enter", "note", ONE, "--note", "seen", "--by", "ab", "--yes")
NOTE_ALL = ("enter", "note", ONE, TWO, THREE, "--note", "seen", "--by", "ab", "--yes")
MOVE = ("move-event", ONE, "e0000000", "--to", "TH-000009", "--why", "wrong cask", "--by", "ab", "--yes", "--anyway")
VOID = ("void", ONE, "e0000000", "--why", "wrong cask", "--by", "ab", "--yes")
SHEET = ("enter", "sheet", "day.csv", "--yes")


def unchanged(_: Path) -> None:
    """Nothing to prepare."""


def a_sheet(records: Path) -> None:
    (records.parent / "day.csv").write_text(f"date,job,cask,by,note\n2020-02-01,note,{ONE},ab,one\n2020-02-01,note,{TWO},ab,two\n")


def committed(records: Path) -> None:
    git(records.parent, "init", "-q")
    git(records.parent, "add", "-A")
    git(records.parent, "commit", "-qm", "before")


def entered(records: Path) -> None:
    committed(records)
    assert run(records, *NOTE_ALL).code == 0


def unstamped(records: Path) -> None:
    for cask in (ONE, TWO):
        file = path(records, cask)
        file.write_bytes(file.read_bytes() + b"  - date: 2020-02-01\n    job: note\n    by: ab\n    note: by hand\n")


STAMP = ("stamp", *(f"records/casks/TH-000/{cask}.yaml" for cask in (ONE, TWO)))
COMMANDS: dict[str, tuple[tuple[str, ...], Callable[[Path], None]]] = {
    "one": (NOTE_ONE, unchanged), "several": (NOTE_ALL, unchanged), "void": (VOID, unchanged),
    "sheet": (SHEET, a_sheet), "undo": (("undo", "--yes"), entered), "stamp": (STAMP, unstamped),
}  # fmt: skip


def told_truly(records: Path, before: dict[str, bytes], ended: Ended, code: int, *, finished: bool = False) -> bool:
    """Compare what was told with the disk; whether anything was written."""
    now = contents(records)
    changed = {cask for cask in now.keys() | before.keys() if now.get(cask) != before.get(cask)}
    assert "Traceback" not in ended.err and ended.code == code, ended
    assert set(ended.told) == changed, (ended.last, changed)
    return bool(changed)


@pytest.mark.parametrize("what", list(COMMANDS))
def test_an_interruption_at_every_step_is_told_as_it_is(tmp_path: Path, what: str) -> None:
    words, prepare = COMMANDS[what]
    start = book(tmp_path / "start")
    prepare(start)
    outcomes = []
    for number in range(1, 60):
        folder = tmp_path / str(number)
        shutil.copytree(start.parent, folder)
        records = folder / "records"
        believed(records)
        before = contents(records)
        ended = run(records, *words, before=at_step(number, send(signal.SIGINT)))
        if ended.code == 0:
            break
        outcomes.append(told_truly(records, before, ended, 130))
        assert ended.last.startswith("caskbook: interrupted; ")
        assert not (records / ".pending").exists()  # what had begun was brought to its end
    assert outcomes == sorted(outcomes) and set(outcomes) == ({True} if what == "undo" else {True, False})  # undo is one act


def test_a_termination_is_told_with_its_own_code(tmp_path: Path) -> None:
    for number, written in ((1, False), (2, True)):
        records = book(tmp_path / str(number))
        before = contents(records)
        ended = run(records, *NOTE_ONE, before=at_step(number, send(signal.SIGTERM)))
        assert told_truly(records, before, ended, 143) == written and "terminated" in ended.last


def test_a_second_ctrl_c_changes_nothing(tmp_path: Path) -> None:
    records = book(tmp_path)

    def twice() -> None:
        os.kill(os.getpid(), signal.SIGINT)
        os.kill(os.getpid(), signal.SIGINT)

    before = contents(records)
    assert told_truly(records, before, run(records, *NOTE_ALL, before=at_note(1, twice)), 130)


def test_a_scan_tells_every_cask_of_its_run_and_all_can_be_taken_back(tmp_path: Path) -> None:
    records = book(tmp_path)
    committed(records)
    before = contents(records)
    words = ("enter", "scan", "note", "--note", "seen", "--by", "ab")
    ended = run(records, *words, stdin=f"{ONE}\n{TWO}\n{THREE}\n", before=at_note(2, send(signal.SIGINT)))
    assert told_truly(records, before, ended, 130) and set(ended.told) == {ONE, TWO}
    assert run(records, "undo", "--yes").code == 0 and contents(records) == before


def test_an_undone_cask_of_a_scan_is_told_as_taken_back(tmp_path: Path) -> None:
    records = book(tmp_path)
    words = ("enter", "scan", "note", "--note", "seen", "--by", "ab")
    ended = run(records, *words, stdin=f"{ONE}\n{TWO}\nundo\n{THREE}\n", before=at_note(5, send(signal.SIGINT)))
    assert ended.code == 130 and ended.told == {ONE: "written", TWO: "taken back", THREE: "written"}


@pytest.mark.parametrize("words", [("bench",), ("enter", "scan", "note", "--note", "seen", "--by", "ab")])
def test_of_two_lines_on_one_cask_the_one_that_stands_is_told(tmp_path: Path, words: tuple[str, ...]) -> None:
    """Whatever was taken back of a cask, it is told as written while a line of this run stands on it."""
    start = book(tmp_path / "start")
    lines = (ONE, f"{ONE} --note again", TWO, "undo", "undo", f"{ONE} --note more", THREE, "undo", "undo", "undo")
    if words == ("bench",):
        lines = ("shift ab", *(line if line == "undo" else f"note {line.replace(' --note', '')}" + " x" * (len(line) == len(ONE)) for line in lines))
    seen = []
    for number in range(1, 40):
        folder = tmp_path / str(number)
        shutil.copytree(start.parent, folder)
        records = folder / "records"
        before = contents(records)
        ended = run(records, *words, stdin="".join(f"{line}\n" for line in lines), before=at_note(number, send(signal.SIGINT)))
        if ended.code != 130:
            break
        now = contents(records)
        assert {cask for cask, what in ended.told.items() if what == "written"} == {cask for cask in now if now[cask] != before[cask]}, (number, ended)
        seen.append(ended.told)
    assert ended.code == 0 and {ONE: "written", TWO: "taken back"} in seen, seen


def test_a_line_that_could_not_be_written_leaves_the_lines_before_it_told(tmp_path: Path) -> None:
    """Somebody saves one of three casks just as a line on them all is written: that line is none, the first one stands."""
    records = book(tmp_path)
    before = contents(records)

    def before_it() -> None:
        from caskbook.ledger import pending_writes

        own = pending_writes._commit

        def commit(root: Path, changes: dict) -> None:
            own(root, changes)
            path(records, TWO).write_bytes(before[TWO] + b"# by hand\n")

        pending_writes._commit = commit
        at_note(3, send(signal.SIGINT))()  # the first line, the one in vain, the last

    lines = f"shift ab\nnote {ONE} first\nnote {ONE} {TWO} {THREE} all\nnote {THREE} last\n"
    ended = run(records, "bench", stdin=lines, before=before_it)
    now = contents(records)
    assert ended.code == 130 and b"first" in now[ONE] and not any(b"all" in data for data in now.values()), ended
    assert ended.told == {ONE: "written", THREE: "written"}, ended


@pytest.mark.parametrize("words", [("init", "new"), ("schema", "new"), ("demo", "new", "--casks", "3"), ("git", "install")])
def test_what_writes_no_cask_is_told_as_well(tmp_path: Path, words: tuple[str, ...]) -> None:
    records = book(tmp_path)
    git(tmp_path, "init", "-q")
    whole = run(records, *words, stdout="/dev/full")
    assert whole.code == (0 if words[0] == "schema" else 2) and "Traceback" not in whole.err
    shutil.rmtree(tmp_path / "new", ignore_errors=True)
    ended = run(records, *words, before=at_note(1, send(signal.SIGINT)))
    assert ended.code == 130 and "nothing written" not in ended.last and "Traceback" not in ended.err
    if words[0] != "git":
        assert {name for name in ended.told if not (tmp_path / name).exists()} == set()
        assert set(whole.told) == set(ended.told) if words[0] == "init" else ended.told


def test_a_ledger_that_was_interrupted_before_it_was_made_leaves_nothing(tmp_path: Path) -> None:
    records = book(tmp_path)

    def soon() -> None:
        from caskbook.demo import files

        files.refuse_full = lambda root: os.kill(os.getpid(), signal.SIGINT)

    ended = run(records, "demo", "new", "--casks", "3", before=soon)
    assert ended.code == 130 and ended.last == "caskbook: interrupted; nothing written" and not (tmp_path / "new").exists()


def test_several_files_that_cannot_be_completed_count_as_written(tmp_path: Path) -> None:
    """The disk is full just after the journal was put in place: the next command completes it, and that is said."""
    records = book(tmp_path)
    before = contents(records)

    def full() -> None:
        raise OSError(28, "No space left on device")

    told = run(records, *NOTE_ALL, before=at_step(7, full))
    assert told_truly(records, before, told, 2) and "the next command that writes completes it" in told.err
    assert (records / ".pending").exists() and set(told.told) == {ONE, TWO, THREE}
    assert run(records, *NOTE_ONE, "--dry-run").code == 0 and not (records / ".pending").exists()


# Through the installed command


COMMAND = (sys.executable, "-m", "caskbook")
HOOKED = (
    "import os, signal, sys\nfrom caskbook.ledger import atomic_write\nleft = [int(sys.argv.pop(1))]\n"
    "def step(name):\n    left[0] -= 1\n    if not left[0]:\n        os.kill(os.getpid(), signal.SIGINT)\n"
    "atomic_write.step = step\nfrom caskbook.__main__ import main\nmain()"
)


def program(records: Path, *words: str, shell: str = "", **environ: str) -> Ended:
    """A real process; `shell`: what follows it on a line of the shell."""
    line = [*COMMAND, *words] if not shell else ["bash", "-c", f'set -o pipefail; "$@" {shell}', "bash", *COMMAND, *words]
    done = subprocess.run(line, cwd=records.parent, capture_output=True, text=True, check=False, env={**os.environ, **environ}, stdin=subprocess.DEVNULL)
    return Ended(done.returncode, done.stdout, done.stderr)


@pytest.mark.parametrize("shell", ["> /dev/full", ">&-", "| head -c0", "> /dev/full <&-"])
def test_output_that_goes_nowhere_is_told_and_the_entry_stands(tmp_path: Path, shell: str) -> None:
    records = book(tmp_path)
    before = contents(records)
    assert told_truly(records, before, program(records, *NOTE_ONE, shell=shell), 2)


def test_stderr_that_goes_nowhere_keeps_nobody_from_writing(tmp_path: Path) -> None:
    for at, shell in enumerate(("2>/dev/full", "2>&-")):
        records = book(tmp_path / str(at))
        before = contents(records)
        ended = program(records, *NOTE_ONE, shell=shell)
        assert ended.code == 0 and ended.out.startswith(ONE) and contents(records) != before


def test_a_closed_stdout_is_not_taken_for_the_next_file_opened(tmp_path: Path) -> None:
    records = book(tmp_path)
    program(records, *NOTE_ONE, shell="<&- >&- 2>&-")
    assert b"note: seen" in path(records, ONE).read_bytes() and path(records, ONE).read_bytes().count(b"cask:") == 1
    assert (records / ".caskbook" / "lock").read_bytes() == b""


@pytest.mark.parametrize("environ", [{"PYTHONIOENCODING": "ascii"}, {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}])
def test_what_an_encoding_cannot_print_is_no_fault(tmp_path: Path, environ: dict[str, str]) -> None:
    records = book(tmp_path)
    house = (records / "house.yaml").read_text(encoding="utf-8").replace("North House", "Señal – North")
    (records / "house.yaml").write_text(house, encoding="utf-8")
    path(records, ONE).write_bytes(path(records, ONE).read_bytes() + "  - {id: e0000009, date: 2020-01-03, job: note, by: ab, note: señal – 20 °C}\n".encode())
    ended = program(records, *NOTE_ONE, **environ)
    assert ended.code == 0 and ended.out.startswith(ONE) and b"note: seen" in path(records, ONE).read_bytes()
    assert program(records, "show", ONE, **environ).code == 0 and program(records, "--help", **environ).code == 0


@pytest.mark.parametrize(
    ("words", "shell", "code"), [(("list",), "| head -n1", 0), (("due", "--help"), "| head -c0", None), (("list",), "> /dev/full", 2), (("--help",), ">&-", 2)]
)
def test_a_command_that_reads_ends_quietly_when_its_reader_goes(tmp_path: Path, words: tuple[str, ...], shell: str, code: int | None) -> None:
    ended = program(book(tmp_path), *words, shell=shell)
    assert "Traceback" not in ended.err and "Exception ignored" not in ended.err
    assert (ended.code == code if code is not None else ended.code in (0, 1)) and ended.err.count("\n") == int(code == 2)


@pytest.mark.parametrize(("number", "written"), [(1, False), (2, True)])
def test_an_interrupted_process_tells_the_truth(tmp_path: Path, number: int, written: bool) -> None:
    records = book(tmp_path)
    before = contents(records)
    done = subprocess.run([sys.executable, "-c", HOOKED, str(number), *NOTE_ONE], cwd=tmp_path, capture_output=True, text=True, check=False)
    assert told_truly(records, before, Ended(done.returncode, done.stdout, done.stderr), 130) == written


@pytest.mark.slow
def test_ctrl_c_at_random_moments_is_told_as_it_is(tmp_path: Path) -> None:
    records, rng, outcomes = book(tmp_path), random.Random(11), []
    for _ in range(120):
        before = contents(records)
        work = subprocess.Popen([*COMMAND, *NOTE_ALL], cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        time.sleep(0.06 + rng.random() * 0.4)
        work.send_signal(signal.SIGINT)
        out, err = work.communicate()
        changed = contents(records) != before
        if work.returncode == 0:
            assert changed
        elif work.returncode == 130:
            outcomes.append(told_truly(records, before, Ended(130, out, err), 130))
        else:  # before the program had begun to listen: Python's own way
            assert work.returncode in (1, -signal.SIGINT) and not changed, err
    assert {True, False} <= {*outcomes, True}


def test_a_scan_takes_nothing_back_that_was_committed_meanwhile(tmp_path: Path) -> None:
    records = book(tmp_path)
    committed(records)
    words = ("enter", "scan", "note", "--note", "seen", "--by", "ab")

    def commit() -> None:
        git(records.parent, "commit", "-qam", "meanwhile")

    ended = run(records, *words, stdin=f"{ONE}\n{TWO}\nundo\n", before=at_note(2, commit))
    assert ended.code == 1 and f"{TWO} was committed meanwhile" in ended.err, ended
    assert b"note: seen" in contents(records)[TWO] and ended.last == "2 casks written, 1 refused"


@pytest.mark.parametrize("filename", [None, "/dev/null"])
def test_too_many_open_files_are_no_fault_of_standard_output(monkeypatch: pytest.MonkeyPatch, filename: str | None) -> None:
    from commands import caskbook

    from caskbook.cli import app

    def none_left(arguments: list[str]) -> int:
        raise OSError(errno.EMFILE, "Too many open files", filename)

    monkeypatch.setattr(app, "_outcome", none_left)
    ran = caskbook("list")
    assert ran.returncode == 2 and ran.stderr == "caskbook: this system lets no more files be open at once (ulimit -n); nothing written\n"


@pytest.mark.thorough
@pytest.mark.parametrize("words", ["list", "enter note TH-003371 --note seen --by ab", "review"])
def test_a_folder_that_is_no_longer_there_is_no_fault_of_standard_output(tmp_path: Path, words: str) -> None:
    (tmp_path / "gone").mkdir()
    script = f'cd "$1" && rmdir "$1" && exec "$0" -m caskbook {words}'
    ran = subprocess.run(["sh", "-c", script, sys.executable, str(tmp_path / "gone")], capture_output=True, text=True, check=False)
    assert (ran.returncode, ran.stderr) == (2, "caskbook: the folder in which this was started is no longer there; nothing written\n")
