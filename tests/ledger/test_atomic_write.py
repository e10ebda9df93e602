"""One file: read safely, compared, replaced whole; what is odd about it is refused in one line."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import tempfile
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from caskbook.core.finding import CaskbookError
from caskbook.ledger import atomic_write
from caskbook.ledger.atomic_write import cache_folder, ledger_lock, read_bytes, replace_file


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return made(tmp_path)


def made(root: Path) -> Path:
    (root / "casks" / "TH-000").mkdir(parents=True)
    (root / "casks" / "TH-000" / "TH-000001.yaml").write_bytes(b"a: 1\n")
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


def cask(root: Path, name: str = "TH-000001") -> Path:
    return root / "casks" / "TH-000" / f"{name}.yaml"


def names(root: Path) -> set[str]:
    return {path.name for path in (root / "casks").rglob("*") if path.is_file()}


def test_a_file_is_replaced_whole_and_keeps_its_mode(root):
    cask(root).chmod(0o640)
    replace_file(root, cask(root), b"a: 1\n", b"a: 2\n")
    assert cask(root).read_bytes() == b"a: 2\n" and stat.S_IMODE(cask(root).stat().st_mode) == 0o640
    assert names(root) == {"TH-000001.yaml"}
    assert (root / ".caskbook" / ".gitignore").read_text() == "*\n"


def test_the_rule_that_a_full_disk_left_empty_is_written_and_no_other(root):
    for text, later in (("", "*\n"), ("index*\n", "index*\n")):
        (root / ".caskbook").mkdir(exist_ok=True)
        (root / ".caskbook" / ".gitignore").write_text(text)
        cache_folder(root)
        assert (root / ".caskbook" / ".gitignore").read_text() == later


def test_a_new_file_makes_its_folders(root):
    path = root / "casks" / "TH-001" / "TH-001000.yaml"
    replace_file(root, path, None, b"a: 1\n")
    assert path.read_bytes() == b"a: 1\n"


@pytest.mark.parametrize("old", [b"a: 0\n", None])
def test_a_file_changed_meanwhile_is_not_written(root, old):
    with pytest.raises(CaskbookError, match="changed by somebody else"):
        replace_file(root, cask(root), old, b"a: 2\n")
    assert cask(root).read_bytes() == b"a: 1\n" and names(root) == {"TH-000001.yaml"}


def test_a_file_deleted_meanwhile_is_not_written(root):
    with pytest.raises(CaskbookError, match="changed by somebody else"):
        replace_file(root, cask(root, "TH-000002"), b"a: 1\n", b"a: 2\n")


def test_a_stale_temporary_file_is_no_hindrance(root):
    (cask(root).parent / ".TH-000001.yaml.tmp").write_bytes(b"half")
    replace_file(root, cask(root), b"a: 1\n", b"a: 2\n")
    assert names(root) == {"TH-000001.yaml"}


def test_a_failed_write_leaves_the_old_file_and_no_litter(root, monkeypatch):
    def fail(name: str) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(atomic_write, "step", fail)
    with pytest.raises(CaskbookError, match="not written, no space left"):
        replace_file(root, cask(root), b"a: 1\n", b"a: 2\n")
    assert cask(root).read_bytes() == b"a: 1\n" and names(root) == {"TH-000001.yaml"}


def test_symbolic_links_are_refused(root, tmp_path_factory):
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "TH-000003.yaml").write_bytes(b"secret\n")
    cask(root, "TH-000003").symlink_to(elsewhere / "TH-000003.yaml")
    (root / "casks" / "TH-009").symlink_to(elsewhere)
    for path in (cask(root, "TH-000003"), root / "casks" / "TH-009" / "TH-000003.yaml"):
        with pytest.raises(CaskbookError, match="symbolic link"):
            read_bytes(path, root=root)
        with pytest.raises(CaskbookError, match="symbolic link"):
            replace_file(root, path, b"secret\n", b"x")
    with pytest.raises(CaskbookError, match="symbolic link"):
        read_bytes(cask(root, "TH-000003"))
    assert (elsewhere / "TH-000003.yaml").read_bytes() == b"secret\n"


@pytest.mark.parametrize("name", ["../x.yaml", "casks/../../x.yaml"])
def test_a_path_outside_the_ledger_is_refused(root, name):
    with pytest.raises(CaskbookError, match="ledger"):
        replace_file(root, root / name, None, b"x")
    with pytest.raises(CaskbookError, match="ledger"):
        replace_file(root, Path("/etc/x.yaml"), None, b"x")


def test_what_is_no_ordinary_file_is_refused(root):
    os.mkfifo(cask(root, "TH-000004"))
    for path in (cask(root, "TH-000004"), root / "casks"):
        with pytest.raises(CaskbookError, match="not an ordinary file|is a directory"):
            read_bytes(path)


def test_a_file_that_may_not_be_read_is_refused_in_one_line(open_root):
    cask(open_root).chmod(0)

    def work() -> None:
        with pytest.raises(CaskbookError, match="permission denied"):
            read_bytes(cask(open_root))

    as_nobody(work)


def test_a_missing_file_and_an_impossible_name_are_refused_in_one_line(root):
    for path in (cask(root, "TH-000009"), root / "a\0b", root / ("x" * 300)):
        with pytest.raises(CaskbookError) as caught:
            read_bytes(path)
        assert "\n" not in str(caught.value)


def test_no_more_is_read_than_the_limit_and_one(root):
    cask(root).write_bytes(b"x" * 100)
    assert len(read_bytes(cask(root), 10)) == 11 and len(read_bytes(cask(root), 100)) == 100


def test_the_lock_is_one_for_all_and_again_for_its_holder(root):
    seen = []

    def other() -> None:
        try:
            with ledger_lock(root, timeout=0.05):
                seen.append("got it")
        except CaskbookError as error:
            seen.append(str(error))

    with ledger_lock(root), ledger_lock(root):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert "another command has been writing" in seen[0]
    other()
    assert seen[1] == "got it"


def test_a_lock_ends_with_its_process(root):
    code = "import os, sys\nfrom pathlib import Path\nfrom caskbook.ledger.atomic_write import ledger_lock\n"
    code += "with ledger_lock(Path(sys.argv[1])):\n    os._exit(9)\n"
    assert subprocess.run([sys.executable, "-c", code, str(root)], check=False).returncode == 9
    with ledger_lock(root, timeout=0.05):
        pass


def test_a_deleted_cache_folder_does_not_give_two_locks(root):
    with ledger_lock(root):
        for path in (root / ".caskbook").iterdir():
            path.unlink()
        (root / ".caskbook").rmdir()
    with ledger_lock(root, timeout=0.05):
        assert cache_folder(root).is_dir()


def test_a_ledger_that_may_not_be_written_is_told_in_one_line(open_root):
    open_root.chmod(0o555)

    def work() -> None:
        with pytest.raises(CaskbookError, match="permission denied"), ledger_lock(open_root):
            pass

    as_nobody(work)


def test_two_processes_never_lose_a_line(root):
    code = (
        "import sys\nfrom pathlib import Path\nfrom caskbook.ledger.atomic_write import ledger_lock, read_bytes, put_file\n"
        "root, path = Path(sys.argv[1]), Path(sys.argv[2])\n"
        "for k in range(30):\n"
        "    with ledger_lock(root):\n"
        "        put_file(root, path, read_bytes(path) + f'{sys.argv[3]}-{k}\\n'.encode())\n"
    )
    work = [subprocess.Popen([sys.executable, "-c", code, str(root), str(cask(root)), who]) for who in "ab"]
    assert [one.wait() for one in work] == [0, 0]
    assert len(set(cask(root).read_text().splitlines())) == 61


@pytest.fixture
def other_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """As far as it can be had here, a system without flock, fchmod and a way to open no link.

    Only our own module sees it so: the library that locks goes on with what this system has.
    """
    monkeypatch.setattr(atomic_write, "fcntl", None)
    monkeypatch.setattr(atomic_write, "_NO_LINK", 0)
    monkeypatch.setattr(atomic_write, "os", SimpleNamespace(**{name: thing for name, thing in vars(os).items() if name != "fchmod"}))


def test_without_flock_and_fchmod_a_file_is_written_and_keeps_its_mode(root, other_system):
    cask(root).chmod(0o640)
    replace_file(root, cask(root), b"a: 1\n", b"a: 2\n")
    assert cask(root).read_bytes() == b"a: 2\n" and stat.S_IMODE(cask(root).stat().st_mode) == 0o640
    assert names(root) == {"TH-000001.yaml"}


def test_without_flock_the_lock_is_held_all_the_same(root, other_system):
    entered = []

    def other() -> None:
        with pytest.raises(CaskbookError, match="another command has been writing"), ledger_lock(root, timeout=0.05):
            entered.append(1)

    with ledger_lock(root), ledger_lock(root):  # the thread that has it may take it again
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert entered == []
    with ledger_lock(root, timeout=0.05):
        entered.append(2)
    assert entered == [2]


def test_without_a_way_to_open_no_link_a_lock_that_is_one_is_still_refused(root, other_system, tmp_path_factory):
    outside = tmp_path_factory.mktemp("elsewhere") / "precious"
    cache_folder(root)
    (root / ".caskbook" / "lock").symlink_to(outside)
    with pytest.raises(CaskbookError, match="symbolic link"), ledger_lock(root, timeout=0.05):
        pass
    assert not outside.exists()
    outside.write_text("precious")
    with pytest.raises(CaskbookError, match="symbolic link"), ledger_lock(root, timeout=0.05):
        pass
    assert outside.read_text() == "precious"
