"""What a column of a register can be: the key by which a map names it, how its cells are read, and the headings it is known by."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

LEAVE_OUT = "leave-out"
ASK = "ask"
"""Stands in a first map where only a person can tell; a map that still holds it is not taken."""


@dataclass(frozen=True, slots=True)
class Key:
    """One key. `reads`: how a cell is read (`cask`, `day`, `when`, `count`, `liquor`, `figure`, `words`, or `field`, as that field of the
    head or of a job is typed). `field`: (job or `head file`, key of its model). `kind`: of a figure, which units it takes."""

    name: str
    reads: str
    says: str
    headings: tuple[str, ...]
    field: tuple[str, str] | None = None
    kind: str = ""


_HEAD = "head file"
_ROWS = (
    Key("cask", "cask", "the cask's number", ("cask", "cask no", "cask number", "number", "no", "nr", "cask id", "id", "barrel no", "barrel number", "serial")),
    Key("was", "mark", "an old mark, searchable; several columns may be", ("was", "old no", "old number", "old mark", "mark", "marks", "stencil", "previous no", "old cask no")),
    Key("type", "field", "cask type", ("type", "cask type", "kind", "size", "cask size", "barrel type"), (_HEAD, "type")),
    Key("capacity", "field", "what it holds, nominally", ("capacity", "cap", "vol", "volume", "nominal", "holds", "contents capacity", "size l"), (_HEAD, "capacity_l"), "litres"),
    Key("wood", "field", "the wood", ("wood", "oak", "species", "timber", "wood type", "oak type"), (_HEAD, "wood")),
    Key("maker", "field", "who made it", ("maker", "cooper", "cooperage", "made by", "manufacturer"), (_HEAD, "maker")),
    Key("made", "when", "year, month or day it was made", ("made", "year made", "year", "built", "date made", "made in"), (_HEAD, "made")),
    Key("staves", "field", "number of staves", ("staves", "no of staves", "stave count"), (_HEAD, "staves")),
    Key("heads", "heads", "pieces of head A and B, as 5/5", ("heads", "head pieces", "heading pieces"), (_HEAD, "heads")),
    Key("hoops", "field", "number of hoops", ("hoops", "no of hoops", "hoop count"), (_HEAD, "hoops")),
    Key("owner", "words", "whose it is", ("owner", "owned by", "customer", "client"), (_HEAD, "owner")),
    Key("supplier", "words", "who sold it", ("supplier", "vendor", "source", "bought from", "from", "broker"), (_HEAD, "supplier")),
    Key("parcel", "words", "the parcel it came in", ("parcel", "lot", "batch", "consignment", "delivery", "po", "order"), (_HEAD, "parcel")),
    Key("charred", "when", "last char before the book: day, month, year, `never`", ("charred", "last char", "last charred", "char date", "rechar", "recharred", "re charred", "rejuvenated", "last rechar"), (_HEAD, "charred")),
    Key("prior", "prior", "life before the book, oldest first: bourbon 1; oloroso 2", ("prior", "history", "previous fills"), (_HEAD, "prior")),
    Key("prior_contents", "liquor", "what it held before the book; `virgin` for nothing", ("prior contents", "previous contents", "previous fill", "seasoning", "ex", "previously held", "previous", "previous spirit", "wood history", "cask history")),
    Key("prior_fills", "count", "fills before the book, the present one not counted", ("prior fills", "previous fills", "fills before", "times filled before")),
    Key("fills_in_all", "count", "fills in its life, the present one counted", ("fills in all", "total fills", "fills", "no of fills", "fill no", "fill number", "times filled", "uses")),
    Key("prior_emptied", "when", "when it was last emptied, before the book", ("prior emptied", "emptied", "last emptied", "dumped", "date emptied", "disgorged", "date dumped")),
    Key("prior_evidence", "words", "how the life before is known: declaration, stencil …", ("evidence",)),
    Key("note", "words", "kept as words; several columns may be", ("note", "notes", "remark", "remarks", "comment", "comments", "memo", "observations")),
    Key("received", "day", "the day it came to the house", ("received", "date received", "arrived", "arrival", "date in", "delivered", "delivery date", "purchased", "date purchased", "bought", "recd", "rec"), ("receive", "date")),
    Key("verdict", "field", "how it was taken in: accept, hold, reject", ("verdict", "taken in"), ("receive", "verdict")),
    Key("state", "state", "how it stands: full, empty, in stock, sold, scrapped, returned, broken up, retired, sent away …", ("state", "status", "condition", "disposal", "disposition", "fate", "outcome"), ("dispose", "how")),
    Key("left", "day", "the day on which it left: of those that are gone", ("left", "date left", "left on", "date out", "out", "out on", "gone", "date gone", "departed", "disposed", "date disposed", "disposal date", "sold", "date sold", "sale date", "scrapped", "date scrapped", "returned", "date returned", "retired", "date retired", "broken up", "date broken up"), ("dispose", "date")),
    Key("left_to", "words", "to whom or where it went", ("left to", "sold to", "sent to", "returned to", "went to", "to whom", "to", "buyer", "bought by", "destination"), ("dispose", "to")),
    Key("left_why", "words", "why it left", ("left why", "why", "why left", "reason", "reasons", "reason left", "reason for leaving", "reason retired"), ("retire", "reasons")),
    Key("approved_by", "words", "who signed that it is retired", ("approved by", "approved", "signed by", "signed", "authorised by", "authorized by"), ("retire", "approved_by")),
    Key("contents", "liquor", "empty, or what is in it", ("contents", "content", "status", "state", "full empty", "in it"), ("receive", "contents")),
    Key("spirit", "liquor", "the spirit that is in it", ("spirit", "liquor", "make", "mash", "spirit type", "product", "fill type"), ("receive", "spirit")),
    Key("filled", "day", "since when it is full of what is in it", ("filled", "date filled", "fill date", "filling date", "filled on", "last filled", "entry date", "laid down", "fill"), ("fill", "date")),
    Key("filled_litres", "field", "litres on that day", ("filled litres", "fill litres", "litres filled", "original litres", "fill volume", "original volume", "bulk litres filled", "gallons filled", "fill vol", "rl filled", "filled rl"), ("receive", "litres"), "litres"),
    Key("filled_abv", "field", "strength on that day", ("filled abv", "fill abv", "fill strength", "filling strength", "original strength", "original abv", "entry proof", "fill proof"), ("receive", "abv"), "abv"),
    Key("filled_temp", "field", "temperature of the litres on that day", ("filled temp", "fill temp", "fill temperature", "filling temperature"), ("receive", "temp_c"), "temp_c"),
    Key("vat", "words", "the vat or batch it was filled from, that day", ("vat", "vat no", "vat number", "vat id", "fill batch", "filled from", "tun"), ("fill", "vat")),
    Key("vat_litres", "field", "litres that the vat held for all its casks", ("vat litres", "vat liters", "vat volume", "vat vol", "litres in vat", "vat held", "vat total"), ("fill", "vat_litres"), "litres"),
    Key("oak_since", "day", "the day the spirit first went into oak", ("oak since", "distilled", "date distilled", "distillation date", "age from", "first filled"), ("receive", "oak_since")),
    Key("gauged", "day", "the day of the last gauge", ("gauged", "regauged", "date gauged", "gauge date", "regauge date", "last gauge", "last regauge", "last gauged", "last regauged"), ("regauge", "date")),
    Key("litres", "field", "litres by the last gauge", ("litres", "liters", "litres now", "current litres", "bulk litres", "current volume", "regauge litres", "gauged litres", "litres gauged"), ("receive", "litres"), "litres"),
    Key("abv", "field", "strength by the last gauge", ("abv", "strength", "current abv", "current strength", "proof", "regauge abv", "gauged abv", "abv gauged", "alc", "alcohol"), ("receive", "abv"), "abv"),
    Key("temp", "field", "temperature of the litres of the last gauge", ("temp", "temperature", "gauged temp", "gauge temp", "gauge temperature"), ("receive", "temp_c"), "temp_c"),
    Key("gauge_method", "field", "how it was gauged: meter, weigh, dip", ("gauge method", "method", "gauged by"), ("regauge", "method")),
    Key("at_20", "flag", "yes: litres are at 20 °C", ("at 20", "at 20 c", "corrected"), ("receive", "at_20")),
    Key("tested", "day", "the day of the last test", ("tested", "date tested", "test date", "last test", "last tested", "pressure test", "air test"), ("test", "date")),
    Key("test_result", "field", "pass or fail", ("test result", "result", "pass fail", "test pass"), ("test", "result")),
    Key("test_psi", "field", "pressure of the last test", ("test psi", "psi", "test pressure", "pressure", "bar", "test bar"), ("test", "psi"), "psi"),
    Key("test_water", "field", "water put in at the last test", ("test water", "water", "test litres"), ("test", "water_l"), "litres"),
    Key("test_method", "field", "air or water", ("test method",), ("test", "method")),
    Key("berth", "words", "where it lies", ("berth", "location", "loc", "position", "place", "bay", "rack", "row", "warehouse", "store", "whse", "site"), ("receive", "berth")),
    Key("stow", "field", "bilge, upright-A or upright-B", ("stow", "stowed", "orientation"), ("receive", "stow")),
)  # fmt: skip
KEYS: Mapping[str, Key] = {row.name: row for row in _ROWS}
MANY = ("was", "note")
"""Several columns may be one of these."""
DAYS = tuple(row.name for row in _ROWS if row.reads in ("day", "when"))
EVERY_ROW = tuple(name for name in KEYS if name not in ("cask", "was"))
"""What may be said once for every row: only what no column tells."""

_LEADS = ("filled_", "")
_OF_GONE = ("state", "left", "left_to", "left_why", "approved_by")
_STAYING = {row.field[0] for row in _ROWS if row.field and row.name not in _OF_GONE} | {"note"}
"""Jobs of the entries that a row makes; another one is that by which its cask left."""
_OF_LEAVING = {"date": ("left",), "to": ("left_to",), "why": ("left_why",), "reasons": ("left_why",), "approved_by": ("approved_by",)}
_PRIOR = ("prior", "prior_contents", "prior_fills", "fills_in_all", "prior_emptied")


def keys_for(job: str, field: str) -> tuple[str, ...]:
    """The keys that may tell a field of an entry, or with `head file` one of the head, the likeliest first."""
    if job not in _STAYING:
        return _OF_LEAVING.get(field, ("state",))
    direct = tuple(key.name for key in KEYS.values() if key.field == (job, field))
    if (job, field) == (_HEAD, "prior"):
        return _PRIOR
    if job in ("fill", "receive") and (now := {"litres": "litres", "abv": "abv", "temp_c": "temp"}.get(field)):
        return tuple(lead + now for lead in _LEADS)
    if job == "regauge":
        return direct or tuple(name for name in ("litres", "abv", "temp") if name == field.removesuffix("_c"))
    if job in ("fill", "receive"):
        return direct or tuple(key.name for key in KEYS.values() if key.field == ("receive", field))
    return direct or (field,)
