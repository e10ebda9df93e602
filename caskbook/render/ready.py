"""The empty casks by how far each is from ready, as one screen: what there is, what makes up the short, what is in the way, and the casks along the berths."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence

from rich.cells import cell_len

from caskbook.model.jobs.base import plain
from caskbook.render.console import USUAL_WIDTH, cut, flow, pad, safe
from caskbook.render.work_lines import grid, hours_lines, places_of, told, wrapped
from caskbook.words.plural import number_of
from caskbook.work.readiness import GROUPS, Group
from caskbook.work.ready import REACHED, Empty, Readiness, amount, work_of

_SHOWN = 12
_REASONS = 3
_AWAY = {"one job away": "one job", "two jobs away": "two", "three or more": "three or more"}
_FORESEEN = "if nothing is found: each job is taken to end well (sound, clean, passed); what an examination may bring is not foreseen"


def ready_text(found: Readiness, narrowed: Sequence[str] = (), *, width: int | None, whole: bool) -> str:
    """The screen, at most 80 cells wide in a pipe too. `whole`: every cask; `narrowed`: the filters in words."""
    wide = width or USUAL_WIDTH
    lines = [*_head(found, narrowed, wide)]
    if found.casks:
        lines += ["", *_table(found, wide), "", *_take(found, wide), *_notes(found, wide), *_casks(found, wide, whole=whole), ""]
        lines += [line for group in GROUPS[4:] for line in _reasons(found, group, wide, whole=whole)]
    lines += _aside(found, wide)
    if found.casks:
        without = (word for one in found.casks for step, hours in zip(one.way.steps, one.hours, strict=True) if hours is None for word in step.jobs)
        unknown = {one.job for one in found.sources if one.hours is None}
        lines += hours_lines(found.sources, (word for word in without if word in unknown), wide)
    return "\n".join(lines)


def _head(found: Readiness, narrowed: Sequence[str], wide: int) -> Iterator[str]:
    """The day, the filters, what is wanted and what there is."""
    yield from flow([f"ready on {found.day}", *narrowed, f"{number_of(len(found.casks), 'empty cask')} here"], wide)
    asked, purpose = found.asked, f" for {found.asked.spirit}" if found.asked.spirit else ""
    unit = " L" if asked.litres is not None else ""
    have = f"have {plain(found.have)}{unit}" + ("" if unit else " ready")
    if found.wanted is not None:
        yield from wrapped(f"want {plain(found.wanted)}{unit}{purpose}: {have}, {f'short {plain(found.short)}{unit}' if found.short else 'enough'}", wide)
    elif found.casks:
        yield from wrapped(f"{have.removeprefix('have ')}{purpose}, {_litres(found.of('ready now'))}", wide)
    else:
        yield "nothing stands empty here" + (" that fits" if narrowed else "")


def _litres(casks: Sequence[Empty]) -> str:
    """ "1950 L", "1950 L and 2 of unknown size"."""
    unknown = sum(one.litres is None for one in casks)
    litres = f"{plain(amount(casks, litres=True))} L"
    return litres if not unknown else f"{litres} and {unknown} of unknown size"


def _table(found: Readiness, wide: int) -> list[str]:
    """A row for each group: casks, litres, and the hours to get there."""
    places = places_of(hours for one in found.casks for hours in one.hours)
    rows = [["", "casks", f"of {len(found.casks)}", "litres", "hours to get there"]]
    for group in GROUPS:
        casks = found.of(group)
        hours = told(work_of(casks), places) if casks and group in _AWAY else "·"
        rows.append([group, str(len(casks)), f"{len(casks) / len(found.casks):.0%}", _litres(casks).replace(" L", "", 1) if casks else "·", hours])
    most = max(cell_len(row[4]) for row in rows)
    return grid([[*row[:4], pad(row[4], most)] for row in rows], wide)


def _take(found: Readiness, wide: int) -> Iterator[str]:
    """Which jobs make up the short, and that it cannot be reached where it cannot."""
    if found.wanted is None or not found.short:
        return
    unit = " L" if found.asked.litres is not None else ""
    if found.most < found.wanted:
        yield f"it cannot be reached: {plain(found.most)}{unit} at most"
    parts = [_part(casks, _AWAY[group], found) for group in REACHED[1:] if (casks := [one for one in found.taken if one.way.group == group])]
    if parts:
        yield from wrapped(f"take {' and '.join([', '.join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)}", wide)


def _part(casks: Sequence[Empty], away: str, found: Readiness) -> str:
    """ "18 with one job (examine 12, test 6: 4.5 h)"."""
    ways = Counter(" and ".join(step.word for step in one.way.steps) for one in casks)
    places = places_of(hours for one in found.casks for hours in one.hours)
    litres = f"; {_litres(casks)}" if found.asked.litres is not None else ""
    return f"{len(casks)} with {away} ({', '.join(f'{way} {count}' for way, count in ways.most_common())}: {told(work_of(casks), places)}{litres})"


def _notes(found: Readiness, wide: int) -> Iterator[str]:
    """What the ways rest on, what is fit but not ready, and what is in the way of the others."""
    if any(one.way.steps for one in found.casks):
        yield from wrapped(_FORESEEN, wide)
    lapsing = sorted(one.until for one in found.casks if one.until)
    if lapsing:
        first = str(lapsing[0]) if lapsing[0] == lapsing[-1] else f"{lapsing[0]} to {lapsing[-1]}"
        yield from wrapped(
            f"{len(lapsing)} of the ready {'is' if len(lapsing) == 1 else 'are'} due again on {first}: fill before, or count on the job (caskbook due --soon)",
            wide,
        )
    fire = [one for one in found.casks if one.fit and any(step.rule == "rechar" for step in one.way.steps)]
    if fire:
        yield from wrapped(f"{len(fire)} {'is' if len(fire) == 1 else 'are'} fit but due for a re-char, and so not ready now", wide)
    unsure = Counter(words.partition(":")[0] for one in found.casks for words in one.way.unsure)
    for rule, count in unsure.most_common():
        be = "is" if count == 1 else "are"
        yield from wrapped(f"{count} {be} counted of which nobody can tell whether {row_words(rule)} is due: caskbook due {rule} --unknown", wide)
    held = [one for one in found.casks if any(step.word == "release" for step in one.way.steps)]
    if held:
        yield from wrapped(f"{len(held)} {'is' if len(held) == 1 else 'are'} held: the release is a decision, which somebody has to sign", wide)
    if found.asked.litres is not None and any(one.litres is None for group in REACHED for one in found.of(group)):
        yield from wrapped("casks of unknown size are not counted in litres: enter measure CASK --capacity", wide)


def _aside(found: Readiness, wide: int) -> Iterator[str]:
    """Which casks are not counted at all."""
    if found.filled:
        be = "is" if found.filled == 1 else "are"
        yield from wrapped(f"{number_of(found.filled, 'filled cask')} {be} not counted: caskbook plan CASK --tip DAY says what tipping makes", wide)
    if found.unclear:
        yield from wrapped(
            f"of {number_of(found.unclear, 'cask')} nobody can tell whether {'it is' if found.unclear == 1 else 'they are'} empty: caskbook check", wide
        )


def _casks(found: Readiness, wide: int, *, whole: bool) -> Iterator[str]:
    """The casks to take along the berths, or all that can be had where nothing is wanted."""
    chosen = found.taken if found.wanted is not None else [one for one in found.casks if one.way.group in REACHED]
    if not chosen:
        return
    work = work_of(chosen)
    hours = f", {told(work, places_of(hours for one in chosen for hours in one.hours))}" if work.jobs else ""
    yield from ["", *wrapped(f"the casks{' to take' if found.wanted is not None else ''}, along the berths: {len(chosen)}, {_litres(chosen)}{hours}", wide)]
    if any({"class", "other"} & set(one.held or ()) for one in chosen):
        yield from wrapped("held before: class is another spirit of the house's class, other is any other spirit", wide)
    shown = chosen if whole else chosen[:_SHOWN]
    yield from _rows(shown, found.asked.spirit, wide)
    if len(chosen) > len(shown):
        yield f"… {len(chosen) - len(shown)} more: --all"


def _reasons(found: Readiness, group: Group, wide: int, *, whole: bool) -> Iterator[str]:
    """How many casks of a group have which reason, and the first of them, or all, with theirs in full."""
    casks = found.of(group)
    if not casks:
        return
    kinds = Counter((one.way.why or "").partition(":")[0] if ":" in (one.way.why or "") else (one.way.why or "").partition(" ")[0] for one in casks)
    yield from wrapped(f"{group}: {', '.join(f'{kind} {count}' for kind, count in kinds.most_common())}", wide)
    for one in casks if whole else casks[:_REASONS]:
        indent = " " * (cell_len(one.cask) + 4)
        yield from textwrap.wrap(safe(f"{one.cask}  {one.way.why}"), wide, initial_indent="  ", subsequent_indent=indent, break_on_hyphens=False)
    if len(casks) > _REASONS and not whole:
        yield f"  … {len(casks) - _REASONS} more: --all"


def _rows(casks: Sequence[Empty], spirit: str | None, wide: int) -> Iterator[str]:
    """Berth, cask, type, litres, what it held where that was asked, and its jobs, each with what asks for it."""
    rows = [
        [one.berth or "", one.cask, one.type, "?" if one.litres is None else plain(one.litres), *([held_words(one, spirit)] if spirit else [])]
        for one in casks
    ]  # fmt: skip
    sizes = [min(max(cell_len(row[n]) for row in rows), 24) for n in range(len(rows[0]))]
    for one, row in zip(casks, rows, strict=True):
        before = "  ".join(
            [" " * (size - cell_len(cell)) + cell if n == 3 else pad(cell, size) for n, (cell, size) in enumerate(zip(row, sizes, strict=True)) if size]
        )
        indent = cell_len(before) + 2
        first, *rest = wrapped(steps_words(one), max(wide - indent, 20))
        yield from [cut(f"{before}  {first}", wide), *(cut(" " * indent + line.strip(), wide) for line in rest)]


def steps_words(one: Empty) -> str:
    """ "shave+char (rechar), test (retest)"; "ready"."""
    return ", ".join(step.word if step.word == step.rule else f"{step.word} ({step.rule})" for step in one.way.steps) or "ready"


def row_words(rule: str) -> str:
    """What a rule of the wood calls for, in a sentence."""
    return {"rechar": "a re-char", "retire": "retirement"}.get(rule, rule)


def held_words(one: Empty, spirit: str) -> str:
    """ "malt+wine"; "class" is another spirit of the house's class."""
    return "+".join({"same": spirit, "never": "never held"}.get(word, word) for word in one.held or ())
