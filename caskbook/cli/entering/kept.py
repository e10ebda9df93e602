"""What is kept from line to line, by a shift or by the lines before: for which lines it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.entry.request import Request

OF_VAT = ("vat", "vat_litres")
_NONE = "none"
"""Typed for a field that is left out."""


def kept_for(job: str, given: Mapping[tuple[str, str], list[str]], usual: Mapping[str, str]) -> dict[str, str]:
    """Key → what is kept for a job by the lines before, or for all of the run; and the spirit that a shift keeps (`usual`)."""
    spirit = {key: text for key, text in usual.items() if key == "spirit"}
    return {**spirit, **{key: texts[-1] for (owner, key), texts in given.items() if owner == job}}


def holds(place: tuple[str, str], request: Request, kept: Mapping[str, str]) -> bool:
    """Whether what is kept is for this line: of one of its jobs, or of the run. What replaces an entry takes over what that says."""
    if place[1] in OF_VAT and not goes_along(request, *place, kept):
        return False
    return place[0] in ("run", "head file") or (place[0] in request.jobs and not any(key == "replaces" for _, key in request.given))


def goes_along(request: Request, job: str, key: str, kept: Mapping[str, str]) -> bool:
    """Whether a vat that is kept, or its litres, is for this line: not where the line says another spirit than was kept with it; and the
    litres not where it says another vat. `kept`: key → what is kept beside it."""
    from caskbook.core.vat_names import vat_key
    from caskbook.words.spelling import fold

    spirit, vat = request.one("spirit", job), request.one("vat", job)
    if spirit is not None and fold(spirit) != fold(kept.get("spirit", spirit)):
        return False
    return key != "vat_litres" or (kept.get("vat", _NONE) != _NONE and vat_key(vat or kept["vat"]) == vat_key(kept["vat"]))


def vat_words(kept: Mapping[str, str]) -> str:
    """ "vat V12 of 800 L" as it is kept; nothing where none is."""
    vat, litres = kept.get("vat", _NONE), kept.get("vat_litres", _NONE)
    if vat == _NONE:
        return ""
    return f"vat {vat}" + (f" of {litres}{' L' if litres.replace('.', '').isdecimal() else ''}" if litres != _NONE else "")
