"""How a field is typed and asked for. Its type says most of it; what that cannot say stands beside it as `Typed`."""

import types
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

_LISTS = {
    "stave": "staves",
    "place": "places",
    "head": "heads",
    "hoop": "hoops",
    "int": "ints",
    "text": "texts",
    "cask": "casks",
    "answer": "answers",
    "day": "days",
}


# What a figure may be typed as: the keys of `KINDS` in `gauging/units/tables.py`, which loads the factors (a test compares them).
FIGURES = ("litres", "ml", "abv", "temp_c", "psi", "mm", "kg", "grams", "seconds", "minutes", "hours", "fraction")


def figure_kind(kind: str) -> str:
    """The kind itself. TypeError where no figure is typed so: it would stand in the model and the help, and could not be entered."""
    if kind not in FIGURES:
        raise TypeError(f"no figure is typed as {kind!r}: the unit, or `kind` beside it, is one of {', '.join(FIGURES)}")
    return kind


class Typed(NamedTuple):
    """Stands in an annotation: `wine: Annotated[Word, Typed("wine")]`. What is left empty is as the type has it.

    `kind`: how a typed text is read, one of `READERS` in `entry/typed.py`. `words`: the list of trade words that a closed list is
    typed from, one of `words.KINDS`. `choices`: the closed list, where the type does not hold it. `label`: what the field is
    called on a form. `when`: what help says of when it is to be given.
    """

    kind: str = ""
    words: str = ""
    choices: tuple[str, ...] = ()
    label: str = ""
    when: str = ""


class OfType(Typed):
    """The same beside a type that has a name: a class of its own, for pydantic before 2.11 keeps one of each class for a field."""


def typed_of(info: Any) -> Typed:
    """What is said beside a field of a model, or beside its type; what is said nearer the field goes first."""
    whole = Typed()
    for near in (*_in(info.metadata), *_beside(info.annotation)):
        whole = whole._replace(**{name: value for name, value in near._asdict().items() if value and not getattr(whole, name)})
    return whole


def kind_of(info: Any) -> str:
    """How the texts typed for a field are read; `choice` where it has a closed list. TypeError where nothing says it."""
    kind = typed_of(info).kind or _kind(info.annotation)
    if not kind:
        raise TypeError(f"write Annotated[…, Typed(KIND)], or a list of {', '.join(_LISTS)}: nothing says how a field is typed that is {info.annotation}")
    return kind


def choices_of(info: Any) -> tuple[str, ...]:
    """The words of a closed list; empty for a field that has none."""
    return typed_of(info).choices or tuple(dict.fromkeys(_literals(info.annotation)))


def _beside(annotation: Any) -> list[Typed]:
    """What is said beside a type that may be left out (`Stow | None`)."""
    if get_origin(annotation) is Annotated:
        return [*_in(get_args(annotation)[1:]), *_beside(get_args(annotation)[0])]
    options = _options(annotation)
    return _beside(options[0]) if len(options) == 1 and options[0] is not annotation else []


def _in(metadata: Iterable[Any]) -> list[Typed]:
    """Nearest first: what an alias says stands before what is said where it is used."""
    return [one for one in reversed([*metadata]) if isinstance(one, Typed)]


def _options(annotation: Any) -> list[Any]:
    """What a value may be, besides None."""
    if get_origin(annotation) not in (Union, types.UnionType):
        return [annotation]
    return [one for one in get_args(annotation) if one is not type(None)]


def _kind(annotation: Any) -> str:
    """How a value of this type is typed, as `Typed` beside it says or as its type has it; "" where nothing is known of it."""
    said = next((one.kind for one in _beside(annotation) if one.kind), "")
    if said:
        return said
    origin, inner = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _kind(inner[0])
    if origin is Literal:
        return "choice" if any(isinstance(word, str) for word in inner) else "flag"
    if origin is list:
        return _LISTS.get(_kind(inner[0]), "")
    options = _options(annotation)
    if options != [annotation]:
        return "choice" if len(options) > 1 and any(_literals(annotation)) else _kind(options[0])
    return "int" if annotation is int else "yaml" if hasattr(annotation, "model_fields") else ""


def _literals(annotation: Any) -> Iterator[str]:
    origin = get_origin(annotation)
    if origin is Literal:
        yield from (str(choice) for choice in get_args(annotation) if isinstance(choice, str))
    elif origin in (Union, types.UnionType, list, Annotated):
        for inner in get_args(annotation):
            yield from _literals(inner)


def plausible_range(model: Any, name: str) -> tuple[float, float] | None:
    """The plausible range of a field of a model, where it has one."""
    extra = model.model_fields[name].json_schema_extra
    if isinstance(extra, dict) and "plausible" in extra:
        low, high = extra["plausible"]
        return low, high
    return None
