"""Entries that tell against themselves, or tell nothing: each field is right alone, together they cannot be meant."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.model.jobs.base import listed
from caskbook.model.jobs.bench.measuring import Measure
from caskbook.model.jobs.work import BenchJob
from caskbook.model.standing import CORRECTORS

_FILLING = ("fill", "rack-in")
_CORRECTING = tuple(sorted(CORRECTORS))


def clean_with_faults(view: View) -> Iterable[Fault]:
    """clean-with-faults: a nose that is told clean, and faults beside it.

    Why: a clean nose lifts a taint and makes the cask fit for filling; with a fault it would not. One of the two is a slip.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: clean, faults: [musty]}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: nose, by: ab, verdict: fault, faults: [musty]}
    """
    for event, row in view.of("nose"):
        faults = event.faults  # type: ignore[attr-defined]
        if event.verdict == "clean" and faults and not view.is_spoiled(row, "verdict", "faults"):  # type: ignore[attr-defined]
            message = f"`verdict` is clean, `faults` are {listed(list(faults))}: expected none"[:80]
            yield fault(row, "clean-with-faults", message, "say faint or fault, or leave the faults out", "faults", of=event)


def nothing_measured(view: View) -> Iterable[Fault]:
    """nothing-measured: a measuring without a figure.

    Why: somebody measured, and what came of it is lost.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, staves: 31}
    """
    for event, row in view.of("measure"):
        figures = [getattr(event, name) for name in Measure.model_fields if name not in BenchJob.model_fields and name != "job"]
        if not event.lost and all(figure is None for figure in figures):
            yield fault(row, "nothing-measured", "nothing is measured: expected a figure", "give what was measured, or void this entry", of=event)


def swapped_with_itself(view: View) -> Iterable[Fault]:
    """swapped-with-itself: a swap of heads that names its own cask as the other one.

    Why: the other cask has a head that nobody knows of, for its number is not told.
    Wrong:
        # TH-001187
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-001187, heads: [A], why: found so}
    Right:
        # TH-001187
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-001188, heads: [A], why: found so}
        # TH-001188
        # received 2020-01-01, opened 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: swap-heads, by: ab, with: TH-001187, heads: [A], why: found so}
    """
    for event, row in view.of("swap-heads"):
        if event.with_ == view.cask.id and not view.is_spoiled(row, "with"):  # type: ignore[attr-defined]
            yield fault(row, "swapped-with-itself", "`with` is this cask: expected the other one", "give the number of the other cask", "with", of=event)


def graded_no_fill(view: View) -> Iterable[Fault]:
    """grade-of-no-fill: a grade of an entry that filled nothing.

    Why: a grade is of what came out of a fill, and is found under that fill; under another entry nobody looks for it.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-01-04, job: note, by: ab, note: weighed}
        - {id: e1000002, date: 2024-01-05, job: grade, by: ab, grade: A, of: e1000001}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, at_20: true}
        - {id: e1000002, date: 2024-01-05, job: grade, by: ab, grade: A, of: e1000001}
    """
    jobs = {event.id: event.job for event, _ in view.events}
    for event, row in view.of("grade"):
        job = jobs.get(event.of or "")  # type: ignore[attr-defined]
        if job is not None and job not in _FILLING and not view.is_spoiled(row, "of"):
            yield fault(
                row, "grade-of-no-fill", f"`of` is a {job}: expected a fill", "name the fill (caskbook show CASK --all), or leave `of` out", "of", of=event
            )


def looked_at_no_leak(view: View) -> Iterable[Fault]:
    """look-of-no-leak: a look of an entry that is no leak.

    Why: a dry look closes the leak that it names; naming another entry it closes none, and the leak stays open.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
        - {id: e1000002, date: 2020-02-02, job: sample, by: ab, ml: 50}
        - {id: e1000003, date: 2020-02-15, job: look, by: ab, seen: dry, closed_as: took-up, of: e1000002}
    Right:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
        - {id: e1000003, date: 2020-02-15, job: look, by: ab, seen: dry, closed_as: took-up, of: e1000001}
    """
    jobs = {event.id: event.job for event, _ in view.events}
    for event, row in view.of("look"):
        job = jobs.get(event.of or "")  # type: ignore[attr-defined]
        wet = event.seen != "dry"  # type: ignore[attr-defined]
        if job not in (None, "leak") and not wet and not view.is_spoiled(row, "of", "seen"):  # A wet one is `leak-not-open`.
            text = f"`of` is the entry of another job ({job}): expected a leak"
            yield fault(
                row, "look-of-no-leak", text, "name the leak (caskbook show CASK --all), or leave `of` out: then every open one is meant", "of", of=event
            )


def wet_look_closed(view: View) -> Iterable[Fault]:
    """wet-look-closed: a look that found it wet, with what is to have made it dry.

    Why: the leak stays open, for it ran; whoever reads "took-up" beside it goes by. One of the two is a slip.
    Wrong:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
        - {id: e1000002, date: 2020-02-15, job: look, by: ab, seen: run, at: joint-4, closed_as: took-up}
    Right:
        # received 2020-01-01, examined 2020-01-02, filled 2020-01-03
        - {id: e1000001, date: 2020-02-01, job: leak, by: ab, at: joint-4, severity: weep}
        - {id: e1000002, date: 2020-02-15, job: look, by: ab, seen: run, at: joint-4}
    """
    for event, row in view.of("look"):
        seen, closed = event.seen, event.closed_as  # type: ignore[attr-defined]
        if closed is not None and seen != "dry" and not view.is_spoiled(row, "seen", "closed_as"):
            text = f"`seen` is {seen}, `closed_as` is {closed}: expected none"
            yield fault(row, "wet-look-closed", text, "say dry, or leave `closed_as` out: a leak that is wet stays open", "closed_as", of=event)


def void_that_replaces(view: View) -> Iterable[Fault]:
    """void-that-replaces: a void or a moved entry that bears `replaces` beside `of`.

    Why: it puts out of force what `of` names, and nothing else: what it was to replace still counts, though the entry says otherwise.
    Wrong:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: dry}
        - {id: e1000003, date: 2020-01-03, job: void, by: ab, of: e1000001, why: not measured}
        - {id: e1000004, date: 2020-01-04, job: void, by: ab, of: e1000002, replaces: e1000003, why: x}
    Right:
        # received 2020-01-01
        - {id: e1000001, date: 2020-01-02, job: measure, by: ab, stave_mm: 24}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: dry}
        - {id: e1000003, date: 2020-01-03, job: void, by: ab, of: e1000001, why: not measured}
        - {id: e1000004, date: 2020-01-04, job: void, by: ab, of: e1000003, why: not that one}
        - {id: e1000005, date: 2020-01-04, job: void, by: ab, of: e1000002, why: x}
    """
    for event, row in (pair for job in _CORRECTING for pair in view.of(job)):
        if event.replaces is not None and not view.is_spoiled(row, "replaces"):
            text = f"`replaces` is {event.replaces}: expected none; what a {event.job} puts out of force is its `of`"
            yield fault(row, "void-that-replaces", text, f"void {event.replaces} by an entry of its own, and leave `replaces` out", "replaces", of=event)


RULES = (
    Rule(clean_with_faults, {"clean-with-faults": "warning"}, on=("nose",)),
    Rule(nothing_measured, {"nothing-measured": "warning"}, on=("measure",)),
    Rule(swapped_with_itself, {"swapped-with-itself": "warning"}, on=("swap-heads",)),
    Rule(graded_no_fill, {"grade-of-no-fill": "warning"}, on=("grade",)),
    Rule(looked_at_no_leak, {"look-of-no-leak": "warning"}, on=("look",)),
    Rule(wet_look_closed, {"wet-look-closed": "warning"}, on=("look",)),
    Rule(void_that_replaces, {"void-that-replaces": "error"}, on=_CORRECTING),
)
