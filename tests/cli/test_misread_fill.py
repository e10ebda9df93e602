"""A fill of which a gauge is likelier misread than true is in doubt wherever its loss is shown, and in no sum."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import SHIPPED, answer, copied, without_index

pytestmark = pytest.mark.thorough

DAY = "2026-11-28"
CASK = "TH-003370"
MISREAD = "gauge likely misread"


def entered(root: Path, *words: str) -> None:
    done = caskbook("enter", *words, "--by", "ab", "--yes", "--anyway", "--why", "tried", "--records", str(root))
    assert done.returncode == 0, done.stderr


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped book, in which 180.6 L were gauged last, and US gallons are now written as litres."""
    root = copied(SHIPPED, tmp_path_factory.mktemp("misread") / "book")
    answer(root, "list", day=DAY)  # so that what is entered is put into an answer there is
    entered(root, "regauge", CASK, "--litres", "47.7", "--abv", "63.1", "--temp", "12", "--method", "meter", "--date", DAY)
    return root


def data(root: Path, *words: str) -> Any:
    return json.loads(answer(root, *words, "--format", "json", day=DAY)[1])


def doubts(root: Path) -> dict[str, Any]:
    """What each way of asking says of the fill's doubt."""
    card = data(root, "show", CASK)["loss"]
    (row,) = data(root, "list", CASK, "--columns", "loss_doubt")
    fills = data(root, "query", f"select event, loss_doubt from fill where cask = '{CASK}' and loss_doubt is not null")
    told = data(root, "report", "loss", CASK, "--by", "fill")["doubtful"]
    return {"show": card["doubt"], "list": row["loss_doubt"], "query": [one["loss_doubt"] for one in fills], "report": [one["doubt"] for one in told]}


EVERYWHERE = {"show": MISREAD, "list": MISREAD, "query": [MISREAD], "report": [MISREAD]}


@pytest.mark.thorough
def test_every_way_of_asking_calls_it_doubtful(book: Path) -> None:
    assert doubts(book) == EVERYWHERE
    with without_index():
        assert doubts(book) == EVERYWHERE
    card = data(book, "show", CASK)["loss"]
    assert (card["doubtful"], card["verdict"]) == (True, "doubtful")
    assert f"doubtful: {MISREAD}, {DAY}" in " ".join(answer(book, "show", CASK, day=DAY)[1].split())


@pytest.mark.thorough
def test_fills_without_doubt_add_up_to_the_report(book: Path) -> None:
    (row,) = data(book, "query", "select round(sum(loss_lpa), 2) as lpa from fill where loss_doubt is null")
    assert row["lpa"] == data(book, "report", "loss")["total"]["lpa"]


@pytest.mark.thorough
def test_the_day_before_it_there_is_no_doubt(book: Path) -> None:
    rows = json.loads(answer(book, "list", CASK, "--columns", "loss_doubt", "--format", "json", day="2026-11-27")[1])
    assert rows == [{"loss_doubt": None}]


def test_the_absence_of_the_cask_does_not_take_the_doubt_away(book: Path, tmp_path: Path) -> None:
    """The rule `loss` is not asked of a cask that is not here; its fill is in no sum all the same."""
    root = copied(book, tmp_path / "book")
    entered(root, "missing", CASK, "--date", DAY)
    assert doubts(root) == EVERYWHERE


@pytest.mark.thorough
def test_a_fill_that_ended_with_it_is_in_doubt_and_the_next_is_not(tmp_path: Path) -> None:
    root = copied(SHIPPED, tmp_path / "book")
    entered(root, "empty", CASK, "--litres", "47.7", "--abv", "63.1", "--temp", "12", "--date", DAY)
    assert doubts(root) == EVERYWHERE
    entered(root, "fill", CASK, "--spirit", "malt", "--litres", "195", "--abv", "63.5", "--temp", "12", "--date", DAY)
    assert doubts(root) == {**EVERYWHERE, "show": None, "list": None}
