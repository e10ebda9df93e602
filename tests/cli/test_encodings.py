"""The encoding of the machine's locale, or of its streams: data goes out in UTF-8, lines come in as UTF-8, and no letter is exchanged."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from cli.test_enter import at_terminal, finished
from entry.shop import CASK, Shop, days_ago
from history.ledgers import RECEIVED, ledger
from laws import others_thorough

from caskbook.cli.app import run

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept", "note": "Bôze – 20 °C"}
ASCII = {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
DATA = (
    ("list", "--columns", "cask,maker"),
    ("query", "SELECT cask, maker FROM cask"),
    ("query", "SELECT maker FROM cask", "jsonl"),
    ("show", CASK, "json"),
    ("due", "--all"),
    ("check",),
    ("report", "loss"),
    ("report", "loss", CASK, "json"),
)


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    made = Shop(tmp_path)
    for cask in (CASK, "TH-004218", "TH-004219"):
        made.put(CAME, cask=cask)
    path = made.path()
    path.write_text(path.read_text(encoding="utf-8").replace("format: 1\n", "format: 1\nmaker: Bèze\n", 1), encoding="utf-8")
    return made


def put_out(shop: Shop, encoding: str, *words: str) -> bytes:
    """The bytes on a standard output of this encoding, that takes what it lacks as the program's own does."""
    before, raw = sys.stdout, io.BytesIO()
    sys.stdout = io.TextIOWrapper(raw, encoding=encoding, errors="backslashreplace", write_through=True)
    try:
        run([*words, "--records", str(shop.root)])
        return raw.getvalue()
    finally:
        sys.stdout = before


@pytest.mark.thorough
@pytest.mark.parametrize("encoding", others_thorough(["ascii", "iso8859-1", "cp1252", "utf-16"], 1))
def test_data_is_utf8_whatever_the_encoding(shop: Shop, encoding: str) -> None:
    for words in DATA:
        *words_alone, last = words
        forms = (last,) if last in ("json", "jsonl") else ("json", "csv")
        for form in forms:
            line = [*(words_alone if last == form else words), "--format", form]
            if line[0] == "check" and form == "csv":
                continue
            assert put_out(shop, encoding, *line) == put_out(shop, "utf-8", *line), line
    assert "Bèze" in json.loads(put_out(shop, encoding, "list", "--columns", "maker", "--format", "json"))[0]["maker"]
    rows = csv.reader(put_out(shop, encoding, "list", "--columns", "cask,maker", "--format", "csv").decode("utf-8").splitlines())
    assert [CASK, "Bèze"] in list(rows)


def test_no_command_puts_data_out_otherwise() -> None:
    import caskbook

    for path in sorted((Path(caskbook.__file__).parent / "cli").rglob("*.py")):
        found = re.findall(r"\bwrite(?:_text)?\([^\n]*(?:_json|_csv|_jsonl|json\.dumps)\(.*", path.read_text(encoding="utf-8"))
        assert not found, f"{path}: data goes out by write_data"


def piped(shop: Shop, data: bytes, *words: str, **environ: str) -> subprocess.CompletedProcess[bytes]:
    """A process with these bytes on standard input."""
    env = {**os.environ, **environ}
    return subprocess.run([sys.executable, "-m", "caskbook", *words], cwd=shop.root.parent, env=env, input=data, capture_output=True, check=False)


def test_what_text_cannot_be_shown_is_written_as_its_number(shop: Shop) -> None:
    done = piped(shop, b"", "enter", "note", CASK, "--note", "Bèze", "--by", "ab", "--yes", PYTHONIOENCODING="ascii")
    assert done.returncode == 0 and b"note: B\\xe8ze" in done.stdout and shop.last()["note"] == "Bèze"


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "lines"),
    [
        (("bench", "--no-commit"), b"shift ab\nnote 4217 Bo\xcc\x82ze\nnote 4218 B\xf6den wet\nnote 4219 more\nend\n"),
        (("enter", "scan", "note", "--by", "ab"), b"4217 --note Bo\xcc\x82ze\n4218\xf6 --note x\n4219 --note more\n"),
    ],
)
def test_a_line_that_is_no_utf8_is_refused_alone(shop: Shop, words: tuple[str, ...], lines: bytes) -> None:
    for environ in ({"PYTHONIOENCODING": "utf-8:strict"}, {"PYTHONIOENCODING": "ascii"}, {"PYTHONIOENCODING": "iso8859-1"}):
        before = shop.path("TH-004218").read_bytes()
        done = piped(shop, lines, *words, **environ)
        assert done.returncode == 1 and b"not UTF-8: this line is not read" in done.stderr and b"1 " in done.stderr, done.stderr
        assert b"fault of the program" not in done.stderr
        assert shop.last()["note"] == "Bo\u0302ze" and shop.last("TH-004219")["note"] == "more"
        assert shop.path("TH-004218").read_bytes() == before


@pytest.mark.thorough
def test_an_answer_that_is_no_utf8_is_asked_again(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONIOENCODING", "utf-8:strict")
    child = at_terminal(shop, "enter", "note", CASK, "--note", "x")
    child.expect_exact("Write it? [Y/n] ")
    os.write(child.child_fd, b"\xf6\n")
    child.expect_exact("answer y or n")
    child.sendline("y")
    assert finished(child) == 0 and shop.last()["note"] == "x"


@pytest.mark.thorough
def test_git_is_told_utf8_whatever_the_encoding(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The message of a commit, and a book in a folder with a letter that the locale lacks."""
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    for key, value in ASCII.items():
        monkeypatch.setenv(key, value)
    repo = ledger(tmp_path / "büro", RECEIVED)
    repo.git("config", "i18n.commitEncoding", "iso8859-1")
    (repo.top / "day.csv").write_text("cask,job,note\n4217,note,hoop at 2″ – é\n", encoding="utf-8")
    words = ("enter", "sheet", "day.csv", "--by", "ab", "--date", "today", "--yes", "--commit")
    done = subprocess.run([sys.executable, "-m", "caskbook", *words], cwd=repo.top, capture_output=True, check=False)
    assert done.returncode == 0 and b"committed" in done.stderr, done.stderr
    raw = subprocess.run(["git", "cat-file", "commit", "HEAD"], cwd=repo.top, capture_output=True, check=True).stdout
    assert "note: hoop at 2″ – é".encode() in raw and b"iso8859-1" not in raw
    path = repo.path()
    path.write_text(path.read_text(encoding="utf-8").replace("capacity_l: 200", "capacity_l: 190"), encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "caskbook", "check", "--since", "HEAD"], cwd=repo.ledger, capture_output=True, check=False)
    assert done.returncode == 1 and b"landed-head-changed" in done.stdout, done
