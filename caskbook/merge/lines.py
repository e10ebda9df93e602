"""Two texts that grew from one: a three-way merge of lines, and conflicts shown with git's markers in the smallest region."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from caskbook.yaml.segments.by_lines import Lines, is_remark


@dataclass
class Markers:
    """How conflicts are shown, and how many there were."""

    size: int = 7
    ours: str = "ours"
    theirs: str = "theirs"
    shown: int = 0

    def around(self, ours: Sequence[str], theirs: Sequence[str]) -> list[str]:
        """Both texts with markers round what differs; lines equal at the start and at the end stand outside."""
        start, stop = common_ends(ours, theirs)
        self.shown += 1
        return [
            *ours[:start],
            "<" * self.size + f" {self.ours}",
            *ours[start : len(ours) - stop],
            "=" * self.size,
            *theirs[start : len(theirs) - stop],
            ">" * self.size + f" {self.theirs}",
            *ours[len(ours) - stop :],
        ]


def common_ends(one: Sequence[str], other: Sequence[str]) -> tuple[int, int]:
    """How many lines two texts share at their start, and how many more at their end."""
    most = min(len(one), len(other))
    start = next((n for n in range(most) if one[n] != other[n]), most)
    stop = next((n for n in range(most - start) if one[-1 - n] != other[-1 - n]), most - start)
    return start, stop


@dataclass(frozen=True)
class Chunk:
    """A stretch of a three-way comparison; `settled` is None where both sides changed it in their own ways."""

    ours: Lines
    theirs: Lines
    settled: Lines | None = field(default=None)


def chunks(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> Iterator[Chunk]:
    """The three-way comparison of lines, from top to bottom."""
    at_base = at_ours = at_theirs = 0
    for start, end, ours_start, theirs_start in [*_kept(base, ours, theirs), (len(base), len(base), len(ours), len(theirs))]:
        was = tuple(base[at_base:start])
        one, other = tuple(ours[at_ours:ours_start]), tuple(theirs[at_theirs:theirs_start])
        if was or one or other:
            yield Chunk(one, other, _settled(was, one, other))
        kept = tuple(base[start:end])
        if kept:
            yield Chunk(kept, kept, kept)
        at_base, at_ours, at_theirs = end, ours_start + end - start, theirs_start + end - start


def _settled(was: Lines, one: Lines, other: Lines) -> Lines | None:
    if one == other or other == was:
        return one
    if one == was:
        return other
    if not was and all(map(is_remark, one + other)):
        # Remarks that both sides added at one place both stay, in an order that does not depend on the side.
        return tuple(line for lines in sorted([one, other]) for line in lines)
    return None


def _kept(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str]) -> Iterator[tuple[int, int, int, int]]:
    """Stretches of the base that both sides kept: its start and end there, and where it begins in each side."""
    mine, yours = _matches(base, ours), _matches(base, theirs)
    m = y = 0
    while m < len(mine) and y < len(yours):
        (b1, o, n1), (b2, t, n2) = mine[m], yours[y]
        start, end = max(b1, b2), min(b1 + n1, b2 + n2)
        if start < end:
            yield start, end, o + start - b1, t + start - b2
        if b1 + n1 <= b2 + n2:
            m += 1
        else:
            y += 1


def _matches(base: Sequence[str], side: Sequence[str]) -> list[tuple[int, int, int]]:
    found = SequenceMatcher(None, base, side, autojunk=False).get_matching_blocks()
    return [(block.a, block.b, block.size) for block in found if block.size]


def merge_lines(base: Sequence[str], ours: Sequence[str], theirs: Sequence[str], markers: Markers) -> list[str]:
    """The merged lines, with markers where both sides changed the same ones."""
    out: list[str] = []
    for chunk in chunks(base, ours, theirs):
        out += chunk.settled if chunk.settled is not None else markers.around(chunk.ours, chunk.theirs)
    return out


@dataclass(frozen=True)
class Merged:
    """The merged file. `conflicts`: what a person must decide, shown with markers in `data`; `notes`: worth knowing."""

    data: bytes
    conflicts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def clean(self) -> bool:
        """Whether nothing is left to decide."""
        return not self.conflicts


def whole_conflict(ours: bytes, theirs: bytes, markers: Markers, reason: str) -> Merged:
    """Markers round everything between the lines that are alike at the start and at the end; bytes are kept as they are."""
    one, other = (data.decode("utf-8", "surrogateescape") for data in (ours, theirs))
    crlf = "\r\n" in one and "\r\n" in other
    sides = [text.removesuffix("\n").split("\n") if text else [] for text in (one, other)]
    if crlf:
        sides = [[line.removesuffix("\r") for line in lines] for lines in sides]
    lines = markers.around(*sides)
    text = "".join(line + ("\r\n" if crlf else "\n") for line in lines)
    return Merged(text.encode("utf-8", "surrogateescape"), (f"cannot be merged by event: {reason}",))
