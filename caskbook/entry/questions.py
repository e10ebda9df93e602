"""What a run still has to know before it can be planned to the end, as plain data: who asks, and how, is another's matter."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Literal, NamedTuple

from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from collections.abc import Iterator

    from caskbook.entry.build import Built
    from caskbook.entry.fields import JobField
    from caskbook.entry.plan import Desk
    from caskbook.entry.request import Request

Kind = Literal["unit", "matter", "field", "left"]
WHY_PUT_RIGHT = "why it is put right"
"""What is asked for at the note of an entry in the place of another, whose `why` is that of the work itself."""
_OF_PUTTING_RIGHT = ("why", "note", "by")
GAUGED = jobs_with("gauged")
"""Jobs whose litres stay uncorrected without a temperature: it is asked for beside what must be given."""


class Question(NamedTuple):
    """One question; its answer goes into the request at `place` (job, key).

    unit: another unit is meant, yes or no; a yes puts `yes` there, a no refuses the run, as does nobody to ask, for the reason
    `refusal`. matter: an open matter of the cask, yes or no; a yes adds `yes`. field: a field of the job that is lacking, typed as
    `field` is; Enter leaves it out where it `may_skip`. left: the litres left in the casks racked out of.
    """

    kind: Kind
    place: tuple[str, str]
    text: str = ""
    yes: tuple[str, ...] = ()
    refusal: str = ""
    field: JobField | None = None
    may_skip: bool = False


def lacking(desk: Desk, request: Request, built: Built, *, may_ask: bool) -> Iterator[Question]:
    """The fields without which no entry can be made; where somebody is there to ask, also what can only be known now."""
    from caskbook.entry.build import field_asked

    for job, key in built.missing:
        one = field_asked(job, key)
        if key == "note" and request.one("replaces", job):
            one = replace(one, label=WHY_PUT_RIGHT)
        yield Question("field", (job, key), field=_of_contents(desk, request, one) if may_ask else one)
    # What the entry that it replaces says is taken over, the temperature too.
    asked = [job for job, key in built.missing if job in GAUGED and not (request.one("replaces", job) and key in _OF_PUTTING_RIGHT)]
    for job in dict.fromkeys(asked if may_ask else ()):
        if not any((job, key) in request.given or (job, key) in built.missing for key in ("temp_c", "at_20")):
            yield Question("field", (job, "temp_c"), field=field_asked(job, "temp_c"), may_skip=True)
    if not built.missing and may_ask and request.jobs == ["rack"] and ("rack", "left") not in request.given:
        yield _left(request)


def _left(request: Request) -> Question:
    """What a racking leaves in its sources, where nobody said."""
    from caskbook.entry.fields import field_of

    first, *others = request.casks
    where = f"each of the {len(others) + 1} casks" if others else first
    return Question("left", ("rack", "left"), f"litres left in {where} (L, 0: emptied): ", field=field_of("rack-out", "left_l"))


def _of_contents(desk: Desk, request: Request, one: JobField) -> JobField:
    """The field with the range of strength that fits what the casks hold: where all hold wine, that of wine."""
    from caskbook.ledger.whole import whole_life
    from caskbook.life.needs import OF_CONTENTS, WINE_ABV

    if one.key != "abv" or one.job not in OF_CONTENTS:
        return one
    casks = [page.cask for page in map(desk.page, request.casks) if page.record is not None and page.record.cask is not None]
    wine = casks and all(whole_life(desk.ledger, cask, desk.today).state.contents == "wine" for cask in casks)
    return replace(one, plausible=WINE_ABV) if wine else one
