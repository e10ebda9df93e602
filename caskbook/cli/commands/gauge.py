"""What the gauging commands do: read the figures, ask the gauging room, print text or JSON."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from functools import wraps
from typing import Any

from caskbook.cli.commands.gauge_lengths import head_of, lengths
from caskbook.cli.commands.gauge_pairs import CROZE, options_given, refuse_clashes
from caskbook.cli.common import one_of, say, write
from caskbook.cli.data_output import write_data
from caskbook.core.finding import CaskbookError
from caskbook.core.typed_word import typed_word
from caskbook.gauging.density import density as rho
from caskbook.gauging.domain import DomainError
from caskbook.gauging.duty import litres_pure_alcohol, us_proof_gallons, us_proof_gallons_at_20
from caskbook.gauging.head import head_circle
from caskbook.gauging.pressure import energy_kj, thrust_n, tonnes_force
from caskbook.gauging.proof import (
    abv_of_us_proof,
    hydrometer_proof,
    hydrometer_proof_by_table,
    us_proof_of_abv,
)
from caskbook.gauging.strength import (
    abv_of_density,
    abv_of_mass_percent,
    alcoholometer_abv,
    mass_fraction_of_abv,
    mass_percent_of_abv,
)
from caskbook.gauging.units import Quantity, UnitError, parse_quantity
from caskbook.gauging.units.constants import LITRES_PER_US_GALLON, SIXTY_F, celsius, fahrenheit
from caskbook.gauging.volume import Dimensions, Dip, at_dip, capacity_l, dip_table
from caskbook.gauging.volume20 import litres_20_of_kg, litres_at_20, us_gallons_at_60f, volume_factor

Shaped = tuple[str | None, str | None, str | None, str]
_SHAPES = ("spheroid", "parabolic", "paraboloid", "cone")
_MOST_IN_A_CASK_L = 2000
_R22 = "OIML R 22 (1975)"
_ROD_MM = 2.0
"""Two readings of a rod, a millimetre each."""


def _calculator(work: Callable[..., int]) -> Callable[..., int]:
    """A figure outside a formula's domain is a one-line refusal that names the limit."""

    @wraps(work)
    def guarded(*args: Any, **kwargs: Any) -> int:
        try:
            return work(*args, **kwargs)
        except DomainError as error:
            raise CaskbookError(str(error)) from None

    return guarded


def _figure(option: str, text: str, kind: str) -> float:
    """In the kept unit, unrounded: what is computed at once is computed from what was typed."""
    return _quantity(option, text, kind).exact


def _quantity(option: str, text: str, kind: str) -> Quantity:
    try:
        quantity = parse_quantity(text, kind)
    except UnitError as error:
        raise CaskbookError(f"--{option}: {error}") from None
    if quantity.echo:
        say(quantity.echo)
    return quantity


def _plain(option: str, text: str) -> float:
    """A figure without a unit (a density, a proof reading)."""
    try:
        return float(_number_only(text))
    except ValueError:
        raise CaskbookError(f"--{option} {text[:20]}: expected a number") from None


def _number_only(text: str) -> str:
    if len(text) > 15 or not text.replace(".", "", 1).replace("-", "", 1).isascii() or not text.lstrip("-").replace(".", "", 1).isdigit():
        raise ValueError(text)
    return text


def _temperature(temp: str | None, temp_f: str | None, *, fallback: float | None = None) -> float:
    if temp_f is not None:
        return celsius(_plain("temp-f", temp_f.rstrip("Ff°")))
    if temp is not None:
        return _figure("temp", temp, "temp_c")
    if fallback is None:
        raise CaskbookError("give the temperature: --temp in °C or --temp-f")
    return fallback


def _answer(form: str, figures: dict[str, float], lines: list[str]) -> int:
    one_of("--format", form, ("text", "json"))
    if form == "json":
        write_data(json.dumps({name: round(value, 6) for name, value in figures.items()}))
    else:
        write("\n".join(lines))
    return 0


@_calculator
def strength(indicated: str | None, proof: str | None, density: str | None, mass: str | None, temp: str | None, temp_f: str | None, form: str) -> int:
    """True strength at 20 °C."""
    refuse_clashes("strength", options_given(indicated=indicated, hydrometer_proof=proof, density=density, mass_percent=mass, temp=temp, temp_f=temp_f))
    if proof is not None:
        return _hydrometer(proof, temp, temp_f, form)
    if indicated is not None:
        if "proof" in indicated.casefold():
            raise CaskbookError(
                f"--indicated {indicated}: a glass marked in proof is another one: --hydrometer-proof for US proof at 60 °F; of UK proof there is no table here"
            )
        abv = alcoholometer_abv(_figure("indicated", indicated, "abv"), _temperature(temp, temp_f))
    elif density is not None:
        abv = abv_of_density(_plain("density", density), _temperature(temp, temp_f, fallback=20.0))
    elif mass is not None:
        abv = abv_of_mass_percent(_plain("mass-percent", mass))
    else:
        raise CaskbookError("give one of --indicated, --hydrometer-proof, --density and --mass-percent")
    by_mass = mass_percent_of_abv(abv)
    return _answer(form, {"abv": abv, "mass_percent": by_mass}, [f"{abv:.2f} % vol at 20 °C  ({by_mass:.2f} % by mass)", _R22])


