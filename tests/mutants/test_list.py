"""The list of mutants fits the code; a run of one mutant tells that it is killed, and of one that changes nothing that it lives."""

from __future__ import annotations

from pathlib import Path

import pytest

from mutants import run
from mutants.mutants import Mutant, read_lists
from mutants.run import CHECKOUT, fault_of, main

ROOMS = {
    "entry",
    "life",
    "due",
    "checks",
    "merge",
    "loss",
    "index",
    "gauging",
    "exchange",
    "paper",
    "pages",
    "cli",
    "stats",
    "work",
    "export",
    "demo",
    "ledger",
}


def test_every_mutant_fits_the_code() -> None:
    assert [f"{one.name}: {fault}" for one in read_lists() if (fault := fault_of(one, CHECKOUT))] == []


def test_a_name_that_stands_for_no_tests_is_told_with_those_there_are(tmp_path: Path) -> None:
    row = '[tests]\nrules = ["a.py"]\n[[mutant]]\nname = "one"\nfile = "b.py"\nold = "1"\nnew = "2"\ntests = "checks/test_b.py"\n'
    (tmp_path / "checks.toml").write_text(row, encoding="utf-8")
    with pytest.raises(AssertionError, match=r"checks\.toml: one: .* names under \[tests\] .*: rules"):
        read_lists(tmp_path)


def test_there_are_enough_of_every_room_and_no_name_stands_twice() -> None:
    mutants = read_lists()
    names = [one.name for one in mutants]
    assert len(mutants) >= 150 and len(set(names)) == len(names)
    assert {one.room for one in mutants} == ROOMS
    places = [(one.file, one.old, one.new) for one in mutants]
    assert len(set(places)) == len(places)


def test_the_help_names_the_room_of_every_list(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    said = capsys.readouterr().out.replace(",", " ").split()
    assert not ROOMS - set(said)


def test_no_bytecode_of_one_mutant_is_taken_for_another(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Python knows it by the length of the source and the second of its change."""
    source = tmp_path / "caskbook/one.py"
    source.parent.mkdir()
    source.write_text("1\n", encoding="utf-8")
    seen = [int(source.stat().st_mtime)]
    monkeypatch.setattr(run, "tested", lambda *_: (seen.append(int(source.stat().st_mtime)), source.read_text(encoding="utf-8")))
    texts = [run.tried(Mutant("room", new, "one.py", "1", new, ()), tmp_path, 1)[1] for new in "23"]
    assert texts == ["2\n", "3\n"] and source.read_text(encoding="utf-8") == "1\n"
    assert len({*seen, int(source.stat().st_mtime)}) == 3 == len(seen) and seen[0] == int(source.stat().st_mtime)
