"""A vat that is kept, by a shift, by lines before or for all rows of a sheet: for which fillings it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from caskbook.core.vat_names import vat_key

if TYPE_CHECKING:
    from caskbook.entry.request import Request
    from caskbook.model.house import Settings

OF_VAT = ("vat", "vat_litres")
NONE = "none"
"""Typed for a field that is left out."""


def goes_along(request: Request, job: str, key: str, kept: Mapping[str, str], house: Settings) -> bool:
    """Whether a vat that is kept, or its litres, is for this line: not where the line says another spirit than was kept with it, in whatever
    spelling; and the litres not where it says another vat. `kept`: key → what is kept beside it."""
    spirit, vat = request.one("spirit", job), request.one("vat", job)
    if spirit is not None and not house.same_spirit(spirit, kept.get("spirit", spirit)):
        return False
    return key != "vat_litres" or (kept.get("vat", NONE) != NONE and vat_key(vat or kept["vat"]) == vat_key(kept["vat"]))
