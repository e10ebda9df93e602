"""The retirement sheet of one cask: what it is, its signs, what it has had, what would make it ready, the options side by side, and a place to sign."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from caskbook.entry.caution import REMINDER, caution_in_short
from caskbook.loss import fill_losses, loss_parts
from caskbook.loss.phrases import percent
from caskbook.model.jobs.base import event_words
from caskbook.render import card_parts as parts
from caskbook.render.card import title
from caskbook.render.console import safe
from caskbook.render.work_lines import places_of, told
from caskbook.words.plural import number_of
from caskbook.work.retirement import Retirement
from caskbook.work.retirement_options import Option, dangers, first_command, options_of, work_sum

_MOST_NAMED = 6
Cells = tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a block: its name, and a cell or several side by side, each in parts that stay together. `command`: its parts are entered as they stand."""

    name: str
    cells: Cells
    command: bool = False


@dataclass(frozen=True, slots=True)
class Block:
    """A part of the sheet under its heading. `room`: it is written into by hand; `cut`: its rows may be shortened where the page is full."""

    head: str
    rows: tuple[Row, ...]
    room: bool = False
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet before it is laid out: `top` as on the card of the cask, the blocks in order, and `foot`."""

    cask: str
    top: tuple[str, ...]
    blocks: tuple[Block, ...]
    foot: str


SIGNED = (
    "[ ] retire   [ ] keep until __________   [ ] repair   [ ] lesser use",
    "[ ] donor   [ ] break up   [ ] sell   why: __________________________________",
    "signature: ____________________   name: __________________   day: __________",
)


def sheet_of(found: Retirement, *, width: int = 80) -> Sheet:
    """The sheet of a cask. `width`: of the lines at its top, in cells."""
    top = tuple(title(found.life, found.facts, width).plain.split("\n"))
    blocks = [Block(_signs_head(found), tuple(_signs(found)), cut=True), Block("what it has had", tuple(_had(found)), cut=True)]
    if found.way is not None:
        blocks.append(Block("what it would take to have it ready, if it is kept", tuple(_to_ready(found)), cut=True))
    options = options_of(found)
    if options:
        beside = [Row("", (("what it takes",), ("what there is then",))), *(Row(one.name, ((one.takes,), (one.leaves,))) for one in options)]
        blocks += [Block("options", tuple(beside), cut=True), Block("entered by (words in capitals are yours)", tuple(_entered(found, options)))]
        blocks.append(Block("decided", tuple(Row("", ((line,),)) for line in SIGNED), room=True))
    return Sheet(found.facts.cask, top, tuple(blocks), f"retirement sheet of {found.life.day}: caskbook proposes, a person signs")


def _signs_head(found: Retirement) -> str:
    """ "signs 2 of 2: proposed since 2026-11-02 (! is enough alone)"."""
    count = f"signs {len(found.signs)} of {found.needed}"
    mark = " (! is enough alone)" if any(one.hard for one in found.signs) else ""
    verdict = found.verdict
    if found.over == "retired":
        return f"{count}: retired {found.life.state.marks['retired'].since}"
    if verdict is None:
        return f"{count}: {found.over or 'not here'}, so that it is not asked"
    if verdict.decided:
        return f"{count}: {verdict.decided}"
    words = {"due": f"proposed since {verdict.since}", "at-emptying": "proposed once it is emptied", "unknown": "nobody can tell whether there are more"}
    return f"{count}: {words.get(verdict.verdict, 'not proposed')}{mark}"


def _signs(found: Retirement) -> Iterator[Row]:
    """Each sign with the day on which it showed, then what is not known, and what nobody looked at."""
    for one in found.signs:
        yield Row(str(one.day), ((f"{'! ' if one.hard else ''}{one.text}",),))
    if not found.signs:
        yield Row("none", (("the book sees no sign",),))
    for text in found.unknown:
        yield Row("not known", ((f"? {text}",),))
    if found.not_seen:
        yield Row("not seen", (found.not_seen,))


def _had(found: Retirement) -> Iterator[Row]:
    """Fills, chars, wood, parts, mended places, tests and losses, each in its line."""
    life, facts = found.life, found.facts
    spans = [(f"{one.start:%Y} to {one.end:%Y}" if one.end else f"since {one.start:%Y}", one.spirit or "spirit not known") for one in life.state.fillings]
    fills = [" ".join(one) for one in spans]
    yield Row("fills", ((*parts.fills_parts(life, facts), *_last(fills)),))
    chars = [f"{event.date} {event_words(event)}".rstrip() for event in life.events if event.job == "char"]
    yield Row("char", ((*parts.char_parts(life, facts), *(_last(chars[:-1]))),))
    yield Row("wood", (tuple(parts.wood_parts(facts)),))
    yield Row("parts", (tuple(parts.parts_parts(life, facts)),))
    ordered = sorted(found.mended.items(), key=lambda one: -len(one[1]))
    again = [f"{place} in {len(days)} visits ({', '.join(f'{day:%Y}' for day in days)})" for place, days in ordered if len(days) > 1]
    if again:
        yield Row("mended", (tuple(again[:_MOST_NAMED]),))
    tests = [event for event in life.events if event.job == "test"]
    fails = [str(event.date) for event in tests if getattr(event, "result", None) == "fail" or getattr(event, "cured_by", None)]
    counted = [f"{number_of(len(tests), 'test')}, {len(fails)} failed{': ' + ', '.join(fails[-_MOST_NAMED:]) if fails else ''}"] if tests else []
    yield Row("test", ((*counted, *parts.test_parts(life, facts)),))
    lost = [
        f"fill of {one.record.filling.start:%Y}: {percent(rate)} a year" for one in fill_losses(life) if one.whole and (rate := one.whole.per_year) is not None
    ]
    yield Row("loss", ((*(loss_parts(life) or ["never filled with spirit here"]), *_last(lost)),))
    yield Row("open", (tuple(parts.open_parts(life, facts)),))


def _last(words: Sequence[str]) -> list[str]:
    """The latest few of them, and how many there are before."""
    return [*([f"{len(words) - _MOST_NAMED} before"] if len(words) > _MOST_NAMED else []), *words[-_MOST_NAMED:]]


def _to_ready(found: Retirement) -> Iterator[Row]:
    """The jobs with what asks for each, their hours, and the wood that open findings ask for."""
    way = found.way
    assert way is not None
    tip = ["emptied first"] if found.tip else []
    if way.why is not None:
        yield Row("no way", ((*tip, way.why),))
    places = places_of(found.hours)
    jobs = [f"{step.word} ({step.rule}) {'? h' if hours is None else f'{hours:.{places}f} h'}" for step, hours in zip(way.steps, found.hours, strict=True)]
    if way.why is None:
        yield Row("jobs", ((*tip, *(jobs or ["none: but for its signs it is ready"])),))
    if jobs:
        yield Row("hours", ((told(work_sum(found), places), "if nothing more is found: each job is taken to end well"),))
    if found.parts:
        yield Row("wood", (tuple(number_of(count, part) for part, count in found.parts.items()),))


def _entered(found: Retirement, options: Sequence[Option]) -> Iterator[Row]:
    """The commands of each option, the emptying of a filled cask before them; then the cautions where that work can hurt."""
    first = first_command(found)
    if first is not None:
        yield Row("first", ((first,),), command=True)
    for one in options:
        if one.commands:
            yield Row(one.name, (one.commands,), command=True)
    kinds = dangers(found)
    if kinds:
        yield Row("caution", ((" ".join([*map(caution_in_short, kinds), REMINDER]),),))


def command_lines(command: str, room: float, measure: Callable[[str], float]) -> list[str]:
    """A command over several lines as a shell takes it: broken between options, with a backslash; whole where it has room. `measure`: how much room a text takes."""
    whole = safe(command)
    if measure(whole) <= room:
        return [whole]
    start, *options = whole.split(" --")
    lines = [start]
    for word in (f"--{one}" for one in options):
        if measure(f"{lines[-1]} {word} \\") > room:
            lines[-1] += " \\"
            lines.append(f"  {word}")
        else:
            lines[-1] += f" {word}"
    return lines
