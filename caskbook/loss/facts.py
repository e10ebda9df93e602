"""The loss of a cask as facts: for the bench card, and as machine-readable data."""

from __future__ import annotations

from typing import Any

from caskbook.life import Life
from caskbook.loss.doubts import MISREAD, doubt_with
from caskbook.loss.fills import FillLoss, loss_now
from caskbook.loss.gauges import tenths
from caskbook.loss.intervals import Interval
from caskbook.loss.leak import Leak
from caskbook.loss.peers import PeerTable
from caskbook.loss.phrases import a_year, flag_words, percent, told_apart, years_words
from caskbook.loss.verdicts import LossVerdict, judge_fill
from caskbook.loss.words import reasons_of


def loss_facts(life: Life, peers: PeerTable | None = None) -> dict[str, Any] | None:
    """The loss of the present fill, else of the last one; None where there was none.

    `litres_20` and `lpa` are litres lost; `share`, `per_year`, `plus_minus` (two standard deviations), `expected` and `trend` are
    fractions of one; `per_year` is 1 - (LPA2/LPA1)^(1/years), `after_in_drink` the same without what the wood took at first.
    Unknown is None. `doubt` is why the fill is in no sum, `doubtful` whether its gauges are in contradiction or one is likely misread, which `peers` tell.
    `expected` and `verdict` (act, watch, usual, doubtful, unknown) need `peers`, and so do `excess`, what is gone beyond what a sound cask
    would have lost, and `score`, how many standard deviations that is above, of which the house acts from `acts_from`.
    """
    loss = loss_now(life)
    if loss is None:
        return None
    verdict = judge_fill(life, loss, peers) if peers is not None else None
    whole, doubt = loss.whole, doubt_with(loss, verdict)
    return {
        "fill": loss.record.filling.event, "store": loss.record.store, "band": loss.record.band, **figures(whole),
        "in_drink": _rounded(whole.in_drink) if whole else None, "in_drink_from": loss.in_drink_from, "in_drink_fitted": _rounded(loss.fitted_in_drink),
        "after_in_drink": _rounded(whole.steady) if whole else None,
        "after_in_drink_plus_minus": _rounded(whole.steady_plus_minus) if whole else None, "trend": _rounded(loss.trend),
        "intervals": [_interval(one) for one in loss.intervals],
        "set_aside": [gauge.event for gauge in loss.set_aside], "doubtful": loss.doubtful or bool(verdict and verdict.doubt),
        "doubt": doubt[0] if doubt else None, **_judged(verdict),
    }  # fmt: skip


def figures(one: Interval | None) -> dict[str, Any]:
    """The figures of a stretch: days, years, litres, and fractions of one; each None where there is none."""
    if one is None:
        return dict.fromkeys(("from", "to", "years", "litres_20", "lpa", "share", "per_year", "plus_minus"))
    return {
        "from": one.first.day, "to": one.last.day, "years": round(one.years, 3),
        "litres_20": None if one.litres is None else float(one.litres), "lpa": None if one.lost is None else float(one.lost),
        "share": _rounded(one.told_share), "per_year": _rounded(one.per_year), "plus_minus": _rounded(one.plus_minus),
    }  # fmt: skip


def _interval(one: Interval) -> dict[str, Any]:
    return {**figures(one), "events": [one.first.event, one.last.event], "flags": list(one.flags)}


def _judged(verdict: LossVerdict | None) -> dict[str, Any]:
    if verdict is None:
        return {"expected": None, "expected_from": None, "verdict": None, "reasons": [], "excess": None, "score": None, "acts_from": None}
    expected = verdict.expected
    return {
        "expected": _rounded(expected.rate) if expected else None, "expected_from": expected.source if expected else None,
        "verdict": verdict.level, "reasons": list(reasons_of(verdict)), "excess": _excess(verdict.leak),
        "score": round(verdict.score, 2) if verdict.leak else None, "acts_from": round(verdict.limit, 2) if verdict.limit else None,
    }  # fmt: skip


def _excess(leak: Leak | None) -> dict[str, Any] | None:
    """What is gone beyond what a sound cask would have lost: litres of alcohol, the days between which it begins, and the rate since."""
    if leak is None:
        return None
    return {
        "lpa": round(leak.lpa, 2), "least": round(leak.least, 2), "most": round(leak.most, 2), "goes_on": leak.kind == "running", "after": leak.onset[0],
        "seen": leak.onset[1], "per_year": _rounded(leak.rate), "plus_minus": _rounded(leak.plus_minus), "peers": _rounded(leak.peers),
    }  # fmt: skip


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 6)


def loss_parts(life: Life, peers: PeerTable | None = None) -> list[str]:
    """The line `loss` of the bench card, in parts; empty where the cask was never filled with spirit."""
    loss = loss_now(life)
    if loss is None:
        return []
    whole = loss.whole
    if whole is None or whole.lost is None or whole.percent is None:
        return [f"not gauged since it was filled {loss.record.filling.start}" if not loss.ended else "its last fill was not gauged at its end"]
    which = "" if not loss.ended else "last fill: "
    parts = [f"{which}{tenths(whole.lost)} L of alcohol, {whole.percent} % in {years_words(whole.years, *whole.days)}"]
    parts += [text for text in (a_year(whole), told_apart(whole)) if text and whole.per_year is not None]
    verdict = judge_fill(life, loss, peers) if peers is not None else None
    return parts + _peer_parts(verdict) + _doubts(loss)


def _peer_parts(verdict: LossVerdict | None) -> list[str]:
    if verdict is None or verdict.expected is None:
        return []
    who = "peers" if verdict.expected.count else "expected"
    word = {"act": "TOO MUCH: see due", "watch": "more than usual"}.get(verdict.level)
    if verdict.doubt is not None:
        word = f"doubtful: {MISREAD}, {verdict.doubt.day}"
    return [f"{who} {percent(verdict.expected.rate)}", *([word] if word else [])]


def _doubts(loss: FillLoss) -> list[str]:
    flags = {flag: None for one in loss.intervals for flag in one.flags}
    words = [flag_words(flag) for flag in flags]
    if loss.set_aside:
        words.append(f"{len(loss.set_aside)} gauge{'s' * (len(loss.set_aside) > 1)} set aside")
    return words
