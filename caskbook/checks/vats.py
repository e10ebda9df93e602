"""Casks filled from one vat on one day, held together against what the vat held."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.checks.context import Context, View, fault, standing_of
from caskbook.core.finding import Fault, Severity
from caskbook.core.vat_names import vat_key
from caskbook.model.cask import Cask
from caskbook.model.house import House
from caskbook.model.jobs.base import plain
from caskbook.words.plural import number_of


@dataclass(frozen=True, slots=True)
class Pour:
    """So many litres of a vat, as measured, in a cask by one filling. `held`: what the vat held, where the filling says it."""

    vat: str
    day: date
    litres: float
    held: float | None
    event: str
    cask: str
    row: int = 0


@dataclass(frozen=True, slots=True)
class Account:
    """All that is known to have gone out of a vat on a day. `held`: what it held, None where nobody says, or they say several figures;
    `slack`: how far the two may lie apart, in litres."""

    vat: str
    day: date
    pours: tuple[Pour, ...]
    said: tuple[float, ...]
    percent: float

    @property
    def held(self) -> float | None:
        """What the vat held, where one figure is said."""
        return self.said[0] if len(self.said) == 1 else None

    @property
    def litres(self) -> float:
        """What went into casks."""
        return sum(pour.litres for pour in self.pours)

    @property
    def over(self) -> float:
        """Litres by which the casks have more than the vat held, beyond what is tolerated; 0 where not."""
        return 0.0 if self.held is None else max(0.0, self.litres - self.held * (1 + self.percent / 100))

    @property
    def under(self) -> float:
        """Litres that are lacking, beyond what is tolerated; 0 where not."""
        return 0.0 if self.held is None else max(0.0, self.held * (1 - self.percent / 100) - self.litres)

    def says(self) -> str:
        """ "vat V12 on 2026-11-29: 3 casks, 590 L of 2000 L"."""
        of = f" of {plain(self.held)} L" if self.held is not None else ""
        return f"vat {self.vat} on {self.day}: {number_of(len({pour.cask for pour in self.pours}), 'cask')}, {self.litres:.1f} L{of}"


def pours(view: View) -> Iterator[Pour]:
    """What this cask was filled with out of vats."""
    for event, row in view.of("fill"):
        if not view.is_spoiled(row, "vat", "litres", "date", "vat_litres"):
            yield from _pour(event, view.cask.id, row)


def pours_of(cask: Cask) -> Iterator[Pour]:
    """The same of a cask out of its standing entries."""
    for event in standing_of(cask):
        if event.job == "fill" and not event.lost & {"vat", "litres", "date", "vat_litres"}:
            yield from _pour(event, cask.id, 0)


def _pour(event: Any, cask: str, row: int) -> Iterator[Pour]:
    if event.vat is not None and event.litres is not None:
        yield Pour(event.vat, event.date, event.litres, event.vat_litres, event.id, cask, row)


def accounts(poured: Iterable[Pour], house: House) -> list[Account]:
    """What went out of each vat on each day, in the order of the days."""
    piles: dict[tuple[date, str], list[Pour]] = {}
    for pour in poured:
        piles.setdefault((pour.day, vat_key(pour.vat)), []).append(pour)
    found = []
    for (day, _), pile in sorted(piles.items(), key=lambda one: one[0]):
        pile.sort(key=lambda pour: (pour.event, pour.cask))
        said = tuple(dict.fromkeys(pour.held for pour in pile if pour.held is not None))
        name = next((pour.vat for pour in pile if pour.held is not None), pile[0].vat)
        found.append(Account(name, day, tuple(pile), said, house.on(day).vat_tolerance_percent))
    return found


def unlike_vat(poured: Iterable[Pour], context: Context) -> Iterator[tuple[str, Fault]]:
    """(the cask where it is told, the fault) for each vat whose litres its casks of a day do not make up."""
    for account in accounts(poured, context.house):
        found = _differing(account) if len(account.said) > 1 else _over(account) if account.over else _under(account) if account.under else None
        if found is not None:
            yield found[0].cask, replace(found[1], severity=CODES[found[1].code])


def _differing(account: Account) -> tuple[Pour, Fault]:
    """vat-litres-differ: casks filled from one vat on one day tell of different litres in it.

    Why: it was full once that day; with two figures nobody can say whether its casks make it up.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 400}
        # TH-004218
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 199, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 4000}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 400}
        # TH-004218
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 199, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 400}
    """
    last = next(pour for pour in account.pours if pour.held not in (None, account.said[0]))
    first = next(pour for pour in account.pours if pour.held is not None)
    text = f"`vat_litres` is {plain(last.held)}: {first.cask} says {plain(first.held)} of vat {account.vat} that day"
    return last, fault(last.row, "vat-litres-differ", text, "replace the wrong one", "vat_litres")


def _over(account: Account) -> tuple[Pour, Fault]:
    """vat-overdrawn: the casks filled from a vat on a day hold more than it held.

    Why: one of them was filled from another vat, a figure is misread, or the vat was filled up in between. How far the sums may lie
    apart is `vat_tolerance_percent` of house.yaml: common practice, no source.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 180}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 200}
    """
    so_far, crossing, limit = 0.0, account.pours[-1], account.litres - account.over
    for pour in account.pours:
        so_far += pour.litres
        if so_far > limit:
            crossing = pour
            break
    return crossing, fault(crossing.row, "vat-overdrawn", f"{account.says()}: more than it held", "correct the litres, the vat or its `vat_litres`", "vat")


def _under(account: Account) -> tuple[Pour, Fault]:
    """vat-remainder: the casks filled from a vat on a day hold less than it held.

    Why: the rest stays in the vat, or goes into casks on another day; or a cask was not entered. Nothing has to be done where it is so.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 600}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true, vat: V12, vat_litres: 200}
    """
    last, short = account.pours[-1], (account.held or 0) - account.litres
    return last, fault(last.row, "vat-remainder", f"{account.says()}: {short:.1f} L in none of them", "enter the other casks, if there were some", "vat")


# Of `unlike_vat`, which looks at all files.
CODES: dict[str, Severity] = {"vat-litres-differ": "warning", "vat-overdrawn": "warning", "vat-remainder": "note"}
