"""What the head says, put right by adding: the head that was written stays."""

from collections.abc import Iterator
from typing import ClassVar, Literal, Self

from pydantic import model_validator

from caskbook.model.jobs.base import ANY, Event, Need, Text
from caskbook.model.jobs.cask_head import (
    KEYS,
    Before,
    Heads,
    Hoops,
    LastChar,
    Litres,
    Made,
    OldMarks,
    Staves,
    TypeWord,
    Wood,
    corrected_value,
    key_word,
    value_words,
)
from caskbook.model.jobs.rules import Broken, any_of, between


class Correct(Event):
    """What the head says of the cask is put right, for all days; the written head stays."""

    model_config = between(any_of(*KEYS))
    need: ClassVar[Need] = ANY

    job: Literal["correct"]
    type: TypeWord | None = None
    capacity_l: Litres = None
    wood: Wood = None
    maker: Text | None = None
    made: Made = None
    staves: Staves = None
    heads: Heads = None
    hoops: Hoops = None
    was: OldMarks = None
    owner: Text | None = None
    prior: Before = None
    charred: LastChar = None
    parcel: Text | None = None
    supplier: Text | None = None
    why: Text

    def broken(self) -> Iterator[Broken]:
        if all(getattr(self, key) is None for key in KEYS) and not self.lost & set(KEYS):
            yield Broken("type: a correction names what it corrects: type, capacity_l, wood …", ("type",))

    @model_validator(mode="after")
    def _something(self) -> Self:
        return self.held_to_rules()

    def says(self) -> str:
        told = ", ".join(f"{key_word(key)} {value_words(key, corrected_value(key, getattr(self, key)))}" for key in KEYS if getattr(self, key) is not None)
        return told + (f": {self.why}" if self.why else "")

    def lacking(self, key: str) -> str:
        return f"{key} ?" if key == "why" else "?"  # Of one that names nothing nobody knows which key it was.
