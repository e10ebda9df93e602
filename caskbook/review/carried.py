"""What a stretch brought in that is no cask: what lies among the casks, and what no repository may carry in beside them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from caskbook.checks.beside import beside
from caskbook.checks.landed_attributes import shown_path
from caskbook.checks.walk import origin_of
from caskbook.core.finding import Finding, Origin
from caskbook.git import Git
from caskbook.git.attributes import FILE
from caskbook.git.walk import GITLINK, LINK, NOWHERE, Step
from caskbook.ledger.files import HOUSE_FILE, FileStore
from caskbook.ledger.paths import is_cask_path, plain_name
from caskbook.ledger.revisions import RevisionStore
from caskbook.ledger.stray import stray_finding
from caskbook.ledger.tracked import OWN_FOLDERS
from caskbook.review.span import Stretch

_KINDS = {LINK: "link", GITLINK: "submodule"}


@dataclass(frozen=True, slots=True)
class Came:
    """Something that a commit brought to where only casks lie: its path in the ledger, git's mode, the commit."""

    name: str
    mode: str
    origin: Origin

    @property
    def own(self) -> bool:
        """Whether it lies in a folder that this program keeps for itself."""
        return self.name.partition("/")[0].casefold() in OWN_FOLDERS


def came_in(git: Git, steps: Sequence[Step]) -> list[Came]:
    """All that came with one of these commits and is no cask's file: of a merge, only what none of its parents had."""
    found: list[Came] = []
    for step in steps:
        for change in step.changes[0]:
            name = change.path[len(git.prefix) :] if change.path.startswith(git.prefix) else ""
            plain = change.new_mode not in _KINDS and (is_cask_path(name) or name == HOUSE_FILE)
            if not name or plain or change.old_oid not in NOWHERE or change.new_oid in NOWHERE or name.rpartition("/")[2] == FILE:
                continue
            if all(any(one.path == change.path and one.old_oid in NOWHERE for one in other) for other in step.changes[1:]):
                found.append(Came(name, change.new_mode, origin_of(step)))
    return found


def still_there(git: Git, new: str, came: Iterable[Came]) -> tuple[str, ...]:
    """What of it lies among the casks at the end of the stretch; what may never be in git is told by findings."""
    names = list(dict.fromkeys(one.name for one in came if not one.own and not is_cask_path(one.name)))
    return tuple(sorted(plain_name(name) for name in names if name in _there(git, new, names)))


def _there(git: Git, new: str, names: Sequence[str]) -> set[str]:
    return {entry.path[len(git.prefix) :] for entry in git.tree(new, *(git.prefix + name for name in names))} if names else set()


def carried(git: Git, span: Stretch, came: Sequence[Came], shown: str) -> tuple[Finding, ...]:
    """Errors beside the casks that the end of a stretch has and its beginning had not, and what came and is gone again."""
    assert span.new is not None
    known = {(one.code, one.path) for one in _at(git, span.old, shown)} if span.old is not None else set()
    by = {shown + plain_name(one.name): one.origin for one in came}
    found = [replace(one, origin=by.get(one.path)) for one in _at(git, span.new, shown) if (one.code, one.path) not in known]
    return (*found, *_gone(git, span.new, came, shown))


def _gone(git: Git, new: str, came: Sequence[Came], shown: str) -> Iterator[Finding]:
    """What came in beside the casks within the range and is gone again at its end, as findings that say so."""
    odd = [one for one in came if one.own or one.mode in _KINDS]
    there = _there(git, new, [one.name for one in odd])
    for one in odd:
        if one.name in there:
            continue
        if one.own:
            code = "pending-in-git" if one.name.casefold().startswith(".pending") else "index-in-git"
            finding = Finding(code, "error", "git tracked this file", shown + plain_name(one.name))
        else:
            finding = replace(stray_finding(shown, one.name, _KINDS[one.mode]), help="")
        yield replace(finding, message=f"{finding.message}; gone again by now", origin=one.origin)


def _at(git: Git, rev: str, shown: str) -> list[Finding]:
    """The errors of one revision, their paths as those of the files on disk are shown; none where the book lay elsewhere."""
    if git.prefix and not git.works("cat-file", "-e", f"{rev}:{git.prefix.rstrip('/')}"):
        return []
    found = (one for one in beside(RevisionStore.of_tree(git, rev, git.prefix)) if one.severity == "error")
    return [replace(one, path=shown_path(shown, git.prefix, one.path)) for one in found]


def carried_now(git: Git, old: str | None, file_store: FileStore) -> tuple[Finding, ...]:
    """The same of the files on disk and of the index, against a revision."""
    list(file_store.names())  # A look at the folder says what lies there.
    known = {(one.code, one.path) for one in _at(git, old, file_store.shown)} if old is not None else set()
    return tuple(one for one in beside(file_store) if one.severity == "error" and (one.code, one.path) not in known)
