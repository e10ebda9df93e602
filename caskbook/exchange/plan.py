"""A whole register planned: which rows make a file, which are in the book already, and all that stands against the others.

Each row is one of the three, and nothing is written here.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from caskbook.checks.check import context_of
from caskbook.checks.context import Context
from caskbook.core.finding import CaskbookError, Finding
from caskbook.entry.berths import is_one_place
from caskbook.exchange.changed import changed_faults
from caskbook.exchange.grid import Grid
from caskbook.exchange.keys import KEYS
from caskbook.exchange.known import differences
from caskbook.exchange.marks import marks_twice, numbers_twice
from caskbook.exchange.opening import Opening, opening_of
from caskbook.exchange.reading import RegisterReader, RowFault, Values
from caskbook.exchange.register_map import RegisterMap
from caskbook.exchange.row import Row
from caskbook.exchange.row_file import RowFile, file_for, judged, said_of
from caskbook.exchange.states import GONE, way_of
from caskbook.exchange.vats import RowPour, hold_vats, pours_in
from caskbook.ledger.files import Folder, Ledger
from caskbook.ledger.paths import file_of, known_as, strayed_number
from caskbook.ledger.tracked import is_sparse
from caskbook.model.standing import corrections

Advance = Callable[[int, int], None]
_EVERY = 500
_RESTS_ON = {
    "contents-not-known": ("contents", "spirit", "litres", "filled", "state"),
    "contents-contradict": ("contents", "spirit", "litres", "filled", "filled_litres", "state"),
    "left-without-day": ("left", "state"),
    "left-how-not-known": ("left", "state"),
    "left-and-in-stock": ("left", "state"),
    "after-it-left": ("left", "state"),
    "fills-contradict": ("prior_contents", "prior_fills", "fills_in_all", "prior_emptied"),
    "no-day": ("received", "tested", "filled", "gauged", "charred", "prior_emptied"),
    "later-than-its-opening": ("received", "tested", "filled", "gauged", "charred", "prior_emptied"),
    "gauge-without-day": ("filled", "gauged"),
    "hardly-possible": ("capacity", "type"),
}
"""Code of a fault of a row as a whole → keys on which it rests: where one of their cells could not be read it says nothing."""


@dataclass
class RegisterPlan:
    """What a register would write. `rows` = `files` + `there` (rows in the book already) + `refused`. `words`: by key, how often something
    could be kept in words only. `fallen`: casks in the book whose receipt was put out of force since; `berths`: places for one cask at which
    several would lie → their rows; `left`: how many of the files tell of a cask that left, by the way it did; `vats_left`: what is left in vats."""

    name: str
    rows: int
    files: list[RowFile] = field(default_factory=list)
    there: int = 0
    fallen: list[str] = field(default_factory=list)
    berths: dict[str, list[int]] = field(default_factory=dict)
    faults: list[RowFault] = field(default_factory=list)
    words: Counter[str] = field(default_factory=Counter)
    left: Counter[str] = field(default_factory=Counter)
    vats_left: list[str] = field(default_factory=list)

    @property
    def refused(self) -> int:
        """How many rows are refused."""
        return len({fault.row for fault in self.faults})

    @property
    def changes(self) -> Mapping[str, tuple[bytes | None, bytes]]:
        """Path in the ledger → (None, for there is no file yet; bytes to write)."""
        return {file.path: (None, file.data) for file in self.files}


@dataclass
class _Run:
    """What planning of one row needs, and where what comes of it goes."""

    ledger: Ledger
    chart: RegisterMap
    today: date
    context: Context
    names: frozenset[str]
    sparse: bool
    plan: RegisterPlan
    comment: str = ""
    marked: dict[int, tuple[str, list[str]]] = field(default_factory=dict)
    words: dict[int, Mapping[str, int]] = field(default_factory=dict)
    left: dict[int, str] = field(default_factory=dict)
    poured: list[RowPour] = field(default_factory=list)

    @cached_property
    def joins(self) -> Mapping[str, str]:
        """Number that was joined → the one under which its cask goes on."""
        return self.ledger.joins()

    @cached_property
    def astray(self) -> frozenset[str]:
        """Numbers of the book whose file is not at its place."""
        numbers = {name: known_as(name) for name in self.names}
        elsewhere = {number for name, number in numbers.items() if name != f"casks/{number[:-3]}/{number}.yaml"}
        return frozenset(elsewhere | {strayed_number(name) for name in self.ledger.strays})


def plan_register(grid: Grid, chart: RegisterMap, ledger: Ledger, today: date, *, comment: str = "", advance: Advance | None = None) -> RegisterPlan:
    """Read all rows, hold them against each other and against the book, and make the file of each that nothing is said against.

    `comment` stands above each new file; `advance` is told now and then (of how many steps, how many are done).
    """
    names = ledger.names()
    if not names and ledger.gone is not None:
        raise CaskbookError(f"{ledger.gone}; nothing is brought in beside them")
    plan = RegisterPlan(grid.name, len(grid.rows))
    run = _Run(ledger, chart, today, context_of(ledger, today, names), frozenset(names), _is_sparse(ledger), plan, comment)
    reader = RegisterReader(chart, ledger.house.on(today))
    heading = chart.headings_of("cask")
    read = []
    for done, row in enumerate(grid.rows):
        read.append(_read(reader, row, len(grid.headings), heading))
        if advance is not None and not done % _EVERY:
            advance(2 * plan.rows, done)
    faults, twice = numbers_twice(read, heading)
    plan.faults += faults
    for done, values in enumerate(read):
        if values.row not in twice:
            _plan_row(values, run)
        if advance is not None and not done % _EVERY:
            advance(2 * plan.rows, plan.rows + done)
    _settle(run)
    return plan


def _is_sparse(ledger: Ledger) -> bool:
    return isinstance(ledger.file_store, Folder) and is_sparse(ledger.file_store.root)


def _read(reader: RegisterReader, row: Row, width: int, heading: str) -> Values:
    """The row's values; faults bear its number, so that whoever mends it finds the cask."""
    values = reader.values_of(row)
    if row.hidden:
        values.faults.append(RowFault(row.number, "", "", "hidden-row", "hidden in the spreadsheet", "show all rows, or take it out"))
    if len(row.texts) > width and any(row.texts[width:]):
        text = f"{len(row.texts)} cells under {width} headings"
        values.faults.append(RowFault(row.number, "", "", "too-many-cells", text, "put a cell with a comma in it in quotes"))
    if "cask" not in values.known and not any(fault.column == heading for fault in values.faults):
        values.faults.append(RowFault(row.number, heading, "", "no-number", "no cask number", "give it one, or take the row out"))
    return values


