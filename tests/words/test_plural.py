"""A number with its noun."""

from __future__ import annotations

import pytest

from caskbook.words.plural import number_of, plural


@pytest.mark.parametrize(
    ("count", "noun", "said"),
    [(0, "cask", "0 casks"), (1, "cask", "1 cask"), (2, "stave", "2 staves"), (1, "entry", "1 entry"), (3, "entry", "3 entries"), (2, "day", "2 days")],
)
def test_a_number_with_its_noun(count: int, noun: str, said: str):
    assert number_of(count, noun) == said


def test_the_plurals_of_nouns_that_hiss():
    assert [plural(word) for word in ("hoop", "bush", "wedge")] == ["hoops", "bushes", "wedges"]
