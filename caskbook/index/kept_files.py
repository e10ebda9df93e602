"""What was read of a file, as the index keeps it: head and entries as JSON, made small, so that another day is asked about without reading YAML.

Only files written the plain way are kept so, of which nothing is in doubt; each is kept under its content (`version`), and is looked up where the index knows
that the file has this content still. JSON is read by the models, as the file is: what cannot be read so, or is of another cask, is none, and the file is read.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import cache, lru_cache
from typing import Any, NamedTuple, cast, overload

from pydantic import ValidationError

from caskbook.index.store import Store
from caskbook.ledger.paths import file_of
from caskbook.model.cask import Cask, CaskHead
from caskbook.model.cask_file import Record
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.base import Model
from caskbook.yaml.source import MAX_BYTES

_LEVEL = 1
_MOST = 4 * MAX_BYTES
_CORRECT = "correct"
_BEGINS = re.compile(rb'\{"id":"([^"]*)","date":"([^"]{10})","job":"([^"]*)"').match
_WORDS = b"""\
{"cask":"TR-00","format":1,"type":"butt","wood":"european oak","made":20,"staves":33,"heads":[6,6],"hoops":{"A":4,"B":4},"owner":","prior":[{"held":"sherry","fills":1
{"id":"a","date":"20","job":"decide","why":"","rule":"claim","outcome":"","ref":"","approved_by":"
"},{"id":"b","date":"20","job":"rack-out","sheet":"rack-20","to":[{"cask":"TH-00","litres":16,"abv":6}],"lost_l":0.4,"left_l":
","job":"rack-in","from":[{"cask":"TH-00","litres":"abv":"job":"convert","children":["job":"made-from","parents":[{"cask":"TH-00","staves":
","job":"swap-heads","with":"job":"same-as","of":"job":"moved","of":"to":"TH-0","why":"","job":"void","why":"entered twice","of":"
","job":"measure","capacity_l":"tare_kg":"inside":"job":"season","wine":"oloroso","litres":"until":"20","job":"treat","method":"job":"sulphur","grams":
","job":"hold","why":"job":"release","job":"retire","reasons":["job":"dispose","how":"job":"missing","job":"found","job":"mark","text":"TH-00","kind":"
","job":"send","to":"cooperage","job":"return","verdict":"accept","done":["job":"hoop","hoops":["hoop-A-1"],"from":"new","closes":"job":"drive","hoops":["hoop-B-1"
","job":"stave","staves":[1,2],"action":"replace","from":"new"},"job":"head","head":"A","action":"replace","job":"bung","action":"job":"peg","at":"
","job":"leak","at":"croze-A-1","severity":"weep"},"job":"look","seen":"dry","at":"joint-14","closed_as":"repaired","job":"note","note":"
","job":"open","heads":["A","B"]},"job":"close","heads":["A","B"]},"job":"shave","method":"scrape","depth_mm":2.0,"stave_mm":2
","job":"toast","level":"medium","minutes":20.0},"job":"char","level":"house","seconds":4","level":"3","seconds":50.0}
{"id":"d","date":"2015-0","job":"soak","by":"","method":"cold","hours":48.0}
{"id":"e","date":"2017-1","job":"move","by":"","berth":"R1/0","stow":"on-side"}
{"id":"f","date":"2021-0","job":"draw","by":"","at_20":true,"litres":5.0,"abv":6","job":"top","from":"spirit":"oak_since":"20
{"id":"f","date":"2020-0","job":"sample","by":"","ml":200.0,"gauge_abv":
{"id":"b","date":"2013-0","job":"nose","by":"","verdict":"clean","faults":["job":"grade","grade":"A"
{"cask":"TH-00","format":1,"type":"barrel","capacity_l":200.0,"wood":"american oak","made":20,"staves":31,"heads":[5,5],"hoops":{"A":3,"B":3},"prior":"bourbon","parcel":"P-20","supplier":"
{"id":"c","date":"2009-0","job":"receive","by":"","berth":"R2/1","contents":"empty","from":"condition":"
{"id":"d","date":"2014-1","job":"examine","by":"","result":"pass","job":"test","by":"","method":"water","result":"pass","hours":24.0,"psi":
{"id":"d","date":"2016-0","job":"regauge","by":"","at_20":true,"litres":1,"abv":6,"method":"meter","temp_c":1
{"id":"c","date":"2018-0","job":"empty","by":"","litres":1,"abv":5
{"id":"e","date":"2019-0","job":"fill","by":"","at_20":true,"spirit":"malt","litres":190.0,"abv":63.5,"vat":"V-20","vat_litres":"berth":"R1/0
"""
"""What the JSON of most files has in it; what stands last is found at the least cost. Whatever is written here, a file is told in full."""


class KeptError(Exception):
    """What is kept of a file cannot be what was read of it: the file is to be read."""


class KeptFile(NamedTuple):
    """A file by its name, the name of its content, and what was read of it, as it is kept. `later`: of a life of it on a later day than the one asked about
    the day, and what the rule `loss` needs of it; None where there is none that rests on this file alone."""

    name: str
    key: str
    data: bytes
    later: tuple[int, str] | None = None

    def __str__(self) -> str:
        return self.name


class Later:
    """An entry of a day behind the one that is asked about, of which no more is read than is asked for."""

    __slots__ = ("_event", "_line", "date", "id", "job")
    replaces = moved_from = None
    lost: frozenset[str] = frozenset()
    codes: tuple[str, ...] = ()

    def __init__(self, ident: bytes, day: bytes, job: str, line: bytes) -> None:
        self.id, self.date, self.job, self._line = ident.decode(), _day(day), job, line
        self._event: Event | None = None

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        if self._event is None:
            try:
                self._event = _READERS[self.job.encode()](self._line)
            except (ValidationError, LookupError) as error:
                raise KeptError from error
        return getattr(self._event, name)


def kept_form(record: Record) -> bytes | None:
    """What the index keeps of a record; None of one that is not written the plain way, or whose head is corrected."""
    cask = record.own
    if cask is None or not record.entrywise or any(event.job == _CORRECT for event in cask.events):
        return None
    packer = zlib.compressobj(_LEVEL, zdict=_WORDS)
    return packer.compress(b"\n".join(map(_json, (cask.head, *cask.events)))) + packer.flush()


def _json(model: Model) -> bytes:
    return model.__pydantic_serializer__.to_json(model, by_alias=True, exclude_unset=True)


def cask_kept(found: KeptFile, day: date | None = None) -> Cask:
    """The cask of a file as it is kept; entries behind the `day` are read where they are asked for. KeptError where it cannot be what was read of the file."""
    return cask_of_lines(found, lines_kept(found), day)


def lines_kept(found: KeptFile) -> list[bytes]:
    """What is kept of a file: the head, then each entry. KeptError as above."""
    try:
        return _unpacked(found.data).split(b"\n")
    except zlib.error as error:
        raise KeptError from error


def cask_of_lines(found: KeptFile, lines: list[bytes], day: date | None) -> Cask:
    """The cask by these lines of its file, as `cask_kept` gives it."""
    until = b"9999" if day is None else day.isoformat().encode()
    try:
        head, *entries = lines
        cask = Cask(_head_reader()(head), tuple([_entry(line, until) for line in entries]), tuple(range(len(entries))))
    except (ValidationError, LookupError, ValueError, RecursionError) as error:
        raise KeptError from error
    if file_of(cask.id) != found.name:
        raise KeptError
    return cask


def head_of_lines(found: KeptFile, lines: list[bytes], day: date) -> tuple[CaskHead, list[date]] | None:
    """(the head, the days of the entries) by these lines where all entries are behind the `day`; nothing else is read of them. None where one is not."""
    begun = [_BEGINS(line) for line in lines[1:2]]
    if not begun or begun[0] is None or begun[0][2] <= day.isoformat().encode():  # As a rule the first entry is of the first day.
        return None
    try:
        head, days = _head_reader()(lines[0]), [_day(begins[2]) for line in lines[1:] if (begins := _BEGINS(line)) is not None]
    except (ValidationError, ValueError, RecursionError) as error:
        raise KeptError from error
    if len(days) < len(lines) - 1 or file_of(head.cask) != found.name:
        raise KeptError
    return (head, days) if min(days) > day else None


def _unpacked(data: bytes) -> bytes:
    unpacker = zlib.decompressobj(zdict=_WORDS)
    text = unpacker.decompress(data, _MOST)
    if not unpacker.eof:
        raise KeptError
    return text


def _entry(line: bytes, until: bytes) -> Event:
    """One entry. Its JSON begins with id, day and job, in this order."""
    begun = _BEGINS(line)
    if begun is None:
        raise KeptError
    ident, day, job = begun.groups()
    if day > until and b'"replaces":' not in line and b'"moved_from":' not in line:
        return cast(Event, Later(ident, day, job.decode(), line))
    return _READERS[job](line)


class _Readers(dict[bytes, Callable[[bytes], Event]]):
    """Made when a job is first met."""

    def __missing__(self, job: bytes) -> Callable[[bytes], Event]:
        model = JOBS[job.decode()]
        model.model_rebuild()
        self[job] = reader = model.__pydantic_validator__.validate_json
        return reader


_READERS = _Readers()


@cache
def _head_reader() -> Callable[[bytes], CaskHead]:
    CaskHead.model_rebuild()
    return CaskHead.__pydantic_validator__.validate_json


@lru_cache(maxsize=10_000)
def _day(text: bytes) -> date:
    return date.fromisoformat(text.decode())


class KeptFiles(Sequence[str | KeptFile]):
    """Files by name, those of which something is kept with it; looked up as they are handed out, for all together are large. `known`: name → version of
    those of which the index knows what they hold. `asked`: (the house's settings, the day) for which `later` lives are wanted, None where none are."""

    def __init__(self, store: Store, names: Sequence[str], known: Mapping[str, int], asked: tuple[int, date] | None = None) -> None:
        self._store, self._names, self._known = store, names, known
        self._asked = None if asked is None else (asked[0], asked[1].toordinal())

    def __len__(self) -> int:
        return len(self._names)

    @overload
    def __getitem__(self, at: int) -> str | KeptFile: ...
    @overload
    def __getitem__(self, at: slice) -> list[str | KeptFile]: ...
    def __getitem__(self, at: int | slice) -> str | KeptFile | list[str | KeptFile]:
        return self._one(self._names[at]) if isinstance(at, int) else [self._one(name) for name in self._names[at]]

    def _one(self, name: str) -> str | KeptFile:
        version = self._known.get(name)
        if version is None:
            return name
        row = self._store.execute("SELECT v.key, k.data FROM kept k JOIN version v ON v.id = k.version WHERE k.version = ?", (version,)).fetchone()
        if row is None:
            return name
        later = None if self._asked is None else self._store.execute(_LATER, (version, *self._asked)).fetchone()
        return KeptFile(name, row[0], row[1], later)


_LATER = (
    "SELECT l.from_day, g.data FROM life l CROSS JOIN summary g ON g.life = l.id"
    " WHERE l.version = ? AND l.house = ? AND l.from_day > ? AND l.needs IS NULL AND l.unreadable = 0 LIMIT 1"
)
