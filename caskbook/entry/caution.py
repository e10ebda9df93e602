"""Short cautions where the work can hurt someone: a reminder with the figure that makes it real for the cask in hand.

Nothing here is advice on a pressure or a time.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from caskbook.gauging.pressure import energy_kj, thrust_n, tonnes_force
from caskbook.life import Life
from caskbook.life.facts import facts_of
from caskbook.model.jobs import Event
from caskbook.words import CASK_TYPES
from caskbook.words.job_table import jobs_with

REMINDER = "Reminder only: follow your site's risk assessment and the rules where you work; trained people only."
_IN_SHORT = {
    "air-test": "Air test: nobody in line with a head.", "fire": "Fire work: vapour can flash; wood glows on.",
    "vapour": "Open spirit: no flame or spark, air moving.", "leak": "A leak: vapour gathers low down; no flame or spark near it.",
    "looking-in": "Looking in: ease the bung, then keep your face away.", "sulphur": "Sulphur: the gas chokes; not near spirit vapour.",
    "hot-soak": "Hot soaking: it scalds; no tight bung.", "moving": "Moving: it rolls on, and does not stop for a foot.",
    "driving": "Driving: eyes and hands.", "dust": "Shaving: the dust harms the lungs, and can flash.",
    "knocking-down": "Knocking down: staves spring and hoops fly.",
}  # fmt: skip
_BUNG_IN_SHORT = "Easing the bung: stand aside, air moving."
# The head of a barrel of 200 L; other casks are of like shape, so their heads go with the cube root of the litres.
_BARREL_HEAD_MM, _BARREL_L = 530.0, 200.0
# Empty casks weigh about a quarter of a kilogram a litre: 48 to 54 kg for 200 L, common practice.
_KG_PER_LITRE_EMPTY = 0.26
_KG_PER_LITRE_SPIRIT = 0.9
# S + O2 → SO2: 64.06 g of gas from 32.06 g of sulphur; 24.0 L a mole at 20 °C and one atmosphere.
_LITRES_SO2_PER_GRAM = 24.0 / 32.06


def caution_for(event: Event, life: Life) -> str | None:
    """The caution of one job on one cask, None where it needs none. `life`: the cask just before the job."""
    if event.job in jobs_with("through-bung") and life.state.contents == "wine":
        return _fermenting(life)
    tell = _TELL.get(event.caution or "")
    return tell(event, life) if tell else None


def caution_kind(event: Event) -> str | None:
    """Which caution a job may bring, the same word for all jobs that bring it; None where it brings none."""
    return event.caution or ("bung" if event.job == "bung" else None)


def caution_in_short(kind: str) -> str:
    """The same in one line, where it was told with its figures before."""
    return _IN_SHORT.get(kind, _BUNG_IN_SHORT)


def litres_of(life: Life) -> float:
    """What the cask holds: as measured, by its head, or as its type usually does."""
    return known_litres(life) or _BARREL_L


def known_litres(life: Life) -> float | None:
    """What the cask holds as measured, by its head, or as its type usually does; None where none of these is known."""
    usual = CASK_TYPES[life.cask.head.type].litres if life.cask.head.type in CASK_TYPES else None
    return life.state.capacity_l or usual


def head_mm(life: Life) -> tuple[float, bool]:
    """The head's diameter in mm, and whether it was measured."""
    for event in reversed(life.events):
        dims = getattr(event, "dims_mm", None)
        if dims is not None and dims.head:
            return float(dims.head), True
    return head_mm_by_size(litres_of(life)), False


def head_mm_by_size(litres: float) -> float:
    """The diameter of the head of a cask of so many litres, mm, where nobody measured it."""
    return float(_BARREL_HEAD_MM * (litres / _BARREL_L) ** (1 / 3))


def _air_test(event: Any, life: Life) -> str | None:
    if event.method != "air" or not event.psi:
        return None
    diameter, measured = head_mm(life)
    thrust = thrust_n(min(event.psi, 1000.0), min(diameter, 5000.0))
    litres = max(1.0, litres_of(life) - (event.water_l or 0))
    head = f"{diameter / 1000:.2f} m head" + ("" if measured else " (by its size)")
    return (
        f"Air test: {event.psi:g} psi presses on a {head} with {thrust / 1000:.0f} kN, the weight of {tonnes_force(thrust):.1f} tonnes; "
        f"the air stores {energy_kj(min(event.psi, 1000.0), litres):.0f} kJ. Nobody in line with a head."
    )


