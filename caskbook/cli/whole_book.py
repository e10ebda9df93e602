"""Every cask of a book, for a report on all of them; what cannot be told whole is said."""

from __future__ import annotations

import gc
from collections.abc import Iterator

from caskbook.cli.common import Book
from caskbook.cli.remarks import say_in_part, say_unreadable
from caskbook.life import Life


def lives_of(book: Book, *, told: bool = True) -> Iterator[Life]:
    """Every cask that had begun, each under the number that goes on. Unless not `told`, what cannot be read, whole or in part, is said."""
    gc.disable()  # Nothing here is cyclic, and the collector would take most of the time of a bulk read.
    joined, in_part = book.ledger.joins(), list[str]()
    for record in book.ledger.records():
        cask = record.own
        if cask is None:
            if told:
                say_unreadable(record.path, record.name)
        elif cask.id not in joined:
            life = book.ledger.life_of(cask, book.day)
            in_part += [cask.id] if life.in_part else []
            if life.begun:
                yield life
    if told:
        say_in_part(in_part)
    gc.enable()
