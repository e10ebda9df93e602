"""Every format tells the same rows, and they are what the files and `due` tell: the files are read again here as YAML, without a word of the program's."""

from __future__ import annotations

import json
import math
import sqlite3
from collections import Counter
from collections.abc import Mapping
from contextlib import closing
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from stats.demo_book import book as book
from stats.demo_book import files_of

from caskbook.export.schema import TABLES, part_fields, table
from export.exports import DAY, Rows, csv_rows, export, parquet_rows, sorted_rows

pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def lake(book: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path]:
    """Format → folder of an export of the invented ledger."""
    made = {form: tmp_path_factory.mktemp(form) for form in ("parquet", "csv", "jsonl", "sqlite")}
    for form, folder in made.items():
        done = export(book, folder, form)
        assert done.returncode == 0, done.stderr
    return made


def test_all_counts_are_those_of_the_files(book: Path, lake: Mapping[str, Path]) -> None:
    """Of standing entries: one is out of force where another voids or replaces it. A fill is a filling of an empty cask with spirit."""
    read = files_of(book)
    entries = [entry for cask in read for entry in cask["events"] if str(entry["date"]) <= DAY]
    assert Counter(row["job"] for row in csv_rows(lake["csv"], "event")) == Counter(entry["job"] for entry in entries)
    assert {row["cask"] for row in csv_rows(lake["csv"], "cask")} == {cask["cask"] for cask in read}
    fills = Counter(row["cask"] for row in csv_rows(lake["csv"], "fill"))
    assert fills == Counter({cask["cask"]: n for cask in read if (n := _fills(cask["events"]))})
    years = Counter(path.parent.name for path in (lake["csv"] / "event").rglob("*.csv"))
    assert set(years) == {f"year={str(entry['date'])[:4]}" for entry in entries}


def _fills(events: list[dict[str, Any]]) -> int:
    """Fillings of an empty cask with spirit among the standing entries, by the words alone; a seasoning fills it and is none."""
    out = {one.get("replaces") for one in events} | {one.get("of") for one in events if one["job"] == "void"}
    full, count = False, 0
    for one in sorted((one for one in events if one["id"] not in out), key=lambda one: (one["date"], events.index(one))):
        if one["job"] in ("fill", "rack-in") and not full:
            full, count = True, count + 1
        elif one["job"] in ("season", "empty", "rack-out"):
            full = one["job"] == "season" or bool(one.get("left_l"))
    return count


def test_what_is_due_is_what_due_says(book: Path, lake: Mapping[str, Path]) -> None:
    told = json.loads(caskbook("due", "--all", "--format", "json", "--records", str(book), "--as-of", DAY).stdout)
    keys = ("cask", "rule", "verdict")
    found = Counter(tuple(row[key] for key in keys) for row in csv_rows(lake["csv"], "due"))
    assert found == Counter(tuple(row[key] for key in keys) for row in told) and found
    since = {(row["cask"], row["rule"]): row["since_on"] or None for row in csv_rows(lake["csv"], "due")}
    assert since == {(row["cask"], row["rule"]): row["since"] for row in told}


def test_what_check_says_is_in_the_table_of_findings(book: Path, lake: Mapping[str, Path]) -> None:
    told = json.loads(caskbook("check", "--format", "json", "--records", str(book), "--as-of", DAY).stdout)["findings"]
    found = Counter((row["code"], row["cask"] or None, int(row["line_number"]), row["message"]) for row in csv_rows(lake["csv"], "finding"))
    assert found == Counter((one["code"], one["cask"], one["line"], one["message"]) for one in told) and found


