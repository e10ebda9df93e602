"""Dips that the cask cannot have."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.loss.depth import DIPS, Depth
from caskbook.model.jobs.spirit.gauged import ways_measured


def too_deep(view: View) -> Iterable[Fault]:
    """dip-beyond-cask: a wet or dry dip deeper than the cask.

    Why: no litres can be worked out of it, so this gauge tells nothing of a loss. Held against it is the bung diameter last measured,
    of a cask that stands upright the length; of one never measured the most that a cask of its litres can have.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-01, job: measure, by: ab, dims_mm: {bung: 660, head: 560, length: 840}}
        - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
        - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true, stow: bilge}
        - {id: e1000004, date: 2021-01-03, job: regauge, by: ab, wet_mm: 760, abv: 63, at_20: true, method: dip}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-01, job: measure, by: ab, dims_mm: {bung: 660, head: 560, length: 840}}
        - {id: e1000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
        - {id: e1000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           at_20: true, stow: bilge}
        - {id: e1000004, date: 2021-01-03, job: regauge, by: ab, wet_mm: 600, abv: 63, at_20: true, method: dip}
    """
    depth = Depth(view.head)
    for event, row in view.work_rows():
        if event.job != "regauge":
            depth.note(event, event.lost if row is None else view.spoiled.get(row, ()))
        elif row is not None and event.source is None and len(ways_measured(event)) == 1 and not view.is_spoiled(row, "date", "litres", "gross_kg", *DIPS):
            for field, text in depth.deeper(event):
                yield fault(row, "dip-beyond-cask", text, "correct the dip, or say how the cask lies, or measure it", field, of=event)


RULES = (Rule(too_deep, {"dip-beyond-cask": "warning"}, on=("regauge",)),)
