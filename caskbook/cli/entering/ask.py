"""Asking at the terminal: what is lacking, and the one yes before anything is written."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from caskbook.cli.common import say, tell
from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.build import Built
    from caskbook.entry.fields import JobField
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request

_TRIES = 3
GAUGED = ("fill", "draw", "top", "regauge", "empty")
"""Jobs whose litres stay uncorrected without a temperature: it is asked for beside what must be given."""
_LONGEST = 72
"""Of a prompt; longer hints stand in lines of their own above it."""


class DeclinedError(CaskbookError):
    """Somebody was asked and did not answer: nothing is written, and that is no fault."""


def on_terminal() -> bool:
    """Whether there is somebody to ask."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def answer(prompt: str) -> str:
    """One line from the terminal; DeclinedError at its end."""
    tell(prompt)
    line = sys.stdin.readline()
    if not line:
        say("")
        raise DeclinedError("nothing written")
    return line.strip()


def ask_missing(desk: Desk, request: Request, built: Built) -> None:
    """Ask for each field that is lacking and put the answers into the request."""
    from caskbook.entry.build import field_asked

    for job, key in list(built.missing):
        one = _of_contents(desk, request, field_asked(job, key))
        request.given[(job, key)] = [_asked(desk, one)]
    for job in dict.fromkeys(job for job, _ in built.missing if job in GAUGED):
        if not any((job, key) in request.given for key in ("temp_c", "at_20")):
            request.given[(job, "temp_c")] = [_asked(desk, field_asked(job, "temp_c"), may_skip=True)]


def _of_contents(desk: Desk, request: Request, one: JobField) -> JobField:
    """The field with the range of strength that fits what the casks hold: where all hold wine, that of wine."""
    from dataclasses import replace

    from caskbook.life.needs import OF_CONTENTS, WINE_ABV

    if one.key != "abv" or one.job not in OF_CONTENTS:
        return one
    casks = [page.cask for page in map(desk.page, request.casks) if page.record is not None and page.record.cask is not None]
    wine = casks and all(desk.ledger.life_of(cask, desk.today).state.contents == "wine" for cask in casks)
    return replace(one, plausible=WINE_ABV) if wine else one


def ask_left(desk: Desk, request: Request) -> bool:
    """Ask what a racking leaves in its sources, where nobody said; True where it was asked."""
    if request.jobs != ["rack"] or ("rack", "left") in request.given:
        return False
    from caskbook.entry.fields import field_of
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    one, (first, *others) = field_of("rack-out", "left_l"), request.casks
    assert one is not None
    for _ in range(_TRIES):
        text = answer(f"litres left in {f'each of the {len(others) + 1} casks' if others else first} (L, 0: emptied): ")
        try:
            value = read_field(one, [text], Terms(desk.ledger.house.on(desk.today), desk.today))
        except TypedError as error:
            say("  " + str(error).removeprefix(f"{one.option}: "))
            continue
        if value is not None:
            request.given[("rack", "left")] = [text]
            return True
    raise DeclinedError("litres left: needed; nothing written")


def sure() -> bool:
    """Whether what was doubted is right all the same: asked on a terminal; elsewhere only --yes says so."""
    if not on_terminal():
        say("nothing written: if that is right, add --yes")
        return False
    try:
        said = yes_no("Is that right? [y/N] ", "n")
    except DeclinedError:
        said = False
    if not said:
        say("nothing written")
    return said


def _asked(desk: Desk, one: JobField, *, may_skip: bool = False) -> str:
    """What the person types for one field, asked again where it cannot be read. DeclinedError where nothing comes of it."""
    from caskbook.entry.labels import label_of
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    for _ in range(_TRIES):
        text = answer(_prompt(one, _hint(desk, one) + ("; Enter: not taken" if may_skip else "")))
        if not text and may_skip:
            return ""
        if not text:
            continue
        if one.kind in ("event", "answers"):
            return text
        try:
            read_field(one, [text], Terms(desk.ledger.house.on(desk.today), desk.today))
        except TypedError as error:
            say("  " + str(error).removeprefix(f"{one.option}: "))
            continue
        return text
    raise DeclinedError(f"{label_of(one)}: needed; nothing written")


def _prompt(one: JobField, hint: str) -> str:
    """"litres filled (L): ", the hint above it where it is long."""
    from textwrap import wrap

    from caskbook.entry.labels import label_of

    label = label_of(one)
    if len(label) + len(hint) <= _LONGEST:
        return f"{label} ({hint}): " if hint else f"{label}: "
    for line in wrap(hint, _LONGEST, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False):
        say(line)
    return f"{label}: "


def _hint(desk: Desk, one: JobField) -> str:
    from caskbook.cli.entering.help import hint_of
    from caskbook.entry.labels import EXAMPLES, short_unit

    if one.kind in EXAMPLES:
        return f"as {EXAMPLES[one.kind]}"
    if one.kind == "quantity":
        return hint_of(one).replace(one.unit, short_unit(one.unit), 1)
    if one.key != "by":
        return hint_of(one)
    return ", ".join(person.initials for person in desk.ledger.house.on(desk.today).crew[:12])


def missing_line(desk: Desk, request: Request, built: Built) -> str:
    """What is lacking, told to a run that cannot ask."""
    from caskbook.entry.build import field_asked

    fields = [field_asked(job, key) for job, key in built.missing]
    told = ", ".join(one.option + (f" ({hint})" if (hint := _hint(desk, one)) else "") for one in fields)
    return f"{'+'.join(request.jobs)} needs {told}"


def agreed(count: int, *, yes: bool, what: str = "Write {}") -> bool:
    """Whether to go on: one yes for the run. For one cask Enter will do, and without a terminal nobody is asked.

    `what`: the question, with a gap for what it is about.
    """
    if yes:
        return True
    if not on_terminal():
        if count > 1:
            raise CaskbookError(f"{count} casks, and nobody to ask: look it over with --dry-run, then add --yes")
        return True
    try:
        return yes_no(f"{what.format('it')}? [Y/n] ", "y") if count == 1 else yes_no(f"{what.format(f'all {count}')}? [y/N] ", "n")
    except DeclinedError:
        return False


def yes_no(prompt: str, enter: str) -> bool:
    """Yes or no; `enter` is what Enter alone says, and any other answer is asked again, which at last is a no."""
    for _ in range(_TRIES):
        said = answer(prompt).casefold() or enter
        if said in ("y", "yes", "n", "no"):
            return said[0] == "y"
        say("  answer y or n")
    return False
