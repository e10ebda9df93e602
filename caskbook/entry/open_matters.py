"""What is open on a cask when it is driven, tested or treated: a question each, or a line of what is left."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from caskbook.entry.questions import Question
from caskbook.words.job_table import jobs_with

if TYPE_CHECKING:
    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.request import Request
    from caskbook.life import Life
    from caskbook.life.carried import Defect

ANSWERING = jobs_with("answers")
"""Jobs at which what is open on the cask is offered to be answered."""
_MOST = 20


def open_matters(desk: Desk, request: Request) -> list[Question]:
    """A question for each open matter of the cask that the job may answer: of one cask only, and none that is answered in the line."""
    from caskbook.entry.build import read_day
    from caskbook.ledger.whole import whole_life

    job = request.jobs[-1]
    if job not in ANSWERING or len(request.casks) != 1 or request.has("yes"):
        return []
    page = desk.page(request.casks[0])
    given = any((one, "answers") in request.given for one in request.jobs)
    if page.record is None or page.record.cask is None or given or _failed(request.one("result", job)):
        return []
    text = request.one("date")
    life = whole_life(desk.ledger, page.cask, read_day(text, desk.today) if text else desk.work_day)
    return [Question("matter", (job, "answers"), f"{_defect_words(life, one)}: answered by this?", (_name(one),)) for one in life.state.defects[:_MOST]]


def _failed(result: str | None) -> bool:
    from caskbook.words import AmbiguousWord, UnknownWord, canonical

    try:
        return result is not None and canonical("result", result) == "fail"
    except (UnknownWord, AmbiguousWord):
        return False


def _name(one: Defect) -> str:
    """As `answers` names it; the entry alone where nobody wrote a place."""
    from caskbook.life.state import UNKNOWN

    return one.event if one.at == UNKNOWN else f"{one.event}/{one.at}"


def _defect_words(life: Life, one: Defect) -> str:
    """ "joint-4 weep, seen 2026-11-20"."""
    seen = life.events[one.seq - 1].date
    what = f"leak {one.severity}" if one.defect == "leak" and one.severity else one.defect
    return f"{one.at} {what}, seen {seen}"


def answer_lines(desk: Desk, plan: Plan) -> Iterator[str]:
    """What a drive, test or treatment answers, and the open matters it leaves, with what to add to answer them."""
    from caskbook.ledger.whole import whole_life

    pages = {page.cask_id: page for page in plan.pages}
    for cask, event in plan.written:
        if event.get("answers"):
            yield f"{cask}  answers {', '.join(map(str, event['answers']))}"
        if event["job"] in ANSWERING and event.get("result") != "fail" and not event.get("replaces"):
            life = whole_life(desk.ledger, pages[cask].cask, event["date"])
            for one in life.state.defects:
                yield f"{cask}  left unanswered by the {event['job']}: {_defect_words(life, one)} (--answers {_name(one)})"
