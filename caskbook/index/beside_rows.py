"""What reports alone tell of one life, as the tables `service`, `told` and `turns` keep it."""

from __future__ import annotations

from typing import NamedTuple

from caskbook.index.service import service_row
from caskbook.index.told import told_row
from caskbook.index.turns import turns_row
from caskbook.life import Life


class Beside(NamedTuple):
    """What each of the tables of these names keeps of a life; empty, or None in each place, where there is nothing to keep."""

    service: str
    told: tuple[str | None, ...]
    turns: str


def beside_row(life: Life) -> Beside:
    """The rows of one life."""
    return Beside(service_row(life), told_row(life), turns_row(life))
