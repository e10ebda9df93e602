"""Facts that are rows and maps: a day or a word that nobody wrote is None in them too."""

from __future__ import annotations

from datetime import date

from caskbook.core.days import UnknownDay
from caskbook.life.state import UNKNOWN
from caskbook.life.unknown_facts import known


def test_what_nobody_wrote_is_taken_out_of_rows_and_maps() -> None:
    day = UnknownDay(2020, 1, 2)
    rows = [{"date": day, "temp_c": 12.0, "at": UNKNOWN}, {"date": date(2020, 1, 3), "inner": {"on": day}}, day]
    assert known(rows) == [{"date": None, "temp_c": 12.0, "at": None}, {"date": date(2020, 1, 3), "inner": {"on": None}}, None]
    assert known({"a": "x"}) == {"a": "x"} and known(7) == 7 and known(day) is None
