"""Sulphur burnt in an empty cask."""

from typing import ClassVar, Literal

from caskbook.model.jobs.base import EMPTY, Need, Text, must, plain
from caskbook.model.jobs.work import BenchJob


class Sulphur(BenchJob):
    """Sulphur is burnt in an empty cask to keep it; it has to be nosed clean before the next filling."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    caution: ClassVar[str | None] = "sulphur"

    job: Literal["sulphur"]
    grams: float = must("grams", "sulphur burnt", plausible=(1, 30))
    why: Text

    def says(self) -> str:
        return f"{plain(self.grams)} g: {self.why}"
