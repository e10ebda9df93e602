"""Addresses on a cask (stave-14, head-A-joint-2, hoop-B-1 …): reading them, whether the cask has them, what contains what."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

Kind = Literal["stave", "joint", "bung", "head", "piece", "head-joint", "croze", "chime", "hoop", "unseen"]

_PATTERN = re.compile(
    r"(?P<stave>stave-(?P<sn>[1-9]\d{0,2})(?P<ss>[a-c])?)"
    r"|(?P<joint>joint-(?P<jn>[1-9]\d{0,2}))"
    r"|(?P<bung>bung)"
    r"|(?P<unseen>unseen)"
    r"|head-(?P<hx>[AB])(?:-(?P<hj>joint-)?(?P<hn>[1-9]\d?))?"
    r"|(?P<ring>croze|chime)-(?P<rx>[AB])(?:-(?P<rn>[1-9]\d{0,2}))?"
    r"|hoop-(?P<px>[AB])-(?P<pn>[1-9]\d?)",
    re.ASCII,
)

HOW_TO_WRITE = "write a place as stave-14, joint-14, bung, head-A, head-A-2, head-A-joint-2, croze-A-14, chime-B, hoop-A-1 or unseen"


class PlaceError(ValueError):
    """An address that cannot be read, with how to write one."""


@dataclass(frozen=True, slots=True)
class Place:
    """One address. `head` is A or B, `number` counts from 1 (0 = the whole), `suffix` is the b of stave-14b."""

    kind: Kind
    head: str = ""
    number: int = 0
    suffix: str = ""

    def __str__(self) -> str:
        """The address as it is written in a file: bung, stave-14, head-A-joint-2, hoop-B-1."""
        match self.kind:
            case "bung" | "unseen":
                return self.kind
            case "stave" | "joint":
                return f"{self.kind}-{self.number}{self.suffix}"
            case "piece":
                return f"head-{self.head}-{self.number}"
            case "head-joint":
                return f"head-{self.head}-joint-{self.number}"
            case _:
                return f"{self.kind}-{self.head}" + (f"-{self.number}" if self.number else "")


@dataclass(frozen=True, slots=True)
class Frame:
    """How many parts the cask has on the day; None where nobody counted. `bung_stave` is the bored one. `merged` and `pieces_merged` (of head A and B):
    how many numbers more there are than parts, since numbers stay for life: of staves that were replaced by one; below 0 where one was by two."""

    staves: int | None = None
    pieces: tuple[int | None, int | None] = (None, None)
    hoops: int | None = None
    bung_stave: int = 1
    merged: int = 0
    pieces_merged: tuple[int, int] = (0, 0)

    @property
    def stave_numbers(self) -> int | None:
        """The highest number that a stave bears; None where nobody counted."""
        return None if self.staves is None else self.staves + self.merged

    def piece_numbers(self, head: str) -> int | None:
        """The highest number that a piece of a head bears; None where nobody counted."""
        pieces = self.pieces[head == "B"]
        return None if pieces is None else pieces + self.pieces_merged[head == "B"]


@lru_cache(maxsize=4096)
def parse_place(text: str) -> Place:
    """Read an address; raises PlaceError with how to write one."""
    found = _PATTERN.fullmatch(text)
    if not found:
        raise PlaceError(f'"{text}" is no place on a cask: {HOW_TO_WRITE}')
    part = found.groupdict()
    if part["stave"]:
        return Place("stave", "", int(part["sn"]), part["ss"] or "")
    if part["joint"]:
        return Place("joint", "", int(part["jn"]))
    if part["bung"]:
        return Place("bung")
    if part["unseen"]:
        return Place("unseen")
    if part["ring"]:
        kind: Kind = "croze" if part["ring"] == "croze" else "chime"
        return Place(kind, part["rx"], int(part["rn"] or 0))
    if part["px"]:
        return Place("hoop", part["px"], int(part["pn"]))
    if not part["hn"]:
        return Place("head", part["hx"])
    return Place("head-joint" if part["hj"] else "piece", part["hx"], int(part["hn"]))


def fault_of(place: Place, frame: Frame) -> str | None:
    """Why this cask cannot have the place ("a barrel of 31 staves …" in one clause), or None. Unknown counts allow all."""
    pieces = frame.piece_numbers(place.head) if place.head else None
    limit: int | None
    match place.kind:
        case "stave" | "joint" | "croze" | "chime":
            limit, what = frame.stave_numbers, "staves"
        case "piece":
            limit, what = pieces, f"pieces in head {place.head}"
        case "head-joint":
            limit, what = (pieces - 1 if pieces else None), f"joints in head {place.head}"
        case "hoop":
            limit, what = (frame.hoops // 2 if frame.hoops else None), f"hoops on the side of head {place.head}"
        case _:
            return None
    if limit is None or place.number <= limit:
        return None
    if what == "staves" and frame.merged:
        return f"its staves are numbered 1 to {limit}" + (", the second of two that replaced one is as stave-14b" if frame.merged < 0 else "")
    return f"the cask has {limit} {what}"


def contains(outer: Place, inner: Place, frame: Frame) -> bool:
    """True when work at `outer` is also work at `inner`: a head holds its pieces and joints, a stave its joints and ends."""
    if outer == inner:
        return True
    if outer.kind == "head":
        return inner.head == outer.head and inner.kind in ("piece", "head-joint")
    if outer.kind in ("croze", "chime"):
        return outer.number == 0 and inner.kind == outer.kind and inner.head == outer.head
    if outer.kind == "piece":
        return inner.kind == "head-joint" and inner.head == outer.head and inner.number in (outer.number - 1, outer.number)
    if outer.kind == "stave":
        return _on_stave(outer, inner, frame)
    return False


def _on_stave(stave: Place, inner: Place, frame: Frame) -> bool:
    if inner.kind == "stave":
        return inner.number == stave.number and not stave.suffix
    if inner.kind == "joint":
        before = stave.number - 1 or frame.stave_numbers
        return inner.number in (stave.number, before)
    if inner.kind in ("croze", "chime"):
        return inner.number == stave.number
    return inner.kind == "bung" and stave.number == frame.bung_stave


def hoop_name(number: int, per_side: int | None) -> str:
    """The trade's word for a hoop counted from the chime in: chime, quarter or bulge; the number where nobody counted."""
    if number == 1:
        return "chime hoop"
    if per_side is None:
        return f"hoop {number}"
    return "bulge hoop" if number == per_side else "quarter hoop"


