"""Whether a push may be taken: what it brings to each branch is held against what landed there.

The rule. A protected branch is the one that the repository's HEAD names, main, master, and those named by `git config --add caskbook.protected
BRANCH`; where HEAD names a branch that is not there, every branch is, a new one too. It is not deleted and not forced back, and a push to it
brings no altered history and no new error. Any other branch is held against the point where it left a protected one, and is
refused for altered history only, which is said where it has anything else; what landed on any protected branch is not judged again; one that shares no history with a protected branch is
not judged. Every commit of a push is held against each of its parents, so that what was put back again is told as well. The first
push to a repository brings the book as it is: its errors are counted, nothing is refused. A protected branch that begins later, by a history
of its own, is all new: what it held would count as landed in the next merge. Tags and other names are not judged.
A name that stands for another one (a symbolic ref) is judged as that one, into which git writes.
A name that no work tree can hold, anywhere in a tree, is refused on every branch: nobody could clone it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from caskbook.checks.carried_in_push import books_of, carried_in_push
from caskbook.checks.history import append_only_since
from caskbook.checks.tree_names import CODES, files_in, unheld_names
from caskbook.checks.walk import walk
from caskbook.cli.commands.check_revisions import brought_between, real_day, whole_report
from caskbook.core.finding import Finding, in_file_order
from caskbook.git import Git
from caskbook.git.walk import Step, is_ancestor, lacking, steps
from caskbook.ledger.files import HOUSE_FILE, Ledger
from caskbook.ledger.revisions import RevisionStore
from caskbook.ledger.revisions.pairs import ATTRIBUTES
from caskbook.words.plural import number_of

USUAL = frozenset({"main", "master"})
"""What a main branch is mostly called: protected wherever it is, for what HEAD names may not be there yet when a team begins."""
_HEADS = "refs/heads/"
_BOOK = re.compile(r"(.*/)?(?:casks/[^/]+/[^/]+|house\.yaml)", re.DOTALL)
_MOST = 20


@dataclass(frozen=True)
class Update:
    """One name of a push: the commits it had and is to have (None: none), and its full name where it goes."""

    old: str | None
    new: str | None
    ref: str

    @property
    def branch(self) -> str | None:
        """The branch's short name; None for a tag or another name."""
        return self.ref.removeprefix(_HEADS) if self.ref.startswith(_HEADS) else None


@dataclass(frozen=True)
class Protection:
    """The protected branches by their short names; where the others are held against, name → commit; whether every branch is
    protected, those to come too; and whether these commits are other repositories', so that this one may hold nothing yet."""

    names: frozenset[str] = frozenset()
    tips: dict[str, str] = field(default_factory=dict)
    every: bool = False
    elsewhere: bool = False

    def guards(self, branch: str) -> bool:
        """Whether a branch is protected, there or not."""
        return self.every or branch in self.names


@dataclass
class Outcome:
    """What is to be said of one name, and whether it is refused."""

    lines: list[str] = field(default_factory=list)
    refused: bool = False

    def refuse(self, reason: str) -> Outcome:
        """Refused, for this reason."""
        self.lines.append(plain(f"caskbook: {reason}"))
        self.refused = True
        return self


def update_of(old: str, new: str, ref: str) -> Update:
    """A line of git's; zeros stand for no commit."""
    return Update(old if old.strip("0") else None, new if new.strip("0") else None, ref)


def written_to(git: Git, ref: str) -> str:
    """The name that a push to `ref` writes: another one where it is symbolic."""
    seen = [ref]
    while (to := git.text("symbolic-ref", "--quiet", seen[-1], good=(0, 1, 128))) and to not in seen:
        seen.append(to)
    return seen[-1]


def protection_of(git: Git) -> Protection:
    """What the repository protects."""
    rows = (line.split(" ", 1) for line in git.text("for-each-ref", "--format=%(objectname) %(refname)", _HEADS).splitlines())
    tips = {ref.removeprefix(_HEADS): oid for oid, ref in rows}
    main = git.branch()
    named = [name for name in (main, *USUAL, *named_protected(git)) if name is not None]  # Branches are protected before they are there.
    names = frozenset([*named, *(written_to(git, _HEADS + name).removeprefix(_HEADS) for name in named)])
    if main not in tips:
        return Protection(names | tips.keys(), tips, every=True)
    return Protection(names, {name: tips[name] for name in names if name in tips})


