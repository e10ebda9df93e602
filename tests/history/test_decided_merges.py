"""What two benches set to two values is decided in their merge: whoever keeps what is on the server alters nothing."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, HOUSE, RECEIVED, TESTED, Repo, cask, ledger

pytestmark = pytest.mark.thorough

BASE = cask(RECEIVED, EXAMINED, TESTED)
DATED = HOUSE + "test_limit_psi:\n  - {since: 2000-01-01, value: 12}\n"


def _texts(kind: str) -> tuple[str, ...]:
    """The file as it is in common, as either bench leaves it, and with a third value."""
    if kind == "head":
        return (BASE, *(BASE.replace("events:", f"owner: {name}\nevents:") for name in ("alpha", "beta", "gamma")))
    if kind == "row":
        return (DATED, *(f"{DATED}  - {{since: 2020-01-01, value: {psi}}}\n" for psi in (10, 9, 8)))
    return (HOUSE, *(f"{HOUSE}  - {{initials: zz, name: {name}}}\n" for name in ("Z A", "Z B", "Z C")))


def _put(repo: Repo, kind: str, text: str, message: str) -> str:
    if kind == "head":
        repo.write(text)
    else:
        repo.house(text)
    return repo.commit(message)


@pytest.fixture(params=["head", "row", "crew"])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def bench(tmp_path: Path, kind: str) -> Repo:
    """A bench in the middle of a merge: what the server has is alpha, what it set itself is beta."""
    repo, server = ledger(tmp_path, name="bench"), tmp_path / "book.git"
    common, first, second, _ = _texts(kind)
    _put(repo, kind, common, "common")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(server)], check=True)
    assert caskbook("git", "install", "--server", str(server)).returncode == 0
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    repo.commit("installed")
    repo.git("remote", "add", "origin", str(server))
    _put(repo, kind, first, "alpha")
    repo.git("push", "-q", "--no-verify", "origin", "main")
    repo.git("reset", "-q", "--hard", "HEAD~1")
    _put(repo, kind, second, "beta")
    said = repo.git("merge", "origin/main", good=(1,))
    words = {"head": "`owner` is set to two values: beta or alpha\n", "row": "two values: {since: 2020-01-01, value: 9} or {since: 2020-01-01, value: 10}\n"}
    assert words.get(kind, "two values: {initials: zz, name: Z B} or {initials: zz, name: Z A}\n") in said
    return repo


def _decided(repo: Repo, kind: str, text: str) -> None:
    if kind == "head":
        repo.write(text)
    else:
        repo.house(text)
    repo.git("add", "-A")


def test_what_the_server_has_is_kept_and_lands(bench: Repo, kind: str) -> None:
    _decided(bench, kind, _texts(kind)[1])
    assert "landed-" not in bench.git("commit", "-qm", "decided")
    bench.git("push", "-q", "origin", "main")
    if kind == "head":
        assert caskbook("enter", "correct", "TH-004217", "--owner", "beta", "--why", "ours", "--by", "ab", "--yes", cwd=bench.top).returncode == 0
        bench.git("commit", "-qam", "beta it is")
        bench.git("push", "-q", "origin", "main")


@pytest.mark.parametrize("n", [2, 3])
def test_another_value_alters_what_landed(bench: Repo, kind: str, n: int) -> None:
    _decided(bench, kind, _texts(kind)[n])
    said = bench.git("commit", "-qm", "decided", good=(0, 1))
    assert kind != "head" or "landed-head-changed" in said
    bench.git("commit", "-qnm", "decided", good=(0, 1))
    assert "landed-" in bench.git("push", "--no-verify", "origin", "main", good=(1,))


def test_of_two_that_are_on_no_server_either_is_kept(tmp_path: Path, kind: str) -> None:
    repo = ledger(tmp_path)
    common, *texts = _texts(kind)
    base = _put(repo, kind, common, "common")
    assert caskbook("git", "install", cwd=repo.top).returncode == 0
    for n in range(2):
        repo.git("reset", "-q", "--hard", base)
        _put(repo, kind, texts[1 - n], "one")
        repo.git("branch", "-f", "one")
        repo.git("reset", "-q", "--hard", base)
        _put(repo, kind, texts[n], "other")
        repo.git("merge", "one", good=(1,))
        _decided(repo, kind, texts[0])
        assert "landed-" not in repo.git("commit", "-qm", "decided")
        assert "landed-" not in caskbook("check", "--since", base, cwd=repo.top).stdout


def test_what_a_merge_takes_from_a_side_that_never_set_it_is_altered(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    texts = _texts("head")
    base = _put(repo, "head", texts[1], "alpha")
    _put(repo, "head", texts[1].replace("psi: 11", "psi: 11\n    minutes: 5"), "one")
    repo.git("checkout", "-q", "-b", "side", base)
    _put(repo, "head", texts[2], "beta instead")
    repo.git("checkout", "-q", "main")
    repo.git("merge", "-q", "-X", "theirs", "-m", "merged", "side", good=(0, 1))
    assert "landed-head-changed" in caskbook("check", "--since", base, cwd=repo.top).stdout