def piece_name(number: int, pieces: int | None) -> str:
    """The trade's word for a head piece by position: cantle, quarter or middle."""
    if pieces is None:
        return f"piece {number}"
    if number in (1, pieces):
        return "cantle"
    return "middle" if abs(number - (pieces + 1) / 2) <= 0.5 else "quarter"


def read_place(text: str, frame: Frame) -> Place:
    """Read what a person types: any case, spaces for hyphens, hoops by word. Raises PlaceError."""
    tidy = re.sub(r"[\s_]+", "-", text.strip()).lower()
    tidy = re.sub(r"-([ab])(?=-|$)", lambda m: "-" + m[1].upper(), tidy)
    named = re.fullmatch(r"hoop-([AB])-(chime|head|end|quarter|french|bulge|bilge)", tidy) or re.fullmatch(r"(chime|quarter|bulge|bilge)-hoop-([AB])", tidy)
    if not named:
        return parse_place(tidy)
    head, word = sorted(named.groups(), key=len)
    return replace(parse_place(f"hoop-{head}-1"), number=_hoop_number(word, frame))


def _hoop_number(word: str, frame: Frame) -> int:
    if word in ("chime", "head", "end"):
        return 1
    if frame.hoops is None:
        raise PlaceError(f"the {word} hoop has no number while nobody counted the hoops: say hoop-A-2 or record `hoops`")
    per_side = frame.hoops // 2
    if word in ("bulge", "bilge"):
        return per_side
    if per_side != 3:
        raise PlaceError(f"with {per_side} hoops on a side there is more than one quarter hoop: say its number from the chime in")
    return 2


def stave_number(text: str | int) -> tuple[int, str]:
    """Stave 14, "14b" or "stave-14b" → (14, "b"). Raises PlaceError."""
    place = parse_place(f"stave-{text}" if not str(text).startswith("stave-") else str(text))
    return place.number, place.suffix


def place_word(text: object, *, stave: bool = False) -> str:
    """A place as it is told apart from others: "joint-4" for joint 4 however it is written, the number of a `stave`; as it stands where it is none."""
    try:
        return "stave-{}{}".format(*stave_number(str(text))) if stave else str(read_place(str(text), Frame()))
    except (PlaceError, ValueError):
        return str(text)
