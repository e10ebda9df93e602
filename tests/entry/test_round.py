"""A walk along a row held against the book: whatever is seen in whatever order, each cask is told once and the counts close."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.entry.round import Compared, Known, Row, Scan, compare
from caskbook.entry.round_steps import steps

ROW = Row(("W1/05",), {"W1": "warehouse 1", "Y": "yard"})


def number(n: int) -> str:
    return f"TH-{7000 + n:06d}"


def here(n: int, berth: str | None = None, **other: str) -> Known:
    return Known(number(n), berth or f"W1/05/{n}", "barrel", other.get("state", "filled"), other.get("whereabouts", "here"))


BOOK = {one.cask: one for one in (here(n) for n in range(1, 9))}


def walk(*seen: int | tuple[int, int], more: tuple[Known, ...] = (), row: Row = ROW) -> Compared:
    scans = [Scan(number(one)) if isinstance(one, int) else Scan(number(one[0]), f"W1/05/{one[1]}") for one in seen]
    return compare(row, scans, {**BOOK, **{one.cask: one for one in more}})


def told(found: Compared, what: str) -> list[str]:
    return [one.cask for one in found.told if one.what == what]


def test_of_a_row_in_which_nobody_was_seen_nothing_is_proposed() -> None:
    assert len(told(walk(), "missing")) == 8 and not list(steps(walk()))


def test_a_row_as_the_book_has_it_agrees_up_and_down() -> None:
    for found in (walk(*range(1, 9)), walk(*range(8, 0, -1))):
        assert found.agrees and found.in_book == 8 and not list(steps(found)) and found.ordered


@pytest.mark.parametrize(
    ("seen", "stray", "between", "at"),
    [
        ((1, 2, 7, 3, 4, 5, 6, 8), 7, ("W1/05/2", "W1/05/3"), None),
        ((1, 3, 4, 5, 2, 6, 7, 8), 2, ("W1/05/5", "W1/05/6"), None),
        ((8, 7, 6, 2, 5, 4, 3, 1), 2, ("W1/05/6", "W1/05/5"), None),
        ((1, 2, 8, 4, 5, 6, 7), 8, ("W1/05/2", "W1/05/4"), "W1/05/3"),
    ],
)
def test_one_out_of_order_is_told_with_those_beside_it(seen: tuple[int, ...], stray: int, between: tuple[str, str], at: str | None) -> None:
    found = walk(*seen)
    (one,) = found.of("other-berth")
    assert (one.cask, one.between, one.seen_at) == (number(stray), between, at)


def test_a_place_that_was_said_stands_before_the_order() -> None:
    found = walk((1, 2), (2, 1), 3, 4)
    assert [(one.cask, one.seen_at) for one in found.of("other-berth")] == [(number(1), "W1/05/2"), (number(2), "W1/05/1")]
    move, missing = steps(found)
    assert move.line == f"caskbook enter move {number(1)},{number(2)} --berth W1/05/2,W1/05/1"
    assert missing.line == "caskbook enter missing " + ",".join(map(number, range(5, 9)))


def test_two_of_three_in_order_say_which_one_is_not_and_fewer_say_nothing() -> None:
    assert told(walk(1, 5, 2), "other-berth") and walk(1, 5, 2).ordered
    none = walk(2, 4, 1, 3)
    assert not none.ordered and not told(none, "other-berth") and len(told(none, "in-place")) == 4
    assert not told(walk(2, 1), "other-berth")


def test_nobody_is_placed_where_a_cask_of_that_berth_was_seen_unplaced() -> None:
    stranger = Known(number(90), "W1/03/3", "butt", "filled", "here")
    sure = walk(1, 2, 90, 4, 5, more=(stranger,))
    assert [one.seen_at for one in sure.of("elsewhere")] == ["W1/05/3"] and next(steps(sure)).certain
    unsure = walk(1, 3, 2, 90, 4, 5, 6, more=(stranger,))
    assert [one.seen_at for one in unsure.of("elsewhere")] == [None]
    assert all(not step.certain for step in steps(unsure) if step.job == "move")
    beside = walk(1, 2, 90, 91, 4, more=(stranger, Known(number(91), None, "butt", "filled", "here")))
    assert [one.seen_at for one in beside.of("elsewhere")] == [None, None], "two between two: nobody knows which"


def test_whatever_the_book_says_of_it_is_told() -> None:
    more = (
        Known(number(20), None, "barrel", "gone", "here"),
        Known(number(21), None, "barrel", "away", "away"),
        Known(number(22), "W1/05/11", "barrel", "missing", "missing"),
        Known(number(23), "W1/05/12", "barrel", "missing", "missing"),
        Known(number(24)),
    )
    found = walk(*range(1, 9), 20, 21, 22, 24, 99, more=more)
    for what, n in (("gone", 20), ("away", 21), ("found", 22), ("missing-before", 23), ("unreadable", 24), ("not-in-the-book", 99)):
        assert told(found, what) == [number(n)]
    assert not found.agrees and found.in_book == 8
    assert [step.job for step in steps(found) if step.certain] == ["found"]


def test_what_contradicts_itself_is_printed_and_never_certain() -> None:
    stranger = Known(number(90), "W1/03/3", "butt", "filled", "here")
    two = walk(1, 2, 3, 4, 5, 6, 7, 8, (90, 2), more=(stranger,))
    assert two.shared == {"W1/05/2": (number(2), number(90))} and [step.certain for step in steps(two)] == [False]
    both = walk((1, 3), (1, 7), *range(2, 9))
    assert [(step.job, step.certain) for step in steps(both)] == [("move", False)]
    book = (here(2, "W1/05/1"), here(1))
    assert walk(*range(1, 9), more=book).shared == {}, "the book itself has both there"


def test_more_missing_than_seen_is_rather_half_a_walk() -> None:
    assert [step.certain for step in steps(walk(1, 2, 3, 4))] == [True]
    assert [step.certain for step in steps(walk(1, 2, 3))] == [False]


def test_an_empty_cask_in_a_full_row_is_told_and_no_fault() -> None:
    def row_of(empties: int) -> Compared:
        known = [here(n, state="emptied" if n <= empties else "filled") for n in range(1, 9)]
        return walk(*range(1, 9), more=tuple(known))

    assert [one.cask for one in row_of(3).empty] == [number(n) for n in (1, 2, 3)] and row_of(3).agrees
    assert row_of(4).empty == [] and row_of(8).empty == [] and row_of(0).empty == []


def test_twice_at_one_place_is_no_fault_and_at_two_it_is() -> None:
    assert walk(*range(1, 9), 8).agrees and walk(*range(1, 9), 8).again == {number(8): ()}
    two = walk(*range(1, 8), (8, 8), (8, 3))
    assert two.again == {number(8): ("W1/05/8", "W1/05/3")} and not two.agrees
    assert walk((1, 1), (2, 1), *range(3, 9)).shared == {"W1/05/1": (number(1), number(2))}


@pytest.mark.parametrize(
    ("row", "berth", "holds"),
    [
        ("W1/05", "W1/05/3", True),
        ("W1/05", "W1/05", True),
        ("W1/05", "W1/050/3", False),
        ("W1/05", "W1/06/3", False),
        ("W1", "W1/06/3", True),
        ("warehouse 1", "W1/06/3", True),
        ("Y", "Y2", True),
        ("W1/05/3", "W1/05/3", True),
        ("W1/05/3", "W1/05/30", False),
        ("W1", "W10/05/3", False),
        ("warehouse 1", "W10/05/3", False),
        ("W1/05", None, False),
    ],
)
def test_a_row_holds_what_lies_below_it(row: str, berth: str | None, holds: bool) -> None:
    assert Row((row,), ROW.stores).holds(berth) is holds


def test_in_a_yard_a_cask_is_moved_to_the_yard() -> None:
    row = Row(("Y2",), ROW.stores)
    yard = [Known(number(n), "Y2", "butt", "filled", "here") for n in (50, 51)]
    found = compare(row, [Scan(number(51)), Scan(number(1)), Scan(number(2))], {**BOOK, **{one.cask: one for one in yard}})
    assert [step.line for step in steps(found)] == [f"caskbook enter move {number(1)},{number(2)} --berth Y2", f"caskbook enter missing {number(50)}"]


@given(st.lists(st.tuples(st.integers(1, 14), st.none() | st.integers(1, 9)), max_size=16), st.booleans())
@settings(max_examples=many(300), deadline=None)
def test_each_cask_is_told_once_and_the_counts_close(seen: list[tuple[int, int | None]], away: bool) -> None:
    known = {**BOOK, number(12): here(12, "W1/07/1"), number(13): here(13, "W1/05/13", whereabouts="away" if away else "missing")}
    scans = [Scan(number(n), f"W1/05/{at}" if at else None) for n, at in seen]
    found = compare(ROW, scans, known)
    casks = [one.cask for one in found.told]
    assert len(set(casks)) == len(casks) and {scan.cask for scan in scans} == {one.cask for one in found.seen}
    assert found.in_book == 8
    assert found.scans == len(found.seen) + (len(scans) - len({scan.cask for scan in scans}))
    certain = [cask for step in steps(found) if step.certain for cask in step.casks]
    assert len(set(certain)) == len(certain)
    for one in found.of("other-berth"):
        assert one.seen_at != one.book_berth
