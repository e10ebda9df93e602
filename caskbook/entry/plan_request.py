"""The first of the three steps of entering: what was typed becomes a plan, or the questions that are open before it can be one.

Nothing is asked, told or written here. The command line asks the questions (`cli/entering/ask_questions.py`), has the plan made
with the answers, then tells and writes it (`cli/entering/tell_and_write.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from caskbook.core.finding import CaskbookError
from caskbook.entry.build import Asker, Built, build
from caskbook.entry.fields import NEW_FILE_JOBS, field_of
from caskbook.entry.joined import refuse_joined
from caskbook.entry.naming import name_by_marks
from caskbook.entry.open_matters import ANSWERING, open_matters
from caskbook.entry.plan import Desk, Plan, plan_run
from caskbook.entry.questions import Question, lacking
from caskbook.entry.remarks import Remarks, due_on, remarks_on, remarks_on_scan
from caskbook.entry.request import MANY_FILES, Request
from caskbook.entry.retiring import JOB as RETIRES
from caskbook.entry.retiring import reasons_offered

_MOST_TOLD = 40
_TRIED, _OFFERED = "tried", "offered"
"""Stand in the request of a line once the cask was asked, and once what is open on it was offered."""


class Draft(NamedTuple):
    """A run as far as it can be planned.

    `questions`: what is open, in the order in which it is asked; then there is no plan yet. `heading`: the one cask of the run in a
    line, and what is due on it in a second, told before a field is asked for. `refused`: why nothing can be planned, line by line. `echoes`: what typed figures come
    to. `remarks`: what is said of the plan, and what is doubted of it.
    """

    plan: Plan | None = None
    questions: tuple[Question, ...] = ()
    heading: str = ""
    refused: tuple[str, ...] = ()
    echoes: tuple[str, ...] = ()
    remarks: Remarks = Remarks()


def plan_request(desk: Desk, request: Request, asker: Asker, *, may_ask: bool) -> Draft:
    """Plan what was typed. `may_ask`: somebody is there to be asked, so what a cask forbids goes before what is lacking, and what is
    open on it is offered. CaskbookError for what was not understood or cannot be.
    """
    if request.anyway and not any(request.one("why", job) or (request.one("replaces", job) and request.one("note", job)) for job in request.jobs):
        raise CaskbookError("--anyway needs its reason: --why …, which is written on the entry")
    absent = _absent_casks(desk, request)
    if absent and desk.numbers is not None:
        name_by_marks(request, absent, desk.numbers)
        absent = _absent_casks(desk, request)
    if absent and not request.has("skip_missing"):
        return Draft(refused=_absent_lines(desk, absent, request))
    refuse_joined(desk.joins, desk.page, request)
    request.casks = [cask for cask in request.casks if cask not in absent]
    if not request.casks:
        raise CaskbookError("none of these casks is in the book")
    if may_ask and (why := _strange_hand(desk, request, asker)):
        return Draft(refused=(why, '  it was done all the same? add --anyway --why "…"', "nothing written"))
    if may_ask and (plan := _barred(desk, request)) is not None:
        return Draft(plan)
    return _unless_barred(desk, request, lambda: _first(desk, request, asker, may_ask), may_ask)


def plan_answered(desk: Desk, request: Request, asker: Asker, *, may_ask: bool) -> Draft:
    """The same once more, with the answers to its first questions in the request."""
    return _unless_barred(desk, request, lambda: _planned(desk, request, asker, may_ask), may_ask)


def plan_scanned(desk: Desk, request: Request, asker: Asker, *, may_ask: bool) -> Draft:
    """One line of a scan: fields that are lacking are asked for, and what is doubted of it is what is doubted of a run."""
    from caskbook.entry.figures import refuse_clashes, refuse_dips

    refuse_clashes(request)
    if may_ask and (why := _strange_hand(desk, request, asker)):
        raise CaskbookError(why)
    if may_ask and (first := _first_of_line(desk, request)) is not None:
        return first
    built = _built(desk, request, asker)
    if built.refusals:
        return Draft(_refused(desk, built, request))
    if questions := tuple(lacking(desk, request, built, may_ask=may_ask)):
        return Draft(questions=questions, heading=_heading(desk, request) if may_ask else "")
    refuse_dips(desk, built.entries)
    plan = plan_run(desk, built.entries, anyway=request.anyway)
    return Draft(plan, echoes=tuple(built.echoes), remarks=remarks_on_scan(desk, plan))


def _strange_hand(desk: Desk, request: Request, asker: Asker) -> str:
    """Why somebody named cannot have done it that day, before anything is asked; empty where nobody is named yet, or --anyway stands."""
    from caskbook.entry.build import read_day
    from caskbook.entry.crew import not_there

    text = request.one("date")
    day = read_day(text, desk.today) if text else desk.work_day
    named = [by for job in request.jobs if (by := request.one("by", job) or asker.by)]
    replaces = any(request.one("replaces", job) for job in request.jobs)
    return "" if request.anyway or replaces else next((why for by in named if (why := not_there(desk.ledger.house.on(day), by, day))), "")


def _first_of_line(desk: Desk, request: Request) -> Draft | None:
    """What goes before the fields of a line, once: that the cask forbids the job, and the open matters that it may answer."""
    if not request.has(_TRIED):
        request.given["run", _TRIED] = ["yes"]
        if request.jobs[0] not in NEW_FILE_JOBS and (plan := _barred(desk, request)) is not None:
            return Draft(plan)
    job = request.jobs[-1]
    if request.has(_OFFERED) or job not in (*ANSWERING, RETIRES) or (field_of(job, "result") is not None and request.one("result", job) is None):
        return None
    request.given["run", _OFFERED] = ["yes"]
    questions = tuple(reasons_offered(desk, request) if job == RETIRES else open_matters(desk, request))
    return Draft(questions=questions, heading=_heading(desk, request)) if questions else None


def drafted(desk: Desk, plan: Plan, *, work: bool = True) -> Draft:
    """A plan made elsewhere, with what is to be said of it. `work`: as for `remarks_on`."""
    return Draft(plan, remarks=remarks_on(desk, plan, work=work))


def _unless_barred(desk: Desk, request: Request, plan: Callable[[], Draft], may_ask: bool) -> Draft:
    """The draft. What a cask forbids whatever the fields are goes before an error, and before what nobody is there to be asked."""
    bars = request.jobs[0] not in NEW_FILE_JOBS
    try:
        draft = plan()
    except CaskbookError:
        if bars and (found := _barred(desk, request)) is not None:
            return Draft(found)
        raise
    if draft.questions and not may_ask and bars and (found := _barred(desk, request)) is not None:
        return Draft(found)
    return draft


def _barred(desk: Desk, request: Request) -> Plan | None:
    from caskbook.entry.barred import barred

    plan = barred(desk, request)
    return plan if plan.refusals else None


def _first(desk: Desk, request: Request, asker: Asker, may_ask: bool) -> Draft:
    """What is open before a field can be read: the unit of lengths, and the matters that the job may answer."""
    from caskbook.entry.figures import refuse_clashes

    refuse_clashes(request)
    questions: list[Question] = []
    if "measure" in request.jobs:
        from caskbook.entry.dims_unit import dims_unit

        questions += dims_unit(desk, request)
    if may_ask and request.jobs[-1] in ANSWERING:
        questions += open_matters(desk, request)
    if may_ask:
        questions += reasons_offered(desk, request)
    return Draft(questions=tuple(questions)) if questions else _planned(desk, request, asker, may_ask)


def _planned(desk: Desk, request: Request, asker: Asker, may_ask: bool) -> Draft:
    """The plan, or what is lacking for its entries."""
    from caskbook.entry.figures import refuse_dips

    built = _built(desk, request, asker)
    if built.refusals:
        return Draft(_refused(desk, built, request))
    if questions := tuple(lacking(desk, request, built, may_ask=may_ask)):
        return Draft(questions=questions, heading=_heading(desk, request) if may_ask else "")
    refuse_dips(desk, built.entries)
    plan = plan_run(desk, built.entries, anyway=request.anyway)
    return Draft(plan, echoes=tuple(built.echoes), remarks=remarks_on(desk, plan))


def _refused(desk: Desk, built: Built, request: Request) -> Plan:
    """The plan of a run of which some casks cannot have their entry, with what the others are refused for, so that all of it is told."""
    plan = plan_run(desk, built.entries, anyway=request.anyway)
    plan.refusals = [*built.refusals, *plan.refusals]
    plan.pages += [page for page in map(desk.page, request.casks) if page not in plan.pages]
    return plan


def _built(desk: Desk, request: Request, asker: Asker) -> Built:
    if request.jobs[0] in MANY_FILES:
        from caskbook.entry.lots import build_lot

        return build_lot(desk, request, asker)
    return build(desk, request, asker)


def _heading(desk: Desk, request: Request) -> str:
    """Which cask this is, while a wrong number can still be noticed."""
    from caskbook.entry.says import page_line

    page = desk.page(request.casks[0])
    if len(request.casks) != 1 or page.first is None or page.first.cask is None:
        return ""
    due = due_on(desk, page, desk.today)
    return page_line(page, desk.ledger, desk.today) + (f"\n  {due}" if due else "")


def _absent_casks(desk: Desk, request: Request) -> list[str]:
    """Casks named that the book has not, for a job that begins no file."""
    if request.jobs[0] in NEW_FILE_JOBS:
        return []
    return [cask for cask in request.casks if desk.page(cask).record is None]


def _absent_lines(desk: Desk, absent: Sequence[str], request: Request) -> tuple[str, ...]:
    from caskbook.entry.says import short_list

    several = len(request.casks) > 1
    listed = ", ".join(absent) if len(absent) <= _MOST_TOLD else short_list(absent)
    found = f"{len(absent)} of {len(request.casks)} casks are not in the book: {listed}" if several else desk.ledger.absent(absent[0])
    advice = "  check the number, or enter its receipt first" + ("; --skip-missing goes on without" if several else "")
    return found, advice, "nothing written"
