"""The casks proposed for retirement and those to be watched, as one screen; and what its figures mean."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskbook.due.retire_words import REPORT
from caskbook.model.jobs.base import plain
from caskbook.render.console import USUAL_WIDTH, cut, flow, pad
from caskbook.render.due import short_berth
from caskbook.render.work_lines import wrapped
from caskbook.words.plural import number_of
from caskbook.work.candidates import GROUPS, Candidate, Candidates, Group

_SHOWN = 12
_MOST_BERTH = 12
_HEADS: dict[Group, str] = {
    "proposed": "proposed",
    "at emptying": "proposed once emptied",
    "cannot be told": "nobody can tell: with what is not known there may be signs enough",
    "watched": "watched: signs, and too few of them",
    "kept": "kept by a decision",
}
_SHORT: dict[Group, str] = {"proposed": "proposed", "at emptying": "at emptying", "cannot be told": "not to be told", "watched": "watched", "kept": "kept"}


def candidates_text(found: Candidates, narrowed: Sequence[str] = (), *, width: int | None, top: int | None = None) -> str:
    """The screen, at most 80 cells wide in a pipe too: group by group its casks, each with its signs; of a group the first `top`."""
    wide = width or USUAL_WIDTH
    counts = [f"{len(found.of(group))} {_SHORT[group]}" for group in GROUPS]
    lines = flow([f"retirement on {found.day}", *narrowed, f"{number_of(found.judged, 'cask')} judged", *counts], wide)
    lines += wrapped(f"proposed at {number_of(found.needed, 'sign')}{_own(found)}, or at one that is enough alone (!); a person signs", wide)
    for group in GROUPS:
        casks = found.of(group)
        if casks:
            lines += ["", cut(f"{_HEADS[group]}: {len(casks)}", wide), *_rows(casks[: top or _SHOWN], wide)]
        if len(casks) > (top or _SHOWN):
            lines.append(f"  … {len(casks) - (top or _SHOWN)} more: --top {len(casks)}")
    first = next(iter(found.casks), None)
    return "\n".join([*lines, *(["", f"the sheet of a cask: {REPORT} {first.cask}"] if first else ["no cask has a sign"])])


def _own(found: Candidates) -> str:
    return f" ({', '.join(f'{kind} {count}' for kind, count in found.of_type.items())})" if found.of_type else ""


def _rows(casks: Sequence[Candidate], wide: int) -> Iterator[str]:
    """Each cask with its count of signs, and these below it, the hard ones marked."""
    names, types = max(len(one.cask) for one in casks), max(len(one.type or "?") for one in casks)
    berths = min(max(len(one.berth or "") for one in casks), _MOST_BERTH)
    for one in casks:
        since = f"  since {one.since}" if one.since else ""
        yield cut(
            f"  {pad(one.cask, names)}  {pad(one.type or '?', types)}  {pad(short_berth(one.berth or '', berths), berths)}  {count_words(one)}{since}".rstrip(),
            wide,
        )
        told = [*(f"{'! ' if at < one.hard else ''}{sign}" for at, sign in enumerate(one.signs)), *(f"? {text}" for text in one.unknown)]
        for text in [*told, *([one.decided] if one.decided else [])]:
            yield from (f"      {line}" for line in wrapped(text, wide - 6))


def count_words(one: Candidate) -> str:
    """ "2 of 2"; "1 of 2 !" where one of them is enough alone; "?" where nobody can tell."""
    return "?" if one.needed is None else f"{len(one.signs)} of {one.needed}{' !' if one.hard else ''}"


def explained_text(found: Candidates, narrowed: Sequence[str], *, width: int | None) -> str:
    """What each figure means, wrapped: its definition, its denominator and the settings of the house."""
    wide = min(width or USUAL_WIDTH, 90)
    return "\n".join(line for text in _paragraphs(found, narrowed) for line in wrapped(text, wide))


def _paragraphs(found: Candidates, narrowed: Sequence[str]) -> list[str]:
    """In the order of the screen."""
    return [
        f"judged: {number_of(found.judged, 'cask')}, those of which the rule retire says anything on {found.day}{', ' + ', '.join(narrowed) if narrowed else ''}: here, and not gone; those away or missing are not asked. "
        "Retired ones are among them, and have no sign any more.",
        f"signs: those of caskbook explain retire, each with its limit of due.retire in house.yaml. The house proposes at due.retire.points, {found.needed}{_own(found)}. "
        "A taint that outlived its treatments, staves under the floor (stave_floor_mm) and liquor soaked too deep are enough alone, and marked !.",
        "spent: as many fills since char as the limit of due.rechar and due.retire.spent_over together, where due.rechar.most_rechars or the floor lets it be charred no more. It is one sign with the fills of a life "
        "(due.retire.life_fills), for both say that the wood has given what it had. Worn: staves less than due.retire.worn_margin_mm over the floor, or one place mended in due.retire.worn_visits visits to the bench; "
        "both together are one sign. Staves replaced within ten years (replaced_share) or in its life (replaced_share_life) are one sign. Common practice, no source: the limits are the house's.",
        f"proposed: {len(found.of('proposed'))}, empty, since the day on which the signs were enough and the cask empty. Proposed once emptied: {len(found.of('at emptying'))}, filled, with the same signs. "
        f"Nobody can tell: {len(found.of('cannot be told'))}, with a sign, and with as many that are not known as would be enough (?), or with files that cannot be read.",
        f"watched: {len(found.of('watched'))}, with a sign or more and less than the house needs. Kept: {len(found.of('kept'))}, with signs and a decision in force (caskbook enter decide CASK --rule retire), which is told with them.",
        f"settings of due.retire on {found.day}: {', '.join(f'{name} {plain(value)}' for name, value in found.limits.items())}; a type may have its own (types in house.yaml).",
        "staves nobody measured, and how deep the liquor has soaked in where no examination said it, are no sign and stand in the sheet of the cask as not known.",
    ]  # fmt: skip
