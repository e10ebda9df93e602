"""The questions of lake/ over several ledgers in one folder: each site's part of an answer is what its own reports say, and Spark says what DuckDB says."""

from __future__ import annotations

import json
import re
import shutil
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.export.schema import TABLES
from export.exports import DAY, csv_rows, export
from export.lakes import EARLIER, answers_of_duckdb, answers_of_spark, files, houses, plain, set_up

Told = dict[str, list[dict[str, Any]]]
Sites = dict[str, tuple[Path, str]]
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Sites, Told]:
    """Two ledgers, and what DuckDB answers about both."""
    root = tmp_path_factory.mktemp("sites")
    return houses(root, 2), answers_of_duckdb(root / "lake")


def _told(book: Path, day: str, *words: str) -> Any:
    done = caskbook(*words, "--format", "json", "--records", str(book), "--as-of", day)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def _of(told: Told, file: str, ledger: str) -> list[dict[str, Any]]:
    return [row for row in told[file] if row["ledger"] == ledger]


def test_each_file_says_what_it_answers_of_which_tables() -> None:
    """Its head names each table that it asks, and no other; the set-ups make a view of each table that there is."""
    names = {one.name for one in TABLES}
    listed = re.findall(r"^\| `(\S+\.sql)` \|", (ROOT / "lake" / "README.md").read_text(encoding="utf-8"), re.M)
    assert sorted(listed) == [file.name for file in files()] and len(listed) >= 5
    for file in files():
        head, _, query = file.read_text(encoding="utf-8").partition("\nWITH ")
        assert re.match(r"-- Question: .+\n(--.*\n)*-- Tables:   .+\n(--.*\n)*-- Unit:     .+", head), file.name
        said = {word for word in re.split(r"[ ,;()]+", head.split("Tables:")[1].split(".")[0]) if word in names | {"asked"}}
        used = set(re.findall(r"(?:FROM|JOIN) (\w+)", query)) & (names | {"asked"})
        assert said == used, file.name
    for engine in ("DuckDB", "PySpark"):
        (tables,) = re.findall(r"^for table in (\(.*\)):", set_up(engine), re.M)
        assert set(re.findall(r'"(\w+)"', tables)) == names, engine


@pytest.mark.thorough
def test_stock_is_that_of_each_site(asked: tuple[Sites, Told]) -> None:
    """Of the site of which an export was missed the day before counts, and is told; the other one's earlier day is in no sum."""
    sites, told = asked
    assert {row["ledger"]: row["as_of"].isoformat() for row in told["stock"]} == {name: day for name, (_, day) in sites.items()}
    assert {day for _, day in sites.values()} == {EARLIER, DAY}
    for ledger, (book, day) in sites.items():
        rows = _of(told, "stock", ledger)
        by_type, by_state = (_told(book, day, "report", "stock", "--by", by) for by in ("type", "state"))
        in_stock = [row for row in rows if row["state"] != "gone"]
        for by, report in (("type", by_type), ("state", by_state)):
            (table,) = report["tables"]
            assert _sums(in_stock, by) == Counter({row["name"]: row["casks"] for row in table["rows"]})
        assert sum(row["casks"] for row in rows) == by_type["listed"] > 30
        assert _sums(rows, "state")["gone"] == by_type["whereabouts"]["gone"] > 0


def _sums(rows: list[dict[str, Any]], by: str) -> Counter[str]:
    found: Counter[str] = Counter()
    for row in rows:
        found[row[by] or "?"] += row["casks"]
    return found


@pytest.mark.thorough
def test_what_is_due_is_what_each_site_says(asked: tuple[Sites, Told]) -> None:
    sites, told = asked
    for ledger, (book, day) in sites.items():
        due = [row for row in _told(book, day, "due", "--all") if row["verdict"] != "ok"]
        expected = Counter((row["since"] and row["since"][:7], row["rule"], row["verdict"]) for row in due)
        rows = _of(told, "due-by-month", ledger)
        assert {(row["due_month"], row["rule"], row["verdict"]): row["casks"] for row in rows} == expected
        assert len(rows) == len(expected) and {"due"} < {row["verdict"] for row in rows}
        assert {row["as_of"].isoformat() for row in rows} == {day}