def _plan_row(values: Values, run: _Run) -> None:
    """One row into the plan: a file, one that is there, or its faults."""
    cask = values.known["cask"][0] if "cask" in values.known else ""
    faults = [RowFault(one.row, one.column, one.found, one.code, one.reason, one.remedy, cask) for one in values.faults]
    if cask:
        opening = opening_of(values, run.chart, run.today)
        unread = {column.key for column in run.chart.columns if column.heading in {fault.column for fault in faults}}
        # What a cell that cannot be read leaves open is no second fault.
        faults += [_fault(values, run.chart, *one) for one in opening.faults if not unread & {one[0], *_RESTS_ON.get(one[1], ())}]
        if not faults:
            faults = _into_plan(values, opening, run)
    run.plan.faults += faults


def _into_plan(values: Values, opening: Opening, run: _Run) -> list[RowFault]:
    """What the book says of a row that is well in itself; without faults it is a file of the plan, or one that is there."""
    cask, plan = str(opening.head["cask"]), run.plan
    if file_of(cask) in run.names:
        record = run.ledger.find(cask)
        goes_on = run.joins.get(cask, cask)
        found = None if record is None else differences(record, opening, None if goes_on == cask else run.ledger.find(goes_on))
        if found == [] and record is not None and record.cask is not None:
            plan.there += 1
            plan.fallen += [cask] if record.cask.events[0].id in corrections(record.cask.events).fallen else []
            return []
        return changed_faults(values.row, cask, record, found, run.chart, goes_on)
    if run.sparse and run.ledger.leaves_out(cask):
        return [RowFault(values.row, run.chart.headings_of("cask"), cask, "number-in-book", run.ledger.absent(cask), "take its file into the work tree", cask)]
    if cask in run.astray:
        return [RowFault(values.row, run.chart.headings_of("cask"), cask, "number-in-book", run.ledger.absent(cask), "put its file back first", cask)]
    file = file_for(values.row, opening, run.comment)
    told = ((_telling_key(values, keys), one) for keys, one in judged(file, run.context))
    faults = [_fault(values, run.chart, key, one.code, one.message, _remedy(key, one)) for key, one in told]
    if not faults:
        plan.files.append(file)
        run.words[values.row] = said_of(opening)
        run.poured += pours_in(values.row, cask, opening.events)
        way = way_of(values.known)
        if way is not None:
            run.left[values.row] = way
        if way not in GONE and is_one_place(berth := values.known.get("berth", "")):
            plan.berths.setdefault(berth, []).append(values.row)
        if opening.head.get("was"):
            run.marked[values.row] = (cask, opening.head["was"])
    return faults


def _remedy(key: str, one: Finding) -> str:
    """What to do about a finding, in the words of a register: what lacks goes into a column, and not into a file."""
    return f"say it in a column that is `{key}`, or in every_row" if one.code == "missing-field" and key in KEYS else one.help


def _telling_key(values: Values, keys: tuple[str, ...]) -> str:
    """Of the keys that may tell a thing the first that this row tells."""
    return next((key for key in keys if key in values.known), keys[0] if keys else "")


def _settle(run: _Run) -> None:
    """Marks that stand twice, and vats that do not go up, are told last, over all rows that are to be written; and the faults come in the order
    of the rows."""
    plan = run.plan
    if run.marked and not run.chart.marks_repeat:
        heading = run.chart.headings_of("was") or run.chart.headings_of("cask")
        plan.faults += marks_twice(run.marked, run.ledger, heading, book=bool(run.names))
    refused = {fault.row for fault in plan.faults}
    faults, plan.vats_left = hold_vats([one for one in run.poured if one.row not in refused], run.ledger, run.chart)
    plan.faults += faults
    refused |= {fault.row for fault in faults}
    plan.files = [file for file in plan.files if file.row not in refused]
    for file in plan.files:
        plan.words.update(run.words[file.row])
    plan.left.update(run.left[file.row] for file in plan.files if file.row in run.left)
    shared = {berth: [row for row in rows if row not in refused] for berth, rows in plan.berths.items()}
    plan.berths = {berth: rows for berth, rows in shared.items() if len(rows) > 1}
    plan.faults.sort(key=lambda fault: fault.row)


def _fault(values: Values, chart: RegisterMap, key: str, code: str, reason: str, remedy: str) -> RowFault:
    """A fault of a row by the key it is about: under the heading of its column, where one is read as that key; what is in it may stand in the
    column of the state."""
    heading = chart.headings_of(key) or (chart.headings_of("state") if key == "contents" else "") or key
    return RowFault(values.row, heading, values.texts.get(key, ""), code, reason, remedy, values.known["cask"][0])
