"""`morning` as a cooper asks it at six: what is to be done today, where, why, and what had no place on the page."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from contextlib import closing
from pathlib import Path

import pytest
from casks import ev
from cli.test_plan import CASKS, HOUSE, RECEIVED, empty, fill, made, write
from commands import caskbook
from index.book import make_demo
from pypdfium2 import PdfDocument

from caskbook.core import extra
from caskbook.due import rule_named

DAY = "2026-11-30"
"""A Monday, so that the plan's first week begins with it; none of the casks turns in that week."""
HELD = [RECEIVED, ev("2026-11-01", "hold", why="label in doubt"), ev("2026-11-28", "examine", verdict="sound")]


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The casks of the plan's tests, and one that is held."""
    root = made(
        tmp_path_factory.mktemp("morning") / "book", "name: Thornmere House\n" + HOUSE.replace("{initials: ab}", "{initials: ab, name: first bench}"), **CASKS
    )
    write(root, "TH-000007", {}, HELD)
    return root


def asked(book: Path, *words: str, day: str = DAY) -> str:
    done = caskbook("morning", *words, "--as-of", day, "--records", str(book))
    assert done.returncode == 0, done.stderr
    return done.stdout


def rows(book: Path, *words: str, day: str = DAY) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(asked(book, *words, "--format", "csv", day=day))))


def standing(found: list[dict[str, str]], word: str = "on the sheet") -> list[tuple[str, str]]:
    return [(row["cask"], row["job"].split()[0]) for row in found if row["stands"] == word]


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.thorough
@pytest.mark.parametrize("hours", [0.8, 1.3, 4, 24])
def test_the_sheet_has_what_the_plan_lays_into_so_many_hours(book: Path, hours: float) -> None:
    """The same day as a week of so many hours: on the sheet what that takes, for want of hours what it does not."""
    found = rows(book, "--hours", str(hours))
    done = caskbook("plan", "--as-of", DAY, "--weeks", "1", "--hours-a-week", str(hours), "--format", "json", "--records", str(book))
    week = json.loads(done.stdout)
    jobs = {number: Counter((one["cask"], one["job"]) for one in week["jobs"] if one["week"] == number) for number in (1, None)}
    assert Counter(standing(found)) == jobs[1] and Counter(standing(found, "for want of hours")) == jobs[None] and jobs[1]
    assert Counter((one["cask"], one["job"]) for one in week["left_out"]) == Counter(standing(found, "retirement proposed"))
    assert {(one["cask"], one["hours"], one["due"]) for one in week["jobs"]} == {
        (row["cask"], float(row["hours"]) if row["hours"] else None, row["due"] or None)
        for row in found
        if row["stands"] in ("on the sheet", "for want of hours")
    }


def test_the_first_day_by_hand(book: Path) -> None:
    """A fifth of 4 h: the examination of 1 (0.5 h) fits, that of 2 (0.75 h, a butt) not, nor the stave of 3 (2.5 h) and what comes behind it. What has no hours
    takes none. W1/2/10 before W1/9/1, and what has no berth last."""
    found = rows(book)
    assert standing(found) == [("TH-000001", "examine"), ("TH-000006", "retire"), ("TH-000007", "decide")]
    assert [(row["page"], row["line"]) for row in found if row["stands"] == "on the sheet"] == [("1", "1"), ("1", "2"), ("1", "3")]
    assert standing(found, "for want of hours") == [("TH-000002", "examine"), ("TH-000003", "stave"), ("TH-000003", "drive"), ("TH-000003", "test")]
    assert standing(found, "retirement proposed") == [("TH-000006", "stave"), ("TH-000006", "test")]
    assert [(row["cask"], row["reasons"]) for row in found if row["stands"] == "held"] == [
        ("TH-000007", "held since 2026-11-01 (label in doubt): release it or decide")
    ]
    whole = [cask for cask, _ in standing(rows(book, "--hours", "20"))]
    assert list(dict.fromkeys(whole)) == ["TH-000003", "TH-000002", "TH-000001", "TH-000006", "TH-000007"]


