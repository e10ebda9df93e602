"""Figures as they are typed: one parser for all input, the conversions it echoes, and the slips it can name."""

from caskbook.gauging.units.parse import (
    AmbiguousUnit,
    House,
    Quantity,
    UnitError,
    parse_quantity,
    plain_number,
)
from caskbook.gauging.units.slips import likely_slip
from caskbook.gauging.units.tables import KINDS, kept_of

__all__ = [
    "KINDS",
    "AmbiguousUnit",
    "House",
    "Quantity",
    "UnitError",
    "kept_of",
    "likely_slip",
    "parse_quantity",
    "plain_number",
]
