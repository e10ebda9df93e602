"""The check before a commit, or before a merge is committed: what it would bring into the ledger, and nothing else, may stop it.

Altered history, a file that cannot be read and new errors stop it. Where both sides of a merge are well in themselves and do not go
together, that is told with the line that puts it right, and the merge goes on: both entries were made, and both are kept.
"""

from __future__ import annotations

import os
from collections.abc import Container, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from caskbook.checks.brought import brought, place_at, place_of
from caskbook.checks.carried_between import carried_between
from caskbook.checks.landed import breaches
from caskbook.checks.landed_beside import house_breaches, mode_breach
from caskbook.checks.new_ids import by_merge
from caskbook.checks.walk import decided
from caskbook.cli.commands.check_revisions import ledgers_at, real_day, whole_report
from caskbook.cli.commands.git import ledgers
from caskbook.cli.common import say
from caskbook.cli.hooks.gate import finding_lines, plain
from caskbook.core.finding import Finding, in_file_order
from caskbook.core.typed_word import typed_word
from caskbook.git import Git, open_git
from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import HOUSE_FILE, Ledger
from caskbook.ledger.revisions import Between, RevisionStore, between
from caskbook.ledger.revisions.pairs import Pairs, odd_modes
from caskbook.words.plural import number_of

_PICKED = ("CHERRY_PICK_HEAD", "REBASE_HEAD")
_ORDER = "landed-events-reordered"  # A union sorts by day: that is what it is for.


@dataclass
class Found:
    """What stops a commit, what is only told, and what two sides did that does not go together, with the event's id if it is one and
    whether the merge driver has just told it; (cask, event) of entries that landed and no longer go with what was put out of force."""

    stops: list[Finding] = field(default_factory=list)
    tells: list[Finding] = field(default_factory=list)
    clashes: list[tuple[Finding, str, bool]] = field(default_factory=list)
    left_over: list[tuple[str, str]] = field(default_factory=list)


@dataclass(frozen=True)
class Sides:
    """Commits that come in: those of a merge, and one that is put upon HEAD alone. `driven`: the merge driver united the files in this
    very run of git, and told what does not go together in each."""

    merged: tuple[str, ...] = ()
    picked: tuple[str, ...] = ()
    driven: bool = False


def main(*, merging: bool = False) -> int:
    """Check the ledgers of the repository in the current folder. 1: something stops the commit. `merging`: git is just making a merge."""
    git = open_git(Path.cwd())
    sides, stopped = sides_of(git), 0
    if merging and len(sides.merged) == 1 and git.works("config", "--get", "merge.caskbook.driver"):
        sides = replace(sides, driven=True)
    carried = _carried(git)
    for line in finding_lines(carried):
        say(line)
    stopped += len(carried)
    unjudged = any(finding.code == "bare-repository" for finding in carried)
    for prefix in () if unjudged else ledgers(git):
        found = check_index(git.top / prefix, sides)
        for line in finding_lines([*found.stops, *found.tells]):
            say(line)
        _tell_clashes(found, prefix)
        for cask, event in dict.fromkeys(found.left_over):
            say(
                f'  it goes no more with what is put out of force here; put it out as well, and this goes through: caskbook void {typed_word(cask)} {typed_word(event)} --why "…"{_where(prefix)}'
            )
        stopped += len(found.stops)
    if stopped:
        say(f"caskbook: {number_of(stopped, 'error')}, so nothing is committed; put them right, or pass by with `git commit --no-verify`")
    return int(stopped > 0)


def _carried(git: Git) -> list[Finding]:
    """Errors beside the casks that the index would bring; an index that is being merged has no tree yet."""
    return carried_between(git, git.head(), git.text("write-tree"))


