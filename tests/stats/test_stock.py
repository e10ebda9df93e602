"""Counting the stock: every cask stands in one row and one column of each table, and the limit of its own type is what it has reached."""

from __future__ import annotations

from datetime import date

import hypothesis.strategies as st
import pytest
from hypothesis import given

from caskbook.stats.stock import BY, Group, Limit, band_of, needs, stock_of
from caskbook.stats.stock_report import StockReport, Terms, explained, limit_words

USUAL = Limit(5, 2)
PLAIN = {
    "type": "barrel", "state": "filled", "marks": "[]", "fills_since_char": 1, "never_charred": 0, "rechar_count": 0, "wine_held": 0, "fills_of_class": 2,
    "contents": "spirit", "age_years": 4, "store": "racks", "berthed": 1, "spirit": "malt", "wood": None, "maker": None, "owner": None,
    "parcel": None, "supplier": None,
}  # fmt: skip


def group(casks: int = 1, **facts: object) -> Group:
    return Group({**PLAIN, **facts}, casks)


def limit_of(kind: str) -> Limit | None:
    return {"butt": None, "hogshead": Limit(3, 1)}.get(kind, USUAL)


def row_of(*groups: Group, by: str = "type", limit: Limit | None = USUAL) -> tuple[tuple[int, ...], int, int, int, int]:
    """The whole of the table: (by fills since char, never, unknown, with a limit, at it)."""
    whole = stock_of(groups, (by,), lambda _kind: limit).tables[0].whole  # type: ignore[arg-type]
    return whole.since, whole.never, whole.unknown, whole.limited, whole.at_limit


def test_each_cask_counts_in_one_column() -> None:
    groups = [
        group(7),
        group(2, fills_since_char=9),
        group(3, never_charred=1, fills_since_char=6),
        group(4, fills_since_char=None),
        group(5, fills_since_char=0),
    ]
    assert row_of(*groups) == ((5, 7, 0, 0, 0, 2), 3, 4, 14, 2)


def test_what_was_never_charred_is_told_so_with_and_without_a_count() -> None:
    assert row_of(group(never_charred=1, fills_since_char=None), group(never_charred=1, fills_since_char=2))[1:3] == (2, 0)


@pytest.mark.parametrize(("rechars", "count", "reached"), [(0, 4, 0), (0, 5, 1), (1, 1, 0), (1, 2, 1), (None, 4, 0), (None, 5, 1)])
def test_the_limit_is_lower_after_a_rechar_and_the_higher_one_where_nobody_knows(rechars: int | None, count: int, reached: int) -> None:
    assert row_of(group(rechar_count=rechars, fills_since_char=count))[3:] == (1, reached)


def test_what_held_wine_and_what_is_not_charred_has_no_limit() -> None:
    assert row_of(group(wine_held=1, fills_since_char=7))[3:] == (0, 0)
    assert row_of(group(wine_held=None, fills_since_char=7))[3:] == (1, 1)
    assert row_of(group(fills_since_char=7), limit=None)[3:] == (0, 0)


def test_columns_go_to_the_highest_limit_in_stock_and_without_one_to_the_most_fills() -> None:
    def heads(*groups: Group) -> tuple[str, ...]:
        return stock_of(groups, ("type",), limit_of).heads

    assert heads(group(), group(type="hogshead"))[-1] == "5+"
    assert heads(group(type="hogshead"), group(type="barrel", state="gone"))[-1] == "3+"
    assert heads(group(type="butt", fills_since_char=2), group(type="butt", fills_since_char=9, never_charred=1)) == ("0", "1", "2+")


def test_the_gone_stand_in_no_table_and_the_away_and_missing_in_all() -> None:
    stock = stock_of([group(8), group(3, state="gone"), group(2, state="away", store=None, berthed=0), group(1, state="missing")], ("store",), limit_of)
    assert (stock.casks, stock.listed, dict(stock.whereabouts)) == (11, 14, {"here": 8, "away": 2, "missing": 1, "gone": 3})
    assert [(row.name, row.casks) for row in stock.tables[0].rows] == [("racks", 8), ("(away)", 2), ("(missing)", 1)]


