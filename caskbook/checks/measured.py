"""What a measured capacity says of the nominal one, and inside dimensions of the cask."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.checks.context import HEAD, View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.gauging.inside import UNITS, inside_l, is_unlike, likely_unit
from caskbook.gauging.volume import r138_class_b_l
from caskbook.model.jobs.base import plain
from caskbook.words import CASK_TYPES


def off_nominal(view: View) -> Iterable[Fault]:
    """capacity-off-nominal: measured litres outside what OIML R 138:2007, 5.1.3 allows a class B vessel of the nominal litres.

    Why: 1 % of the nominal litres, at least 0.15 L, is meant for vessels sold as measures; a working cask may well lie outside, so it
    is a note. From then on the measured litres count, for room and for the ullage table.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, capacity_l: 191}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, capacity_l: 199}
    """
    nominal = view.head.capacity_l
    if nominal is None or view.is_spoiled(HEAD, "capacity_l"):
        return
    allowed = r138_class_b_l(nominal)
    for event, row in view.of("measure"):
        litres = event.capacity_l  # type: ignore[attr-defined]
        if litres is not None and not view.is_spoiled(row, "capacity_l") and abs(litres - nominal) > allowed + 1e-9:
            message = f"measured {plain(litres)} L, nominal {plain(nominal)}: expected within {plain(allowed)} L"
            yield fault(row, "capacity-off-nominal", message, "measure again if in doubt; the measured litres count", "capacity_l", of=event)


def unlike_inside(view: View) -> Iterable[Fault]:
    """dims-unlike-cask: inside dimensions that are no cask of its litres.

    Why: inches written for mm, or one figure misread, turn every dip taken afterwards into wrong litres.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, dims_mm: {bung: 26, head: 21, length: 33}}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, dims_mm: {bung: 660, head: 533, length: 838}}
    """
    kind = CASK_TYPES.get(view.head.type)
    litres = view.head.capacity_l or (kind.litres if kind else None)
    for event, row in view.work_rows():
        if event.job != "measure":
            continue
        litres = event.capacity_l or litres  # type: ignore[attr-defined]
        dims = event.dims_mm  # type: ignore[attr-defined]
        if row is None or dims is None or event.source is not None or view.is_spoiled(row, "dims_mm", "capacity_l"):
            continue
        mm = dims.across()
        if mm.get("head", 0.0) > mm.get("bung", float("inf")):
            message = f"head {plain(mm['head'])} mm is wider than bung {plain(mm['bung'])} mm: expected less"
            yield fault(row, "fields-disagree", message, "correct the dimensions: they stand in the wrong order, or one is misread", "dims_mm", of=event)
        elif mm and is_unlike(mm, litres):
            yield fault(row, "dims-unlike-cask", _unlike_text(mm, litres), _unlike_help(mm, litres), "dims_mm", of=event)


def _unlike_text(mm: dict[str, float], litres: float | None) -> str:
    size = inside_l(mm)
    expected = f"a cask of {plain(litres)} L" if litres else "a cask"
    if size is None:
        return f"{', '.join(f'{name} {plain(value)}' for name, value in mm.items())} mm: expected those of {expected}"
    return f"the dimensions make {size:.2g} L: expected {expected}" if size < 10 else f"the dimensions make {size:.0f} L: expected {expected}"


def _unlike_help(mm: dict[str, float], litres: float | None) -> str:
    unit = likely_unit(mm, litres)
    if unit is None:
        return "measure again, or correct the cask's litres"
    told = ", ".join(f"{name} {plain(value)}{unit}" for name, value in mm.items())
    return f"write them in mm: did you mean {UNITS[unit][1]}: {told}?"


RULES = (
    Rule(off_nominal, {"capacity-off-nominal": "note"}, on=("measure",)),
    Rule(unlike_inside, {"dims-unlike-cask": "warning", "fields-disagree": "error"}, on=("measure",)),
)
