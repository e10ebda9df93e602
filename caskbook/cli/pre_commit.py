"""The check before a commit: what the index holds of the ledger, and that nothing which landed is altered by it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from pathlib import Path

from caskbook.cli.common import house_today, say
from caskbook.cli.git_setup import ledgers
from caskbook.finding import CaskbookError, Finding, in_file_order
from caskbook.git import Git, open_git
from caskbook.how_many import how_many
from caskbook.ledger import HOUSE_FILE, Ledger
from caskbook.rules.check import check_ledger
from caskbook.rules.history import append_only
from caskbook.shelf_at import RevisionShelf, between


def main() -> int:
    """Check the ledgers of the repository in the current folder. 1: an error, the commit is not made; trouble lets it pass."""
    try:
        git = open_git(Path.cwd())
        findings = [finding for prefix in ledgers(git) for finding in check_index(git.top / prefix)]
    except CaskbookError as error:
        say(f"caskbook: {error}; the casks of this commit are not checked")
        return 0
    except Exception as error:  # a fault of the program may not keep anybody from committing
        say(f"caskbook: a fault of the program itself, {type(error).__name__}: {error}; the casks of this commit are not checked")
        return 0
    for finding in findings:
        say(f"{finding.path}:{finding.span.line}:{finding.span.column}: {finding.severity} {finding.code}: {finding.message}")
    errors = sum(finding.severity == "error" for finding in findings)
    if errors:
        say(f"caskbook: {how_many(errors, 'error')}, so nothing is committed; put them right, or pass by with `git commit --no-verify`")
    return int(errors > 0)


def check_index(root: Path) -> list[Finding]:
    """Findings about the files of a ledger that a commit of the index would change: errors and warnings, in file order."""
    if not (root / HOUSE_FILE).is_file():
        return []
    git = open_git(root)
    head = git.resolve("HEAD") if git.has_commits() else None
    differs = between(git, root, head, "index", git.prefix)
    if not differs.casks and not differs.house_changed:
        return []
    found: list[Finding] = list(append_only(differs.casks)) if head is not None else []
    found += _checked(git, [change.new.path[len(git.prefix) :] for change in differs.casks if change.new is not None], differs.house_changed)
    return [finding for finding in in_file_order(found) if finding.severity != "note"]


def _checked(git: Git, names: list[str], house_changed: bool) -> Iterable[Finding]:
    ledger = Ledger(RevisionShelf.of_tree(git, git.text("write-tree"), git.prefix))
    today = house_today(ledger, datetime.now(UTC))
    found = check_ledger(ledger, today, names).findings
    return (*(ledger.house_file.findings if house_changed else ()), *found)

