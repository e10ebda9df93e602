"""Spans of many casks put together: what counts in which group, what is left out and told, and the report that is made of it."""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from caskbook.life.service import AGAIN, BUNG, FIRST, GONE, OTHER, RECHARRED, Service
from caskbook.render.console import to_ascii
from caskbook.render.service import service_text
from caskbook.render.service_data import service_csv, service_json
from caskbook.stats.service import Account, Row, account_of, overview
from caskbook.stats.service_report import ServiceReport, meant

DAY = date(2020, 1, 1)
FACTS = {"type": "barrel", "supplier": None, "maker": "Fenwick Hollow", "wood": None, "owner": "house", "parcel": "P-1"}


def char(years: float, kind: str = RECHARRED, *, entry: float | None = None, **more: object) -> Service:
    """A char of so many years that ended on the day of the report, or serves (`kind` empty)."""
    start = DAY - timedelta(days=math.ceil(years * 365.2425))
    watched = None if entry is None else start + timedelta(days=round(entry * 365.2425))
    return Service("char", start, watched, DAY if kind else None, kind, FIRST, "racks")._replace(**more)  # type: ignore[arg-type]


def rows(*spans: Service, **facts: object) -> list[Row]:
    return [({**FACTS, **facts}, [span]) for span in spans]


TWENTY = [char(1 + n) for n in range(20)] + [char(30, "") for _ in range(20)]
"""Of forty, one ends after each of the years 1 to 20: S(t) = 1 - t/40, and half have ended after 20."""


def report(*accounts: Account, explain: bool = False, casks: int = 40, only: tuple[str, ...] = ()) -> ServiceReport:
    return ServiceReport(DAY, accounts, casks, 0, {}, only, {}, explain)


def said(account: Account, *, explain: bool = False) -> str:
    """The text in one line, so that it can be looked for words."""
    return " ".join(service_text(report(account, explain=explain), width=80).split())


def test_forty_chars_by_hand() -> None:
    account = account_of(rows(*TWENTY), "char", DAY)
    one = account.whole
    assert (one.watched, one.ended, one.censored, one.few) == (40, 20, 20, "")
    assert [step.survival for step in one.steps] == pytest.approx([1 - n / 40 for n in range(1, 21)])
    assert one.median is not None and one.median.time == pytest.approx(20, abs=0.01)
    assert "half are re-charred, retired or gone by 20 years (95 %: 14 to an age not reached)" in said(account)
    assert "40 chars: 20 ends (re-charred 20) + 20 censored (serving still, or missing)" in said(account)


def test_nineteen_ends_are_too_few_for_a_curve_and_counts_alone_are_told() -> None:
    account = account_of(rows(*TWENTY[1:]), "char", DAY)
    assert (account.whole.ended, account.whole.steps, account.whole.median) == (19, (), None)
    assert "19 ends: too few for a curve; 20 wanted 39 chars: 19 ends (re-charred 19) + 20 censored" in said(account)
    assert "━" not in said(account)


def test_one_early_end_at_risk_alone_does_not_set_the_curve_to_nothing() -> None:
    late = [char(10 + n, entry=5) for n in range(25)]
    account = account_of(rows(char(2, entry=1), *late), "char", DAY)
    stretch = account.whole.stretch
    assert stretch is not None and stretch.since == pytest.approx(5, abs=0.01)
    assert account.whole.steps[0].survival == pytest.approx(24 / 25)
    assert (account.whole.ended, account.whole.ended_in_stretch) == (26, 16)
    text = said(account)
    assert "of those that had served 5 years, half are re-charred, retired or gone by 22 years" in text
    assert "given alive at 5 years: before, fewer than 10 are at risk" in text
    assert "to 25 years, as far as 10 are at risk · 16 of 26 ends lie in it" in text


def test_what_cannot_be_told_is_left_out_and_counted() -> None:
    account = account_of(rows(*TWENTY, Service("char", None, lacks="last char not known", weight=3), char(4, entry=4)), "char", DAY)
    assert account.left_out == {"last char not known": 3, "over on the day they came": 1}
    assert account.whole.watched == 40
    assert "left out: last char not known 3 · over on the day they came 1" in said(account)


