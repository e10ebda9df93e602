"""`query`: SQL that can read four tables and do nothing else."""

from __future__ import annotations

import json
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest
from commands import caskbook
from index.book import DAY, answer, cask_files, make_demo

from caskbook.model import query_columns as columns

pytestmark = pytest.mark.thorough


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = make_demo(tmp_path_factory.mktemp("demo") / "book", 60)
    answer(root, "due")
    return root


def asked(root: Path, sql: str, *words: str):  # type: ignore[no-untyped-def]
    return caskbook("query", sql, *words, "--records", str(root), "--as-of", DAY)


def rows(root: Path, sql: str, *words: str) -> list[dict[str, object]]:
    done = asked(root, sql, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, list)
    return found


@pytest.mark.parametrize("table", sorted(columns.TABLES))
def test_every_documented_column_is_there_and_in_this_order(demo: Path, table: str) -> None:
    assert list(rows(demo, f"SELECT * FROM {table} LIMIT 1")[0]) == [column.name for column in columns.TABLES[table]]
    told = json.loads(caskbook("query", "--tables", "--format", "json").stdout)
    assert [one["column"] for one in told if one["table"] == table] == [column.name for column in columns.TABLES[table]]


def test_the_tables_agree_with_each_other_and_with_due(demo: Path) -> None:
    fills = rows(demo, "SELECT c.cask, c.fills, count(f.n) AS n FROM cask c LEFT JOIN fill f ON f.cask = c.cask GROUP BY 1")
    assert len(fills) > 40 and all(row["fills"] == row["n"] for row in fills)
    written = sum(file.read_text(encoding="utf-8").count("\n  - id: ") for file in cask_files(demo))
    assert rows(demo, "SELECT count(*) AS n FROM event") == [{"n": written}]
    due = json.loads(answer(demo, "due", "--all", "--format", "json")[1])
    told = rows(demo, "SELECT cask, rule, verdict, since FROM due")
    assert sorted((one["cask"], one["rule"], one["verdict"], one["since"] or "") for one in due) == sorted(
        (one["cask"], one["rule"], one["verdict"], one["since"] or "") for one in told
    )


@pytest.mark.parametrize(
    ("sql", "hint"),
    [
        ('SELECT count(*) FROM cask WHERE "fill_since_chr" >= 4', "did you mean fills_since_char?"),
        ('SELECT cask, "los_lpa" FROM cask', "did you mean loss_lpa?"),
        ('SELECT cask FROM cask WHERE spirit = "malt"', "text stands in single quotes: 'malt'"),
    ],
)
def test_a_name_in_double_quotes_that_is_none_is_not_taken_for_text(demo: Path, sql: str, hint: str) -> None:
    done = asked(demo, sql)
    assert done.returncode == 2 and not done.stdout and "no such column" in done.stderr and hint in done.stderr


def test_a_condition_of_a_list_with_a_misspelt_column_in_double_quotes_lists_nothing(demo: Path) -> None:
    done = caskbook("list", "--where", '"fills_since_chr" >= 4', "--records", str(demo), "--as-of", DAY)
    assert done.returncode == 2 and not done.stdout and "did you mean fills_since_char?" in done.stderr


def test_names_in_double_quotes_are_those_of_columns_and_of_what_the_question_names_itself(demo: Path) -> None:
    assert rows(demo, 'SELECT "cask" AS "the ""cask" FROM "cask" ORDER BY "the ""cask" LIMIT 1')[0].keys() == {'the "cask'}
    assert rows(demo, """SELECT 'a "b" c' AS x, [cask] -- "none\n FROM cask /* "none" */ LIMIT 1""")[0]["x"] == 'a "b" c'
    assert 'count("cask")' in rows(demo, 'SELECT count("cask") FROM cask')[0]


FORBIDDEN = (
    "INSERT INTO cask VALUES (1)", "UPDATE life SET cask = 1", "DELETE FROM work_file", "DROP TABLE life", "CREATE TABLE x (a)",
    "CREATE TEMP TABLE x (a)", "ATTACH '{file}' AS other", "DETACH main", "VACUUM", "VACUUM INTO '{file}'", "REINDEX", "ANALYZE",
    "PRAGMA writable_schema = 1", "PRAGMA query_only = 0", "PRAGMA journal_mode = DELETE", "BEGIN", "SAVEPOINT a", "SELECT * FROM life",
    "SELECT * FROM main.version", "SELECT sql FROM sqlite_master", "SELECT * FROM pragma_table_info('life')",
    "SELECT load_extension('{file}')", "SELECT writefile('{file}', 'x')", "SELECT readfile('/etc/passwd')", "SELECT 1; DROP TABLE life",
    "WITH x AS (SELECT 1) INSERT INTO work_file SELECT * FROM x", "EXPLAIN DELETE FROM life", "",
)  # fmt: skip


