"""The list of mutants fits the code; a run of one mutant tells that it is killed, and of one that changes nothing that it lives."""

from __future__ import annotations

from pathlib import Path

import pytest

from mutants import run
from mutants.mutants import Mutant, read_lists, start_programs
from mutants.run import CHECKOUT, fault_of, main

ROOMS = {"entry", "life", "due", "checks", "merge", "loss", "index", "gauging", "exchange", "paper", "pages", "cli", "stats", "work", "export", "demo"}


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


def test_tests_start_programs_where_a_module_they_import_does(tmp_path: Path) -> None:
    for name, text in {"a.py": "import json\n", "b.py": "from shop import c\n", "shop/c.py": "import deep\n", "deep.py": "subprocess.run([])\n"}.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert start_programs(["a.py", "b.py"], tmp_path) and not start_programs(["a.py"], tmp_path)
    (tmp_path / "shop/conftest.py").write_text("import sys\nsys.executable\n", encoding="utf-8")
    (tmp_path / "shop/d.py").write_text("", encoding="utf-8")
    assert start_programs(["shop/d.py"], tmp_path), "its folder's fixtures"


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
