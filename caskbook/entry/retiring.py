"""What the book says of a cask that somebody retires: its signs, offered as reasons before and told before it is written; that there is none is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from caskbook.entry.questions import Question
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.due.retire import Signs
    from caskbook.entry.plan import Desk, Plan
    from caskbook.entry.request import Request
    from caskbook.life import Life

JOB = "retire"
_MOST = 8
_LIMIT = re.compile(r"[;,] house limit [^;,]*")


def reasons_offered(desk: Desk, request: Request) -> list[Question]:
    """A question for each sign of the cask, whether it is a reason: of one cask only, and where no reason is typed."""
    from caskbook.entry.build import read_day
    from caskbook.ledger.whole import whole_life

    if JOB not in request.jobs or len(request.casks) != 1 or request.has("yes") or (JOB, "reasons") in request.given:
        return []
    page = desk.page(request.casks[0])
    if page.record is None or page.record.cask is None:
        return []
    text = request.one("date")
    life = whole_life(desk.ledger, page.cask, read_day(text, desk.today) if text else desk.work_day)
    signs = _signs(life)
    return [Question("matter", (JOB, "reasons"), f"{sign}: a reason?", (reason_words(sign),)) for sign in (signs.words() if signs else ())[:_MOST]]


def reason_words(sign: str) -> str:
    """A sign as the reason of an entry: without the house's limits, and with nothing in it that parts reasons."""
    return _LIMIT.sub("", sign).replace("; ", ", ")


def _signs(life: Life) -> Signs | None:
    """The signs of a cask by itself; None where the rule is off or the cask has not begun. Losses are held against peers, and not asked here."""
    from caskbook.due.case import case_of
    from caskbook.due.retire import signs_of
    from caskbook.life.facts import facts_of

    case = case_of(life, facts_of(life)) if life.begun else None
    return None if case is None or case.rules.retire.off else signs_of(case)


def _retired(desk: Desk, plan: Plan) -> Iterator[tuple[str, Signs, Life]]:
    """(number, its signs, its life just before) of each cask that the plan retires."""
    rows = [(cask, event) for cask, event in plan.written if event["job"] == JOB and not event.get("replaces") and "moved_from" not in event]
    if not rows:
        return
    from caskbook.ledger.whole import whole_before

    pages = {page.cask_id: page for page in plan.pages}
    for cask, event in rows:
        page = pages[cask].cask
        life = whole_before(desk.ledger, page, event["date"], str(event["id"]))
        signs = _signs(life)
        if signs is not None:
            yield cask, signs, life


def sign_lines(desk: Desk, plan: Plan) -> Iterator[str]:
    """The signs there are, n of N; of one cask each sign in a line of its own."""
    from caskbook.due.retire_words import REPORT

    found = [row for row in _retired(desk, plan) if row[1].words()]
    for cask, signs, life in found:
        needed, words = life.state.settings.due.retire.points, signs.words()
        alone = f", {len(signs.hard)} enough alone" if signs.hard else ""
        more = "" if signs.hard or len(words) >= needed else _losses(life)
        yield f"{cask}  signs {len(words)} of {needed}{alone}{more}: {REPORT} {cask}"
        if len(found) == 1:
            yield from (f"{cask}  sign: {sign}" for sign in words)


def no_sign_lines(desk: Desk, plan: Plan) -> Iterator[str]:
    """Casks of which the book sees no sign: the number may be another's, or a person saw what nobody entered. With what is not known beside it."""
    for cask, signs, life in _retired(desk, plan):
        if signs.words():
            continue
        unknown = f"; {number_of(len(signs.unknown), 'sign')} not to be told" if signs.unknown else ""
        yield f"{cask}  the book sees no sign that it should be retired{unknown}{_losses(life)}"


def _losses(life: Life) -> str:
    """That a sign more may be its losses, which are held against those of other casks, where it had fills enough."""
    return "; whether it lost too much is not asked here" if len(life.state.fillings) >= life.state.settings.due.retire.loss_fills else ""
