"""Exact unit constants and the conversions between the trade's units and the ledger's."""

from __future__ import annotations

LITRES_PER_US_GALLON = 3.785411784
"""231 cubic inches of 25.4 mm, exact."""
LITRES_PER_UK_GALLON = 4.54609
"""The imperial gallon, Weights and Measures Act 1985 (line from memory), exact."""
MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
STANDARD_GRAVITY = 9.80665
MM3_PER_LITRE = 1_000_000.0


def celsius(temp_f: float) -> float:
    """°F to °C."""
    return (temp_f - 32.0) / 1.8


def fahrenheit(temp_c: float) -> float:
    """°C to °F."""
    return temp_c * 1.8 + 32.0


SIXTY_F = celsius(60.0)
"""The reference temperature of United States gauging, in °C."""
