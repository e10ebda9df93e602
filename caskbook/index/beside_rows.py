"""What reports alone tell of one life, as the tables of these names keep it: `service`, `told`, `turns`, `gauges`, `losses` and `fill`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from caskbook.index.fill_rows import fill_rows
from caskbook.index.gauges import gauges_row
from caskbook.index.losses import losses_row
from caskbook.index.report_facts import told_row
from caskbook.index.service import service_row
from caskbook.index.turns import turns_row
from caskbook.life import Life
from caskbook.loss.fills import FillLoss


class Beside(NamedTuple):
    """What each of the tables of these names keeps of a life; empty, or None in each place, where there is nothing to keep."""

    service: str
    told: tuple[str | None, ...]
    turns: str
    gauges: str
    losses: tuple[str, str, str] | None
    fills: list[tuple[Any, ...]]


def beside_row(life: Life, losses: Sequence[FillLoss]) -> Beside:
    """The rows of one life; `losses`: of its fills of spirit, the latest first."""
    return Beside(service_row(life), told_row(life), turns_row(life), gauges_row(life, losses), losses_row(life, losses), fill_rows(life, losses))
