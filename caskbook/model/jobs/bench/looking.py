"""Looking into an empty cask and nosing it."""

from collections.abc import Iterator
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, model_validator

from caskbook.model.jobs.arrival.receive import FoundDefect
from caskbook.model.jobs.base import EMPTY, Need, Word, listed, number, plain
from caskbook.model.jobs.rules import Broken, between, when
from caskbook.model.jobs.work import BenchJob
from caskbook.model.typed import Typed


class Examine(BenchJob):
    """A full look at an empty cask; it restates everything that is open."""

    model_config = between(when("verdict", "repair", "findings"))
    need: ClassVar[Need] = Need(contents=EMPTY, form=("whole", "open"), bench=True)
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["examine"]
    verdict: Annotated[Literal["sound", "repair", "hold", "reject"], Typed(words="examine_verdict", label="the cask is")]
    findings: Annotated[list[FoundDefect] | None, Typed("findings", when="must be given with repair")] = Field(
        None, description="what was found; must be given with repair"
    )
    stave_mm: float | None = number("mm", "thinnest stave", plausible=(10, 50))
    soaked: Annotated[float | None, Typed("fraction")] = Field(
        None, ge=0, le=1, allow_inf_nan=False, description="how deep the liquor has gone in, fraction of thickness"
    )

    def broken(self) -> Iterator[Broken]:
        if self.verdict == "repair" and not self.findings and "findings" not in self.lost:
            # Nobody could tell when such a repair is done, and the next pass would make it ready.
            yield Broken("findings: a cask to be repaired needs what was found on it", ("findings",))

    @model_validator(mode="after")
    def _whole_story(self) -> Self:
        return self.held_to_rules()

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        return [(("findings", n, "at"), found.at) for n, found in enumerate(self.findings or [])]

    def says(self) -> str:
        words = [self.verdict, *(found.says() for found in self.findings or [])]
        if self.stave_mm is not None:
            words.append(f"thinnest stave {plain(self.stave_mm)} mm")
        return ", ".join(words)


class Nose(BenchJob):
    """The cask is nosed at the bung."""

    need: ClassVar[Need] = Need(contents=EMPTY, bench=True)
    caution: ClassVar[str | None] = "looking-in"

    job: Literal["nose"]
    verdict: Annotated[Literal["clean", "faint", "fault"], Typed(words="nose_verdict", label="it noses")]
    faults: Annotated[list[Word] | None, Typed("nose_faults", when="with fault, or none")] = None

    def says(self) -> str:
        return self.verdict + (f": {listed(list(self.faults))}" if self.faults else "")
