"""Whether the alcohol adds up, and whether the gauges can be compared."""

from __future__ import annotations

from collections.abc import Iterable

from caskbook.checks.carried import GAUGED, steps
from caskbook.checks.context import View, fault
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
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
            field = "litres" if getattr(step.event, "litres", None) is not None else "abv"
            text = f"{step.measured:.1f} L of alcohol: it held {step.lpa:.1f} L at the last measure"
            yield fault(step.row, "lpa-gain", text, "correct litres, abv or temperature, or enter the topping", field, of=step.event)


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


RULES = (
    Rule(gain, {"lpa-gain": "warning"}, on=("regauge", "empty")),
    Rule(uncorrected, {"uncorrected-gauge": "note"}),
    Rule(two_measurements, {"fields-disagree": "error"}, on=("regauge",)),
    Rule(two_volumes, {"fields-disagree": "error"}, on=jobs_with("at-temperature") + ("receive", "rack-in")),
)