def _tell_clashes(found: Found, prefix: str) -> None:
    """What does not go together, and the line that puts it right; of what the driver has just told that line alone."""
    for finding, event, told in found.clashes:
        place = plain(f"{finding.path}:{finding.span.line}: ")
        if not told:
            say(place + plain(f"united, but it does not go together: {finding.message}"))
        if event:
            say(
                f'{place if told else "  "}once it is committed, put one of the two out: caskbook void {typed_word(finding.cask)} {typed_word(event)} --why "…"{_where(prefix)}'
            )


def _where(prefix: str) -> str:
    return "" if prefix in ("", "records/") else f" --records {typed_word(prefix.rstrip('/'))}"


def sides_of(git: Git) -> Sides:
    """What is being merged or picked. A merge that git commits by itself is named in the environment alone."""
    heads = [key.removeprefix("GITHEAD_") for key in os.environ if key.startswith("GITHEAD_")]
    merged = [oid for oid in (*heads, *_named(git, "MERGE_HEAD")) if git.works("cat-file", "-e", f"{oid}^{{commit}}")]
    picked = [oid for name in _PICKED for oid in _named(git, name)]
    return Sides(tuple(dict.fromkeys(merged)), tuple(picked))


def _named(git: Git, name: str) -> list[str]:
    path = git.git_path(name)
    return path.read_text(encoding="ascii", errors="replace").split() if path.is_file() else []


def check_index(root: Path, sides: Sides | None = None) -> Found:
    """What a commit of the index would bring into a ledger, beyond what HEAD and the sides that come in have: no notes."""
    git, came, found = open_git(root), sides or Sides(), Found()
    head = git.head()
    differs = between(git, root, head, "index", git.prefix)
    found.stops += _modes(git, head, came)
    if not differs.casks and not differs.house_changed and not came.merged:
        return found
    tree = git.text("write-tree")
    if git.entry(tree, git.prefix + HOUSE_FILE) is None:
        found.stops += [Finding("landed-file-removed", "error", f"{HOUSE_FILE} is gone: the book with it", git.prefix + HOUSE_FILE)] if head else []
        return found
    after = Ledger(RevisionStore.of_tree(git, tree, git.prefix))
    day = real_day(after)
    for base in (head, *came.merged) if head is not None else ():
        changes = differs if base == head else between(git, root, base, "index", git.prefix)
        others = [one for one in (head, *came.merged) if one is not None and one != base]
        settled = _settled(git, base, others, tree) if any(change.head for change in changes.casks) else set()
        lawful = (breach for change in changes.casks for breach in breaches(_beside_new_ids(git, change, others)) if breach.unit not in settled)
        _sort((breach.finding for breach in lawful), found, lenient=_ORDER if came.merged else "")
    if differs.house_changed and head is not None and not came.merged:  # What a merge brought of it was told where it was made.
        _sort([breach.finding for breach in house_breaches(git.prefix + HOUSE_FILE, differs.house_old, differs.house_new, day)], found, lenient="")
    before = ledgers_at(git, [head, *came.merged, *came.picked] if head is not None else [])
    new = brought(git, before, after, differs, day, lambda ledger: whole_report(git, root, ledger, day)).findings
    _sort_new(in_file_order(new), found, after, before if came.merged or came.picked else [], driven=came.driven)
    _left_over(new, found, after, before[:1], differs)
    found.stops, found.tells = in_file_order(found.stops), in_file_order(found.tells)
    return found


def _modes(git: Git, head: str | None, came: Sides) -> list[Finding]:
    """Files of casks, and house.yaml, that a commit would make programs or links, where no side that comes in has them so."""
    if head is None:
        return []
    tree = git.text("write-tree")
    odd = odd_modes(git, head, tree, git.prefix)
    brought = {(one.path, one.new_mode) for other in came.merged for one in odd_modes(git, head, other, git.prefix)} if odd else set()
    return [mode_breach(one, one.path, Path(one.path).stem).finding for one in odd if (one.path, one.new_mode) not in brought]


