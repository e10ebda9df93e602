"""Commands in groups: `report …` and `git …`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import AsOf, AtRev, Records

report = typer.Typer(name="report", help="Figures over the whole book.", no_args_is_help=True, rich_markup_mode=None,
                     context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


@report.command()
def loss(
    what: Annotated[Optional[list[str]], typer.Argument(metavar="[CASK]...")] = None,  # noqa: UP045
    records: Records = None,
    as_of: AsOf = None,
    at: AtRev = None,
    form: Annotated[str, typer.Option("--format", help="text, json or csv.")] = "text",
    by: Annotated[str, typer.Option("--by", help="cask, fill, parcel or store.")] = "cask",
    evidence: Annotated[bool, typer.Option("--evidence", help="A sheet of evidence for each cask named.")] = False,
) -> None:
    """What each fill has lost, against its peers."""
    from caskbook.cli.report import run_loss

    raise typer.Exit(run_loss(what or [], records, as_of, at, form, by=by, evidence=evidence))


@report.callback()
def _report() -> None:
    """Figures over the whole book."""


git = typer.Typer(name="git", help="Teach git about casks.",
                  no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


@git.command()
def install(records: Records = None) -> None:
    """Set it up; doing it again changes nothing."""
    from caskbook.cli.git_setup import install as run

    raise typer.Exit(run(records))


@git.command()
def uninstall(records: Records = None) -> None:
    """Undo what install did."""
    from caskbook.cli.git_setup import uninstall as run

    raise typer.Exit(run(records))
