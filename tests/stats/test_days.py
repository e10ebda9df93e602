"""Entries of some days counted: by job, store, person and day, in tables that close with one another."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from typing import Any

import pytest

from caskbook.model.house import House
from caskbook.model.ids import mint_id
from caskbook.stats.days import BY, Flow, Table, flow_of, late_of, tables_of
from caskbook.stats.days_people import signer
from caskbook.stats.days_report import DaysReport, explained
from caskbook.stats.days_written import Written, apart_of, entries_of

HOUSE = House(
    {
        "timezone": "UTC",
        "crew": [{"initials": "ab", "name": "Ann Bell"}, {"initials": "kd", "name": "old", "until": date(2019, 12, 31)},
                 {"initials": "kd", "name": "new", "from": date(2020, 1, 1), "until": date(2020, 12, 31)}, {"initials": "mo"}],
        "shops": ["kiln"],
    }
)  # fmt: skip


def id_of(day: str, hour: int = 9) -> str:
    """An id minted on that day."""
    return mint_id(datetime.fromisoformat(f"{day}T{hour:02d}:00").replace(tzinfo=UTC), day_ids=(), random_bits=lambda n: 1)


def written(cask: str, job: str | None, day: str, entered: str | None = None, **more: Any) -> Written:
    """An entry that stands, entered on its day unless said otherwise."""
    found = {"by": "ab", "stands": None if job is None else 1, "out_by": None, "berth": "W1/1", "store": "old", **more}
    data = {key: found.pop(key) for key in ("result", "litres", "to", "from", "findings") if key in found}
    return Written(cask, found.pop("id", id_of(entered or day)), day, job, data=json.dumps(data), type={"TH-1": "butt"}.get(cask, "barrel"), **found)


ROWS = (
    written("TH-1", "test", "2020-03-01", result="pass"),
    written("TH-1", "test", "2020-03-01", result="fail", by="kd"),
    written("TH-2", "test", "2020-03-02", by="kd", store=None),
    written("TH-2", "fill", "2020-03-02", "2020-03-04", litres=190.5, berth=None, store=None),
    written("TH-3", "empty", "2020-03-03", "2020-03-12", litres=None, by=None, findings=["missing-field"]),
    written("TH-3", "rack-out", "2020-03-03", "2020-03-04", to=[{"cask": "TH-4", "litres": 80.0}, {"cask": "TH-5", "litres": 20.0}], id="h000000012"),
    written("TH-3", "examine", "2020-03-03", findings=[{"at": "stave-1", "defect": "cracked", "severity": 2}]),
    written("TH-3", "void", "2020-03-03"),
    written("TH-3", "note", "2020-03-03", stands=0, out_by="void"),
    written("TH-3", "test", "2020-03-03", stands=0, out_by="test"),
    written("TH-3", "fill", "2020-03-03", stands=0, out_by="moved"),
    written("TH-3", None, "2020-03-03"),
)
ENTRIES = entries_of(ROWS, HOUSE)


def tables() -> dict[str, Table]:
    return {table.by: table for table in tables_of(ENTRIES, BY, 2)}


def test_what_stands_and_is_work_of_its_own_counts_and_the_rest_stands_apart() -> None:
    assert [entry.job for entry in ENTRIES] == ["test", "test", "test", "fill", "empty", "rack-out", "examine"]
    apart = apart_of(ROWS, 3, 1)
    assert (apart.out_of_force, apart.putting_right, apart.no_job, apart.no_day, apart.in_part) == (
        {"void": 1, "replaced": 1, "moved": 1},
        {"void": 1},
        1,
        3,
        1,
    )
    assert apart.out == 3


def test_an_entry_with_a_value_that_cannot_be_read_is_broken_whatever_its_job() -> None:
    rows = [written("TH-1", job, "2020-03-01", **more) for job in ("note", "examine", "test", "fill") for more in ({}, {"findings": ["bad-value"]})]
    assert [entry.whole for entry in entries_of(rows, HOUSE)] == [True, False] * 4


def test_rows_of_each_table_add_up_but_for_casks() -> None:
    for table in tables().values():
        for figure in ("entries", "passed", "failed", "no_result", "litres_in", "litres_out", "no_litres", "late", "broken"):
            assert sum(getattr(row, figure) for row in table.rows) == getattr(table.whole, figure), (table.by, figure)
    whole = tables()["job"].whole
    assert (whole.entries, whole.casks, whole.passed, whole.failed, whole.no_result) == (7, 3, 1, 1, 1)
    assert (whole.litres_in, whole.litres_out, whole.no_litres, whole.late, whole.broken) == (190.5, 100.0, 1, 2, 1)


def test_rows_stand_in_their_order() -> None:
    found = {by: [row.name for row in table.rows] for by, table in tables().items()}
    assert found["job"] == ["test", "empty", "examine", "fill", "rack-out"]
    assert found["store"] == ["old", "no store", "(no berth)"]
    assert found["person"] == ["ab", "kd", "?"]
    assert found["day"] == ["2020-03-01", "2020-03-02", "2020-03-03"] and found["month"] == ["2020-03"] and found["type"] == ["barrel", "butt"]
    assert [row.casks for row in tables()["job"].rows] == [2, 1, 1, 1, 1]


def test_late_is_told_by_the_minute_of_the_id_and_not_where_it_has_none() -> None:
    late = late_of(ENTRIES, 2)
    assert (late.entries, late.least, late.most, late.not_told) == (2, 2, 9, 1)
    none = late_of([], 2)
    assert (none.entries, none.least, none.most, none.not_told) == (0, 0, 0, 0)


def test_people_are_told_by_the_crew_of_that_day() -> None:
    crew, shops = HOUSE.on(date.max).crew, HOUSE.on(date.max).shops
    days = date(2019, 5, 1), date(2020, 5, 1), date(2021, 5, 1)
    assert [signer("kd", day, crew, shops)[1:] for day in days] == [("old", True), ("new", True), ("not of the crew on that day", False)]
    assert signer("mo", days[0], crew, shops) == ("mo", "", True)
    assert signer("xx", days[0], crew, shops) == ("xx", "not of the crew", False)
    assert signer("xx", days[0], [], []) == ("xx", "", None)
    assert signer(None, days[0], crew, shops)[:2] == ("?", "nobody named")
    assert [signer(by, days[0], crew, shops).known for by in ("shop-kiln", "shop-other")] == [True, False]
    assert signer("shop-other", days[0], crew, []).known is None


def test_one_pair_of_initials_of_two_people_are_two_rows() -> None:
    rows = [written("TH-1", "note", day, by="kd") for day in ("2019-12-31", "2020-01-01")]
    (table,) = tables_of(entries_of(rows, HOUSE), ("person",), 2)
    assert sorted(row.person.said for row in table.rows if row.person) == ["new", "old"]


@pytest.mark.parametrize(
    ("job", "data", "flow"),
    [
        ("fill", {"litres": 190}, Flow(190, 0.0)),
        ("season", {"litres": 240}, Flow(240, 0.0)),
        ("top", {"litres": 3}, Flow(3, 0.0)),
        ("rack-in", {"from": [{"cask": "A", "litres": 90.5}, {"cask": "B", "litres": 4}]}, Flow(94.5, 0.0)),
        ("rack-in", {"from": None}, Flow(None, 0.0)),
        ("empty", {"litres": 0}, Flow(0.0, 0)),
        ("draw", {"litres": 3}, Flow(0.0, 3)),
        ("empty", {"litres": None}, Flow(0.0, None)),
        ("regauge", {"litres": 150}, Flow()),
        ("receive", {"litres": 150}, Flow()),
        ("season", {}, Flow(None, 0.0)),
    ],
)
def test_litres_in_and_out(job: str, data: dict[str, Any], flow: Flow) -> None:
    assert flow_of(job, data) == flow


def test_every_figure_is_explained_with_its_count() -> None:
    day = date(2020, 3, 1)
    report = DaysReport(day, date(2020, 3, 7), day, tables_of(ENTRIES, BY, 2), late_of(ENTRIES, 2), 2, apart_of(ROWS, 3, 1), {}, ())
    told = {one.figure: one for one in explained(report)}
    assert report.days == 7 and told["entries"].of == "7 of 12 written for these days"
    assert told["late"].of.startswith("of 6 of 7 it can be told") and set(BY) < set(told)
