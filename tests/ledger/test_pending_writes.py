"""Several files: whatever moment the process ends at, all of them change or none."""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from ledger.killed import killed_at

from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.ledger import atomic_write, machine
from caskbook.ledger.journal import unfinished
from caskbook.ledger.paths import check_written_path, is_git_name
from caskbook.ledger.pending_writes import overlay, read_through, recover, write_many

pytestmark = pytest.mark.thorough

OLD: dict[str, bytes | None] = {
    "casks/TH-000/TH-000001.yaml": b"a: 1\n",
    "casks/TH-000/TH-000002.yaml": b"a: 1\n",
    "casks/TH-001/TH-001000.yaml": None,
}
NEW: dict[str, bytes] = dict.fromkeys(OLD, b"a: 2\n")
CHANGES = {name: (OLD[name], NEW[name]) for name in OLD}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return made(tmp_path)


def made(root: Path) -> Path:
    for name, data in OLD.items():
        if data is not None:
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            (root / name).write_bytes(data)
    return root


def as_nobody(work) -> None:
    """Runs `work` in a child without root's rights; an assertion that fails there fails here."""
    child = os.fork()
    if child == 0:
        try:
            if os.geteuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            work()
        except BaseException as error:
            os.write(2, repr(error).encode())
            os._exit(1)
        os._exit(0)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


