"""What a job at the bench may say of the work itself: how long it took, and what was used up; and how that is told."""

from typing import Annotated

from pydantic import Field

from caskbook.model.jobs.base import Event, Text, listed, number, plain
from caskbook.model.typed import Typed

WORK = ("work_minutes", "material")
"""The fields of `BenchJob`. `minutes` of a test or a toast is another thing: how long it was held, or the fire burned."""


class BenchJob(Event):
    """A job of the bench, the fire or the repair of wood."""

    work_minutes: Annotated[float | None, Typed(label="minutes of work")] = number("minutes", "time the work took", plausible=(0, 600))
    material: Annotated[list[Text] | None, Typed(label="material used")] = Field(None, description="what was used up, each with its count first: 2 hoops")


def work_words(event: Event) -> str:
    """ "40 min, with 2 hoops and rush, photo IMG_0412.jpg": what an entry says of the work beside the job itself; empty where nothing."""
    minutes, material = getattr(event, "work_minutes", None), getattr(event, "material", None)
    parts = [f"{plain(minutes)} min"] if minutes is not None else []
    parts += [f"with {listed(material)}"] if material else []
    parts += [f"photo {listed(event.photo)}"] if event.photo else []
    return ", ".join(parts)


def with_what_is_beside(event: Event, said: str) -> str:
    """What an entry says, then the work, the photographs and the note, where those are not in it already."""
    if not event.codes and (work := work_words(event)):
        said += f", {work}" if said else work
    if event.note and event.note not in said:
        said += f" – {event.note}" if said else event.note
    return said
