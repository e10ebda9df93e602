"""What a list leaves out, said beside it in a line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from caskbook.cli.carried_in import left_out_line
from caskbook.cli.common import say
from caskbook.core.typed_word import typed_word
from caskbook.ledger.astray import strays_among
from caskbook.ledger.paths import known_as, plain_name
from caskbook.ledger.stray import links_among
from caskbook.ledger.tracked import amiss_at, ask_overlooked
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.cli.nearest_filter import Near
    from caskbook.index.answer import Answer


def say_left_out(root: Path, at: str | None, overlooked: list[str] | None = None, linked: list[str] | None = None, strays: Sequence[str] | None = None) -> None:
    """Say how many casks a sparse checkout leaves out of a list of the work tree, which are gone while git is told to overlook
    them (`overlooked`, where that is known; else git is asked), which links are not followed, and which files strayed (`linked`, `strays`; else all folders
    are looked at)."""
    line = left_out_line(root) if not at else ""
    if line:
        say(line)
    gone = [] if at else ask_overlooked(root) if overlooked is None else overlooked
    if gone:
        count, first = number_of(len(gone), "cask"), known_as(plain_name(gone[0]))
        say(f"{count} {'is' if len(gone) == 1 else 'are'} gone that git is told to overlook, from {first} on: caskbook check")

    links, astray = amiss_at(root, at) if at else (links_among(root) if linked is None else linked, strays_among(root) if strays is None else strays)
    if links:
        count, first, way = number_of(len(links), "link"), known_as(plain_name(links[0])), f" --at {typed_word(at)}" if at else ""
        say(f"{count} among the casks {'is' if len(links) == 1 else 'are'} not followed, and what is there is left out, from {first} on: caskbook check{way}")
    say_strays(astray, at)


def say_strays(strays: Sequence[str], at: str | None) -> None:
    """Say how many files of casks lie in casks/ where none is read: dragged into another folder, or renamed."""
    if strays:
        count, first, way = number_of(len(strays), "file"), plain_name(strays[0]), f" --at {typed_word(at)}" if at else ""
        lie = f"is not read where it lies, {first}" if len(strays) == 1 else f"are not read where they lie, from {first} on"
        say(f"{count} among the casks {lie}: caskbook check{way}")


def say_no_casks(root: Path, at: str | None) -> bool:
    """Where nothing was found to list: say so if the casks themselves are gone from the folder; whether they are."""
    from caskbook.ledger.no_casks import no_casks

    why = no_casks(root) if not at else None
    if why is not None:
        say(str(why))
    return why is not None


def left_out(answer: Answer) -> None:
    """Say of how many files no cask is counted: they cannot be read, or are not what their name says."""
    if answer.unreadable:
        say(f"{number_of(len(answer.unreadable), 'file')} left out: caskbook check")
    say_in_part(answer.in_part)


def say_unreadable(path: str, name: str) -> None:
    """Say that a file is left out, for it cannot be read."""
    from caskbook.render.console import safe

    say(safe(f"{path} cannot be read and is left out; caskbook check {typed_word(name)}"))


def say_in_part(casks: Sequence[str]) -> None:
    """Say which casks are told without an entry that cannot be read, or of a day to come, or by one side of a merge, or without what two files do not tell alike."""
    why = "what cannot be read in the file, is dated after today, stands on the other side of a merge, or in only one of two files, counts for nothing"
    if len(casks) == 1:
        say(f"{casks[0]} is told in part: {why}; caskbook check {casks[0]}")
    elif casks:
        say(f"{number_of(len(casks), 'cask')} are told in part, from {casks[0]} on: {why}; caskbook check")


def say_nothing_fits(filters: Mapping[str, str | Sequence[str]], near: Near = ()) -> None:
    """A filter (option without its dashes → words) that no cask passes is more likely misspelt than good news; `near`: what was likely meant."""
    named = " ".join(f"--{name} {word}" for name, words in filters.items() for word in ([words] if isinstance(words, str) else words))
    meant = near[0][1] if len(near) == 1 else " ".join(f"--{name} {word}" for name, word in near)
    say(f"no cask here fits {named}; " + (f"did you mean {meant}?" if near else "capitals and small letters count"))