def _settled(git: Git, base: str, others: Iterable[str], tree: str) -> set[tuple[object, ...]]:
    """What a merge under way decides between two values that its sides set; not against a side that is known to be on a server, where
    the other one is not."""
    pairs = Pairs(git, git.prefix)
    free = [one for one in others if not _on_server(git, base) or _on_server(git, one)]
    return {unit for one in free for unit in decided(git, pairs, base, one, tree)}


def _on_server(git: Git, commit: str) -> bool:
    return bool(git.text("for-each-ref", "--count=1", "--contains", commit, "refs/remotes/"))


def _beside_new_ids(git: Git, change: CaskChange, others: Iterable[str]) -> CaskChange:
    """A change from one side of a merge without what the merge lawfully did: entries of one id of both sides, one under a new id."""
    if not change.altered or change.new is None:
        return change
    path = change.new.path
    entries = [entry for one in others if (entry := git.entry(one, path)) is not None]
    return by_merge(change, git.blobs(entry.oid for entry in entries).values())[0]


def _left_over(new: Iterable[Finding], found: Found, after: Ledger, head: list[Ledger], differs: Between) -> None:
    """Entries that landed, and are at fault since something was put out of force."""
    undone = {
        change.name
        for change in differs.casks
        if any(one.new.get("replaces") or one.new.get("job") in ("void", "moved") for one in change.added if one.new is not None)
    }
    for one in new:
        if one.severity == "error" and one.cask in undone and one in found.stops and (event := _event(after, one, head)) and one.cask:
            found.left_over.append((one.cask, event))


def _sort(findings: Iterable[Finding], found: Found, lenient: str) -> None:
    for one in findings:
        if one.severity != "note":
            (found.stops if one.severity == "error" and one.code != lenient else found.tells).append(one)


def _sort_new(findings: Iterable[Finding], found: Found, after: Ledger, sides: list[Ledger], *, driven: bool) -> None:
    """What only the union made wrong is told: its entry stands in one of the sides, and is well there."""
    for one in findings:
        event = _event(after, one, sides) if sides and one.severity == "error" else None
        if event is not None:
            found.clashes.append((one, event, driven and (one.code, event) in _united(after, one, sides)))
        elif one.severity != "note":
            (found.stops if one.severity == "error" else found.tells).append(one)


def _united(after: Ledger, finding: Finding, sides: list[Ledger]) -> Container[tuple[str, str]]:
    """(code, event) of what became impossible in the file of a finding by the union of the sides, as the merge driver tells it."""
    from caskbook.merge.clash import newly_impossible

    name = finding.path.removeprefix(after.file_store.shown)
    data, versions = after.file_store.read(name), [side.file_store.read(name) for side in sides]
    return newly_impossible(data, [one for one in versions if one is not None], after.house) if data is not None else ()


def _event(after: Ledger, finding: Finding, sides: list[Ledger]) -> str | None:
    """The id of the event that a finding is about, empty for a line of a head or of house.yaml, where one of the sides has it as
    it is; None where it stands in no side, or the file cannot be read."""
    name = finding.path.removeprefix(after.file_store.shown)
    line = finding.span.line
    if name == HOUSE_FILE:
        text = place_of(_lines(after, name), line, events=False)[0]
        return "" if any(text in (one.strip() for one in _lines(side, name)) for side in sides) else None
    record = after.read_file(name)
    if record.cask is None or any(one.severity == "error" for one in record.findings):
        return None
    place = place_at(after, name, _lines(after, name), finding)[0]
    if any(event.id == place for event in record.cask.events):
        casks = [side.read_file(name).cask for side in sides if side.file_store.read(name) is not None]
        return place if any(event.id == place for cask in casks if cask is not None for event in cask.events) else None
    return "" if any(place in (one.strip() for one in _lines(side, name)) for side in sides) else None


def _lines(ledger: Ledger, name: str) -> list[str]:
    return (ledger.file_store.read(name) or b"").decode("utf-8", "replace").splitlines()
