"""house.yaml read through: the settings, and every finding about the file and its values, dated ones included."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import Any, NamedTuple

from pydantic import ValidationError

from caskbook.core.days import are_zones
from caskbook.core.finding import Fault, Finding
from caskbook.model.house import House, Settings, in_force, is_dated, row_in_force, since_day, whole_settings
from caskbook.model.invalid import explain_errors, shown
from caskbook.words import CASK_TYPES
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.hidden import hides
from caskbook.yaml.source import Source

Path = tuple[str | int, ...]
HEADINGS = ("due", "types", "suppliers", "stores", "wood_left", "measuring_error", "loss_table", "job_hours", "severities", "questions")
"""Settings that are names with something to each, one a line below."""


UNTOLD = -1
"""Stands for the number of settings of a file that cannot be read to its end: nobody knows how many it has."""


class HouseFile(NamedTuple):
    """house.yaml as read: `house` holds the settings that could be read, the rest being at their defaults."""

    house: House
    findings: tuple[Finding, ...]
    data: dict[str, Any]

    @property
    def sound(self) -> dict[str, Any]:
        """The settings that could be read, as written."""
        kept = {**self.house.raw, **({"types": self.house.types} if self.house.types else {})}
        return {key: kept[key] for key in self.data if key in kept}

    @property
    def at_default(self) -> int:
        """How many settings could not be read, and so stand at their defaults, or at the first value where a key is given twice; `UNTOLD` where it is
        no YAML. Of a row too many, the first is read."""
        if self.torn or any(finding.code == "several-documents" for finding in self.findings):
            return UNTOLD
        wrong = sum(finding.severity == "error" and finding.code != "row-twice" for finding in self.findings)
        return wrong + (not are_zones(self.house.timezone))  # In the place of one that is none stands UTC.

    @property
    def torn(self) -> bool:
        """Whether it is no YAML of settings: what it lacks is then not taken out, but not read."""
        return any(finding.code in ("yaml-syntax", "not-a-mapping") for finding in self.findings) or (not self.data and bool(self.findings))


def read_house(path: str, data: bytes) -> HouseFile:
    """Read house.yaml from its bytes."""
    reading = read_places(Source.from_bytes(path, data))
    findings = [_behind(finding) if finding.code == "several-documents" else finding for finding in reading.findings]
    written = reading.data if isinstance(reading.data, dict) else {}
    raw = _with_bare_headings(written)
    faults = _faults(raw)
    findings += [fault.placed(path, reading.span(fault.where, key=fault.on_key), None) for fault in faults if fault.where not in reading.unread]
    hidden = [path for path in reading.why if path and (node := reading.exact(path)) and hides(node.value)]
    return HouseFile(House(_kept(raw, [*(fault.where for fault in faults if fault.code != "row-twice"), *hidden])), tuple(findings), written)


def _behind(finding: Finding) -> Finding:
    """That a second document begins, as it is with settings: what they are then, and what to do."""
    return replace(finding, message=finding.message.replace("not read: ", "at the default: "), help="delete `---`: then the settings below it count")


def _kept(raw: dict[str, Any], wrong: Iterable[Path]) -> dict[str, Any]:
    """The settings without those that are wrong, and only these: what stands beside one in its rule, or under another type, holds. Where
    what is left is wrong together, the whole of it goes."""
    kept = raw
    for path in sorted({_setting_at(path) for path in wrong if path}, key=len):
        kept = _without(kept, path)
    again = {fault.where[0] for fault in _faults(kept) if fault.where and fault.code != "row-twice"} if kept is not raw else ()
    return {key: value for key, value in kept.items() if key not in again}


def _setting_at(path: Path) -> Path:
    """The setting that a place in house.yaml is part of: due.RULE.KEY, types.TYPE and one below it, or the key itself."""
    if path[0] == "types":
        return (*path[:2], *_setting_at(path[2:])) if len(path) > 2 else path
    return path[:3] if path[0] == "due" else path[:1]


def _without(raw: dict[str, Any], path: Path) -> dict[str, Any]:
    """The settings without one of them; nothing of `raw` itself changes."""
    key, rest = str(path[0]), path[1:]
    inner = raw.get(key)
    if rest and isinstance(inner, dict):
        return raw | {key: _without(inner, rest)}
    return {name: value for name, value in raw.items() if name != key}


def _with_bare_headings(raw: dict[str, Any]) -> dict[str, Any]:
    """The settings, a heading with nothing under it (`due:`, all its lines still comments) taken for one that sets nothing."""
    told = {key: {} if key in HEADINGS and value is None else value for key, value in raw.items()}
    if isinstance(rules := told.get("due"), dict):
        told["due"] = {rule: {} if keys is None else keys for rule, keys in rules.items()}
    if isinstance(types := told.get("types"), dict):
        told["types"] = {name: _with_bare_headings(own) if isinstance(own, dict) else own for name, own in types.items()}
    return told


def _faults(raw: dict[str, Any]) -> list[Fault]:
    """Every fault in the settings of house.yaml and of its types, each place and code once."""
    own = {key: value for key, value in raw.items() if key != "types"}
    faults = _dated_faults(own, ()) + _crew_faults(own.get("crew")) + _setting_faults(own, ())
    types = raw.get("types")
    if types is not None and not isinstance(types, dict):
        faults.append(Fault("wrong-type", "error", "`types` is no map: expected type: settings", ("types",), "write barrel: and its settings below"))
    for name, given in (types if isinstance(types, dict) else {}).items():
        if name not in CASK_TYPES:
            faults.append(Fault("unknown-word", "error", f'"{name}" is no type of cask', ("types", name), "write a type such as hogshead", on_key=True))
        if given is not None and not isinstance(given, dict):
            faults.append(
                Fault(
                    "wrong-type", "error", f"`{name}` is {shown(given)}: expected key: value pairs", ("types", name), "write its settings below it, one a line"
                )
            )
        if isinstance(given, dict):
            faults += _dated_faults(given, ("types", name)) + _setting_faults(given, ("types", name))
    return list({(fault.code, fault.where): fault for fault in faults}.values())


def _dated_faults(raw: dict[str, Any], root: Path) -> list[Fault]:
    """What is wrong with the days of dated values: each begins on a day of its own."""
    faults = []
    for path, entries in _dated(raw, root):
        for n, entry in enumerate(entries):
            if since_day(entry) is None:
                faults.append(Fault("wrong-type", "error", "`since` is no day", (*path, n, "since"), "write a day as 2024-02-29"))
        days = [since_day(entry) for entry in entries]
        twice = [n for n, day in enumerate(days) if day is not None and day in days[:n]]
        faults += [
            Fault(
                "row-twice",
                "error",
                f"`since` {days[n]} is there already: of one day only the first row counts",
                (*path, n, "since"),
                "keep the row that is right",
            )
            for n in twice
        ]
    return faults


def _crew_faults(crew: Any) -> list[Fault]:
    """Rows of one person that speak of the same days."""
    faults: list[Fault] = []
    seen: dict[str, list[tuple[date, date]]] = {}
    for n, row in enumerate(crew if isinstance(crew, list) else []):
        if not isinstance(row, dict) or not isinstance(row.get("initials"), str):
            continue
        start, end = row.get("from") or date.min, row.get("until") or date.max
        if not isinstance(start, date) or not isinstance(end, date):
            continue
        known = seen.setdefault(row["initials"], [])
        if any(start <= last and first <= end for first, last in known):
            message = f"{shown(row['initials'])} is of the crew twice on the same days: expected one row for a day"
            faults.append(Fault("row-twice", "error", message, ("crew", n, "initials"), "keep one row, or give each its own `from` and `until`"))
        known.append((start, end))
    return faults


def _dated(raw: dict[str, Any], root: Path) -> list[tuple[Path, list[dict[str, Any]]]]:
    found: list[tuple[Path, list[dict[str, Any]]]] = []
    for key, value in raw.items():
        if is_dated(value):
            found.append(((*root, key), value))
        elif isinstance(value, dict):
            found += _dated(value, (*root, key))
    return found


def _setting_faults(raw: dict[str, Any], root: Path) -> list[Fault]:
    """Check the settings as in force on every day on which one of them changes."""
    days = {day for _, entries in _dated(raw, ()) for entry in entries if (day := since_day(entry))}
    faults: list[Fault] = []
    for day in sorted(days | {date.min}):
        plain = in_force(raw, day)
        faults += [Fault(f.code, f.severity, f.message, root + _written(raw, f.where, day), f.help, f.on_key) for f in _faults_of(plain)]
    return faults


def _faults_of(plain: dict[str, Any]) -> list[Fault]:
    """What is wrong with plain settings. Nearly always nothing: only else the model of them all is made."""
    try:
        _ = Settings.model_validate(plain).due
        return []
    except ValidationError:
        whole = whole_settings()
    try:
        whole.model_validate(plain)
    except ValidationError as error:
        return explain_errors(error, plain, (), whole, "house.yaml")
    return []


def _written(raw: Any, path: Path, day: date) -> Path:
    """Where the value in force on the day stands in the file: inside its dated list, if it has one."""
    out: list[str | int] = []
    place: Any = raw
    for step in path:
        out.append(step)
        place = place.get(step) if isinstance(place, dict) else place[step] if isinstance(place, list) and isinstance(step, int) and step < len(place) else None
        if is_dated(place) and (n := row_in_force(place, day)) is not None:
            out += [n, "value"]
            place = place[n]["value"]
    return tuple(out)
