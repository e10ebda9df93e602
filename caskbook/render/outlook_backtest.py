"""A back-test of the outlook as text, JSON, JSON lines and CSV: coverage and width of each band, beside those of plain forecasts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import table_lines
from caskbook.render.plain_json import data_json
from caskbook.render.table import table_csv
from caskbook.stats.outlook import BANDS
from caskbook.stats.outlook_backtest import LEAST_ORIGINS, OURS, SCORED, TOGETHER, WAYS, BackTestReport, meant
from caskbook.words.plural import number_of

_COLUMNS = ("count", "forecast", "band", "n", "in_it", "coverage", "own_draws", "mean_width")
_MOST_LINES = 9


def back_test_text(report: BackTestReport, *, width: int | None) -> str:
    """A header with the origins and how the book of then was told, the table, and what came of it altogether. 80 columns in a pipe too."""
    wide = width or USUAL_WIDTH
    lines = [line for part in _head(report) for line in _hanging(part, wide)]
    if report.enough:
        lines += ["", *table_lines(["", ">months", *(head for percent in BANDS for head in (f">{percent} %", ">width"))], list(_table(report)), wide), ""]
        lines += [line for part in _closing(report) for line in _hanging(part, wide)]
    if report.explain:
        lines += ["", *(line for figure, means in meant(report) for line in _hanging(f"{figure}: {means}", wide))]
    return "\n".join(lines)


def _head(report: BackTestReport) -> Iterator[str]:
    """From which days, how the book of then was told, and what is left out."""
    used, test = report.test.used, report.test
    if not report.enough:
        yield f"outlook back-tested, as of {report.day}: too few days to forecast from, {len(used)}; {LEAST_ORIGINS} wanted"
    else:
        yield f"outlook back-tested from {number_of(len(used), 'day')}, {used[0].day} to {used[-1].day}, {test.months} months each · as of {report.day} · seed {report.seed}"
        by_entries = len(used) - report.by_git
        yield f"the book as known then: of {report.by_git} days by their last commit" + (
            f"; of {by_entries}, for which git has none, by the entries dated up to it, late ones and what was put right later left out as far as ids and places tell"
            if by_entries
            else ""
        )
    reasons: dict[str, list[str]] = {}
    for day, why in test.left_out.items():
        reasons.setdefault(why, []).append(str(day))
    for why, days in reasons.items():
        yield f"left out {', '.join(days)}: {why}"
    if report.silent:
        yield f"left out, for not all of their files can be read: {number_of(report.silent, 'cask')}; caskbook check"


def _table(report: BackTestReport) -> Iterator[list[str]]:
    """A row for each count and way of forecasting; under ours what its own draws hold, and all months of an origin together."""
    for name in SCORED:
        if not report.test.scores[name, OURS, BANDS[0]].n:
            continue
        for way in WAYS:
            scores = [report.test.scores[name, way, percent] for percent in BANDS]
            label = f"{name}, {way}"
            yield [label, str(scores[0].n), *(cell for one in scores for cell in (_share(one.coverage), f"{one.mean_width:.1f}"))]
            if way == OURS:
                yield ["  by its own draws", "", *(cell for one in scores for cell in (_share(one.claimed / one.n), ""))]
                whole = [report.test.scores[name, TOGETHER, percent] for percent in BANDS]
                yield ["  all months together", str(whole[0].n), *(cell for one in whole for cell in (_share(one.coverage), f"{one.mean_width:.1f}"))]


def _share(value: float | None) -> str:
    return "" if value is None else f"{100 * value:.0f} %"


def _closing(report: BackTestReport) -> Iterator[str]:
    yield (
        "months: how many were forecast, of all the days together; 50 %: how many of these came out within the range that should hold half of them; width: from the"
        " low to the high end of that range, in casks or leaks, the mean; 80 % and 95 % likewise. A range that is right holds about as many as its own draws"
    )
    told = [f"{name} {report.test.real[name]}, foreseen {report.test.foreseen[name]:.0f}" for name in SCORED if report.test.scores[name, OURS, BANDS[0]].n]
    yield f"came in all these months: {'; '.join(told)}"
    for name in SCORED:
        if report.test.few[name]:
            yield f"{name}: too few ends at {report.test.few[name]} of {number_of(len(report.test.used), 'day')}, which are in none of its rows"
    yield "what the rows mean: --explain"


def _hanging(text: str, wide: int) -> list[str]:
    first, *more = flow([text], wide - 2, most_lines=_MOST_LINES)
    return [first, *(f"  {line}" for line in more)]


def _rows(report: BackTestReport) -> Iterator[list[Any]]:
    for name in SCORED if report.enough else ():
        for way in (*WAYS, TOGETHER):
            for percent in BANDS:
                one = report.test.scores[name, way, percent]
                claimed = round(one.claimed / one.n, 6) if one.n and way in (OURS, TOGETHER) else None
                yield [name, way, percent, one.n, one.held, _plain(one.coverage), claimed, _plain(one.mean_width)]


def _plain(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def back_test_json(report: BackTestReport, form: str) -> str:
    """json: an object with as_of, seed, casks, told_in_part, months, origins (day, revision or null), left_out, too_few, came, foreseen and rows; jsonl: the rows alone."""
    test = report.test
    rows: Sequence[dict[str, Any]] = [dict(zip(_COLUMNS, row, strict=True)) for row in _rows(report)]
    whole: dict[str, Any] = {
        "as_of": report.day.isoformat(), "seed": report.seed, "casks": report.casks, "told_in_part": report.silent, "months": test.months,
        "origins": [{"day": one.day.isoformat(), "revision": one.revision or None} for one in test.used],
        "left_out": {day.isoformat(): why for day, why in test.left_out.items()}, "too_few": dict(test.few), "came": dict(test.real),
        "foreseen": {name: round(value, 3) for name, value in test.foreseen.items()}, "rows": rows,
    }  # fmt: skip
    if report.explain:
        whole["explain"] = [{"figure": figure, "means": means} for figure, means in meant(report)]
    return data_json(whole, form, rows)


def back_test_csv(report: BackTestReport) -> str:
    """RFC 4180: a row for each count, forecast and band."""
    return table_csv(_COLUMNS, _rows(report))