def _hydrometer(proof: str, temp: str | None, temp_f: str | None, form: str) -> int:
    """A US proof hydrometer: by the formula, and as the printed table is read between its cells."""
    warm_f = round(fahrenheit(_temperature(temp, temp_f, fallback=SIXTY_F)), 6)
    reading = _plain("hydrometer-proof", proof)
    found = hydrometer_proof(reading, warm_f)
    abv = abv_of_us_proof(found)
    figures = {"proof": found, "abv": abv, "mass_percent": mass_percent_of_abv(abv)}
    lines = [f"{found:.1f} proof at 60 °F  ({abv:.2f} % vol at 20 °C)", f"from {proof} read at {warm_f:g} °F; {_R22}, glass 25e-6 per °C"]
    try:
        figures["proof_table"] = float(hydrometer_proof_by_table(Decimal(proof), Decimal(repr(warm_f))))
        lines.append(f"{figures['proof_table']:.3f} between cells to a tenth, as 27 CFR 30.23 reads its table")
    except DomainError:
        pass  # A neighbouring cell lies beyond the scale.
    return _answer(form, figures, lines)


@_calculator
def volume(abv: str, litres: str | None, kg: str | None, temp: str | None, form: str, *, in_air: bool) -> int:
    """Litres at 20 °C and what alcohol they hold."""
    refuse_clashes("volume", options_given(litres=litres, kg=kg, temp=temp, in_air=in_air))
    strong_, warm = _quantity("abv", abv, "abv"), _temperature(temp, None, fallback=20.0)
    strong, by_table = strong_.exact, None
    if litres is not None:
        measured = _quantity("litres", litres, "litres")
        at_20 = litres_at_20(measured.exact, strong, warm)
        if measured.exact > _MOST_IN_A_CASK_L:
            say(f"{measured.exact:g} L is more than a cask holds: right for a vat; else look at the unit")
        if measured.unit.startswith("usgal") and strong_.unit == "usproof":
            by_table = _by_factor(measured.exact / LITRES_PER_US_GALLON, strong, warm)
    elif kg is not None:
        at_20 = litres_20_of_kg(_figure("kg", kg, "kg"), strong, in_air=in_air, temp_c=warm)
    else:
        raise CaskbookError("give one of --litres and --kg")
    lpa, gallons = float(litres_pure_alcohol(at_20, strong)), float(us_proof_gallons_at_20(at_20, strong))
    figures = {"litres_20": at_20, "lpa": lpa, "proof_gallons": gallons, "us_gallons_60f": us_gallons_at_60f(at_20, strong)}
    lines = [f"{at_20:.2f} L at 20 °C", f"{lpa:.2f} L of pure alcohol", f"{gallons:.2f} US proof gallons (by way of 60 °F)"]
    if by_table is not None:
        figures["proof_gallons_table"] = by_table[1]
        lines.append(f"{by_table[1]:.1f} US proof gallons by the printed factor {by_table[0]:.3f} (27 CFR 30.51)")
    return _answer(form, figures, [*lines, _R22])


def _by_factor(gallons: float, abv: float, temp_c: float) -> tuple[float, float]:
    """As 27 CFR 30.51 works: the factor to 60 °F to three decimals as its table prints it, and proof gallons to a tenth."""
    factor = round(volume_factor(abv, temp_c, SIXTY_F), 3)
    return factor, float(us_proof_gallons(gallons * factor, us_proof_of_abv(abv), ["us-tenth"]))


@_calculator
def density(abv: str | None, mass: str | None, temp: str, form: str) -> int:
    """Density in vacuo."""
    refuse_clashes("density", options_given(abv=abv, mass_percent=mass))
    if abv is None and mass is None:
        raise CaskbookError("give one of --abv and --mass-percent")
    share = mass_fraction_of_abv(_figure("abv", abv, "abv")) if abv is not None else _plain("mass-percent", mass or "") / 100
    warm = _figure("temp", temp, "temp_c")
    found = rho(share, warm)
    return _answer(form, {"density": found}, [f"{found:.3f} kg/m³ at {warm:g} °C, in vacuo", _R22])


def _dimensions(shaped: Shaped) -> Dimensions:
    bung, head_mm, length, shape = shaped
    one_of("--shape", shape, _SHAPES)
    if bung is None or head_mm is None or length is None:
        raise CaskbookError("give --bung, --head and --length, or a measured cask of the book with --cask")

    def cask(mm: Mapping[str, float]) -> Dimensions:
        return Dimensions(mm["bung"], mm["head"], mm["length"], shape)  # type: ignore[arg-type]

    return cask(lengths({"bung": bung, "head": head_mm, "length": length}, lambda mm: capacity_l(cask(mm))))


@_calculator
def capacity(bung: str, head_mm: str, length: str, shape: str, form: str) -> int:
    """What it holds."""
    found = capacity_l(_dimensions((bung, head_mm, length, shape)))
    return _answer(form, {"litres": found}, [f"{found:.1f} L, as a {shape}", "exact for the shape; a real cask is measured with water"])


