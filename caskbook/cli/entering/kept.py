"""What is kept from line to line, by a shift or by the lines before: for which lines it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from caskbook.entry.kept_vat import NONE, OF_VAT, goes_along

if TYPE_CHECKING:
    from caskbook.entry.request import Request


def kept_for(job: str, given: Mapping[tuple[str, str], list[str]], usual: Mapping[str, str]) -> dict[str, str]:
    """Key → what is kept for a job by the lines before, or for all of the run; and the spirit that a shift keeps (`usual`)."""
    spirit = {key: text for key, text in usual.items() if key == "spirit"}
    return {**spirit, **{key: texts[-1] for (owner, key), texts in given.items() if owner == job}}


def holds(place: tuple[str, str], request: Request, kept: Mapping[str, str]) -> bool:
    """Whether what is kept is for this line: of one of its jobs, or of the run. What replaces an entry takes over what that says."""
    if place[1] in OF_VAT and not goes_along(request, *place, kept):
        return False
    return place[0] in ("run", "head file") or (place[0] in request.jobs and not any(key == "replaces" for _, key in request.given))


def vat_words(kept: Mapping[str, str]) -> str:
    """ "vat V12 of 800 L" as it is kept; nothing where none is."""
    vat, litres = kept.get("vat", NONE), kept.get("vat_litres", NONE)
    if vat == NONE:
        return ""
    return f"vat {vat}" + (f" of {litres}{' L' if litres.replace('.', '').isdecimal() else ''}" if litres != NONE else "")
