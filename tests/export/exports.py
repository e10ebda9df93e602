"""Exports of small ledgers, read back as any other program would: by the names of folders and files."""

from __future__ import annotations

import csv
import json
import subprocess
from pathlib import Path
from typing import Any

import duckdb
from commands import caskbook

from caskbook.export.columns import Table
from caskbook.export.schema import TABLES, part_fields

DAY = "2026-11-30"
Rows = list[tuple[Any, ...]]


def export(book: Path, folder: Path, form: str = "csv", *more: str) -> subprocess.CompletedProcess[str]:
    """Export a ledger as of DAY, unless `more` says another day."""
    day = () if "--as-of" in more else ("--as-of", DAY)
    return caskbook("export", str(folder), "--format", form, "--records", str(book), *day, *more)


def commit(book: Path, what: str = "a day's work") -> str:
    """Commit all files of a ledger, made a repository where it is none; the commit."""
    if not (book / ".git").exists():
        git(book, "init", "-q", "-b", "main")
    git(book, "add", "-A")
    git(book, "-c", "user.name=ab", "-c", "user.email=ab@example.org", "commit", "-q", "-m", what)
    return git(book, "rev-parse", "HEAD").strip()


def git(book: Path, *words: str) -> str:
    return subprocess.run(["git", "-C", str(book), *words], check=True, capture_output=True, text=True).stdout


def files(folder: Path, form: str = "csv") -> dict[str, bytes]:
    """Path from the folder on → content of every file that the links of the tables lead to."""
    found = {}
    for link in sorted(one for one in folder.iterdir() if one.is_symlink()) if folder.is_dir() else ():
        found.update({str(link.name / path.relative_to(link)): path.read_bytes() for path in sorted(link.rglob(f"*.{form}"))})
    return found


def inodes(folder: Path, form: str = "csv") -> dict[str, tuple[int, int]]:
    """The same → (its number on the disk, when it was last written)."""
    return {str(path.relative_to(folder)): (path.stat().st_ino, path.stat().st_mtime_ns) for one in TABLES for path in (folder / one.name).rglob(f"*.{form}")}


def manifest(folder: Path) -> dict[str, Any]:
    """The one manifest of a folder."""
    (path,) = (folder / "manifest").glob("*.json")
    found: dict[str, Any] = json.loads(path.read_text())
    return found


def csv_rows(folder: Path, table: str) -> list[dict[str, str]]:
    """The rows of all files of a table, in the order of their paths."""
    rows: list[dict[str, str]] = []
    for path in sorted((folder / table).rglob("*.csv")):
        with path.open(newline="", encoding="utf-8") as file:
            rows += csv.DictReader(file)
    return rows


def parquet_rows(folder: Path, of: Table, form: str = "parquet") -> Rows:
    """All rows of a table with what its folders say, as DuckDB reads them, sorted."""
    names = ", ".join(field.name for field in (*part_fields(of), *of.fields))
    with duckdb.connect() as engine:
        return sorted_rows(engine.execute(f"SELECT {names} FROM read_{form}('{folder}/{of.name}/**/*.{form}', hive_partitioning = true)").fetchall())


def sorted_rows(rows: Rows) -> Rows:
    return sorted(rows, key=repr)
