"""The lines of the bench card that count, each with its name: fills, char, wood, test, parts, open matters, what is due."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.life.least import is_child, least_words, since_char_least
from caskbook.life.state import UNKNOWN
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words, listed, plain
from caskbook.model.jobs.repair import origin
from caskbook.model.places import stave_number
from caskbook.render.cask_map import marked_places
from caskbook.render.verdict import Verdict
from caskbook.words.job_table import jobs_with, row_of
from caskbook.words.plural import number_of

_DAYS_PER_YEAR = 365.2425
_MOST_NAMED = 6
_LIQUOR = jobs_with("liquor-in", "liquor-out")
_CURES_ANYWHERE = jobs_with("cures-anywhere")
_ORDINALS = ("", "first", "second", "third", "fourth", "fifth")


def ordinal(number: int) -> str:
    """first, second … then 6th, 21st."""
    if number < len(_ORDINALS):
        return _ORDINALS[number]
    last = "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{last}"


def years_text(years: float) -> str:
    """ "3.5 years", or days below one year."""
    if years >= 1:
        return f"{years:.1f} years"
    days = round(years * _DAYS_PER_YEAR)
    return number_of(days, "day")


def counted(known: int | None, least: int | None = None, *, at_least: bool = False) -> str:
    """The figure, "at least" it, or ? where nothing is known."""
    if known is not None:
        return least_words(known, at_least=at_least)
    return f"at least {least}" if least else "?"


def fills_parts(life: Life, facts: Facts) -> list[str]:
    """The four counts that the trade's "first fill" may mean, each named; where whole entries cannot be read, not even a least figure is known."""
    if life.lacks_entries:
        return ["? here", "? in its life", "? since char", f"? of {_our_spirit(life)}, any owner"]
    child = is_child(life)
    parts = [f"{counted(facts.fills)} here", f"{counted(facts.fills_life, facts.fills_life_min, at_least=child)} in its life"]
    if not facts.never_charred:
        parts.append(f"{counted(facts.fills_since_char, facts.fills_since_char_min, at_least=since_char_least(life))} since char")
    of_spirit = sum(filling.is_spirit for filling in life.state.fillings)
    parts.append(f"{counted(facts.fills_of_class, of_spirit, at_least=child)} of {_our_spirit(life)}, any owner")
    short = sum(filling.short for filling in life.state.fillings)
    return [*parts, f"{short} too short to count since char"] if short else parts


def _our_spirit(life: Life) -> str:
    """What the house counts as its own class: the spirit, or that there are several, any of which is meant."""
    words = life.state.settings.class_of_spirit
    return words if isinstance(words, str) else words[0] if len(words) == 1 else "our spirits"


def char_parts(life: Life, facts: Facts) -> list[str]:
    """When it was last charred, how far, which char that was, and how long ago."""
    if facts.never_charred:
        fire = [f"last fire {facts.last_fire}"] if facts.last_fire else []
        return ["never charred", *fire]
    if facts.last_char is None:
        lost = (
            life.lacks_entries
            or any("charred" in part.lost for part in (life.cask.head, *life.events))
            or any(one.job == "char" and "date" in one.lost for one in life.events)
        )
        return ["unknown: when it was last charred cannot be read" if lost else "unknown: nobody wrote when it was last charred"]
    if life.state.last_char is None:
        text = life.state.past.last_char.text if life.state.past.last_char else str(facts.last_char)
        whose = "on its parents' staves" if is_child(life) else "before us"
        parts = [f"about {text}, {whose}" if facts.last_char_approx else f"{text}, {whose}"]
    else:
        level = life.state.last_char_level
        parts = [f"{facts.last_char}" + (f", level {level}" if level else ""), _which_char(facts)]
    ago = facts.years_since_char
    if ago is None:
        return parts
    return [*parts, f"{years_text(ago)} ago" if ago else "today"]


def _which_char(facts: Facts) -> str:
    if facts.rechar_count is None:
        return "a re-char or its first: its past is unknown"
    if facts.rechar_count:
        return f"R{facts.rechar_count}, its {ordinal(facts.rechar_count)} re-char"
    return "its first char" if facts.char_count == 1 else "no re-char: nothing was in it before"


def wood_parts(facts: Facts) -> list[str]:
    """Years with spirit in it here, and how many of them since the last char."""
    if facts.years_in_wood is None:
        return ["? years with spirit here"]
    if not facts.years_in_wood:
        return ["no time with spirit here yet"]
    total = f"{years_text(facts.years_in_wood)} with spirit here"
    if facts.never_charred:
        since = ""
    elif facts.years_in_wood_since_char is None:
        since = ", ? of them since char"
    elif not facts.years_in_wood_since_char:
        since = ", none of them since char"
    else:
        every = facts.years_in_wood_since_char >= facts.years_in_wood
        since = ", all since char" if every else f", {_same_unit(facts.years_in_wood_since_char, facts.years_in_wood)} of them since char"
    left = [f"{facts.wood_left:.0%} of the wood left at the house's rate"] if facts.wood_left is not None else []
    return [total + since, *left]


