"""The parts of a cask file from three versions: which stay, in what order, and where both sides disagree."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from caskbook.merge.lines import Markers, merge_lines
from caskbook.merge.same_id import why_not_parted, with_ids_of_their_own
from caskbook.merge.values import alike
from caskbook.words.plural import number_of
from caskbook.yaml.segments.by_lines import Lines, Part, is_remark, split_remarks

Three = tuple[Sequence[Part], Sequence[Part], Sequence[Part]]


@dataclass
class Tally:
    """What a merge has to tell: what a person must decide, and what went well but is worth knowing."""

    markers: Markers
    conflicts: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    ours_stays: bool = False


def one_lines(base: Part | None, ours: Part, theirs: Part, tally: Tally) -> list[str]:
    """The lines of a part whose value both sides agree on: comments and layout of both survive."""
    if ours.lines == theirs.lines:
        return list(ours.lines)
    if base is None:
        fuller = max((ours.lines, theirs.lines), key=lambda lines: (len(lines), lines))
        other = theirs.lines if fuller == ours.lines else ours.lines
        if {line for line in other if is_remark(line)} <= set(fuller):
            return list(fuller)
        return _conflict((ours.lines, theirs.lines), f"the layout of {_named(ours)}", tally)
    return _apart(base.lines, ours.lines, theirs.lines, f"the layout of {_named(ours)}", tally)


def _apart(base: Lines, ours: Lines, theirs: Lines, what: str, tally: Tally) -> list[str]:
    """Three-way by lines, the remarks above a part and its own lines each for themselves."""
    before = tally.markers.shown
    out: list[str] = []
    for was, one, other in zip(split_remarks(base), split_remarks(ours), split_remarks(theirs), strict=True):
        out += merge_lines(was, one, other, tally.markers)
    if tally.markers.shown > before:
        tally.conflicts.append(f"{what}: changed in two ways")
    return out


def _conflict(sides: tuple[Lines, Lines], what: str, tally: Tally) -> list[str]:
    tally.conflicts.append(what)
    return tally.markers.around(*sides)


def _named(part: Part) -> str:
    job = part.value.get("job") if isinstance(part.value, dict) else None
    return f"event {part.key} ({job} of {part.day})" if job else f"`{part.key}`"


def head_key(key: str, base: Part | None, ours: Part | None, theirs: Part | None, tally: Tally) -> list[str]:
    """The lines of one head key, three-way."""
    if ours is not None and theirs is not None:
        if _same(ours, theirs):
            return one_lines(base, ours, theirs, tally)
        if base is not None and (_same(base, ours) or _same(base, theirs)):
            return _apart(base.lines, ours.lines, theirs.lines, f"`{key}`", tally)
        values = f"{_short(ours)} or {_short(theirs)}"
        return _conflict((ours.lines, theirs.lines), f"`{key}` is set to two values: {values}", tally)
    kept = ours or theirs
    if kept is None:
        return []
    if base is None:
        return list(kept.lines)
    if kept.lines == base.lines:
        return []
    sides = (ours.lines if ours else (), theirs.lines if theirs else ())
    return _conflict(sides, f"`{key}` is changed on one side and taken out on the other", tally)


def _same(one: Part, other: Part) -> bool:
    return alike(one.value, other.value)


def _short(part: Part) -> str:
    text = " ".join(line.strip() for line in part.lines if not is_remark(line))
    if text.startswith("- "):  # A row of a list, which has its name inside.
        return text[2:].strip()[:80]
    return text.partition(":")[2].strip()[:40] or "nothing"


def head_order(sides: Three, ranks: dict[str, int]) -> list[str]:
    """The order of all head keys: the base's, new keys behind the key they follow, in the usual order among themselves."""
    base, ours, theirs = ([str(part.key) for part in side] for side in sides)
    spine = _spine(base or _shared(ours, theirs), ours, theirs)
    behind: dict[str | None, set[str]] = {}
    for keys in (ours, theirs):
        anchor = None
        for key in keys:
            if key in spine:
                anchor = key
            else:
                behind.setdefault(anchor, set()).add(key)
    order: list[str] = []
    for anchor in (None, *spine):
        order += [anchor] if anchor is not None else []
        order += sorted(behind.get(anchor, set()) - set(order), key=lambda key: (ranks.get(key, len(ranks)), key))
    return order


def _shared(ours: list[str], theirs: list[str]) -> list[str]:
    one, other = [key for key in ours if key in theirs], [key for key in theirs if key in ours]
    return one if one == other else sorted(one)


def _spine(base: list[str], ours: list[str], theirs: list[str]) -> list[str]:
    """The base's keys in their order, or in that of the one side that changed it."""
    common = [key for key in base if key in ours and key in theirs]
    one, other = [key for key in ours if key in common], [key for key in theirs if key in common]
    new = other if one == common else one if other == common or one == other else common
    if new == common:
        return base
    return new + [key for key in base if key not in new]


Groups = dict[str | None, list[Part]]


def merge_events(sides: Three, tally: Tally) -> list[Part]:
    """The events of all three versions, united by id, in order. Conflicts become parts whose lines hold the markers."""
    sides = with_ids_of_their_own(*sides, tally.notes, ours_stays=tally.ours_stays)
    base, ours, theirs = (_grouped(side) for side in sides)
    found: list[Part] = []
    for key in dict.fromkeys([*base, *ours, *theirs]):
        if key is not None:
            before = len(tally.conflicts)
            found += _event(base.get(key, []), ours.get(key, []), theirs.get(key, []), tally)
            if len(tally.conflicts) > before and key in ours and key in theirs:
                tally.conflicts[-1] += why_not_parted(key, sides[1], sides[2])
    found += _without_id(base.get(None, []), ours.get(None, []), theirs.get(None, []), tally)
    return _with_gaps(_ordered(found, sides), sides)


