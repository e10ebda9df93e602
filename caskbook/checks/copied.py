"""A cask's file copied under another number: the same entries then stand in two files, and what was done to one cask is counted twice."""

from __future__ import annotations

import json
import re
from array import array
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from hashlib import blake2b
from itertools import pairwise

from caskbook.checks.context import head_fault
from caskbook.core.finding import Fault, Severity
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import Ledger
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record, name_of
from caskbook.model.ids import id_minute, is_id
from caskbook.model.jobs import Event
from caskbook.model.standing import corrections
from caskbook.words.job_table import jobs_with

LEAST = 3
"""So many entries that two files share are no chance: in a large book two casks may well have one id of 14 random bits, and seldom two."""
_ASIDE = frozenset((*jobs_with("shared-id"), *jobs_with("corrects")))
"""What several files may tell under one id: work on several casks at once, and what puts it out of force."""
_BITS = 63
_OF_A_MINUTE = 5
"""Digits of an id that come of its minute alone."""
_ID = re.compile(rb"\bid: *[\"']?([0-9a-z]+)")


def first_ids(record: Record | None) -> tuple[str, str] | None:
    """The ids of the first two entries that no other file may have; None of a file with too few of them, or that no answer counts."""
    cask = record.own if record is not None else None
    found: list[str] = []
    for event in cask.events if cask is not None else ():
        if event.job not in _ASIDE:
            found.append(event.id)
            if len(found) == LEAST:
                return found[0], found[1]
    return None


def sign_of(record: Record) -> int:
    """A number of 63 bits made of `first_ids`, by which a copy is found among many files; 0 where there are none."""
    ids = first_ids(record)
    return int.from_bytes(blake2b(" ".join(map(str, ids)).encode("utf-8", "surrogatepass"), digest_size=8).digest()) >> (64 - _BITS) if ids else 0


@dataclass(slots=True)
class Signs:
    """The signs of the files that were checked: some bytes for each file of a large book."""

    signs: array[int] = field(default_factory=lambda: array("Q"))
    files: list[str] = field(default_factory=list)

    def add(self, sign: int, file: str) -> None:
        """A file, by its path or its number, with its sign; one without is passed over."""
        if sign:
            self.signs.append(sign)
            self.files.append(file)

    def alike(self) -> list[list[str]]:
        """The numbers of the files that share a sign, each group in order."""
        twice = {one for one, other in pairwise(sorted(self.signs)) if one == other}
        groups: dict[int, list[str]] = {}
        for sign, file in zip(self.signs, self.files, strict=True) if twice else ():
            if sign in twice:
                groups.setdefault(sign, []).append(name_of(file))
        return [sorted(set(group)) for group in groups.values()]


def begun_in(changes: Iterable[CaskChange]) -> set[tuple[str, str]]:
    """The `first_ids` of the files that have them since these changes, so that they may have come in as copies."""
    found = (ids for change in changes if (ids := first_ids(change.new)) is not None and ids != first_ids(change.old))
    return {ids for ids in found if all(map(is_id, ids))}


def words_for(begun: Iterable[tuple[str, str]]) -> list[str]:
    """Words one of which stands in each file that begins as one of these: ids, or what all those minted in a minute have in common, for of a
    lot that came in these are many."""
    return sorted({first if id_minute(first) is None else first[:_OF_A_MINUTE] for first, _ in begun})


def may_begin_so(data: bytes, begun: Collection[tuple[str, str]]) -> bool:
    """Whether the bytes of a file have two entries of such ids."""
    ids = {found[1].decode() for found in _ID.finditer(data)} if begun else set()
    return any(first in ids and second in ids for first, second in begun)


def copies_among(ledger: Ledger, numbers: Iterable[str], came: Collection[str] = ()) -> Iterator[tuple[str, Fault]]:
    """(the cask where it is told, the fault) as `copied` has them, of the files of these numbers alone."""
    signs = Signs()
    for number in numbers:
        record = ledger.find(number)
        if record is not None:
            signs.add(sign_of(record), number)
    return copied(ledger, signs.alike(), came)


def copies_of(ledger: Ledger, numbers: Collection[str], may_have: Callable[[Collection[int], Sequence[str]], Iterable[str]]) -> Iterator[tuple[str, Fault]]:
    """(the cask, the fault) of those of these numbers that have a copy among the other files. `may_have`: (signs, words one of which stands in a copy) → names of
    the files that may have one of the signs; each is read."""
    records = [record for number in numbers if (record := ledger.find(number)) is not None]
    begun = {ids for record in records if (ids := first_ids(record)) is not None and all(map(is_id, ids))}
    if not begun:
        return
    mine, signs = {*numbers}, Signs()
    others = {name_of(name) for name in may_have([sign_of(record) for record in records], words_for(begun))} - mine
    for number in sorted(others | mine):
        record = ledger.find(number)
        if record is not None:
            signs.add(sign_of(record), number)
    groups = [group for group in signs.alike() if others.intersection(group) and mine.intersection(group)]
    yield from ((number, fault) for number, fault in copied(ledger, groups, mine) if number in mine)


def copied(ledger: Ledger, groups: Iterable[Collection[str]], came: Collection[str] = ()) -> Iterator[tuple[str, Fault]]:
    """copied-cask: a cask's file has the very entries of another cask's file, ids and all.

    Why: a file copied under a new number doubles the cask, and what it holds, in every sum. Three entries of the same id, day, job and
    figures are told, of those that stand in both files; one id alone may be chance, and a racking, a conversion or swapped heads stand
    in several files under one id. A check of the whole book looks for it, one of what came into it, and `check CASK` for copies of the
    casks it names. It is told at the file that came in or is named, else at the higher number.
    Wrong:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true}
        # TH-004218
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true}
    Right:
        # TH-004217
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true}
        # TH-004218
        - {id: e2000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e2000002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
        - {id: e2000003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true}
    """
    for group in groups:
        first_with: dict[str, str] = {}
        for number in sorted(group, key=lambda one: (one in came, one)):
            record = ledger.find(number)
            cask = record.own if record is not None else None
            told = [_told(event) for event in _standing(cask)] if cask is not None else []
            shared = Counter(first_with[one] for one in told if one in first_with)
            if shared and (most := shared.most_common(1)[0])[1] >= LEAST:
                yield number, replace(_fault(*most), severity=CODES["copied-cask"])
            for one in told:
                first_with.setdefault(one, number)


def _fault(other: str, entries: int) -> Fault:
    remedy = "take the copied file away; once it landed, void its entries. Another cask begins with a receipt of its own"
    return head_fault("copied-cask", f"{entries} entries, ids and all, stand in {other} too", remedy, "cask")


def _standing(cask: Cask) -> Iterator[Event]:
    fallen = corrections(cask.events).fallen
    return (event for event in cask.events if event.id not in fallen and event.job not in _ASIDE)


def _told(event: Event) -> str:
    """All that an entry says, so that two that say the same give the same text."""
    return json.dumps(event.model_dump(mode="json", by_alias=True, exclude_none=True, warnings=False), sort_keys=True, default=str)


# Of `copied`, which looks at all files.
CODES: dict[str, Severity] = {"copied-cask": "error"}