def _same_unit(part: float, whole: float) -> str:
    return f"{part:.1f}" if whole >= 1 and part >= 0.1 else years_text(part)


def test_parts(life: Life, facts: Facts) -> list[str]:
    """The last test, where it failed and what cured it, and whether a pass is called for and still good."""
    test = life.last("test")
    if test is None:
        return ["none that can be read" if life.lacks_entries else "none here", *_called_for(life, facts)]
    parts = [("the last that can be read: " if life.lacks_entries else "") + f"{test.date} {event_words(test)}"]
    fail = next((e for e in reversed(life.events) if e.job == "test" and getattr(e, "result", "") == "fail"), None)
    if fail is not None and fail is not test:
        parts.append(_earlier_fail(life, test, fail))
    if facts.fails_this_visit and facts.fails_this_visit > 1:
        parts.append(f"{facts.fails_this_visit} fails this visit")
    return parts + _called_for(life, facts)


def _earlier_fail(life: Life, test: Event, fail: Event) -> str:
    where = listed([leak.at for leak in fail.leaks or ()]) or UNKNOWN  # type: ignore[attr-defined]
    between = life.events[_index(life, fail) + 1 : _index(life, test)]
    if any(event.job in _LIQUOR or event.job == "return" for event in between):
        return f"last fail {fail.date} at {where}"
    work = list(dict.fromkeys(event.job for event in between if event.places() or event.job in _CURES_ANYWHERE))
    return f"failed first at {where}" + (f", cured by {listed([row_of(job).cures or job for job in work])}" if work else "")


def _index(life: Life, event: Event) -> int:
    return next(at for at, one in enumerate(life.events) if one is event)


def _called_for(life: Life, facts: Facts) -> list[str]:
    """Whether a pass is called for, and if so whether the last one is good, in words."""
    if facts.state in ("gone", "filled", "seasoning"):
        return []
    limit = life.state.settings.test_valid_days
    if facts.test_needed is None:
        return ["whether a pass is called for cannot be told"]
    if not facts.test_needed:
        return ["no pass called for"]
    if facts.test_valid:
        passed = life.state.last_pass
        age = (life.day - passed.date).days if passed else 0
        return [f"pass needed: good, {age} of {number_of(limit, 'day')} old"]
    if not facts.proved or life.state.last_pass is None:
        return ["NEEDS A PASS: not proved tight since work on it" if facts.last_test else "NEEDS A PASS"]
    return [f"NEEDS A PASS: the last is out of date, {number_of((life.day - life.state.last_pass.date).days, 'day')} old, limit {limit}"]


def parts_parts(life: Life, facts: Facts) -> list[str]:
    """Staves, heads and hoops changed and when, rush laid, donors, thickness, and the share of first staves."""
    parts = stave_changes(life) + head_changes(life)
    if facts.hoops_replaced:
        parts.append(f"{facts.hoops_replaced} {'hoop' if facts.hoops_replaced == 1 else 'hoops'} changed")
    if facts.flagged and (rush := marked_places(life).rush):
        parts.append("rush in " + _few([f"{place}{f' ×{times}' if times > 1 else ''}" for place, times in sorted(rush.items(), key=lambda one: str(one[0]))]))
    parts.append(_share(life, facts))
    if facts.stave_mm is not None:
        parts.append(f"thinnest stave {plain(facts.stave_mm)} mm")
    if facts.soaked is not None:
        parts.append(f"soaked {facts.soaked:.0%} of the thickness")
    unnamed = [donor for donor in facts.donors or [] if not any(donor in part for part in parts)]
    if unnamed:
        parts.append("parts from " + _few(unnamed))
    return parts


def _share(life: Life, facts: Facts) -> str:
    """How many of its staves are the first ones; why that is not known, where it is not."""
    share = (facts.original_stave_share or "").partition("/")
    if not share[2]:
        unread = life.state.frame.staves is None and any(
            "staves" in part.lost for part in (life.cask.head, *life.events) if getattr(part, "job", "") != "stave"
        )
        counted = "how many staves it has cannot be read" if unread else "staves not counted"
        return f"{facts.staves} staves, how many of them are the first ones is not known" if facts.staves is not None else counted
    return f"all {share[2]} staves are the first ones" if share[0] == share[2] else f"{share[0]} of {share[2]} staves are the first ones"