def named_protected(git: Git) -> list[str]:
    """Branches that the repository's own configuration names as protected, by their short or their full names."""
    rows = git.text("config", "--local", "--get-all", "caskbook.protected", good=(0, 1)).splitlines()
    return [row.strip().removeprefix(_HEADS) for row in rows]


def protecting_nothing(git: Git) -> list[str]:
    """A line for each name of the configuration that no branch can have, as a pattern."""
    names = [name for name in named_protected(git) if not git.works("check-ref-format", _HEADS + name)]
    return [plain(f"caskbook: caskbook.protected names {name[:80] or 'nothing'}, which no branch can be called: it protects nothing") for name in names]


def outcome_of(git: Git, update: Update, protection: Protection, *, strict: bool = False) -> Outcome:
    """What one name of a push brings, and whether it may be taken."""
    found, branch = Outcome(), update.branch
    if branch is None:
        return found
    guarded = protection.guards(branch)
    if update.new is None:
        return found.refuse(f"{branch} is protected: it is not deleted") if guarded else found
    if guarded and update.old is not None:
        if not git.works("merge-base", "--is-ancestor", update.old, update.new):
            return found.refuse(f"{branch} is protected: this push would take back what landed there; fetch, merge, and push without force")
        base, left = update.old, _left(git, protection, update.new)
    else:
        left = _left(git, protection, update.new)
        if not left:
            return _without_base(git, update.new, branch, found, protection, strict=strict)
        base = left[0]
    findings = list(_findings(git, base, update.new, [one for one in left if not is_ancestor(git, one, base)]))
    grave = [one for one in findings if _refuses(one, guarded, strict)]
    found.lines += finding_lines(findings)
    if found.lines and not grave and not guarded:
        found.lines.append(plain(f"caskbook: {branch} is not protected: it is refused for altered history only, so this is taken"))
    return found.refuse(f"{branch}: {number_of(len(grave), 'finding')} in the way, so nothing of this push is taken") if grave else found


def _left(git: Git, protection: Protection, new: str) -> list[str]:
    """Where a commit left each of the protected branches, the nearest first: all that it has up to there has landed."""
    found = dict.fromkeys(left for tip in protection.tips.values() if (left := git.merge_base(tip, new)))
    return sorted(found, key=lambda one: lacking(git, new, one)) if len(found) > 1 else list(found)


def _refuses(finding: Finding, guarded: bool, strict: bool) -> bool:
    if not guarded and not finding.code.startswith(("landed-", *CODES)):
        return False
    return finding.severity == "error" or (strict and finding.severity == "warning")


def finding_lines(findings: Iterable[Finding]) -> list[str]:
    """A line for each error and warning, with what to do; of very many the first ones."""
    shown = [one for one in findings if one.severity != "note"]
    shown.sort(key=lambda one: one.severity != "error")
    lines = [
        f"{one.path}:{one.span.line}:{one.span.column}: {one.severity} {one.code}: {one.message}" + (f"; {one.help}" if one.help else "")
        for one in shown[:_MOST]
    ]
    more = len(shown) - _MOST
    return [plain(line) for line in lines] + ([f"... and {more} more"] if more > 0 else [])


def plain(line: str) -> str:
    """A line that is safe on any terminal: names of files come from whoever pushes."""
    return "".join(sign if sign.isprintable() else "?" for sign in line)


def _findings(git: Git, old: str, new: str, landed: Sequence[str]) -> Iterator[Finding]:
    """`landed`: further commits of `new` that had landed, on another protected branch."""
    made = steps(git, [old, *landed], new)
    carried = list(carried_in_push(git, made, old, new))
    unheld = [one for one in carried if one.code in CODES] or _unheld(git, old, new)
    if unheld:  # no work tree can hold it: what it says is nobody's book
        yield from unheld
        return
    for under in books_in(git, old, new, made):
        if any(one.code == "second-house" and one.path == f"{under}{HOUSE_FILE}" for one in carried):
            continue  # it is refused as it is; what it says is nobody's book
        found = in_file_order(_of_book(replace(git, under=under), old, new, landed))
        told = {(one.code, one.path) for one in carried}
        found = [one for one in found if (one.code, one.path) not in told]
        yield from found
    yield from carried


def _unheld(git: Git, old: str, new: str) -> list[Finding]:
    """Names at the end of a push that no work tree can hold, and that were not there before."""
    found = list(unheld_names(files_in(git, new)))
    had = {one.path for one in unheld_names(files_in(git, old))} if found else set()
    return [one for one in found if one.path not in had]


