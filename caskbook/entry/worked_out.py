"""Litres that an entry leaves to the book: what its dip or its weight comes to, or why nothing can be worked out of it."""

from __future__ import annotations

from collections.abc import Iterator

from caskbook.entry.plan import Plan
from caskbook.ledger.files import Ledger
from caskbook.ledger.whole import whole_life
from caskbook.model.cask import read_event

_CURE = {
    "dip": "no dimensions: litres not worked out; give --litres, or: caskbook enter measure {cask} --dims 'bung … head … length …'",
    "weigh": "weight empty not known: litres not worked out; give --litres, or: caskbook enter measure {cask} --tare …",
}


def worked_out(plan: Plan, ledger: Ledger) -> Iterator[str]:
    """A line for each regauge of a plan that gives no litres itself."""
    for cask, data in plan.written:
        if data["job"] == "regauge" and "litres" not in data:
            page = next(page for page in plan.pages if page.cask_id == cask)
            from caskbook.loss.gauges import amount_of
            from caskbook.loss.records import vessel_at

            event, _ = read_event(dict(data), ("events", 0))
            vessel = vessel_at(whole_life(ledger, page.cask, data["date"]))
            found = amount_of(event, data.get("abv"), vessel)
            way = "weigh" if "gross_kg" in data else "dip"
            known = vessel.tare_kg if way == "weigh" else vessel.inside
            if found.litres_20 is not None:
                lying = "; how it lies is not written (--stow): taken as on its bilge" if way == "dip" and vessel.stow is None else ""
                yield f"{cask}  {found.litres_20:.1f} L" + (" at 20 °C" if found.corrected else "") + f" by the {'weight' if way == 'weigh' else 'dip'}{lying}"
            elif known is None:
                yield f"{cask}  {_CURE[way].format(cask=cask)}"
            else:
                yield f"{cask}  litres not worked out: {found.notes[-1] if found.notes else 'a figure is lacking'}"
