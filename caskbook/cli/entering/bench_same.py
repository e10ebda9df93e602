"""`same` at the bench: the line before once more, on other casks."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING

from caskbook.entry.kept_vat import OF_VAT, goes_along

if TYPE_CHECKING:
    from caskbook.entry.request import Request
    from caskbook.model.house import Settings

_NOT_AGAIN = ("answers", "of", "replaces", "closes", "sheet", "before", "was")
"""Fields that hang on the cask of their line."""


def as_last(last: Request, words: Sequence[str], of_shift: Collection[tuple[str, str]], day: str, house: Settings) -> Request:
    """The request of `last` on the casks of these words, with what they say otherwise; what hangs on its own cask is left out.

    `of_shift`: the places that the shift says; `day`: the day of the entry, in ISO form, since `yesterday` is another one after midnight.
    CaskbookError where the words cannot be read.
    """
    from caskbook.entry.request import Request, read_request

    typed = read_request(["+".join(last.jobs), *words])
    old = {place: [*texts] for place, texts in last.given.items() if place[0] != "run" and place[1] not in _NOT_AGAIN and place not in of_shift}
    for job in typed.jobs:
        before = {key: texts[-1] for (owner, key), texts in last.given.items() if owner == job}
        for key in OF_VAT:
            if not goes_along(typed, job, key, before, house):
                old.pop((job, key), None)
    if last.has("anyway"):
        old["run", "anyway"] = [*last.given["run", "anyway"]]
    if last.has("date"):
        old["run", "date"] = [day]
    if ("test", "result") in typed.given:
        old = {place: texts for place, texts in old.items() if place not in (("test", "leaks"), ("test", "cured_by"))}
    return Request(typed.jobs, typed.casks, {**old, **typed.given}, typed.named)
