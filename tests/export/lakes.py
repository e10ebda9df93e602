"""Ledgers of several houses exported side by side into one folder, and every question of lake/ put to it, by the set-up that lake/README.md shows."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import duckdb
from commands import caskbook

from export.exports import DAY, Rows, export

LAKE = Path(__file__).parents[2] / "lake"
EARLIER = "2026-08-31"
"""The day of the only export of the last house: those that came later were missed."""


def houses(root: Path, count: int) -> dict[str, tuple[Path, str]]:
    """Name of a ledger → (its folder, the day of its last export), each exported into `root`/lake; the first one on two days."""
    made = {}
    for n in range(count):
        book = root / f"site{n}"
        assert caskbook("demo", str(book), "--casks", "40", "--seed", str(n + 5)).returncode == 0
        settings = book / "house.yaml"
        text, changed = re.subn(r"^name: .*", f"name: Site {n} Tarnholt", settings.read_text(encoding="utf-8"), flags=re.M)
        assert changed == 1
        settings.write_text(text, encoding="utf-8")
        days = [DAY] if 0 < n < count - 1 else [EARLIER, DAY] if n == 0 else [EARLIER]
        for day in days:
            done = export(book, root / "lake", "parquet", "--as-of", day)
            assert done.returncode == 0, done.stderr
        made[f"Site-{n}-Tarnholt"] = book, days[-1]
    return made


def answers_of_duckdb(folder: Path) -> dict[str, list[dict[str, Any]]]:
    """Name of each file → its rows by column, as DuckDB answers."""
    told: dict[str, list[dict[str, Any]]] = {}
    ran: dict[str, Any] = {}
    _set_up("DuckDB", folder, ran)
    with ran["engine"] as engine:
        assert isinstance(engine, duckdb.DuckDBPyConnection)
        for file in files():
            found = engine.execute(file.read_text(encoding="utf-8"))
            names = [column[0] for column in found.description]
            told[file.stem] = [dict(zip(names, row, strict=True)) for row in found.fetchall()]
    return told


def answers_of_spark(folder: Path, spark: Any) -> dict[str, list[dict[str, Any]]]:
    """The same of Spark. `spark`: a session that is there, which the set-up gets as its own."""
    _set_up("PySpark", folder, {})
    return {file.stem: [row.asDict() for row in spark.sql(file.read_text(encoding="utf-8")).collect()] for file in files()}


def files() -> list[Path]:
    return sorted(LAKE.glob("*.sql"))


def set_up(engine: str) -> str:
    """The Python that lake/README.md shows for an engine, without the question at its end."""
    text = (LAKE / "README.md").read_text(encoding="utf-8")
    found = re.search(rf"^## {engine}\n\n```python\n(.*?)^```", text, re.S | re.M)
    assert found is not None
    return found[1].rpartition("\n\n")[0]


def _set_up(engine: str, folder: Path, ran: dict[str, Any]) -> None:
    code = set_up(engine)
    assert "DIR/" in code and DAY in code
    exec(compile(code.replace("DIR/", f"{folder}/"), engine, "exec"), ran)


def plain(told: dict[str, list[dict[str, Any]]]) -> dict[str, Rows]:
    """Rows in their order, as (column, value) pairs."""
    return {name: [tuple(row.items()) for row in rows] for name, rows in told.items()}
