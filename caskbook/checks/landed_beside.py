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

undated-setting-changed: a setting that judges entries was changed in place, so all entries of the past are judged anew.
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
from typing import Any

from caskbook.checks.docs.landed import CODES as LANDED
from caskbook.checks.landed import Breach, value_text
from caskbook.core.finding import START, Finding, Severity
from caskbook.git.walk import FileChange
from caskbook.ledger.changes import ABSENT
from caskbook.ledger.layout_changes import same
from caskbook.model.house import is_dated, since_day
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.source import Source

CODES: dict[str, Severity] = {
    "landed-setting-changed": "error",
    "undated-setting-changed": "warning",
    "landed-mode-changed": "error",
    "landed-history-parted": "error",
}
# These settings judge no entry: they name the house, or say how a figure may be typed.
NOT_JUDGING = frozenset({"name", "gallon", "proof", "decimal_comma", "due", "coopers", "hours_a_week", "job_hours"})
_KINDS = {"100644": "a plain file", "100755": "a program", "120000": "a link", "160000": "another repository"}
Path = tuple[str, ...]


def _of_file(code: str, message: str, path: str, help_: str) -> Finding:
    return Finding(code, LANDED[code], message, path, START, help_)


def house_breaches(path: str, old: bytes | None, new: bytes | None) -> Iterator[Breach]:
    """What of house.yaml had landed and is not so any more. Nothing where it could not be read before."""
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
    for code, where, one, other, spot in (*_changed(before, reading.data, ()), *_over_general(before, reading.data)):
        name = ".".join(where)
        key = (
            next((key for key in [*one, *other] if not same(one.get(key), other.get(key))), None) if isinstance(one, dict) and isinstance(other, dict) else None
        )
        was, now = (value_text(one), value_text(other)) if key is None else (f"{key} {value_text(one.get(key, ABSENT))}", value_text(other.get(key, ABSENT)))
        message = f"`{name}` was {was} when it landed, is {now}"
        known, on_key = _known(spot, reading.data)
        yield Breach(
            Finding(code, CODES[code], message, path, reading.span(known, key=on_key) if known else START, _help(code, before, where)),
            ("setting", *where),
            one,
            other,
            text=old or b"",
        )


_HELP = {
    "landed-setting-changed": "put it back; add a row {since: DAY, value: …}, or an `until` for who leaves",
    "undated-setting-changed": "write both: [{since: 1900-01-01, value: OLD}, {since: DAY, value: NEW}]",
}


def _help(code: str, landed: dict[str, Any], where: Path) -> str:
    """What to do; of a row put among those that had landed, as where two benches add one each, how it may come in all the same."""
    rows: Any = landed
    for step in where[:-1]:
        rows = rows.get(step) if isinstance(rows, dict) else None
    days = [_day(row) for row in rows] if is_dated(rows) else []
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


_Change = tuple[str, Path, Any, Any, tuple[str | int, ...]]


def _changed(old: dict[str, Any], new: Any, at: Path) -> Iterator[_Change]:
    """(code, name, old value, new value, place) of each setting that was there and is another now."""
    for key, one in old.items():
        other = new.get(key, ABSENT) if isinstance(new, dict) else ABSENT
        where = (*at, str(key))
        if same(one, other):
            continue
        if where == ("crew",):
            yield from _crew(one, other)
        elif where == ("shops",):
            gone = [shop for shop in one if shop not in (other if isinstance(other, list) else [])] if isinstance(one, list) else [one]
            yield from (("landed-setting-changed", ("shops", str(shop)), shop, ABSENT, where) for shop in gone)
        elif is_dated(one):
            yield from _dated(one, other, where)
        elif isinstance(one, dict):
            yield from _changed(one, other, where)
        elif not (is_dated(other) and same(_first(other), one)) and _judges(where):
            yield "undated-setting-changed", where, one, other, where


def _judges(where: Path) -> bool:
    inner = where[2:] if where[0] == "types" else where
    return not inner or inner[0] not in NOT_JUDGING


def _first(rows: Any) -> Any:
    """The value that a dated list begins with: it must begin with the plain one that it takes the place of."""
    return min(rows, key=lambda row: str(since_day(row) or row["since"]))["value"]


