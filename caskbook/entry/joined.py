"""Entering on a number under which the cask's life does not go on: refused, with the number on which it does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskbook.core.finding import CaskbookError

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request

ALLOWED = ("same-as",)
"""Jobs that may be written under such a number all the same: they put the numbers themselves right."""


def refuse_joined(desk: Desk, request: Request) -> None:
    """CaskbookError for the first such number, unless it shall be written anyway."""
    if request.anyway or all(job in ALLOWED for job in request.jobs):
        return
    joins = desk.joins()
    for cask in request.casks:
        if cask in joins:
            raise CaskbookError(same_cask(cask, joins[cask]))


def same_cask(cask: str, goes_on: str) -> str:
    """Where to enter instead."""
    return f"{cask} is the same cask as {goes_on}: enter on that one, or add --anyway --why …"
