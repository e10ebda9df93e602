"""The append-only law held commit by commit: each commit of a range against each of its parents, so that what was altered and put
back again is told as well, with who did it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path

from caskbook.checks.docs.landed import CODES as LANDED
from caskbook.checks.landed import Breach, breaches
from caskbook.checks.landed_attributes import attribute_breaches
from caskbook.checks.landed_beside import CODES as BESIDE
from caskbook.checks.landed_beside import house_breaches, house_day, mode_breach
from caskbook.checks.landed_settings import BACK_DATED
from caskbook.checks.marks import changed_now, marks_at, new_and_hidden
from caskbook.checks.new_ids import NewId, by_known, under_way, with_new_ids
from caskbook.checks.put_back import lies_in, put_back
from caskbook.core.days import LAST_DAY, time_now
from caskbook.core.finding import START, Finding, Origin, in_file_order
from caskbook.git import Entry, Git, open_git
from caskbook.git.walk import (
    NOWHERE,
    FileChange,
    Step,
    is_ancestor,
    lacking,
    merge_bases,
    steps,
    tree_changes,
)
from caskbook.ledger.files import HOUSE_FILE
from caskbook.ledger.paths import is_cask_path
from caskbook.ledger.revisions.between import Between, both_sides
from caskbook.ledger.revisions.pairs import Pair, Pairs, paths_of
from caskbook.words.plural import number_of

_AHEAD = 2000
_SET_ONCE = ("head", "setting")
_SHORT = 10
_MOST_OF_A_NAME = 24


@dataclass(frozen=True)
class Walk:
    """What the commits of a range altered, in their order, these commits, as far as they touched anything of the book, and the entries
    that merges among them gave new ids."""

    breaches: tuple[Breach, ...] = ()
    steps: tuple[Step, ...] = ()
    new_ids: tuple[NewId, ...] = ()


def broken_since(
    root: Path, since: str, at: str | None, shown: str, names: Sequence[str] | None, *, ends_only: bool = False, landed: Sequence[str] = ()
) -> list[Finding]:
    """Every breach from a revision to another one, or (`at` None) to the work tree with what the index holds beside it. What the end
    has of the history of further commits, `landed`, is not judged."""
    git = open_git(root)
    old = git.resolve(since)
    new = git.resolve(at) if at is not None else None
    last = new or git.resolve("HEAD")
    walked = Walk() if ends_only else walk(git, [old, *landed], last, shown, names)
    found, known = list(walked.breaches), walked.new_ids
    both = ends(git, root, old, new, shown, names, known=known)
    if ends_only and any(breach.finding.code == "landed-event-altered" for breach in both):  # the ends cannot tell a merge's new ids
        known = walk(git, [old, *landed], last, shown, names).new_ids
        both = ends(git, root, old, new, shown, names, known=known)
    for other in landed if both else ():  # what altered it is judged as a commit; between the ends, it landed with one of them
        still = {breach.unit for breach in ends(git, root, other, new, shown, names, known=known)}
        both = [breach for breach in both if breach.unit in still]
    late = {breach.unit for breach in both if breach.finding.code == BACK_DATED}
    if ends_only and late:  # nor can they tell on which day a row came in
        found += [one for one in walk(git, [old, *landed], last, shown, [HOUSE_FILE]).breaches if one.unit in late and one.finding.code == BACK_DATED]
    if new is None and (late or not ends_only):
        here = both if last == old else ends(git, root, last, None, shown, names)
        found += [breach for breach in here if breach.finding.code == BACK_DATED]
        both += here if last != old and not ends_only else []
    both += moved_book(git, old, last, shown) if names is None else []
    told = [breach.finding for breach in placed(found, both)]
    if not ends_only:
        told += parted(git, old, last, shown)
    return in_file_order(told)


def parted(git: Git, old: str, new: str, shown: str) -> list[Finding]:
    """The finding that a revision's history is not in another's, if so."""
    if is_ancestor(git, old, new):
        return []
    count = lacking(git, old, new)
    message = f"{old[:_SHORT]} is no ancestor: history was rewritten, or parted; {number_of(count, 'commit')} of it not here"
    return [
        Finding(
            "landed-history-parted",
            BESIDE["landed-history-parted"],
            message,
            shown.rstrip("/") or ".",
            START,
            "merge what landed into this branch; never force-push over the book",
        )
    ]


def ends(
    git: Git,
    root: Path,
    old: str,
    new: str | None,
    shown: str,
    names: Sequence[str] | None,
    *,
    layout: bool = True,
    differs: Sequence[Between] = (),
    known: Sequence[NewId] = (),
) -> list[Breach]:
    """What differs between two states, whatever lies between; of the work tree, also what only the index shows. Without `layout`, casks
    that only gained entries are passed by the sooner. Which row of house.yaml began before it came in, two revisions do not tell: each that is
    new is given its place (`placed`). `differs`: what `both_sides` gives, where it is known; `known`: new ids that merges
    between them gave."""
    if new is not None:
        pairs = Pairs(git, git.prefix, shown)
        changes = tree_changes(git, old, new, *paths_of(git.prefix, names))
        pair = pairs.of(changes, layout=layout)
        both = list(_of_pair(git, pairs, replace(pair, casks=tuple(by_known(one, known) for one in pair.casks)), old, new, names, LAST_DAY))
        told = {breach.unit for breach in both}
        added = [change.path for change in changes if change.old_oid in NOWHERE and is_cask_path(change.path[len(git.prefix) :])]
        return both + [breach for breach in new_and_hidden(git, old, new, added, shown) if breach.unit not in told]
    work, index = differs or both_sides(git, root, old, shown, names)
    found = [*_of_between(git, work, shown, known), *changed_now(git, root, old, "work tree", shown, names, work.overlooked)]
    seen = {breach.fact for breach in found}
    staged = [*_of_between(git, index, shown, known), *changed_now(git, root, old, "index", shown, names)]
    return found + [breach for breach in staged if breach.fact not in seen and (breach.finding.severity == "error" or breach.unit[0] == "attribute")]


def _of_between(git: Git, differs: Between, shown: str, known: Sequence[NewId]) -> Iterator[Breach]:
    for change in differs.casks:
        yield from breaches(under_way(git, by_known(change, known), shown)[0])
    if differs.house_changed:
        yield from house_breaches(shown + HOUSE_FILE, differs.house_old, differs.house_new, house_day(differs.house_new, time_now()))


def moved_book(git: Git, old: str, new: str, shown: str, names: Sequence[str] | None = None) -> list[Breach]:
    """That the whole ledger lay in another folder in `old`, and what was altered on the way; nothing where it did not. `names`: only these
    files are compared."""
    if git.entry(old, git.prefix + HOUSE_FILE) is not None or git.entry(new, git.prefix + HOUSE_FILE) is None:
        return []
    before = git.tree(old)
    was = next((entry.path[: -len(HOUSE_FILE)] for entry in before if entry.path.rpartition("/")[2] == HOUSE_FILE), None)
    if was is None:
        return []
    told = f"the book lay in {was or './'} when it landed, is in {git.prefix or './'}"
    moved = Breach(
        Finding("landed-file-renamed", LANDED["landed-file-renamed"], told, shown + HOUSE_FILE, START, "move it back"), ("place", ""), was, git.prefix
    )
    there = {entry.path[len(git.prefix) :]: entry for entry in git.tree(new, git.prefix)}
    here = {entry.path[len(was) :]: entry for entry in before if entry.path.startswith(was)}
    wanted = [name for name in here.keys() | there.keys() if (is_cask_path(name) or name == HOUSE_FILE) and (names is None or name in names)]
    nothing = Entry("000000", "0" * len(before[0].oid), "")
    pairs = Pairs(git, git.prefix, shown)
    changes = [_exchanged(git.prefix + name, here.get(name, nothing), there.get(name, nothing)) for name in sorted(wanted)]
    pair = pairs.of(change for change in changes if (change.old_mode, change.old_oid) != (change.new_mode, change.new_oid))
    return [moved, *_of_pair(git, pairs, pair, old, new, None)]


def _exchanged(path: str, old: Entry, new: Entry) -> FileChange:
    return FileChange(path, old.mode, new.mode, old.oid, new.oid)


def placed(walked: Iterable[Breach], both: Iterable[Breach]) -> list[Breach]:
    """The breaches of a walk, at the places they have at its end, and those that only the ends show."""
    at_end = {breach.unit: breach for breach in both}
    found: list[Breach] = []
    for breach in walked:
        last = at_end.get(breach.unit)
        spot = last.finding if last is not None and last.finding.code == breach.finding.code else None
        finding = breach.finding
        at = finding.span if breach.unit[0] == "attribute" else START
        found.append(replace(breach, finding=replace(finding, path=spot.path if spot else finding.path, span=spot.span if spot else at)))
    told = {_matter(breach) for breach in found}
    return [*found, *(breach for breach in at_end.values() if _matter(breach) not in told and breach.finding.code != BACK_DATED)]


def _matter(breach: Breach) -> tuple[object, ...]:
    """What a breach is about: of an attribute, whichever line does it, for another may have come to do the same since."""
    return (breach.unit[:2], breach.old, breach.new) if breach.unit[0] == "attribute" else breach.unit


def walk(git: Git, old: Sequence[str], new: str, shown: str = "", names: Sequence[str] | None = None) -> Walk:
    """Every commit of `new` that none of `old` has, against each of its parents; layout is left out, and told of the ends alone.

    A difference that a merge brought from its other side is told where it was made, once. `names`: only these files.
    """
    pairs = Pairs(git, git.prefix, shown)
    found: list[Breach] = []
    waiting: dict[str, list[int]] = {}
    new_ids: list[NewId] = []
    made = steps(git, old, new, *paths_of(git.prefix, names))
    for step in _read_ahead(pairs, made):
        origin = origin_of(step)
        undone: set[tuple[object, ...]] = set()
        mine: dict[tuple[object, ...], Breach] = {}
        for n, parent in enumerate(step.parents):
            pair, given = with_new_ids(pairs, step, n, pairs.of(step.changes[n]))
            new_ids += [replace(one, origin=origin) for one in given]
            undone |= put_back(pairs, pair, step.changes[n], found, waiting, step.commit)
            if parent is not None:
                mine |= {breach.fact: breach for breach in _own(git, pairs, step, n, pair, names)}
        for fact, breach in mine.items():
            if fact not in undone:
                waiting.setdefault(lies_in(breach), []).append(len(found))
                found.append(replace(breach, finding=replace(breach.finding, origin=origin)))
    return Walk(tuple(replace(one, finding=with_origin(one.finding)) for one in found), tuple(made), tuple(new_ids))


def origin_of(step: Step) -> Origin:
    """Whose commit it is, and when: the name without what could steer a terminal, and cut where it is long; `?` what it does not say."""
    plain = "".join(sign if sign.isprintable() else "?" for sign in step.author) or "?"
    day, committed_on = (one if one[:1].isdecimal() else "?" for one in (step.day, step.committed_on))
    return Origin(step.commit, plain if len(plain) <= _MOST_OF_A_NAME else plain[: _MOST_OF_A_NAME - 1] + "…", day, committed_on)


def with_origin(finding: Finding) -> Finding:
    """The finding with its commit, author and day in its message, and the commit that put it back, where there is one."""
    made = finding.origin
    if made is None:
        return finding
    back = f"; put back by {made.put_back[:_SHORT]}" if made.put_back else ""
    message = f"{finding.message} ({made.commit[:_SHORT]}, {made.author}, {made.day}{back})"
    return replace(finding, message=message, help="it stands as it was again; who altered it, and why, is to be asked" if back else finding.help)


def _read_ahead(pairs: Pairs, found: list[Step]) -> Iterator[Step]:
    """The steps, the blobs of many of them fetched in one go."""
    ahead = 0
    for n, step in enumerate(found):
        if n >= ahead:
            wanted: list[FileChange] = []
            while ahead < len(found) and (ahead == n or len(wanted) < _AHEAD):
                wanted += [change for of in found[ahead].changes for change in of]
                ahead += 1
            pairs.load(wanted)
        yield step


def _own(git: Git, pairs: Pairs, step: Step, n: int, pair: Pair, names: Sequence[str] | None) -> list[Breach]:
    """What the commit itself altered of one parent: not what came from another parent, where it has been told already."""
    parent = step.parents[n]
    assert parent is not None
    day = house_day(pair.house[1], _moment_of(step)) if pair.house is not None else None
    found = [one for one in _of_pair(git, pairs, pair, parent, step.commit, names, day) if one.finding.severity != "note"]
    if not found or len(step.parents) == 1:
        return found
    paths = tuple(change.path for change in step.changes[n])
    for other in step.parents:
        if other in (None, parent) or not found:
            continue
        for base in merge_bases(git, parent, str(other)):
            there = pairs.of(tree_changes(git, base, str(other), *paths))
            known = {one.fact for one in _of_pair(git, pairs, there, base, str(other), names, day)}
            found = [one for one in found if one.fact not in known]
        if any(one.unit[0] in _SET_ONCE for one in found):
            settled = decided(git, pairs, parent, str(other), step.commit, names)
            found = [one for one in found if one.unit not in settled]
    return found


def _moment_of(step: Step) -> datetime | None:
    """When a commit was made; None where it says no time that a calendar knows."""
    try:
        return datetime.fromtimestamp(int(step.committed_at), UTC)
    except (ValueError, OverflowError, OSError):
        return None


def decided(git: Git, pairs: Pairs, parent: str, other: str, merged: str, names: Sequence[str] | None = None) -> set[tuple[object, ...]]:
    """What the two sides of a merge set to two values, which their common commits lack, and of which the merge keeps the other side's:
    keys of a head, rows of house.yaml. A merge asks which one counts, so that the answer alters nothing. `names`: only of these files."""

    def units(old: str, new: str) -> set[tuple[object, ...]]:
        pair = pairs.of(tree_changes(git, old, new, *paths_of(git.prefix, names)))
        return {one.unit for one in _of_pair(git, pairs, pair, old, new, names) if one.unit[0] in _SET_ONCE}

    bases = merge_bases(git, parent, other)
    found = [units(parent, base) & units(other, base) for base in bases]
    return set.intersection(*found) - units(other, merged) if found and all(found) else set()


def _of_pair(git: Git, pairs: Pairs, pair: Pair, old: str, new: str, names: Sequence[str] | None, day: date | None = None) -> Iterator[Breach]:
    for change in pair.casks:
        yield from breaches(change)
    if pair.house is not None:
        yield from house_breaches(pairs.shown + HOUSE_FILE, *pair.house, day)
    for odd in pair.modes:
        name = odd.path[len(pairs.prefix) :]
        yield mode_breach(odd, pairs.shown + name, Path(name).stem if is_cask_path(name) else None)
    if pair.attributes:
        yield from attribute_breaches(pairs.shown, pairs.prefix, *(marks_at(git, rev, names) for rev in (old, new)))
