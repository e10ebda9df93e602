"""Day sheets: rows of a CSV or YAML file as entries, with ids that come out the same on a second run."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from caskbook.core.finding import CaskbookError
from caskbook.entry.berths import deal
from caskbook.entry.build import Asker, Built, entry_for, field_faults, read_day
from caskbook.entry.casks import Book, not_lasting, read_casks
from caskbook.entry.entry import Entry
from caskbook.entry.fields import NEW_FILE_JOBS
from caskbook.entry.figures import refuse_clashes, refuse_dips
from caskbook.entry.naming import name_casks
from caskbook.entry.plan import Desk
from caskbook.entry.questions import WHY_PUT_RIGHT
from caskbook.entry.request import MANY_FILES, Request, read_jobs
from caskbook.entry.row_ids import with_ids
from caskbook.entry.row_places import Told
from caskbook.entry.sheet_columns import fields_headed
from caskbook.entry.sheet_rows import give_alike
from caskbook.entry.sheet_text import Row

T = TypeVar("T")
_OWN = ("date", "job", "cask")


@dataclass
class Read:
    """A sheet made into entries. `faults`: what is wrong, each with its row; `known`: rows that are in the book already; `changed`: what is
    to be said of each row that was changed since it was entered."""

    entries: list[Entry] = field(default_factory=list)
    faults: list[tuple[int, str]] = field(default_factory=list)
    known: int = 0
    echoes: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)


def read_sheet(desk: Desk, rows: Sequence[Row], asker: Asker, sheet: str, alike: Mapping[str, str], why: str | None = None) -> Read:
    """Entries for the rows that are not in the book yet, in the order of the work. `alike`: fields for all rows that do not say them
    themselves; `why`: the reason of a row that was changed."""
    read = Read()
    made: list[Entry] = []
    for row in rows:
        faults: list[str] = []
        made += [replace(entry, row=row.line) for entry in _entries(desk, row, asker, (sheet, alike), read, faults)]
        read.faults += [(row.line, fault) for fault in dict.fromkeys(faults)]
    made.sort(key=lambda entry: entry.day)
    read.entries, read.known = with_ids(desk, made, Told(read.faults, read.echoes, read.changed), why)
    read.echoes = list(dict.fromkeys(read.echoes))
    return read


def _entries(desk: Desk, row: Row, asker: Asker, common: tuple[str, Mapping[str, str]], read: Read, faults: list[str]) -> list[Entry]:
    """The entries of a row; what is wrong with it goes into `faults`, all of it, and then there are none. `common`: what holds for all
    rows, the sheet's name and fields."""
    faults += [f"no {name} given" for name in ("job", "cask") if name not in row.cells]
    jobs = _tried(lambda: _jobs(row.cells["job"]), faults) if "job" in row.cells else None
    casks = _tried(lambda: _casks(row.cells["cask"], desk.numbers), faults) if "cask" in row.cells else None
    if jobs is None or casks is None:
        return []
    request = Request(jobs, casks)
    request.given[("run", "row")] = [str(row.line)]
    if "date" in row.cells:
        request.given[("run", "date")] = [row.cells["date"]]
        if _tried(lambda: read_day(row.cells["date"], desk.today), faults) is None:
            del request.given[("run", "date")]  # The rest of the row is looked at all the same.
    for name, text in row.cells.items():
        if name not in (*_OWN, "sheet"):
            _give(request, name, text, faults)
    give_alike(request, common[1], desk.ledger.house.on(desk.today))
    said = set(request.given)
    if asker.usual is not None:
        asker.usual(request)
    _tried(lambda: name_casks(request, desk.numbers), faults)
    _tried(lambda: refuse_clashes(request), faults)
    dealt = _tried(lambda: {job: deal(request.one("berth", job), casks) for job in jobs}, faults) or {job: {} for job in jobs}
    asked = (asker, row.cells.get("sheet", common[0]))
    made = {(cask, job): _entry(desk, request, (cask, dealt[job].get(cask)), job, asked, read, faults) for cask in casks for job in jobs}
    return [] if faults else [replace(one, assumed=_assumed(request, said, job, asker)) for (_, job), one in made.items() if one is not None]


def _assumed(request: Request, said: Collection[tuple[str, str]], job: str, asker: Asker) -> frozenset[str]:
    """What the row of a job does not say, and the run took from its surroundings."""
    own = {key for where, key in request.given if where == job and (where, key) not in said}
    own |= {"by"} if (job, "by") not in said and not asker.named else set()
    return frozenset(own | ({"date"} if ("run", "date") not in said else set()))


def _tried(call: Callable[[], T], faults: list[str]) -> T | None:
    try:
        return call()
    except CaskbookError as error:
        faults.append(str(error))
        return None


def _casks(text: str, numbers: Book | None) -> list[str]:
    """The casks of a row. CaskbookError for a word that would name others when the sheet is read again."""
    word = not_lasting(text.split())
    if word is not None:
        free = f", the next free is {read_casks([word.partition(':')[0]], numbers)[0]}" if word != "-" and numbers is not None else ""
        raise CaskbookError(f"`{word}` would be another cask when the sheet is read again: write the number itself{free}")
    return read_casks(text.split(), numbers)


def _jobs(text: str) -> list[str]:
    jobs = read_jobs(text)
    for job in jobs:
        if job in MANY_FILES:
            raise CaskbookError(f"{job} is written into several files: enter it by itself")
    return jobs


def _entry(desk: Desk, request: Request, place: tuple[str, str | None], job: str, by: tuple[Asker, str], read: Read, faults: list[str]) -> Entry | None:
    """The entry of one cask and job of a row; what is wrong with it, or lacking, goes into `faults`. `place`: the cask, and the berth
    dealt out to it; `by`: who asks, and the sheet."""
    cask, berth = place
    page, built, entry = desk.page(cask), Built(), None
    try:
        entry = entry_for(desk, request, by[0], page, job, built, by[1], {"berth": berth} if berth else None)
    except CaskbookError as error:  # The error tells of the first field only.
        faults += field_faults(desk, request, page, job) or [str(error)]
        faults += [desk.ledger.absent(cask)] if page.record is None and job not in NEW_FILE_JOBS else []
    read.echoes += built.echoes
    if built.missing:
        put_right = f" ({WHY_PUT_RIGHT})" if request.one("replaces", job) and (job, "note") in built.missing else ""
        faults.append(f"{job} on {cask} needs {', '.join(key for _, key in built.missing)}{put_right}")
    elif entry is not None:
        _tried(lambda: refuse_dips(desk, [entry]), faults)
    return entry


def _give(request: Request, name: str, text: str, faults: list[str]) -> None:
    """A cell into the request, for each job of the row that has the field."""
    for place in _tried(lambda: fields_headed(request.jobs, name), faults) or ():
        if place in request.given:
            faults.append(f"`{name[:30]}` and another column are both {place[1]}: expected one")
        request.given[place] = [text]
