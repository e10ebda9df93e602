"""The account adds up: what is shown is the sum of what is shown."""

from __future__ import annotations

import csv
import io
import json
from datetime import date
from decimal import Decimal

import pytest
from casks import ev
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.loss import PeerTable
from caskbook.loss.account import BY, By, grouped, rows_of, total
from caskbook.loss.evidence import evidence
from caskbook.loss.intervals import in_percent
from caskbook.loss.ranking import account_of
from caskbook.model.house import House
from caskbook.render.loss import sheet_text
from caskbook.render.loss_account import account_csv, account_json, account_text
from loss.filled import NO_WOOD, emptied, filled, gauged, lived

DAY = date(2026, 11, 25)
TENTHS = st.integers(1500, 1990).map(lambda n: n / 10)


def history(litres: list[float]) -> list[dict[str, object]]:
    """A fill of 199.9 L with a gauge a year."""
    return [filled(litres=199.9, abv=63.7), *(gauged(f"{2016 + n}-01-01", amount, 61.3) for n, amount in enumerate(sorted(litres, reverse=True)))]


@settings(max_examples=many(40))
@given(
    st.lists(TENTHS, min_size=1, max_size=6),
    st.lists(TENTHS, min_size=1, max_size=6),
    st.sampled_from([[], ["lpa-down-0.01"], ["strength-down-0.1", "lpa-down-0.01"]]),
)
def test_sums_of_what_is_shown(one: list[float], other: list[float], rules: list[str]) -> None:
    house = House({**NO_WOOD.raw, "rounding": rules})
    rows = [
        *rows_of(lived(*history(one), house=house, cask="TH-000001", parcel="P-1"), PeerTable()),
        *rows_of(lived(*history(other), house=house, cask="TH-000002"), PeerTable()),
    ]
    shown = [Decimal(str(row.lpa)) for row in rows]
    assert total(rows).lpa == sum(shown)
    for by in BY:
        groups = grouped(rows, by)
        assert sum(group.lpa for group in groups) == total(rows).lpa
        assert sum(group.litres for group in groups) == total(rows).litres
        read = json.loads(account_json(account_of(rows, by, DAY)), parse_float=Decimal)
        assert sum(row["lpa"] for row in read["rows"]) == read["total"]["lpa"]
        table = list(csv.DictReader(io.StringIO(account_csv(account_of(rows, by, DAY)))))
        assert sum(Decimal(row["lpa"]) for row in table) == total(rows).lpa


def test_intervals_add_up_to_the_whole() -> None:
    from loss.filled import lost

    found = lost(*history([191.3, 187.7, 180.1, 171.9]))
    assert found.whole is not None
    assert sum((one.lost for one in found.intervals if one.lost is not None), Decimal(0)) == found.whole.lost


def test_percent_by_decimal() -> None:
    """0.29 × 100 is 28.999999999999996 in binary; 1.005 of 100 is shown as 1.0 and 0.05 rounds up."""
    assert in_percent(Decimal("0.29"), Decimal("1")) == Decimal("29.0")
    assert in_percent(Decimal("0.0005"), Decimal("1")) == Decimal("0.1")


def test_rows_and_groups() -> None:
    events = [filled(), emptied("2018-01-01", 180), filled("2018-02-01"), gauged("2021-02-01", 188)]
    rows = rows_of(lived(*events, parcel="P-1"), PeerTable())
    assert [(row.band, row.lpa, row.put_in) for row in rows] == [
        ("1st fill", Decimal("127.00") - Decimal("109.80"), Decimal("127.00")),
        ("2nd fill", Decimal("127.00") - Decimal("116.56"), Decimal("127.00")),
    ]
    (parcel,) = grouped(rows, "parcel")
    assert (parcel.name, parcel.casks, parcel.fills, parcel.gauged, parcel.lpa) == ("P-1", 1, 2, 2, Decimal("27.64"))
    assert parcel.share == pytest.approx(27.64 / 254)
    assert [group.name for group in grouped(rows, "store")] == ["(no store)"]
    assert [group.name for group in grouped(rows, "fill")] == ["TH-004217/e0000003", "TH-004217/e0000005"]


def test_a_fill_without_a_second_gauge_is_counted_and_has_no_figures() -> None:
    rows = rows_of(lived(filled()), PeerTable())
    assert (rows[0].lpa, rows[0].verdict) == (None, "unknown")
    text = account_text(account_of(rows, "cask", DAY), width=80)
    assert "1 fill without a second gauge" in text and "what they lost is not known" in text and "0.00 L" not in text
    told = json.loads(account_json(account_of(rows, "store", DAY)))
    assert [(row["fills"], row["lpa"], row["leaked"]) for row in (*told["rows"], told["total"])] == [(1, None, None)] * 2
    assert total(rows).share is None and total([]).lpa == Decimal("0.00")


@pytest.mark.parametrize("by", BY)
def test_text_fits_eighty_columns(by: By) -> None:
    events = [filled(), gauged("2016-01-01", 60), gauged("2017-01-01", 195), ev("2017-02-01", "sample", ml=100), emptied("2018-01-01", 180)]
    rows = rows_of(lived(*events, parcel="P-2015-014 of the northern quay"), PeerTable())
    text = account_text(account_of(rows, by, DAY), width=None)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "17.14" in text  # 127.00 - 0.06 - 109.80


def test_the_evidence_sheet_fits_eighty_columns_and_loses_nothing() -> None:
    leak = ev("2016-05-01", "leak", at="head-A-joint-2", severity="drip")
    wrong = ev("2019-01-01", "regauge", wet_mm=500, abv=62.0, method="dip")
    life = lived(filled(at_20=None), leak, gauged("2017-01-01", 60), wrong, gauged("2020-01-01", 170), emptied("2022-01-01", 165))
    narrow = sheet_text(evidence(life, PeerTable()), "TH-004217", ["no conclusion"], width=80, pictures={})
    assert max(len(line) for line in narrow.splitlines()) <= 80
    assert "…" not in narrow
    whole = sheet_text(evidence(life, PeerTable()), "TH-004217", ["no conclusion"], width=None, pictures={})
    assert set(whole.split()) - set(narrow.split()) <= {"remarks"}  # the heading, where remarks have lines of their own


def test_the_sheet_says_how_often_a_sound_cask_is_called_out() -> None:
    rare = House({**NO_WOOD.raw, "due": {"loss": {"false_alarms_per_1000_casks_a_year": 0.1}}})
    told = [row[0] for name, rows in evidence(lived(filled(), house=rare), PeerTable()) if name == "how it was measured" for row in rows]
    assert "the house allows 0.1 false alarms of 1000 casks a year: a sound cask is called out once in 10,000 years" in told
    assert "and at least 0.3 L, or 2.5 mm of a dip" in told[0]


def test_no_cell_is_a_formula() -> None:
    rows = rows_of(lived(filled(), gauged("2020-01-01", 185), parcel="=1+1"), PeerTable())
    assert "'=1+1" in account_csv(account_of(rows, "parcel", DAY))
