"""`demo`: a believable ledger of an invented house, of any size, the same for the same seed."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path

from caskbook.cli.common import say, write
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of


def run(folder: str, casks: int, seed: int, until: str | None = None, leakers: float = 0.02) -> int:
    """Make the ledger. `until`: its last day, ISO; `leakers`: share (0 to 0.5) of the long fills that leak unseen."""
    from caskbook.cli.commands.init import ATTRIBUTES, IGNORED
    from caskbook.cli.commands.schema import write_schemas
    from caskbook.demo.block import Demo
    from caskbook.demo.files import refuse_full, write_ledger
    from caskbook.ledger.tracked import schemas_of

    wanted = Demo(_count(casks), seed, _last_day(until), _share(leakers))
    root = Path(folder)
    refuse_full(root)
    others = {".gitattributes": ATTRIBUTES, ".gitignore": IGNORED}
    _shown(write_ledger(root, wanted, others, os.cpu_count() or 1), wanted.casks)
    write_schemas(schemas_of(root))
    write(f"a demo ledger of {number_of(wanted.casks, 'cask')} in {folder}")
    say(f"next: caskbook due --records {folder} --as-of {wanted.until}")
    return 0


def _count(casks: int) -> int:
    from caskbook.demo.files import MOST_CASKS

    if not 1 <= casks <= MOST_CASKS:
        raise CaskbookError(f"--casks {casks}: expected 1 to {MOST_CASKS}")
    return casks


def _share(leakers: float) -> float:
    if not 0 <= leakers <= 0.5:
        raise CaskbookError(f"--leakers {leakers}: expected a share from 0 to 0.5, as 0.02")
    return leakers


def _last_day(until: str | None) -> date:
    """The last day of the ledger: the one given, or the usual one. CaskbookError where it is no day or outside the house's years."""
    from caskbook.demo.house import FIRST_UNTIL, LAST_UNTIL, UNTIL

    if until is None:
        return UNTIL
    try:
        day = date.fromisoformat(until)
    except ValueError:
        raise CaskbookError(f"--until {until}: expected a day as 2026-06-30") from None
    if not FIRST_UNTIL <= day <= LAST_UNTIL:
        raise CaskbookError(f"--until {until}: expected a day from {FIRST_UNTIL} to {LAST_UNTIL}")
    return day


def _shown(done: Iterable[int], casks: int) -> None:
    """Go through it, with a bar on stderr where that is a terminal."""
    if not sys.stderr.isatty():
        for _ in done:
            pass
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("casks"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("casks", total=casks)
        for count in done:
            bar.advance(task, count)
