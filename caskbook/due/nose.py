"""The due rule `nose`: wine casks, sulphured, faint and tainted ones are nosed before anything goes into them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from caskbook.core.days import add_days
from caskbook.due.case import Case, brief, by_day, days, several, visit_start
from caskbook.due.retire import taint_is_final
from caskbook.due.rule import Rule, any_of
from caskbook.due.verdict import OFF, Opinion, ok
from caskbook.life.fitness import nose_lacking
from caskbook.model.house import Settings
from caskbook.model.jobs import Event
from caskbook.model.jobs.arrival import MadeFrom
from caskbook.model.jobs.bench import Nose, Treat
from caskbook.model.jobs.spirit import RackOut
from caskbook.words.job_table import jobs_with
from caskbook.words.plural import number_of

_FILLINGS = jobs_with("liquor-in", "comes-in")


@dataclass(frozen=True, slots=True)
class _Nosing:
    """Since the cask was last emptied or came: the last nose, the treatment and the sulphuring after it."""

    last: Nose | None = None
    treated: date | None = None
    sulphured: bool = False


def nose(case: Case) -> Opinion:
    """Nose an empty cask.

    What: a nose at the bung, and the treatment of a taint before the next one.
    Why: a faulty nose that drifts back into the row spoils the next fill; an old wine cask turns to vinegar in days.
    When it is due: a cask that ever held wine on arrival and on emptying; a sulphured one; a tainted one, to be treated, and
    once treated to be nosed again; one with wood of a tainted cask; a faint one 7 to 14 days after (soon before the 7th, well past after the 14th). Blocked
    where two treatments have not lifted the taint: see retire. Unknown where nobody knows whether it ever held wine, until a clean nose.
    What to do: caskbook enter nose CASK --verdict clean, faint or fault; caskbook enter treat CASK --for taint.
    """
    if case.rules.nose.off:
        return OFF
    if case.idle:
        return ok(case.idle)
    if case.st.filled:
        return ok("filled: nosed once it is emptied" if case.st.wine_held else "filled")
    nosing = _since_emptied(case)
    if nosing.last and nosing.last.verdict == "faint" and not nosing.treated and not nosing.sulphured:
        return _faint(case, nosing.last)
    if "tainted" in case.st.marks:
        return _tainted(case, nosing)
    return _wanted(case, nosing)


def _since_emptied(case: Case) -> _Nosing:
    treated, sulphured = None, False
    for event in reversed(case.life.events):
        if isinstance(event, Nose):
            return _Nosing(event, treated, sulphured)
        if isinstance(event, Treat) and event.against == "taint":
            treated = treated or event.date
        sulphured = sulphured or event.job == "sulphur"
        if event.job in _FILLINGS or event.job == "empty" or (isinstance(event, RackOut) and event.empties):
            break
    return _Nosing(None, treated, sulphured)


def _faint(case: Case, last: Nose) -> Opinion:
    rule = case.rules.nose
    first, until = add_days(last.date, rule.faint_again_from), add_days(last.date, rule.faint_again_until)

    def again(settings: Settings) -> date:
        return add_days(last.date, settings.due.nose.faint_again_from)

    reason = f"nosed faint {last.date}: again {first} to {until}; house {rule.faint_again_from} to {days(rule.faint_again_until)}"
    opinion = by_day(case, again, reason)
    late = opinion.verdict == "due" and case.day > until
    return Opinion(opinion.verdict, opinion.reasons, opinion.since, late, turns=(*opinion.turns, add_days(until, 1)))


def _tainted(case: Case, nosing: _Nosing) -> Opinion:
    mark = case.st.marks["tainted"]
    what = f"tainted since {mark.since} ({brief(mark.why)})"
    final, turns = taint_is_final(case)
    if final:
        reason = f"{what}: {number_of(case.st.taint_treatments, 'treatment')} {'has' if case.st.taint_treatments == 1 else 'have'} not lifted it; retirement proposed"
        return Opinion("blocked", (reason,), turns=turns)
    if nosing.treated:
        return Opinion("due", (f"{what}, treated {nosing.treated}: nose again",), nosing.treated, turns=turns)
    since = nosing.last.date if nosing.last else mark.since
    return Opinion("due", (f"{what}: treat it, then nose again",), since, turns=turns)


def _wanted(case: Case, nosing: _Nosing) -> Opinion:
    """Due where the cask was sulphured, held wine and was not nosed since, or was treated after a nose that was not clean; else ok."""
    st, found = case.st, []
    if "sulphured" in st.marks:
        since = st.marks["sulphured"].since
        found.append((since, f"sulphured {since}: nose before it is filled"))
    if st.wine_held and nose_lacking(st):
        _, start, word = visit_start(case)
        found.append((start, f"{word} {start}, held wine: nose before anything else"))
    found += [(day, f"{part}: nose before it is filled") for day, part in st.tainted_parts]
    if nosing.treated and nosing.last and nosing.last.verdict != "clean":
        found.append((nosing.treated, f"nosed {nosing.last.verdict} {nosing.last.date}, treated {nosing.treated}: nose again"))
    if not found and st.wine_held is None and not st.clean_nose:
        return Opinion("unknown", (_wine_unknown(case),))
    if not found:
        return ok("nosed clean since it was last emptied" if st.clean_nose else f"held no wine, and no fault of nose {_known_of(case)}")
    return Opinion("due", tuple(words for _, words in found), min(day for day, _ in found))


def _known_of(case: Case) -> str:
    """Of a child nobody has nosed its wood here: what is known is what is told of its parents."""
    return "told of what it was made from" if case.life.last("made-from") is not None and not case.st.fills else "known"


def _wine_unknown(case: Case) -> str:
    """Why nobody can tell whether it held wine; of a child, where to look."""
    made = case.life.last("made-from")
    before = "wine is nosed before anything else"
    if not isinstance(made, MadeFrom):
        return f"what it held before us is not known: {before}"
    parents = [share.cask for share in made.parents if share.cask]
    if not parents:
        return f"made from casks without a number, whether they held wine is not known: {before}"
    it = "it" if len(parents) == len(made.parents) == 1 else "they"
    return f"made from {several(parents)}, whether {it} held wine is not told here: look there"


def _jobs(case: Case, word: str) -> tuple[str, ...]:
    """A taint that nobody treated since the last nose is treated first; one that is final calls for nothing here."""
    if word == "blocked":
        return ()
    untreated = "tainted" in case.st.marks and not _since_emptied(case).treated
    return ("treat", "nose") if untreated else ("nose",)


def _another(case: Case, event: Event, seq: int) -> bool:
    """Another fault, another sulphuring, wood of a tainted cask; emptied or come again, where it held wine or nobody knows."""
    if seq == case.st.visit_seq:
        return case.st.wine_held is not False
    return event.job == "sulphur" or (isinstance(event, Nose) and event.verdict != "clean") or bool(getattr(event, "from_tainted", None))


NOSE = Rule(
    "nose",
    2,
    nose,
    any_of("receive", "return", "nose", "treat", "sulphur", "empty", "rack-out", "season", "made-from"),
    _another,
    jobs=("nose", "treat"),
    kind="must",
    calls=_jobs,
    before_fill=True,
)