def _dated(old: list[dict[str, Any]], new: Any, where: Path) -> Iterator[_Change]:
    """Rows that are gone, or no longer alone in saying what their day says; and rows put among those that had landed."""
    rows = new if is_dated(new) else []
    landed = list(dict.fromkeys(_day(row) for row in old))
    for day in landed:
        had = [row["value"] for row in old if _day(row) == day]
        same_day = [(n, other) for n, other in enumerate(rows) if _day(other) == day]
        others = [(n, other["value"]) for n, other in same_day if not same(other["value"], had[0])]
        if same_day and (not others or same([other["value"] for _, other in same_day], had)):
            continue
        n, value = others[0] if others else (0, ABSENT)
        spot: tuple[str | int, ...] = (*where, n, "value") if same_day else (*where,)
        yield "landed-setting-changed", (*where, day), had[0], value, spot
    for n, row in enumerate(rows):
        before = [one for one in old if _day(one) < _day(row)]
        if _day(row) not in landed and before and _day(row) < max(landed):
            held = max(before, key=_day)["value"]
            if not same(held, row["value"]):
                yield "landed-setting-changed", (*where, _day(row)), held, row["value"], (*where, n, "value")


def _day(row: dict[str, Any]) -> str:
    """The day of a row, however it is written: 2000-01-01 and 20000101 are one."""
    return str(since_day(row) or row["since"])


def _over_general(old: dict[str, Any], new: dict[str, Any]) -> Iterator[_Change]:
    """Settings of one type of cask that are new, and take the place of what had landed for all types."""
    had, has = ({} if not isinstance(raw.get("types"), dict) else raw["types"] for raw in (old, new))
    for name, own in has.items():
        yield from _taking_over(old, had.get(name), own, ("types", str(name)))


def _taking_over(general: Any, had: Any, own: Any, where: Path) -> Iterator[_Change]:
    """What of a type's own settings was put over a general one that had landed: code, place, landed value, the type's value, place."""
    if not isinstance(general, dict) or not isinstance(own, dict):
        return
    for key, value in own.items():
        one, at = general.get(key, ABSENT), (*where, str(key))
        before = had.get(key, ABSENT) if isinstance(had, dict) else ABSENT
        if isinstance(one, dict) and not is_dated(one):
            yield from _taking_over(one, before, value, at)
        elif one is ABSENT or before is not ABSENT or same(one, value) or not _judges(at):
            continue
        elif not is_dated(one):
            if not is_dated(value):
                yield "undated-setting-changed", at, one, value, at
        elif not is_dated(value) or min(map(_day, value)) <= max(map(_day, one)):
            yield "landed-setting-changed", at, one, value, at


def _crew(old: Any, new: Any) -> Iterator[_Change]:
    """Rows that are gone or say something else, or have another beside them for the same person and day. A row may be given the
    name or the `until` that it lacked."""
    after = [row for row in new if isinstance(row, dict)] if isinstance(new, list) else []
    rows = [row for row in old if isinstance(row, dict)] if isinstance(old, list) else []
    for row in rows:
        alike = [other for other in after if other.get("initials") == row.get("initials")]
        exact = [other for other in alike if same(other.get("from"), row.get("from"))] or alike
        known = [one for one in rows if one.get("initials") == row.get("initials") and same(one.get("from"), row.get("from"))]
        kept = [other for other in exact if _kept(row, other)]
        others = [other for other in exact if other is not kept[0] and not same(other, kept[0])] if kept else exact
        if kept and (not others or len(exact) <= len(known)):
            continue
        now: Any = others[0] if exact else ABSENT
        spot: tuple[str | int, ...] = ("crew",)
        if exact:
            spot = ("crew", next(n for n, one in enumerate(new) if one is now))
        yield "landed-setting-changed", ("crew", str(row.get("initials")), str(row.get("from", ""))), row, now, spot


def _kept(row: dict[str, Any], other: dict[str, Any]) -> bool:
    allowed = {"name", "until"}
    return all(same(value, other.get(key)) for key, value in row.items()) and other.keys() - row.keys() <= allowed


def mode_breach(change: FileChange, path: str, cask: str | None) -> Breach:
    """A file that became a program, a link or another repository."""
    old, new = (_KINDS.get(mode, f"of mode {mode}") for mode in (change.old_mode, change.new_mode))
    finding = Finding(
        "landed-mode-changed", "error", f"this was {old} when it landed, is {new}", path, START, "restore it as a plain file, of mode 100644", cask
    )
    return Breach(finding, ("mode", change.path), change.old_mode, change.new_mode)
