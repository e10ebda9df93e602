"""What each figure of `ready` means: its definition, what it leaves out, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.render.console import USUAL_WIDTH
from caskbook.render.work_lines import wrapped
from caskbook.work.hours import LEAST
from caskbook.work.readiness import MOST
from caskbook.work.ready import Readiness


def explained_text(found: Readiness, narrowed: Sequence[str], *, width: int | None) -> str:
    """A paragraph for each figure, wrapped."""
    wide = min(width or USUAL_WIDTH, 90)
    return "\n".join(line for text in _paragraphs(found, narrowed) for line in wrapped(text, wide))


def _paragraphs(found: Readiness, narrowed: Sequence[str]) -> list[str]:
    """In the order of the screen."""
    return [
        f"empty casks: {len(found.casks)}, those that on {found.day} hold nothing and are here" + (f", {', '.join(narrowed)}" if narrowed else "")
        + "; a bundle of staves is one. Filled ones, and those away or missing, are not counted.",
        "ready now: whole, of the fitness `ready`, and neither due nor blocked under hold, nose, retest, examine, rechar and retire. One of which nobody can tell whether a re-char or retirement is due is fit all the same: it is counted, and told. "
        "Claim and loss are no matter of the next fill, and do not count here. One of which an examination or a pass runs out in the next days is ready, and told with the day.",
        f"jobs away: the job that comes first at the bench of those that these rules call for, or else the fitness, is laid into the life of the cask in memory, on {found.day}, as ending "
        f"well, and all is judged again until it is ready; {MOST} jobs at most. Shave and char are one job, heads that are put in for the next job are of that one, and of its hours; heads come out with the job that needs it. What is known to be wrong "
        "is found again by an examination, and mended; anything else it may find is not foreseen. Nothing is written.",
        f"no way known: retired, rejected, retirement proposed, blocked with nothing that could be done, or more than {MOST} jobs; with the first reason. "
        "Nobody can tell: something of its files cannot be read, or whether it is fit is unknown, as where nobody knows whether it held wine.",
        "hours: a job's hours on one cask are job_hours of house.yaml, of its type before the house's; else the median of work_minutes of the standing entries of the type, "
        f"{LEAST} at least; else that of all types. Jobs without hours are counted, and add none.",
        "litres: the last measured capacity, else the nominal one; casks of unknown size add none.",
        "to take: those that reach the number with the fewest jobs together; of these ways the one with the fewest jobs without hours, then the fewest hours; "
        "where it is all one, by the order of the due list, then as one walks. Litres are reached in the same way, and may go over.",
        "held: as far as the book knows, the spirit asked about, another of the house's class (class), another spirit (other), wine, or never anything; "
        "? is what nobody knows.",
    ]  # fmt: skip
