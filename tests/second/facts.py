"""The facts of the second fold on a day, under the names and in the shapes of the contract."""

from __future__ import annotations

from datetime import date
from typing import Any

from second.fold import YEAR, Fold, day_of, later

CLASS = ["whisky", "malt", "grain"]


def past(fold: Fold) -> dict[str, Any]:
    """Counts of the life before this ledger, None where unknown: from the parents for a child, else from the head."""
    if fold.child is not None:
        given = fold.child
        return {"life": given.get("fills_life"), "least": given.get("fills_life_min") or 0, "of_class": given.get("fills_of_class"),
                "since_char": given.get("fills_since_char"), "since_fire": given.get("fills_since_fire"), "since_min": given.get("fills_since_char") or 0, "chars": given.get("char_count"),
                "rechars": given.get("rechar_count"), "char": dated(given.get("last_char")), "fire": dated(given.get("last_fire")), "never": False}  # fmt: skip
    prior, charred = fold.head.get("prior"), fold.head.get("charred", "unknown")
    sums = [entry.get("fills") for entry in prior or []]
    known = [n for n in sums if isinstance(n, int)]
    life = sum(known) if prior is not None and len(known) == len(sums) else None
    kinds = [entry["contents"] for entry in prior or []]
    words = fold.house.get("class_of_spirit", CLASS)
    mine = [entry.get("fills") for entry in prior or [] if entry["contents"] in words]
    of_class = sum(mine) if prior is not None and "unknown" not in kinds and all(isinstance(n, int) for n in mine) else None
    never, unknown = charred == "never", charred == "unknown"
    counted = life if fold.house.get("count_prior", True) else 0
    since = life if never else None if unknown else counted
    last = None if never or unknown else dated(charred)
    return {"life": life, "least": sum(known), "of_class": of_class, "since_char": since, "since_fire": since, "since_min": since if since is not None else 0 if unknown else sum(known), "chars": None if unknown else 0 if never else 1,
            "rechars": 0, "char": last, "fire": last, "never": never}  # fmt: skip


def dated(value: Any) -> tuple[date, bool] | None:
    """A day, or the middle of a year as an approximate one."""
    if value is None or value in ("unknown", "never"):
        return None
    if isinstance(value, date):
        return value, False
    text = str(value)
    return (date(int(text), 7, 1), True) if len(text) == 4 else (day_of(text), False)


def add(a: int | None, b: int) -> int | None:
    return None if a is None else a + b


def in_wood(fold: Fold, day: date, after: date | None = None) -> float:
    """Years of the filled spans; where a char is entered within one, the part behind it."""
    return round(sum(max(0, ((end or day) - max(start, after or start)).days) for _, start, end in fold.spans) / YEAR, 3)


def facts(fold: Fold, day: date) -> dict[str, Any]:
    """All facts of the day."""
    if not fold.alive:
        return {"state": None}
    return {**standing_facts(fold), **wood_facts(fold, day), **bench_facts(fold, day), "state": state(fold, day), "fitness": fitness(fold, day)}


def standing_facts(fold: Fold) -> dict[str, Any]:
    form = "gone" if fold.gone else "shook" if fold.shook else "open" if fold.out else "whole"
    return {
        "contents": fold.contents, "form": form, "whereabouts": fold.where, "marks": sorted(fold.marks), "berth": fold.berth, "stow": fold.stow,
        "spirit": fold.spirit, "capacity_l": fold.capacity, "type": fold.head["type"], "staves": fold.staves, "staves_replaced": fold.staves_replaced,
        "bung_stave_replacements": fold.bung_replaced, "original_stave_share": fold.share(),
        "hoops_replaced": fold.hoops_replaced, "heads_replaced": fold.heads_replaced, "flagged": fold.flagged, "donors": sorted(fold.donors),
        "stave_mm": fold.stave_mm, "soaked": fold.soaked, "wine_held": fold.wined, "open_defects": sorted(fold.defects, key=lambda d: fold.steps[d["event"]]),
        "open_leaks": [{k: leak[k] for k in ("at", "severity", "since", "event")} for leak in fold.leaks], "taint": "tainted" in fold.marks,
        "treatments": fold.treatments,
    }  # fmt: skip