@pytest.mark.parametrize("name", [one.name for one in TABLES])
def test_every_format_tells_the_same(lake: Mapping[str, Path], name: str) -> None:
    """Parquet by another library than the one that wrote it, SQLite by its own, JSON lines by Python: CSV's rows, once the words of each are one."""
    of = table(name)
    written = parquet_rows(lake["parquet"], of)
    lines = [line for path in sorted((lake["jsonl"] / name).rglob("*.jsonl")) for line in path.read_text().splitlines()]
    assert [list(json.loads(line)) for line in lines[:1]] == [list(of.names)][: len(lines)]
    parts = len(part_fields(of))
    plain = sorted_rows([tuple(map(_plain, row[parts:])) for row in written])
    assert sorted_rows([tuple(map(_plain, json.loads(line).values())) for line in lines]) == plain
    (path,) = (lake["sqlite"] / "sqlite").glob("*.sqlite")
    with closing(sqlite3.connect(path)) as store:
        names = ", ".join(field.name for field in (*part_fields(of), *of.fields))
        stored = store.execute(f"SELECT {names} FROM {name}").fetchall()
    booleans = [n for n, field in enumerate((*part_fields(of), *of.fields)) if field.type == "boolean"]
    assert sorted_rows([tuple(map(_plain, _as_yes(row, booleans))) for row in stored]) == sorted_rows([tuple(map(_plain, row)) for row in written])
    assert len(csv_rows(lake["csv"], name)) == len(written)
    assert written or name in ("leak",), "the invented ledger has some of each"


def _as_yes(row: tuple[Any, ...], places: list[int]) -> list[Any]:
    return [bool(value) if n in places and value is not None else value for n, value in enumerate(row)]


def _plain(value: Any) -> Any:
    """Days as text, figures as one kind, a year of a folder as a figure."""
    if isinstance(value, date):
        return value.isoformat()
    return float(value) if isinstance(value, int | Decimal) and not isinstance(value, bool) else value


def test_types_are_those_that_are_declared(lake: Mapping[str, Path]) -> None:
    """A day is a DATE and a count a BIGINT for DuckDB, and what is unknown is NULL: no cask has a figure that the answer has not."""
    import duckdb

    kinds = {"text": "VARCHAR", "integer": "BIGINT", "double": "DOUBLE", "decimal": "DECIMAL(14,2)", "boolean": "BOOLEAN", "date": "DATE"}
    with duckdb.connect() as engine:
        for of in TABLES:
            told = engine.execute(f"DESCRIBE SELECT * FROM read_parquet('{lake['parquet']}/{of.name}/**/*.parquet', hive_partitioning = true)").fetchall()
            found = {row[0]: row[1] for row in told}
            assert [found[field.name] for field in of.fields] == [kinds[field.type] for field in of.fields], of.name
            assert found["ledger"] == "VARCHAR" and ("as_of" not in of.parts or found["as_of"] == "DATE"), of.name
            for field in of.fields:
                if not field.nullable:
                    assert engine.execute(
                        f"SELECT count(*) FROM read_parquet('{lake['parquet']}/{of.name}/**/*.parquet') WHERE {field.name} IS NULL"
                    ).fetchone() == (0,)
        unknown = "SELECT count(*) FROM read_parquet('{}/fill/**/*.parquet') WHERE emptied_on IS NULL"
        (open_fills,) = engine.execute(unknown.format(lake["parquet"])).fetchone() or (0,)
    assert open_fills == sum(not row["emptied_on"] for row in csv_rows(lake["csv"], "fill")) > 0


def test_gauges_add_up_to_the_loss_of_their_fill(lake: Mapping[str, Path]) -> None:
    """The fill's first and last gauge that is not set aside are the days between which its loss is told."""
    gauges: dict[str, Rows] = {}
    for row in csv_rows(lake["csv"], "gauge"):
        if row["set_aside"] == "no":
            gauges.setdefault(row["fill_event"], []).append((row["gauged_on"], row["lpa"]))
    told = [row for row in csv_rows(lake["csv"], "fill") if row["loss_from"]]
    assert len(told) > 50
    for row in told:
        own = gauges[row["event"]]
        assert (own[0][0], own[-1][0]) == (row["loss_from"], row["loss_to"])
        if len(own) == 2:  # Of a fill with no draw between its gauges the loss is what the alcohol of both differs by, each rounded to the hundredth.
            assert math.isclose(float(own[0][1]) - float(own[1][1]), float(row["loss_lpa"]), abs_tol=0.02) or _moved(row, lake)


def _moved(fill: Mapping[str, str], lake: Mapping[str, Path]) -> bool:
    """Whether liquor went in or out between the gauges of a fill."""
    return any(
        row["cask"] == fill["cask"]
        and row["job"] in ("draw", "top", "sample", "rack-in", "rack-out")
        and fill["loss_from"] <= row["done_on"] <= fill["loss_to"]
        for row in csv_rows(lake["csv"], "event")
    )
