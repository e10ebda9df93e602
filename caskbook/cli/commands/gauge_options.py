"""`gauge`: the calculators alone, no ledger needed. Only options stand here; the arithmetic is in the gauging room."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import Records

gauge = typer.Typer(name="gauge", help="The gauging calculators.",
                    no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip

Form = Annotated[str, typer.Option("--format", help="text or json.")]
Text = Optional[str]  # noqa: UP045


@gauge.command()
def strength(
    indicated: Annotated[Text, typer.Option(help="Reading of a glass alcoholometer marked at 20 °C, % vol.")] = None,
    hydrometer_proof: Annotated[Text, typer.Option(help="Reading of a US proof hydrometer marked at 60 °F.")] = None,
    density: Annotated[Text, typer.Option(help="Density in vacuo, kg/m³.")] = None,
    mass_percent: Annotated[Text, typer.Option(help="Strength by mass, %.")] = None,
    temp: Annotated[Text, typer.Option(help="Temperature, °C (or 58F).")] = None,
    temp_f: Annotated[Text, typer.Option(help="Temperature, °F.")] = None,
    form: Form = "text",
) -> None:
    """True strength at 20 °C, from a reading, a density or a strength by mass."""
    from caskbook.cli.commands.gauge import strength as run

    raise typer.Exit(run(indicated, hydrometer_proof, density, mass_percent, temp, temp_f, form))


@gauge.command()
def volume(
    abv: Annotated[str, typer.Option(help="Strength, % vol at 20 °C.")],
    litres: Annotated[Text, typer.Option(help="Volume as measured (or 52.4USgal).")] = None,
    kg: Annotated[Text, typer.Option(help="Weight of the liquor (or lb).")] = None,
    temp: Annotated[Text, typer.Option(help="Temperature when measured, °C.")] = None,
    in_air: Annotated[bool, typer.Option("--in-air", help="The weight is what a scale shows in air.")] = False,
    form: Form = "text",
) -> None:
    """Litres at 20 °C, litres of pure alcohol, US proof gallons."""
    from caskbook.cli.commands.gauge import volume as run

    raise typer.Exit(run(abv, litres, kg, temp, form, in_air=in_air))


@gauge.command()
def density(
    abv: Annotated[Text, typer.Option(help="Strength, % vol at 20 °C.")] = None,
    mass_percent: Annotated[Text, typer.Option(help="Strength by mass, %.")] = None,
    temp: Annotated[str, typer.Option(help="Temperature, °C.")] = "20",
    form: Form = "text",
) -> None:
    """Density of spirit and water, kg/m³ in vacuo."""
    from caskbook.cli.commands.gauge import density as run

    raise typer.Exit(run(abv, mass_percent, temp, form))


Bung = Annotated[str, typer.Option(help="Bung diameter inside, mm (or 26in).")]
HeadSize = Annotated[str, typer.Option(help="Head diameter inside, mm.")]
Length = Annotated[str, typer.Option(help="Inside length, mm.")]
Shape = Annotated[Text, typer.Option(help="spheroid (without it), parabolic, paraboloid or cone.")]


@gauge.command()
def capacity(bung: Bung, head: HeadSize, length: Length, shape: Shape = None, form: Form = "text") -> None:
    """What a cask of these dimensions holds."""
    from caskbook.cli.commands.gauge import capacity as run

    raise typer.Exit(run(bung, head, length, shape or "spheroid", form))


@gauge.command()
def ullage(
    bung: Annotated[Text, typer.Option(help="Bung diameter inside, mm (or 26in).")] = None,
    head: Annotated[Text, typer.Option(help="Head diameter inside, mm.")] = None,
    length: Annotated[Text, typer.Option(help="Inside length, mm.")] = None,
    shape: Shape = None,
    cask: Annotated[Text, typer.Option(help="The table of a cask of the book, as it was measured.")] = None,
    records: Records = None,
    wet: Annotated[Text, typer.Option(help="Wet dip: liquor on the rod, mm.")] = None,
    dry: Annotated[Text, typer.Option(help="Dry dip: from the top down to the liquor, mm.")] = None,
    standing: Annotated[bool, typer.Option("--standing", help="The cask stands on its head.")] = False,
    capacity: Annotated[Text, typer.Option(help="Measured capacity, litres: the result is brought to it.")] = None,
    table: Annotated[bool, typer.Option("--table", help="The whole table, by the millimetre.")] = False,
    form: Form = "text",
) -> None:
    """How much liquor is in it, from a dip."""
    from caskbook.cli.commands.gauge_pairs import options_given, refuse_clashes

    typed = options_given(bung=bung, head=head, length=length, shape=shape, cask=cask, records=records, wet=wet, dry=dry, capacity=capacity)
    refuse_clashes("ullage", typed | options_given(standing=standing, table=table))
    if cask is not None:
        from caskbook.cli.commands.gauge import cask_table

        raise typer.Exit(cask_table(cask, records, form))
    from caskbook.cli.commands.gauge import ullage as run

    raise typer.Exit(run((bung, head, length, shape or "spheroid"), wet, dry, capacity, form, standing=standing, table=table))


@gauge.command()
def head(
    step: Annotated[str, typer.Option(help="Compass setting that steps six times round, mm.")],
    step_in: Annotated[str, typer.Option(help="croze or wall: where it was stepped.")] = "croze",
    groove: Annotated[Text, typer.Option(help="Depth of the croze, mm; for a step on the wall.")] = None,
    allowance: Annotated[str, typer.Option(help="A shade over, mm on the radius.")] = "0",
    form: Form = "text",
) -> None:
    """The circle of a new head."""
    from caskbook.cli.commands.gauge import head as run

    raise typer.Exit(run(step, step_in, groove, allowance, form))


@gauge.command()
def pressure(
    psi: Annotated[str, typer.Option(help="Gauge pressure, psi (or 0.8bar, 80kPa).")],
    head: HeadSize,
    litres: Annotated[str, typer.Option(help="Air space, litres.")],
    form: Form = "text",
) -> None:
    """What air in a cask pushes with, and what it holds."""
    from caskbook.cli.commands.gauge import pressure as run

    raise typer.Exit(run(psi, head, litres, form))
