"""The columns of the tables that `query` and `list` offer: name, kind, unit and meaning, in one list that all parts go by."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Literal

from caskbook.core.days import DAYS_PER_YEAR
from caskbook.words.due_names import DUE_NAMES

Kind = Literal["text", "int", "real", "bool", "day", "list", "map"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `kind` says how a stored value is read; `sql` is how it is worked out for the day asked about, where it is
    not stored as it is (`l` is the row of the cask, `d.day` the ordinal of the day, `d.iso` its text)."""

    name: str
    kind: Kind
    meaning: str
    unit: str = ""
    sql: str = ""


def _days_since(column: str) -> str:
    """Whole days from a stored day to the day asked about; ordinals count from 0001-01-01 as 1."""
    return f"(d.day - CAST(julianday({column}) - 1721424.5 AS INTEGER))"


def _years(days: str) -> str:
    """Years to three decimals, of SQL that gives days."""
    return f"round(({days}) / {DAYS_PER_YEAR}, 3)"


_OPEN = "ifnull(d.day - l.filling_from, 0)"
_OPEN_CHAR = "ifnull(d.day - l.filling_since_char, 0)"
_WHOLE = "(CAST(substr(d.iso, 1, 4) AS INTEGER) - CAST(substr(l.oak_since, 1, 4) AS INTEGER) - (substr(d.iso, 6) < substr(l.oak_since, 6)))"

CASK: tuple[Column, ...] = (
    Column("cask", "text", "the cask's number"),
    Column("type", "text", "barrel, hogshead, butt …"),
    Column("as_of", "day", "the day the figures are for", sql="d.iso"),
    Column("capacity_l", "real", "last measured capacity, else the nominal one", "litres"),
    Column("wood", "text", "kind of oak"),
    Column("maker", "text", "who made it"),
    Column("owner", "text", "whose it is"),
    Column("parcel", "text", "the parcel it came in"),
    Column("supplier", "text", "who supplied it"),
    Column("made", "text", "when it was made, as the head says: a year, a month or a day"),
    Column("prior", "text", "what it held before this book, oldest first, each with its fills (? where not known); virgin"),
    Column("received", "day", "the day it came in; unknown of one raised or made here"),
    Column("claim_by", "day", "the last day for a claim: of the receipt, else by the supplier's claim_days, else by due.claim.days"),
    Column("state", "text", "gone, missing, away, filled, seasoning, shook, open, emptied, or its fitness"),
    Column("contents", "text", "empty, spirit or wine"),
    Column("form", "text", "whole, open, shook or gone"),
    Column("whereabouts", "text", "here, away or missing"),
    Column("marks", "list", "held, rejected, tainted, sulphured, retired"),
    Column("fitness", "text", "of an empty cask: ready, or the first thing that is in the way"),
    Column("berth", "text", "where it lies"),
    Column("store", "text", "the store the berth belongs to"),
    Column("stow", "text", "bilge, upright-A or upright-B"),
    Column("spirit", "text", "what is in it"),
    Column("vat", "text", "the vat or batch that it was filled from, while the fill lasts"),
    Column("fills", "int", "fills in this ledger that found it empty", "fills"),
    Column("fills_life", "int", "fills in its whole life; unknown where the past is", "fills"),
    Column("fills_life_min", "int", "fills in its life that are known of", "fills"),
    Column("fills_of_class", "int", "fills with the house's class of spirit", "fills"),
    Column("fills_since_char", "int", "fills after the last char; unknown where that, or the fills before us, are", "fills"),
    Column("fills_since_char_min", "int", "fills after the last char that are known of", "fills"),
    Column("fills_since_fire", "int", "fills after the last char or toast", "fills"),
    Column("last_char", "day", "the day of the last char"),
    Column("last_char_approx", "bool", "whether that day is only about right"),
    Column("last_fire", "day", "the day of the last char or toast"),
    Column("char_count", "int", "chars in its life", "chars"),
    Column("rechar_count", "int", "chars on a cask that had held liquor", "chars"),
    Column("never_charred", "bool", "whether it was never charred; unknown where nobody knows of a char"),
    Column("years_since_char", "real", "since the last char", "years", sql=f"CASE WHEN l.last_char <= d.iso THEN {_years(_days_since('l.last_char'))} END"),
    Column("years_in_wood", "real", "with spirit in it, all fills", "years", sql=_years(f"l.wood_days + {_OPEN}")),
    Column("years_in_wood_since_char", "real", "the same since the last char", "years", sql=_years(f"l.wood_days_since_char + {_OPEN_CHAR}")),
    Column(
        "in_this_cask_years",
        "real",
        "the present spirit, in this cask",
        "years",
        sql=f"CASE WHEN l.contents = 'spirit' THEN {_years('d.day - l.filling_from')} END",
    ),
    Column("age_years", "int", "whole years since the spirit first went into oak; of a mixture the youngest", "years", sql=_WHOLE),
    Column("oak_since", "day", "the day the spirit first went into oak"),
    Column("minimum_age_on", "day", "the day it reaches the house's minimum age"),
    Column("last_test", "map", "date, result and psi of the last test"),
    Column("test_age_days", "int", "since the last test", "days", sql=_days_since("json_extract(l.last_test, '$.date')")),
    Column("proved", "bool", "a pass, and no structural job or fail since"),
    Column("test_needed", "bool", "whether a pass is called for"),
    Column("test_valid", "bool", "proved, and not too long ago"),
    Column("examined", "bool", "examined, in time, and found sound or repaired"),
    Column("fails_this_visit", "int", "failed tests since receipt, return or emptying", "tests"),
    Column("staves", "int", "staves it has now", "staves"),
    Column("staves_replaced", "map", "how often each position was replaced; 14 and 14b of one entry are two at 14", "times"),
    Column("bung_stave_replacements", "int", "how often the bung stave was replaced", "times"),
    Column("original_stave_share", "text", "first staves left, of how many; unknown where no entry tells which went or came"),
    Column("hoops_replaced", "int", "hoops replaced", "hoops"),
    Column("heads_replaced", "int", "heads replaced", "heads"),
    Column("flagged", "map", "how often each joint was flagged", "times"),
    Column("donors", "list", "casks that gave parts"),
    Column("stave_mm", "real", "stave thickness, last measured", "mm"),
    Column("soaked", "real", "how deep the spirit has gone, as a share of the stave", "0 to 1"),
    Column("wine_held", "bool", "whether it ever held wine; unknown where neither its head, its entries nor what it inherits tell"),
    Column("open_defects", "list", "what is wrong and unanswered: at, defect, severity, event"),
    Column("open_leaks", "list", "leaks not closed: at, severity, since, event"),
    Column("taint", "bool", "whether it is tainted"),
    Column("treatments", "int", "treatments since the last clean nose", "treatments"),
    Column("wood_left", "real", "what the wood may still give, where the house reckons it", "0 to 1"),
    Column("joined", "list", "numbers that same-as made one with this one"),
    Column("old_marks", "list", "what stood on the head before: its numbers and marks elsewhere"),
    Column("loss_from", "day", "the first gauge of the present fill, else of the last one"),
    Column("loss_to", "day", "its last gauge"),
    Column("loss_litres_20", "real", "litres at 20 °C lost between them", "litres"),
    Column("loss_lpa", "real", "alcohol lost between them", "litres of pure alcohol"),
    Column("loss_share", "real", "the same as a share of what there was", "0 to 1"),
    Column("loss_per_year", "real", "yearly share lost: 1 - (LPA2/LPA1)^(1/years)", "0 to 1"),
    Column("loss_plus_minus", "real", "its measuring error, two standard deviations", "0 to 1"),
    Column(
        "loss_doubt",
        "text",
        "why it is in no sum of a report: gauges in contradiction, gain beyond error, no figure, gauge likely misread, entries that cannot be read",
    ),
)

