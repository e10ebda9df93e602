"""What stands on a page of paper: boxes and words, in millimetres from its upper left corner."""

from __future__ import annotations

from dataclasses import dataclass, field, replace


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, filled black, or with an edge of `edge` mm alone where that is not 0; `grey` edges are half as dark."""

    x: float
    y: float
    width: float
    height: float
    edge: float = 0.0
    grey: bool = False


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text: `x` is its left end, `y` what it stands on, `size` that of its letters, `width` what it takes, all in mm."""

    x: float
    y: float
    size: float
    text: str
    width: float
    bold: bool = False


@dataclass
class Page:
    """A page of so many millimetres, and what stands on it, in order."""

    width: float
    height: float
    shapes: list[Box | Words] = field(default_factory=list)

    def lay(self, other: Page, x: float, y: float) -> None:
        """Lay another page upon this one, its corner at x and y."""
        self.shapes += [replace(one, x=one.x + x, y=one.y + y) for one in other.shapes]
