"""Whatever stands in a register: each row is written, there already or refused, what is written is clean to a strict check, and a second run
adds nothing."""

from __future__ import annotations

import csv
import io
import json
import tempfile
from pathlib import Path

import pytest
from commands import caskbook
from hypothesis import given
from hypothesis import strategies as st

from caskbook.exchange.keys import KEYS
from exchange.houses import answer, files, house

COLUMNS = [key for key in KEYS if key not in ("prior", "fills_in_all", "at_20", "cask")]
CHART = (
    "opening: 2026-01-31\ndates: day-month-year\nmarks_repeat: true\ncolumns:\n  cask: {is: cask, prefix: TH-, digits: 6}\n"
    + "".join(f"  {key}: {key}\n" for key in COLUMNS)
)  # fmt: skip
_DAYS = ("2010-03-04", "03/04/2012", "5 Jun 2014", "2015-02-29", "2031-01-01", "2009", "2012-06", "42075", "1/1/12", "2014-06-05")
_FIGURES = ("0", "1", "11", "63.5", "61,2", "198", "198.4", "200", "250", "500", "2000", "1e5", "-3", "57 °F", "53 USgal", "٣", "0.75 bar", "9" * 30)
_WORDS = ("barrel", "hogshead", "HHD", "butt", "malt", "Oloroso", "bourbon", "empty", "full", "virgin", "sold", "scrap", "broken up", "retired", "away", "in stock", "V1", "accept", "reject", "hold", "pass", "fail", "dip", "water", "white oak",
          "5/5", "5", "31", "never", "W1/05/2", "bilge", "x", "y: [z]", "- a", "#b", "'", '"', "=1+1", "\u202eabc", "a\tb", "\x07", "é" * 3000)  # fmt: skip
_NOBODY = ("", "?", "n/a", "not known", "-")
_CELL = st.one_of(st.sampled_from(_NOBODY), st.sampled_from(_DAYS), st.sampled_from(_FIGURES), st.sampled_from(_WORDS))
_USUAL = {
    "was": "88-1207", "wood": "white oak", "maker": "x", "made": "2005", "staves": "31", "heads": "5/5", "owner": "y", "supplier": "z", "parcel": "P-1",
    "prior_contents": "bourbon", "prior_fills": "2", "prior_emptied": "2009-05", "prior_evidence": "stencil", "note": "rusty: see", "received": "2010-03-04",
    "charred": "2009", "tested": "5.3.2010", "test_result": "pass", "test_psi": "0.75 bar", "test_water": "2", "test_method": "air", "berth": "W1/05/2", "stow": "bilge",
    "type": "ASB", "verdict": "accept",
}  # fmt: skip
_FULL = {
    "contents": "malt", "spirit": "malt", "filled": "4 Apr 2011", "filled_litres": "190", "filled_abv": "63.5", "filled_temp": "57 °F", "gauged": "2020-01-01", "litres": "170",
    "abv": "60", "temp": "14", "gauge_method": "dip", "oak_since": "2011-04-04", "vat": "V1", "vat_litres": "570",
}  # fmt: skip
_GONE = {"contents": "empty", "state": "sold", "left": "2020-05-01", "left_to": "ashgarth", "left_why": "worn", "approved_by": "ab"}
_SIGNED = {**_GONE, "state": "retired"}
_WINE = {"contents": "Oloroso", "filled": "4 Apr 2011", "filled_litres": "190", "filled_abv": "17"}
_MUST = ("type", "verdict", "contents")


def _likely(*told: dict[str, str]) -> st.SearchStrategy[dict[str, str]]:
    """Rows that are well but for their gaps, and for a cell or two where anything may stand."""
    whole = {key: text for one in told for key, text in one.items()}
    cells = {key: st.just(whole[key]) if key in _MUST else st.sampled_from((whole.get(key, ""), whole.get(key, ""), "?")) for key in COLUMNS}
    return st.builds(
        lambda row, odd: {**row, **odd}, st.fixed_dictionaries(cells), st.one_of(st.just({}), st.dictionaries(st.sampled_from(COLUMNS), _CELL, max_size=2))
    )


_ROW = st.one_of(
    _likely(_USUAL, _FULL),
    _likely(_USUAL, {"contents": "empty"}),
    _likely(_USUAL, _WINE),
    _likely(_USUAL, _GONE),
    _likely(_USUAL, _SIGNED),
    _likely(_USUAL, _FULL, {"state": "sold", "left": "2021-05-01"}),
    st.fixed_dictionaries(dict.fromkeys(COLUMNS, _CELL)),
)
_NUMBERS = st.lists(st.integers(1, 40).map(str) | st.sampled_from(("TH-000007", "th-8", "0009", "?", "x9")), min_size=8, max_size=8)


@pytest.mark.thorough
@given(_NUMBERS, st.lists(_ROW, min_size=1, max_size=8))
def test_rows_add_up_and_what_is_written_is_clean(numbers: list[str], rows: list[dict[str, str]]) -> None:
    sink = io.StringIO(newline="")
    writer = csv.writer(sink)
    writer.writerows([["cask", *COLUMNS], *([number, *(row[key] for key in COLUMNS)] for number, row in zip(numbers, rows, strict=False))])
    with tempfile.TemporaryDirectory() as name:
        folder = house(Path(name))
        found = answer(folder, sink.getvalue(), CHART, "--yes")
        assert found["rows"] == found["written"] + found["refused"] == len(rows)
        assert all(one["reason"] and "\n" not in one["reason"] and one["row"] > 1 for one in found["faults"])
        written = files(folder)
        assert len(written) == found["written"]
        if written:
            checked = json.loads(caskbook("check", "--format", "json", cwd=folder).stdout)
            assert [one for one in checked["findings"] if one["severity"] != "note"] == []
        again = answer(folder, sink.getvalue(), CHART, "--yes")
        assert (again["written"], again["already_there"], again["refused"]) == (0, found["written"], found["refused"])
        assert files(folder) == written
