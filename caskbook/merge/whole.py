"""Three versions of a file of the ledger into one, the same bytes whichever side is ours; or a conflict that shows both.

Events are united by id and ordered by (date, id); head keys and settings go three-way. Nothing that landed is taken away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from caskbook.merge.grown import united
from caskbook.merge.lines import Markers, Merged, merge_lines, whole_conflict
from caskbook.merge.parts import Tally, first_gap, head_key, head_order, merge_events, one_lines, three_way
from caskbook.yaml.segments import Layout, Part, UnreadableError, indented, read_layout
from caskbook.yaml.segments.in_lines import layout_in_lines

HOUSE_NAME = "house.yaml"
# This is the usual order of a head, for keys that both sides added.
_HEAD = (
    "cask", "format", "type", "capacity_l", "wood", "maker", "made", "staves", "heads", "hoops", "was", "owner", "prior",
    "charred", "parcel", "supplier", "note",
)  # fmt: skip
RANKS = {key: n for n, key in enumerate(_HEAD)}


def merge(
    base: bytes | None,
    ours: bytes,
    theirs: bytes,
    *,
    path: str = "",
    marker_size: int = 7,
    labels: tuple[str, str] = ("ours", "theirs"),
    ours_stays: bool = False,
) -> Merged:
    """Merges a cask file, or house.yaml where `path` names it. `base` None or empty: both sides added the file.

    `ours_stays`: of two entries of one id, ours keeps it, for no merge commit will have both sides as parents.

    What cannot be understood ends in markers round the whole text that differs, never in silence.
    """
    if ours == theirs:
        return Merged(ours)
    is_house = PurePosixPath(path).name == HOUSE_NAME
    if not is_house and (plain := united(base or b"", ours, theirs)) is not None:
        return Merged(plain)
    markers = Markers(marker_size, *labels)
    texts = []
    for name, data in (("the common version", base or b""), (labels[0], ours), (labels[1], theirs)):
        try:
            texts.append(data.decode("utf-8"))
        except UnicodeDecodeError:
            return whole_conflict(ours, theirs, markers, f"{name} is no UTF-8 text")
    try:
        if is_house:
            # The check needs the full reader, which takes longer to load than most merges of cask files take.
            from caskbook.merge.house import merge_house

            return merge_house(texts[0], texts[1], texts[2], markers)
        return _merge_cask(_layouts(texts, labels), Tally(markers, ours_stays=ours_stays))
    except UnreadableError as reason:
        return whole_conflict(ours, theirs, Markers(marker_size, *labels), str(reason))


@dataclass(frozen=True)
class _Sides:
    base: Layout
    ours: Layout
    theirs: Layout
    rewritten: bool = False

    @property
    def all(self) -> tuple[Layout, Layout, Layout]:
        return self.base, self.ours, self.theirs


def _layouts(texts: Sequence[str], labels: tuple[str, str]) -> _Sides:
    """The three texts cut into pieces, bracketed entries in lines of their own. UnreadableError names the side that cannot be cut."""
    found, rewritten = list[Layout](), False
    for name, text in zip(("the common version", *labels), texts, strict=True):
        if not text.strip() and not found:
            found.append(Layout())
            continue
        try:
            layout, moved = layout_in_lines(text)
        except UnreadableError as reason:
            raise UnreadableError(f"{name}, {reason}") from None
        found.append(layout)
        rewritten = rewritten or moved
    return _Sides(found[0], found[1], found[2], rewritten)


def _merge_cask(sides: _Sides, tally: Tally) -> Merged:
    """The merged bytes of a cask file, its conflicts and its notes; a clean result is read again and held against what was meant."""
    markers = tally.markers
    present = bool(sides.base.head or sides.base.opener)
    indent = three_way(sides.base.indent, sides.ours.indent, sides.theirs.indent)
    base, ours, theirs = (_moved(layout, indent) for layout in sides.all)
    lines = _head(sides, tally)
    events = merge_events((base, ours, theirs), tally)
    lines += _opener(sides, bool(events), tally)
    for number, part in enumerate(events):
        gap = first_gap(side.first_gap if side.events else None for side in sides.all) if not number else part.gap or 0
        lines += [*[""] * gap, *part.lines]
    lines += merge_lines(sides.base.tail, sides.ours.tail, sides.theirs.tail, markers)
    if markers.shown and not tally.conflicts:
        tally.conflicts.append("the lines below the last event")
    if sides.rewritten and not tally.conflicts:
        tally.notes.append("each entry has lines of its own now, and `events` stands last")
    merged = Merged(_bytes(lines, sides, present), tuple(tally.conflicts), tuple(tally.notes))
    if merged.clean:
        _verify(merged, events)
    return merged


def _moved(layout: Layout, indent: int | None) -> list[Part]:
    by = (indent or 0) - (layout.indent if layout.indent is not None else indent or 0)
    return [indented(part, by) for part in layout.events]


def _head(sides: _Sides, tally: Tally) -> list[str]:
    maps = [{str(part.key): part for part in side.head} for side in sides.all]
    lines: list[str] = []
    for key in head_order((sides.base.head, sides.ours.head, sides.theirs.head), RANKS):
        base, ours, theirs = (found.get(key) for found in maps)
        lines += head_key(key, base, ours, theirs, tally)
    return lines


def _opener(sides: _Sides, filled: bool, tally: Tally) -> list[str]:
    """The line `events:` with the comments above it; one that opens a list where there is anything to list."""
    parts = [_opening(side) if filled else side.opener for side in sides.all]
    base, ours, theirs = parts
    if ours is None or theirs is None:
        one = ours or theirs or (base if filled else None)
        return list(one.lines) if one is not None else []
    return one_lines(base, ours, theirs, tally)


def _opening(layout: Layout) -> Part | None:
    return layout.opener if layout.events else None


def _bytes(lines: list[str], sides: _Sides, present: bool) -> bytes:
    def voted(name: str, tie: bool) -> bool:
        base, ours, theirs = (bool(getattr(side, name)) for side in sides.all)
        if ours == theirs:
            return ours
        return (theirs if ours == base else ours) if present else tie

    end = "\r\n" if voted("crlf", tie=False) else "\n"
    text = end.join(lines) + (end if voted("final", tie=True) or lines[-1:] == [""] or (lines and lines[-1].startswith(">>>")) else "")
    return text.encode("utf-8", "surrogatepass")


def _verify(merged: Merged, events: list[Part]) -> None:
    """What was put together is read again: it must be sound, and its events those that were meant."""
    again, _ = read_layout(merged.data.decode("utf-8"))
    if [part.value for part in again.events] != [part.value for part in events]:
        raise UnreadableError("the events of both sides do not fit into one layout")
