"""Settings of house.yaml that are well formed and still say nothing: a time zone that is none, a code that is none."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from caskbook.checks.context import Context
from caskbook.checks.house_names import naming_nothing
from caskbook.checks.id_pattern import house_pattern
from caskbook.core.finding import Fault, Severity
from caskbook.model.house import OF_THE_HOUSE, House, Settings, is_dated
from caskbook.model.house_due import WITHOUT_EFFECT
from caskbook.model.invalid import nearest, shown

CODES: dict[str, Severity] = {
    "unknown-timezone": "error",
    "unreadable-id-pattern": "error",
    "severity-of-no-warning": "warning",
    "setting-without-effect": "note",
    "setting-of-no-type": "warning",
    "question-cannot-be-asked": "warning",
    "settings-contradict": "warning",
}
# Of each pair the first may not be above the second.
_IN_ORDER = (
    ("rechar", "soon_at", "due_at"),
    ("rechar", "due_at", "well_past_at"),
    ("nose", "faint_again_from", "faint_again_until"),
    ("regauge", "first_year", "yearly_from"),
)


def house_faults(context: Context, known: Mapping[str, Severity]) -> Iterable[Fault]:
    """unknown-timezone: `timezone` names no time zone.

    Why: whether a day is still ahead is judged in the house's own time.
    Wrong:
        # house.yaml
        timezone: Europe/Nowhere
    Right:
        # house.yaml
        timezone: Europe/London

    unreadable-id-pattern: `id_pattern` is no regular expression.

    Why: until it is mended no number is held against it.
    Wrong:
        # house.yaml
        id_pattern: "TH-[0-9"
    Right:
        # house.yaml
        id_pattern: "TH-[0-9]{6}"

    severity-of-no-warning: `severities` names a code there is none of, or one that is no warning.

    Why: only the severity of warnings can be changed; the line has no effect.
    Wrong:
        # house.yaml
        severities: {by-mising: error}
    Right:
        # house.yaml
        severities: {by-missing: error}
    """
    settings, house = context.settings, context.house
    for zone, where in _rows(house.raw, "timezone", settings.timezone):
        if not _is_zone(zone):
            yield _fault("unknown-timezone", f"`timezone` is {shown(zone)}: no time zone", "write a name such as Europe/London", *where)
    for pattern, where in _rows(house.raw, "id_pattern", settings.id_pattern):
        if house_pattern(pattern) is None:
            yield _fault("unreadable-id-pattern", f"`id_pattern` is {shown(pattern)}: no pattern", "write a regular expression such as TH-[0-9]{6}", *where)
    yield from _severities(settings.severities, known)
    yield from (*without_effect(house.raw), *_of_no_type(house.types), *_questions(context), *contradictions(house), *_no_names(context))


def _no_names(context: Context) -> Iterator[Fault]:
    return naming_nothing(context.house, context.today, context.held)


def without_effect(raw: Mapping[str, Any]) -> Iterator[Fault]:
    """setting-without-effect: a setting of an older version, which nothing is judged by any more.

    Why: whoever wrote it thinks that it counts; what counts in its place is told.
    Wrong:
        # house.yaml
        due: {loss: {act_times: 2.5}}
    Right:
        # house.yaml
        due: {loss: {false_alarms_per_1000_casks_a_year: 0.4}}
    """
    due = raw.get("due")
    loss = due.get("loss") if isinstance(due, dict) else None
    given: dict[str, Any] = loss if isinstance(loss, dict) else {}
    for name in WITHOUT_EFFECT:
        if name in given:
            remedy = "set false_alarms_per_1000_casks_a_year in its place; the line may stay"
            yield _fault("setting-without-effect", f"`{name}`: a loss is no longer judged by it", remedy, "due", "loss", name, on_key=True)


def _of_no_type(types: Mapping[str, Any]) -> Iterator[Fault]:
    """setting-of-no-type: a setting of the whole house stands under a type of cask.

    Why: nothing asks for it there, so that the house's own one, or the usual one, holds for that type too.
    Wrong:
        # house.yaml
        types: {butt: {timezone: Europe/London}}
    Right:
        # house.yaml
        timezone: Europe/London
        types: {butt: {test_limit_psi: 9}}
    """
    for kind, own in types.items():
        for name in OF_THE_HOUSE:
            if isinstance(own, dict) and name in own:
                remedy = f"write `{name}` at the left margin, for the whole house, or take the line out"
                yield _fault("setting-of-no-type", f"`{name}` under {kind}: it is of the whole house, of no type", remedy, "types", kind, name, on_key=True)


def _questions(context: Context) -> Iterator[Fault]:
    """question-cannot-be-asked: a saved question of the house has a name that cannot be typed for it, or SQL that is wrong.

    Why: `caskbook query NAME` would fail on the day somebody wants the answer; the SQL is held against the tables here, without any cask.
    Wrong:
        # house.yaml
        questions: {butts: {title: Butts, sql: SELECT cask FROM casks}}
    Right:
        # house.yaml
        questions: {butts: {title: Butts, sql: SELECT cask FROM cask}}
    """
    given = context.settings.questions
    if not given:
        return
    from caskbook.model.questions import is_question_name, sql_fault  # Few houses have any, and SQLite takes a while to load.

    dated = is_dated(context.house.raw.get("questions"))
    for name, question in given.items():
        if not is_question_name(name):
            remedy = "call it by lower-case letters, figures and hyphens, as empty-longest"
            yield _fault("question-cannot-be-asked", f"{shown(name)} is no name of a question", remedy, *_at("questions", name, dated=dated), on_key=not dated)
        wrong = sql_fault(question.sql)
        if wrong is not None:
            message, _, hint = wrong.partition("; ")
            remedy = hint or "try it: caskbook query 'SELECT …'"
            yield _fault("question-cannot-be-asked", message[:80], remedy, *_at("questions", name, "sql", dated=dated))


def _at(*where: str, dated: bool) -> tuple[str, ...]:
    """The place of a value in house.yaml; the whole setting where it is written by days."""
    return where[:1] if dated else where


def contradictions(house: House) -> Iterator[Fault]:
    """settings-contradict: two settings of a rule of which one cannot hold beside the other, or a year that is none.

    Why: one of them is without effect, and what is due comes sooner or later than whoever wrote it thinks.
    Wrong:
        # house.yaml
        due: {rechar: {soon_at: 6, due_at: 5}}
    Right:
        # house.yaml
        due: {rechar: {soon_at: 4, due_at: 5}}
    """
    told: set[tuple[str, ...]] = set()
    for kind, raw in ((None, house.raw), *house.types.items()):
        written = raw.get("due") if isinstance(raw, dict) else None
        root = () if kind is None else ("types", kind)
        if not isinstance(written, dict):
            continue
        for day in (date.min, *house.starts):
            for rule, name, message, remedy in _contradicting(house.on(day, kind), written):
                where = (*root, "due", rule, name)
                if where not in told:
                    told.add(where)
                    yield _fault("settings-contradict", message, remedy, *where)


def _contradicting(settings: Settings, written: Mapping[str, Any]) -> Iterator[tuple[str, str, str, str]]:
    """(rule, setting, what is wrong, what to do) of settings in force on a day; of these only what is written here."""
    for rule, low, high in _IN_ORDER:
        own = written.get(rule)
        name = next((one for one in (low, high) if isinstance(own, dict) and one in own), None)
        least, most = getattr(getattr(settings.due, rule), low), getattr(getattr(settings.due, rule), high)
        if name is not None and least > most:
            yield rule, name, f"`{low}` is {least}, above `{high}`, which is {most}", f"set `{low}` to {most} or less, or `{high}` to {least} or more"
    regauge = written.get("regauge")
    if isinstance(regauge, dict) and "first_year" in regauge and settings.due.regauge.first_year == 0:
        yield "regauge", "first_year", "`first_year` is 0: a fill would be gauged again on its own day", "set it to 1 or more; `off: true` asks for no gauge"


def _fault(code: str, message: str, remedy: str, *where: str | int, on_key: bool = False) -> Fault:
    return Fault(code, CODES[code], message, where, remedy, on_key)


def _rows(raw: Mapping[str, Any], name: str, now: str | None) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    """The texts of a setting, each with its place: of a dated one those of all rows, else that of now."""
    written = raw.get(name)
    if isinstance(written, list) and is_dated(written):
        yield from ((row["value"], (name, n, "value")) for n, row in enumerate(written) if isinstance(row["value"], str))
    elif now is not None:
        yield now, (name,)


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        return False
    return True


def _severities(given: Iterable[str], known: Mapping[str, Severity]) -> Iterator[Fault]:
    for code in given:
        severity = known.get(code)
        if severity != "warning":
            near = nearest(code, [each for each, word in known.items() if word == "warning"])
            what = "no finding has that code" if severity is None else "it is an error" if severity == "error" else "it is a note"
            hint = f"write `{near}` if you meant that" if near and severity is None else "take the line out"
            yield _fault("severity-of-no-warning", f"`{shown(code)[1:-1]}`: {what}", hint, "severities", code, on_key=True)
