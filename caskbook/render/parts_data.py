"""The report of parts as JSON, JSON lines and CSV: what the text shows, and every line, place and donor."""

from __future__ import annotations

from typing import Any

from caskbook.life.mends import HEAD, HOOP, STAVE
from caskbook.render.report_parts import Parts, ends_of, parts_csv, parts_json, parts_jsonl, plain
from caskbook.stats.donors import Gift, Giver, left_of
from caskbook.stats.parts import SMALL_YEARS, Line
from caskbook.stats.parts_report import PartsReport, meant
from caskbook.stats.same_place import SMALL, Again, Kind


def parts_data(report: PartsReport, form: str) -> str:
    """`json`: an object with settings, by, watched, cask_years, left_out, and the parts replaced, places, all_places, again, givers and gifts; the others a
    row a line. Of --again and --donors only that part."""
    found, told = _parts(report), report.parts
    if form == "csv":
        return parts_csv(report.head, found)
    if form == "jsonl":
        return parts_jsonl(report.head, found)
    whole: dict[str, Any] = {
        "by": told.by, "watched": told.casks, "cask_years": plain(told.years), "left_out": dict(told.left_out), "staves_not_counted": told.no_staves,
        "hoops_not_counted": told.no_hoops, "settings": {"within_days": report.same.within, "small_years": SMALL_YEARS, "small": SMALL, "interval": 0.95},
    }  # fmt: skip
    return parts_json(report.head, whole, found, meant(report))


def _parts(report: PartsReport) -> Parts:
    parts: dict[str, list[dict[str, Any]]] = {}
    if report.view == "all":
        parts |= {"replaced": [_line(one) for one in report.parts.lines], "places": [_kind(one) for one in report.same.kinds]}
    if report.view != "donors":
        parts |= {"all_places": [_kind(report.same.whole)], "again": [_again(one) for one in report.same.list]}
    if report.view != "again":
        parts |= {"givers": [_giver(one) for one in report.donors.givers], "gifts": [_gift(one) for one in report.donors.gifts]}
    return parts


def _line(one: Line) -> dict[str, Any]:
    return {
        "name": one.name, "replaced": one.replaced, "years": plain(one.years), "per_1000_years": plain(one.rate), **ends_of(one.interval), "new": one.new,
        "given": one.given, "else": one.other, "few": one.small,
    }  # fmt: skip


def _kind(one: Kind) -> dict[str, Any]:
    return {
        "name": one.name, "put_right": one.followed + one.open, "followed": one.followed, "again": one.again, "again_share": plain(one.share),
        **ends_of(one.interval), "few": one.small,
    }  # fmt: skip


def _again(one: Again) -> dict[str, Any]:
    repair = one.repair
    return {
        "cask": one.cask, "at": repair.at, "job": repair.job, "put_right_on": repair.day.isoformat(),
        "leaked_again_on": repair.again.isoformat() if repair.again else None, "seen_by": repair.how, "days": one.days,
        "followed": one.followed,
    }  # fmt: skip


def _giver(one: Giver) -> dict[str, Any]:
    broken = one.broken
    return {
        "cask": one.cask, "state": one.state, "broken_up_on": broken.day.isoformat() if broken else None, "staves_saved": broken.staves if broken else None,
        "staves_left": left_of(one), "heads_saved": broken.heads if broken else None, "hoops_saved": broken.hoops if broken else None,
        **{f"{part.replace('-', '_')}s_given": one.gave.get(part, 0) for part in (STAVE, HEAD, HOOP)},         "takers": one.takers,
    }  # fmt: skip


def _gift(one: Gift) -> dict[str, Any]:
    return {"giver": one.giver, "taker": one.taker, "kind": one.part, "count": one.number, "first_on": one.day.isoformat()}
