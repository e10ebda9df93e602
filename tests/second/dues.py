"""Which due rules speak, by the second fold: `now` (due or blocked), `later` (at emptying), `no`, or nothing where the contract is silent."""

from __future__ import annotations

from datetime import date, timedelta

from second.facts import answered, looked_at, needed, passed_after, test_valid, wood_facts
from second.fold import Fold, day_of, later

FIRE_ONLY = {"butt", "puncheon", "port-pipe", "barrique", "madeira-drum", "gorda"}
WAIT = {"weep": 14, "drip": 0, "run": 0}


def dues(fold: Fold, day: date) -> dict[str, str]:
    """Rule → word, of a cask that is here."""
    if not fold.alive or fold.gone or fold.where != "here":
        return {}
    told = {"regauge": regauge(fold, day), "claim": yes(fold.to_claim and day <= (fold.claim_by or day))} if fold.claim_by else {"regauge": regauge(fold, day)}
    told |= {"look": yes(fold.contents != "empty" and any(day >= look_on(leak) for leak in fold.leaks))}
    if "tainted" not in fold.marks and "retired" not in fold.marks:
        told["hold"] = yes(bool(fold.marks & {"held", "rejected"}))
    if fold.shook or fold.marks & {"rejected", "retired"}:
        return told
    told["retire"] = ("later" if fold.contents != "empty" else "now") if fold.final_taint or (fold.soaked or 0) > 0.5 else ""
    told["retest"] = retest(fold, day)
    told["examine"] = "later" if fold.contents != "empty" else yes(examine(fold, day))
    told["nose"] = nose(fold, day) if fold.contents == "empty" else "no"
    told["rechar"] = rechar(fold, day)
    return {rule: word for rule, word in told.items() if word}


def yes(is_so: bool) -> str:
    return "now" if is_so else "no"


def look_on(leak: dict[str, object]) -> date:
    if leak["again"]:
        return day_of(str(leak["again"]))
    assert isinstance(leak["seen"], date)
    return leak["seen"] + timedelta(days=WAIT[str(leak["severity"])])


def regauge(fold: Fold, day: date) -> str:
    """From year 5, every 3 years; yearly from 15, or where it was last under 43 % vol."""
    if fold.contents != "spirit" or not fold.spans or fold.spans[-1][2] is not None:
        return "no"
    start = fold.spans[-1][1]
    inside = fold.gauged is not None and fold.gauged[0] > fold.spans[-1][0]
    gauged, abv = (fold.gauged[1], fold.gauged[2]) if inside and fold.gauged else (None, fold.filled_abv)
    on = later(start, 5) if gauged is None else max(later(gauged, 3), later(start, 5))
    on = min(on, max(later(gauged or start, 1), later(start, 15)))
    if abv is not None and abv < 43:
        on = later(gauged or start, 1)
    return yes(day >= on)


def retest(fold: Fold, day: date) -> str:
    if fold.contents != "empty":
        waits = fold.hoop_waits or (fold.owed and not fold.proved) or fold.failed_last or fold.house.get("fill_needs") == "test"
        return "later" if waits else "no"
    return yes(fold.failed_last or (needed(fold) and not test_valid(fold, day)) or not answered_or_none(fold) or not passed_after(fold))


def answered_or_none(fold: Fold) -> bool:
    return fold.exam is None or answered(fold)


def examine(fold: Fold, day: date) -> bool:
    exam = fold.exam
    if exam is not None and exam["verdict"] in ("hold", "reject"):
        return "held" not in fold.marks
    clean, fold.clean = fold.clean, 10**9  # the nose has a rule of its own
    seen = looked_at(fold, day)
    fold.clean = clean
    return not seen


def nose(fold: Fold, day: date) -> str:
    if fold.nosed and fold.treated_since_nose and fold.nosed[0] != "clean":
        return ""
    if fold.nosed and fold.nosed[0] == "faint" and fold.nosed_at > fold.last_emptying and not fold.sulphured_since_nose:
        return yes(day >= fold.nosed[1] + timedelta(days=7))
    if fold.wined is None and fold.clean <= fold.last_emptying and not fold.marks & {"tainted", "sulphured"}:
        return ""
    lacks = bool(fold.wined) and fold.clean <= fold.last_emptying
    return yes(bool(fold.marks & {"tainted", "sulphured"}) or lacks)


def rechar(fold: Fold, day: date) -> str:
    told = wood_facts(fold, day)
    by_fire = fold.head["type"] in FIRE_ONLY or fold.wined
    count, again = told["fills_since_fire" if by_fire else "fills_since_char"], told["rechar_count"]
    if count is None or again is None:
        return ""
    if count < (2 if again else 5):
        return "no"
    return "now" if fold.contents == "empty" else "later"
