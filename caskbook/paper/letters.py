"""Letters on paper: how wide a text is, which signs the letters have, and a text made to fit."""

from __future__ import annotations

import unicodedata
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from caskbook.core.extra import library
from caskbook.paper.shapes import Words

FONTS = {False: "Vera", True: "VeraBd"}
"""Whether bold → the letters: Bitstream Vera, which the PDF library brings, so that no machine needs letters of its own."""
_CAP = 0.73
"""How high a capital is, of the size of its letters."""


@cache
def font_file(bold: bool) -> Path:
    """Where the letters lie, as a TrueType file."""
    return Path(library("reportlab").__file__).parent / "fonts" / f"{FONTS[bold]}.ttf"


@cache
def _font(bold: bool) -> Any:
    metrics, truetype = library("reportlab.pdfbase.pdfmetrics"), library("reportlab.pdfbase.ttfonts")
    font = truetype.TTFont(FONTS[bold], str(font_file(bold)))
    metrics.registerFont(font)
    return font


def load_letters() -> None:
    """Make the letters known to the PDF library."""
    _font(False), _font(True)


@lru_cache(maxsize=20_000)
def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """How many mm a text takes at a size in mm."""
    return float(_font(bold).stringWidth(text, size))


def cap_height(size: float) -> float:
    """How many mm the capitals and figures of that size are high."""
    return size * _CAP


def lacking(text: str) -> set[str]:
    """The signs of a text that the letters do not have."""
    known = _font(False).face.charToGlyph
    return {sign for sign in " ".join(text.split()) if ord(sign) not in known}


@lru_cache(maxsize=20_000)
def printable(text: str) -> str:
    """The text in signs that the letters have: an accent that they lack goes, any other sign that they lack becomes a question mark."""
    known = _font(False).face.charToGlyph
    out = []
    for sign in " ".join(text.split()):
        plain = unicodedata.normalize("NFKD", sign)[:1]
        out.append(sign if ord(sign) in known else plain if plain and ord(plain) in known else "?")
    return "".join(out)


def fitted(x: float, y: float, room: float, size: float, text: str, *, bold: bool = False, least: float | None = None) -> Words:
    """A line of text at most `room` mm wide: smaller where it has to be, down to `least`, and then cut, which an ellipsis shows."""
    text = printable(text)
    wide = width_of(text, size, bold=bold)
    small = size if wide <= room else max(size * room / wide * 0.999, size if least is None else least)
    while text and width_of(text, small, bold=bold) > room:
        text = text.rstrip("…")[:-1].rstrip()
        text = f"{text}…" if text else ""
    return Words(x, y, small, text, width_of(text, small, bold=bold), bold)


def folded(text: str, room: float, size: float, most: int) -> list[str]:
    """A text in at most `most` lines, each at most `room` mm wide, broken between words; what is left over is cut, which an ellipsis shows."""
    lines: list[str] = []
    for word in printable(text).split():
        if lines and width_of(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], fitted(0, 0, room, size, " ".join(lines[most - 1 :])).text]
    return [fitted(0, 0, room, size, line).text for line in lines]
