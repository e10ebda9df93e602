"""What the book needs after a round: the jobs that make it as the row is, ready to be typed, and which of them leave nothing to be said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from caskbook.core.typed_word import typed_word
from caskbook.entry.round import Compared, Told


class Step(NamedTuple):
    """What the book needs to be as the row is: a job on casks, with the berth of each. `certain`: nothing is left to be said. `words`: what stands behind
    the casks."""

    job: str
    casks: tuple[str, ...]
    berths: tuple[str, ...] = ()
    certain: bool = True
    words: str = ""

    @property
    def line(self) -> str:
        """As it is typed."""
        listed = typed_word(",".join(self.casks))
        if self.job == "show":
            return f"caskbook show {listed}"
        if self.job == "check":
            return f"caskbook check {listed}"
        berth = ",".join(self.berths) or ("…" if self.job in ("move", "found") and not self.certain else "")
        return f"caskbook enter {self.job} {listed}{f' {self.words}' if self.words else ''}" + (
            f" --berth {berth if berth == '…' else typed_word(berth)}" if berth else ""
        )


def _dealt(job: str, placed: Sequence[Told]) -> Iterator[Step]:
    """The job with a berth for each: in one step where each has its own, else one for each berth."""
    at: dict[str, list[str]] = {}
    for one in placed:
        at.setdefault(str(one.seen_at), []).append(one.cask)
    if all(len(casks) == 1 for casks in at.values()) and at:
        yield Step(job, tuple(casks[0] for casks in at.values()), tuple(at))
        return
    for berth, casks in at.items():
        yield Step(job, tuple(casks), (berth,))


def steps(found: Compared, looks: Sequence[str] = ()) -> Iterator[Step]:
    """What is to be done next, of a row along which somebody walked. `looks`: casks seen on which a look is due. Where more are missing than
    were seen, half a walk is likelier, and where a line was not read, or a number is none of the book, it may be one of them: that is not certain."""
    if not found.seen:
        return
    placed = [one for one in found.of("other-berth", "elsewhere") if found.is_placed(one) and one.seen_at != one.book_berth]
    back = found.of("found")
    known_back = [one for one in back if found.is_placed(one)]
    kept = [one for one in back if not one.seen_at and found.row.holds(one.book_berth)]
    yield from _dealt("found", known_back)
    if kept:
        yield Step("found", tuple(one.cask for one in kept))
    yield from _dealt("move", placed)
    if gone := found.of("missing"):
        yield Step("missing", tuple(one.cask for one in gone), certain=len(gone) <= len(found.of("in-place", "other-berth")) and found.all_known)
    yield from (Step("found", (one.cask,), certain=False) for one in back if one not in known_back and one not in kept)
    yield from (Step("move", (one.cask,), certain=False) for one in found.of("other-berth", "elsewhere") if one not in placed)
    yield from (Step("return", (one.cask,), (one.seen_at,) if one.seen_at else (), False, "accept") for one in found.of("away"))
    yield from (Step("look", (cask,), certain=False, words="dry|weep|drip|run") for cask in looks)
    yield from (Step("receive", (one.cask,), certain=False, words="accept --type …") for one in found.of("not-in-the-book"))
    yield from (Step("show", (one.cask,), certain=False) for one in found.of("gone"))
    yield from (Step("check", (one.cask,), certain=False) for one in found.of("unreadable"))
