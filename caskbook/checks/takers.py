"""Who else took parts of a donor: looked for in the whole book where only some casks are checked, or entered."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator

from caskbook.checks.context import Context
from caskbook.checks.donors import Take, overdrawn, takes
from caskbook.checks.judged import life_of, view_of
from caskbook.checks.naming_files import files_naming
from caskbook.core.finding import Fault
from caskbook.ledger.files import Ledger
from caskbook.model.cask_file import Record


def overdrawn_by(taken: Collection[Take], ledger: Ledger, context: Context) -> Iterator[tuple[str, Fault]]:
    """(cask, fault) as `overdrawn` has them, of the casks that took these parts; what others took of the same donors is counted too."""
    casks = {take.cask for take in taken}
    every = dict.fromkeys([*taken, *taken_of(ledger, context, {take.donor for take in taken})])
    return (found for found in overdrawn(every, context) if found[0] in casks)


def taken_of(ledger: Ledger, context: Context, donors: Iterable[str], aside: Collection[str] = ()) -> Iterator[Take]:
    """Everything that the casks of a ledger took of these donors, under whichever of their numbers; the files `aside` are left out."""
    numbers = {number for donor in donors for number in context.numbers(donor)}
    known = ledger.takers_known(numbers) if ledger.takers_known is not None else None
    for name in files_naming(ledger, numbers, known):
        if name not in aside:
            yield from (take for take in taken_in(ledger, context, ledger.read_file(name)) if take.donor in numbers)


def taken_in(ledger: Ledger, context: Context, record: Record | None) -> list[Take]:
    """What the cask of a file took of others; nothing where it cannot be read."""
    life = life_of(ledger, record, context) if record is not None else None
    return [] if record is None or life is None else list(takes(view_of(record, life, context)))
