"""Two entries that two machines gave one id, as a merge put them: one kept it, the other stands unaltered under a new one.

That is no alteration of what landed, though the id holds other data than one parent of the merge held under it. It is lawful only in
a merge commit, only where the id holds just what another parent held, and only where nothing named the entry that lost it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from caskbook.checks.landed import look_alike
from caskbook.core.finding import Origin
from caskbook.git import Git
from caskbook.git.walk import NOWHERE, Step, merge_heads
from caskbook.ledger.changes import CaskChange, EventChange, compare
from caskbook.ledger.layout_changes import same
from caskbook.ledger.revisions.pairs import Pair, Pairs
from caskbook.model.cask_file import Record, read_record
from caskbook.words.job_table import jobs_with
from caskbook.yaml.segments.event_ids import refers_to, with_new_id

SHEET = "sheet"


@dataclass(frozen=True, slots=True)
class NewId:
    """An entry (`lost`, as it was) of a cask whose id went to another one (`kept`), and its new id; None where it is the same row of
    a sheet, read under two names."""

    cask: str
    lost: dict[str, Any]
    kept: dict[str, Any]
    new_id: str | None
    origin: Origin | None = None

    @property
    def text(self) -> str:
        """What happened, in one line."""
        name = f"{self.cask}: {self.lost.get('job')} of {self.lost.get('date')} ({self.lost.get('id')})"
        if self.new_id is None:
            return f"{name} is one row of a sheet read under two names: {self.kept.get(SHEET)} stays"
        return f"{name} is {self.new_id} now: the other side of the merge had the {self.kept.get('job')} of {self.kept.get('date')} under its id"


def by_merge(change: CaskChange, others: Iterable[bytes]) -> tuple[CaskChange, list[NewId]]:
    """The change from one parent of a merge as it is beside the new ids, and these. `others`: the file in the other parents."""
    if not change.altered or change.kind != "changed":
        return change, []
    there = [events for data in others for events in [_events(read_record(change.name, data))]]
    found: list[NewId] = []
    for event in change.altered:
        if any(same(one, event.new) for events in there for one in events if one.get("id") == event.id) and (new := _new_id(change, event, found)) is not None:
            found.append(new)
    return _beside(change, found)


def under_way(git: Git, change: CaskChange, shown: str) -> tuple[CaskChange, list[NewId]]:
    """As `by_merge`, for what is not committed: where a merge is under way, HEAD and what it brings are its sides."""
    if not change.altered or change.new is None:
        return change, []
    entries = [entry for one in merge_heads(git) if (entry := git.entry(one, git.prefix + change.new.path[len(shown) :])) is not None]
    return by_merge(change, git.blobs(entry.oid for entry in entries).values())


def by_known(change: CaskChange, known: Collection[NewId]) -> CaskChange:
    """A change between two ends as it is beside the new ids that merges between them gave."""
    if not change.altered or change.kind != "changed":
        return change
    found: list[NewId] = []
    for event in change.altered:
        new = _new_id(change, event, found)
        mine = [one for one in known if one.cask == change.name and same(one.kept, event.new)]
        if new is not None and any(one.cask == change.name and one.new_id == new.new_id for one in known) and mine:
            found.append(new)
    return _beside(change, found)[0]


def with_new_ids(pairs: Pairs, step: Step, n: int, pair: Pair) -> tuple[Pair, list[NewId]]:
    """What a merge did to one parent, beside the new ids that it gave entries of it; and these."""
    given: list[NewId] = []
    casks: list[CaskChange] = []
    for change in pair.casks if len(step.parents) > 1 else ():
        others: list[bytes] = []
        if change.altered and change.new is not None:
            path = pairs.prefix + change.new.path[len(pairs.shown) :]
            now = next((one.new_oid for one in step.changes[n] if one.path == path), "")
            oids = [next((one.old_oid for one in step.changes[m] if one.path == path), now) for m in range(len(step.parents)) if m != n]
            others = list(pairs.git.blobs(oid for oid in oids if oid and oid not in NOWHERE).values())
        lawful, new = by_merge(change, others)
        casks, given = [*casks, lawful], [*given, *new]
    return (replace(pair, casks=tuple(casks)), given) if given else (pair, [])


def _events(record: Record) -> list[dict[str, Any]]:
    rows = (record.content or {}).get("events")
    return [row for row in rows if isinstance(row, dict)] if isinstance(rows, list) else []


def _new_id(change: CaskChange, event: EventChange, others: Sequence[NewId]) -> NewId | None:
    """The new id of an entry whose own now holds other data; None where its content is gone, or something names the entry."""
    assert change.old is not None
    if event.id is None or event.old is None or event.new is None:
        return None
    if [field.key for field in event.fields] == [SHEET] and isinstance(event.old.get(SHEET), str) and isinstance(event.new.get(SHEET), str):
        return NewId(change.name, event.old, event.new, None)
    free = [one for one in change.added if one.id is not None and all(one.id != other.new_id for other in others)]
    twin = look_alike(event, free)
    rows = _events(change.old)
    shared = event.old.get("job") in jobs_with("shared-id")  # other casks' files know it by its id
    if twin is None or shared or any(row.get("id") != event.id and refers_to(row, event.id) for row in rows):
        return None
    return NewId(change.name, event.old, event.new, twin.id)


def _beside(change: CaskChange, found: Sequence[NewId]) -> tuple[CaskChange, list[NewId]]:
    """The change compared anew from the old text with the new ids in it, so that order, comments and all else are judged as ever."""
    assert change.old is not None
    text: str | None = change.old.data.decode("utf-8", "surrogateescape")
    done: list[NewId] = []
    for new in found:
        again = with_new_id(text or "", str(new.lost["id"]), new.new_id) if new.new_id is not None else text
        if again is not None:
            text, done = again, [*done, new]
    if not done:
        return change, []
    old = read_record(change.old.path, (text or "").encode("utf-8", "surrogateescape"))
    again_compared = compare(old, change.new)
    names = {new.lost["id"] for new in done if new.new_id is None}
    return replace(again_compared, altered=tuple(one for one in again_compared.altered if one.id not in names)), done
