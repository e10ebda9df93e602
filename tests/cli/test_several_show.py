"""`show` of several ledgers: the cask in whichever ledger has it, all cards where several have, and the fault of each where none has."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from casks import ev
from commands import caskbook
from index.book import put_cask
from two_ledgers import DAY, Two, asked, rows, small, two_random


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Two:
    return two_random(tmp_path_factory.mktemp("random"))


def alone(root: Path, *words: str) -> str:
    return asked("show", *words, "--records", str(root))


def sound(two: Two, *names: str) -> str:
    """A cask told whole in all these ledgers, and in no other."""
    others = [name for name in two.facts if name not in names]
    return next(c for c in two.facts[names[0]] if all(two.facts[one].get(c) for one in names) and not any(c in two.facts[one] for one in others))


@pytest.mark.thorough
def test_a_cask_of_one_ledger_is_shown_under_its_name_as_that_ledger_shows_it(both: Two) -> None:
    cask = sound(both, "North")
    assert asked("show", cask, *both.words) == f"North\n{alone(both.north, cask)}"
    assert asked("show", cask[3:], *both.words) == f"North\n{alone(both.north, cask)}", "by its last figures too"


@pytest.mark.thorough
def test_a_number_of_two_ledgers_is_two_cards(both: Two) -> None:
    cask = sound(both, "North", "South-Side")
    done = caskbook("show", cask, *both.words, "--as-of", DAY)
    parts = [caskbook("show", cask, "--records", str(root), "--as-of", DAY) for root in (both.north, both.south)]
    assert done.stdout == f"North\n{parts[0].stdout}\nSouth-Side\n{parts[1].stdout}" and parts[0].stdout != parts[1].stdout
    assert done.returncode == max(part.returncode for part in parts)
    found = json.loads(caskbook("show", cask, "--format", "json", *both.words, "--as-of", DAY).stdout)
    assert [(one["ledger"], one["state"]) for one in found] == [(name, both.facts[name][cask]["state"]) for name in ("North", "South-Side")]


@pytest.mark.thorough
def test_json_is_a_list_also_of_one(both: Two) -> None:
    (one,) = rows("show", sound(both, "North"), *both.words)
    assert next(iter(one)) == "ledger" and one["ledger"] == "North"


@pytest.mark.thorough
def test_a_cask_of_no_ledger_is_told_with_the_names_of_all(both: Two) -> None:
    for word, said in (("TH-999999", "TH-999999 is not in the book"), ("99999", "no number of the book ends in 99999, and no old mark reads so")):
        done = caskbook("show", word, *both.words)
        assert (done.returncode, done.stdout) == (2, "") and done.stderr == f"caskbook: North: {said}; South-Side: {said}\n"


@pytest.mark.thorough
def test_a_picture_is_of_one_cask(both: Two) -> None:
    cask, one = sound(both, "North", "South-Side"), sound(both, "North")
    done = caskbook("show", cask, "--line", "--format", "svg", *both.words)
    assert (done.returncode, done.stdout) == (2, "") and "in 2 ledgers: North, South-Side; a picture is of one cask" in done.stderr
    assert asked("show", one, "--line", "--format", "svg", *both.words) == alone(both.north, one, "--line", "--format", "svg")


def test_a_file_that_cannot_be_read_is_told_beside_the_card_of_the_other_and_the_code_is_the_worst(tmp_path: Path) -> None:
    good, bad = small(tmp_path / "good", "Good"), small(tmp_path / "bad", "Bad")
    received = ev("2020-01-01", "receive", verdict="accept")
    put_cask(good, 1, received)
    put_cask(bad, 1, received).write_text("cask: [\n", encoding="utf-8")
    done = caskbook("show", "TH-001001", "--records", str(bad), "--records", str(good))
    assert done.returncode == 2 and done.stdout.startswith("Good\nTH-001001")
    assert done.stderr.startswith("caskbook: Bad: ") and f"caskbook check --records {bad} TH-001001" in done.stderr


def test_a_number_is_an_old_mark_only_where_no_ledger_has_it(tmp_path: Path) -> None:
    here, there = small(tmp_path / "a", "Here"), small(tmp_path / "b", "There")
    received = ev("2020-01-01", "receive", verdict="accept")
    put_cask(here, 1, received)
    put_cask(there, 2, received, was=["TH-001001", "TH-001009"])
    words = ("--records", str(here), "--records", str(there))
    assert asked("show", "TH-001001", *words).count("TH-001002") == 0
    done = caskbook("show", "TH-001009", *words, "--as-of", DAY)
    assert done.stdout.startswith("There\nTH-001002") and "There: TH-001009 is an old mark of TH-001002" in done.stderr
    listed = caskbook("list", "TH-001009", "TH-001001", *words, "--as-of", DAY, "--format", "csv", "--columns", "cask")
    assert listed.stdout.splitlines()[1:] == ["Here,TH-001001", "There,TH-001002"]


@pytest.mark.thorough
def test_a_cask_named_in_one_ledger_is_not_that_number_in_another(tmp_path: Path) -> None:
    here, there = small(tmp_path / "a", "Here"), small(tmp_path / "b", "There")
    received = ev("2020-01-01", "receive", verdict="accept")
    put_cask(here, 2, received, was=["X-9"])
    put_cask(there, 2, received)
    found = rows("list", "was:X-9", "--records", str(here), "--records", str(there))
    assert [(row["ledger"], row["cask"]) for row in found] == [("Here", "TH-001002")]
