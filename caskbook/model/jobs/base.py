"""What every job shares: the common fields, field types with units and plausible ranges, and what a job needs of the cask."""

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import Annotated, Any, ClassVar, Literal, NamedTuple, Self

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema

from caskbook.core.days import plain_day
from caskbook.model.ids import CASK_ID as CASK_ID
from caskbook.model.jobs.rules import Broken
from caskbook.model.photo import Photo
from caskbook.model.places import parse_place, stave_number
from caskbook.model.typed import OfType, Typed, figure_kind

EVENT_ID = r"^[0-9a-hjkmnp-tv-z]{8,64}$"
_NOT_ON_A_LINE = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")


def _day(value: object) -> object:
    """A quoted day counts as the day itself."""
    return (plain_day(value) or value) if isinstance(value, str) else value


def _when(value: object) -> object:
    """A year, a month or a day, known roughly or exactly."""
    value = _day(value)
    if isinstance(value, date):
        return value
    if isinstance(value, int) and not isinstance(value, bool) and 1600 <= value <= 9999:
        return value
    if isinstance(value, str) and re.fullmatch(r"(1[6-9]|[2-9]\d)\d\d(-(0[1-9]|1[0-2]))?", value, re.ASCII):
        return value
    raise ValueError("write a year (2011), a month (2011-06) or a day (2011-06-15)")


def _one_line(text: str) -> str:
    if not text.isprintable() and _NOT_ON_A_LINE.search(text):
        raise ValueError("keep it to one line, without control characters")
    return text


def _place(text: str) -> str:
    return str(parse_place(text))


def _stave(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, int | str):
        raise ValueError("write a stave as its number, 14, or 14b for the second of two")
    number, suffix = stave_number(value)
    return f"{number}{suffix}" if suffix else number


def _head(value: object) -> object:
    return value[5:] if isinstance(value, str) and value.startswith("head-") else value


def _hoop(value: object) -> object:
    return value if not isinstance(value, str) or value.startswith("hoop-") else f"hoop-{value}"


_DAY_SCHEMA = {"type": "string", "format": "date", "pattern": r"^\d{4}-\d\d-\d\d$"}
Day = Annotated[date, BeforeValidator(_day), OfType("day"), WithJsonSchema(_DAY_SCHEMA)]
When = Annotated[
    date | int | str,
    BeforeValidator(_when),
    OfType("when"),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "integer", "minimum": 1600, "maximum": 9999},
                {"type": "string", "pattern": r"^(1[6-9]|[2-9]\d)\d\d(-\d\d(-\d\d)?)?$"},
            ]
        }
    ),
]
Text = Annotated[str, Field(min_length=1, max_length=2000), AfterValidator(_one_line), OfType("text")]
Word = Annotated[str, Field(min_length=1, max_length=60, pattern=r"^[a-z0-9][a-z0-9'-]*$"), OfType("word")]
CaskId = Annotated[str, Field(pattern=CASK_ID, max_length=24), OfType("cask")]
EventId = Annotated[str, Field(pattern=EVENT_ID), OfType("event")]
Answer = Annotated[str, Field(pattern=EVENT_ID[:-1] + r"(/[A-Za-z0-9-]+)?$"), OfType("answer")]
PlaceText = Annotated[str, AfterValidator(_place), OfType("place"), Field(description="a place on the cask: stave-14, joint-14, head-A-2 …")]
StaveName = Annotated[
    int | str,
    BeforeValidator(_stave),
    OfType("stave"),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "pattern": r"^(stave-)?[1-9]\d{0,2}[a-c]?$"}]}),
]
HeadName = Annotated[Literal["A", "B"], BeforeValidator(_head), OfType("head"), WithJsonSchema({"enum": ["A", "B", "head-A", "head-B"]})]
HoopName = Annotated[
    str,
    BeforeValidator(_hoop),
    AfterValidator(_place),
    OfType("hoop"),
    WithJsonSchema({"type": "string", "pattern": r"^(hoop-)?[AB]-[1-9]\d?$"}),
]


