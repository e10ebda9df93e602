"""What a line of a list or map of house.yaml is made of: people, suppliers, saved questions."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

IsoDay = Annotated[date, Field(strict=False)]


class Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True, strict=True)


class Person(Part):
    """One of the crew; never removed, given an `until` instead."""

    initials: str = Field(min_length=1, max_length=12)
    name: str | None = None
    from_: IsoDay | None = Field(None, alias="from")
    until: IsoDay | None = None


def strange_signature(crew: Sequence[Person], signed: str) -> bool:
    """Whether what stands under an approval is initials that nobody of the crew has; a name written out may be anybody's, and a house may name no crew."""
    known = {word for person in crew for word in (person.initials, person.name) if word}
    return bool(crew) and signed not in known and re.fullmatch(r"[^\W\d_]{1,4}", signed) is not None


class Question(Part):
    """A saved question of `query`: what its table is called, and the SQL that makes it."""

    title: str = Field(min_length=1, max_length=200)
    sql: str = Field(min_length=1, max_length=100_000)


class Supplier(Part):
    """A supplier and the days within which it takes claims."""

    name: str | None = None
    claim_days: int = Field(30, ge=0, le=3650)


def prefix_of(prefixes: Iterable[str], berth: str | None) -> str | None:
    """The longest of these beginnings of berths that a berth has, a number at their end being whole: W1 begins W1/05, and not W10/05."""
    return None if berth is None else _longest(tuple(prefixes), berth)


@lru_cache(maxsize=65536)  # A cask lies at few berths, and each is asked for at every move of every life.
def _longest(prefixes: tuple[str, ...], berth: str) -> str | None:
    return max((one for one in prefixes if _begins(one, berth)), key=len, default=None)


def _begins(prefix: str, berth: str) -> bool:
    return berth.startswith(prefix) and not (prefix[-1:].isdigit() and berth[len(prefix) :][:1].isdigit())