EVENT: tuple[Column, ...] = (
    Column("cask", "text", "the cask's number; of an entry in a file that same-as joined, that of the cask which goes on"),
    Column("number", "text", "the number of the file that the entry stands in", sql="l.cask"),
    Column("id", "text", "the entry's id"),
    Column("date", "day", "the day the job was done"),
    Column("job", "text", "the job"),
    Column("by", "text", "initials, or shop-NAME"),
    Column("sheet", "text", "the paper or run it came from"),
    Column("note", "text", "the note"),
    Column("stands", "bool", "whether it counts: neither voided nor replaced"),
    Column("voided_by", "text", "the entry that put it out of force"),
    Column("litres", "real", "litres as measured", "litres"),
    Column("abv", "real", "strength at 20 °C", "% vol"),
    Column("psi", "real", "test pressure", "psi"),
    Column("vat", "text", "of a filling: the vat or batch"),
    Column("vat_litres", "real", "of a filling: what that vat held", "litres"),
    Column("work_minutes", "real", "time the work took", "minutes"),
    Column("material", "list", "what was used up"),
    Column("photo", "list", "photographs by their file names"),
    Column("berth", "text", "where the cask lay as it was done: where it was put, or taken from"),
    Column("store", "text", "the store that berth belongs to, by the settings of the day asked about"),
    Column("data", "map", "the whole entry as JSON; json_extract(data, '$.result') takes one field"),
)

