"""Lengths typed without a unit: read as mm, and where no cask is that small, asked about before anything is computed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import log

from caskbook.cli.common import say
from caskbook.core.finding import CaskbookError
from caskbook.gauging.units import UnitError, parse_quantity

_UNITS = (("in", "inches"), ("cm", "centimetres"))
SMALLEST_L = 0.5
"""No wooden cask that anybody gauges holds less: common practice, no source."""
_CASKS_L = (1.0, 20_000.0)
_USUAL_L, _USUAL_HEAD_MM = 200.0, 530.0
Holds = Callable[[Mapping[str, float]], float]


def head_of(share: float) -> Holds:
    """About what a cask holds whose head is `share` times the one length given: it goes with the cube of it."""
    return lambda mm: _USUAL_L * (share * next(iter(mm.values())) / _USUAL_HEAD_MM) ** 3


def lengths(typed: Mapping[str, str], holds: Holds) -> dict[str, float]:
    """Option name → mm, unrounded. `holds`: the litres of a cask of these lengths, a ValueError where there is none such.

    Where as typed it would hold nearly nothing, and bare figures make a cask in inches or centimetres, that is asked on a
    terminal and refused elsewhere, with the line to type.
    """
    read = {name: _read(name, text) for name, text in typed.items()}
    found = {name: value for name, (value, _, _) in read.items()}
    bare = [name for name, (_, unit, _) in read.items() if not unit]
    size = _size(found, holds)
    if size is not None and size >= SMALLEST_L:
        return _echoed(read, found)
    for unit, word in _likely(typed, found, bare, holds):
        meant = " ".join(f"--{name} {text}{unit if name in bare else ''}" for name, text in typed.items())
        ask_unit(f"did you mean {word}: {meant}?", f"{', '.join(f'--{name} {typed[name]}' for name in bare)} in mm is no cask")
        return lengths({name: f"{text}{unit if name in bare else ''}" for name, text in typed.items()}, holds)
    if size is not None:
        told = " ".join(f"--{name} {text}" for name, text in typed.items())
        raise CaskbookError(f"{told} is about {size:.2g} L, and no cask is as small: give figures and units anew")
    return _echoed(read, found)


def _read(name: str, text: str) -> tuple[float, str, str | None]:
    try:
        quantity = parse_quantity(text, "mm")
    except UnitError as error:
        raise CaskbookError(f"--{name}: {error}") from None
    return quantity.exact, quantity.unit, quantity.echo


def _echoed(read: Mapping[str, tuple[float, str, str | None]], found: dict[str, float]) -> dict[str, float]:
    for _, _, echo in read.values():
        if echo:
            say(echo)
    return found


def _size(found: Mapping[str, float], holds: Holds) -> float | None:
    try:
        return holds(found)
    except ValueError:
        return None


def _likely(typed: Mapping[str, str], found: Mapping[str, float], bare: list[str], holds: Holds) -> list[tuple[str, str]]:
    """The units that make a cask of it, that of the likeliest size first."""
    sizes: list[tuple[float, tuple[str, str]]] = []
    for unit, word in _UNITS if bare else ():
        size = _size({name: parse_quantity(f"{typed[name]}{unit}", "mm").exact if name in bare else value for name, value in found.items()}, holds)
        if size is not None and _CASKS_L[0] <= size <= _CASKS_L[1]:
            sizes.append((abs(log(size / _USUAL_L)), (unit, word)))
    return [unit for _, unit in sorted(sizes)]


def ask_unit(question: str, why: str) -> None:
    """Go on if the answer is yes; CaskbookError else, or where there is nobody to ask."""
    from caskbook.cli.entering.ask import DeclinedError, on_terminal, yes_no

    if on_terminal():
        try:
            if yes_no(f"{question} [Y/n] ", "y"):
                return
        except DeclinedError:
            pass
    raise CaskbookError(f"{why}: {question}")
