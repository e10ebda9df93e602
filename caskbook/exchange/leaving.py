"""The entry by which a cask of a register left, and what stands against it.

What an entry of leaving cannot be without (its day, who signed, where it was sent) is never made up: the row is refused.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from caskbook.exchange.contents import Contents, Refuse
from caskbook.exchange.states import way_of

EMPTY_ONLY = ("broken-up", "retired", "scrapped")
_WANTS = {"sent-away": (("left_to", "to where"), ("left_why", "why")), "retired": (("left_why", "why"), ("approved_by", "who signed"))}


def refuse_leaving(known: Mapping[str, Any], refuse: Refuse) -> None:
    """A fault for what a row's leaving lacks, for days after it, and for a leaving that the row does not say how or contradicts."""
    way, day = way_of(known), known.get("left")
    if way is None:
        if day is not None and "state" in known:
            refuse("state", "left-and-in-stock", f"{known['state']}, and it left on {day}", "put one of them right")
        elif day is not None:
            refuse("state", "left-how-not-known", f"it left on {day}, and how is not told", "say it in a column that is `state`: sold, scrapped, returned …")
        return
    if day is None:
        remedy = "give the day, or leave the row out: an entry has a day, and this one is not made up"
        refuse("left", "left-without-day", f"{_plain(way)}, and on which day is not known", remedy)
    for key, what in _WANTS.get(way, ()):
        if key not in known:
            others = " or, where it is gone, say in the map what the word means: `words: {…}` of its column"
            refuse(
                key,
                "leaving-lacks",
                f"{_plain(way)}, and {what} is not told: an entry of it says so",
                f"add a column that is `{key}`, or say it in every_row;{others}",
            )
    for key in ("received", "filled", "oak_since", "gauged", "tested"):
        if isinstance(day, date) and key in known and known[key] > day:
            refuse(key, "after-it-left", f"{known[key]}, and it left on {day}", "put one of the days right")


def refuse_full(known: Mapping[str, Any], contents: Contents | None, refuse: Refuse) -> None:
    """A fault where a cask went in a way in which only an empty one can go, and the row tells what is in it."""
    way = way_of(known)
    if way in EMPTY_ONLY and contents is not None and contents.word is not None:
        remedy = "put one of them right; what it held before belongs in a column that is `prior_contents`"
        refuse("state", "contents-contradict", f"{_plain(way)}, and full of {contents.word}", remedy)


def leaving_entry(known: Mapping[str, Any]) -> tuple[dict[str, Any], tuple[str, ...]]:
    """(the entry by which it left, the keys of the row that it takes up)."""
    way, day = way_of(known), known["left"]
    to = {"to": known["left_to"]} if "left_to" in known else {}
    if way == "broken-up":
        return {"date": day, "job": "break-up"}, ()
    if way == "missing":
        return {"date": day, "job": "missing"}, ()
    if way == "sent-away":
        return {"date": day, "job": "send", **to, "why": known["left_why"]}, ("left_to", "left_why")
    if way == "retired":
        return {"date": day, "job": "retire", "reasons": [known["left_why"]], "approved_by": known["approved_by"]}, ("left_why", "approved_by")
    return {"date": day, "job": "dispose", "how": way, **to}, ("left_to",)


def _plain(way: str) -> str:
    return way.replace("-", " ")