def _emptied(life: Life, day: date) -> str:
    since = life.state.emptied_on
    if since is None:
        return "it has held liquor" if life.state.held_liquor or life.state.past.had_liquor else ""
    days = (day - since).days
    return f"it was emptied {'today' if days == 0 else 'yesterday' if days == 1 else f'{days} days ago'}"


def _fire(event: Any, life: Life) -> str:
    why = _emptied(life, event.date)
    return f"Fire work: {why + ', and ' if why else ''}the vapour of {litres_of(life):.0f} L of space can flash; wood glows on and catches again afterwards."


def _vapour(event: Any, life: Life) -> str:
    parts = getattr(event, "to", ()) or getattr(event, "from_", ()) if event.job.startswith("rack") else ()
    litres = getattr(event, "litres", None) or getattr(event, "ml", 0) / 1000 or sum(part.litres for part in parts)
    filling = life.state.filling
    strength = getattr(event, "abv", None) or next((part.abv for part in parts if part.abv), None) or (filling.abv if filling else None)
    amount = f"{litres:g} L" if litres else "spirit"
    return f"Open spirit: {amount}{f' at {strength:g} %' if strength else ''} gives off vapour that burns and dulls the head; no flame or spark, air moving."


def _fermenting(life: Life) -> str:
    return f"Easing the bung on {litres_of(life):.0f} L of {life.state.spirit or 'wine'}: if it works again there is pressure and carbon dioxide; stand aside, air moving."


def _leak(event: Any, life: Life) -> str | None:
    if event.severity == "weep":
        return None
    filling = life.state.filling
    held = f" of {filling.litres:g} L" if filling and filling.litres else ""
    return f"A {event.severity} from a cask{held}: vapour gathers low down and burns; no flame or spark near it."


def _looking_in(event: Any, life: Life) -> str:
    why = _emptied(life, event.date)
    wine = life.state.wine_held
    gas = "a cask that works again holds carbon dioxide: ease the bung, then keep your face away" if wine else "vapour or gas may stand in it"
    return f"Nose and face at {litres_of(life):.0f} L of closed air: {why + '; ' if why else ''}{gas}."


def _sulphur(event: Any, life: Life) -> str:
    gas = event.grams * _LITRES_SO2_PER_GRAM
    return f"Sulphur: {event.grams:g} g burn to {gas:.1f} L of sulphur dioxide in {litres_of(life):.0f} L of cask; it chokes. Not near spirit vapour."


def _hot_soak(event: Any, life: Life) -> str | None:
    return None if event.method == "cold" else f"Hot soaking: {litres_of(life):.0f} L of hot water or steam scald, and pressure builds under a tight bung."


def _moving(event: Any, life: Life) -> str:
    state = life.state
    tare = state.tare_kg or litres_of(life) * _KG_PER_LITRE_EMPTY
    filling = state.filling
    how = "full" if state.filled else "empty"
    if life.begun and facts_of(life).contents is None:
        how, filling = "if it is full, which the book cannot tell", None
    inside = (filling.litres or litres_of(life)) * _KG_PER_LITRE_SPIRIT if filling else litres_of(life) * _KG_PER_LITRE_SPIRIT if how != "empty" else 0
    return f"Moving: about {round(tare + inside, -1) or 10:.0f} kg {how}; it rolls on, and it does not stop for a foot."


def _driving(event: Any, life: Life) -> str:
    return f"Driving: {life.state.frame.hoops or 'the'} hoops under strain; steel chips fly and a hoop can burst. Eyes and hands."


def _dust(event: Any, life: Life) -> str:
    depth = f"{event.depth_mm:g} mm off the inside of {litres_of(life):.0f} L" if event.depth_mm else f"the inside of {litres_of(life):.0f} L"
    return f"Shaving: {depth} comes down as fine oak and char dust; it harms the lungs, and it can flash."


def _knocking_down(event: Any, life: Life) -> str:
    staves = life.state.frame.staves
    return f"Knocking down: {f'{staves} staves' if staves else 'staves'} spring apart when the last hoop goes, and the hoops fly."


_TELL = {
    "air-test": _air_test, "fire": _fire, "vapour": _vapour, "leak": _leak, "looking-in": _looking_in, "sulphur": _sulphur,
    "hot-soak": _hot_soak, "moving": _moving, "driving": _driving, "dust": _dust, "knocking-down": _knocking_down,
}  # fmt: skip
