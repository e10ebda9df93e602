"""What the check finds in the entries of a review: what cannot be so, and what is against the house's rules, each under its heading."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from caskbook.review import Against, Review
from caskbook.review.days import MANY_CASKS, named

ERRORS = "errors, which the check finds in what was entered"
AGAINST = "against the house's rules"


def judged(found: Review) -> Iterator[tuple[str, list[str]]]:
    """Each heading that has something below it, with its lines: errors first."""
    if found.errors:
        yield ERRORS, alike((one.cask, _said(one, "")) for one in found.errors)
    if found.against:
        yield AGAINST, alike((one.cask, _said(one, "; no reason given")) for one in found.against)


def _said(one: Against, without: str) -> str:
    """The entry, the fault, the reason that was written with it (`without`: where there is none), and whose it is."""
    return f"{one.text}: {one.fault}" + (f'; "{one.why}"' if one.why else without) + (f" ({one.by})" if one.by else "")


def judged_data(told: Iterable[Against]) -> list[dict[str, Any]]:
    """The same as data."""
    return [{"cask": one.cask, "event": one.event, "code": one.code, "text": one.text, "fault": one.fault, "why": one.why, "by": one.by} for one in told]


def alike(told: Iterable[tuple[str, str]]) -> list[str]:
    """A line for each (cask, text); one for all casks of which the same is to be told, where they are many."""
    casks: dict[str, list[str]] = {}
    for cask, text in told:
        casks.setdefault(text, []).append(cask)
    lines: list[str] = []
    for text, of in casks.items():
        lines += [f"{len(of)} casks {text} ({named(of)})"] if len(of) >= MANY_CASKS else [f"{cask} {text}" for cask in of]
    return lines
