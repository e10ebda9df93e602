"""The one declaration of the tables of an export: the writers go by it, and `export --schema` prints it."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from caskbook.export.columns import DECIMALS, Field, Table, of_query
from caskbook.model.query_columns import CASK, DUE, EVENT, FILL

SCHEMA = 1
"""The number of the schema: raised with whatever a reader of an older one would read wrongly. An export of another one is taken away whole."""
UNKNOWN_YEAR = "__HIVE_DEFAULT_PARTITION__"
"""The name that engines give to the part of which the value is unknown."""
_CASK_DROPPED = ("as_of", "last_test", "staves_replaced", "flagged", "open_defects", "open_leaks")
_PLACE = "a place on the cask: stave-14, joint-14, head-A-2 …"


def _text(name: str, meaning: str, *, null: bool = True) -> Field:
    return Field(name, "text", meaning, nullable=null)


def _day(name: str, meaning: str) -> Field:
    return Field(name, "date", meaning)


_NUMBER = _text("cask", "the cask's number", null=False)
_OF_MAPS = (
    Field("last_test_on", "date", "the day of the last test", source="last_test.date"),
    Field("last_test_result", "text", "how the last test ended", source="last_test.result"),
    Field("last_test_psi", "double", "test pressure of the last test", "psi", source="last_test.psi"),
    Field("places_replaced", "integer", "how many places were replaced, each a row of the table part", "places", source="#staves_replaced"),
    Field("places_flagged", "integer", "how many places were flagged, likewise", "places", source="#flagged"),
    Field("defects_open", "integer", "its rows in the table defect; unknown where it has none because nobody knows", "defects", source="#open_defects"),
    Field("leaks_open", "integer", "leaks not closed; unknown where the table leak has none because nobody knows", "leaks", source="#open_leaks"),
)
_GAUGE = (
    _NUMBER,
    _text("fill_event", "the entry that filled the cask", null=False),
    _text("event", "the entry that was the gauge"),
    _day("gauged_on", "the day of the gauge"),
    _text("job", "the job of that entry"),
    _text("how_measured", "meter, weigh or dip"),
    Field("litres_20", "decimal", "litres at 20 °C", "litres"),
    Field("abv", "double", "strength at 20 °C", "% vol"),
    Field("lpa", "decimal", "litres of pure alcohol, rounded as the house rounds", "litres of pure alcohol"),
    Field("brought_to_20", "boolean", "whether the litres were brought to 20 °C; without that they are as measured", nullable=False),
    Field("error_share", "double", "standard deviation of the alcohol as a share of it", "0 to 1"),
    Field("set_aside", "boolean", "whether it cannot be true beside the other gauges of the fill", nullable=False),
    _text("remark", "what is to be said of the figure, one a line"),
    _text("number", "the number of the file that the entry which was the gauge stands in", null=False),
)
_LEAK = (
    _NUMBER,
    _text("event", "the entry that told of it"),
    _day("found_on", "the day it was found"),
    _text("place", _PLACE),
    _text("severity", "weep, drip or run, as it was first seen"),
    _text("store", "the store in which the cask lay then"),
    _text("spirit", "what was in it"),
    Field("told_again", "integer", "how often it was entered again while it was open", "times", nullable=False),
    _text("outcome", "open, healed, repaired, emptied, left, no leak", null=False),
    _day(
        "ended_on",
        "the day it ended: it was found dry or mended, the cask was emptied or left; of one mended on the bench after the emptying that of the work; unknown while open",
    ),
    _text("ended_by", "the job that mended it"),
    _text("last_seen", "the word of the last look at it while it was open"),
    _text("number", "the number of the file that the entry which told of it stands in", null=False),
)
_RECEIPT = (
    _NUMBER,
    _day("received_on", "the day of the receipt"),
    _day("claims_to", "the last day for a claim; unknown where nothing tells of one"),
    _day("first_test_on", "the day of the first test before anything was filled in; unknown where there was none"),
    _text(
        "first_test",
        "pass; fail, also where it leaked and was cured in one go with the pass; else not yet tested, filled before any test or left before any test",
        null=False,
    ),
    _day("examined_on", "the first day on which it was looked into"),
    Field("faults_found", "integer", "entries of what can be claimed, up to the last day for a claim", "entries", nullable=False),
    _text("claim_decided", "the outcome of the last decision on a claim"),
    _day("left_on", "the day it left the book"),
)
_GIFT = (
    _text("donor", "the number of the cask that gave", null=False),
    _text("cask", "the number of the cask that has the parts", null=False),
    _text("kind", "stave, head or hoop; made-from where it was made from the donor's staves", null=False),
    Field("pieces", "integer", "how many; unknown where nobody counted, and of a lot made into several casks the same with each", "pieces"),
    _day("first_on", "the day of the first of them"),
)
_FINDING = (
    _text("code", "what `caskbook explain` tells of", null=False),
    _text("severity", "error, warning or note", null=False),
    _text("cask", "the number of the cask it is told of"),
    _text("file", "the file, from the ledger's folder on", null=False),
    Field("line_number", "integer", "the line, from 1", nullable=False),
    _text("message", "what was found, and what was expected", null=False),
    _text("help", "what to do"),
)
_SETTING = (
    _text("setting", "its name in house.yaml, as due.rechar.due_at; types.TYPE. before it where it is of a type alone", null=False),
    _day("since_on", "the first day it is in force; unknown where it is not dated, and so always was"),
    _text("setting_value", "what is written, a list or map as JSON"),
)

TABLES: tuple[Table, ...] = (
    Table(
        "event", "one entry of a cask's file, up to the day of the last export",
        of_query(EVENT, {"id": "event", "date": "done_on", "by": "done_by", "data": "entry_json"}, ("cask", "number", "event")), ("year",),
    ),
    Table("cask", "one cask on a day", (*of_query(CASK, {"prior": "held_before"}, ("cask",), _CASK_DROPPED), *_OF_MAPS), ("as_of",)),
    Table("due", "what one due rule says of one cask on a day", of_query(DUE, {"since": "since_on"}, ("cask", "rule", "verdict")), ("as_of",)),
    Table(
        "fill", "one fill of a cask, as of the day of the last export",
        of_query(FILL, {"n": "fill_number", "start": "filled_on", "end": "emptied_on", "days": "days_filled", "short": "too_short"}, ("cask", "fill_number", "number")),
    ),
    Table("gauge", "one gauge of a fill of spirit, brought to 20 °C", _GAUGE),
    Table("part", "one place of a cask at which something was replaced or flagged", (
        _NUMBER,
        _text("place", _PLACE, null=False),
        Field("replaced", "integer", "of a stave: how often it was replaced", "times"),
        Field("flagged", "integer", "of a joint: how often it was flagged", "times"),
    )),
    Table("defect", "what is wrong with a cask and unanswered", (
        _NUMBER,
        _text("event", "the entry that found it"),
        _text("place", _PLACE),
        _text("defect", "a defect word of the trade"),
        _text("severity", "1 slight, 2 to be mended, 3 grave; of a leak weep, drip or run"),
    )),
    Table("leak", "one leak of a filled cask and what came of it", _LEAK),
    Table("receipt", "what became of a received cask: claim, first test", _RECEIPT),
    Table("gift", "parts that one cask gave another", _GIFT),
    Table("finding", "what `caskbook check` says is wrong", _FINDING),
    Table("setting", "what house.yaml sets, from each day on", _SETTING),
)  # fmt: skip

BUCKETED = ("fill", "gauge", "part", "defect", "leak", "receipt")
"""Tables whose rows follow each from one cask, and are by cask: their files have the casks of one bucket each (`buckets.py`)."""
GIFT = "gift"
"""The table whose rows follow each from one cask too, and are few, and by giver: one file."""
_PARTS = (
    Field("ledger", "text", "the ledger's name, as paths can bear it; of every table the first folder, in SQLite a column", nullable=False),
    Field("as_of", "date", "the day that is told of; of cask and due a folder, in SQLite a column", nullable=False),
    Field("year", "integer", "the year of done_on; of event a folder, in SQLite a column"),
)


@cache
def table(name: str) -> Table:
    """The table of a name."""
    return next(one for one in TABLES if one.name == name)


def part_fields(of: Table) -> tuple[Field, ...]:
    """What the folders of a table say, as columns: the ledger, and what else it is parted by."""
    return tuple(field for field in _PARTS if field.name == "ledger" or field.name in of.parts)


def schema_data() -> dict[str, Any]:
    """The schema as data: {schema, decimals, tables: [{table, meaning, parts, columns: [{column, type, unit, meaning, nullable, part}]}]}."""
    return {
        "schema": SCHEMA, "decimals": DECIMALS,
        "tables": [
            {"table": one.name, "meaning": one.meaning, "parts": ["ledger", *one.parts],
             "columns": [*(_told(field, part=True) for field in part_fields(one)), *(_told(field, part=False) for field in one.fields)]}
            for one in TABLES
        ],
    }  # fmt: skip


def _told(field: Field, *, part: bool) -> dict[str, Any]:
    return {"column": field.name, "type": field.type, "unit": field.unit or None, "meaning": field.meaning, "nullable": field.nullable, "part": part}


def schema_text() -> str:
    """The same as JSON, as `export --schema` prints it and schemas/ keeps it."""
    return json.dumps(schema_data(), indent=2, ensure_ascii=False) + "\n"
