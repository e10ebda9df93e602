"""`explain` answers the words a newcomer types: lists, jobs, types, states, places, fields; a wrong word names near ones."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

from caskbook.model.jobs import JOBS
from caskbook.words import CASK_TYPES, KINDS


@pytest.mark.parametrize(("word", "told"), [
    ("types", ["hogshead", "250 L", "225 to 305"]), ("barrel", ["a type of cask", "200 L", "173 to 210"]), ("butts", ["a type of cask"]),
    ("due", ["rechar", "Char again", "caskbook due", "caskbook explain RULE"]), ("due.retest", ["a due rule", "due.retest.off"]),
    ("due.nose.faint_again_until", ["well past after so many days since a faint nose"]), ("rules", ["rechar"]),
    ("jobs", ["receive", "rack"]), ("char", ["a job", "caskbook enter char --help"]), ("rack", ["a job"]), ("air test", ["a job", "test"]),
    ("states", ["untested", "ready", "gone"]), ("untested", ["a state"]), ("places", ["head-A-joint-2", "hoop-A-1"]),
    ("joint-4", ["a place on a cask"]), ("defects", ["joint-leak", "loose-hoop"]), ("musty", ["fault of a nose", "mould"]),
    ("psi", ["a field of", "test"]), ("settings", ["test_valid_days"]), ("findings", ["fire-on-closed-cask"]),
    ("nose", ["a due rule", "a job"]), ("tight", ["result of a test", "pass"]), ("pipe", ["a port pipe, a madeira drum"]), ("fills_since_char", ["a column of"]),
])  # fmt: skip
def test_a_word_of_the_trade_is_explained(word: str, told: list[str]) -> None:
    done = caskbook("explain", word)
    assert done.returncode == 0, done.stderr
    for text in told:
        assert text in done.stdout, done.stdout
    assert all(len(line) <= 90 for line in done.stdout.splitlines())


def test_a_key_that_some_readers_take_for_a_no_is_told_with_its_quotes(tmp_path: Path) -> None:
    for word in ("due.rechar.off", "due.rechar", "rechar"):
        assert "'off'" in caskbook("explain", word).stdout
    house = tmp_path / "house.yaml"
    for key, told in (("'off'", 0), ("off", 1)):
        house.write_text(f"name: North House\ntimezone: UTC\ncrew:\n  - {{initials: ab}}\ndue:\n  rechar:\n    {key}: true\n", encoding="utf-8")
        assert caskbook("check", "--records", str(tmp_path)).stdout.count("  ambiguous-word") == told


@pytest.mark.thorough
def test_every_word_of_every_list_is_explained() -> None:
    for word in (*JOBS, *CASK_TYPES, *(word for kind in KINDS.values() for word in kind.words)):
        assert caskbook("explain", word).returncode == 0, word


@pytest.mark.parametrize(
    ("word", "near"), [("tipes", "types"), ("barel", "barrel"), ("chr", "char"), ("untestd", "untested"), ("hogshed", "hogshead"), ("rechr", "rechar")]
)
def test_a_slip_names_the_nearest_and_fails(word: str, near: str) -> None:
    done = caskbook("explain", word)
    assert done.returncode == 2 and "did you mean" in done.stderr and near in done.stderr


def test_a_word_that_is_nothing_fails_and_says_what_there_is() -> None:
    done = subprocess.run([sys.executable, "-m", "caskbook", "explain", "xyzzy"], capture_output=True, text=True, check=False)
    assert done.returncode == 2 and "types, states, places, jobs, due" in done.stderr and len(done.stderr.splitlines()) == 1


def test_the_states_explained_are_those_that_list_takes() -> None:
    from caskbook.cli.commands.list import STATES

    told = caskbook("explain", "states").stdout
    assert [line.split()[0] for line in told.splitlines() if line.startswith("  ")] == list(STATES)


@pytest.mark.parametrize(
    "word,said",
    [
        ("c", "leaked at joint-4, was driven, and passed"), ("p", "pass   a result of a test"), ("j3", "joint-3   a place on a cask"),
        ("cA14", "croze-A-14   a place on a cask"), ("numbers", "its last figures"), ("next", "the next free numbers"), ("old mark", "was:HJ-4421"),
        ("bench", "takes back the last line"), ("shift", "who works, for which day"),
    ],
)  # fmt: skip
def test_what_is_typed_in_short_is_explained(word: str, said: str) -> None:
    ran = caskbook("explain", word)
    assert ran.returncode == 0 and said in ran.stdout