def _grouped(side: Sequence[Part]) -> Groups:
    groups: Groups = {}
    for part in side:
        groups.setdefault(part.key, []).append(part)
    return groups


def _event(base: list[Part], ours: list[Part], theirs: list[Part], tally: Tally) -> list[Part]:
    """One event from the three versions: kept, united line by line, or shown as a conflict, which `tally` counts."""
    if len(base) > 1 or len(ours) > 1 or len(theirs) > 1:
        return _repeated(base, ours, theirs, tally)
    was, one, other = (side[0] if side else None for side in (base, ours, theirs))
    kept = one or other
    if kept is None:
        assert was is not None
        tally.notes.append(f"{_named(was)} is gone on both sides")
        return []
    if one is None or other is None:
        return [kept] if was is None else [_missing(kept, one, other, tally)]
    if not _same(one, other):
        what = f"{_named(one)} holds different data on the two sides"
        return [Part(one.key, tuple(_conflict((one.lines, other.lines), what, tally)), one.value)]
    if was is not None and not _same(was, one):
        tally.notes.append(f"{_named(one)} was altered in the same way on both sides")
    return [Part(one.key, tuple(one_lines(was, one, other, tally)), one.value)]


def _missing(kept: Part, one: Part | None, other: Part | None, tally: Tally) -> Part:
    what = f"{_named(kept)} is missing on {'their' if other is None else 'our'} side"
    sides = (one.lines if one else (), other.lines if other else ())
    return Part(kept.key, tuple(_conflict(sides, what, tally)), kept.value)


def _repeated(base: list[Part], ours: list[Part], theirs: list[Part], tally: Tally) -> list[Part]:
    """An id that a file holds more than once: it can only be kept where both sides hold the same."""
    one, other = [part.lines for part in ours], [part.lines for part in theirs]
    first = (ours or theirs or base)[0]
    if one == other and one:
        tally.notes.append(f"event id {first.key} stands more than once")
        return ours
    texts = (tuple(line for lines in one for line in lines), tuple(line for lines in other for line in lines))
    return [Part(first.key, tuple(_conflict(texts, f"event id {first.key} stands more than once", tally)), first.value)]


def _without_id(base: list[Part], ours: list[Part], theirs: list[Part], tally: Tally) -> list[Part]:
    """Events without an id are never matched: only one that stands, byte for byte, in all versions needs no decision."""
    kept = [part for part in ours if part.lines in [p.lines for p in base] and part.lines in [p.lines for p in theirs]]
    settled = {part.lines for part in kept}
    if kept:
        tally.notes.append(f"{number_of(len(kept), 'event')} without an id: run `caskbook stamp` on the file")
    found = list(kept)
    for side, mine in ((ours, True), (theirs, False)):
        for part in side:
            if part.lines not in settled:
                sides = (part.lines, ()) if mine else ((), part.lines)
                what = f"an event without an id ({part.value.get('job')} of {part.day}) on {'our' if mine else 'their'} side"
                found.append(Part(None, tuple(_conflict(sides, what, tally)), part.value))
    for part in base:
        if part.lines not in settled and part.lines not in [p.lines for p in (*ours, *theirs)]:
            tally.notes.append("an event without an id is gone on both sides")
    return found


def _ordered(found: list[Part], sides: Three) -> list[Part]:
    """By (date, id); what stood in the base keeps the order it had there, as long as no side changed that."""
    base, ours, theirs = ([part.lines if part.key is None else part.key for part in side] for side in sides)
    common = [key for key in base if key in set(ours) & set(theirs)]
    kept = set(common)
    steady = all([key for key in side if key in kept] == common for side in (ours, theirs))
    ranks = {key: n for n, key in enumerate(base)}

    def rank(part: Part) -> int | None:
        return ranks.get(part.lines if part.key is None else part.key)

    if not steady or all(one.order <= other.order for one, other in pairwise(sides[0])):
        return sorted(found, key=lambda part: part.order)
    spine = sorted((part for part in found if rank(part) is not None), key=lambda part: rank(part) or 0)
    for part in sorted((part for part in found if rank(part) is None), key=lambda part: part.order):
        at = next((n for n in range(len(spine), 0, -1) if spine[n - 1].order <= part.order), 0)
        spine.insert(at, part)
    return spine


def three_way(base: int | None, ours: int | None, theirs: int | None) -> int | None:
    """A number three-way; None is unknown, and of two changes the larger counts."""
    known = [value for value in (ours, theirs) if value is not None]
    if not known:
        return base
    if base is not None and len(known) == 2:
        changed = [value for value in known if value != base]
        return max(changed, default=base)
    return max(known)


def _with_gaps(events: list[Part], sides: Three) -> list[Part]:
    """Blank lines above each event: as the sides have them, else as most events of the file have them."""
    maps = [{part.key: part.gap for part in side if part.key is not None} for side in sides]
    gaps = [three_way(*(known.get(part.key) for known in maps)) if part.key is not None else part.gap for part in events]
    known = [gap for gap in gaps if gap is not None]
    usual = 1 if known and sum(gap > 0 for gap in known) * 2 > len(known) else 0
    return [Part(part.key, part.lines, part.value, usual if gap is None else gap) for part, gap in zip(events, gaps, strict=True)]


def first_gap(values: Iterable[int | None]) -> int:
    """Blank lines above the first event."""
    base, ours, theirs = values
    return three_way(base, ours, theirs) or 0