def test_in_fills_a_char_is_watched_from_the_fills_it_came_with() -> None:
    spans = [char(9, fills_in=2, fills=3), char(9, fills_in=None, fills=3), char(9, fills_in=3, fills=3), char(9, fills=None)]
    account = account_of(rows(*spans), "char", DAY, unit="fills")
    assert account.left_out == {"no fill since they came": 1, "fills before us not known": 1}
    assert account.whole.watched == 2


def test_casks_of_which_nobody_knows_when_they_were_made_stand_apart() -> None:
    made, unmade = Service("cask", date(2000, 1, 1), about=True), Service("cask", date(2010, 1, 1), received=True, weight=2)
    account = account_of(rows(made, unmade), "cask", DAY)
    assert (account.whole.watched, account.about) == (1, 1)
    assert account.apart is not None and account.apart.watched == 2
    assert "apart, counted from the receipt, the cask's making not known: 2 casks, 0 ends, 2 censored · 0 ends: too few" in said(account)


def two_groups(factor: float = 1.0) -> list[Row]:
    return [*rows(*TWENTY), *rows(*(char((1 + n) * factor) for n in range(25)), type="hogshead"), *rows(*TWENTY[:5], type="butt")]


def test_groups_are_tested_and_small_ones_left_out_of_the_test() -> None:
    account = account_of(two_groups(0.3), "char", DAY, by="type")
    assert [(one.name, one.watched, bool(one.few)) for one in account.groups] == [("barrel", 40, False), ("butt", 5, True), ("hogshead", 25, False)]
    assert (account.tested, account.small) == (("barrel", "hogshead"), ("butt",))
    assert account.test is not None and account.test.freedom == 1 and account.test.p < 0.001
    text = said(account)
    assert "log-rank p < 0.001 (chi-square" in text and "1 degree of freedom) of barrel, hogshead." in text
    assert "It does not say which differ, by how much, nor why." in text
    assert "too small for the test: butt" in text


def test_without_a_difference_none_is_shown_nor_that_there_is_none() -> None:
    alike = account_of([*rows(*TWENTY), *rows(*TWENTY, supplier="northquay")], "char", DAY, by="supplier")
    assert [one.name for one in alike.groups] == ["northquay", "?"]
    assert alike.test is None and "no test, for fewer than two groups have ends enough" in said(alike)
    alike = account_of([*rows(*TWENTY, supplier="ashgarth"), *rows(*TWENTY, supplier="northquay")], "char", DAY, by="supplier")
    assert alike.test is not None and alike.test.p == pytest.approx(1)
    assert "no difference is shown, nor that there is none" in said(alike)


def test_the_store_is_that_of_the_span_and_not_of_the_cask_today() -> None:
    spans = [char(3), char(4, store="yard"), char(5, store=None)]
    by_store = account_of(rows(*spans), "char", DAY, by="store")
    assert [(one.name, one.watched) for one in by_store.groups] == [("racks", 1), ("yard", 1), ("?", 1)]
    assert account_of(rows(*spans), "char", DAY, stores=("yard",)).whole.watched == 1


def test_all_kinds_have_a_line_and_the_way_to_more() -> None:
    spans = [
        *TWENTY,
        Service("cask", date(2000, 1, 1)),
        Service("stave", date(2000, 1, 1), None, None, "", OTHER, weight=30),
        Service("stave", date(2000, 1, 1), sort=BUNG),
    ]
    accounts = overview(rows(*spans), DAY)
    text = service_text(report(*accounts), width=80)
    for name, watched in (("char", 40), ("cask", 1), ("bung stave", 1), ("other staves", 30)):
        assert any(line.startswith(name) and line.split()[len(name.split())] == str(watched) for line in text.splitlines()), name
    assert "caskbook report service stave" in text


def widths(text: str) -> int:
    return max(map(len, text.splitlines()))


@pytest.mark.parametrize("width", [80, 60, None])
def test_every_screen_fits(width: int | None) -> None:
    long = dict.fromkeys(("type", "supplier"), "a name that is longer than it should be " * 3)
    for weight in (1, 12345):
        spans = [one._replace(weight=weight) for one in [*TWENTY, *(char(25 + n / 10, GONE, entry=3) for n in range(5))]]
        found = rows(*spans) + rows(*spans, **long)
        for account in (account_of(found, "char", DAY), account_of(found, "char", DAY, by="type"), account_of(found, "char", DAY, by="char")):
            assert widths(service_text(report(account, explain=True, only=("only type barrel",)), width=width)) <= (width or 80)
        assert widths(service_text(report(*overview(found, DAY), explain=True), width=width)) <= (width or 80)


