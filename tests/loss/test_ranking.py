"""Rows of an account in order, cut to the first: whatever is held on the way, what is shown and what is left off are what sorting all of them tells."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import fields
from datetime import date
from decimal import Decimal
from operator import itemgetter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.loss import ranking
from caskbook.loss.account import Accounting, by_cask
from caskbook.loss.account_rows import FillRow, GroupRow
from caskbook.loss.ranking import FILL_KEYS, Bar, InMemory, Order, account_from, figure_of
from caskbook.loss.sums import Sums
from caskbook.render import loss_account

DAY = date(2024, 5, 6)
litres = st.integers(-200, 200).map(lambda value: Decimal(value).scaleb(-2))
rates = st.none() | st.sampled_from([-0.01, 0.0, 0.011, 0.02, 0.3])
words = st.sampled_from(["", "a", "=b", "-c", "d;e", "f\u200fg", 'h"i', "j\x7f", "k, l"])


@st.composite
def rows(draw: st.DrawFn, cask: str, n: int) -> FillRow:
    """A row of the fill of this number, whose figures are often those of another."""
    lpa = draw(st.none() | litres)
    known = lpa is not None
    rate = draw(rates) if known else None
    return FillRow(
        cask, draw(words), draw(st.none() | words), draw(st.none() | words), "1st fill", f"f{n}", date(2001 + draw(st.integers(0, 3)), 2, 3), DAY if known else None, DAY if known else None,
        draw(st.sampled_from([0.0, 1.5, 2.0])) if known else None, draw(litres) if known else None, lpa, draw(litres) if known else None, draw(rates) if known else None, rate, None,
        rate, None, draw(rates), draw(st.sampled_from(["usual", "watch", "act"])), tuple(draw(st.lists(words, max_size=2))), draw(st.none() | words), None,
        draw(litres) if known else None, draw(rates) if known else None, known and draw(st.booleans()), None, None, lpa, Decimal("0.00") if known else None,
    )  # fmt: skip


@st.composite
def books(draw: st.DrawFn) -> list[FillRow]:
    """The rows of some casks, one or several a cask."""
    found = []
    for cask in range(draw(st.integers(0, 9))):
        found += [draw(rows(f"TH-{cask:06d}", n)) for n in range(draw(st.integers(1, 3)))]
    return found


orders = st.lists(st.tuples(st.sampled_from(sorted(FILL_KEYS)), st.booleans()), max_size=3, unique_by=itemgetter(0))


class Barred(InMemory):
    """As an index has them: a cask of which the bar takes no row is but counted."""

    def promising(self, bar: Bar) -> Iterator[Sequence[FillRow] | int]:
        for some in self:
            yield some if any(bar.takes(figure_of(row, bar.name)) for row in some) else len(some)


def plainly(found: list[FillRow], order: Order, top: int) -> tuple[list[FillRow], GroupRow | None]:
    """All sorted, figure by figure from the last; those that are not shown summed cask by cask."""
    places: list[int] = list(range(len(found)))
    for key, largest in reversed(order):
        figures = [getattr(row, FILL_KEYS[key]) for row in found]
        known = sorted((place for place in places if figures[place] is not None), key=figures.__getitem__, reverse=largest)
        places = [*known, *(place for place in places if figures[place] is None)]
    others = Sums()
    for some in by_cask(found[place] for place in sorted(places[top:])):
        others.take(some)
    return [found[place] for place in places[:top]], others.row("(others)") if places[top:] else None


@pytest.mark.thorough
@pytest.mark.parametrize("kind", [InMemory, Barred])
@settings(max_examples=many(150))
@given(found=books(), order=orders, top=st.integers(0, 12), more=st.integers(0, 4))
def test_the_first_in_any_order(kind: type[InMemory], found: list[FillRow], order: Order, top: int, more: int) -> None:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(ranking, "_MORE", more)
        told = account_from(kind(found), "fill", DAY, order=order, top=top)
    shown, others = plainly(found, order, top)
    assert list(told.rows) == shown
    assert told.others == others
    assert told.left_off == max(0, len(found) - top)
    assert told.whole == Accounting("fill", by_cask(found)).whole.row("all")


def by_name(row: FillRow | GroupRow) -> dict[str, Any]:
    """The values of a row as JSON has them."""
    forms: dict[type, Any] = {Decimal: float, float: lambda value: round(value, 6), date: date.isoformat, tuple: list}
    names = row._fields if isinstance(row, FillRow) else [field.name for field in fields(row)]
    return {name: forms.get(type(value := getattr(row, name)), lambda value: value)(value) for name in names}


@settings(max_examples=many(60))
@given(found=books(), by=st.sampled_from(["fill", "cask"]))
def test_data_are_written_as_a_library_writes_them(found: list[FillRow], by: Any) -> None:
    account = account_from(InMemory(found), by, DAY)
    text = "".join(loss_account.account_data(account, "json"))
    assert text == loss_account.data_json(json.loads(text)) + "\n"
    assert by == "cask" or json.loads(text)["rows"] == [by_name(row) for row in account.rows]
    lines = "".join(loss_account.account_data(account, "jsonl")).splitlines()
    assert [json.loads(line) for line in lines] == json.loads(text)["rows"]
    table = list(csv.reader(io.StringIO("".join(loss_account.account_data(account, "csv")), newline="")))
    names = table[0]
    assert table[1:] == [[loss_account._cell(name, loss_account._known(row)[name]) for name in names] for row in account.rows]


@pytest.mark.parametrize("kind", [InMemory, Barred])
def test_of_equal_figures_the_second_one_decides_however_late_it_comes(kind: type[InMemory], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ranking, "_MORE", 1)
    lost = Decimal("1.00")
    found = [
        FillRow(f"TH-{n:06d}", "barrel", None, None, "1st fill", "f", DAY, DAY, DAY, 1.0, lost, lost, lost, 0.1, 0.1, None, 0.1, None, None, "usual", ())
        for n in range(9)
    ]
    told = account_from(kind(found), "fill", DAY, order=[("lpa", True), ("name", True)], top=2)
    assert list(told.rows) == [found[8], found[7]]
