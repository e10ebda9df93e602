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
    "against_itself.void_that_replaces": {"moved": WRITTEN},
    "putting_right.named_events": {"answers": KNOWN, "peg": KNOWN},
    "chronology.future": {"future": OWN},
    "chronology.order": {"": "an entry is put in its place"},
    "chronology.no_arrival": {"": FILE},
    "chronology.before_arrival": {"": FOLD},
    "people.signed": {"": OWN},
    "people.approved": {"release": OWN, "retire": OWN},
    "people.supplier": {"": HEAD},
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
    (("stave", CASK, "replace", "--staves", "4", "--from", "new", "--staves-after", "10"), "`staves_after` is 10: a barrel has 25 to 35 staves"),
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


@pytest.fixture
def full(shop: Shop) -> Shop:
    """A full cask to be topped, an empty one and one that is gone."""
    came = [{"date": days_ago(30), "job": "receive", "verdict": "accept"}, {"date": days_ago(29), "job": "examine", "verdict": "sound"}]
    fill = {"date": days_ago(28), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63, "at_20": True}
    shop.put(*came, fill, cask="TH-007001")
    shop.put(*came, fill, cask="TH-007004")
    shop.put(*came, cask="TH-007002")
    shop.put(*came, {"date": days_ago(9), "job": "dispose", "how": "sold"}, cask="TH-007003")
    return shop


TOP = ("top", "7001", "--litres", "3", "--abv", "62", "--at-20", "--oak-since", "2020-01-03", "--by", "ab", "--yes")


@pytest.mark.parametrize(("source", "line"), [
    ("TH-009999", "`from` is TH-009999: no cask of the book"),
    ("7002", "`from` is TH-007002: it was empty on"),
    ("7003", "`from` is TH-007003: it was gone on"),
])  # fmt: skip
def test_a_top_from_a_cask_that_had_nothing_is_asked_about(full: Shop, source: str, line: str) -> None:
    before = full.path("TH-007001").read_bytes()
    done = caskbook("enter", *TOP, "--from", source, "--records", str(full.root))
    assert done.returncode == 1 and line in done.stderr and full.path("TH-007001").read_bytes() == before, done.stderr
    done = caskbook("enter", *TOP, "--from", source, "--anyway", "--why", "so it was", "--records", str(full.root))
    assert done.returncode == 0 and full.last("TH-007001")["why"] == "so it was", done.stderr
    assert line in caskbook("check", "--records", str(full.root)).stdout


def test_a_look_of_an_examination_is_told_as_that(full: Shop) -> None:
    look = ("enter", "look", "7001", "dry", "--of", "e0000002", "--because", "took-up", "--by", "ab", "--yes", "--records", str(full.root))
    done = caskbook(*look)
    assert done.returncode == 1 and "`of` is the entry of another job (examine): expected a leak" in done.stderr, done.stderr
    assert full.last("TH-007001")["job"] == "fill"


@pytest.mark.parametrize("source", ["7004", "tank 7", "T-12"])
def test_a_top_from_a_full_cask_or_a_tank_is_taken(full: Shop, source: str) -> None:
    done = caskbook("enter", *TOP, "--from", source, "--records", str(full.root))
    assert done.returncode == 0 and full.codes("TH-007001") == [], done.stderr


def test_a_top_from_a_number_that_no_cask_ends_with_is_doubted(full: Shop) -> None:
    done = caskbook("enter", *TOP[:-1], "--from", "8888", "--records", str(full.root))
    assert done.returncode != 0 and "from 8888: no number of the book ends so" in done.stderr and full.last("TH-007001")["job"] == "fill", done.stderr
    assert caskbook("enter", *TOP, "--from", "8888", "--records", str(full.root)).returncode == 0
