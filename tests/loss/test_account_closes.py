"""Whatever is left out, sorted, cut or divided: what is shown adds up to the sum that is shown, as text, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from casks import ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.core.finding import CaskbookError
from caskbook.loss import PeerTable
from caskbook.loss.account import BY, By, rows_of
from caskbook.loss.account_rows import FillRow
from caskbook.loss.parts import Division
from caskbook.loss.ranking import FILL_KEYS, GROUP_KEYS, Account, account_of, order_of
from caskbook.model.house import House
from caskbook.render.loss_account import account_csv, account_json, account_text
from loss.filled import NO_WOOD, emptied, filled, gauged, lived

DAY = date(2026, 11, 25)
HOUSE = House({**NO_WOOD.raw, "stores": {"D": "dunnage", "R": "racks", "L": "a loft behind the long wall of the northern yard"}, "in_drink_percent": 2})
BERTH = st.sampled_from(["D1", "R1", "L1", None])
YEAR = st.integers(2016, 2025)


def berthed(berth: str | None) -> dict[str, Any]:
    return {} if berth is None else {"berth": berth}


@st.composite
def casks(draw: st.DrawFn) -> list[list[dict[str, Any]]]:
    """The entries of up to four casks: a fill with gauges that may contradict each other, moved now and then, some emptied."""
    found = []
    for _ in range(draw(st.integers(1, 4))):
        litres = draw(st.lists(st.integers(1400, 2050).map(lambda n: n / 10), max_size=4))
        if draw(st.integers(0, 3)):
            litres.sort(reverse=True)
        events = [filled("2015-06-01", draw(st.sampled_from([199.9, 200.0])), 63.7, **berthed(draw(BERTH)))]
        events += [gauged(f"{2016 + 2 * n}-03-01", amount, 63.1) for n, amount in enumerate(litres)]
        events += [ev(f"{draw(YEAR)}-07-0{n + 1}", "move", berth=draw(st.sampled_from(["D2", "R2", "L2"]))) for n in range(draw(st.integers(0, 2)))]
        events += [emptied("2026-02-01", 139.0, 61.0)] if draw(st.booleans()) else []
        found.append(sorted(events, key=lambda event: event["date"]))
    return found


def rows_from(book: list[list[dict[str, Any]]], division: Division) -> list[FillRow]:
    heads = [{"cask": f"TH-{n:06d}", "parcel": [None, "P-1", "P-2"][n % 3], "supplier": [None, "northquay"][n % 2]} for n in range(len(book))]
    told = [{key: value for key, value in head.items() if value is not None} for head in heads]
    return [row for events, head in zip(book, told, strict=True) for row in rows_of(lived(*events, house=HOUSE, **head), PeerTable(), division)]


def accounts() -> st.SearchStrategy[Account]:
    def made(book: Any, by: By, years: list[int], top: int | None, key: str | None) -> Account:
        first, last = (date(min(years), 4, 1), date(max(years), 9, 30)) if years else (None, None)
        rows = rows_from(book, Division(first, last, by == "year", by == "store"))
        key = key if key and key in (FILL_KEYS if by == "fill" else GROUP_KEYS) else None
        return account_of(rows, by, DAY, order=order_of(key and "-" + key, by, top), top=top, span=(first, last))

    keys = st.sampled_from([None, *sorted({*FILL_KEYS, *GROUP_KEYS})])
    return st.builds(made, casks(), st.sampled_from(BY), st.lists(YEAR, max_size=2), st.sampled_from([None, 1, 2]), keys)


@pytest.mark.thorough
@settings(max_examples=many(90), deadline=None)
@given(accounts())
def test_what_is_shown_adds_up(account: Account) -> None:
    whole = account.whole.lpa
    read = json.loads(account_json(account), parse_float=Decimal)
    shown = [*read["rows"], *([read["others"]] if read["others"] else [])]
    for key in ("lpa", "litres", "put_in"):
        known = [row[key] for row in shown if row[key] is not None]
        assert (sum(known) if known or not shown else None) == read["total"][key]
    assert (read["total"]["lpa"] or 0) == whole
    assert read["total"]["doubtful"] == len(read["doubtful"])
    table = list(csv.DictReader(io.StringIO(account_csv(account))))
    assert sum(Decimal(row["lpa"]) for row in table if row["lpa"]) == whole
    parts, total = in_text(account)
    assert sum(parts) == total == whole


def in_text(account: Account) -> tuple[list[Decimal], Decimal]:
    """The figures under `lost L`: of the lines, and of the last one, which is all of them. No line is wider than 80 signs, in a pipe too."""
    text = account_text(account, width=None)
    assert account_text(account, width=80) == text
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "…" not in "".join(line for line in text.splitlines() if not line.startswith(("… ", "  … ")))
    lines = text.splitlines()
    heading = next(n for n, line in enumerate(lines) if "lost L" in line)
    end = lines[heading].index("lost L") + len("lost L")
    found = []
    for line in lines[heading + 1 :]:
        cell = line[:end].rpartition(" ")[2]
        if cell == "?" or (cell.replace(".", "").replace("-", "").isdecimal() and "." in cell):
            found.append(Decimal(0) if cell == "?" else Decimal(cell))
        if line.startswith("all"):
            return found[:-1], found[-1]
    raise AssertionError(text)


def test_sorted_by_a_figure_with_what_is_unknown_last() -> None:
    book = [[filled(), gauged("2018-01-01", litres, 63.5)] for litres in (190, 180, 195)] + [[filled()]]
    rows = rows_from(book, Division())
    names = [row.name for row in account_of(rows, "cask", DAY, order=order_of("-share", "cask", None)).rows]
    assert names == ["TH-000001", "TH-000000", "TH-000002", "TH-000003"]
    assert [row.name for row in account_of(rows, "cask", DAY, order=order_of("share", "cask", None)).rows][-1] == "TH-000003"
    first = account_of(rows, "fill", DAY, order=order_of(None, "fill", 2), top=2)
    assert [row.cask for row in first.rows] == ["TH-000001", "TH-000000"] and first.left_off == 2
    assert first.others is not None and (first.others.fills, first.others.gauged) == (2, 1)


@pytest.mark.parametrize("by", BY)
def test_a_cut_account_has_all_in_its_sum_and_what_is_left_off_in_a_row(by: By) -> None:
    book = [[filled(berth=berth), gauged("2018-01-01", litres, 63.5)] for berth, litres in (("D1", 190.0), ("R1", 180.0), ("L1", 195.0))]
    rows = rows_from(book, Division(by_year=by == "year", by_store=by == "store"))
    uncut, cut = account_of(rows, by, DAY), account_of(rows, by, DAY, order=order_of(None, by, 1), top=1)
    assert cut.whole == uncut.whole and len(cut.rows) == 1 and cut.left_off == len(uncut.rows) - 1
    rest = uncut.whole.lpa - (cut.rows[0].lpa or 0)
    assert (cut.others.lpa if cut.others else None) == (rest if cut.left_off else None)


@pytest.mark.parametrize(("text", "by"), [("middle", "cask"), ("", "cask"), ("lpa,-lpa", "cask"), ("act", "fill"), ("lpa,", "store"), ("--lpa", "store")])
def test_an_order_that_is_none_is_refused(text: str, by: By) -> None:
    with pytest.raises(CaskbookError, match="--sort"):
        order_of(text, by, None)
