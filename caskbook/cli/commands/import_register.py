"""`import register`: the casks of an old register come into the book by a map."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, one_of, open_book, say, screen, write
from caskbook.cli.data_output import write_data
from caskbook.cli.progress import progress
from caskbook.core.finding import CaskbookError
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.exchange.grid import Grid
    from caskbook.exchange.plan import RegisterPlan
    from caskbook.exchange.register_map import RegisterMap

WELL, REFUSED, COULD_NOT = 0, 1, 2
_MOST_MAP = 2_000_000
_TOLD_EVERY = 10
_ON_A_SCREEN = 20


def run(file: str, chart: str, records: str | None, form: str, *, dry: bool, yes: bool, commit: bool = False) -> int:
    """Read, plan, tell, ask once, write. 1 where a row is refused or the answer is no, 2 where map or register cannot be read."""
    from caskbook.cli.committing import commit_run, refuse_dry
    from caskbook.cli.entering.tell_and_write import safe
    from caskbook.exchange.register_map import MapFaults

    one_of("--format", form, ("text", "json", "csv"))
    refuse_dry(dry=dry, commit=commit)
    book = open_book(records)
    try:
        grid, read = _read(book, Path(file), Path(chart))
    except MapFaults as error:
        for line in error.lines:
            say(line)
        say(f"nothing written: {len(error.lines)} to put right in the map")
        return COULD_NOT
    plan = _planned(book, grid, read)
    if dry or not plan.files:
        _tell(plan, form, written=not dry)
        if dry and plan.files:
            say("a dry run: nothing written")
        return REFUSED if plan.faults else WELL
    if form == "text" and not yes:
        _tell(plan, form, written=False)
    if not _agreed(plan, yes=yes):
        say("nothing written")
        return REFUSED
    _put_down(book, plan)
    if form == "text" and not yes:
        write(f"{number_of(len(plan.files), 'cask')} written")
    else:
        _tell(plan, form, written=True)
    code = REFUSED if plan.faults else WELL
    if commit:
        return max(code, commit_run(book, safe(f"{number_of(len(plan.files), 'cask')} of the register {Path(file).name}")))
    say("next: caskbook check, then commit them")
    return code


def _agreed(plan: RegisterPlan, *, yes: bool) -> bool:
    from caskbook.cli.entering.ask import agreed

    what = "Write {}" if not plan.faults else f"Write {{}} and leave the {plan.refused:,} refused rows out"
    return agreed(len(plan.files), yes=yes, what=what)


def _read(book: Book, file: Path, chart: Path) -> tuple[Grid, RegisterMap]:
    """The register's table, and the map that fits it. MapFaults for a map that does not; CaskbookError for a file that cannot be read."""
    from caskbook.exchange.grid import read_grid
    from caskbook.exchange.reading import RegisterReader
    from caskbook.exchange.register_map import layout_of, map_for, read_map_file
    from caskbook.ledger.atomic_write import read_bytes

    written = read_map_file(str(chart), read_bytes(chart.resolve(), _MOST_MAP))
    grid = read_grid(file, bytes_of(file), layout_of(written))
    settings = book.ledger.house.on(book.today)
    read = map_for(written, grid, book.today, settings)
    RegisterReader(read, settings).refuse_unread(written)
    return grid, read


def bytes_of(file: Path) -> bytes:
    """The bytes of a register. CaskbookError where it is too large, or cannot be read."""
    from caskbook.exchange.grid import MOST_BYTES
    from caskbook.ledger.atomic_write import read_bytes

    data = read_bytes(file.resolve(), MOST_BYTES)
    if len(data) > MOST_BYTES:
        raise CaskbookError(f"{file}: too large for a register: at most {MOST_BYTES // 1_000_000} MB")
    return data


def _planned(book: Book, grid: Grid, chart: RegisterMap) -> RegisterPlan:
    from caskbook.cli.entering.desk import schema_comment
    from caskbook.exchange.plan import plan_register

    with _shown("rows read") as advance:
        return plan_register(grid, chart, book.ledger, book.today, comment=schema_comment(book), advance=advance)


@contextmanager
def _shown(what: str) -> Iterator[Callable[[int, int], None]]:
    """Tells how far it is: a bar on a terminal, elsewhere a line now and then, so that a log shows that it goes on."""
    told = [0]

    def by_line(total: int, done: int) -> None:
        tenth = done * _TOLD_EVERY // max(total, 1)
        if total >= 20_000 and tenth > told[0]:
            told[0] = tenth
            say(f"{what}: {tenth * 100 // _TOLD_EVERY} %")

    with progress(what) as bar:
        yield bar if bar is not None else by_line


def _put_down(book: Book, plan: RegisterPlan) -> None:
    """Write the files, all or none."""
    from caskbook.exchange.writing import write_register

    with _shown("casks written") as advance:
        write_register(book.root, plan, advance)


def _tell(plan: RegisterPlan, form: str, *, written: bool) -> None:
    """The refusals and the counts: as text together, else the refusals to standard output and the counts beside."""
    from caskbook.render.register import counts_text, faults_csv, faults_text, plan_json

    width = screen().width
    if form == "json":
        write_data(plan_json(plan, written=written))
    elif form == "csv":
        write_data(faults_csv(plan.faults))
        say(counts_text(plan, written=written, width=None))
    else:
        parts = [faults_text(plan.faults, width)] if plan.faults else []
        write("\n\n".join([*parts, counts_text(plan, written=written, width=width)]))
        if len(plan.faults) > _ON_A_SCREEN:
            say("the refused rows as a table: the same with --dry-run --format csv > refused.csv")
