"""The cask's own capacity: its ullage table, and what its measured litres are against the nominal ones."""

from __future__ import annotations

from caskbook.gauging.domain import DomainError
from caskbook.gauging.volume import Dip, capacity_l, dip_table, r138_class_b_l
from caskbook.life import Life
from caskbook.loss.records import vessel_at
from caskbook.model.jobs.base import plain


def ullage_table(life: Life, step_mm: float = 10.0) -> tuple[Dip, ...]:
    """The cask's own table by wet dip, lying or standing as it is stowed, for the inside last measured and the capacity last
    measured, else nominal. DomainError where its inside was never measured or the figures cannot be."""
    vessel = vessel_at(life)
    if vessel.inside is None:
        raise DomainError("its inside was not measured; enter it: caskbook enter measure CASK --dims 'bung … head … length …'")
    stance = "standing" if (vessel.stow or "").startswith("upright") else "lying"
    return dip_table(vessel.inside, stance, vessel.capacity_l, step_mm)  # type: ignore[arg-type]


def class_b_note(life: Life) -> str | None:
    """How the measured capacity stands to the nominal one; None where either is not known.

    The tolerance is that of OIML R 138:2007, 5.1.3, class B (not of metal): 1 % of the nominal litres, at least 0.15 L. It is
    meant for vessels sold as measures, so for a working cask it is told and judged by nobody.
    """
    nominal = life.cask.head.capacity_l
    measured = next((e.capacity_l for e in reversed(life.events) if e.job == "measure" and e.capacity_l is not None), None)  # type: ignore[attr-defined]
    if nominal is None or measured is None:
        return None
    allowed, off = r138_class_b_l(nominal), measured - nominal
    where = "within" if abs(off) <= allowed + 1e-9 else "outside"
    return f"measured {plain(measured)} L, nominal {plain(nominal)} L: {off:+.1f} L, {where} ± {plain(allowed)} L (OIML R 138:2007, class B)"


def by_dimensions_note(life: Life) -> str | None:
    """The capacity its inside measures give as a spheroid, beside the one in use; None without inside measures."""
    vessel = vessel_at(life)
    if vessel.inside is None:
        return None
    found = capacity_l(vessel.inside)
    against = f"; {plain(vessel.capacity_l)} L is used" if vessel.capacity_l is not None else ""
    return f"{found:.1f} L by its inside measures, taken as a spheroid{against}"