@pytest.fixture
def open_root():
    """A ledger that others may enter, which pytest's own folder does not allow."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield made(Path(name))


def on_disk(root: Path) -> dict[str, bytes | None]:
    return {name: (root / name).read_bytes() if (root / name).exists() else None for name in OLD}


def litter(root: Path) -> set[str]:
    known = {*OLD, ".caskbook/lock", ".caskbook/.gitignore"}
    return {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()} - known


def write(root: Path) -> None:
    write_many(root, CHANGES)


def test_all_files_are_written_and_nothing_is_left(root):
    write(root)
    assert on_disk(root) == NEW and litter(root) == set() and not (root / ".pending").exists()


def test_one_file_or_none_needs_no_journal(root):
    write_many(root, {})
    name = "casks/TH-000/TH-000001.yaml"
    write_many(root, {name: (b"a: 1\n", b"a: 3\n")})
    assert (root / name).read_bytes() == b"a: 3\n"


@pytest.mark.parametrize("name", list(OLD))
def test_one_changed_file_stops_all(root, name):
    (root / name).parent.mkdir(exist_ok=True)
    (root / name).write_bytes(b"mine\n")
    before = on_disk(root)
    with pytest.raises(CaskbookError, match="changed by somebody else"):
        write(root)
    assert on_disk(root) == before and not (root / ".pending").exists()


def test_a_kill_at_every_step_leaves_all_or_none(tmp_path):
    outcomes = []
    for number in range(1, 60):
        root = made(tmp_path / str(number))
        if not killed_at(root, number, write):
            break
        seen = {name: overlay(root).get(name, data) for name, data in on_disk(root).items()}
        assert seen in (OLD, NEW), number
        assert (seen == NEW) == (unfinished(root) or on_disk(root) == NEW)
        recover(root)
        assert on_disk(root) == seen and litter(root) == set() and overlay(root) == {}
        write_many(root, {name: (seen[name], b"a: 9\n") for name in OLD})
        outcomes.append(seen == NEW)
    assert outcomes == sorted(outcomes) and {True, False} == set(outcomes) and len(outcomes) >= 12


def test_a_kill_while_completing_leaves_all_or_none(tmp_path):
    committed = 6  # folder, three stores, journal written, journal in place
    for number in range(1, 60):
        root = made(tmp_path / str(number))
        assert killed_at(root, committed, write) and unfinished(root) and on_disk(root) == OLD
        got_there = killed_at(root, number, recover)
        seen = {name: overlay(root).get(name, data) for name, data in on_disk(root).items()}
        assert seen == NEW
        recover(root)
        assert on_disk(root) == NEW and litter(root) == set()
        if not got_there:
            return
    raise AssertionError("completing never ended")


def committed(root: Path) -> None:
    assert killed_at(root, 6, write) and unfinished(root)


def test_a_file_changed_in_between_is_not_overwritten(root):
    committed(root)
    name = "casks/TH-000/TH-000002.yaml"
    (root / name).write_bytes(b"mine\n")
    with pytest.raises(CaskbookError, match="changed while a write of 3 files was unfinished"):
        recover(root)
    with pytest.raises(CaskbookError, match="unfinished"):
        write(root)
    assert (root / name).read_bytes() == b"mine\n" and unfinished(root)
    assert set(overlay(root)) == set(OLD) - {name}
    (root / name).write_bytes(b"a: 1\n")
    assert sorted(recover(root)) == sorted(OLD) and on_disk(root) == NEW


@pytest.mark.parametrize("name", list(OLD))
def test_an_editor_s_save_at_any_step_stops_all_and_is_kept(tmp_path, monkeypatch, name):
    """Who takes no lock may save one of the files between any two acts; then the others hold what they held, and the run says so."""
    ends = []
    for number in range(1, 60):
        root, left = made(tmp_path / str(number)), [number]
        (root / name).parent.mkdir(exist_ok=True)

        def step(what, left=left, root=root):
            left[0] -= 1
            if left[0] == 0:
                (root / name).write_bytes(b"mine\n")

        monkeypatch.setattr(atomic_write, "step", step)
        outcome.begin()
        try:
            write(root)
            assert on_disk(root) in (NEW, {**NEW, name: b"mine\n"})
            ends.append("written")
        except CaskbookError as error:
            assert "nothing written" in str(error) and "changed by somebody else" in str(error) and outcome.sentence() == "nothing written", str(error)
            assert on_disk(root) == {**OLD, name: b"mine\n"}
            ends.append("nothing")
        assert not (root / ".pending").exists() and litter(root) == set() and overlay(root) == {}
        if left[0] > 0:
            break
    assert set(ends) == {"nothing", "written"} and ends.count("nothing") >= 6


def test_a_file_already_completed_by_hand_counts_as_done(root):
    committed(root)
    (root / "casks/TH-000/TH-000002.yaml").write_bytes(b"a: 2\n")
    assert recover(root) == ["casks/TH-000/TH-000001.yaml", "casks/TH-001/TH-001000.yaml"]


def test_what_cannot_be_completed_can_be_read_through(open_root, monkeypatch):
    with tempfile.TemporaryDirectory() as state:
        monkeypatch.setenv("CASKBOOK_STATE", state)
        read_through_as_nobody(open_root, Path(state))


def read_through_as_nobody(open_root: Path, state: Path) -> None:
    committed(open_root)
    if os.geteuid() == 0:
        for path in (state, *state.iterdir()):
            os.chown(path, 65534, 65534)
    for path in open_root.rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    open_root.chmod(0o555)

    def work() -> None:
        with pytest.raises(CaskbookError, match="permission denied"):
            recover(open_root)
        assert overlay(open_root) == NEW
        owed, why = read_through(open_root)
        assert owed == NEW and "permission denied" in why and "\n" not in why

    as_nobody(work)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        '{"files": [1]}',
        '{"files": [{"path": 1, "old": null, "new": "", "store": ""}]}',
        "[" * 100_000,
    ],
)
def test_a_damaged_journal_is_foreign_and_told_in_one_line(root, text):
    committed(root)
    (root / ".pending" / "journal.json").write_text(text)
    with pytest.raises(CaskbookError, match="did not begin") as told:
        recover(root)
    assert "\n" not in str(told.value)
    owed, why = read_through(root)
    assert owed == {} and "did not begin" in why and overlay(root) == {} and not unfinished(root)
    assert on_disk(root) == OLD and (root / ".pending" / "journal.json").read_text() == text


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("path", "../x"), ("path", "/x"), ("store", "../../x"), ("path", ""), ("path", ".git/hooks/pre-commit"), ("path", ".GIT/config"),
        ("path", "casks/TH-000/../../.git/config"), ("path", "records.yaml"), ("path", "casks/TH-001/TH-000001.yaml"), ("path", "GIT~1/config"),
        ("path", "casks/TH-000/TH-000001.yaml/x"), ("path", ".g\u200cit/config"), ("path", ".git. /config"), ("path", "casks\\..\\.git\\config"),
        ("path", "casks/TH-000/TH-000001.yaml\n"), ("path", "casks/TH-000/TH-00001.yaml"), ("path", ".gitattributes"), ("path", ".caskbook/lock"),
        ("path", "casks/TH-000/TH-000002.yaml"),
    ],
)  # fmt: skip
def test_a_journal_cannot_lead_outside_even_one_of_this_machine(root, key, value):
    committed(root)
    path = root / ".pending" / "journal.json"
    journal = json.loads(path.read_text())
    journal["files"][0][key] = value
    altered(path, journal)
    before = everything(root)
    with pytest.raises(CaskbookError) as told:
        recover(root)
    assert "\n" not in str(told.value)
    assert everything(root) == before


def altered(path: Path, journal: dict) -> None:
    """Another journal in its place, which this machine takes for its own."""
    path.write_text(json.dumps(journal))
    machine.hold_journal(journal["token"], path.read_bytes())


def everything(root: Path) -> dict[str, bytes]:
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}


@pytest.mark.parametrize("name", ["house.yaml", "casks/TH-004/TH-004217.yaml", "casks/X-1/X-1000.yaml"])
def test_the_paths_that_a_write_may_have(name):
    check_written_path(name)


@pytest.mark.parametrize(
    "part", [".git", ".GIT", ".Git.", ".git ", "git~1", "GIT~2", ".g\u200bit", ".gi\ufefft", "\u200e.git", ".git::$INDEX_ALLOCATION", "gi7eba~1"]
)
def test_git_is_known_in_every_spelling(part):
    assert is_git_name(part)
    with pytest.raises(CaskbookError, match="git's own"):
        check_written_path(f"casks/{part}/TH-000001.yaml")


def test_a_journal_of_another_machine_is_not_completed_and_not_read_through(root, monkeypatch, tmp_path_factory):
    committed(root)
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path_factory.mktemp("other")))
    before = everything(root)
    owed, why = read_through(root)
    assert owed == {} and "did not begin" in why and overlay(root) == {} and not unfinished(root)
    with pytest.raises(CaskbookError, match="nothing written: .*did not begin"):
        write(root)
    assert on_disk(root) == OLD and everything(root).keys() - before.keys() <= {".caskbook/lock", ".caskbook/.gitignore"}


def test_a_journal_that_was_completed_cannot_come_back(root, tmp_path_factory):
    committed(root)
    kept = tmp_path_factory.mktemp("kept") / "pending"
    shutil.copytree(root / ".pending", kept)
    recover(root)
    for name, data in OLD.items():
        if data is not None:
            (root / name).write_bytes(data)
    (root / "casks/TH-001/TH-001000.yaml").unlink()
    shutil.copytree(kept, root / ".pending")
    with pytest.raises(CaskbookError, match="finished before"):
        recover(root)
    assert on_disk(root) == OLD


def test_without_a_place_for_the_token_nothing_is_written(root, monkeypatch):
    monkeypatch.setenv("CASKBOOK_STATE", "/dev/null/nowhere")
    with pytest.raises(CaskbookError, match="nothing written: .*CASKBOOK_STATE"):
        write(root)
    assert on_disk(root) == OLD and not (root / ".pending").exists()
    write_many(root, {"house.yaml": (None, b"a: 1\n")})  # one file needs no journal


@pytest.mark.parametrize("kind", ["fifo", "link", "folder", "huge", "folder link"])
def test_what_is_no_journal_stops_no_reader(root, kind, tmp_path_factory):
    folder = root / ".pending"
    if kind == "folder link":
        folder.symlink_to(tmp_path_factory.mktemp("elsewhere"))
    else:
        folder.mkdir()
        path = folder / "journal.json"
        match kind:
            case "fifo":
                os.mkfifo(path)
            case "link":
                path.symlink_to("/etc/passwd")
            case "folder":
                path.mkdir()
            case _:
                with path.open("wb") as file:
                    file.truncate(1 << 40)
    owed, why = read_through(root)
    assert owed == {} and why and "\n" not in why
    with pytest.raises(CaskbookError):
        recover(root)
    assert on_disk(root) == OLD


def test_damaged_new_bytes_are_not_written(root):
    committed(root)
    (root / ".pending" / "2.new").write_bytes(b"a: ")
    with pytest.raises(CaskbookError, match="damaged"):
        recover(root)
    assert on_disk(root) == OLD


def test_a_failed_commit_leaves_nothing(root, monkeypatch):
    def fail(name: str) -> None:
        if name == "journal written":
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic_write, "step", fail)
    with pytest.raises(CaskbookError, match="nothing written, no space left"):
        write(root)
    assert on_disk(root) == OLD and not (root / ".pending").exists()


def test_a_symbolic_link_in_place_of_the_folder_is_refused(root, tmp_path_factory):
    (root / ".pending").symlink_to(tmp_path_factory.mktemp("elsewhere"))
    with pytest.raises(CaskbookError, match="symbolic link"):
        write(root)


LOOP = """
import sys
from pathlib import Path
from caskbook.ledger.pending_writes import write_many, recover
root, names = Path(sys.argv[1]), sys.argv[2:]
recover(root)
print("go", flush=True)
while True:
    now = {name: (root / name).read_bytes() for name in names}
    count = int(now[names[0]]) + 1
    write_many(root, {name: (data, str(count).encode() * 1) for name, data in now.items()})
"""


@pytest.mark.slow
def test_a_kill_at_100_random_moments_leaves_all_or_none(tmp_path):
    rng = random.Random(7)
    names = [f"casks/TH-000/TH-00000{k}.yaml" for k in range(4)]
    (tmp_path / "casks" / "TH-000").mkdir(parents=True)
    for name in names:
        (tmp_path / name).write_bytes(b"0")
    caught = 0
    for _ in range(100):
        work = subprocess.Popen([sys.executable, "-c", LOOP, str(tmp_path), *names], stdout=subprocess.PIPE)
        assert work.stdout is not None and work.stdout.readline() == b"go\n"
        time.sleep(rng.random() * 0.02)
        work.kill()
        work.wait()
        work.stdout.close()
        caught += (tmp_path / ".pending").exists()
        owed = overlay(tmp_path)
        seen = {owed.get(name, (tmp_path / name).read_bytes()) for name in names}
        assert len(seen) == 1
        recover(tmp_path)
        assert {(tmp_path / name).read_bytes() for name in names} == seen
    assert caught > 10, "too few of the kills fell into a write to prove anything"
