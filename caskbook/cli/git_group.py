"""The commands of the group `git …`."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from caskbook.cli.options import Records

git = typer.Typer(name="git", help="Teach git about casks.",
                  no_args_is_help=True, rich_markup_mode=None, context_settings={"help_option_names": ["-h", "--help"]})  # fmt: skip


_Server = Annotated[bool, typer.Option("--server", help="For the bare repository REPO that everybody pushes to.")]
_Repository = Annotated[Optional[str], typer.Argument(metavar="[REPO]", help="With --server: the bare repository; this folder unless named.")]  # noqa: UP045


@git.command()
def install(
    repository: _Repository = None,
    records: Records = None,
    server: _Server = False,
    strict: Annotated[bool, typer.Option("--strict", help="With --server: refuse new warnings too.")] = False,
    tracked_hooks: Annotated[
        bool | None, typer.Option("--tracked-hooks/--no-tracked-hooks", help="Put hooks into a folder that git tracks, or leave them out.")
    ] = None,
) -> None:
    """Set it up; doing it again changes nothing."""
    from caskbook.cli.commands.git import install as run
    from caskbook.cli.commands.git import install_server

    _only_with_server(server, {"REPO": repository, "--strict": strict})
    raise typer.Exit(install_server(repository, strict=strict) if server else run(records, tracked_hooks=tracked_hooks))


@git.command()
def uninstall(repository: _Repository = None, records: Records = None, server: _Server = False) -> None:
    """Undo what install did."""
    from caskbook.cli.commands.git import uninstall as run
    from caskbook.cli.commands.git import uninstall_server

    _only_with_server(server, {"REPO": repository})
    raise typer.Exit(uninstall_server(repository) if server else run(records))


def _only_with_server(server: bool, given: dict[str, object]) -> None:
    from caskbook.core.finding import CaskbookError

    named = [name for name, value in given.items() if value]
    if named and not server:
        raise CaskbookError(f"{named[0]} goes with --server; a ledger's folder is named with --records")