def test_the_text_says_where_what_and_why_and_has_room_to_write(book: Path) -> None:
    said = asked(book, "--by", "AB")
    lines = said.splitlines()
    assert lines[0] == "Thornmere House · Monday 2026-11-30" + "for ab, first bench".rjust(80 - 35)
    at = next(n for n, line in enumerate(lines) if line.startswith("[ ] W1/2/10"))
    assert flat(lines[at]) == "[ ] W1/2/10 TH-000001 barrel examine 0.5 h" and lines[at + 1] == "    emptied 2026-11-20, not examined since"
    assert lines[at + 2] == "    the cask is [ ] sound [ ] repair [ ] hold [ ] reject   initials ______"
    assert "TH-000007 barrel, no berth: held since 2026-11-01 (label in doubt)" in flat(said)
    assert "retirement proposed: TH-000006 stave, test (" in flat(said)
    assert "of the 0.8 h of 1 cooper" in flat(said) and said.rstrip().endswith("7 casks of the book as of 2026-11-30: caskbook morning --as-of 2026-11-30")


def test_without_a_name_there_is_a_line_to_write_it_and_a_stranger_is_refused(book: Path) -> None:
    assert asked(book).splitlines()[0].endswith("for ____________")
    done = caskbook("morning", "--by", "zz", "--as-of", DAY, "--records", str(book))
    assert (done.returncode, done.stdout) == (2, "") and "zz is not of the crew: ab" in done.stderr


def test_what_has_no_place_is_counted_and_named_with_the_command_that_has_it(book: Path) -> None:
    said = flat(asked(book, "--hours", "20", "--lines", "2"))
    found = rows(book, "--hours", "20", "--lines", "2")
    left = [f"{cask} {job}" for cask, job in standing(found, "for want of lines")]
    assert len(standing(found)) == 2 and len(left) == 5 and not standing(found, "for want of hours")
    assert "on this sheet: 2 of 7 jobs due, on 2 of 5 casks, 0.50 h and 1 job without hours, of the 20 h of 1 cooper" in said
    assert (
        f"not on it: 5 jobs for want of lines, first {', '.join(left[:4])} and 1 more; all: caskbook morning --as-of 2026-11-30 --hours 20 --format csv" in said
    )
    assert "not on it: 4 jobs for want of hours and 1 job for want of lines, first " in flat(asked(book, "--lines", "2"))
    every = asked(book, "--hours", "20", "--lines", "2", "--pages", "9")
    assert "not on it" not in every and [flat(page.splitlines()[1]) for page in every.split("\f")] == [f"page {n} of 4" for n in (1, 2, 3, 4)]
    assert sum(page.count("\n[ ] ") for page in every.split("\f")) == 7 and "on this page: 2 jobs on 1 cask, 2.50 h and 1 job without hours" in every


@pytest.mark.thorough
def test_the_pressure_that_the_house_allows_stands_where_a_cask_is_tested(tmp_path: Path) -> None:
    """Of each type its own; where nothing is tested, none."""
    worked = [RECEIVED, fill("2018-01-10"), empty("2026-11-20"), ev("2026-11-21", "examine", verdict="sound"), ev("2026-11-22", "flag", at=["joint-3"])]
    root = made(tmp_path / "book", HOUSE + "test_limit_psi: 11\n", **{"TH-000001": ({}, worked), "TH-000002": ({"type": "butt", "capacity_l": 500}, worked)})
    (root / "house.yaml").write_text(
        (root / "house.yaml").read_text(encoding="utf-8").replace("types: {butt: {", "types: {butt: {test_limit_psi: 9, "), encoding="utf-8"
    )
    said = flat(asked(root, "--hours", "9"))
    assert "the house's limit of an air test: barrel 11 psi, butt 9 psi" in said and "psi ______" in said
    assert "Air test: nobody in line with a head (2 casks, to 500 L; the house's limit, 11 psi" in said and "Reminder only" in said
    assert "the house's limit of an air test: 9 psi" in flat(asked(root, "--hours", "9", "--type", "butt"))
    alone = flat(asked(root, "--coopers", "0"))
    assert "psi" not in alone and "Air test" not in alone and "not on it: 2 jobs for want of hours" in alone
    assert "longer than the day, which it has to itself: TH-000001 test" in flat(asked(root, "--hours", "0.5"))


@pytest.mark.thorough
def test_cautions_are_those_of_the_jobs_on_the_page(book: Path) -> None:
    said = flat(asked(book))
    assert "Looking in: ease the bung, then keep your face away (1 cask of 200 L). Reminder only" in said and "Driving" not in said
    assert "Driving: eyes and hands" in flat(asked(book, "--hours", "20"))
    pages = asked(book, "--hours", "20", "--lines", "2", "--pages", "9").split("\f")
    assert ["Driving" in page for page in pages] == ["  drive" in page for page in pages] and any("Driving" in page for page in pages)
    done = caskbook("morning", "--format", "json", "--as-of", DAY, "--records", str(book))
    assert "Looking in" in done.stderr and json.loads(done.stdout)["cautions"][0][-1].startswith("Reminder only")