FILL: tuple[Column, ...] = (
    Column("cask", "text", "the cask's number"),
    Column("event", "text", "the entry that filled it"),
    Column("n", "int", "which fill in this ledger, from 1"),
    Column("spirit", "text", "what went in"),
    Column("vat", "text", "the vat or batch that it was filled from"),
    Column("start", "day", "the day it was filled"),
    Column("end", "day", "the day it was emptied; unknown while it lasts", sql="nullif(f.\"end\", '?')"),
    Column(
        "days",
        "int",
        "from start to end, or to the day asked about",
        "days",
        sql='CAST(round(julianday(ifnull(f."end", d.iso)) - julianday(f.start)) AS INTEGER)',
    ),
    Column("litres", "real", "litres filled, as measured", "litres"),
    Column("abv", "real", "strength at filling", "% vol"),
    Column("is_spirit", "bool", "spirit, or a seasoning wine"),
    Column("short", "bool", "too short to count since char"),
    Column("berth", "text", "where it lies on the day asked about, or lay when it ended; of spirit"),
    Column("store", "text", "the store that berth belongs to"),
    Column("berth_filled", "text", "where it lay as it was filled"),
    Column("store_filled", "text", "the store of that berth, by the settings of the day asked about"),
    Column("berth_emptied", "text", "where it lay as the fill ended; unknown while it lasts"),
    Column("store_emptied", "text", "the store of that berth, likewise"),
    Column("loss_from", "day", "its first gauge that is used"),
    Column("loss_to", "day", "its last one"),
    Column("loss_litres_20", "real", "litres at 20 °C lost between them", "litres"),
    Column("loss_lpa", "real", "alcohol lost between them", "litres of pure alcohol"),
    Column("loss_share", "real", "the same as a share of what there was", "0 to 1"),
    Column("loss_per_year", "real", "yearly share lost: 1 - (LPA2/LPA1)^(1/years)", "0 to 1"),
    Column("loss_plus_minus", "real", "its measuring error, two standard deviations", "0 to 1"),
    Column(
        "loss_doubt",
        "text",
        "why it is in no sum of a report: gauges in contradiction, gain beyond error, no figure, gauge likely misread, entries that cannot be read",
    ),
    Column("number", "text", "the number of the file that the entry which filled it stands in", sql="ifnull(f.number, l.cask)"),
)

DUE: tuple[Column, ...] = (
    Column("cask", "text", "the cask's number"),
    Column("type", "text", "barrel, hogshead, butt …"),
    Column("berth", "text", "where it lies"),
    Column("rule", "text", ", ".join(DUE_NAMES)),
    Column("verdict", "text", "due, blocked, soon, at-emptying, unknown or ok"),
    Column("since", "day", "since when due, or when it becomes due"),
    Column("well_past", "bool", "whether the limit is far behind"),
    Column("reasons", "text", "why: sentences with numbers, one a line"),
    Column("decided", "text", "the decision that quiets it"),
    Column("changes_on", "day", "the day the verdict is another word if nothing is entered, nor what the files have of later days"),
)

LEDGER = Column("ledger", "text", "which ledger the row is of, as `export` names it; where several are asked")
"""The first column of every table where several ledgers are asked at once."""
TABLES: dict[str, tuple[Column, ...]] = {"cask": CASK, "event": EVENT, "fill": FILL, "due": DUE}


def describe(more: tuple[Column, ...] = ()) -> list[tuple[str, str, str, str, str]]:
    """(table, column, kind, unit, meaning) of everything that can be asked for; `more`: columns that stand first in each table."""
    kinds = {"bool": "0 or 1", "list": "JSON list", "map": "JSON map", "day": "ISO day"}
    return [(table, c.name, kinds.get(c.kind, c.kind), c.unit, c.meaning) for table, columns in TABLES.items() for c in (*more, *columns)]


def read_value(column: Column | None, value: object) -> object:
    """A stored value as machine-readable data: lists and maps as such, yes and no as true and false."""
    if value is None or column is None:
        return value
    if column.kind in ("list", "map") and isinstance(value, str):
        return json.loads(value)
    return bool(value) if column.kind == "bool" else value


def no_such(kind: str, name: str) -> str:
    """What to say of a column or a table (`kind`) that there is not, with the tables that have it, or the nearest name where one is close."""
    import difflib

    bare = name.strip('"').rpartition(".")[2].lower()
    having = [table for table, columns in TABLES.items() if bare in {column.name for column in columns}]
    if kind == "column" and having:
        return f"no such column: {name[:60]}; it is one of {' and '.join(having)}: `caskbook query --tables` lists them"
    known = sorted(TABLES if kind == "table" else {column.name for columns in TABLES.values() for column in columns} - {bare})
    close = difflib.get_close_matches(bare, known, 1, 0.6)
    hint = f"did you mean {close[0]}?" if close else "`caskbook query --tables` lists them"
    if name.startswith('"'):
        hint = f"{f'did you mean {close[0]}? ' if close else ''}text stands in single quotes: '{name.strip(chr(34))[:60]}'"
    return f"no such {kind}: {name[:60]}; {hint}"
