"""A shift: who works at this book on this machine, for which day, and what stays the same for twelve hours. It is kept in the user's
state folder, bound to the ledger's place, and travels in no repository.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from caskbook.ledger.machine import drop_note, keep_note, kept_note, shift_name

HOURS = 12
_SLACK = timedelta(minutes=5)
"""So far a clock that is set right may go back without a word."""


@dataclass(frozen=True, slots=True)
class Shift:
    """`by`: whose; `day`: the day of its work, that of its beginning over midnight; `began`: the time, UTC. `usual`: key of a field →
    what is typed for it unless a line says otherwise. `cautioned`: kinds of cautions that were told in full."""

    by: str
    day: date
    began: datetime
    usual: dict[str, str] = field(default_factory=dict)
    cautioned: tuple[str, ...] = ()

    @property
    def ends(self) -> datetime:
        """When it is over, UTC."""
        return self.began + timedelta(hours=HOURS)

    def is_over(self, now: datetime) -> bool:
        """Whether its hours are past."""
        return now >= self.ends

    def is_ahead(self, now: datetime) -> bool:
        """Whether the clock stands before its beginning: it went back since."""
        return now < self.began - _SLACK


def shift_of(root: Path) -> Shift | None:
    """The shift begun at this ledger, be it over or not; None where there is none, or what is kept is none of this ledger's."""
    try:
        kept = json.loads(kept_note(shift_name(root)))
        if kept["place"] != _place(root):
            return None
        began = datetime.fromisoformat(kept["began"])
        usual = {str(key): str(text) for key, text in kept["usual"].items()}
        shift = Shift(str(kept["by"]), date.fromisoformat(kept["day"]), began, usual, tuple(map(str, kept["cautioned"])))
        return shift if began.tzinfo is not None and shift.by else None
    except (ValueError, RecursionError, TypeError, KeyError, AttributeError, OSError):
        return None


def keep_shift(root: Path, shift: Shift) -> None:
    """Begin a shift, or note what was told in it. CaskbookError where the state folder cannot be written."""
    kept = {"place": _place(root), "by": shift.by, "day": shift.day.isoformat(), "began": shift.began.astimezone(UTC).isoformat(),
            "usual": shift.usual, "cautioned": list(shift.cautioned)}  # fmt: skip
    keep_note(shift_name(root), json.dumps(kept))


def tell_in_shift(root: Path, shift: Shift, kinds: tuple[str, ...]) -> Shift:
    """The shift with these cautions told in full, kept as far as it can be."""
    from contextlib import suppress

    from caskbook.core.finding import CaskbookError

    later = replace(shift, cautioned=tuple(dict.fromkeys((*shift.cautioned, *kinds))))
    if later.cautioned != shift.cautioned:
        with suppress(CaskbookError):
            keep_shift(root, later)
    return later


def end_shift(root: Path) -> None:
    """There is no shift any more."""
    drop_note(shift_name(root))


def _place(root: Path) -> list[int]:
    about = root.stat()
    return [about.st_dev, about.st_ino]
