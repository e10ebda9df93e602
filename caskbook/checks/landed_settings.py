"""What of the settings of house.yaml had landed and is not so any more, and what of them judges anew what was entered before it came in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from caskbook.ledger.changes import ABSENT
from caskbook.ledger.layout_changes import same
from caskbook.model.house import USUAL_FLOORS, Settings, is_dated, row_in_force, since_day

# These settings judge no entry: they name the house, say how a figure may be typed, or how paper looks.
NOT_JUDGING = frozenset({
    "name", "gallon", "proof", "decimal_comma", "due", "paper", "label_width_mm", "label_height_mm", "label_page", "label_dpi",
    "coopers", "hours_a_week", "job_hours", "questions",
})  # fmt: skip
# Nor do these where they are new: who and what there is, what is due or lost, and how grave a finding is.
_NOT_JUDGING_AT_FIRST = NOT_JUDGING | {
    "timezone", "crew", "shops", "suppliers", "stores", "temperate_stores", "severities", "rounding", "loss_table", "wood_left",
}  # fmt: skip
# But of those that had landed a row is told that begins before it came in, as of any other setting.
_ONCE_LANDED = frozenset({"suppliers", "severities"})
_JUDGES_CHARS = ("due", "rechar", "most_rechars")
"""Of what is due only this judges entries too: a char beyond it goes against the house."""
BACK_DATED = "back-dated-setting"
_UNDATED = "undated-setting-changed"
Path = tuple[str, ...]
Change = tuple[str, Path, Any, Any, tuple[str | int, ...]]


def settings_changes(old: dict[str, Any], new: dict[str, Any], day: date | None) -> Iterator[Change]:
    """(code, name, old value, new value, place) of each setting that landed and is another now, and of each that is new and judges entries of
    the past; `day`: the one on which it came in, None where no row is to be held against it."""
    changed = [*_changed(old, new, ()), *_over_general(old, new)]
    told = {where for _, where, *_ in changed}
    yield from changed
    yield from (one for one in _new_ones(old, new, (), day) if not told & {one[1], one[1][:-1]})


def held(old: dict[str, Any], where: Path, day: date) -> Any:
    """The value of a setting that was in force on a day: its own, that for all types, or the default. ABSENT of a key that has none."""
    value: Any = old
    for step in where:
        value = value.get(step, ABSENT) if isinstance(value, dict) else ABSENT
    if is_dated(value):
        row = row_in_force(value, day)
        value = ABSENT if row is None else value[row]["value"]
    if value is not ABSENT:
        return value
    if where[0] == "types" and len(where) > 2:
        general = held(old, where[2:], day)
        return USUAL_FLOORS.get(where[1]) if where[2:] == ("stave_floor_mm",) and general is None else general
    if len(where) > 1 and where != _JUDGES_CHARS:
        return ABSENT
    found: Any = Settings.model_construct()
    for step in where:
        found = getattr(found, step, ABSENT)
    return found


def _new_ones(old: dict[str, Any], new: Any, at: Path, day: date | None) -> Iterator[Change]:
    """Settings that judge entries and were not there, without a day of their own; and rows that begin before the day on which they came in."""
    for key, value in new.items():
        where = (*at, str(key))
        inner = where[2:] if where[0] == "types" else where
        judges, landed = _judges(where, _NOT_JUDGING_AT_FIRST), inner[:1] and inner[0] in _ONCE_LANDED
        if isinstance(value, dict) and (judges or landed or inner == _JUDGES_CHARS[: len(inner)]):
            yield from _new_ones(old, value, where, day)
        elif not inner or not (judges or (landed and _stands(old, where))):
            continue
        elif is_dated(value):
            yield from _back_dated(old, value, where, day)
        elif not _stands(old, where) and value != held(old, where, date.max):
            yield _UNDATED, where, ABSENT, value, where


def _stands(raw: Any, where: Path) -> bool:
    """Whether a setting was written, for a type of cask or for all."""
    value = raw
    for step in where:
        if not isinstance(value, dict) or step not in value:
            return where[0] == "types" and len(where) > 2 and _stands(raw, where[2:])
        value = value[step]
    return True


def _back_dated(old: dict[str, Any], rows: list[dict[str, Any]], where: Path, day: date | None) -> Iterator[Change]:
    for n, row in enumerate(rows):
        since = since_day(row)
        if day is not None and since is not None and since < day and row["value"] != held(old, where, since):
            yield BACK_DATED, (*where, since.isoformat()), ABSENT, row["value"], (*where, n, "value")


def _changed(old: dict[str, Any], new: Any, at: Path) -> Iterator[Change]:
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
        elif is_dated(other) and same(_first(other), one):
            continue
        elif isinstance(one, dict):
            yield from _changed(one, other, where)
        elif _judges(where):
            yield _UNDATED, where, one, other, where


def _judges(where: Path, others: frozenset[str] = NOT_JUDGING) -> bool:
    inner = where[2:] if where[0] == "types" else where
    return not inner or inner[0] not in others or inner == _JUDGES_CHARS


def _first(rows: Any) -> Any:
    """The value that a dated list begins with: it must begin with the plain one that it takes the place of."""
    return min(rows, key=lambda row: str(since_day(row) or row["since"]))["value"]


def _dated(old: list[dict[str, Any]], new: Any, where: Path) -> Iterator[Change]:
    """Rows that are gone, or no longer alone in saying what their day says; and rows put among those that had landed."""
    rows = new if is_dated(new) else []
    landed = list(dict.fromkeys(day_of(row) for row in old))
    for day in landed:
        had = [row["value"] for row in old if day_of(row) == day]
        same_day = [(n, other) for n, other in enumerate(rows) if day_of(other) == day]
        others = [(n, other["value"]) for n, other in same_day if not same(other["value"], had[0])]
        if same_day and (not others or same([other["value"] for _, other in same_day], had)):
            continue
        n, value = others[0] if others else (0, ABSENT)
        spot: tuple[str | int, ...] = (*where, n, "value") if same_day else (*where,)
        yield "landed-setting-changed", (*where, day), had[0], value, spot
    for n, row in enumerate(rows):
        before = [one for one in old if day_of(one) < day_of(row)]
        if day_of(row) not in landed and before and day_of(row) < max(landed):
            was = max(before, key=day_of)["value"]
            if not same(was, row["value"]):
                yield "landed-setting-changed", (*where, day_of(row)), was, row["value"], (*where, n, "value")


def day_of(row: dict[str, Any]) -> str:
    """The day of a row, however it is written: 2000-01-01 and 20000101 are one."""
    return str(since_day(row) or row["since"])


def _over_general(old: dict[str, Any], new: dict[str, Any]) -> Iterator[Change]:
    """Settings of one type of cask that are new, and take the place of what had landed for all types."""
    had, has = ({} if not isinstance(raw.get("types"), dict) else raw["types"] for raw in (old, new))
    for name, own in has.items():
        yield from _taking_over(old, had.get(name), own, ("types", str(name)))


def _taking_over(general: Any, had: Any, own: Any, where: Path) -> Iterator[Change]:
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
                yield _UNDATED, at, one, value, at
        elif not is_dated(value) or min(map(day_of, value)) <= max(map(day_of, one)):
            yield "landed-setting-changed", at, one, value, at


def _crew(old: Any, new: Any) -> Iterator[Change]:
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
