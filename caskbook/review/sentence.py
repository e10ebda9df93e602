"""What a run wrote, as the sentence of its commit: what a review will say of it, in one line and below it cask by cask."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from caskbook.ledger.changes import CaskChange
from caskbook.ledger.files import Ledger
from caskbook.model.jobs.base import event_words
from caskbook.review.days import Done, days, named, test_outcome
from caskbook.review.gather import done_in, is_ordinary, put_right_in
from caskbook.review.model import PutRight
from caskbook.review.phrases import phrase
from caskbook.words.job_table import row_of
from caskbook.words.plural import number_of

_MOST_SUBJECT = 100
_MOST_LINES = 200
_MOST_JOINED = 60
_OUTCOMES = {
    "tight": "{} tested tight", "drive": "{} leaked and cured by driving", "took-up": "{} leaked and took up",
    "later": "{} failed first, then passed", "fail": "{} failed",
}  # fmt: skip


def commit_sentence(changes: Sequence[CaskChange], ledger: Ledger) -> str:
    """A subject as "3 casks tested tight, 1 failed; ab", and below it a line for each cask, or for many alike."""
    done = [one for change in changes for one in done_in(change, ledger)]
    right = list(put_right_in(changes))
    work = [one for one in done if is_ordinary(one) and not one.event.moved_from]
    hands = list(dict.fromkeys(str(one.event.by) for one in done if one.event.by and not one.event.moved_from)) or list(
        dict.fromkeys(one.by for one in right if one.by)
    )
    parts = [*_of_one(work, ledger)] if len({one.cask.id for one in work}) == 1 else list(_by_job(work, ledger))
    parts += [_put_right(one) for one in right] if len(right) == 1 else list(_by_way(right))
    who = f"; {', '.join(hands)}" if hands else ""
    subject = "; ".join(parts) or f"{number_of(len(changes), 'cask')} written"
    if len(subject) > _MOST_SUBJECT:
        subject = _in_short(work, right)
    body = [*_lines(work, ledger), *(_put_right(one) + (f": {one.why}" if one.why else "") for one in right)]
    more = [f"and {len(body) - _MOST_LINES} more"] if len(body) > _MOST_LINES else []
    return _printable(subject + who) + "\n\n" + "\n".join(_printable(line) for line in [*body[:_MOST_LINES], *more])


def _put_right(one: PutRight) -> str:
    return f"{one.cask} {one.how}{f' to {one.again}' if one.again else ''}: {one.text}"


def _of_one(work: Sequence[Done], ledger: Ledger) -> Iterable[str]:
    """What was done to a single cask."""
    if len(work) == 1:
        one = work[0]
        yield f"{one.cask.id} {phrase(one.event, one.cask, ledger.house, one.joined)}"
    elif work:
        yield f"{work[0].cask.id}: " + "; ".join(phrase(one.event, one.cask, ledger.house, one.joined) for one in sorted(work, key=lambda one: one.event.id))


def _by_job(work: Iterable[Done], ledger: Ledger) -> Iterable[str]:
    """ "3 casks tested tight, 1 failed", and so on for each job."""
    jobs: dict[str, list[Done]] = {}
    for one in work:
        jobs.setdefault(one.event.job, []).append(one)
    for job, done in jobs.items():
        casks = list(dict.fromkeys(one.cask.id for one in done))
        if job == "test":
            yield _tests(done)
        elif len(done) == 1:
            yield f"{casks[0]} {phrase(done[0].event, done[0].cask, ledger.house, done[0].joined)}"
        else:
            said = {event_words(one.event) for one in done}
            alike = f": {word}" if len(said) == 1 and (word := next(iter(said))) and len(word) <= _MOST_JOINED else ""
            yield f"{number_of(len(casks), 'cask')} {row_of(job).many or row_of(job).past.rstrip(':,') or job}{alike}"


def _tests(done: Iterable[Done]) -> str:
    """How the tests of many casks ended, the casks named once."""
    by_cask: dict[str, list[Done]] = {}
    for one in sorted(done, key=lambda one: one.event.id):
        by_cask.setdefault(one.cask.id, []).append(one)
    ends = [test_outcome([one.event for one in tests]) for tests in by_cask.values()]
    parts = [(ends.count(end), text) for end, text in _OUTCOMES.items() if end in ends]
    return ", ".join(text.format(number_of(count, "cask") if not n else str(count)) for n, (count, text) in enumerate(parts))


def _by_way(right: Iterable[PutRight]) -> Iterable[str]:
    """ "12 entries voided", and so on for each way of putting right."""
    ways: dict[str, list[str]] = {}
    for one in right:
        ways.setdefault(one.how, []).append(one.cask)
    for way, casks in ways.items():
        yield f"{number_of(len(casks), 'entry')} {way} ({named(casks)})"


def _in_short(work: Sequence[Done], right: Sequence[PutRight]) -> str:
    """How much was done, where all of it is too long for one line."""
    casks = {one.cask.id for one in work} | {one.cask for one in right}
    jobs = dict.fromkeys([*(one.event.job for one in work), *(one.how for one in right)])
    words = list(jobs)[:6] + (["…"] if len(jobs) > 6 else [])
    where = next(iter(casks)) if len(casks) == 1 else number_of(len(casks), "cask")
    return f"{number_of(len(work) + len(right), 'entry')} on {where}: {', '.join(words)}"


def _lines(work: Iterable[Done], ledger: Ledger) -> Iterable[str]:
    """The work as a review lists it, day by day where it is of several."""
    found = days(work, ledger.house)
    for day in found:
        lead = f"{day.day} " if len(found) > 1 else ""
        yield from (lead + group.text for group in day.groups)
        yield from (f"{lead}{cask.cask} {cask.type}: {cask.text}" for cask in day.casks)


def _printable(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)
