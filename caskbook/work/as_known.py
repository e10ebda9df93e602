"""A book as it was known on a day gone by: out of its own entries, where no commit of that time tells it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from caskbook.ledger.files import Ledger
from caskbook.life.turn_walk import turns_of
from caskbook.life.turns import Turns, month_of
from caskbook.model.cask import Cask
from caskbook.model.entered import entered_on
from caskbook.model.head_corrections import corrected_head
from caskbook.model.standing import corrections, target_of
from caskbook.work.coming import Files, with_joined


@dataclass
class Lines:
    """The lines of `Turns.lines`, counted, of so many casks; `silent`: how many more say nothing, for not all that their
    files say can be read."""

    found: Counter[str] = field(default_factory=Counter)
    casks: int = 0
    silent: int = 0

    def add(self, turns: Turns | None) -> None:
        """One cask more, that had begun."""
        self.casks += turns is not None
        self.silent += turns is None
        if turns is not None:
            self.found.update(turns.lines())


def days_known(cask: Cask, timezone: str) -> list[date]:
    """The day from which the book held each entry, in the order of the file, as far as the book tells: its own day; if later, that of the minute in
    its id, and that of any entry above it, for nothing is put above what stands. An entry that was put out of force has no say in the others."""
    fallen = corrections(cask.events).fallen
    found, above = [], date.min
    for event in cask.events:
        entered = entered_on(event.id, timezone)
        found.append(max(event.date, above, entered or date.min))
        if event.id not in fallen:
            above = max(above, event.date)
    return found


def known_at(cask: Cask, day: date, timezone: str) -> Cask:
    """The cask of the entries that the book held on a day: without those of later days, late ones, and what was put right later."""
    pairs = [(event, row) for event, row, known in zip(cask.events, cask.rows, days_known(cask, timezone), strict=True) if known <= day and event.date <= day]
    if len(pairs) == len(cask.events):
        return cask
    events, rows = tuple(event for event, _ in pairs), tuple(row for _, row in pairs)
    head, corrected, _ = corrected_head(cask.written, events, rows) if cask.corrected else (cask.head, (), [])
    return replace(cask, head=head, corrected=corrected, events=events, rows=rows)


def is_plain(casks: Sequence[Cask], timezone: str) -> bool:
    """Whether every entry came into the book on its own day and none was put right, so that its life up to a day is the beginning of its whole life."""
    for cask in casks:
        if any(target_of(event) or event.job == "correct" for event in cask.events):
            return False
        if any(known != event.date for event, known in zip(cask.events, days_known(cask, timezone), strict=True)):
            return False
    return True


def lines_known(ledger: Ledger, days: Sequence[date], today: date, progress: Callable[[int, int], None] | None = None) -> tuple[list[Lines], Lines]:
    """(what was known on each of these days, each the last of a month; all that is known today), out of the entries of the book. `progress` gets of how many
    files how many are done."""
    found, whole = [Lines() for _ in days], Lines()
    names = sum(1 for _ in ledger.names()) if progress is not None else 0
    for done, files in enumerate(_files(ledger)):
        if progress is not None and not done % 100:
            progress(names, done)
        if files is None:
            whole.silent += 1
            continue
        now = _turns(files, today)
        if now is not None:
            whole.add(now[0])
        plain = is_plain((files.cask, *files.joined), ledger.house.timezone)
        for lines, day in zip(found, days, strict=True):
            if not plain or now is None or now[0] is None:
                then = _turns(_as_known(files, day, ledger.house.timezone), day)
                if then is not None:
                    lines.add(then[0])
            elif (turns := now[0].up_to(month_of(day) or 0)) is not None:
                lines.add(turns)
    return found, whole


def lines_of(ledger: Ledger, day: date) -> Lines:
    """What a book that was read at a revision tells of a day."""
    lines = Lines()
    for files in _files(ledger):
        then = None if files is None else _turns(files, day)
        if then is not None:
            lines.add(then[0])
    return lines


def _files(ledger: Ledger) -> Iterator[Files | None]:
    """The files of each cask under the number that goes on; None for one that cannot be read."""
    joins = ledger.joins()
    for record in ledger.records():
        cask = record.own
        if cask is None:
            yield None
        elif cask.id not in joins:
            yield with_joined(ledger, cask)


def _as_known(files: Files, day: date, timezone: str) -> Files:
    return replace(files, cask=known_at(files.cask, day, timezone), joined=tuple(known_at(one, day, timezone) for one in files.joined))


def _turns(files: Files, day: date) -> tuple[Turns | None] | None:
    """The turns of a cask, none in them where it is told in part; None where it had not begun."""
    life = files.life(day)
    return (turns_of(life),) if life.begun else None