def number(
    unit: str,
    text: str,
    *,
    hard: tuple[float | None, float | None] = (0, None),
    plausible: tuple[float, float] | None = None,
    kind: str | None = None,
    default: Any = None,
) -> Any:
    """Field of a measured figure: `hard` bounds are an error outside, `plausible` ones a warning; `kind` names how input is read."""
    low, high = hard
    extra: dict[str, Any] = {"unit": unit, "kind": figure_kind(kind or unit)}
    if plausible:
        extra["plausible"] = list(plausible)
    return Field(
        default=default,
        ge=low,
        le=1e7 if high is None else high,
        allow_inf_nan=False,
        description=f"{text}, {unit}",
        json_schema_extra=extra,
    )


def must(unit: str, text: str, **bounds: Any) -> Any:
    """As `number`, for a figure that has to be given."""
    return number(unit, text, default=..., **bounds)


class Need(NamedTuple):
    """The physical need of a job: what must hold of the cask, or the event is impossible.

    `first`: no standing event may come before it. `always`: allowed in every state, gone too. `anywhere`: allowed
    on a cask that is away or missing as well. `bench`: allowed away when an outside shop does it.
    """

    contents: tuple[str, ...] = ("empty", "spirit", "wine")
    form: tuple[str, ...] = ("whole", "open", "shook")
    where: tuple[str, ...] = ("here",)
    first: bool = False
    always: bool = False
    bench: bool = False


EMPTY = ("empty",)
FILLED = ("spirit", "wine")
ANYWHERE = ("here", "away", "missing")
EMPTY_WHOLE = Need(contents=EMPTY, form=("whole",), bench=True)
OPEN = Need(contents=EMPTY, form=("open",), bench=True)
FULL = Need(contents=FILLED)
ANY = Need(where=ANYWHERE)
ALWAYS = Need(where=ANYWHERE, always=True)


class Model(BaseModel):
    """Base of everything read from a file: strict types, no unknown keys, never changed after reading."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, defer_build=True)
    #: of a faulty entry or head: fields of which nobody wrote a sound value, which are None here; its findings; and how it is written
    lost: ClassVar[frozenset[str]] = frozenset()
    codes: ClassVar[tuple[str, ...]] = ()
    written: ClassVar[Mapping[str, Any]] = {}
    #: its mildest reading, for judging what else is wrong; None where there is none, or where nothing is wrong
    likely: ClassVar[Any] = None


class Event(Model):
    """One thing that happened to a cask, on one day."""

    need: ClassVar[Need] = Need()
    caution: ClassVar[str | None] = None

    id: EventId = Field(description="minted when entered; order in the file is (date, id)")
    date: Day = Field(description="the day the job was done")
    job: str
    by: Text | None = Field(None, description="initials of the crew list, or shop-NAME for an outside shop")
    sheet: Text | None = Field(None, description="the paper's or the run's reference")
    source: Literal["register"] | None = Field(None, description="an imported event: house policy is not judged")
    replaces: EventId | None = Field(None, description="the event this one puts right; needs `why`, or `note` where `why` is of the work itself")
    moved_from: Text | None = Field(None, description="CASK/EVENT this entry was first written as, on the wrong cask")
    answers: Annotated[list[Answer] | Answer | None, Typed("answers")] = Field(None, description="defects dealt with: EVENT, or EVENT/place; one or a list")
    why: Text | None = Field(None, description="the reason, in one line")
    note: Text | None = Field(None, description="anything else, in one line")
    photo: list[Photo] | None = Field(None, description="photographs by their file names, below the ledger; never opened")

    def broken(self) -> Iterator[Broken]:
        """Each rule between its fields that it breaks. A field that is lost is None here, and breaks none that another field keeps."""
        return iter(())

    def held_to_rules(self) -> Self:
        """Itself; ValueError with the first rule that it breaks."""
        for broken in self.broken():
            raise ValueError(broken.text)
        return self

    def answered(self) -> list[str]:
        """What `answers` names, written as one or as a list."""
        return [self.answers] if isinstance(self.answers, str) else self.answers or []

    def places(self) -> list[str]:
        """Addresses that the job works on: these answer a defect there."""
        return []

    def named_places(self) -> list[tuple[tuple[str | int, ...], str]]:
        """(where in the event, address) for every place it names: each must exist on the cask."""
        return []

    def shared_with(self) -> list[str]:
        """Casks that share in what was done: their files have its counterpart."""
        return []

    def other_casks(self) -> list[str]:
        """Every other cask that it names."""
        return self.shared_with()

    def says(self) -> str:
        """What was done, in a few words of the trade, without the job's name."""
        return ""

    def lacking(self, key: str) -> str:
        """How a field is called that a faulty entry lacks."""
        return f"{key} ?"


