"""A map of a cask in plain ASCII: both heads with their pieces named, the staves in a row, what was changed, leaked, is open."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import date

from caskbook.life import Life
from caskbook.life.state import UNKNOWN
from caskbook.model.jobs import Event
from caskbook.model.places import Frame, Place, contains, hoop_name, parse_place, piece_name, stave_number
from caskbook.render.console import USUAL_WIDTH, cut, flow, pad, to_ascii
from caskbook.words.plural import number_of

LEGEND = "b bung stave   'YY new that year   f rush in the joint after it, or its croze   ! leaked   * open defect"
_BAR = 12
_NAME_CELLS = 9
_MOST_LISTED = 8


@dataclass(slots=True)
class Marked:
    """What the events left at each place: year of the last change, day of the last leak, times rush was laid that is there still, open matters."""

    changed: dict[Place, int] = field(default_factory=dict)
    leaked: dict[Place, date] = field(default_factory=dict)
    rush: dict[Place, int] = field(default_factory=dict)
    open: dict[Place, str] = field(default_factory=dict)

    def signs(self, place: Place) -> str:
        """f, ! and * where they hold for just this place."""
        return ("f" if place in self.rush else "") + ("!" if place in self.leaked else "") + ("*" if place in self.open else "")


def marked_places(life: Life) -> Marked:
    """Read the standing events; a leak at wood that was changed since is gone from the map, and so is rush in its joints and crozes."""
    marked = Marked()
    frame = life.state.frame
    for event in life.events:
        for place in _changed_by(event):
            marked.changed[place] = event.date.year
            marked.leaked = {at: day for at, day in marked.leaked.items() if not contains(place, at, frame)}
            marked.rush = {at: times for at, times in marked.rush.items() if not contains(place, at, frame)}
        for text in _leaks_of(event):
            marked.leaked[parse_place(text)] = event.date
        if event.job == "flag":
            for text in event.places():
                marked.rush[parse_place(text)] = marked.rush.get(parse_place(text), 0) + 1
    for defect in (one for one in life.state.defects if one.at != UNKNOWN):
        severity = f" ({defect.severity})" if defect.severity is not None else ""
        marked.open[parse_place(defect.at)] = f"{defect.at} {defect.defect}{severity}"
    for leak in (one for one in life.state.leaks if one.at != UNKNOWN):
        marked.open[parse_place(leak.at)] = f"{leak.at} {leak.severity} since {leak.since}"
    return marked


def _changed_by(event: Event) -> list[Place]:
    if event.lost:
        return []
    action = getattr(event, "action", None)
    if event.job == "stave" and action == "replace":
        return [Place("stave", "", stave_number(name)[0]) for name in event.staves]  # type: ignore[attr-defined]
    if (event.job == "head" and action in ("replace", "piece")) or event.job == "hoop":
        return [parse_place(text) for text in event.places()]
    return []


def _leaks_of(event: Event) -> list[str]:
    if event.lost:
        return []
    if event.job == "test":
        return [leak.at for leak in event.leaks or []]  # type: ignore[attr-defined]
    return [event.at] if event.job == "leak" else []  # type: ignore[attr-defined]


def cask_map(life: Life, *, width: int = USUAL_WIDTH) -> str:
    """The map, at most `width` cells wide, ASCII only."""
    frame, marked = life.state.frame, marked_places(life)
    lines = [f"{life.cask.id}  {life.cask.head.type or '?'}", "", *_heads(frame, marked, width), ""]
    lines += [
        *_staves(frame, marked, width, unread="staves" in life.cask.head.lost),
        *(flow([numbers], width - 3) if (numbers := numbers_told(life)) else []),
        "",
    ]
    lines += flow(LEGEND.split("   "), width - 1, between="   ")
    listed = _lists(marked, frame, width)
    lines += ["", *listed] if listed else []
    return "\n".join(cut(to_ascii(f" {line}".rstrip()), width).replace("…", "~") for line in lines)


def numbers_told(life: Life) -> str:
    """ "32 staves on 31 numbers: two at 5 (5 and 5b)": why there are more or fewer than the map has; nothing where there are as many."""
    st = life.state
    frame, few = st.frame, bool(st.broad and st.seconds)
    if frame.staves is None or not (frame.merged or few):
        return ""
    told = [f"two at {', '.join(f'{number} ({number} and {number}b)' for number in sorted(st.seconds))}"] if st.seconds else []
    told += [f"one stands for two at {', at '.join(f'{kept} and {gone}' for kept, gone in sorted(st.broad))}"] if st.broad else []
    return f"{number_of(frame.staves, 'stave')} on {frame.stave_numbers} numbers" + (f": {', '.join(told)}" if told else "")


def _heads(frame: Frame, marked: Marked, width: int) -> list[str]:
    left, right = _head("A", frame.piece_numbers("A"), marked), _head("B", frame.piece_numbers("B"), marked)
    half = max(max(map(len, left)) + 3, (width - 2) // 2)
    if half + max(map(len, right)) > width - 1:
        half = max(map(len, left)) + 3
    if half + max(map(len, right)) > width - 1:
        return [*left, "", *right]
    height = max(len(left), len(right))
    left += [""] * (height - len(left))
    right += [""] * (height - len(right))
    return [f"{pad(a, half)}{b}".rstrip() for a, b in zip(left, right, strict=True)]


def _head(name: str, pieces: int | None, marked: Marked) -> list[str]:
    whole = marked.changed.get(Place("head", name))
    place = Place("head", name)
    title = f"head {name}, from outside, bung up" + (f", new {whole}" if whole else "") + (f" {marked.signs(place)}" if marked.signs(place) else "")
    if pieces is None:
        return [title, "  pieces not counted:", "  enter measure --heads"]
    return [title, *(_piece(name, number, pieces, marked, whole) for number in range(1, pieces + 1))]


def _piece(head: str, number: int, pieces: int, marked: Marked, whole: int | None) -> str:
    """A piece as wide as the head is at its middle: half a chord of the circle."""
    height = abs(2 * (number - 0.5) / pieces - 1)
    cells = max(4, round(_BAR * math.sqrt(1 - height * height) / 2) * 2)
    bar = f"[{'-' * (cells - 2)}]".center(_BAR)
    place, joint = Place("piece", head, number), Place("head-joint", head, number)
    year = marked.changed.get(place)
    words = [f"{bar}  {head}{number} {piece_name(number, pieces)}"]
    words += [f"new {year}"] if year and (whole is None or year > whole) else []
    words += [marked.signs(place)] if marked.signs(place) else []
    words += [f"joint {number} {marked.signs(joint)}"] if marked.signs(joint) else []
    return "  ".join(words)


def _staves(frame: Frame, marked: Marked, width: int, *, unread: bool) -> list[str]:
    title = "staves, clockwise looking at the outside of head A"
    if frame.stave_numbers is None:
        return [title, "  how many there are cannot be read: caskbook check" if unread else "  staves not counted: enter measure --staves"]
    cells = [_stave(number, frame, marked) for number in range(1, frame.stave_numbers + 1)]
    size = max(map(len, cells)) + 1
    across = max(1, (width - 3) // size)
    # Rows of even length read better than one full row and a short rest.
    rows = math.ceil(len(cells) / across)
    across = math.ceil(len(cells) / rows)
    return [title, *("  " + "".join(f"{cell:<{size}}" for cell in cells[at : at + across]).rstrip() for at in range(0, len(cells), across))]


def stave_signs(number: int, frame: Frame, marked: Marked) -> str:
    """f, ! and * where they hold for the stave, its joint, its ends, or the bung in it."""
    signs = "".join(marked.signs(place) for place in _at_stave(number, frame))
    return "".join(sign for sign in "f!*" if sign in signs)


def _stave(number: int, frame: Frame, marked: Marked) -> str:
    year = marked.changed.get(Place("stave", "", number))
    return f"{number:>2}" + ("b" if number == frame.bung_stave else "") + (f"'{year % 100:02d}" if year else "") + stave_signs(number, frame, marked)


def _at_stave(number: int, frame: Frame) -> list[Place]:
    ends = [Place(kind, head, number) for kind in ("croze", "chime") for head in "AB"]
    wood = [Place("stave", "", number, suffix) for suffix in ("", "a", "b", "c")]
    return [*wood, Place("joint", "", number), *ends, *([Place("bung")] if number == frame.bung_stave else [])]


def _lists(marked: Marked, frame: Frame, width: int) -> list[str]:
    """The lines below the map: what is open, what leaked when, rush, and hoops replaced."""
    leaked = sorted(marked.leaked.items(), key=lambda item: (item[1], str(item[0])), reverse=True)[:_MOST_LISTED]
    hoops = [(place, year) for place, year in marked.changed.items() if place.kind == "hoop"]
    per_side = frame.hoops // 2 if frame.hoops else None
    rows = [
        ("open", list(marked.open.values())),
        ("leaked", [f"{place} {day}" for place, day in leaked]),
        ("rush", [f"{place}{f' {times} times' if times > 1 else ''}" for place, times in marked.rush.items()]),
        ("hoops", [f"{place} ({hoop_name(place.number, per_side)}) {year}" for place, year in hoops]),
    ]
    lines = []
    for name, told in rows:
        if told:
            first, *more = flow(told, width - 1 - _NAME_CELLS, between=", ")
            lines += [f"{name:<{_NAME_CELLS}}{first}", *(" " * _NAME_CELLS + line for line in more)]
    return lines
