"""Options of the gauging commands that contradict one another, or of which one does nothing beside the other: one table."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from caskbook.core.finding import CaskbookError

CROZE = "--step-in croze"
"""Stands among what was given where the step is in the croze, said or unsaid."""
DEFAULTS: dict[str, tuple[str, ...]] = {"head": (CROZE,)}


@dataclass(frozen=True, slots=True)
class Clash:
    """Two options that are not taken together, and why. With one of `but_with` given as well, they are."""

    command: str
    one: str
    other: str
    why: str
    but_with: str | None = None

    def line(self) -> str:
        """Both, and what to leave out."""
        return f"{self.one} with {self.other}: {self.why}"


@dataclass(frozen=True, slots=True)
class Idle:
    """An option that does nothing unless another is given."""

    command: str
    one: str
    needs: str
    why: str

    def line(self) -> str:
        """What it lacks, and that it may be left out."""
        return f"{self.one} without {self.needs}: {self.why}"


_READINGS = ("--indicated", "--hydrometer-proof", "--density", "--mass-percent")
_SHAPE = ("--bung", "--head", "--length", "--shape")
_DIP = ("--wet", "--dry", "--standing", "--capacity", "--table")

CLASHES: tuple[Clash, ...] = (
    *(Clash("strength", one, other, f"two readings of one strength; leave {other} out")
      for n, one in enumerate(_READINGS) for other in _READINGS[n + 1 :]),
    Clash("strength", "--temp", "--temp-f", "one temperature twice; leave one of them out"),
    Clash("strength", "--mass-percent", "--temp", "a strength by mass is the same at every temperature; leave --temp out"),
    Clash("strength", "--mass-percent", "--temp-f", "a strength by mass is the same at every temperature; leave --temp-f out"),
    Clash("volume", "--litres", "--kg", "measured or weighed; leave one of them out"),
    Clash("volume", "--litres", "--in-air", "--in-air is about a weight; leave it out, or give --kg"),
    Clash("volume", "--kg", "--temp", "a mass is the same at every temperature; leave --temp out, or add --in-air", "--in-air"),
    Clash("density", "--abv", "--mass-percent", "one strength twice; leave one of them out"),
    *(Clash("ullage", "--cask", other, f"the cask's own measures are taken; leave {other} out, or --cask") for other in _SHAPE),
    *(Clash("ullage", "--cask", other, f"--cask prints its whole table, lying; leave {other} out, or give --bung, --head and --length")
      for other in _DIP),
    Clash("ullage", "--table", "--wet", "the table holds every dip; leave one of them out"),
    Clash("ullage", "--table", "--dry", "the table holds every dip; leave one of them out"),
    Clash("head", "--groove", CROZE, "a step in the croze is the radius itself; leave --groove out, or give --step-in wall"),
)  # fmt: skip
IDLE: tuple[Idle, ...] = (
    Idle("volume", "--in-air", "--kg", "it is about a weight; leave it out"),
    Idle("ullage", "--records", "--cask", "no book is read; leave it out"),
)


def refuse_clashes(command: str, given: Collection[str], clashes: Sequence[Clash] = CLASHES) -> None:
    """CaskbookError for the first two options of the table that were given together, or the first that does nothing."""
    for clash in clashes:
        if clash.command == command and clash.one in given and clash.other in given and clash.but_with not in given:
            raise CaskbookError(clash.line())
    for idle in IDLE:
        if idle.command == command and idle.one in given and idle.needs not in given:
            raise CaskbookError(idle.line())


def options_given(**options: object) -> frozenset[str]:
    """The names of the options that were typed: what is None, False or empty was not."""
    return frozenset(f"--{name.replace('_', '-')}" for name, value in options.items() if value is not None and value is not False)
