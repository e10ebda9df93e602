"""A filter that no cask fits: the nearest word that the book has is named, where one is near."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook
from index.book import DAY, make_demo

from caskbook.cli.nearest_filter import near_among

KNOWN = {"store": {"racked three", "racked four", None}, "supplier": {"northquay"}}


@pytest.mark.parametrize(
    ("filters", "near"),
    [
        ({"store": ["racked thre"]}, [("store", "racked three")]), ({"store": ["Racked Four"]}, [("store", "racked four")]),
        ({"store": ["racked three"], "supplier": ["nortquay"]}, [("supplier", "northquay")]), ({"store": ["yard"]}, []),
        ({"store": ["racked three"]}, []), ({"parcel": ["racked thre"]}, []),
    ],
)  # fmt: skip
def test_only_a_near_word_of_the_same_filter_is_meant(filters: dict[str, list[str]], near: list[tuple[str, str]]) -> None:
    assert near_among(KNOWN, filters) == near


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_demo(tmp_path_factory.mktemp("demo") / "book", 120)


COMMANDS = (("list",), ("due",), ("report", "stock"), ("report", "loss"), ("labels", "--save", "x.pdf"), ("sheet", "--for", "test"))


@pytest.mark.thorough
@pytest.mark.parametrize("command", COMMANDS, ids=lambda words: " ".join(words[:2]))
def test_every_command_that_filters_hints(demo: Path, command: tuple[str, ...]) -> None:
    done = caskbook(*command, "--store", "racked thre", "--records", str(demo))
    assert "no cask here fits --store racked thre; did you mean racked three?" in " ".join(done.stderr.split())


@pytest.mark.thorough
@pytest.mark.parametrize("command", [("list",), ("due",), ("report", "stock")], ids=" ".join)
def test_spirits_and_suppliers_are_hinted_together_and_what_is_near_to_nothing_is_not(demo: Path, command: tuple[str, ...]) -> None:
    where = ("--records", str(demo), "--as-of", DAY)
    done = caskbook(*command, "--supplier", "nortquay", "--spirit", "mallt", *where)
    assert "did you mean --supplier northquay --spirit malt?" in " ".join(done.stderr.split())
    assert "did you mean" not in caskbook(*command, "--store", "xyzzy", *where).stderr


@pytest.mark.thorough
def test_a_state_is_hinted_out_of_those_there_are(demo: Path) -> None:
    done = caskbook("list", "--state", "filed", "--records", str(demo))
    assert done.returncode == 2 and "did you mean filled?" in done.stderr


@pytest.mark.thorough
def test_words_that_casks_have_but_not_together_are_not_hinted(demo: Path) -> None:
    done = caskbook("list", "--store", "racked three", "--where", "0", "--records", str(demo), "--as-of", DAY)
    assert "did you mean" not in done.stderr and "0 casks" in done.stdout
