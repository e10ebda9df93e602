"""Whether the alcohol adds up, and whether the gauges can be compared."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.checks.carried import GAUGED, Step, steps
from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.loss.aside import asides_of
from caskbook.loss.fills import fill_losses
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import plain
from caskbook.model.jobs.spirit.gauged import has_two_volumes, ways_measured
from caskbook.words.job_table import jobs_with


def gain(view: View) -> Iterable[Fault]:
    """lpa-gain: more alcohol than was in it before.

    Why: a cask loses; a gain beyond the error of measuring is a wrong figure, a missing topping, or another cask's gauge.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 180, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2024-01-03, job: empty, by: ab, litres: 192, abv: 62, at_20: true}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 198, abv: 63.5,
           at_20: true}
        - {id: e1000002, date: 2024-01-03, job: empty, by: ab, litres: 182, abv: 62, at_20: true}
    """
    for step in steps(view):
        if step.measured is None or step.lpa is None or step.event.source is not None:
            continue
        if step.measured > step.lpa * (1 + step.slack / 100) + 0.1:
            yield _gained(view, step)


def _gained(view: View, step: Step) -> Fault:
    """The fault of a gain: at an earlier gauge of the fill, where the others leave no doubt that it is the wrong one, as `due loss` and `report loss` have it."""
    loss = next(
        (loss for loss in fill_losses(view.life) if any((gauge.event, gauge.day) == (step.event.id, step.event.date) for gauge in loss.record.gauges)), None
    )
    asides = {} if loss is None else {aside.gauge.event: aside for aside in asides_of(loss)}
    found = asides.get(step.event.id)
    if found is None:
        for event, row in reversed([one for one in view.standing if one[0].date <= step.event.date]):
            if event.id in asides and event.id != step.event.id:
                aside = asides[event.id]
                text = f"{aside.why}: {aside.meant or 'spirit does not grow'}"
                return fault(row, "lpa-gain", text, "correct the litres, abv or temperature of this gauge", _field_of(event), of=event)
    text = f"{step.measured:.1f} L of alcohol: it held {step.lpa:.1f} L at the last measure"
    meant = f"; {found.meant}" if found is not None and found.meant else ""
    return fault(step.row, "lpa-gain", text + meant, "correct litres, abv or temperature, or enter the topping", _field_of(step.event), of=step.event)


def _field_of(event: Event) -> str:
    return "litres" if getattr(event, "litres", None) is not None else "abv"


def uncorrected(view: View) -> Iterable[Fault]:
    """uncorrected-gauge: litres with neither `temp_c` nor `at_20`; told once a file, at the first.

    Why: 10 °C more or less is a percent of the volume; a loss worked out from such litres is as uncertain.
    Wrong:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5}
    Right:
        # received 2020-01-01, examined 2020-01-02
        - {id: e1000001, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 195, abv: 63.5,
           temp_c: 14.5}
    """
    bare = [
        (event, row)
        for event, row in view.standing
        if event.job in GAUGED and event.temp_c is None and not event.at_20 and event.source is None  # type: ignore[attr-defined]
        and not view.is_spoiled(row, "temp_c", "at_20", "litres")
        and not (event.job == "empty" and event.litres == 0)  # type: ignore[attr-defined]
    ]  # fmt: skip
    if bare:
        event, row = bare[0]
        more = f", and {len(bare) - 1} more" if len(bare) > 1 else ""
        yield fault(
            row,
            "uncorrected-gauge",
            f"{event.job} without temp_c or at_20{more}: litres are uncorrected",
            "write temp_c with every gauge from now on",
            "job",
            of=event,
        )


def two_measurements(view: View) -> Iterable[Fault]:
    """Litres beside a dip or a weight: fields that disagree, for only one of them was measured, or they were measured apart."""
    for event, row in view.of("regauge"):
        ways = ways_measured(event)
        if len(ways) > 1 and not view.is_spoiled(row, "litres", "wet_mm", "dry_mm", "gross_kg"):
            message = f"`{'` and `'.join(ways)}`: expected what was measured, and nothing worked out of it"
            yield fault(row, "fields-disagree", message, "replace the entry by one that has only what was measured", ways[1], of=event)


def two_volumes(view: View) -> Iterable[Fault]:
    """Litres as measured at a temperature, and said to be at 20 °C already: fields that disagree.

    190 L of 60 % vol at 2 °C are 192.9 L at 20 °C (OIML R 22); which of the two was measured only the writer can say, so the entry gives
    no loss until it is put right.
    """
    for event, row in view.standing:
        if has_two_volumes(event) and not view.is_spoiled(row, "temp_c", "at_20"):
            message = f"litres measured at {plain(event.temp_c)} °C, and `at_20: true`: expected one of the two"  # type: ignore[attr-defined]
            yield fault(row, "fields-disagree", message, "replace the entry by one that says how they were measured", "temp_c", of=event)


def strength_of_nothing(view: View) -> Iterable[Fault]:
    """No litres came out, and at a strength: fields that disagree. Of an old register nobody can say which is wrong."""
    for event, row in view.of("empty"):
        litres, abv = getattr(event, "litres", None), getattr(event, "abv", None)
        if litres == 0 and abv is not None and event.source is None and not view.is_spoiled(row, "litres", "abv"):
            message = f"0 litres, and `abv` {plain(abv)} %: expected no strength of nothing, or the litres that came out"
            yield fault(row, "fields-disagree", message, "replace the entry by one without `abv`, or with the litres", "abv", of=event)


RULES = (
    Rule(gain, {"lpa-gain": "warning"}, on=("regauge", "empty")),
    Rule(uncorrected, {"uncorrected-gauge": "note"}),
    Rule(two_measurements, {"fields-disagree": "error"}, on=("regauge",)),
    Rule(two_volumes, {"fields-disagree": "error"}, on=jobs_with("at-temperature") + ("receive", "rack-in")),
    Rule(strength_of_nothing, {"fields-disagree": "error"}, on=("empty",)),
)