def stave_changes(life: Life) -> list[str]:
    """ "stave 1 (bung stave) new 2023": each replaced stave with where it came from and when; the bung stave first."""
    seen: dict[int, list[Event]] = {}
    for event in life.events:
        if event.job == "stave" and event.action == "replace":  # type: ignore[attr-defined]
            # 14 and 14b in one entry are one stave replaced by two.
            for number in dict.fromkeys(stave_number(name)[0] for name in event.staves):  # type: ignore[attr-defined]
                seen.setdefault(number, []).append(event)
    bung = life.state.frame.bung_stave
    ordered = sorted(seen, key=lambda number: (number != bung, number))
    said = [_one_change(f"stave {number}{' (bung stave)' if number == bung else ''}", seen[number]) for number in ordered[:_MOST_NAMED]]
    rest = ordered[_MOST_NAMED:]
    return [*said, f"staves {listed(rest)} changed too"] if rest else said


def _one_change(what: str, events: list[Event]) -> str:
    last = events[-1]
    times = f", {len(events)} times" if len(events) > 1 else ""
    return f"{what} {origin(getattr(last, 'from_', None)) or 'changed'} {last.date:%Y}{times}"


def head_changes(life: Life) -> list[str]:
    """ "head A new 2021", "head-A-2 new 2019"."""
    said = []
    for event in life.events:
        if event.job == "head" and "head" not in event.lost and event.action in ("replace", "piece"):  # type: ignore[attr-defined]
            whole = event.action == "replace"  # type: ignore[attr-defined]
            what = f"head {event.head}" if whole else listed(event.places())  # type: ignore[attr-defined]
            said.append(_one_change(what, [event]))
    return said[-_MOST_NAMED:]


def open_parts(life: Life, facts: Facts) -> list[str]:
    """Marks with since when and why, open leaks, open defects, heads out; "nothing" where there is none, and that it cannot be told where
    something of the cask's files cannot be read."""
    parts = []
    for name, mark in life.state.marks.items():
        count = number_of(facts.treatments or 0, "treatment")
        treated = f", {count} so far" if name == "tainted" and facts.treatments else ""
        parts.append(f"{name.upper()} since {mark.since}: {mark.why}{treated}")
    for leak in life.state.leaks:
        looked = f", last seen {leak.looked}" if leak.looked else ""
        again = f", look again {leak.look_again}" if leak.look_again else ""
        parts.append(f"{leak.severity.upper()} at {leak.at} since {leak.since}{looked}{again}")
    parts += [_defect(one) for one in facts.open_defects or []]
    if life.state.form == "open":
        heads = sorted(life.state.open_heads)
        parts.append(f"{'heads' if len(heads) > 1 else 'head'} {listed(heads)} out")
    return [*parts, *cannot_tell(life)] or ["nothing"]


def cannot_tell(life: Life) -> list[str]:
    """That more may be so than is told, for something of the cask's files cannot be read; nothing where all can."""
    return [f"? cannot be read: {', '.join(life.unread)}"] if life.unread else []


def _defect(one: dict[str, Any]) -> str:
    severity = one["severity"]
    return f"{one['at'] or '?'} {one['defect'] or '?'}" + (f" ({severity})" if severity is not None else "")


def due_parts(verdicts: Iterable[Verdict], life: Life) -> list[str]:
    """Due first with its reason, then blocked, then all that waits for the emptying; "nothing" where there is none, and that it cannot be told
    where something of the cask's files cannot be read."""
    every = list(verdicts)
    parts = [_due_now(one) for one in every if one.verdict == "due"]
    parts += [f"{one.rule} blocked: {_reason(one)}" for one in every if one.verdict == "blocked"]
    waiting = [one.rule for one in every if one.verdict == "at-emptying"]
    if waiting:
        parts.append(f"at emptying: {', '.join(waiting)}")
    parts += [f"{one.rule} quiet: {one.decided}" for one in every if one.decided and one.verdict not in ("due", "blocked")]
    return [*parts, *cannot_tell(life)] or ["nothing"]


def _due_now(one: Verdict) -> str:
    since = f" since {one.since}" if one.since else ""
    past = ", well past" if one.well_past else ""
    return f"{one.rule.upper()}{since}{past}: {_reason(one)}"


def _reason(one: Verdict) -> str:
    """The first reason; of a retirement that several signs propose together, how many more there are, the last line being their sum."""
    more = len(one.reasons) - 2 if one.rule == "retire" else 0
    return (one.reasons[0] if one.reasons else "no reason given") + (f"; {number_of(more, 'sign')} more" if more > 0 else "")


def _few(words: Sequence[str]) -> str:
    return listed(list(words)) if len(words) <= _MOST_NAMED else f"{', '.join(words[:_MOST_NAMED])} and {len(words) - _MOST_NAMED} more"
