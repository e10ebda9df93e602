"""A day that cannot be read is one finding: no rule compares it with another day, and none names a day that nobody wrote."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from casks import cask_data, ev
from commands import caskbook
from faulty_entries import AFTER, MISSING, whole_of
from laws import others_thorough

from caskbook.checks.check import check_cask
from caskbook.checks.context import Context
from caskbook.checks.judged import tidied
from caskbook.entry.fields import job_fields
from caskbook.life import live
from caskbook.model.cask_file import read_record
from caskbook.model.house import House
from caskbook.model.jobs import JOBS
from caskbook.yaml.write import flow_text

TODAY = date(2026, 1, 1)
HOUSE = House({
    "crew": [{"initials": "ab", "from": date(2010, 1, 1)}, {"initials": "kd", "from": date(2010, 1, 1)}], "shops": ["shop-kiln"], "laws": ["scotch-2009"],
    "test_limit_psi": [{"since": "2000-01-01", "value": 0.5}, {"since": "2015-01-01", "value": 20}],
})  # fmt: skip
DAYS = {"date", "oak_since", *(one.key for job in JOBS for one in job_fields(job) if one.kind == "day")}
WRONG: tuple[Any, ...] = (MISSING, "2026-11-36", "soon", 7, [])


def told(*events: dict[str, Any]) -> list[tuple[str, str]]:
    data = cask_data(*events)
    rows = data.pop("events")
    text = "\n".join([*(f"{key}: {flow_text(value)}" for key, value in data.items()), "events:", *(f"  - {flow_text(row)}" for row in rows)]) + "\n"
    record = read_record("records/casks/TH-004/TH-004217.yaml", text.replace('"2026-11-36"', "2026-11-36").replace("'2026-11-36'", "2026-11-36").encode())
    cask = tidied(record)
    assert cask is not None
    return [(found.code, found.message) for found in check_cask(record, live(cask, HOUSE, TODAY), Context(HOUSE, TODAY))]


@pytest.mark.parametrize("job", others_thorough(list(JOBS), 10))
def test_a_day_that_cannot_be_read_is_one_finding(job: str) -> None:
    before, whole = whole_of(job)
    entry = {**ev("2023-04-05", job), **whole}
    usual = {code for code, _ in told(*before, entry, *AFTER)}
    for field in [field.alias or name for name, field in JOBS[job].model_fields.items() if name in DAYS]:
        for wrong in WRONG if field == "date" else WRONG[1:]:
            spoilt = {key: value for key, value in {**entry, field: wrong}.items() if value is not MISSING}
            found = told(*before, spoilt, *AFTER)
            assert len([code for code, _ in found if code not in usual]) == 1, (field, wrong, found)
            assert not [message for _, message in found if "0001-01" in message or "1900-01" in message], (field, wrong, found)


HEAD = "cask: {}\nformat: 1\ntype: barrel\ncapacity_l: 200\nstaves: 31\nheads: [5, 5]\nhoops: 6\nprior: [{{contents: bourbon, fills: 1}}]\ncharred: 2011\nevents:\n"
RECEIVED = "{id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}"
EXAMINED = "{id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}"
FILLED = "{id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 185, abv: 63.5, at_20: true}"
OPENED = "{id: e1000003, date: 2020-01-03, job: open, by: ab, heads: [A, B]}"
LOST = "date: 2026-11-36, by: ab"
BOOK = {
    "TH-004001": (RECEIVED, EXAMINED),
    "TH-004002": (RECEIVED, EXAMINED, OPENED, f"{{id: e1000004, {LOST}, job: stave, staves: [4], action: replace, from: TH-004001}}"),
    "TH-004003": (RECEIVED, EXAMINED, FILLED, f"{{id: e1000004, {LOST}, job: top, litres: 5, abv: 60, at_20: true, from: TH-004001}}"),
    "TH-004004": (f"{{id: e1000004, {LOST}, job: made-from, parents: [{{cask: TH-004001}}]}}",),
    "TH-004005": (RECEIVED, EXAMINED, FILLED, f"{{id: e1000004, {LOST}, job: empty, litres: 150, abv: 60, at_20: true}}"),
    "TH-004006": (RECEIVED, EXAMINED, *(f"{{id: e100000{n}, {LOST}, job: soak, method: cold, hours: 24}}" for n in (4, 5))),
    "TH-004007": (RECEIVED, EXAMINED, f"{{id: e1000004, {LOST}, job: test, psi: 9, result: pass}}"),
}  # fmt: skip
OF_FORM = {"past-beside-inherited", "date-impossible", "wrong-type", "inherited-figures-differ", "missing-field"}


@pytest.mark.thorough
def test_nor_does_a_rule_that_looks_into_other_casks_or_at_a_law(tmp_path: Path) -> None:
    root = tmp_path / "book"
    (root / "casks/TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\nlaws: [scotch-2009]\ncrew:\n  - {initials: ab, from: 2010-01-01}\n", encoding="utf-8")
    for cask, rows in BOOK.items():
        (root / f"casks/TH-004/{cask}.yaml").write_text(HEAD.format(cask) + "".join(f"  - {row}\n" for row in rows), encoding="utf-8")
    found = json.loads(caskbook("check", "--format", "json", "--records", str(root)).stdout)["findings"]
    assert sum(one["code"] == "date-impossible" for one in found) == 7
    assert {one["code"] for one in found if one["severity"] != "note"} <= OF_FORM, [one for one in found if one["code"] not in OF_FORM]
    assert not [one for one in found if "0001-01" in one["message"] or one["code"] == "left-under-age"]


@pytest.mark.parametrize(("entry", "field"), [
    ("job: flag, at: [joint-3, 2026-13-01]", "at"), ("job: hoop, hoops: [2026-13-01], from: new", "hoops"), ("job: examine, verdict: sound, findings: [{at: 2026-13-01}]", "findings"),
])  # fmt: skip
def test_a_day_that_is_none_within_a_list_is_one_finding(entry: str, field: str) -> None:
    text = HEAD.format("TH-004217") + f"  - {RECEIVED}\n  - {{id: e1000002, date: 2020-01-02, by: ab, {entry}}}\n"
    record = read_record("records/casks/TH-004/TH-004217.yaml", text.encode())
    assert [found.code for found in record.findings] == ["date-impossible"]
    assert record.cask is not None and record.cask.events[1].lost == {field} and record.cask.events[1].codes == ("date-impossible",)