@_calculator
def ullage(shaped: Shaped, wet: str | None, dry: str | None, measured: str | None, form: str, *, standing: bool, table: bool) -> int:
    """How much is in it, and how much space."""
    cask = _dimensions(shaped)
    full = _figure("capacity", measured, "litres") if measured is not None else None
    if table:
        return _table(cask, full, form, standing=standing)
    if wet is None and dry is None:
        raise CaskbookError("give one of --wet (liquor on the rod) and --dry (space above it)")
    wet_mm = _figure("wet", wet, "mm") if wet is not None else None
    dry_mm = _figure("dry", dry, "mm") if dry is not None else None
    if wet_mm is not None and dry_mm is not None:
        _adds_up(wet_mm, dry_mm, cask, standing=standing)
        dry_mm = None
    dip = at_dip(cask, wet_mm=wet_mm, dry_mm=dry_mm, stance="standing" if standing else "lying", measured_l=full)
    figures = {"litres": dip.litres, "fraction": dip.fraction, "litres_space": dip.litres_space, "capacity": dip.capacity_l}
    lines = [
        f"{dip.litres:.1f} L of liquor, {dip.litres_space:.1f} L of space",
        f"{100 * dip.fraction:.1f} % of {dip.capacity_l:.1f} L, wet {dip.wet_mm:g} mm, dry {dip.dry_mm:g} mm",
    ]
    return _answer(form, figures, lines)


def _adds_up(wet_mm: float, dry_mm: float, cask: Dimensions, *, standing: bool) -> None:
    """Both dips are welcome where they are one measurement: together as deep as the cask, within what a rod can be read to."""
    whole, name = (cask.length_mm, "--length") if standing else (cask.bung_mm, "--bung")
    if abs(wet_mm + dry_mm - whole) > _ROD_MM:
        raise CaskbookError(f"--wet with --dry: together {wet_mm + dry_mm:g} mm, and {name} is {whole:g} mm; leave one of them out")


def _table(cask: Dimensions, full: float | None, form: str, *, standing: bool) -> int:
    return _rows(dip_table(cask, "standing" if standing else "lying", full), form)


@_calculator
def cask_table(cask_id: str, records: str | None, form: str) -> int:
    """The ullage table of a cask of the book, for the inside and the capacity last measured."""
    from caskbook.cli.common import open_book
    from caskbook.loss.capacity import by_dimensions_note, class_b_note, ullage_table

    book = open_book(records, joins=True)
    record = book.ledger.get(cask_id.strip().upper())
    if record.cask is None:
        raise CaskbookError(f"{record.path} cannot be read; caskbook check {typed_word(record.name)}")
    life = book.ledger.life_of(record.cask, book.day)
    for note in (by_dimensions_note(life), class_b_note(life)):
        if note:
            say(note)
    return _rows(ullage_table(life), form)


def _rows(dips: Sequence[Dip], form: str) -> int:
    one_of("--format", form, ("text", "json"))
    rows = list(dips)
    if form == "json":
        write_data(json.dumps([{"wet_mm": dip.wet_mm, "litres": round(dip.litres, 3)} for dip in rows]))
    else:
        write("wet mm    litres\n" + "\n".join(f"{dip.wet_mm:6g}  {dip.litres:8.1f}" for dip in rows))
    return 0


@_calculator
def head(step: str, step_in: str, groove: str | None, allowance: str, form: str) -> int:
    """The circle of a new head."""
    one_of("--step-in", step_in, ("croze", "wall"))
    refuse_clashes("head", options_given(groove=groove) | ({CROZE} if step_in == "croze" else set()))
    depth = _figure("groove", groove, "mm") if groove is not None else None
    circle = head_circle(lengths({"step": step}, head_of(2))["step"], step_in, depth, _figure("allowance", allowance, "mm"))  # type: ignore[arg-type]
    lines = [
        f"radius {circle.radius_mm:.1f} mm, diameter {circle.diameter_mm:.1f} mm",
        "a compass that steps six times round is set to the radius (Euclid IV.15)",
    ]
    return _answer(form, {"radius": circle.radius_mm, "diameter": circle.diameter_mm}, lines)


@_calculator
def pressure(psi: str, head_mm: str, litres: str, form: str) -> int:
    """Thrust on a head and energy held, with the caution."""
    air, space = _figure("psi", psi, "psi"), _figure("litres", litres, "litres")
    wide = lengths({"head": head_mm}, head_of(1))["head"]
    thrust, energy = thrust_n(air, wide), energy_kj(air, space)
    lines = [
        f"{thrust / 1000:.1f} kN on a head of {wide:g} mm: {tonnes_force(thrust):.2f} tonnes",
        f"{energy:.2f} kJ held in {space:g} L of air (ASME PCC-2, Article 5.1)",
    ]
    say("Reminder only: follow your site's risk assessment and the rules where you work; trained people only.")
    return _answer(form, {"thrust_n": thrust, "thrust_tonnes": tonnes_force(thrust), "energy_kj": energy}, lines)
