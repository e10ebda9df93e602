"""What `check` tells of an entry, `enter` tells before it is written: a job that a rule is asked on is judged at entry, or told otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from entry.shop import CASK, Shop, days_ago

from caskbook.checks.registry import RULES
from caskbook.checks.rule import Rule
from caskbook.words.job_table import jobs_with

TYPED = "enter takes no other word"
KNOWN = "enter refuses an id that the cask has not"
WRITTEN = "the command that writes it writes what it names, with the day of today"
FOLD = "the fold, which judges every entry, refuses it or tells it"
OWN = "enter tells it in words of its own, and asks"
FILE = "of the file or its head, which an entry to it leaves as it is"
CHANGED = "only void, moved and `replaces` bring it, and what they name is looked up first"
HEAD = "of an arrival, a measure or a correction, which are judged"
#: function of a rule → job, key of a file or "" (asked on every file) that is not judged at entry → how the cooper is told all the same
EXCEPTIONS: dict[str, dict[str, str]] = {
    **{f"identity.{name}": {"": FILE} for name in ("file_name", "folder", "house_number", "key_order", "event_ids")},
    "putting_right.targets": {"moved": WRITTEN, "replaces": CHANGED},
    "putting_right.circles": {"moved": WRITTEN, "replaces": CHANGED},
    "putting_right.rivals": {"moved": WRITTEN, "replaces": CHANGED},
    "putting_right.twice": {"moved": WRITTEN, "replaces": CHANGED},
    "putting_right.reasons": {"replaces": OWN},
    "putting_right.early_voids": {"moved": WRITTEN},
    "putting_right.named_events": {"answers": KNOWN, "drive": KNOWN, "look": KNOWN, "peg": KNOWN},
    "chronology.future": {"future": OWN},
    "chronology.order": {"": "an entry is put in its place"},
    "chronology.no_arrival": {"": FILE},
    "chronology.before_arrival": {"": FOLD},
    "people.signed": {"": OWN},
    "likely.figures": {"": OWN},
    "likely.capacity": {"": HEAD},
    "likely.parts": {"": HEAD},
    "likely.words": {"examine": TYPED, "test": TYPED},
    "likely.twice": {"": OWN},
    **{f"law.{name}": {"laws": HEAD} for name in ("size", "wood")},
    "law.new_oak": {"laws": "of a head or a fill, which are judged"},
    "twins.moved": {"moved": WRITTEN},
    "twins.copied": {"moved_from": WRITTEN},
}
TESTED = "zz000001"  # An id of a late minute: nobody can say that it was there before its day.
TELLING = [rule for rule in RULES if set(rule.codes.values()) - {"note"}]


def name_of(rule: Rule) -> str:
    return f"{rule.function.__module__.split('.')[-1]}.{rule.function.__name__}"


@pytest.mark.parametrize("rule", TELLING, ids=name_of)
def test_a_job_with_a_warning_or_an_error_is_judged_at_entry_or_told_otherwise(rule: Rule) -> None:
    silent = set(rule.on or [""]) - set(jobs_with("judged-at-entry"))
    excepted = set(EXCEPTIONS.get(name_of(rule), {}))
    assert silent <= excepted, "give the job the trait judged-at-entry, or say here how enter tells it"
    assert excepted <= silent, "it is judged at entry, or no rule is asked on it: take it out of EXCEPTIONS"


def test_the_exceptions_are_of_rules_that_there_are() -> None:
    assert set(EXCEPTIONS) <= {name_of(rule) for rule in TELLING}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = Shop(tmp_path)
    shop.put(
        {"date": days_ago(30), "job": "receive", "verdict": "accept"},
        {"id": TESTED, "date": days_ago(5), "job": "test", "psi": 9, "result": "pass"},
    )
    return shop


@pytest.mark.parametrize(("words", "line"), [
    (("examine", CASK, "repair", "--findings", "stave-3 crackd"), "is no defect"),
    (("nose", CASK, "fault", "--faults", "odd"), "is no fault of a nose"),
    (("peg", CASK, "spile", "--at", "stave-3", "--closes", "e0000009"), "has no entry e0000009"),
    (("note", CASK, "--note", "x", "--answers", "e0000009"), "has no entry e0000009"),
    (("note", CASK, "--note", "x", "--date", str(days_ago(60))), "before the cask came"),
    (("note", CASK, "--note", "x", "--replaces", TESTED), "why"),
    (("note", CASK, "--note", "x", "--date", str(days_ago(-3))), "lies ahead"),
    (("note", CASK, "--note", "x", "--by", "zz"), "zz is not of the crew"),
    (("examine", CASK, "sound", "--stave-mm", "3"), "10 to 50 is usual"),
    (("nose", CASK, "clean", "--faults", "musty"), "`verdict` is clean, `faults` are musty"),
    (("measure", CASK), "nothing is measured"),
    (("grade", CASK, "A", "--of", TESTED), "`of` is a test: expected a fill"),
])  # fmt: skip
def test_what_the_check_would_tell_is_told_and_not_written(shop: Shop, words: tuple[str, ...], line: str) -> None:
    before = shop.path().read_bytes()
    by = () if "--by" in words else ("--by", "ab")
    done = caskbook("enter", *words, *by, "--yes", "--records", str(shop.root))
    assert done.returncode in (1, 2) and line in done.stderr + done.stdout, done.stderr + done.stdout
    assert shop.path().read_bytes() == before


def test_a_void_dated_before_its_target_is_told_as_check_tells_it(shop: Shop) -> None:
    words = ("void", CASK, "--of", TESTED, "--why", "wrong cask", "--date", str(days_ago(9)), "--by", "ab", "--yes", "--records", str(shop.root))
    done = caskbook("enter", *words)
    assert "void-before-its-target" in done.stderr and "the test it takes out is of" in done.stderr, done.stderr + done.stdout
    assert "void-before-its-target" in caskbook("check", "--records", str(shop.root)).stdout
