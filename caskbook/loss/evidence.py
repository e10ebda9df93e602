"""The evidence sheet of a cask: what was gauged, what went between, whom it is held against, what leaked, and who decided."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.life import Life
from caskbook.loss.aside import asides_of
from caskbook.loss.capacity import by_dimensions_note, class_b_note
from caskbook.loss.chances import run_length_years
from caskbook.loss.fills import FillLoss, fill_losses, trend_bounds
from caskbook.loss.gauges import DIP_MM, LEAST_ERROR_L, USUAL_ERROR, Gauge, Move
from caskbook.loss.intervals import COVERAGE, Interval
from caskbook.loss.peers import PeerTable
from caskbook.loss.phrases import a_year, flag_words, percent
from caskbook.loss.verdicts import judge_fill
from caskbook.loss.words import reasons_of
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import event_words

NO_CONCLUSION = (
    "This sheet tells what was measured and entered, and what follows from it by arithmetic.",
    "It draws no legal conclusion: who is to answer for a loss, if anybody, is not for a book to say.",
)
Rows = list[Sequence[str]]
ENOUGH_FOR_BOUNDS = 6
"""Gauges from which the line's bounds are told: of fewer they are the steepest and the flattest slope, which says little."""


def evidence(life: Life, peers: PeerTable) -> list[tuple[str, Rows]]:
    """Named tables for every fill, oldest first: first row the heading; a row of one cell is a sentence. Then the cask's own."""
    parts: list[tuple[str, Rows]] = []
    for loss in fill_losses(life):
        name = fill_name(loss)
        parts += [(name, _gauges(loss)), ("put in and taken out", _moves(loss)), ("from gauge to gauge", _intervals(loss))]
        parts += [("held against its peers", _verdict(life, loss, peers)), ("leaks seen", _leaks(loss))]
    parts.append(("decided", _decisions(life)))
    parts.append(("how it was measured", [[text] for text in [*_errors(life.state.settings), *_capacity(life)]]))
    return [(name, rows) for name, rows in parts if rows]


def fill_name(loss: FillLoss) -> str:
    """ "fill of 2015-04-02 (e0000003), 1st fill, racked three, 200 L, to 2023-05-16"."""
    record, filling = loss.record, loss.record.filling
    words = [f"fill of {filling.start} ({filling.event}): {filling.spirit or 'spirit not known'}", record.band, record.store or "no store named"]
    words += [f"{record.size_l:g} L"] if record.size_l is not None else []
    return ", ".join(words) + (f", to {filling.end}" if filling.end else ", still in the cask")


def _gauges(loss: FillLoss) -> Rows:
    rows: Rows = [("day", "job", "entry", "method", ">L at 20 °C", ">% vol", ">L alcohol", ">±", "remarks")]
    aside = {id(one.gauge): one for one in asides_of(loss)}
    for gauge in loss.record.gauges:
        remarks = [*([f"set aside: {one.meant or one.why}"] if (one := aside.get(id(gauge))) else []), *gauge.notes]
        error = "" if gauge.lpa is None else f"{COVERAGE * gauge.error * gauge.lpa:.2f}"
        rows.append(
            (str(gauge.day), gauge.job, gauge.event, gauge.method, _shown(gauge.litres), _strength(gauge), _shown(gauge.counted), error, "; ".join(remarks))
        )
    return rows


def _strength(entry: Gauge | Move) -> str:
    return "" if entry.abv is None else f"{entry.abv:.1f}"


def _shown(value: object) -> str:
    return "?" if value is None else str(value)


def _moves(loss: FillLoss) -> Rows:
    moves = loss.record.moves
    if not moves:
        return []
    rows: Rows = [("day", "job", "entry", ">L at 20 °C", ">% vol", ">L alcohol")]
    return rows + [(str(move.day), move.job, move.event, str(move.litres), _strength(move), _shown(move.counted)) for move in moves]


def _intervals(loss: FillLoss) -> Rows:
    if loss.whole is None:
        return [("no second gauge: nothing can be told",)]
    rows: Rows = [("from", "to", ">years", ">lost L", ">share", "% a year", ">after", "remarks")]
    rows += [_interval(one, "") for one in loss.intervals]
    if len(loss.intervals) > 1:
        rows.append(_interval(loss.whole, "the whole"))
    if any(one.in_drink for one in loss.intervals):
        rows.append(("after: % a year once what the wood took at first is left out",))
    return rows


