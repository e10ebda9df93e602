"""Options that many commands share."""

from typing import Annotated, Optional

import typer

Records = Annotated[Optional[str], typer.Option("--records", metavar="DIR", help="The ledger's folder.")]  # noqa: UP045
AsOf = Annotated[Optional[str], typer.Option("--as-of", metavar="DATE", help="The day to work things out for.")]  # noqa: UP045
AtRev = Annotated[Optional[str], typer.Option("--at", metavar="REV", help="The book as it stood in a git revision.")]  # noqa: UP045
