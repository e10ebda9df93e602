"""The book as it stands now, in a run of lines that lasts for hours: its day, its time, and whether its settings were written since."""

from __future__ import annotations

from dataclasses import replace

from caskbook.cli.common import Book


def renewed(book: Book) -> Book:
    """The book on the day and at the time it is now."""
    from caskbook.cli import common

    now = common.clock()
    book.ledger.today = today = common.house_today(book.ledger, now)
    return replace(book, now=now, today=today, day=today)


def house_stamp(book: Book) -> tuple[int, int, int] | None:
    """Another where the house's settings were written since."""
    try:
        about = (book.root / "house.yaml").stat()
    except OSError:
        return None
    return about.st_mtime_ns, about.st_size, about.st_ino
