"""What the commits of a range did that shows in no cask: `.gitattributes` changed, one side of a merge left out, nothing of the book."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from pathlib import PurePosixPath

from caskbook.checks.landed import value_text
from caskbook.checks.new_ids import NewId
from caskbook.checks.walk import Walk, origin_of
from caskbook.git import Git
from caskbook.git.attributes import FILE, lines_of
from caskbook.git.walk import NOWHERE, FileChange, Step, merge_bases, tree_changes
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path
from caskbook.review.model import Told
from caskbook.words.plural import number_of
from caskbook.yaml.fast import fast_data

_MOST_LINES = 4
_LONGEST_LINE = 200
_LINK = "120000"
_MOST_NAMED = 3


def told_of(git: Git, walked: Walk, commits: int | None) -> tuple[Told, ...]:
    """A line for each such commit, in their order, and one for all that touch nothing of the book."""
    found = [
        told
        for step in walked.steps
        for told in _of_step(git, step, [one for one in walked.new_ids if one.origin is not None and one.origin.commit == step.commit])
    ]
    rest = (commits or 0) - len(walked.steps)
    if rest > 0:
        found.append(Told("elsewhere", f"{number_of(rest, 'commit')} {'touches' if rest == 1 else 'touch'} nothing of the book"))
    return tuple(found)


def _of_step(git: Git, step: Step, new_ids: Sequence[NewId]) -> Iterator[Told]:
    """What one commit did that shows in no cask: attributes changed, a merge with content of its own, a merge that keeps one side."""
    marks = [change for change in step.changes[0] if _is_marks(change.path) and _is_own(step, change)]
    if marks and step.parents[0] is not None:
        blobs = git.blobs(oid for one in marks for oid in _oids(one))
        yield from (Told("attributes", _marks_text(one, blobs), origin_of(step)) for one in marks)
    if len(step.parents) > 1:
        yield from (Told("entry-renumbered", one.text, one.origin) for one in new_ids)
        own = _own_content(git, step, {(one.cask, one.new_id) for one in new_ids})
        if own:
            yield Told("merge-of-its-own", f"a merge that holds what none of its sides had: {'; '.join(own[:_MOST_NAMED])}" + _more(own), origin_of(step))
        lost = _left_out(git, step)
        if lost:
            named = ", ".join(value_text(PurePosixPath(path).name)[1:-1] for path in lost[:_MOST_NAMED])
            yield Told(
                "one-sided-merge",
                f"a merge that keeps one side whole and nothing of the other in {number_of(len(lost), 'file')}: {named}{_more(lost)}",
                origin_of(step),
            )


def _more(listed: Sequence[str]) -> str:
    return f" and {len(listed) - _MOST_NAMED} more" if len(listed) > _MOST_NAMED else ""


def _is_marks(path: str) -> bool:
    return path.rpartition("/")[2] == FILE


def _oids(change: FileChange) -> list[str]:
    sides = ((change.old_oid, change.old_mode), (change.new_oid, change.new_mode))
    return [oid for oid, mode in sides if oid not in NOWHERE and mode.startswith("100")]


def _is_own(step: Step, change: FileChange) -> bool:
    """Whether none of the parents holds the file as this commit does."""
    return all(any(one.path == change.path for one in changes) for changes in step.changes)


def _marks_text(change: FileChange, blobs: dict[str, bytes]) -> str:
    """The lines that came and went: "records/.gitattributes: + `* -diff`"."""
    old, new = (_lines(blobs.get(oid, b"")) for oid in (change.old_oid, change.new_oid))
    told = [
        *(f"+ `{_told(line)}`" for line in new if line not in old),
        *(f"- `{_told(line)}`" for line in old if line not in new),
    ]
    more = [f"and {len(told) - _MOST_LINES} more"] if len(told) > _MOST_LINES else []
    if change.new_mode == _LINK:
        told.append("a link now, which git does not follow: no rule of it counts")
    words = "; ".join([*told[:_MOST_LINES], *more]) or ("gone" if change.new_oid in NOWHERE else "the same rules in another order or form")
    return f"{value_text(change.path, 80)[1:-1]}: {words}"


def _told(line: str) -> str:
    """A line as it may stand in a message; one that is too long ends in a sign of it."""
    return value_text(line, _LONGEST_LINE).removeprefix('"').removesuffix('"')


def _lines(data: bytes) -> list[str]:
    return [line.strip() for line in lines_of(data) if line.strip() and not line.strip().startswith("#")]


def _own_content(git: Git, step: Step, given: Collection[tuple[str, str | None]]) -> list[str]:
    """Entries of casks, and lines of house.yaml, that a merge holds and none of its parents: "TH-004217 note of 2020-01-02 (e1000001)"."""
    sides = [{change.path: change for change in changes} for changes in step.changes]
    paths = [path for path, change in sides[0].items() if change.new_mode.startswith("100") and all(path in side for side in sides) and _is_read(git, path)]
    blobs = git.blobs(oid for path in paths for side in sides for oid in _oids(side[path]))
    found: list[str] = []
    for path in paths:
        new = blobs[sides[0][path].new_oid]
        olds = [blobs.get(side[path].old_oid, b"") for side in sides]
        name = PurePosixPath(path).stem
        if is_cask_path(path[len(git.prefix) :]):
            known = {event_id for old in olds for event_id, _ in _entries(old)}
            found += [f"{name} {text}" for event_id, text in _entries(new) if event_id not in known and (name, event_id) not in given]
        else:
            lines = {line for old in olds for line in _lines(old)}
            found += [f"house.yaml `{value_text(line)[1:-1]}`" for line in _lines(new) if line not in lines]
    return found


def _is_read(git: Git, path: str) -> bool:
    name = path[len(git.prefix) :] if path.startswith(git.prefix) else ""
    return is_cask_path(name) or name == HOUSE_FILE


def _entries(data: bytes) -> Iterator[tuple[str, str]]:
    """(id, what it is) of each entry of a cask's file; none where it cannot be read."""
    rows = (fast_data(data) or {}).get("events")
    for row in rows if isinstance(rows, list) else ():
        if isinstance(row, dict):
            yield str(row.get("id")), value_text(f"{row.get('job')} of {row.get('date')} ({row.get('id')})", 80)[1:-1]


def _left_out(git: Git, step: Step) -> list[str]:
    """Files that another parent had changed, of which a merge holds what the parent has that it is the same as."""
    if all(step.changes):
        return []
    kept = step.changes.index(())
    found: list[str] = []
    for n, changes in enumerate(step.changes):
        if not changes or step.parents[n] is None:
            continue
        mine = {change.path for change in changes}
        bases: list[str | None] = [*merge_bases(git, str(step.parents[kept]), str(step.parents[n]))] or [None]
        theirs = [{change.path for change in tree_changes(git, base, str(step.parents[n]), *sorted(mine))} for base in bases]
        found += sorted(set.intersection(*theirs) & mine)
    return list(dict.fromkeys(found))
