"""The commands that read their words themselves, since their options depend on the job: typer is not even loaded for them."""

from __future__ import annotations

from collections.abc import Callable


def _enter(words: list[str]) -> int:
    """Add a job to one or many casks."""
    from caskbook.cli.commands.enter import run

    return run(words)


def _void(words: list[str]) -> int:
    """Put an entry out of force."""
    from caskbook.cli.commands.correct import void

    return void(words)


def _correct(words: list[str]) -> int:
    """Put right what the head says of casks."""
    from caskbook.cli.commands.correct_head import correct

    return correct(words)


def _redate(words: list[str]) -> int:
    """Give entries of a wrong day the right one."""
    from caskbook.cli.commands.redate import redate

    return redate(words)


def _move_event(words: list[str]) -> int:
    """Move entries to the casks they belong to."""
    from caskbook.cli.commands.correct import move_event

    return move_event(words)


def _undo(words: list[str]) -> int:
    """Take back what the last run wrote."""
    from caskbook.cli.commands.undo import undo

    return undo(words)


def _stamp(words: list[str]) -> int:
    """Give ids to events written by hand."""
    from caskbook.cli.commands.correct import stamp

    return stamp(words)


def _shift(words: list[str]) -> int:
    """Who works, and for which day, for twelve hours."""
    from caskbook.cli.commands.shift import run

    return run(words)


def _bench(words: list[str]) -> int:
    """One prompt for a day's work."""
    from caskbook.cli.commands.bench import run

    return run(words)


def _sheet(words: list[str]) -> int:
    """Job cards to print, blank or of what is due."""
    from caskbook.cli.entering.blank_sheet import blank

    return blank(words)


def _completion(words: list[str]) -> int:
    """Print what a shell needs to complete words."""
    from caskbook.cli.completing.scripts import run

    return run(words)


OWN_WORDS: dict[str, Callable[[list[str]], int]] = {
    "enter": _enter,
    "void": _void,
    "correct": _correct,
    "redate": _redate,
    "move-event": _move_event,
    "undo": _undo,
    "stamp": _stamp,
    "sheet": _sheet,
    "shift": _shift,
    "bench": _bench,
    "completion": _completion,
}