@pytest.mark.parametrize("sql", FORBIDDEN)
def test_nothing_but_reading_is_possible(demo: Path, tmp_path: Path, sql: str) -> None:
    target = tmp_path / "made"
    done = asked(demo, sql.format(file=target))
    assert done.returncode == 2 and done.stdout == "" and done.stderr.count("\n") == 1, (sql, done)
    assert not target.exists()
    (store,) = (demo / ".caskbook").glob("*.sqlite")
    with closing(sqlite3.connect(store)) as known:
        assert known.execute("SELECT count(*) FROM life").fetchone()[0] >= 60


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT randomblob(900000000)", "SELECT hex(zeroblob(900000000))", "SELECT length(replace(hex(cask), '0', printf('%.*c', 9000000, 'x'))) FROM cask",
        "SELECT group_concat(a.cask || b.cask || c.cask) FROM cask a, cask b, cask c, cask d",
    ],
)  # fmt: skip
def test_memory_has_an_end(demo: Path, sql: str) -> None:
    done = asked(demo, sql, "--timeout", "2")
    assert done.returncode == 2 or len(done.stdout) < 1_000_000
    assert done.stderr.count("\n") <= 1


def test_time_has_an_end(demo: Path) -> None:
    start = time.monotonic()
    done = asked(demo, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n", "--timeout", "1")
    assert done.returncode == 2 and "more than 1 s" in done.stderr and time.monotonic() - start < 8


def test_rows_have_an_end_and_it_is_said(demo: Path) -> None:
    sql = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n LIMIT 5000000) SELECT i FROM n"
    done = asked(demo, sql, "--limit", "3", "--format", "jsonl")
    assert done.stdout.splitlines() == ['{"i": 1}', '{"i": 2}', '{"i": 3}'] and "first 3 rows" in done.stderr


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("SELECT fills_since_chr FROM cask", "no such column: fills_since_chr; did you mean fills_since_char?"),
        ("SELECT * FROM casks", "no such table: casks; did you mean cask?"),
        ("SELECT * FROM fills", "no such table: fills; did you mean fill?"),
        ("SELECT litres FROM cask", "no such column: litres; it is one of event and fill:"),
        ("SELEC 1", 'near "SELEC": syntax error'),
        ("SELECT count(* FROM cask", "syntax error"),
        ("SELECT 1 + " + "1 + " * 40_000 + "1", "characters"),
    ],
)
def test_wrong_sql_is_told_in_one_line(demo: Path, sql: str, said: str) -> None:
    done = asked(demo, sql)
    assert done.returncode == 2 and said in done.stderr and done.stderr.count("\n") == 1


@pytest.mark.parametrize("words", [["query", "SELECT '\udcd6'"], ["list", "--where", "berth = '\udcd6'"], ["list", "--parcel", "\udcd6"], ["show", "\udcd65"]])
def test_a_byte_that_is_no_text_is_told_in_one_line(demo: Path, words: list[str]) -> None:
    done = caskbook(*words, "--records", str(demo))
    assert done.returncode == 2 and len(done.stderr.splitlines()) == 1 and ("no UTF-8" in done.stderr or "is no cask number" in done.stderr)


@pytest.mark.parametrize("form", ["json", "jsonl"])
def test_two_columns_of_one_name_are_not_made_one(demo: Path, form: str) -> None:
    joined = "select c.cask, c.state, d.cask, d.rule from cask c join due d on d.cask = c.cask limit 1"
    ran = asked(demo, joined, "--format", form)
    assert (
        ran.returncode == 2
        and not ran.stdout
        and "two columns are called cask: give one another name with AS, for JSON has each name once; csv and text take both" in ran.stderr
    ), ran.stderr
    ran = asked(demo, joined.replace("d.cask,", "d.cask AS other,"), "--format", form)
    assert ran.returncode == 0 and '"other"' in ran.stdout, ran.stderr
    assert asked(demo, joined, "--format", "csv").stdout.startswith("cask,state,cask,rule")


def test_odd_values_come_out(demo: Path) -> None:
    assert rows(demo, "SELECT x'00ff' AS a, 1e999 AS b, NULL AS c, CAST(x'ff' AS TEXT) AS d, char(27) AS e") == [
        {"a": "00ff", "b": None, "c": None, "d": "\N{REPLACEMENT CHARACTER}", "e": "\x1b"}
    ]
    assert "\x1b" not in asked(demo, "SELECT char(27) AS e").stdout


@pytest.mark.parametrize(
    "sql",
    [
        "explain select 1",
        "EXPLAIN QUERY PLAN SELECT 1",
        " -- a\n/* b */;explain select * from cask",
        "\ufeffexplain select 1",
        "/* explain */ explain select 1",
    ],
)
def test_sqlites_own_code_is_shown_to_nobody(demo: Path, sql: str) -> None:
    done = asked(demo, sql)
    assert done.returncode == 2 and "only SELECT on the tables" in done.stderr and done.stdout == ""
    assert rows(demo, "/* explain */ SELECT 'explain' AS said") == [{"said": "explain"}]


def test_the_tables_are_read_on_a_screen_of_80_columns_and_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rows = json.loads(caskbook("query", "--tables", "--format", "json").stdout)
    from caskbook.render.tables_text import tables_text

    for width in (60, 80, None):
        text = tables_text([list(row.values()) for row in rows], width)
        assert width is None or max(map(len, text.splitlines())) <= width
        plain = " ".join(text.split())
        assert all(" ".join(row["meaning"].split()) in plain for row in rows)
    piped = caskbook("query", "--tables").stdout.splitlines()
    assert any(line.startswith("  claim_by ") and line.endswith("else by due.claim.days") for line in piped)
