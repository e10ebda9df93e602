"""Options that many commands share."""

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any, Optional

import typer

from caskbook.core.finding import CaskbookError

Records = Annotated[Optional[str], typer.Option("--records", metavar="DIR", help="The ledger's folder.")]  # noqa: UP045
Ledgers = Annotated[Optional[list[str]], typer.Option("--records", metavar="DIR", help="The ledger's folder; of several ledgers each.")]  # noqa: UP045
AsOf = Annotated[Optional[str], typer.Option("--as-of", metavar="DATE", help="The day to work things out for.")]  # noqa: UP045
AtRev = Annotated[Optional[str], typer.Option("--at", metavar="REV", help="The book as it stood in a git revision.")]  # noqa: UP045
Types = Annotated[Optional[list[str]], typer.Option("--type", help="Only casks of this type.")]  # noqa: UP045
Form = Annotated[str, typer.Option("--format", help="text, json, jsonl or csv.")]
Berths = Annotated[Optional[list[str]], typer.Option("--berth", help="Only berths that begin so.")]  # noqa: UP045
Stores = Annotated[Optional[list[str]], typer.Option("--store", help="Only this store.")]  # noqa: UP045
Parcels = Annotated[Optional[list[str]], typer.Option("--parcel", help="Only this parcel.")]  # noqa: UP045
Suppliers = Annotated[Optional[list[str]], typer.Option("--supplier", help="Only from this supplier.")]  # noqa: UP045
Spirits = Annotated[Optional[list[str]], typer.Option("--spirit", help="Only what holds this.")]  # noqa: UP045

Save = Annotated[Optional[str], typer.Option("--save", metavar="FILE", help="Into a .txt, .html, .svg, .pdf, or as data a .csv or .json, instead.")]  # noqa: UP045


WHOLE = 10**9
"""More lines than any list has: what is saved is not cut to a screen."""


def ledgers_of(records: Sequence[str] | None) -> str | None | tuple[str, ...]:
    """The ledgers that were named: one, or None where it is to be found; several as a tuple. A word that stands there twice counts once."""
    named = tuple(dict.fromkeys(records or ()))
    return named if len(named) > 1 else named[0] if named else None


_OF_ONE_HOUSE = {
    "loss": "fills are held against peers of their own house, and ranked among these",
    "retirement": "signs are weighed by the settings of one house, and its casks ranked among each other",
    "outlook": "the months ahead are drawn from the curves, settings and hours of one house",
}


def only_one(report: str, records: Sequence[str] | None) -> str | None:
    """The one ledger that was named, or None, for a report that is of one house. CaskbookError with the reason where there are several."""
    ledgers = ledgers_of(records)
    if isinstance(ledgers, tuple):
        raise CaskbookError(
            f"report {report} in {len(ledgers)} ledgers: {_OF_ONE_HOUSE.get(report, 'it counts the casks of one house')}; ask each ledger by itself"
        )
    return ledgers


def run_of(command: str, records: Sequence[str] | None, run: str = "run") -> tuple[Callable[..., int], Any]:
    """(what runs a command on the ledgers that were named, what it takes for them): on one its module of `commands`, on several that of `several`."""
    ledgers = ledgers_of(records)
    module = import_module(f"caskbook.cli.{'several' if isinstance(ledgers, tuple) else 'commands'}.{command}")
    return getattr(module, run), ledgers


def printed(save: str | None, form: str, run: Callable[[str], int], *, draws: bool = False) -> int:
    """The exit code of `run(form)`, which prints; where `save` names a file, what it prints goes there instead. `draws`: it has a format svg."""
    if save is None:
        return run(form)
    from caskbook.cli.saved_output import saved

    return saved(save, form, run, draws=draws)