def test_names_of_rows_and_their_order() -> None:
    def rows(by: str, *groups: Group) -> list[tuple[str, int]]:
        return [(row.name, row.casks) for row in stock_of(groups, (by,), limit_of).tables[0].rows]  # type: ignore[arg-type]

    empty = {"contents": "empty", "spirit": None, "age_years": None}
    assert rows("age", group(2, age_years=12), group(3, age_years=2), group(**empty), group(4, age_years=None), group(age_years=30)) == [
        ("0-2", 3), ("12-14", 2), ("30+", 1), ("no spirit", 1), ("?", 4)
    ]  # fmt: skip
    assert rows("store", group(store=None, berthed=1), group(2, store=None, berthed=0), group(3)) == [("racks", 3), ("no store", 1), ("?", 2)]
    marked = [group(marks=given) for given in ('["tainted","held"]', ["retired"], [], None, "[]")]
    assert rows("marks", *marked) == [("no mark", 2), ("?", 1), ("held + tainted", 1), ("retired", 1)]
    assert rows("class-fills", group(fills_of_class=10), group(fills_of_class=None), group(fills_of_class=2)) == [("2", 1), ("10", 1), ("?", 1)]
    assert rows("state", group(2), group(5, state="ready")) == [("ready", 5), ("filled", 2)]
    assert rows("spirit", group(), group(**empty), group(contents="wine", spirit="fino"), group(contents=None, spirit=None)) == [
        ("fino", 1), ("malt", 1), ("empty", 1), ("?", 1)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("years", "band"), [(0, "0-2"), (2, "0-2"), (3, "3-5"), (20, "18-20"), (21, "21-24"), (24, "21-24"), (25, "25-29"), (30, "30+"), (88, "30+")]
)
def test_bands_of_age(years: int, band: str) -> None:
    assert band_of(years) == band


COUNT = st.none() | st.integers(0, 12)
GROUPS = st.lists(
    st.builds(
        group, st.integers(1, 9), type=st.sampled_from(["barrel", "butt", "hogshead", None]), state=st.sampled_from(["filled", "ready", "gone", "away", None]),
        fills_since_char=COUNT, never_charred=st.sampled_from([0, 1, None]), rechar_count=COUNT, wine_held=st.sampled_from([0, 1, None]),
        fills_of_class=COUNT, contents=st.sampled_from(["spirit", "empty", "wine", None]), age_years=COUNT, store=st.sampled_from(["racks", None]),
        berthed=st.booleans(), parcel=st.sampled_from(["P-1", None]),
    ),
    max_size=12,
)  # fmt: skip


@given(GROUPS)
def test_rows_and_columns_of_every_table_close(groups: list[Group]) -> None:
    stock = stock_of(groups, BY, limit_of)
    assert stock.listed == sum(casks for _, casks in groups)
    for table in stock.tables:
        whole = table.whole
        assert whole.casks == stock.casks == sum(row.casks for row in table.rows)
        assert whole.since == tuple(map(sum, zip(*(row.since for row in table.rows), strict=True))) if table.rows else not any(whole.since)
        for part in ("never", "unknown", "limited", "at_limit"):
            assert getattr(whole, part) == sum(getattr(row, part) for row in table.rows)
        assert all(row.at_limit <= row.limited <= sum(row.since) and len(row.since) == stock.top + 1 for row in table.rows)


def test_every_table_has_the_facts_it_needs() -> None:
    for by in BY:
        asked = needs((by,))
        stock_of([Group({name: PLAIN[name] for name in asked}, 1)], (by,), limit_of)


def test_every_table_is_explained_and_limits_are_named_by_type_where_they_differ() -> None:
    stock = stock_of([group(), group(type="hogshead"), group(type="butt")], BY, limit_of)
    report = StockReport(date(2026, 1, 1), stock, {}, (), Terms(("malt",), True, 0), {})
    assert {told.figure for told in explained(report)} >= set(BY)
    assert limit_words(report) == "5, 2 after a re-char (barrel); 3, 1 after a re-char (hogshead); none for butt"
