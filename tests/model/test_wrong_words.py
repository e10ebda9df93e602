"""A word that is written otherwise than words are: what is told shows how it is written."""

from __future__ import annotations

import pytest
from casks import cask_data, ev

from caskbook.core.finding import Fault
from caskbook.model.cask import read_cask


def faults_of(spirit: str) -> list[Fault]:
    return list(
        read_cask(cask_data(ev("2020-01-01", "receive", verdict="accept"), ev("2020-02-01", "fill", spirit=spirit, litres=190, abv=63.5, temp_c=12)))[1]
    )


@pytest.mark.parametrize(("spirit", "word"), [("Malt", "malt"), ("Peated  MALT", "peated-malt"), ("Maçon", ""), ("-", "")])
def test_a_word_in_capitals_or_of_several_is_told_as_it_is_written(spirit: str, word: str) -> None:
    (fault,) = faults_of(spirit)
    assert fault.code == "wrong-form" and "expected small letters and figures" in fault.message
    assert fault.help == (f"write `{word}`" if word else "write small letters and figures, with - between words")
    assert not word or not faults_of(word)


def test_a_word_that_is_too_long_says_how_long_it_may_be() -> None:
    (fault,) = faults_of("m" * 61)
    assert "expected string should have at most 60 characters" in fault.message


@pytest.mark.parametrize("name", ["ew2la8ph", "EW20A8PH"])
def test_an_event_id_is_told_by_the_letters_that_it_has_not(name: str) -> None:
    (fault,) = read_cask(cask_data({**ev("2020-01-01", "receive", verdict="accept"), "id": name}))[1]
    assert fault.code == "bad-event-id" and fault.message.endswith("expected 8 or more of 0-9 and a-z, without i l o u")