_APART = ("id", "date", "job", "by", "sheet", "source", "replaces", "moved_from", "answers", "note")


def event_words(event: Event) -> str:
    """What the event says: of a faulty one its text as the file has it, ? for what lacks, and the findings beside it."""
    if not event.codes:
        return event.says()
    own = {key: value for key, value in event.written.items() if key not in _APART or key in event.lost and key != "id"}
    lacks = [key for key in sorted(event.lost) if key not in event.written and key not in (*_APART, "job")]
    words = [f"{_raw(key)} {_raw(value)}" for key, value in own.items() if key != "job"] + [event.lacking(key) for key in lacks]
    return ", ".join(words) + ("  " if words else "") + f"[{', '.join(event.codes)}]"


def as_data(event: Event) -> dict[str, Any]:
    """The keys of an entry as in the file, as JSON has them; what nobody wrote a sound value of null, with its `findings` beside it."""
    if not event.codes:
        return event.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude_none=True)
    data = event.model_dump(mode="json", by_alias=True, exclude_unset=True, exclude_none=True, warnings=False)
    nothing = set(event.lost) - ({"id"} if "id" in event.written else set())
    if "job" in event.lost:
        data["written"] = f"job {event.job.removesuffix(' ?')}, {event_words(event)}".rpartition("  [")[0]
    return with_findings({**data, **dict.fromkeys(sorted(nothing))}, event.codes)


def with_findings(data: dict[str, Any], codes: Iterable[str]) -> dict[str, Any]:
    """The data of an entry with the codes of what is wrong with it as `findings`; what a look itself found is its `defects` then."""
    own = {"defects": data["findings"]} if "findings" in data else {}
    return {**{key: value for key, value in data.items() if key != "findings"}, **own, "findings": list(dict.fromkeys(codes))}


def _raw(value: object, most: int = 40) -> str:
    """A value of a file as it is written, on one line and not long."""
    if isinstance(value, int) and abs(value) >= 10**20:
        return "a number of over 20 digits"
    if isinstance(value, dict):
        text = ", ".join(f"{key} {_raw(item)}" for key, item in value.items())
    elif isinstance(value, list):
        text = "; ".join(_raw(item) for item in value)
    else:
        text = "?" if value is None else str(value).lower() if isinstance(value, bool) else str(value)
    text = "".join(sign if sign.isprintable() else "?" for sign in text)
    return text if len(text) <= most else text[: most - 1] + "…"


def plain(value: float | int | None) -> str:
    """A figure without needless zeros: 200, 63.5."""
    return "" if value is None else f"{value:g}" if abs(value) < 1e6 else f"{value:.0f}"


def strength(litres: float | None, abv: float | None) -> str:
    """ "198.4 L at 63.5 %", as far as known."""
    shown = "" if litres is None else f"{litres:.1f} L"
    return shown + ("" if abv is None else f"{' at ' if shown else ''}{abv:.1f} %")


def listed(items: list[Any] | None) -> str:
    """ "1, 2 and 14"."""
    words = [str(item) for item in items or []]
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def donor(source: str | None) -> list[str]:
    """The cask that a part came from; none for new wood, or wood of unknown past."""
    return [] if source in (None, "new", "reused", "unknown") else [str(source)]


def origin(source: str | None) -> str:
    """Where a part came from: "new wood", "from TH-001187"."""
    return {"new": "new", "reused": "reused", "unknown": "of unknown past", None: ""}.get(source, f"from {source}")
