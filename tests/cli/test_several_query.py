"""`query` of several ledgers: SQL over the rows of all, guarded as of one; saved questions asked of each."""

from __future__ import annotations

import json
import tempfile
from collections import Counter
from pathlib import Path

import pytest
from commands import caskbook
from index.book import without_index
from two_ledgers import DAY, Two, asked, csv_rows, files_of, rename, rows, small
from two_ledgers import both as both
from two_ledgers import demos as demos

pytestmark = pytest.mark.thorough


def test_counts_of_all_ledgers_are_those_of_their_files(both: Two) -> None:
    counted = Counter((name, facts.get("state")) for name, casks in both.facts.items() for facts in casks.values())
    assert {
        (row["ledger"], row["state"]): row["n"] for row in rows("query", "SELECT ledger, state, count(*) AS n FROM cask GROUP BY 1, 2", *both.words)
    } == counted
    by_state = Counter(state for _, state in counted.elements())
    assert {row["state"]: row["n"] for row in rows("query", "SELECT state, count(*) AS n FROM cask GROUP BY 1", *both.words)} == by_state


def test_entries_are_those_of_the_files_and_joins_by_ledger_and_cask_keep_casks_apart(demos: Two) -> None:
    files = {("North", demos.north): files_of(demos.north), ("South-Side", demos.south): files_of(demos.south)}
    written = {(name, cask): sum(str(e["date"]) <= DAY for e in data["events"]) for (name, _), casks in files.items() for cask, data in casks.items()}
    sql = "SELECT c.ledger, c.cask, count(e.id) AS n FROM cask c LEFT JOIN event e ON e.ledger = c.ledger AND e.cask = c.cask GROUP BY 1, 2"
    done = caskbook("query", sql, "--format", "json", *demos.words, "--as-of", DAY)
    assert {(row["ledger"], row["cask"]): row["n"] for row in json.loads(done.stdout)} == written and not done.stderr


@pytest.mark.parametrize(("table", "order"), [("cask", "cask"), ("event", "cask, id"), ("fill", "cask, start, event"), ("due", "cask, rule")])
def test_each_table_has_the_rows_that_it_has_in_each_ledger(demos: Two, table: str, order: str) -> None:
    whole = csv_rows("query", f"SELECT * FROM {table} ORDER BY ledger, {order}", *demos.words)
    parts = {
        name: csv_rows("query", f"SELECT * FROM {table} ORDER BY {order}", "--records", str(root))
        for name, root in (("North", demos.north), ("South-Side", demos.south))
    }
    assert whole == [{"ledger": name, **row} for name, part in parts.items() for row in part] and len(whole) > 50
    assert next(iter(whole[0])) == "ledger"


def test_columns_that_are_named_have_what_they_have_where_all_are_taken(demos: Two) -> None:
    few = rows(
        "query", "SELECT d.ledger, d.cask, d.rule, d.reasons FROM due d JOIN cask c USING (ledger, cask) WHERE c.type = 'barrel' ORDER BY 1, 2, 3", *demos.words
    )
    every = {(row["ledger"], row["cask"], row["rule"]): row["reasons"] for row in rows("query", "SELECT * FROM due WHERE type = 'barrel'", *demos.words)}
    assert {(row["ledger"], row["cask"], row["rule"]): row["reasons"] for row in few} == every and every


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT * FROM rows_cask",
        "SELECT * FROM main.rows_due",
        "SELECT * FROM sqlite_master",
        "SELECT * FROM temp.sqlite_master",
        "ATTACH 'x.sqlite' AS x",
        "DELETE FROM rows_cask",
        "CREATE TABLE x (y)",
        "PRAGMA database_list",
        "SELECT load_extension('x')",
        "SELECT * FROM pragma_database_list",
        "EXPLAIN SELECT * FROM cask",
        "VACUUM INTO 'x.sqlite'",
    ],
)
def test_the_guard_holds(demos: Two, sql: str, tmp_path: Path) -> None:
    done = caskbook("query", sql, *demos.words, cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "") and done.stderr.startswith("caskbook: SQL: "), done
    assert list(tmp_path.iterdir()) == []


