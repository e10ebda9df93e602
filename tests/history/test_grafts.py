"""Grafts, in a bench or on the server, hide no commit from the hooks."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from history.ledgers import EXAMINED, RECEIVED, TESTED, cask, ledger

pytestmark = pytest.mark.thorough

PROGRAM = Path(sys.executable).with_name("caskbook")
BASE = cask(RECEIVED, EXAMINED, TESTED)


@pytest.mark.parametrize("where", ["bench", "server"])
def test_a_graft_hides_no_alteration_from_a_push(tmp_path: Path, where: str):
    bench = ledger(tmp_path)
    bench.write(BASE)
    book = bench.commit("book")
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(tmp_path / "book.git")], check=True)
    bench.git("remote", "add", "origin", str(tmp_path / "book.git"))
    bench.git("push", "-q", "origin", "main")
    bench.git("fetch", "-q", "origin")
    words = ["install", "--server", str(tmp_path / "book.git")] if where == "server" else ["install"]
    assert subprocess.run([str(PROGRAM), "git", *words], cwd=bench.top, check=False).returncode == 0
    bench.write(BASE.replace("psi: 11", "psi: 12"))
    bench.commit("altered")
    bench.write(BASE)
    back = bench.commit("put back")
    info = (tmp_path / "book.git" if where == "server" else bench.top / ".git") / "info"
    info.mkdir(exist_ok=True)
    (info / "grafts").write_text(f"{back} {book}\n")
    out = bench.git("push", "origin", "main", good=(1,))
    assert "landed-event-altered" in out and "put back by" in out
