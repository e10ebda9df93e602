"""What a cask is, key by key: the types that its head and a correction of it share, so that both are read alike."""

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from caskbook.model.jobs.base import Model, Text, When, Word, listed, plain
from caskbook.model.typed import OfType

NEEDS_LITRES = ("custom", "quarter-cask")
KEYS = ("type", "capacity_l", "wood", "maker", "made", "staves", "heads", "hoops", "was", "owner", "prior", "charred", "parcel", "supplier")
"""What may be corrected. `cask` is the file's name and `format` its form; a `note` on a correction is the entry's own."""
NAMES = ("owner", "parcel", "supplier", "maker")
"""Whose or whence a cask is, in free words; `NOBODY_KNOWS` is no such name, and a correction to it makes the key unknown."""
NOBODY_KNOWS = "unknown"
CORRECTED_TO_UNKNOWN: dict[str, Any] = {
    **dict.fromkeys((*NAMES, "wood"), NOBODY_KNOWS), "was": [NOBODY_KNOWS], "prior": [{"contents": NOBODY_KNOWS}],
}  # fmt: skip
"""What a correction says that makes its key unknown, by key."""
TypeWord = Annotated[Literal[
    "octave", "bloodtub", "firkin", "kilderkin", "quarter-cask", "barrel", "barrique", "hogshead", "cognac-cask",
    "puncheon", "butt", "port-pipe", "madeira-drum", "gorda", "custom",
], OfType(words="type")]  # fmt: skip
WoodWord = Literal[
    "american-white-oak", "european-oak", "pedunculate-oak", "sessile-oak", "mizunara", "mixed", "unknown"
]  # fmt: skip
Wood = Annotated[WoodWord | Text | None, OfType("wood")]


_COUNT_SCHEMA = {"anyOf": [{"type": "integer", "minimum": 0, "maximum": 99}, {"const": "unknown"}]}


def _count(value: object) -> object:
    """A count that nobody knows may be written so."""
    return None if value == "unknown" else value


class Prior(Model):
    """One stretch of the cask's life before this ledger."""

    contents: Word = Field(description="what it held: bourbon, oloroso …")
    fills: Annotated[Annotated[int, Field(ge=0, le=99)] | None, BeforeValidator(_count), WithJsonSchema(_COUNT_SCHEMA)] = Field(
        None, description="how many fills; unknown, or absent, where nobody knows"
    )
    emptied: When | None = None
    evidence: Text | None = Field(None, description="how we know: declaration, stencil, nose …")
    note: Text | None = None


Litres = Annotated[float | None, OfType("litres"), Field(ge=1, le=2000, allow_inf_nan=False, description="nominal capacity, litres")]
Made = Annotated[When | None, Field(description="year or date")]
Staves = Annotated[int | None, Field(ge=1, le=200, description="number of staves when first recorded")]
_Pieces = Annotated[list[Annotated[int, Field(ge=1, le=12)]], Field(min_length=2, max_length=2)]
Heads = Annotated[_Pieces | None, Field(description="pieces in head A and B when first recorded")]
Hoops = Annotated[int | None, Field(ge=2, le=20, description="number of hoops when first recorded")]
OldMarks = Annotated[list[Text] | None, Field(description="old marks, searchable")]
Before = Annotated[list[Prior] | None, OfType("prior"), Field(description="life before this ledger, oldest first; absent unknown, [] virgin")]
LastChar = Annotated[Literal["unknown", "never"] | When | None, OfType("charred"), Field(description="the last char before this ledger")]


def lacks_litres(kind: str | None, litres: float | None) -> str | None:
    """What is wrong where a cask of a kind that can be any size comes without its litres."""
    return f"a {kind} can be any size: it needs its litres" if kind in NEEDS_LITRES and litres is None else None


def corrected_value(key: str, value: Any) -> Any:
    """The value that a correction to this one gives its key; None where it says that nobody knows, and nothing more."""
    told = value
    if key == "prior" and value:
        told = value[0].contents if len(value) == 1 and value[0] == Prior(contents=value[0].contents) else None
    elif key == "was" and value:
        told = value[0] if len(value) == 1 else None
    elif key not in CORRECTED_TO_UNKNOWN:
        return value
    return None if isinstance(told, str) and told.strip().casefold() == NOBODY_KNOWS else value


def key_word(key: str) -> str:
    """The key as a word: "capacity" for capacity_l."""
    return key.removesuffix("_l")


def value_words(key: str, value: Any) -> str:
    """The value as a person reads it: "250 L", "5 and 5", "bourbon 1; oloroso ?"; "unknown" where there is none."""
    if value is None:
        return "unknown"
    if key == "capacity_l":
        return f"{plain(value)} L"
    if key == "prior":
        return "; ".join(f"{one.contents} {'?' if one.fills is None else one.fills}" for one in value) or "virgin"
    return (listed(value) or "none") if isinstance(value, list) else str(value)
