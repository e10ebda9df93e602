"""What is worked out of a life on a day, under the names that every report and the machine-readable answers use."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from caskbook.core.days import DAYS_PER_YEAR as YEAR
from caskbook.core.days import add_years, whole_years, years_between
from caskbook.life.fitness import examined, fitness_known, nose_unknown, pass_needed, state_word, test_valid
from caskbook.life.fold import Life
from caskbook.life.receipt import claim_day, contents_untold, receipt_of
from caskbook.life.state import State
from caskbook.life.unknown_facts import forget, withhold
from caskbook.model.cask import CaskHead
from caskbook.model.jobs.cask_head import value_words


@dataclass(slots=True)
class Facts:
    """The facts of one cask on one day. None is unknown (or does not apply); years are rounded to 3 decimals."""

    cask: str
    type: str
    as_of: date
    capacity_l: float | None = None
    wood: str | None = None
    maker: str | None = None
    owner: str | None = None
    parcel: str | None = None
    supplier: str | None = None
    made: str | None = None
    prior: str | None = None
    received: date | None = None
    claim_by: date | None = None
    state: str | None = None
    contents: str | None = None
    form: str | None = None
    whereabouts: str | None = None
    marks: list[str] | None = None
    fitness: str | None = None
    berth: str | None = None
    store: str | None = None
    stow: str | None = None
    spirit: str | None = None
    vat: str | None = None
    fills: int | None = None
    fills_life: int | None = None
    fills_life_min: int | None = None
    fills_of_class: int | None = None
    fills_since_char: int | None = None
    fills_since_char_min: int | None = None
    fills_since_fire: int | None = None
    last_char: date | None = None
    last_char_approx: bool | None = None
    last_fire: date | None = None
    char_count: int | None = None
    rechar_count: int | None = None
    never_charred: bool | None = None
    years_since_char: float | None = None
    years_in_wood: float | None = None
    years_in_wood_since_char: float | None = None
    in_this_cask_years: float | None = None
    age_years: int | None = None
    oak_since: date | None = None
    minimum_age_on: date | None = None
    last_test: dict[str, Any] | None = None
    test_age_days: int | None = None
    proved: bool | None = None
    test_needed: bool | None = None
    test_valid: bool | None = None
    examined: bool | None = None
    fails_this_visit: int | None = None
    staves: int | None = None
    staves_replaced: dict[str, int] | None = None
    bung_stave_replacements: int | None = None
    original_stave_share: str | None = None
    hoops_replaced: int | None = None
    heads_replaced: int | None = None
    flagged: dict[str, int] | None = None
    donors: list[str] | None = None
    stave_mm: float | None = None
    soaked: float | None = None
    wine_held: bool | None = None
    open_defects: list[dict[str, Any]] | None = None
    open_leaks: list[dict[str, Any]] | None = None
    taint: bool | None = None
    treatments: int | None = None
    wood_left: float | None = None
    joined: list[str] | None = None
    old_marks: list[str] | None = None

    @property
    def is_here(self) -> bool:
        """Whether the house has it: neither gone nor away nor missing."""
        return self.state not in ("gone", "away", "missing")

    def as_dict(self) -> dict[str, Any]:
        """The facts by name, in the order above."""
        return asdict(self)


def facts_of_head(head: CaskHead, day: date) -> Facts:
    """Those of a cask to which nothing had happened by the day."""
    facts = Facts(head.cask, head.type, day, head.capacity_l, head.wood, head.maker, head.owner, parcel=head.parcel, supplier=head.supplier)
    facts.made = None if head.made is None else str(head.made)
    facts.prior = None if head.prior is None else value_words("prior", head.prior)
    return facts


def facts_of(life: Life) -> Facts:
    """Work out the facts. Before the first event, and of a cask unknown, the figures are None."""
    head, st, day = life.cask.head, life.state, life.day
    facts = facts_of_head(head, day)
    if not life.begun:
        return facts
    facts.capacity_l = st.capacity_l
    receipt = receipt_of(life)
    if receipt is not None:
        facts.received, facts.claim_by = receipt.date, claim_day(life, receipt, life.state.settings)
    _condition(facts, st, day)
    if contents_untold(life):
        facts.contents = facts.spirit = None
        facts.state = facts.state if facts.state in ("gone", "away", "missing") else None
    _counts(facts, st, day)
    _years(facts, st, day)
    _tests(facts, st, day)
    _parts(facts, st)
    _open_matters(facts, st)
    facts.wood_left = _wood_left(facts, life)
    facts.old_marks = list(dict.fromkeys([*(mark for cask in (life.cask, *life.others) for mark in cask.head.was or ()), *st.old_marks]))
    if any(event.codes for event in life.events) or head.codes:
        forget(facts, st)
    if life.in_part:
        withhold(facts, life)
    return facts


def _condition(facts: Facts, st: State, day: date) -> None:
    facts.state = state_word(st, day)
    facts.contents, facts.form, facts.whereabouts = st.contents, st.form, st.where
    facts.marks = list(st.marks)
    facts.fitness = fitness_known(st, day) if not st.filled and st.form != "gone" else None
    facts.berth, facts.stow = st.berth, st.stow
    facts.store = st.settings.store_of(st.berth)
    facts.spirit = st.spirit
    facts.vat = st.filling.vat if st.filling is not None and st.filled else None
    facts.wine_held = st.wine_held
    facts.joined = list(st.joined)


def _plus(before: int | None, own: int) -> int | None:
    return None if before is None else before + own


def _counts(facts: Facts, st: State, day: date) -> None:
    """The counts of fills and chars, those before this ledger included where they are known, and the days of the last fire."""
    past = st.past
    facts.fills = st.fills
    facts.fills_life = _plus(past.fills_life, st.fills)
    facts.fills_life_min = past.fills_life_min + st.fills
    facts.fills_of_class = _plus(past.fills_of_class, sum(filling.is_spirit for filling in st.fillings))
    facts.char_count = _plus(past.char_count, st.chars)
    facts.rechar_count = st.rechars
    charred = bool(st.chars or past.char_count or past.last_char)
    facts.never_charred = False if charred else True if past.never_charred else None
    charred_here, fired_here = st.last_char is not None, st.last_fire is not None
    facts.fills_since_char = st.fills_since_char if charred_here else _plus(past.fills_since_char, st.fills_since_char)
    facts.fills_since_fire = st.fills_since_fire if fired_here else _plus(past.fills_since_fire, st.fills_since_fire)
    facts.fills_since_char_min = st.fills_since_char + (0 if charred_here else past.since_char_min)
    if facts.never_charred:
        facts.fills_since_char, facts.fills_since_char_min = facts.fills_life, facts.fills_life_min
    facts.last_char = st.last_char or past.last_char_day
    facts.last_char_approx = bool(not charred_here and past.last_char and past.last_char.approximate)
    facts.last_fire = st.last_fire or (past.last_fire.day if past.last_fire else None)


def _years(facts: Facts, st: State, day: date) -> None:
    """The years in wood and since char, rounded to 3 decimals, and the age of the spirit in whole years."""
    open_days = open_since_char = 0
    filling = st.filling  # It lasts until the emptying, also where wine was put on top of it.
    if filling is not None and filling.is_spirit:
        open_days = (day - filling.start).days
        open_since_char = (day - max(filling.start, st.last_char or filling.start)).days
        if st.contents == "spirit":
            facts.in_this_cask_years = round(years_between(filling.start, day), 3)
    facts.years_in_wood = round((st.wood_days + open_days) / YEAR, 3)
    if facts.last_char is not None or facts.never_charred:
        facts.years_in_wood_since_char = round((st.wood_days_since_char + open_since_char) / YEAR, 3)
    if facts.last_char is not None and facts.last_char <= day:  # A year alone counts from its July: before that, how long ago it was is not known.
        facts.years_since_char = round(years_between(facts.last_char, day), 3)
    if st.contents == "spirit" and st.form != "gone" and st.oak_since is not None:
        facts.oak_since = st.oak_since
        facts.age_years = whole_years(st.oak_since, day)
        minimum = st.settings.minimum_age
        facts.minimum_age_on = None if minimum is None else add_years(st.oak_since, minimum)


def _tests(facts: Facts, st: State, day: date) -> None:
    last = st.last_test
    facts.last_test = {"date": last.date, "result": last.result, "psi": last.psi} if last else None
    facts.test_age_days = (day - last.date).days if last else None
    facts.proved, facts.test_valid = st.proved, test_valid(st, day)
    facts.test_needed = pass_needed(st, day)
    facts.examined = examined(st, day)
    if facts.examined and nose_unknown(st):
        facts.examined = None
    facts.fails_this_visit = st.visit_fails


def _parts(facts: Facts, st: State) -> None:
    facts.staves = st.frame.staves
    facts.staves_replaced = {name: st.staves_replaced[name] for name in sorted(st.staves_replaced, key=int)}
    facts.bung_stave_replacements = st.bung_stave_replacements
    facts.original_stave_share = st.first_staves.share
    facts.hoops_replaced, facts.heads_replaced = st.hoops_replaced, st.heads_replaced
    facts.flagged = dict(sorted(st.flagged.items()))
    facts.donors = sorted(st.donors)
    facts.stave_mm, facts.soaked = st.stave_mm, st.soaked


def _open_matters(facts: Facts, st: State) -> None:
    ordered = sorted(st.defects, key=lambda d: (d.seq, d.order))
    facts.open_defects = [{"at": d.at, "defect": d.defect, "severity": d.severity, "event": d.event} for d in ordered]
    facts.open_leaks = [{"at": x.at, "severity": x.severity, "since": x.since, "event": x.event} for x in st.leaks]
    facts.taint = "tainted" in st.marks
    facts.treatments = st.treatments


def _wood_left(facts: Facts, life: Life) -> float | None:
    """exp(−λ · years in wood since char); λ per prior contents from the house, off unless set."""
    rates = life.state.settings.wood_left
    prior = life.cask.head.prior
    years = facts.years_in_wood_since_char
    if not rates or not prior or years is None:
        return None
    rate = rates.get(prior[-1].contents)
    return None if rate is None else round(math.exp(-rate * years), 3)
