"""A figure typed once for several casks, or as a list with one for each."""

from __future__ import annotations

from caskbook.core.finding import CaskbookError
from caskbook.entry.fields import field_of
from caskbook.entry.request import Request
from caskbook.entry.terms import Terms, TypedError, split
from caskbook.entry.typed import read_field
from caskbook.words.plural import number_of


def figures_for_each(request: Request, key: str, count: int, terms: Terms) -> list[float] | None:
    """One figure for each of `count`: given once for all, or as a list."""
    text, option = request.one(key, "rack"), f"--{key.replace('_', '-')}"
    one = field_of("draw", "abv" if key == "abv" else "litres")
    if text is None or one is None:
        return None
    try:
        parts = text.split(";") if terms.settings.decimal_comma else split(text)  # There a comma is part of a figure.
        read = [read_field(one, [part.strip()], terms) for part in parts]
    except TypedError as error:
        raise CaskbookError(f"{option}: {str(error).partition(': ')[2]}") from None
    figures = [float(value) for value in read if type(value) in (int, float)]
    if len(figures) < len(read):
        raise CaskbookError(f"{option}: {text[:30]} is no figure; leave it out where nobody knows")
    if len(figures) not in (1, count):
        raise CaskbookError(f"{option}: {number_of(len(figures), 'figure')} for {number_of(count, 'cask')}: one for all, or one for each")
    return figures * count if len(figures) == 1 else figures
