"""Which numbers a book has, by the names of its files."""

from __future__ import annotations

import pickle

import pytest

from caskbook.checks.book_numbers import BookNumbers

FILES = ("casks/TH-004/TH-004217.yaml", "casks/TH-004/TH-005001.yaml", "casks/x/.yaml", "casks/TH-1000/TH-1000000.yaml")


@pytest.mark.parametrize(
    ("number", "there"),
    [
        ("TH-004217", True),
        ("TH-005001", True),  # It lies in the folder of others, and is known all the same.
        ("TH-1000000", True),
        ("TH-005002", False),
        ("TH-004", False),
        ("", False),
        ("casks/TH-004/TH-004217.yaml", False),
        ("TH-004217.yaml", False),
    ],
)
def test_a_number_is_known_by_the_name_of_its_file(number: str, there: bool) -> None:
    numbers = BookNumbers.of(FILES)
    assert (number in numbers) is there
    assert (number in pickle.loads(pickle.dumps(numbers))) is there
