"""--from and --to of the reports that have a period: typed alike, refused alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from casks import ev
from cli.test_report_service import book
from commands import caskbook
from laws import crossed

CASKS = {"TH-000001": ([ev("2020-01-01", "receive", verdict="accept")], {})}
DAY = ("--as-of", "2022-01-01")


@crossed("report,case", ["loss", "leaks", "parts", "suppliers"], [
    ("--from 2021 --to 2020", "caskbook: --from 2021-01-01 --to 2020-12-31: the first day lies after the last one"),
    ("--from 2022-01-02", "caskbook: --from 2022-01-02: expected a day up to 2022-01-01, the day of the report; what comes after it is not known"),
    ("--to 2023", "caskbook: --to 2023: expected a day up to 2022-01-01, the day of the report; what comes after it is not known"),
    ("--to 2021-02-29", "caskbook: --to: '2021-02-29' is no day of the calendar: that month has 28 days; or a month, as 2022-01, or a year"),
])  # fmt: skip
def test_what_is_no_period_is_refused_in_a_line(tmp_path: Path, report: str, case: tuple[str, str]) -> None:
    words, says = case
    found = caskbook("report", report, "--records", str(book(tmp_path, CASKS)), *DAY, *words.split())
    assert (found.returncode, found.stdout, found.stderr) == (2, "", f"{says}\n")


@pytest.mark.parametrize("report", ["loss", "leaks", "parts", "suppliers"])
def test_a_month_or_a_year_that_is_not_over_ends_with_the_day_of_the_report(tmp_path: Path, report: str) -> None:
    root = book(tmp_path, CASKS)
    found = caskbook("report", report, "--records", str(root), "--as-of", "2021-06-15", "--from", "2021", "--to", "2021")
    assert found.returncode == 0
    assert "from 2021-01-01 to 2021-06-15, as the book has it on 2021-06-15" in " ".join(found.stdout.split("\n"))


def test_a_book_without_casks_has_periods_too(tmp_path: Path) -> None:
    found = caskbook("report", "leaks", "--records", str(book(tmp_path, {})), *DAY, "--from", "2021", "--format", "json")
    assert found.returncode == 0 and '"from": "2021-01-01"' in found.stdout
    assert caskbook("report", "leaks", "--records", str(book(tmp_path, {})), *DAY, "--from", "2023").returncode == 2
