"""A vat's name as it is compared: in its accounts, in what a fill is held against at entry, and in lists."""

from __future__ import annotations


def vat_key(vat: str) -> str:
    """A vat's name, capitals and blanks aside."""
    return " ".join(vat.split()).casefold()
