"""A first map of a register, written as YAML with its reasons beside it, for a person to read through and to finish."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence

from caskbook.exchange.grid import Grid, Layout
from caskbook.exchange.guess import Guess, Seen, guess_columns
from caskbook.exchange.keys import ASK, KEYS, LEAVE_OUT
from caskbook.exchange.liquors import UnknownLiquorError, liquor
from caskbook.exchange.states import is_state, state_word
from caskbook.words import AmbiguousWord, UnknownWord, canonical
from caskbook.yaml.write import flow_text, scalar

_WIDE = 78
_SAMPLES = 3
_SAMPLE = 22
_OFTEN = 50
_WORDS_SHOWN = 8


def first_map(
    grid: Grid, layout: Layout, prefixes: Sequence[str] = (), spirits: Sequence[str] = (), units: tuple[str | None, str | None] = (None, None)
) -> tuple[str, int]:
    """(the map as text, how many things in it only a person can tell). `prefixes`: how numbers of the book begin, `spirits`: its own words,
    `units`: which gallon and which proof the house declares."""
    guess = guess_columns(grid)
    lines = [*_top(grid, layout), *_about_days(guess), *_about_figures(guess, units), "", "columns:"]
    for column in guess.columns:
        lines += _column(column, prefixes, spirits)
    lines += [*_every_row(guess), *_other_keys(guess)]
    asks = sum(_asks(line) for line in lines)
    return "\n".join(lines) + "\n", asks


def _asks(line: str) -> int:
    """How often a line leaves something open; what stands behind a # says nothing."""
    words = line.partition(" #")[0].replace("{", " ").replace("}", " ").replace(",", " ").split() if not line.lstrip().startswith("#") else []
    return words.count(ASK)


def _comment(text: str, indent: str = "") -> Iterator[str]:
    for line in textwrap.wrap(text, _WIDE - len(indent) - 2, break_on_hyphens=False, break_long_words=False):
        yield f"{indent}# {line}"


def _top(grid: Grid, layout: Layout) -> Iterator[str]:
    """What the map is, and what holds for the whole register."""
    name = "".join(sign if sign.isprintable() else "?" for sign in grid.name)
    yield from _comment(
        f"What the columns of {name} mean, guessed from their headings and from what stands in them: read it through, and say what is still `{ASK}`."
    )
    yield from _comment("What nobody knows stays unknown: empty cells, ?, n/a, not known, a dash. More such words: `unknown: [see book]`.")
    yield f"register: {scalar(name.rpartition('.')[0] or name)}  # written on every entry as its sheet"
    if layout.worksheet is not None:
        yield f"worksheet: {scalar(layout.worksheet)}"
    yield f"header: {grid.header}"
    yield from _comment("The day on which the register was right: casks come in on it that have no day of their own.")
    yield f"opening: {ASK}"


def _about_days(guess: Guess) -> Iterator[str]:
    """The order of days, the century, and from where a spreadsheet counts: only where the cells need it."""
    if guess.order is not None:
        yield f"dates: {guess.order}  # {guess.order_why}"
    elif guess.order_why:
        yield from _comment(f"day-month-year or month-day-year? {guess.order_why} does not tell.")
        yield f"dates: {ASK}"
    if guess.short_years:
        yield from _comment("Years have two figures: the first year of the hundred that is meant, as 1950 for 1950 to 2049.")
        yield f"century: {ASK}"
    if guess.serials:
        yield from _comment("Some days are bare counts of a spreadsheet: 1900, or 1904 where it was made on an old Macintosh.")
        yield f"excel_days: {ASK}"


def _about_figures(guess: Guess, units: tuple[str | None, str | None]) -> Iterator[str]:
    """The decimal comma, and which gallon and proof are meant where a heading says no more."""
    if guess.commas and not guess.points:
        yield f"decimal_comma: true  # {guess.commas[0]}"
    elif guess.commas:
        told = f"{len(guess.commas):,} figures have a comma, as {guess.commas[0]}, and {len(guess.points):,} a point, as {guess.points[0]}"
        yield from _comment(f"true where the comma is the decimal mark, else false: {told}.")
        yield f"decimal_comma: {ASK}"
    for name, unit, house in (("gallon", "gal", units[0]), ("proof", "proof", units[1])):
        if house is None and any(column.unit == unit for column in guess.columns):
            yield f"{name}: {ASK}  # us or uk"