def _of_book(git: Git, old: str, new: str, landed: Sequence[str]) -> Iterator[Finding]:
    root = git.folder / git.prefix if git.named else git.top / git.prefix
    if git.entry(new, git.prefix + HOUSE_FILE) is None:
        yield Finding("landed-file-removed", "error", f"{git.prefix}{HOUSE_FILE} is gone: the book with it", f"{git.prefix}{HOUSE_FILE}")
        return
    after = Ledger(RevisionStore.of_tree(git, new, git.prefix))
    if git.entry(old, git.prefix + HOUSE_FILE) is not None:
        yield from append_only_since(root, old, new, git.prefix, landed=landed)
    yield from brought_between(git, root, old, new, after, real_day(after), landed).findings


def books_in(git: Git, old: str | None, new: str, made: Iterable[Step]) -> list[str]:
    """Folders of the books of either end that any of these commits touches: empty, or ending in `/`."""
    paths = {change.path for step in made for changes in step.changes for change in changes}
    places = {found[1] or "" for path in paths if (found := _BOOK.fullmatch(path))}
    if any(path.rpartition("/")[2] == ATTRIBUTES for path in paths):  # Such a file speaks of every book below it.
        places |= set(books_of(git, new))
    return [place for place in sorted(places) if any(git.entry(one, place + HOUSE_FILE) is not None for one in (old, new) if one)]


def _without_base(git: Git, new: str, branch: str, found: Outcome, protection: Protection, *, strict: bool) -> Outcome:
    unheld = list(unheld_names(files_in(git, new)))
    if unheld:
        found.lines += finding_lines(unheld)
        return found.refuse(f"{branch}: {number_of(len(unheld), 'finding')} in the way, so nothing of this push is taken")
    if not protection.tips or (protection.elsewhere and protection.guards(branch)):
        return _first(git, new, branch, found)
    if protection.guards(branch):
        return _all_new(git, new, branch, found, protection, strict=strict)
    found.lines.append(plain(f"caskbook: {branch} shares no history with a protected branch, so it is not judged"))
    return found


def _first(git: Git, new: str, branch: str, found: Outcome) -> Outcome:
    """The first push to a repository brings its books as they are: what is wrong in them is told in `found` and refuses nothing."""
    history, books = _history_and_books(git, new)
    found.lines += finding_lines(history)
    for book in books:
        errors = sum(one.severity == "error" for one in book)
        if errors:
            found.lines.append(f"caskbook: {plain(branch)}: the book comes with {number_of(errors, 'error')}; only what follows is judged")
    return found


def _all_new(git: Git, new: str, branch: str, found: Outcome, protection: Protection, *, strict: bool) -> Outcome:
    """A protected branch that begins by a history of its own where others are: whatever is wrong in its books is new, and it leaves each book
    that landed on another as it was, or a clone of this branch would show it altered."""
    history, books = _history_and_books(git, new)
    findings = [*history, *(one for book in books for one in book), *_other_than_landed(git, new, protection)]
    found.lines += finding_lines(findings)
    grave = sum(_refuses(one, True, strict) for one in findings)
    said = f"{branch} shares no history with what landed here, so all of it is new: {number_of(grave, 'finding')} in the way, so nothing of this push is taken"
    return found.refuse(said) if grave else found


def _other_than_landed(git: Git, new: str, protection: Protection) -> Iterator[Finding]:
    """What a history of its own has otherwise than the protected branches, in the books that both hold, end against end."""
    told: set[tuple[str, str, int]] = set()
    for tip in dict.fromkeys(protection.tips.values()):
        for under in books_of(git, tip):
            if git.entry(new, under + HOUSE_FILE) is None or git.entry(tip, under + HOUSE_FILE) is None:
                continue
            book = replace(git, under=under)
            root = git.folder / under if git.named else git.top / under
            for one in append_only_since(root, tip, new, book.prefix, ends_only=True):
                if (place := (one.code, one.path, one.span.line)) not in told:
                    told.add(place)
                    yield one


def _history_and_books(git: Git, new: str) -> tuple[list[Finding], list[tuple[Finding, ...]]]:
    """What a whole history altered and carried in on its way, and what is wrong in each of its books as they stand at its end."""
    made = steps(git, [], new)
    history, books = list(carried_in_push(git, made, new)), []
    for under in books_in(git, None, new, made):
        book = replace(git, under=under)
        history += [breach.finding for breach in walk(book, [], new, under).breaches]
        ledger = Ledger(RevisionStore.of_tree(book, new, under))
        books.append(whole_report(book, git.folder / under if git.named else git.top / under, ledger, real_day(ledger)).findings)
    return history, books
