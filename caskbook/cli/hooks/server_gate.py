"""The server's gate: run by git before it takes a push, it refuses what alters landed history or brings new errors."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from caskbook.cli.common import say
from caskbook.cli.hooks.gate import outcome_of, plain, protecting_nothing, protection_of, update_of, written_to
from caskbook.core.finding import CaskbookError
from caskbook.git import open_git


def main() -> int:
    """Judge the lines `OLD NEW NAME` that git gives. 1: something is refused, and git takes nothing of the push."""
    updates = [update_of(*line.split(" ", 2)) for line in sys.stdin.read().splitlines() if line.strip()]
    git = open_git(Path.cwd())
    protection = protection_of(git)
    strict = git.text("config", "--local", "--type=bool", "--get", "caskbook.strict", good=(0, 1)) == "true"
    refused = False
    for line in protecting_nothing(git):
        say(line)
    for update in updates:
        try:
            ref = written_to(git, update.ref)
            found = outcome_of(git, replace(update, ref=ref), protection, strict=strict)
        except CaskbookError as error:
            say(plain(f"caskbook: {update.ref}: {error}; what cannot be judged is not taken"))
            refused = True
            continue
        refused |= found.refused
        if found.lines and ref != update.ref:
            say(plain(f"caskbook: {update.ref} is another name of {ref} here"))
        for line in found.lines:
            say(line)
    return int(refused)