def _column(column: Seen, prefixes: Sequence[str], spirits: Sequence[str]) -> Iterator[str]:
    """One column: samples, how full it is and why it is taken for this, in a comment; below it its line."""
    common = Counter(column.cells).most_common(_SAMPLES)
    often = bool(common) and common[0][1] * _OFTEN > len(column.cells)
    samples = [text for text, _ in common] if often else list(dict.fromkeys(column.cells))[:_SAMPLES]
    sample = ", ".join(map(_shown, samples)) or "nothing but empty cells"
    gaps = f"; {column.unknown:,} unknown or empty" if column.unknown else ""
    says = f"{KEYS[column.key].says}, {column.why}" if column.key in KEYS else f"a key, note or {LEAVE_OUT}?"
    yield ""
    yield from _comment(f"{sample}{gaps}: {says}", "  ")
    options = dict(_options(column, prefixes, spirits))
    value = flow_text({"is": column.key, **options}) if options else column.key
    yield f"  {scalar(column.heading)}: {value}"


def _shown(text: str) -> str:
    plain = "".join(sign if sign.isprintable() else "?" for sign in text)
    return plain if len(plain) <= _SAMPLE else plain[: _SAMPLE - 1] + "…"


def _options(column: Seen, prefixes: Sequence[str], spirits: Sequence[str]) -> Iterator[tuple[str, object]]:
    """How a column is read, beside what it is: the beginning of bare numbers, a unit, words that no list has."""
    if column.key == "cask" and any(cell.isdecimal() for cell in column.cells):
        yield "prefix", prefixes[0] if prefixes else ASK
        yield "digits", min(max([6, *(len(cell) for cell in column.cells if cell.isdecimal())]), 9)
    if column.unit:
        yield "unit", column.unit
    if strange := _strange(column, spirits):
        yield "words", dict.fromkeys(strange[:_WORDS_SHOWN], ASK)


def _strange(column: Seen, spirits: Sequence[str]) -> list[str]:
    """Words of a column of types or liquors that are in no list and occur more than once: an abbreviation rather than a slip."""
    found = [text for text, count in Counter(column.cells).most_common() if count > 1 and not _is_word(column.key, text, spirits)]
    return [text for text in found if len(text) <= _SAMPLE]


def _is_word(key: str, text: str, spirits: Sequence[str]) -> bool:
    try:
        if key == "type":
            canonical("type", text)
        elif key == "state":
            state_word(text, spirits, ())
        elif key in KEYS and KEYS[key].reads == "liquor":
            liquor(text, spirits, (), before=key == "prior_contents")
    except (UnknownWord, AmbiguousWord, UnknownLiquorError):
        return False
    return True


def _every_row(guess: Guess) -> Iterator[str]:
    """What holds for every row and stands in no column."""
    keys = {column.key for column in guess.columns}
    states = {text for column in guess.columns if column.key == "state" for text in column.cells}
    yield ""
    yield from _comment("What holds for every row, and stands in no column. A receipt has a verdict: accept, where all that is in the register was taken in.")
    yield "every_row:"
    if "verdict" not in keys:
        yield "  verdict: accept"
    if "type" not in keys:
        yield f"  type: {ASK}"
    if "gauged" in keys and "gauge_method" not in keys:
        yield f"  gauge_method: {ASK}  # meter, weigh or dip; taken out, gauges are kept as words"
    if "filled" in keys and "contents" not in keys and "spirit" not in keys:
        yield f"  spirit: {ASK}  # what the full ones hold"
    if "approved_by" not in keys and any(is_state(text) and state_word(text, (), ()) == "retired" for text in states):
        yield f"  approved_by: {ASK}  # who signed for the retired ones; taken out, these are refused"


def _other_keys(guess: Guess) -> Iterator[str]:
    """The keys that no column was taken for, with what each says."""
    keys = {column.key for column in guess.columns}
    yield ""
    yield from _comment(f"Keys that no column was taken for ({LEAVE_OUT} is a column that nobody wants):")
    for key in KEYS.values():
        if key.name not in keys:
            yield from _comment(f"  {key.name}: {key.says}")
