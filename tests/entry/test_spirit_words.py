"""A spirit in any of its spellings is one word: as it is stored, and where a file says it otherwise."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from casks import HOUSE, ev, facts_on
from commands import caskbook

from caskbook.entry.shorthand import prior
from caskbook.entry.terms import Terms, TypedError, spirit
from caskbook.exchange.liquors import liquor
from caskbook.exchange.states import state_word
from caskbook.model.house import House
from caskbook.words import canonical

SETTINGS = HOUSE.on(date(2025, 1, 1))


@pytest.mark.parametrize(
    ("typed", "stored"),
    [
        ("whisky", "whisky"), ("Whiskey", "whisky"), ("whiskies", "whisky"), ("Single Malt", "malt"), ("malt-whisky", "malt"), ("malts", "malt"),
        ("grain whisky", "grain"), ("bourbon whiskey", "bourbon"), ("Rye Whiskey", "rye"), ("pear eau de vie", "pear-eau-de-vie"),
    ],
)  # fmt: skip
def test_one_canonical_word_is_stored(typed: str, stored: str) -> None:
    assert spirit(typed, SETTINGS) == stored
    assert [one["contents"] for one in prior(f"{typed} 2", Terms(SETTINGS, date(2025, 1, 1)))] == [stored]


def test_a_word_of_the_house_stays_as_the_house_spells_it() -> None:
    house = House({**HOUSE.raw, "class_of_spirit": ["single-malt"]}).on(date(2025, 1, 1))
    assert spirit("Single Malt", house) == "single-malt" and spirit("malt", house) == "malt"
    with pytest.raises(TypedError):
        spirit("§", house)


@pytest.mark.parametrize(("held", "of_class"), [("whiskey", 2), ("single-malt", 2), ("whisky", 2), ("bourbon", 0), ("bourbon-whiskey", 0), ("rum", 0)])
def test_fills_of_the_class_count_what_a_file_spells_otherwise(held: str, of_class: int) -> None:
    received = ev("2020-01-01", "receive", verdict="accept")
    assert facts_on("2021-01-01", received, prior=[{"contents": held, "fills": 2}]).fills_of_class == of_class


@pytest.mark.parametrize(
    ("typed", "near"), [("mlat", "malt"), ("burbon", "bourbon"), ("olorosso", "oloroso"), ("malt", None), ("tawny port", None), ("perry", None)]
)
def test_a_slip_of_a_spirit_is_asked_about(typed: str, near: str | None) -> None:
    assert SETTINGS.nearest_spirit(typed) == near


@pytest.mark.parametrize("typed", ["virgin", "Virgin Oak", "new oak", "never filled"])
def test_what_held_nothing_held_no_liquor_of_that_name(typed: str) -> None:
    terms = Terms(SETTINGS, date(2025, 1, 1))
    assert prior(typed, terms) == []
    with pytest.raises(TypedError, match="`virgin` alone"):
        prior(f"bourbon 2; {typed} 1", terms)


@pytest.mark.parametrize("word", ["virgin", "Virgin Oak", "virgin wood", "new", "new oak", "new-wood", "never filled"])
def test_typed_or_in_a_register_the_same_words_say_that_it_held_nothing(word: str) -> None:
    assert prior(word, Terms(SETTINGS, date(2025, 1, 1))) == [] and liquor(word, (), (), before=True) == "virgin" and canonical("fill", word) == "virgin"


def test_none_may_be_that_nobody_noted_it() -> None:
    assert liquor("nothing", (), (), before=True) == "virgin" and liquor("none", (), ()) == "empty"
    with pytest.raises(ValueError, match="did it never hold anything, or is nothing known of it"):
        liquor("none", (), (), before=True)
    assert prior("none", Terms(SETTINGS, date(2025, 1, 1))) != []


@pytest.mark.parametrize(("typed", "near"), [("mlat", "malt"), ("burbon", "bourbon"), ("olorosso", "oloroso"), ("geneever", "geneever-2"), ("perrry", None)])
def test_the_nearest_liquor_is_the_same_typed_and_in_a_register(typed: str, near: str | None) -> None:
    own = House({**HOUSE.raw, "class_of_spirit": ["malt", "geneever-2"]}).on(date(2025, 1, 1))
    assert own.nearest_spirit(typed) == near
    for reading in (lambda: liquor(typed, ("malt", "geneever-2"), ()), lambda: state_word(typed, ("malt", "geneever-2"), ())):
        with pytest.raises(ValueError) as told:
            reading()
        assert (f"did you mean {near}?" in str(told.value)) is (near is not None), told.value


def test_the_question_is_put_before_it_is_written() -> None:
    ran = caskbook(
        *[
            "enter",
            "fill",
            "TH-004390",
            "--spirit",
            "mlat",
            "--litres",
            "300",
            "--abv",
            "63",
            "--temp",
            "15",
            "--by",
            "ab",
            "--anyway",
            "--why",
            "trial",
            "--dry-run",
        ]
    )
    assert "mlat: no spirit or wine that is known: did you mean malt?" in ran.stdout + ran.stderr


@pytest.mark.parametrize(
    ("held", "wine"),
    [
        ("sherry-butt", True), ("sherry-seasoned", True), ("port-pipe", True), ("wine-cask", True), ("manzanilla", True), ("palo-cortado", True),
        ("tawny-port-pipe", True), ("bourbon-barrel", False), ("barley-wine", False), ("sherry-cask-whisky", False), ("butt", False),
    ],
)  # fmt: skip
def test_a_wine_is_known_whatever_cask_it_is_said_to_have_lain_in(held: str, wine: bool) -> None:
    received = ev("2020-01-01", "receive", verdict="accept")
    assert facts_on("2021-01-01", received, prior=[{"contents": held, "fills": 1}]).wine_held is wine


def test_a_spirit_is_known_whatever_cask_it_is_said_to_have_lain_in() -> None:
    assert spirit("Bourbon barrel", SETTINGS) == "bourbon" and spirit("single malt hogshead", SETTINGS) == "malt"


def book_of_one(root: Path) -> None:
    (root / "house.yaml").write_text("timezone: UTC\ncrew: [{initials: ab}]\n")
    (root / "casks" / "TH-004").mkdir(parents=True)
    head = "cask: TH-004217\nformat: 1\ntype: barrel\nstaves: 31\nheads: [5, 5]\nevents:\n"
    (root / "casks" / "TH-004" / "TH-004217.yaml").write_text(f"{head}  - {{id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}}\n")


ROADS = (
    ("enter", "receive", "TH-004218", "--type", "barrel", "--verdict", "accept", "--by", "ab"),
    ("enter", "correct", "TH-004217", "--why", "papers came", "--by", "ab"),
)


@pytest.mark.thorough
@pytest.mark.parametrize("road", ROADS, ids=lambda words: words[1])
@pytest.mark.parametrize(
    ("typed", "near"), [("sherrry 1", "sherry"), ("madiera 1", "madeira"), ("vino 1", "wine"), ("bourbon 1; sherrry butt 1", "sherry"), ("sherry 1", "")]
)
def test_a_slip_of_what_a_cask_held_is_asked_about(tmp_path: Path, road: tuple[str, ...], typed: str, near: str) -> None:
    book_of_one(tmp_path)
    held = {path: path.read_bytes() for path in (tmp_path / "casks").rglob("*.yaml")}
    done = caskbook(*road, "--prior", typed, cwd=tmp_path)
    if not near:
        assert done.returncode == 0, done.stderr
        return
    assert done.returncode != 0 and f"no spirit or wine that is known: did you mean {near}?" in done.stdout + done.stderr, done.stdout + done.stderr
    assert {path: path.read_bytes() for path in (tmp_path / "casks").rglob("*.yaml")} == held
    assert caskbook(*road, "--prior", typed, "--yes", cwd=tmp_path).returncode == 0, "a yes answers it"


@pytest.mark.thorough
@pytest.mark.parametrize("typed", ["bourbon -1", "bourbon +1", "bourbon 1.5", "bourbon1", "-1"])
def test_what_is_no_word_and_no_count_is_refused(tmp_path: Path, typed: str) -> None:
    book_of_one(tmp_path)
    done = caskbook(*ROADS[0], f"--prior={typed}", "--yes", cwd=tmp_path)
    assert done.returncode != 0 and "is not CONTENTS FILLS [emptied]: as bourbon 1 2015-01" in done.stdout + done.stderr, done.stdout + done.stderr
    assert not (tmp_path / "casks" / "TH-004" / "TH-004218.yaml").exists()
