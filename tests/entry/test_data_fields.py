"""What `query --tables` says of the JSON of an entry, held against entries of every job."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import date
from typing import Any

from casks import cask_data, ev
from commands import caskbook
from faulty_entries import WHOLE

from caskbook.entry.data_fields import data_fields
from caskbook.model.cask import read_cask
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.base import as_data

KINDS = {"text": str, "int": int, "real": (int, float), "yes": bool, "JSON list": list, "JSON map": dict, "ISO day": str}


def paths(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """(path, value) of everything in the JSON of an entry, items of lists under `[]`, as far as they are maps."""
    for key, inner in value.items():
        yield path + key, inner
        if isinstance(inner, dict):
            yield from paths(inner, f"{path}{key}.")
        for item in inner if isinstance(inner, list) else ():
            if isinstance(item, dict):
                yield from paths(item, f"{path}{key}[].")


def test_whatever_an_entry_of_any_job_holds_is_told_with_its_kind() -> None:
    told = {(one.job, one.field): one for one in data_fields()}
    seen = 0
    for job, (before, whole) in WHOLE.items():
        cask, _ = read_cask(cask_data(*before, {**ev("2023-04-05", job), **whole}))
        assert cask is not None, job
        for path, value in paths(json.loads(json.dumps(as_data(cask.events[-1])))):
            one = told.get((job, path)) or told.get(("", path))
            assert one is not None, (job, path)
            if value is None:  # Nobody wrote a sound value of it.
                continue
            assert any(isinstance(value, KINDS[kind]) for kind in one.kind.replace("0 or 1", "yes").split(" or ")), (job, one, value)
            seen += 1
    assert seen > 150


def test_every_field_of_every_model_is_told_once_with_a_meaning() -> None:
    told = [(one.job, one.field) for one in data_fields()]
    assert len(set(told)) == len(told) and all(one.meaning and set(one.kind.replace("0 or 1", "yes").split(" or ")) <= set(KINDS) for one in data_fields())
    for job, model in JOBS.items():
        own = {info.alias or name for name, info in model.model_fields.items()} - set(Event.model_fields)
        assert own <= {field for one, field in told if one == job}, job
    units = {(one.job, one.field): one.unit for one in data_fields()}
    assert (units["test", "psi"], units["fill", "abv"], units["rack-out", "to[].litres"], units["correct", "capacity_l"]) == (
        "psi",
        "% vol",
        "litres",
        "litres",
    )
    assert units["measure", "dims_mm.bung"] == "mm" and date.min not in units


def test_the_list_of_tables_has_them_behind_the_columns() -> None:
    rows = json.loads(caskbook("query", "--tables", "--format", "json").stdout)
    test = {row["column"]: row for row in rows if row["table"] == "data of test"}
    assert test["result"]["meaning"] == "the test: pass, fail" and test["psi"] == {
        "table": "data of test", "column": "psi", "kind": "real", "unit": "psi", "meaning": "gauge pressure of an air test",
    }  # fmt: skip
    without = {job for job in JOBS if job not in {one.job for one in data_fields()}}
    assert {row["table"] for row in rows} == {"cask", "event", "fill", "due", "data of any job", *(f"data of {job}" for job in JOBS if job not in without)}
    assert without < {"note", "knock-down", "missing", "close", "open", "same-as"}