def test_limits_of_rows_time_and_length_hold(both: Two) -> None:
    done = caskbook("query", "SELECT cask, ledger FROM cask", "--limit", "3", "--format", "csv", *both.words)
    assert done.stdout.count("\n") == 4 and done.stderr.endswith("only the first 3 rows; --limit takes another number\n")
    endless = "WITH RECURSIVE a(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM a) SELECT count(*) FROM a"
    assert "took more than 1 s" in caskbook("query", endless, "--timeout", "1", *both.words).stderr
    assert "at most 100000 are taken" in caskbook("query", f"SELECT '{'x' * 100_000}'", *both.words).stderr


def test_nothing_is_left_behind(both: Two, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    for sql in ("SELECT count(*) FROM event", "SELECT nonsense FROM cask"):
        caskbook("query", sql, *both.words)
    with without_index():
        assert rows("query", "SELECT count(*) AS n FROM cask", *both.words)[0]["n"] == sum(map(len, both.facts.values()))
    assert list(tmp_path.iterdir()) == []


def test_numbers_looked_at_without_their_ledger_are_told(both: Two) -> None:
    shared = len(both.facts["North"].keys() & both.facts["South-Side"].keys())

    def said(sql: str) -> bool:
        return f"{shared} numbers of casks stand in several ledgers" in caskbook("query", sql, *both.words).stderr

    assert said("SELECT count(DISTINCT cask) FROM cask") and said("SELECT c.type FROM cask c JOIN due d ON d.cask = c.cask")
    assert not said("SELECT state, count(*) FROM cask GROUP BY state") and not said("SELECT count(DISTINCT ledger || cask) FROM cask")


def test_a_saved_question_is_asked_of_each(demos: Two) -> None:
    told = csv_rows("query", "suppliers", *demos.words)
    for name, root in (("North", demos.north), ("South-Side", demos.south)):
        own = csv_rows("query", "suppliers", "--records", str(root))
        assert [{key: row[key] for key in own[0]} for row in told if row["ledger"] == name] == own and own
    assert asked("query", "suppliers", *demos.words).split("\n")[0].endswith("(asked of each ledger)")
    cut = caskbook("query", "suppliers", "--limit", "2", "--format", "csv", *demos.words)
    assert cut.stdout.count("\n") == 3 and "only the first 2 rows" in cut.stderr


def test_a_question_of_one_house_is_refused_of_the_other_by_name(tmp_path: Path) -> None:
    question = "questions: {mine: {title: Mine, sql: SELECT cask FROM cask}}\n"
    mine, other = small(tmp_path / "a", "Mine", question), small(tmp_path / "b", "Other")
    words = ("--records", str(mine), "--records", str(other))
    done = caskbook("query", "mine", *words)
    assert done.returncode == 2 and done.stderr.startswith("caskbook: Other: no saved question is called mine")
    listed = csv_rows("query", "--list", *words)
    assert [row["ledger"] for row in listed if row["name"] == "mine"] == ["Mine"] and {row["ledger"] for row in listed} == {"Mine", ""}
    third = small(tmp_path / "c", "Third", "questions: {mine: {title: Mine, sql: SELECT type FROM cask}}\n")
    done = caskbook("query", "mine", "--records", str(mine), "--records", str(third))
    assert done.returncode == 2 and "Third: the question asks for other columns here (type) than in the ledgers before (cask)" in done.stderr
    rename(third, "Mine")
    assert "both called Mine" in caskbook("query", "mine", "--records", str(mine), "--records", str(third)).stderr


def test_the_tables_tell_the_ledger_where_there_are_several(both: Two) -> None:
    told = csv_rows("query", "--tables", *both.words)
    assert [row["table"] for row in told if row["column"] == "ledger"] == ["cask", "event", "fill", "due"]
    assert "ledger" not in {row["column"] for row in csv_rows("query", "--tables", "--records", str(both.north))}


def test_wrong_sql_is_told_in_a_line(both: Two) -> None:
    assert "no such column: nonsense" in caskbook("query", "SELECT nonsense FROM cask", *both.words).stderr
    assert "two columns are called cask" in caskbook("query", "SELECT cask, cask FROM cask", "--format", "json", *both.words).stderr