def wood_facts(fold: Fold, day: date) -> dict[str, Any]:
    before = past(fold)
    short = fold.house.get("short_fill_days", 0)
    counted = [f for f in fold.fills if not (f["end"] and (f["end"] - f["start"]).days < short)]
    n = len(fold.fills)
    char = fold.char or before["char"]
    life = add(before["life"], n)

    def since(own: tuple[int, date] | None, prior: int | None, all_if_never: bool) -> int | None:
        if own:
            return len([f for f in counted if f["step"] > own[0]])
        return add(prior, n if all_if_never and before["never"] else len(counted))

    last_char = (fold.char[1], False) if fold.char else before["char"]
    last_fire = fold.fire[1] if fold.fire else before["fire"][0] if before["fire"] else None
    start = next((span[1] for span in fold.spans if span[2] is None), None)
    oak = fold.oak if fold.contents == "spirit" and not fold.gone else None
    minimum = fold.house.get("minimum_age")
    return {
        "fills": n, "fills_life": life, "fills_life_min": before["least"] + n, "fills_of_class": add(before["of_class"], len([f for f in fold.fills if f["spirit"]])),
        "fills_since_char": since(fold.char, before["since_char"], True), "fills_since_fire": since(fold.fire, before["since_fire"], False),
        "fills_since_char_min": before["least"] + n if not fold.char and before["never"] else since(fold.char, before["since_min"], False),
        "last_char": last_char[0] if last_char else None, "last_char_approx": bool(last_char and last_char[1]), "last_fire": last_fire,
        "char_count": add(before["chars"], fold.chars), "rechar_count": None if fold.rechar_unknown else add(before["rechars"], fold.rechars),
        "never_charred": False if char or before["chars"] else before["never"] or None, "years_since_char": round((day - last_char[0]).days / YEAR, 3) if last_char and last_char[0] <= day else None,
        "years_in_wood": in_wood(fold, day), "years_in_wood_since_char": in_wood(fold, day, fold.char and fold.char[1]) if last_char or before["never"] else None,
        "in_this_cask_years": round((day - start).days / YEAR, 3) if start and not fold.gone and fold.contents == "spirit" else None,
        "age_years": whole_years(oak, day) if oak else None, "oak_since": oak, "minimum_age_on": later(oak, minimum) if oak and minimum is not None else None,
    }  # fmt: skip


def whole_years(start: date, day: date) -> int:
    n = day.year - start.year
    return n - (later(start, n) > day)


def bench_facts(fold: Fold, day: date) -> dict[str, Any]:
    last = fold.last_test
    return {
        "last_test": {**last, "date": last["date"]} if last else None, "test_age_days": (day - last["date"]).days if last else None,
        "proved": fold.proved, "test_needed": needed(fold), "test_valid": test_valid(fold, day), "fails_this_visit": fold.fails, "examined": examined(fold, day),
    }  # fmt: skip


def needed(fold: Fold) -> bool:
    return fold.needs or bool(fold.house.get("fill_needs", "examine") == "test")


def test_valid(fold: Fold, day: date) -> bool:
    return bool(fold.proved and fold.passed and (day - fold.passed[1]).days <= fold.house.get("test_valid_days", 60))


def looked_at(fold: Fold, day: date) -> bool:
    """An examination of this visit that is not too old and ended in sound or repair, and the clean nose that wine and sulphur want."""
    exam = fold.exam
    if exam is None or exam["verdict"] in ("hold", "reject"):
        return False
    on = exam["day"]
    if fold.proved and fold.passed and fold.passed[0] > exam["step"]:
        on = max(on, fold.passed[1])
    if (day - on).days > fold.house.get("examine_valid_days", 30):
        return False
    return not (fold.wined or "sulphured" in fold.marks) or fold.clean > fold.last_emptying


def answered(fold: Fold) -> bool:
    exam = fold.exam
    return exam is not None and (exam["verdict"] != "repair" or not any(d["event"] == exam["id"] for d in fold.defects))


def passed_after(fold: Fold) -> bool:
    """A pass after the last answer to a repair, which counts while nothing has unproved the cask."""
    exam = fold.exam
    return (
        exam is None
        or exam["verdict"] != "repair"
        or bool(fold.proved and fold.passed and fold.passed[0] > exam["step"] and fold.passed[0] >= exam["answered"])
    )


def examined(fold: Fold, day: date) -> bool | None:
    sound = bool(looked_at(fold, day) and answered(fold) and passed_after(fold))
    return None if sound and nose_open(fold) else sound


def nose_open(fold: Fold) -> bool:
    """Whether a nose is wanted hangs on wine that nobody can tell of."""
    return fold.wined is None and fold.clean <= fold.last_emptying


def fitness(fold: Fold, day: date) -> str | None:
    if fold.contents != "empty" or fold.gone:
        return None
    for mark in ("rejected", "retired", "held", "tainted", "sulphured"):
        if mark in fold.marks:
            return mark
    if not looked_at(fold, day):
        return "unexamined"
    if not answered(fold):
        return "repair"
    if fold.failed_last:
        return "failed"
    if (needed(fold) and not test_valid(fold, day)) or not passed_after(fold):
        return "untested"
    return None if nose_open(fold) else "ready"


def state(fold: Fold, day: date) -> str | None:
    if fold.gone:
        return "gone"
    if fold.where != "here":
        return fold.where
    if fold.contents != "empty":
        return "filled" if fold.contents == "spirit" else "seasoning"
    if fold.shook or fold.out:
        return "shook" if fold.shook else "open"
    return "emptied" if fold.emptied_unseen else fitness(fold, day)
