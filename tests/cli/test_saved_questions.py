"""Saved questions: those of house.yaml, those that come with the program, and what `check` says of one that cannot be asked."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook
from index.book import DAY, make_demo
from index.tables_of_files import Files, Row

from caskbook.model.house_file import read_house
from caskbook.model.questions import is_question_name, sql_fault
from caskbook.words.shipped_questions import SHIPPED_QUESTIONS

OWN = """
questions:
  full-butts: {title: Butts that lie full, sql: "SELECT cask FROM cask WHERE type = 'butt' AND contents = 'spirit'"}
  vats: {title: Our vats, sql: SELECT 1 AS ours}
"""
Tables = dict[str, list[Row]]


@pytest.mark.parametrize("name", SHIPPED_QUESTIONS)
def test_a_shipped_question_can_be_asked(name: str) -> None:
    title, sql = SHIPPED_QUESTIONS[name]
    assert is_question_name(name) and sql_fault(sql) is None and 0 < len(title) < 79


@pytest.mark.parametrize(
    ("sql", "said"),
    [
        ("SELECT spirt FROM cask", "no such column: spirt; did you mean spirit?"), ("SELECT 1 FROM casks", "no such table: casks; did you mean cask?"),
        ("DELETE FROM cask", "only SELECT on the tables"), ("SELECT load_extension('x')", "only SELECT on the tables"), ("SELECT 1; SELECT 2", "one statement"),
        ("explain SELECT 1", "only SELECT on the tables"), ("SELECT name FROM sqlite_master", "only SELECT on the tables"), ("SELEC 1", "syntax error"),
    ],
)  # fmt: skip
def test_wrong_sql_is_known_without_a_book(sql: str, said: str) -> None:
    assert said in (sql_fault(sql) or "")


@pytest.mark.parametrize("sql", ["SELECT plain_vat(vat), value FROM cask, json_each(marks)", "\n ;select 1", "WITH a AS (SELECT 1) SELECT * FROM a"])
def test_what_can_be_asked_is_no_fault(sql: str) -> None:
    assert sql_fault(sql) is None


def test_a_name_is_no_sql() -> None:
    assert not any(is_question_name(text) for text in ("SELECT 1", "Select", "", "-a", "a-", "a_b", "a b"))


def test_the_house_has_them_from_its_file() -> None:
    settings = read_house("house.yaml", OWN.encode()).house.on(date(2026, 1, 1))
    assert settings.questions["full-butts"].title == "Butts that lie full"


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Tables]:
    """A ledger with questions of its own, and its tables as worked out of the files."""
    root = make_demo(tmp_path_factory.mktemp("demo") / "book", 150)
    with (root / "house.yaml").open("a", encoding="utf-8") as file:
        file.write(OWN)
    return root, Files(root).tables(date.fromisoformat(DAY))


def _asked(root: Path, *words: str) -> Any:
    done = caskbook("query", *words, "--records", str(root), "--as-of", DAY, "--format", "json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def _of(row: Row, name: str) -> Any:
    value = row[name]
    return json.loads(value) if isinstance(value, str) and value[:1] in "[{" else value


def _fails(tables: Tables) -> list[Row]:
    """Tests that failed; one that leaked, was cured and passed in one go is a fail, then a pass."""
    tests = [(row, _of(row, "data")) for row in tables["event"] if row["job"] == "test" and row["stands"]]
    assert any(data.get("cured_by") for _, data in tests)
    return [row for row, data in tests if data.get("result") == "fail" or data.get("cured_by")]


def _failed(tables: Tables) -> Counter[str]:
    return Counter(row["cask"] for row in _fails(tables))


def _people(tables: Tables) -> dict[Any, tuple[int, int]]:
    failed = Counter(row["by"] for row in _fails(tables))
    tests = Counter(row["by"] for row in tables["event"] if row["job"] == "test" and row["stands"])
    return {person: (count, failed[person]) for person, count in tests.items()}


def _empties(tables: Tables) -> dict[str, str]:
    here = {row["cask"] for row in tables["cask"] if row["contents"] == "empty" and row["whereabouts"] == "here" and row["form"] != "gone"}
    ended: dict[str, str] = {}
    for row in tables["fill"]:
        if row["cask"] in here:
            ended[row["cask"]] = max(ended.get(row["cask"], ""), str(row["end"]))
    return ended


def _suppliers(tables: Tables) -> dict[Any, tuple[int, int, int]]:
    failed, found = _failed(tables), {}
    for name in {row["supplier"] for row in tables["cask"]}:
        casks = [row for row in tables["cask"] if row["supplier"] == name]
        found[name] = (len(casks), sum(row["form"] == "gone" for row in casks), sum(row["cask"] in failed for row in casks))
    return found


def _losses(tables: Tables) -> dict[Any, tuple[int, float]]:
    found: dict[Any, list[float]] = {}
    for row in tables["fill"]:
        if row["loss_per_year"] is not None and row["loss_doubt"] is None:
            found.setdefault(row["store"], []).append(row["loss_per_year"])
    return {store: (len(rates), round(sum(rates) / len(rates), 3)) for store, rates in found.items()}


def _due(tables: Tables) -> Counter[tuple[Any, str]]:
    store = {row["cask"]: row["store"] for row in tables["cask"]}
    return Counter((store[row["cask"]], row["rule"]) for row in tables["due"] if row["verdict"] in ("due", "blocked"))


# Question → (what its rows say, the same worked out in Python).
FACTS: dict[str, tuple[Callable[[list[Row]], Any], Callable[[Tables], Any]]] = {
    "empty-longest": (lambda rows: {row["cask"]: row["emptied"] for row in rows}, _empties),
    "work-by-month": (
        lambda rows: {(row["month"], row["job"]): row["entries"] for row in rows},
        lambda tables: Counter((str(row["date"])[:7], row["job"]) for row in tables["event"] if row["stands"]),
    ),
    "tests-by-person": (
        lambda rows: {row["person"]: (row["tests"], row["failed"]) for row in rows},
        _people,
    ),
    "failed-tests": (lambda rows: {row["cask"]: row["failed"] for row in rows}, _failed),
    "open-leaks": (
        lambda rows: Counter((row["cask"], row["at"]) for row in rows),
        lambda tables: Counter((row["cask"], leak["at"]) for row in tables["cask"] for leak in _of(row, "open_leaks")),
    ),
    "loss-by-store": (lambda rows: {row["store"]: (row["fills"], round(row["mean_a_year"], 3)) for row in rows}, _losses),
    "staves-by-cask": (
        lambda rows: {row["cask"]: row["replaced"] for row in rows},
        lambda tables: {row["cask"]: sum(_of(row, "staves_replaced").values()) for row in tables["cask"] if _of(row, "staves_replaced")},
    ),
    "suppliers": (lambda rows: {row["supplier"]: (row["casks"], row["gone"], row["failed"]) for row in rows}, _suppliers),
    "vats": (
        lambda rows: {(row["vat"], row["spirit"]): row["casks"] for row in rows},
        lambda tables: Counter((row["vat"], row["spirit"]) for row in tables["fill"] if row["vat"] is not None),
    ),
    "due-by-store": (lambda rows: {(row["store"], row["rule"]): row["casks"] for row in rows}, _due),
}
NOT_IN_A_DEMO = ("vats", "open-leaks")


@pytest.mark.thorough
@pytest.mark.parametrize("name", SHIPPED_QUESTIONS)
def test_a_shipped_question_tells_what_the_files_tell(demo: tuple[Path, Tables], name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    root, tables = demo
    rows = _asked(root, SHIPPED_QUESTIONS[name][1] if name == "vats" else name)
    told, expected = (FACTS[name][0](rows), FACTS[name][1](tables))
    assert told == expected and (rows or name in NOT_IN_A_DEMO)


def test_the_two_figures_of_a_years_loss_have_two_names() -> None:
    """The question has the mean of the fills, the account the middle without what the wood took at first."""
    assert "mean_a_year" in SHIPPED_QUESTIONS["loss-by-store"][1] and "the mean, with" in SHIPPED_QUESTIONS["loss-by-store"][0]
    told = caskbook("report", "loss", "--by", "store", "--as-of", "2026-11-25").stdout
    assert "of several fills the middle (query loss-by-store: their mean, with it)" in " ".join(told.split())


@pytest.mark.thorough
def test_a_question_of_the_house_goes_before(demo: tuple[Path, Tables]) -> None:
    root = demo[0]
    where = ("--records", str(root), "--as-of", DAY)
    done = caskbook("query", "vats", *where)
    assert done.stdout == "Our vats\n\nours\n   1\n" and "vats is asked as house.yaml has it, not as it comes with caskbook" in done.stderr
    assert caskbook("query", "full-butts", *where).stderr == ""
    listed = {row["name"]: row for row in _asked(root, "--list")}
    assert listed["vats"] == {"name": "vats", "title": "Our vats", "from": "house.yaml"} and listed["suppliers"]["from"] == "caskbook"
    assert len(listed) == len(SHIPPED_QUESTIONS) + 1 and list(listed)[:2] == ["full-butts", "vats"]


def test_the_list_tells_each_title_in_full_on_a_screen_of_80(demo: tuple[Path, Tables]) -> None:
    text = caskbook("query", "--list", "--records", str(demo[0])).stdout
    words = " ".join(text.split())
    assert all(f"{name} {title}" in words for name, (title, _) in SHIPPED_QUESTIONS.items() if name != "vats") and max(map(len, text.split("\n"))) <= 80
    assert words.startswith("of house.yaml full-butts ") and " of caskbook " in words and "vats Our vats" in words


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("suplier",), "no saved question is called suplier: did you mean suppliers?"), (("xyzzyx",), "`caskbook query --list` names them all"),
        (("SELECT 1", "--list"), "--list with a question"), (("--tables", "--list"), "--tables with --list"),
    ],
)  # fmt: skip
def test_a_name_that_is_none_is_told_in_one_line(demo: tuple[Path, Tables], words: tuple[str, ...], said: str) -> None:
    done = caskbook("query", *words, "--records", str(demo[0]))
    assert done.returncode == 2 and said in done.stderr and done.stderr.count("\n") == 1 and done.stdout == ""


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("written", "line", "said"),
    [
        ("questions:\n  a-b: {title: A, sql: SELECT cask FROM cask}\n  c-d:\n    title: C\n    sql: SELECT spirt FROM cask\n", 5, "did you mean spirit?"),
        ("questions:\n  Old: {title: A, sql: SELECT cask FROM cask}\n", 2, "is no name of a question"),
        ("questions: [{since: 2020-01-01, value: {x: {title: A, sql: SELEC}}}]\n", 1, "syntax error"),
    ],
)
def test_a_question_that_cannot_be_asked_is_a_warning_at_its_place(tmp_path: Path, written: str, line: int, said: str) -> None:
    root = tmp_path / "book"
    (root / "casks").mkdir(parents=True)
    (root / "house.yaml").write_text(written, encoding="utf-8")
    found = [one for one in json.loads(caskbook("check", "--records", str(root), "--format", "json").stdout)["findings"] if "question" in one["code"]]
    assert [(one["code"], one["severity"], one["line"]) for one in found] == [("question-cannot-be-asked", "warning", line)]
    assert said in found[0]["message"] + found[0]["help"]
