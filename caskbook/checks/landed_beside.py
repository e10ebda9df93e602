"""The append-only law for what stands beside the casks: house.yaml, and the kind of a file.

landed-setting-changed: a dated value, one of the crew or a shop that had landed is altered or gone.
Why: past work is judged by the settings of its day; who leaves is given an `until`, and a new value a new date.
Wrong:
    # landed
    {crew: [{initials: ab}, {initials: kd}]}
    # now
    {crew: [{initials: ab}]}
Right:
    # landed
    {crew: [{initials: ab}, {initials: kd}]}
    # now
    {crew: [{initials: ab}, {initials: kd, until: 2026-01-01}]}

undated-setting-changed: a setting that judges entries was changed in place, or is new and has no day, so all entries of the past are judged anew.
Why: what was against the house's rules on its day would be right today, or the other way round, and nobody would see it.
Wrong:
    # landed
    {test_limit_psi: 11}
    # now
    {test_limit_psi: 12}
Right:
    # landed
    {test_limit_psi: 11}
    # now
    {test_limit_psi: [{since: 1900-01-01, value: 11}, {since: 2026-01-01, value: 12}]}

back-dated-setting: a row of a setting begins before the day on which it came into the book, so all entries since are judged anew.
Why: an entry is judged by the rule of its day; a rule written afterwards takes findings away, or makes new ones, and nobody would see it.
Wrong:
    # landed
    {test_limit_psi: 10}
    # now, on 2026-01-01
    {test_limit_psi: [{since: 1900-01-01, value: 10}, {since: 2015-01-01, value: 20}]}
Right:
    # landed
    {test_limit_psi: 10}
    # now, on 2026-01-01
    {test_limit_psi: [{since: 1900-01-01, value: 10}, {since: 2026-01-01, value: 20}]}

landed-mode-changed: a cask's file or house.yaml is no plain file any more, as it was when it landed.
Why: a link, or another repository in its place, shows what lies elsewhere and was never reviewed; nothing here is ever run.
Wrong:
    # landed
    100644
    # now
    120000
Right:
    # landed
    100644
    # now
    100644

landed-history-parted: the revision compared with is no ancestor of what is judged.
Why: commits that others had are not in this history; either it was rewritten and pushed by force, or two branches parted.
Wrong:
    # landed
    a commit
    # now
    a history without it
Right:
    # landed
    a commit
    # now
    a history with it, and commits after it
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from caskbook.checks.docs.landed import CODES as LANDED
from caskbook.checks.landed import Breach, value_text
from caskbook.checks.landed_settings import BACK_DATED, day_of, held, settings_changes
from caskbook.core.days import DayError, today_in
from caskbook.core.finding import START, Finding, Severity
from caskbook.git.walk import FileChange
from caskbook.ledger.changes import ABSENT
from caskbook.ledger.layout_changes import same
from caskbook.model.house import is_dated
from caskbook.model.house_file import read_house
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.source import Source

CODES: dict[str, Severity] = {
    "landed-setting-changed": "error",
    "undated-setting-changed": "warning",
    "back-dated-setting": "warning",
    "landed-mode-changed": "error",
    "landed-history-parted": "error",
}
_KINDS = {"100644": "a plain file", "100755": "a program", "120000": "a link", "160000": "another repository"}
Path = tuple[str, ...]


def _of_file(code: str, message: str, path: str, help_: str) -> Finding:
    return Finding(code, LANDED[code], message, path, START, help_)


def house_breaches(path: str, old: bytes | None, new: bytes | None, day: date | None = None) -> Iterator[Breach]:
    """What of house.yaml had landed and is not so any more, and what in it judges the past anew; `day`: the one on which `new` came in, in the
    house, None where no row is to be held against it. Nothing where it could not be read before."""
    before = _settings(path, old)
    if not before:
        return
    if new is None:
        yield Breach(_of_file("landed-file-removed", "house.yaml is gone, with the crew and the settings", path, "restore the file"), ("house",), old)
        return
    reading = read_places(Source.from_bytes(path, new))
    if not isinstance(reading.data, dict):
        told = _of_file("landed-file-unreadable", "house.yaml cannot be compared with what landed", path, "put the file right, then compare again")
        yield Breach(told, ("house",), old, new)
        return
    for code, where, one, other, spot in settings_changes(before, reading.data, day):
        known, on_key = _known(spot, reading.data)
        span = reading.span(known, key=on_key) if known else START
        finding = Finding(code, CODES[code], _message(code, where, one, other, before, day), path, span, _help(code, before, where, day))
        yield Breach(finding, (BACK_DATED if code == BACK_DATED else "setting", *where), one, other, text=old or b"")


def house_day(data: bytes | None, moment: datetime | None) -> date | None:
    """The day that it was in the house of these settings; None of a moment that nobody knows."""
    if moment is None:
        return None
    try:
        return today_in(read_house("", data or b"").house.timezone, moment)
    except DayError:
        return moment.date()


def _message(code: str, where: Path, one: Any, other: Any, landed: dict[str, Any], day: date | None) -> str:
    """What a setting was, and what it is; of a map the key that differs."""
    name = ".".join(where)
    if code == BACK_DATED:
        was = held(landed, where[:-1], date.fromisoformat(where[-1]))
        return f"`{'.'.join(where[:-1])}` is {value_text(other)} from {where[-1]} on, was {value_text(was)}: it came in on {day}"
    key = next((key for key in [*one, *other] if not same(one.get(key), other.get(key))), None) if isinstance(one, dict) and isinstance(other, dict) else None
    was, now = (value_text(one), value_text(other)) if key is None else (f"{key} {value_text(one.get(key, ABSENT))}", value_text(other.get(key, ABSENT)))
    return f"`{name}` was {was} when it landed, is {now}"


_HELP = {
    "landed-setting-changed": "put it back; add a row {since: DAY, value: …}, or an `until` for who leaves",
    "undated-setting-changed": "write both: [{since: 1900-01-01, value: OLD}, {since: DAY, value: NEW}]",
}


def _help(code: str, landed: dict[str, Any], where: Path, day: date | None) -> str:
    """What to do; of a row put among those that had landed, as where two benches add one each, how it may come in all the same."""
    if code == BACK_DATED:
        return f"let it begin on {day} or later: what was done before is judged by the value of its day"
    rows: Any = landed
    for step in where[:-1]:
        rows = rows.get(step) if isinstance(rows, dict) else None
    days = [day_of(row) for row in rows] if is_dated(rows) else []
    if code not in _HELP or not days or where[-1] in days or where[-1] > max(days):
        return _HELP[code]
    return f"a row for {max(days)} landed: give yours a later day, and commit anew what has not landed (`git reset --soft` to what has)"


def _settings(path: str, data: bytes | None) -> dict[str, Any]:
    found = read_places(Source.from_bytes(path, data)).data if data is not None else None
    return found if isinstance(found, dict) else {}


def _known(spot: tuple[str | int, ...], data: Any) -> tuple[tuple[str | int, ...], bool]:
    """As much of a place as is there; whether its key is meant, what was below it being gone."""
    for n, step in enumerate(spot):
        there = step in data if isinstance(data, dict) else isinstance(data, list) and isinstance(step, int) and step < len(data)
        if not there:
            return spot[:n], bool(n) and isinstance(spot[n - 1], str)
        data = data[step]
    return spot, False


def mode_breach(change: FileChange, path: str, cask: str | None) -> Breach:
    """A file that became a program, a link or another repository."""
    old, new = (_KINDS.get(mode, f"of mode {mode}") for mode in (change.old_mode, change.new_mode))
    finding = Finding(
        "landed-mode-changed", "error", f"this was {old} when it landed, is {new}", path, START, "restore it as a plain file, of mode 100644", cask
    )
    return Breach(finding, ("mode", change.path), change.old_mode, change.new_mode)
