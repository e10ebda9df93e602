"""The commands of the group `report …`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import (
    WHOLE,
    AsOf,
    AtRev,
    Berths,
    Form,
    Ledgers,
    Parcels,
    Save,
    Spirits,
    Stores,
    Suppliers,
    Types,
    ledgers_of,
    only_one,
    printed,
    run_of,
)  # fmt: skip

report = typer.Typer(name="report", help="Figures over the whole book.", no_args_is_help=True, rich_markup_mode=None,
                     context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


_From = Annotated[Optional[str], typer.Option("--from", metavar="DATE", help="Only from this day, month or year on.")]  # noqa: UP045
_To = Annotated[Optional[str], typer.Option("--to", metavar="DATE", help="Only up to this day, month or year, its end.")]  # noqa: UP045


@report.command()
def loss(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...")] = None,  # noqa: UP045
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="cask (without it), fill, parcel, store, type, year or supplier.")] = None,  # noqa: UP045
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    since: _From = None,
    until: _To = None,
    sort: Annotated[Optional[str], typer.Option("--sort", metavar="A,-B", help="By lpa, share, rate, times …; a minus begins with the largest.")] = None,  # noqa: UP045
    top: Annotated[
        int | None, typer.Option("--top", min=1, help="The first N only: those that lost most, unless sorted; in text 40 casks, fills or parcels.")
    ] = None,
    evidence: Annotated[bool, typer.Option("--evidence", help="A sheet of evidence for each cask named.")] = False,
    picture: Annotated[bool, typer.Option("--picture", help="Gauges of the last fill, drawn against its peers.")] = False,
    save: Save = None,
) -> None:
    """What each fill has lost, against its peers."""
    ledger = only_one("loss", records)
    from caskbook.cli.commands.report import run_loss

    filters = {"type": types, "store": store, "berth": berth, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(
        printed(
            save,
            form,
            lambda form: run_loss(
                what or [], ledger, as_of, at, form, by=by, evidence=evidence, picture=picture, filters=filters, days=(since, until), sort=sort, top=top
            ),
        )
    )


_BY = "type (without it), state, marks, class-fills, age, store, spirit, rechars, wood, maker, owner, parcel or supplier."
_StockBy = Annotated[Optional[str], typer.Option("--by", help=_BY)]  # noqa: UP045


@report.command()
def stock(
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: _StockBy = None,
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    spirit: Spirits = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, of how many, by which setting.")] = False,
    save: Save = None,
) -> None:
    """What casks there are, by type and fills since char."""
    run_stock, ledgers = run_of("report_stock", records, "run_stock")
    filters = {"type": types, "store": store, "berth": berth, "spirit": spirit, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(printed(save, form, lambda form: run_stock(ledgers, as_of, at, form, filters, by=by, explain=explain)))


_BY_SERVICE = "all (without it), type, store, supplier, maker, wood, owner, parcel, char or position."


@report.command()
def service(
    what: Annotated[Optional[str], typer.Argument(metavar="[WHAT]", help="char, cask or stave; without it a line each.")] = None,  # noqa: UP045
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help=_BY_SERVICE)] = None,  # noqa: UP045
    by_fills: Annotated[bool, typer.Option("--by-fills", help="Of a char: counted in fills, not in years.")] = False,
    types: Types = None,
    store: Annotated[Optional[list[str]], typer.Option("--store", help="Only what lay last in this store.")] = None,  # noqa: UP045
    parcel: Parcels = None,
    supplier: Suppliers = None,
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, and from when.")] = False,
    save: Save = None,
) -> None:
    """How long a char, a cask, a stave serves: half of them by when, and the curve."""
    from caskbook.cli.commands.report_service import run_service

    filters = {"type": types, "store": store, "parcel": parcel, "supplier": supplier}
    raise typer.Exit(
        printed(save, form, lambda form: run_service(what, ledgers_of(records), as_of, at, form, filters, by=by, by_fills=by_fills, explain=explain))
    )


_Explain = Annotated[bool, typer.Option("--explain", help="What each figure means, of which casks, by which setting.")]


@report.command()
def suppliers(
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="supplier (without it) or parcel.")] = None,  # noqa: UP045
    months: Annotated[bool, typer.Option("--months", help="Each month's first tests, with its limits.")] = False,
    claims: Annotated[bool, typer.Option("--claims", help="The whole calendar: which claim days end when, and what is unexamined.")] = False,
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    since: _From = None,
    until: _To = None,
    explain: _Explain = False,
    save: Save = None,
) -> None:
    """What suppliers sent: failed first tests, claims, loss."""
    from caskbook.cli.commands.report_suppliers import run_suppliers
    from caskbook.cli.report_rows import Asked

    filters = {"type": types, "store": store, "berth": berth, "parcel": parcel, "supplier": supplier}
    asked = Asked(ledgers_of(records), as_of, at, form, filters, explain, (since, until))
    raise typer.Exit(printed(save, form, lambda form: run_suppliers(asked._replace(form=form), by=by, months=months, claims=claims)))


_StoreThen = Annotated[Optional[list[str]], typer.Option("--store", help="Only while it lay in this store.")]  # noqa: UP045
_BerthThen = Annotated[Optional[list[str]], typer.Option("--berth", help="Only while it lay in rows that begin so.")]  # noqa: UP045
_SpiritThen = Annotated[Optional[list[str]], typer.Option("--spirit", help="Only while it held this.")]  # noqa: UP045


@report.command()
def leaks(
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="store (without it), row, type, spirit, supplier or position.")] = None,  # noqa: UP045
    months: Annotated[bool, typer.Option("--months", help="Each month: found, healed, repaired.")] = False,
    still_open: Annotated[bool, typer.Option("--open", help="Each leak that is open.")] = False,
    types: Types = None,
    berth: _BerthThen = None,
    store: _StoreThen = None,
    spirit: _SpiritThen = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    since: _From = None,
    until: _To = None,
    explain: _Explain = False,
    save: Save = None,
) -> None:
    """Leaks in so many cask-years, healed and repaired."""
    from caskbook.cli.commands.report_leaks import run_leaks
    from caskbook.cli.report_rows import Asked

    filters = {"type": types, "berth": berth, "store": store, "spirit": spirit, "parcel": parcel, "supplier": supplier}
    asked = Asked(ledgers_of(records), as_of, at, form, filters, explain, (since, until))
    raise typer.Exit(printed(save, form, lambda form: run_leaks(asked._replace(form=form), by=by, months=months, still_open=still_open)))


@report.command()
def parts(
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    by: Annotated[Optional[str], typer.Option("--by", help="part (without it) or position.")] = None,  # noqa: UP045
    within: Annotated[Optional[int], typer.Option("--within", metavar="DAYS", min=0, help="The same place again: within so many days (365).")] = None,  # noqa: UP045
    again: Annotated[bool, typer.Option("--again", help="Each place that leaked again.")] = False,
    donors: Annotated[bool, typer.Option("--donors", help="Each donor, and who has parts of which.")] = False,
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    since: _From = None,
    until: _To = None,
    explain: _Explain = False,
    save: Save = None,
) -> None:
    """Parts replaced in so many years, places that leaked again, donors."""
    from caskbook.cli.commands.report_parts import run_parts
    from caskbook.cli.report_rows import Asked

    filters = {"type": types, "berth": berth, "store": store, "parcel": parcel, "supplier": supplier}
    asked = Asked(ledgers_of(records), as_of, at, form, filters, explain, (since, until))
    raise typer.Exit(printed(save, form, lambda form: run_parts(asked._replace(form=form), by=by, within=within, again=again, donors=donors)))


@report.command()
def retirement(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...", help="The sheet of each; without a cask the list of all.")] = None,  # noqa: UP045
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    top: Annotated[Optional[int], typer.Option("--top", min=1, help="So many casks of each group; 12 unless said.")] = None,  # noqa: UP045
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, of how many, by which setting.")] = False,
    save: Save = None,
) -> None:
    """Casks whose signs speak for retiring; of a cask named its sheet, to be signed."""
    ledger = only_one("retirement", records)
    from caskbook.cli.commands.report_retirement import Asked, run

    filters = {"type": types, "berth": berth, "store": store, "parcel": parcel, "supplier": supplier}
    whole = WHOLE if save and not (top or explain) else top
    if what and (save or "").lower().endswith((".pdf", ".svg", ".txt")):  # The sheets draw themselves, a page a cask.
        raise typer.Exit(run(what, filters, Asked(ledger, as_of, at, form, top, explain, save)))
    raise typer.Exit(printed(save, form, lambda form: run(what or [], filters, Asked(ledger, as_of, at, form, whole if not what else top, explain))))


@report.command()
def outlook(
    records: Ledgers = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Form = "text",
    months: Annotated[int, typer.Option("--months", help="How many months ahead, up to 60.")] = 12,
    band: Annotated[int, typer.Option("--band", help="Ranges of 50, 80 or 95 percent.")] = 80,
    seed: Annotated[int, typer.Option("--seed", help="The same seed, months and book give the same figures.")] = 1,
    types: Types = None,
    berth: Berths = None,
    store: Stores = None,
    spirit: Spirits = None,
    parcel: Parcels = None,
    supplier: Suppliers = None,
    back_test: Annotated[bool, typer.Option("--back-test", help="How well such ranges held, from days gone by.")] = False,
    origins: Annotated[Optional[int], typer.Option("--origins", help="With --back-test: from so many days, a year apart; 8 unless said.")] = None,  # noqa: UP045
    explain: Annotated[bool, typer.Option("--explain", help="What each figure counts, by which curves, and what is left out.")] = False,
    save: Save = None,
) -> None:
    """The work of the next months, in ranges: tips, re-chars, tests, leaks."""
    ledger = only_one("outlook", records)
    from caskbook.cli.commands.report_outlook import Wanted, run_outlook

    filters = {"type": types, "store": store, "berth": berth, "spirit": spirit, "parcel": parcel, "supplier": supplier}

    def wanted(form: str) -> Wanted:
        return Wanted(months, band, seed, form, filters, explain)

    if back_test or origins is not None:
        from caskbook.cli.commands.report_outlook_backtest import run_back_test

        raise typer.Exit(printed(save, form, lambda form: run_back_test(ledger, as_of, at, wanted(form), origins, back_test=back_test)))
    raise typer.Exit(printed(save, form, lambda form: run_outlook(ledger, as_of, at, wanted(form))))


@report.callback()
def _report() -> None:
    """Figures over the whole book."""