@pytest.mark.thorough
def test_loss_is_what_each_site_adds_up(asked: tuple[Sites, Told]) -> None:
    sites, told = asked
    for ledger, (book, day) in sites.items():
        report = _told(book, day, "report", "loss", "--by", "type")
        rows = _of(told, "loss-by-type", ledger)
        assert {row["type"]: (row["fills"], row["fills_gauged"], row["fills_in_doubt"], row["lost_lpa"] or Decimal(0)) for row in rows} == {
            row["name"]: (row["fills"], row["gauged"], row["doubtful"], Decimal(str(row["lpa"] or 0))) for row in report["rows"]
        }
        assert sum(row["lost_lpa"] or 0 for row in rows) == Decimal(str(report["total"]["lpa"])) > 100


@pytest.mark.thorough
def test_suppliers_are_the_sums_of_all_sites(asked: tuple[Sites, Told]) -> None:
    sites, told = asked
    expected: dict[str, Counter[str]] = {}
    for book, day in sites.values():
        for group in _told(book, day, "report", "suppliers")["groups"]:
            counts = {name: group[name] for name in ("received", "tested", "failed")}
            expected.setdefault(group["name"], Counter()).update({**counts, "ledgers": 1})
    found = {row["supplier"] or "?": Counter({name: row[name] for name in ("received", "tested", "failed", "ledgers")}) for row in told["suppliers"]}
    assert found == expected and any(row["failed"] and row["ledgers"] == 2 for row in told["suppliers"])
    shares = [row["failed_share"] for row in told["suppliers"] if row["failed_share"] is not None]
    assert shares == sorted(shares, reverse=True)
    assert all(abs(row["failed_share"] - row["failed"] / row["tested"]) < 1e-6 for row in told["suppliers"] if row["tested"])


@pytest.mark.thorough
def test_staves_of_donors_are_those_that_each_site_tells(asked: tuple[Sites, Told]) -> None:
    sites, told = asked
    for ledger, (book, day) in sites.items():
        given = [row for row in _told(book, day, "report", "parts", "--donors")["gifts"] if row["kind"] in ("stave", "made-from")]
        states = {row["cask"]: (row["state"], row["berth"]) for row in _told(book, day, "list")}
        rows = _of(told, "staves-of-donors", ledger)
        assert [(row["donor"], row["cask"], row["kind"], row["staves"], row["first_on"].isoformat()) for row in rows] == [
            (row["giver"], row["taker"], row["kind"], row["count"], row["first_on"]) for row in given
        ]
        assert [(row["state"], row["berth"]) for row in rows] == [states[row["cask"]] for row in rows] and rows


@pytest.mark.thorough
def test_a_past_day_is_exported_with_all_that_reports_tell_of_it(tmp_path: Path) -> None:
    """Of a day that was asked about in passing the index leaves what reports alone tell; an export asks for it."""
    book = tmp_path / "book"
    assert caskbook("demo", str(book), "--casks", "40", "--seed", "5").returncode == 0
    fresh = shutil.copytree(book, tmp_path / "fresh")
    for day in (DAY, EARLIER):
        assert caskbook("due", "--records", str(book), "--as-of", day).returncode == 0
    for folder, ledger in (("passing", book), ("alone", fresh)):
        assert export(ledger, tmp_path / folder, "csv", "--as-of", EARLIER).returncode == 0
    for table in ("receipt", "gift", "leak"):
        assert csv_rows(tmp_path / "passing", table) == csv_rows(tmp_path / "alone", table)
        assert csv_rows(tmp_path / "alone", table), table


@pytest.mark.slow
def test_spark_says_what_duckdb_says(tmp_path: Path) -> None:
    """Four ledgers; every file as it is, row for row, in the same order and under the same names."""
    pyspark_sql = pytest.importorskip("pyspark.sql", reason="pyspark is not installed: pip install '.[spark]'")
    if shutil.which("java") is None:
        pytest.skip("there is no Java, which Spark runs on")
    settings = {"spark.ui.enabled": "false", "spark.sql.shuffle.partitions": "1", "spark.driver.host": "127.0.0.1", "spark.driver.bindAddress": "127.0.0.1"}
    houses(tmp_path, 4)
    builder = pyspark_sql.SparkSession.builder.master("local[1]")
    for name, value in settings.items():
        builder = builder.config(name, value)
    spark = builder.getOrCreate()
    try:
        of_spark = plain(answers_of_spark(tmp_path / "lake", spark))
    finally:
        spark.stop()
    of_duckdb = plain(answers_of_duckdb(tmp_path / "lake"))
    assert of_spark == of_duckdb and all(of_duckdb.values())
