"""The retirement sheet of one cask for programs: all that the page tells, days as ISO text, unknown as null."""

from __future__ import annotations

from typing import Any

from caskbook.entry.caution import REMINDER, caution_in_short
from caskbook.work.retirement import Retirement
from caskbook.work.retirement_options import dangers, first_command, options_of


def sheet_data(found: Retirement) -> dict[str, Any]:
    """cask, type, as_of, state, verdict (null where the rule is not asked), needed, signs, unknown, not_seen, mended, way, parts, options, cautions."""
    verdict, way = found.verdict, found.way
    kinds = dangers(found)
    return {
        "cask": found.facts.cask, "type": found.facts.type, "as_of": found.life.day.isoformat(), "state": found.facts.state, "over": found.over,
        "verdict": verdict.verdict if verdict else None, "since": verdict.since.isoformat() if verdict and verdict.since else None, "decided": verdict.decided if verdict else None,
        "needed": found.needed, "signs": [{"day": _day(one.day), "sign": one.text, "hard": one.hard} for one in found.signs],
        "unknown": list(found.unknown), "not_seen": list(found.not_seen), "mended": {place: [_day(day) for day in days] for place, days in found.mended.items()},
        "emptied_first": found.tip,
        "way": None if way is None else {
            "group": way.group, "why": way.why,
            "jobs": [{"job": step.word, "rule": step.rule, "reason": step.reason, "hours": None if hours is None else round(hours, 4)} for step, hours in zip(way.steps, found.hours, strict=True)],
        },
        "parts": dict(found.parts), "first": first_command(found),
        "options": [{"option": one.name, "takes": one.takes, "leaves": one.leaves, "commands": list(one.commands)} for one in options_of(found)],
        "cautions": [*map(caution_in_short, kinds), *([REMINDER] if kinds else [])],
    }  # fmt: skip


def _day(day: Any) -> str | None:
    """A day as ISO text; null where nobody can read it."""
    text = day.isoformat()
    return None if text == "?" else str(text)
