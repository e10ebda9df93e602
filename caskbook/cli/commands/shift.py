"""`caskbook shift`: begin one, see it, end it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from caskbook.cli.common import Book, open_book, say, write
from caskbook.cli.entering.shift import USUAL, out_of_force, shift_line
from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second
from caskbook.ledger.shift import HOURS, Shift, end_shift, keep_shift, shift_of

if TYPE_CHECKING:
    from caskbook.entry.fields import JobField

_HELP = (
    "caskbook shift WHO [--date DAY] [--psi 11 …]\n"
    f"  who works, and for which day: `enter`, `enter scan` and `bench` need not be told for {HOURS} hours.\n"
    "  The day is that of the beginning, over midnight too; `--date mon` for a day's paper typed in later\n"
    f"  kept for each line that does not say it:\n  {', '.join(f'--{option}' for option in USUAL.values())}\n"
    "  (none, on a line, is nothing; a vat goes into no other spirit)\n"
    "caskbook shift          whose it is, which day, until when\n"
    "caskbook shift end      ends it\n"
    "  --records DIR; it is kept in your state folder, for this ledger alone"
)
ENDS = ("end", "off", "over")


def run(argv: list[str]) -> int:
    """Begin, show or end a shift. 0; 1 where there is none to show or end, 2 (as an error) for who or what cannot be."""
    loose, given = _parsed(argv)
    if "help" in given:
        write(_HELP)
        return 0
    if len(loose) > 1:
        raise CaskbookError(f"whose shift? one of the crew, as: caskbook shift {loose[0][:12]}")
    book = open_book(given.pop("records", None))
    if loose and loose[0].casefold() not in ENDS:
        return begin(book, loose[0], given)
    if given:
        raise CaskbookError(f"--{next(iter(given))} goes with whose shift it is: caskbook shift WHO --{next(iter(given))} …")
    return finish(book) if loose else tell(book)


def begin(book: Book, who: str, given: dict[str, str]) -> int:
    """Begin a shift of somebody; one that was running ends. CaskbookError where that person cannot work on the day."""
    from caskbook.cli.entering.ask import sure
    from caskbook.entry.build import read_day
    from caskbook.entry.crew import not_there
    from caskbook.entry.doubts import day_doubt
    from caskbook.entry.initials import own_initials

    day = read_day(given["date"], book.today) if "date" in given else book.today
    if day > book.today:
        raise CaskbookError(f"--date: {day:%A} {day} lies ahead; today is {book.today}")
    settings = book.ledger.house.on(day)
    by = own_initials(who, settings.crew, []) or who
    why = not_there(settings, by, day)
    if why or not (by.isprintable() and 0 < len(by) <= 12 and not set(by) & set(" -/,;")):
        raise CaskbookError(why or f"'{who[:20] if who.isprintable() else '?'}' are no initials: at most 12 signs, without blanks")
    usual = {key: text for key in USUAL if key in given and (text := _usual(book, key, given[key], day)) is not None}
    if "vat_litres" in usual and "vat" not in usual:
        raise CaskbookError("--vat-litres goes with --vat: the litres of which vat?")
    if (doubt := day_doubt(day, book.today)) is not None:
        say(doubt)
        if "yes" not in given and not sure():
            return 1
    before = shift_of(book.root)
    shift = Shift(by, day, book.now, usual)
    keep_shift(book.root, shift)
    if before is not None and before.by != by:
        say(f"the shift of {before.by} is ended")
    write(shift_line(book, shift))
    return 0


def tell(book: Book) -> int:
    """Whose shift it is. 1 where there is none."""
    shift = shift_of(book.root)
    if shift is None:
        say("no shift here; caskbook shift WHO begins one")
        return 1
    why = out_of_force(book, shift)
    if why:
        say(f"{why}; caskbook shift {shift.by} begins another")
        return 1
    write(shift_line(book, shift))
    return 0


def finish(book: Book) -> int:
    """End the shift. 1 where there is none."""
    shift = shift_of(book.root)
    end_shift(book.root)
    if shift is None:
        say("no shift here")
        return 1
    write(f"the shift of {shift.by} is ended")
    return 0


def _parsed(argv: Sequence[str]) -> tuple[list[str], dict[str, str]]:
    """(loose words, what was given: `date`, `records`, `help`, `yes` or the key of a field). CaskbookError for an option there is none of."""
    names = {"date": "date", "records": "records", **{option: key for key, option in USUAL.items()}, **{key.replace("_", "-"): key for key in USUAL}}
    loose: list[str] = []
    given: dict[str, str] = {}
    words = [{"-h": "--help", "-d": "--date", "-y": "--yes"}.get(word, word) for word in argv]
    while words:
        word = words.pop(0)
        name, equals, text = word[2:].partition("=")
        if not word.startswith("--"):
            loose.append(word)
        elif name in ("help", "yes"):
            given[name] = "yes"
        elif name not in names:
            may = ", ".join(f"--{option}" for option in USUAL.values())
            raise CaskbookError(f"--{name[:40]} is nothing that a shift keeps: --date, and for all its lines {may}")
        else:
            if not equals and (not words or words[0].startswith("--")):
                raise CaskbookError(f"--{name} needs a value")
            value = text if equals else words.pop(0)
            refuse_empty(f"--{name}", value)
            refuse_second(f"--{name}", given.get(names[name], value), value)
            given[names[name]] = value
    return loose, given


def _usual(book: Book, key: str, text: str, day: date) -> str | None:
    """What is kept, once it is known that it can be read; None for `none`."""
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    try:
        value = read_field(_field(key), [text], Terms(book.ledger.house.on(day), day))
    except TypedError as error:
        raise CaskbookError(str(error)) from None
    return None if value is None else text


def _field(key: str) -> JobField:
    from caskbook.entry.fields import field_of
    from caskbook.entry.request import all_jobs

    return next(one for job in all_jobs() if job != "rack" and (one := field_of(job, key)) is not None)