@pytest.mark.thorough
def test_a_leak_that_drips_or_runs_is_looked_at_with_care_and_a_weep_as_it_is(tmp_path: Path) -> None:
    casks = {
        f"TH-00000{at}": ({}, [RECEIVED, fill("2026-01-10"), ev("2026-11-01", "leak", at="joint-3", severity=how)])
        for at, how in enumerate(("weep", "drip", "run"))
    }
    root = made(tmp_path / "book", HOUSE, **casks)
    assert "A leak: vapour gathers low down; no flame or spark near it (2 casks, to 200 L)" in flat(asked(root))
    (root / "casks" / "TH-000" / "TH-000001.yaml").unlink()
    (root / "casks" / "TH-000" / "TH-000002.yaml").unlink()
    assert "look" in asked(root) and "take care" not in asked(root)


@pytest.mark.thorough
def test_a_test_follows_from_work_that_stands_on_the_sheet(tmp_path: Path) -> None:
    """Charring unproves a cask: where it has no hours today, no test follows today."""
    fills = [event for year in range(2017, 2022) for event in (fill(f"{year}-03-01"), empty(f"{year}-10-01"))]
    root = made(tmp_path / "book", HOUSE, **{"TH-000001": ({}, [RECEIVED, *fills])})
    whole, short = (rows(root, "--hours", hours) for hours in ("4", "0.5"))
    assert standing(whole, "will follow") == [("TH-000001", "test")] and ("TH-000001", "char") in standing(whole)
    assert standing(short, "will follow") == [] and ("TH-000001", "char") in standing(short, "for want of hours")
    assert "1 test will follow from the work on this sheet: TH-000001 test" in flat(asked(root, "--hours", "4")) and "will follow" not in asked(
        root, "--hours", "0.5"
    )


@pytest.mark.thorough
def test_no_line_is_wider_than_80_columns_whatever_stands_in_it(tmp_path: Path) -> None:
    """Long berths, stores, names of the house, and reasons."""
    root = made(tmp_path / "book", f"name: {'House of long names ' * 5}\nstores: {{W1: {'a store of many words ' * 6}}}\n" + HOUSE.replace("stores:", "shops: []\n#"),
                **{"TH-000001": ({}, [RECEIVED, fill("2018-01-10", berth="W1/a-very-long-berth/behind-the-stairs/12"), empty("2026-11-20")]),
                   "TH-000002": ({}, [RECEIVED, ev("2026-11-01", "hold", why="for a reason that takes " * 9)])})  # fmt: skip
    for words in ((), ("--hours", "20"), ("--pages", "2", "--lines", "1")):
        for terminal in (False, True):
            done = caskbook("morning", *words, "--as-of", DAY, "--records", str(root), terminal=terminal)
            assert done.returncode == 0 and max(map(len, done.stdout.replace("\f", "").splitlines())) <= 80, done.stdout
            assert "examine" in done.stdout and "TH-000002" in done.stdout


@pytest.mark.thorough
def test_an_empty_book_one_cask_and_nothing_known(tmp_path: Path) -> None:
    root = made(tmp_path / "empty", HOUSE)
    assert "no cask is asked about" in asked(root) and json.loads(asked(root, "--format", "json"))["rows"] == []
    one = made(tmp_path / "one", "timezone: UTC\n", **{"TH-000001": CASKS["TH-000001"]})
    said = flat(asked(one))
    assert "on this sheet: 1 of 1 job due, on 1 of 1 cask, 1 job without hours; " in said
    assert "the hours of the day are not set (coopers and hours_a_week of house.yaml)" in said
    quiet = made(tmp_path / "quiet", HOUSE, **{"TH-000001": ({}, [RECEIVED, ev("2026-11-29", "examine", verdict="sound")])})
    assert "nothing that the book knows of is due today" in asked(quiet)
    strange = made(tmp_path / "strange", HOUSE, **{"TH-000001": ({}, [RECEIVED])})
    path = strange / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("events:", "Events:"), encoding="utf-8")
    said = flat(asked(strange))
    assert "nothing that the book knows of is due today" in said and "verdicts cannot be told, and nothing stands here for them: caskbook due --unknown" in said


