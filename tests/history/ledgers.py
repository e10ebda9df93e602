"""Ledgers, casks and git repositories for the tests of history: small, real, and shut off from the machine's own settings."""

from __future__ import annotations

import contextlib
import hashlib
import os
import struct
import subprocess
import tempfile
from functools import cache
from pathlib import Path

HOUSE = "timezone: Europe/London\ncrew:\n  - {initials: ab, name: A B, from: 2010-01-01}\n  - {initials: kd, name: K D, from: 2010-01-01}\n"
HEAD = "cask: {cask}\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior:\n  - {{contents: bourbon, fills: 1}}\ncharred: 2011\nevents:\n"


def event(event_id: str, day: str, job: str, *lines: str) -> str:
    """One event as the tool writes it."""
    more = "".join(f"    {line}\n" for line in lines)
    return f"  - id: {event_id}\n    date: {day}\n    job: {job}\n    by: ab\n{more}"


RECEIVED = event("dsy3jphz", "2015-03-12", "receive", "verdict: accept")
EXAMINED = event("dsy3jpj0", "2015-03-12", "examine", "verdict: sound")
TESTED = event("dt3q62s1", "2015-03-20", "test", "psi: 11", "water_l: 2", "result: pass")
FILLED = event("dtcw0000", "2015-04-02", "fill", "spirit: malt", "litres: 198.4", "abv: 63.5", "temp_c: 14.5")
EMPTIED = event("gq6g0001", "2023-05-16", "empty", "litres: 150.0", "abv: 58.0", "temp_c: 14.5")


def cask(*events: str, cask_id: str = "TH-004217") -> str:
    """A whole cask file."""
    return HEAD.format(cask=cask_id) + "".join(events)


# No housekeeping of git's own either: it would be one more process at each commit.
SETTINGS = """[user]
\tname = Tester
\temail = t@example.org
[commit]
\tgpgsign = false
[advice]
\tdetachedHead = false
[gc]
\tauto = 0
[maintenance]
\tauto = false
"""


Files = tuple[tuple[str, bytes | None], ...]


def _held(top: Path) -> Files:
    """All that a folder holds, by path, folders (None) before what is in them."""
    return tuple((path.relative_to(top).as_posix(), None if path.is_dir() else path.read_bytes()) for path in sorted(top.rglob("*")))


def _lay(top: Path, files: Files) -> None:
    top.mkdir(parents=True, exist_ok=True)
    for name, data in files:
        if data is None:
            os.mkdir(f"{top}/{name}")  # noqa: PTH102
        else:
            with open(f"{top}/{name}", "wb") as file:  # noqa: PTH123
                file.write(data)


@cache
def _empty_repository() -> Files:
    """The .git of a repository without a commit, made once in this process and copied for each test."""
    folder = Path(tempfile.mkdtemp(prefix="empty-", dir=os.environ["CASKBOOK_TEST_FOLDER"]))
    env = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
    subprocess.run(
        ["git", "init", "-q", "-b", "main", "--template="], cwd=folder, check=True, env=env | {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1"}
    )
    for name in ("hooks", "info"):
        (folder / ".git" / name).mkdir(exist_ok=True)
    with (folder / ".git" / "config").open("a", encoding="utf-8") as file:
        file.write(SETTINGS)
    return _held(folder / ".git")


class Repo:
    """A git repository in a folder, with settings of its own; the ledger lies in `records`, or at the top."""

    def __init__(self, top: Path, under: str = "records") -> None:
        self.top = top
        self.ledger = top / under if under else top
        top.mkdir(parents=True, exist_ok=True)
        if not (top / ".git").exists():
            _lay(top / ".git", _empty_repository())

    def identify(self) -> None:
        """Name, mail and quiet settings of this repository alone."""
        with (self.top / ".git" / "config").open("a", encoding="utf-8") as file:
            file.write(SETTINGS)

    def git(self, *args: str, good: tuple[int, ...] = (0,), **env: str) -> str:
        """One git command; its whole output."""
        base = {key: value for key, value in os.environ.items() if not key.startswith("GIT_")}
        base |= {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_NOSYSTEM": "1", "LC_ALL": "C", "HOME": str(self.top), "GIT_EDITOR": "true"}
        done = subprocess.run(["git", *args], cwd=self.top, capture_output=True, text=True, env=base | env, check=False)
        assert done.returncode in good, f"git {args}: {done.returncode}\n{done.stdout}\n{done.stderr}"
        return done.stdout + done.stderr

    def path(self, cask_id: str = "TH-004217") -> Path:
        """The file of a cask."""
        return self.ledger / "casks" / cask_id[:-3] / f"{cask_id}.yaml"

    def write(self, text: str | bytes, cask_id: str = "TH-004217") -> Path:
        """Writes a cask file as given."""
        path = self.path(cask_id)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    def house(self, text: str = HOUSE) -> None:
        """Writes house.yaml."""
        self.ledger.mkdir(parents=True, exist_ok=True)
        (self.ledger / "house.yaml").write_text(text, encoding="utf-8")

    def commit(self, message: str = "work") -> str:
        """Commits everything; the commit's name."""
        self.git("add", "-A")
        self.git("commit", "-q", "--allow-empty", "--no-verify", "-m", message)
        return self.head()

    def head(self) -> str:
        """The name of the commit checked out."""
        with contextlib.suppress(OSError):
            said = (self.top / ".git" / "HEAD").read_text(encoding="ascii").strip()
            return (self.top / ".git" / said.removeprefix("ref: ")).read_text(encoding="ascii").strip() if said.startswith("ref: ") else said
        return self.git("rev-parse", "HEAD").strip()


def ledger(tmp_path: Path, *events: str, under: str = "records", name: str = "house") -> Repo:
    """A committed ledger of one cask. Git makes it once in this process; the next of its kind is a copy, of which its index knows."""
    if (tmp_path / name).exists():
        return _committed(tmp_path / name, events or _USUAL, under)
    _lay(tmp_path / name, _first(events or _USUAL, under))
    _look_again(tmp_path / name)
    return Repo(tmp_path / name, under)


_USUAL = (RECEIVED, EXAMINED, TESTED)


@cache
def _first(events: tuple[str, ...], under: str) -> Files:
    return _held(_committed(Path(tempfile.mkdtemp(prefix="first-", dir=os.environ["CASKBOOK_TEST_FOLDER"])), events, under).top)


def _committed(top: Path, events: tuple[str, ...], under: str) -> Repo:
    repo = Repo(top, under)
    repo.house()
    repo.write(cask(*events))
    repo.commit("first")
    return repo


def _look_again(top: Path) -> None:
    """Write into git's index how the files lie on disk, as `git update-index --refresh` does where their bytes are the same."""
    data = bytearray((top / ".git" / "index").read_bytes()[:-20])
    assert data[:8] == b"DIRC\0\0\0\2"
    at = 12
    for _ in range(int.from_bytes(data[8:12], "big")):
        end = data.index(b"\0", at + 62)
        there = (top / os.fsdecode(bytes(data[at + 62 : end]))).lstat()
        times = (part for when in (there.st_ctime_ns, there.st_mtime_ns) for part in divmod(when, 10**9))
        numbers = (*times, there.st_dev, there.st_ino, 0o100644, there.st_uid, there.st_gid, there.st_size)
        data[at : at + 40] = struct.pack(">10I", *(number & 0xFFFFFFFF for number in numbers))
        at = end + 8 - (end - at) % 8
    (top / ".git" / "index").write_bytes(data + hashlib.sha1(data).digest())
