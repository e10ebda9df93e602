"""Pictures as SVG: elements written as text, and points on a circle."""

from __future__ import annotations

import math
from collections.abc import Iterable
from html import escape

from caskbook.render.console import safe


def tag(name: str, *inner: str, **attributes: object) -> str:
    """An element with what is in it, which is markup already; `font_size=3` is `font-size="3"`, `class_` is `class`."""
    words = "".join(f' {key.rstrip("_").replace("_", "-")}="{escape(_said(value))}"' for key, value in attributes.items())
    return f"<{name}{words}>{''.join(inner)}</{name}>" if inner else f"<{name}{words}/>"


def words(text: str, x: float, y: float, **attributes: object) -> str:
    """A text in the middle of `x`, its foot at `y`."""
    return tag("text", escape(safe(text)), x=x, y=y, text_anchor=attributes.pop("text_anchor", "middle"), **attributes)


def picture(width: float, height: float, title: str, body: Iterable[str]) -> str:
    """A whole picture, as wide as there is room; `title` is what a reader hears who does not see it."""
    inner = (tag("title", escape(safe(title))), *body)
    return tag("svg", *inner, xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {_said(width)} {_said(height)}", role="img")


_ALONE = (
    "<!-- caskbook --><style>text{font-family:sans-serif}.line,.joint,.wood,rect{fill:none;stroke:black;stroke-width:.6}"
    ".wood{stroke-width:1}rect.fill{fill:#ccc}rect.wine{fill:#eee;stroke-dasharray:4 2}rect.past{stroke-dasharray:1.5 2}</style>"
)


def alone(svg: str) -> str:
    """A picture as a file of its own: with the lines and fills that a page has from its style sheet."""
    head, _, rest = svg.partition(">")
    return f"{head}>{_ALONE}{rest}\n"


def on_circle(x: float, y: float, radius: float, turn: float) -> tuple[float, float]:
    """The point on a circle about (x, y), `turn` of a whole one clockwise from the top."""
    angle = 2 * math.pi * turn
    return x + radius * math.sin(angle), y - radius * math.cos(angle)


def _said(value: object) -> str:
    """A figure with at most two places, so that the bytes are the same on every machine; anything else as it is."""
    if isinstance(value, float):
        return f"{value:.2f}".rstrip("0").rstrip(".") if value else "0"
    return str(value)
