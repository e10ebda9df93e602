"""A spirit in any of its spellings is one word: as it is stored, and where a file says it otherwise."""

from __future__ import annotations

from datetime import date

import pytest
from casks import HOUSE, ev, facts_on

from caskbook.entry.shorthand import prior
from caskbook.entry.terms import Terms, TypedError, spirit
from caskbook.model.house import House

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