def test_the_picture_falls_from_all_to_what_is_left_with_the_risk_set_under_it() -> None:
    lines = service_text(report(account_of(rows(*TWENTY), "char", DAY)), width=80).splitlines()
    drawn = [line for line in lines if "┤" in line]
    assert len(drawn) == 11 and drawn[0].split()[0] == "100" and "━" in drawn[0] and "━" in drawn[5]
    (at_risk,) = (line for line in lines if line.startswith("at risk"))
    (ages,) = (line for line in lines if line.startswith("years"))
    assert dict(zip(ages.split()[1:], at_risk.split()[2:], strict=True)) == {"0": "40", "5": "36", "10": "31", "15": "26", "20": "21", "25": "20", "30": "20"}


def told(text: str, which: str) -> Sequence[dict[str, str]]:
    return [row for row in csv.DictReader(io.StringIO(text)) if row["group"] == which]


def test_json_and_csv_have_every_step() -> None:
    account = account_of(two_groups(), "char", DAY, by="type")
    (read,) = json.loads(service_json(report(account)))["accounts"]
    assert [len(one["steps"]) for one in (read["whole"], *read["groups"])] == [len(one.steps) for one in (account.whole, *account.groups)]
    steps = read["groups"][0]["steps"]
    assert steps[0] | {"time": 1.0} == {
        "time": 1.0, "at_risk": 40, "ends": 1, "kinds": {RECHARRED: 1}, "survival": 0.975, "lower": pytest.approx(0.8357, abs=1e-3),
        "upper": pytest.approx(0.9965, abs=1e-3), "incidence": {RECHARRED: 0.025},
    }  # fmt: skip
    text = service_csv(report(account))
    for row, step in zip(told(text, "barrel"), steps, strict=True):
        assert (float(row["time"]), int(row["at_risk"]), float(row["survival"]), float(row[f"{RECHARRED}_share"])) == (
            step["time"], step["at_risk"], step["survival"], step["incidence"][RECHARRED],
        )  # fmt: skip
    (few,) = told(text, "butt")
    assert (few["ends"], few["remark"]) == ("5", "5 ends: too few for a curve; 20 wanted")


def test_no_casks_and_nothing_known() -> None:
    empty = account_of([], "char", DAY)
    assert service_text(report(empty, casks=0), width=80).splitlines() == [
        "how long a char serves, on 2020-01-01, in years",
        "no casks: none is in the book on that day",
    ]
    unknown = account_of(rows(Service("char", None, lacks="last char not known")), "char", DAY)
    assert "no char that can be followed left out: last char not known 1" in said(unknown)


def test_everything_that_is_shown_is_explained() -> None:
    figures = {one.figure for one in meant(report(account_of(rows(*TWENTY), "char", DAY, by="store")))}
    assert {"filter", "of", "char", "censored", "at risk", "still serve", "band", "median", "given alive at", "too few", "store", "log-rank"} <= figures
    assert AGAIN not in figures


def test_of_few_groups_each_has_its_curve_and_where_hardly_any_end_the_foot_is_not_nothing() -> None:
    staves = [one._replace(what="stave", kind="replaced" * bool(one.kind), sort=sort) for one in TWENTY for sort in (BUNG, OTHER)]
    many = [*staves, Service("stave", date(1990, 1, 1), sort=OTHER, weight=9000)]
    text = service_text(report(account_of(rows(*many), "stave", DAY, by="position")), width=80)
    assert text.count("100 % ┤") == 2 and "bung stave: half are replaced by 20 years" in text and "other staves: median not reached" in text
    assert "99.8 %" in text  # 20 of 9,040 have ended: whole percents would tell nothing.
    drawn = [line for line in text.splitlines() if "% ┤" in line]
    assert [line.split()[0] for line in drawn] == ["100", "50", "0", "100", "99", "98"]


def test_the_picture_reads_in_ascii() -> None:
    assert "?" not in to_ascii(service_text(report(account_of(rows(*TWENTY, char(40, weight=3)), "char", DAY)), width=80))