REFUSED = {
    "--lines 25: expected 1 to 24": ("--lines", "25"), "--lines 0: expected 1 to 24": ("--lines", "0"), "--pages 21: expected 1 to 20": ("--pages", "21"),
    "--hours 25: expected more than 0, up to 24": ("--hours", "25"), "--hours 0: expected more": ("--hours", "0"), "--coopers -1: expected 0 to 999": ("--coopers", "-1"),
    "--format yaml: expected": ("--format", "yaml"), "expected a file that ends in": ("--save", "x.doc"), "the ending says text": ("--save", "x.pdf", "--format", "json"),
}  # fmt: skip


@pytest.mark.parametrize("told", REFUSED)
def test_what_cannot_be_is_refused_in_a_line(book: Path, told: str) -> None:
    done = caskbook("morning", *REFUSED[told], "--as-of", DAY, "--records", str(book))
    assert done.returncode == 2 and told in done.stderr and not done.stdout and len(done.stderr.splitlines()) == 1, done.stderr


def pdf_text(path: Path) -> list[str]:
    with closing(PdfDocument(path)) as printed:
        return [page.get_textpage().get_text_bounded() for page in printed]


@pytest.mark.thorough
def test_the_pdf_is_one_page_with_the_same_jobs(book: Path, tmp_path: Path) -> None:
    target = tmp_path / "today.pdf"
    assert asked(book, "--hours", "20", "--by", "ab", "--save", str(target)) == f"saved {target}\n"
    (said,) = pdf_text(target)
    for row in rows(book, "--hours", "20"):
        if row["stands"] == "on the sheet":
            assert row["cask"] in said and row["job"] in said and (row["berth"] or "no berth") in said, row
    for word in (
        "Thornmere House · Monday 2026-11-30",
        "for ab, first bench",
        "take care",
        "Reminder only",
        "held, not to be filled: 1 cask",
        "psi",
        "initials",
        "warehouse 3",
    ):
        assert word in said, word
    asked(book, "--hours", "20", "--lines", "3", "--pages", "4", "--save", str(target))
    assert [f"page {n} of 3" in page for n, page in enumerate(pdf_text(target), 1)] == [True] * 3
    target.write_text("mine", encoding="utf-8")
    done = caskbook("morning", "--save", str(target), "--as-of", DAY, "--records", str(book))
    assert done.returncode == 2 and target.read_text(encoding="utf-8") == "mine"


@pytest.mark.thorough
def test_other_files_have_what_is_printed_and_a_pdf_says_what_it_lacks(book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a.txt", "a.html", "a.svg"):
        asked(book, "--save", str(tmp_path / name))
    assert (tmp_path / "a.txt").read_text(encoding="utf-8") == asked(book) and "[ ] W1/2/10" in (tmp_path / "a.html").read_text(encoding="utf-8")
    asked(book, "--save", str(tmp_path / "a.csv"))
    assert (tmp_path / "a.csv").read_bytes().decode() == asked(book, "--format", "csv")
    extra.library.cache_clear()
    monkeypatch.setitem(__import__("sys").modules, "reportlab", None)
    done = caskbook("morning", "--save", str(tmp_path / "b.pdf"), "--as-of", DAY, "--records", str(book))
    assert done.returncode == 2 and "pip install" in done.stderr and not (tmp_path / "b.pdf").exists()
    extra.library.cache_clear()


@pytest.mark.thorough
def test_of_a_whole_book_each_matter_that_is_due_stands_somewhere(tmp_path: Path) -> None:
    """Each cask and rule that `due` lists has a row: on the sheet, for want of hours or lines, or not planned and why."""
    root = make_demo(tmp_path / "book", 200, 3)
    day, house = "2026-10-31", root / "house.yaml"
    house.write_text(house.read_text(encoding="utf-8") + "job_hours: {examine: 0.5, regauge: 0.25, test: 0.5, look: 0.1, char: 1}\n", encoding="utf-8")
    due = json.loads(caskbook("due", "--as-of", day, "--format", "json", "--records", str(root)).stdout)
    found = rows(root, "--coopers", "2", "--hours", "1.5", "--lines", "2", day=day)
    told = {(row["cask"], row["rule"]) for row in found}
    jobs = {(row["cask"], row["job"].split()[0]) for row in found}
    for one in due:
        wanted = rule_named(one["rule"])
        assert wanted and ((one["cask"], one["rule"]) in told or any((one["cask"], job) in jobs for job in wanted.jobs)), one
    assert len(due) > 10 and {row["stands"] for row in found} >= {"on the sheet", "for want of hours", "for want of lines"}
    assert sum(float(row["hours"] or 0) for row in found if row["stands"] == "on the sheet") <= 3
