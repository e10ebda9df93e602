"""Options that many commands share."""

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Annotated, Any, Optional

import typer

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


def run_of(command: str, records: Sequence[str] | None, run: str = "run") -> tuple[Callable[..., int], Any]:
    """(what runs a command on the ledgers that were named, what it takes for them): on one, or on the one that is found, its module of `commands` with the
    folder or None; on several that of `several` with the folders. A word that stands there twice counts once."""
    named = tuple(dict.fromkeys(records or ()))
    module = import_module(f"caskbook.cli.{'several' if len(named) > 1 else 'commands'}.{command}")
    return getattr(module, run), named if len(named) > 1 else named[0] if named else None


def printed(save: str | None, form: str, run: Callable[[str], int], *, draws: bool = False) -> int:
    """The exit code of `run(form)`, which prints; where `save` names a file, what it prints goes there instead. `draws`: it has a format svg."""
    if save is None:
        return run(form)
    from caskbook.cli.saved_output import saved

    return saved(save, form, run, draws=draws)
