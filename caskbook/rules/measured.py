"""What a measured capacity says of the nominal one."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.finding import Fault
from caskbook.gauging.volume import r138_class_b_l
from caskbook.jobs.base import plain
from caskbook.rules.context import HEAD, Rule, View, fault


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
    nominal = view.cask.head.capacity_l
    if nominal is None or view.is_spoiled(HEAD, "capacity_l"):
        return
    allowed = r138_class_b_l(nominal)
    for event, row in view.of("measure"):
        litres = event.capacity_l  # type: ignore[attr-defined]
        if litres is not None and not view.is_spoiled(row, "capacity_l") and abs(litres - nominal) > allowed + 1e-9:
            message = f"measured {plain(litres)} L, nominal {plain(nominal)}: expected within {plain(allowed)} L"
            yield fault(row, "capacity-off-nominal", message, "measure again if in doubt; the measured litres count", "capacity_l", severity="note", of=event)


RULES: tuple[Rule, ...] = (off_nominal,)