def _interval(one: Interval, word: str) -> Sequence[str]:
    share = "" if one.percent is None else f"{one.percent} %"
    after = percent(one.steady).removesuffix(" %") if one.in_drink and one.steady is not None else ""
    remarks = [*([word] if word else []), *(flag_words(flag) for flag in one.flags)]
    return (str(one.first.day), str(one.last.day), f"{one.years:.2f}", _shown(one.lost), share, a_year(one).replace(" % a year", ""), after, "; ".join(remarks))


def _verdict(life: Life, loss: FillLoss, peers: PeerTable) -> Rows:
    """The rows that tell the verdict on a fill: its reasons, the line through all its gauges, and its in-drink."""
    verdict = judge_fill(life, loss, peers)
    rows: Rows = [(f"{verdict.level}: {reason}" if n == 0 else reason,) for n, reason in enumerate(reasons_of(verdict))]
    if loss.trend is not None:
        count = len(loss.intervals) + 1
        bounds = trend_bounds(loss)
        room = f" ({percent(bounds[0])} to {percent(bounds[1])} with 95 %)" if bounds is not None and count >= ENOUGH_FOR_BOUNDS else ""
        rows.append((f"line through {count} gauges (median of all slopes): {percent(loss.trend)} a year{room}",))
    if loss.fitted_in_drink is not None:
        rows.append((f"the line meets the day of filling at {percent(loss.fitted_in_drink, 1)} below what was put in: in-drink as the gauges have it",))
    if loss.whole is not None and loss.whole.in_drink:
        whose = {"house": "house.yaml", "gauges": "the line through its gauges; house.yaml names none", "usual": "trade press; house.yaml names none"}
        rows.append((f"in-drink told apart: {percent(loss.whole.in_drink, 1)} ({whose[loss.in_drink_from]})",))
    return rows


def _leaks(loss: FillLoss) -> Rows:
    if not loss.record.leaks:
        return []
    rows: Rows = [("day", "job", "entry", "by", "what")]
    return rows + [(str(event.date), event.job, event.id, event.by or "", event_words(event)) for event in loss.record.leaks]


def _decisions(life: Life) -> Rows:
    """Decisions on losses, and emptyings that were no drawing."""
    found = [event for event in life.events if _decides(event)]
    if not found:
        return [("nobody has decided on a loss of this cask",)]
    rows: Rows = [("day", "entry", "by", "what")]
    return rows + [(str(event.date), event.id, event.by or "", event_words(event)) for event in found]


def _decides(event: Event) -> bool:
    return event.job == "decide" and getattr(event, "rule", "") == "loss"


def _errors(settings: Settings) -> list[str]:
    """What the errors rest on: the house's settings, or what is usual."""
    own = settings.measuring_error
    words = [f"{method} {own.get(method, usual):g} %{'' if method in own else ' (usual, no source)'}" for method, usual in USUAL_ERROR.items()]  # type: ignore[call-overload]
    return [
        f"one standard deviation of the litres: {', '.join(words)}, and at least {LEAST_ERROR_L['meter']:g} L, or {DIP_MM:g} mm of a dip; of a strength {settings.strength_error:g} % vol; of litres without a temperature {settings.uncorrected_error:g} %",
        _alarms(settings),
        f"± is {COVERAGE:g} standard deviations; what the wood takes of a new filling is taken to be known to half of it",
        "litres at 20 °C by OIML R 22 (1975); rates a year: 1 - (LPA2/LPA1)^(1/years), a year being 365.2425 days",
        f"litres of pure alcohol rounded: {', '.join(settings.rounding) or 'to the hundredth, half up'}",
    ]


def _alarms(settings: Settings) -> str:
    """How often a sound cask is called out, by the house's setting."""
    allowed = settings.due.loss.false_alarms_per_1000_casks_a_year
    return f"the house allows {allowed:g} false alarms of 1000 casks a year: a sound cask is called out once in {run_length_years(allowed):,.0f} years"


def _capacity(life: Life) -> list[str]:
    return [note for note in (class_b_note(life), by_dimensions_note(life)) if note]
