"""The short forms for fields that hold a list of small maps: "stave-1 cracked 2; joint-3 weep", "joint-1, head-A"."""

from __future__ import annotations

import re
from typing import Any

from caskbook.entry.bench_words import refuse_no_leak
from caskbook.entry.terms import Terms, TypedError, cask_id, number, place, spirit, when
from caskbook.ledger.files import is_cask_id
from caskbook.model.places import PlaceError
from caskbook.words import AmbiguousWord, UnknownWord, canonical
from caskbook.words.lookup import is_never_filled

_LEAK_AT = {"joint": "joint-leak", "head": "head-leak", "croze": "croze-leak", "chime": "stave-end-leak"}


def findings(text: str, terms: Terms) -> list[dict[str, Any]]:
    """PLACE DEFECT [SEVERITY 1–3] [DEPTH as 1/3 or 30%], one after the other with semicolons."""
    return [_finding(part, terms) for part in _parts(text, ";")]


def _parts(text: str, marks: str) -> list[str]:
    return [part.strip() for part in re.split(f"[{marks}]", text) if part.strip()]


def _finding(text: str, terms: Terms) -> dict[str, Any]:
    """One finding as typed, `PLACE DEFECT [1-3] [depth]`, as a map. TypedError where a part of it cannot be read."""
    at, rest = _placed(text, terms)
    found: dict[str, Any] = {"at": at}
    words, tail = list(rest), dict[str, Any]()
    while words and re.match(r"[0-9(]", words[-1]):
        figure = words.pop().strip("()")
        if re.fullmatch(r"[1-3]", figure):
            tail["severity"] = int(figure)
        elif re.fullmatch(r"[0-9]+", figure):
            raise TypedError(f"'{figure}' is no severity: 1 slight, 2 to be mended, 3 grave")
        else:
            tail["depth"] = number(figure, "fraction", terms)
    if not words:
        raise TypedError(f"what is wrong at {at}? as: {at} cracked 2")
    found["defect"] = _defect(" ".join(words), at, terms)
    return found | {key: tail[key] for key in ("severity", "depth") if key in tail}


def _defect(text: str, at: str, terms: Terms) -> str:
    """The defect meant by a word, that of a leak by its place. UnknownWord or TypedError, with the nearest word of either list."""
    try:
        canonical("leak", text)
    except (UnknownWord, AmbiguousWord) as error:
        try:
            return canonical("defect", text)
        except UnknownWord as unknown:
            near = getattr(error, "nearest", None)
            if near and not unknown.nearest:
                raise TypedError(f"{unknown}: did you mean {near}?") from None
            raise
    word = _LEAK_AT.get(at.split("-")[0], "leak")
    terms.echoes.append(f"{text} at {at} written as {word}")
    return word


def _placed(text: str, terms: Terms) -> tuple[str, list[str]]:
    """The place that the text begins with, and the words behind it."""
    words = text.replace(":", " ").split()
    for count in range(min(4, len(words)), 0, -1):
        try:
            return place(" ".join(words[:count]), terms), words[count:]
        except PlaceError as error:
            if count == 1:
                raise PlaceError(str(error)) from None
    raise PlaceError("say where: as stave-14, joint-3, head-A")


def leaks(text: str, terms: Terms) -> list[dict[str, Any]]:
    """PLACE [KIND], with commas or semicolons."""
    found = []
    for part in _parts(text, ";,"):
        at, rest = _placed(part, terms)
        kind = {"kind": _leak_kind(" ".join(rest), at, terms)} if rest else {}
        found.append({"at": at, **kind})
    return found


def _leak_kind(text: str, at: str, terms: Terms) -> str:
    """What leaked; a hoop that is loose is no leak, and a second place is one by itself."""
    refuse_no_leak(text, at)
    return _defect(text, at, terms)


def parents(text: str, terms: Terms) -> list[dict[str, Any]]:
    """CASK [STAVES], or what an unnumbered parent was [STAVES], with semicolons or commas."""
    found: list[dict[str, Any]] = []
    for part in _parts(text, ";,"):
        words = part.split()
        staves = {"staves": int(words.pop())} if len(words) > 1 and words[-1].isdecimal() else {}
        name = " ".join(words)
        key = "cask" if is_cask_id(name.upper()) else "unnumbered"
        found.append({key: name.upper() if key == "cask" else name, **staves})
    return found


_LIQUOR = re.compile(r"[^\W\d_]+(?:['’./-]+[^\W\d_]+)*\.?")
"""A word of what a cask held: letters, however they are joined; no figure and no sign."""


def prior(text: str, terms: Terms) -> list[dict[str, Any]]:
    """CONTENTS [FILLS] [emptied, 2015-01], oldest first, with semicolons; `virgin` for none."""
    if is_never_filled(text):
        return []
    if text.strip().casefold() in ("never", "nothing", "no", "empty"):
        raise TypedError(f"'{text.strip()}' is no contents: `virgin` where it never held anything; where nobody knows, leave it out")
    found: list[dict[str, Any]] = []
    for part in _parts(text, ";,"):
        words = part.split()
        entry: dict[str, Any] = {}
        if len(words) > 1 and re.fullmatch(r"[0-9]{4}(-[0-9]{2}){0,2}", words[-1]):
            entry["emptied"] = when(words.pop())
        if len(words) > 1 and re.fullmatch(r"[0-9]{1,2}|\?|unknown", words[-1]):
            count = words.pop()
            if count != "?":
                entry["fills"] = int(count) if count.isdecimal() else count
        if not all(_LIQUOR.fullmatch(word) for word in words):
            raise TypedError(f"'{part[:30]}' is not CONTENTS FILLS [emptied]: as bourbon 1 2015-01")
        own = ("fills", "emptied")
        found.append({"contents": _contents(" ".join(words), terms)} | {str(key): entry[key] for key in own if key in entry})
    return found


def _contents(text: str, terms: Terms) -> str:
    if is_never_filled(text):
        raise TypedError(f"'{text[:30]}' is no contents: `virgin` alone where it never held anything")
    try:
        return canonical("wine", text)
    except (UnknownWord, AmbiguousWord):
        return spirit(text, terms.settings)


def dims(text: str, terms: Terms) -> dict[str, float]:
    """bung 660 head 560 length 840, in mm or another unit."""
    pairs = re.findall(r"(bung|head|length)\s*[:=]?\s*([0-9]+(?:[.,][0-9]+)?\s*[A-Za-z\"]*?)(?=\s*(?:[,;]|bung|head|length|$))", text)
    if not pairs:
        raise TypedError("write it as: bung 660 head 560 length 840")
    return {name: number(figure.strip(), "mm", terms) for name, figure in pairs}


def racked(text: str, terms: Terms) -> list[dict[str, Any]]:
    """CASK LITRES [STRENGTH], with semicolons."""
    found = []
    for part in _parts(text, ";"):
        words = part.split()
        if len(words) not in (2, 3):
            raise TypedError(f"'{part[:30]}' is not CASK LITRES STRENGTH: as TH-004217 180 60.1")
        strength = {"abv": number(words[2], "abv", terms)} if len(words) == 3 else {}
        found.append({"cask": cask_id(words[0]), "litres": number(words[1], "litres", terms), **strength})
    return found
