"""`import map`: a first map of a register, guessed, for a person to finish."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.cli.commands.import_register import WELL, bytes_of
from caskbook.cli.common import open_book, say
from caskbook.cli.data_output import write_data
from caskbook.core.finding import CaskbookError

_Own = tuple[tuple[str, ...], tuple[str, ...], tuple[str | None, str | None]]


def run(file: str, records: str | None, worksheet: str | None, save: str | None) -> int:
    """Guess a first map and write it to standard output, or into a file that is not there yet. Always 0."""
    from caskbook.exchange.grid import Layout, read_grid
    from caskbook.exchange.map_text import first_map

    path, layout = Path(file), Layout(worksheet=worksheet)
    grid = read_grid(path, bytes_of(path), layout)
    text, left = first_map(grid, layout, *_own_words(records))
    if save is None:
        write_data(text)
    else:
        _save(Path(save), text)
    said = f"{sum(map(bool, grid.headings))} columns, {len(grid.rows):,} rows; "
    say(said + (f"{left} left to you: look for `ask` in the map" if left else "nothing left open: read it through all the same"))
    say(f"next: caskbook import register {file} --map {save or 'FILE'} --dry-run")
    return WELL


def _own_words(records: str | None) -> _Own:
    """How the numbers of the book begin, its own spirits, its gallon and proof; nothing where there is no book yet."""
    try:
        book = open_book(records)
    except CaskbookError:
        if records is not None:
            raise
        return (), (), (None, None)
    settings = book.ledger.house.on(book.today)
    own = settings.class_of_spirit
    first = next((one.rstrip("0123456789") for one in book.ledger.ids()), None)
    return (first,) if first else (), (own,) if isinstance(own, str) else tuple(own), (settings.gallon, settings.proof)


def _save(path: Path, text: str) -> None:
    """The map into a new file. CaskbookError where there is one of that name: it may be finished by hand already."""
    from caskbook.ledger.atomic_write import put_file

    if os.path.lexists(path):
        raise CaskbookError(f"{path} is there already, and not written over: name another file")
    if not path.parent.is_dir():
        raise CaskbookError(f"{path}: not written, there is no folder {path.parent}")
    put_file(path.parent, path, text.encode(), lambda there: there is None, called=str(path))
