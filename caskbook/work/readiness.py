"""How far an empty cask is from ready: the jobs that its rules and its fitness call for, each ending well, until nothing calls for more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal, get_args

from caskbook.due import RULES, Rule, rule_named
from caskbook.due.case import Case, brief, case_of
from caskbook.due.judging import opinions
from caskbook.due.verdict import Opinion
from caskbook.life import Life
from caskbook.life.facts import facts_of
from caskbook.life.fitness import nose_lacking
from caskbook.words.job_table import jobs_with, row_of
from caskbook.work.coming import Files
from caskbook.work.good_ending import done_well

MOST = 4
"""More jobs than these are not looked for."""
Group = Literal["ready now", "one job away", "two jobs away", "three or more", "no way known", "nobody can tell"]
GROUPS: tuple[Group, ...] = get_args(Group)
FITNESS = "fitness"
"""Stands where no rule calls for a job, and the cask is not fit without it all the same."""
_BEFORE_FILL = tuple(rule for rule in RULES if rule.before_fill)
_FIRE = frozenset(jobs_with("fire-work"))
_OF_THE_WOOD = ("re-char", "retire")
_Said = Sequence[tuple[Rule, Opinion]]


@dataclass(frozen=True, slots=True)
class Step:
    """One job on the way; what is done in one go is one: shave and char, heads put in and the test. `rule`: what asks for it; `reason`: in its words."""

    jobs: tuple[str, ...]
    rule: str
    reason: str

    @property
    def word(self) -> str:
        """ "examine", "shave+char"."""
        return "+".join(self.jobs)


@dataclass(frozen=True, slots=True)
class Way:
    """The jobs by which a cask becomes ready, in order; or (`why`) the reason why no such way is known, or nobody can tell. `unsure`: what else
    nobody can tell: whether a rule that its fitness does not hang on calls for a job."""

    group: Group
    steps: tuple[Step, ...] = ()
    why: str | None = None
    unsure: tuple[str, ...] = ()

    def as_row(self) -> list[Any]:
        """The same as JSON has it."""
        return [self.group, [[one.jobs, one.rule, one.reason] for one in self.steps], self.why, self.unsure]

    @classmethod
    def of_row(cls, row: Sequence[Any]) -> Way:
        """Back from `as_row`."""
        group, steps, why, unsure = row
        return cls(group, tuple(Step(tuple(jobs), rule, reason) for jobs, rule, reason in steps), why, tuple(unsure))


READY = Way("ready now")


def way_of(files: Files, life: Life, excess_losses: int = 0) -> Way:
    """The way of an empty cask that is here. `life`: that of the files on the day asked about; `excess_losses` as `judge` takes them."""
    steps: list[Step] = []
    while True:
        case = case_of(life, facts_of(life), excess_losses)
        said = opinions(case, _BEFORE_FILL)
        step = _untold(case, said) or _ended(case, said) or _next(case, said)
        if step is None:
            return Way(GROUPS[min(len(steps), 3)], tuple(steps), unsure=_unsure(said))
        if isinstance(step, Way):
            return replace(step, why=f"after {', '.join(one.word for one in steps)}: {step.why}") if steps else step
        if len(steps) == MOST:
            return Way("no way known", why=f"more than {MOST} jobs: {', '.join(one.word for one in (*steps, step))}")
        done = done_well(files, life.day, case, step.jobs)
        if isinstance(done, str):
            return Way("no way known", why=f"{step.word} cannot be foreseen: {done}")
        files, life = done, done.life(life.day)
        steps.append(step)


def _untold(case: Case, said: _Said) -> Way | None:
    """Where something that may stand in the way cannot be told."""
    if case.life.in_part:
        return Way("nobody can tell", why=f"cannot be read: {', '.join(case.life.unread[:2])}")
    unknown = [] if _marked(case) or _retiring(said) else [f"{rule.name}: {opinion.reasons[0]}" for rule, opinion in said if _of_fitness(rule, opinion)]
    if unknown or case.facts.fitness is None:
        return Way("nobody can tell", why=unknown[0] if unknown else "its entries do not tell whether it is fit")
    return None


def _of_fitness(rule: Rule, opinion: Opinion) -> bool:
    """Whether a rule of the bench is unknown, on which it hangs whether the cask is fit: the wood and retiring are another matter."""
    return opinion.verdict == "unknown" and rule.kind not in _OF_THE_WOOD


def _unsure(said: _Said) -> tuple[str, ...]:
    """What nobody can tell of a cask that is fit, or will be."""
    return tuple(f"{rule.name}: {opinion.reasons[0]}" for rule, opinion in said if opinion.verdict == "unknown")


def _marked(case: Case) -> str | None:
    """ "rejected 2026-03-01 (cracked)" of a cask on which no more work is done."""
    name = next((name for name in ("retired", "rejected") if name in case.st.marks), None)
    return None if name is None else f"{name} {case.st.marks[name].since} ({brief(case.st.marks[name].why)})"


def _retiring(said: _Said) -> str | None:
    """Why retirement is proposed, if so."""
    signs = next((opinion.reasons[:-1] for rule, opinion in said if rule.kind == "retire" and opinion.verdict == "due"), None)
    return None if signs is None else f"retirement proposed: {'; '.join(signs)}"


def _ended(case: Case, said: _Said) -> Way | None:
    why = _marked(case) or _retiring(said)
    return Way("no way known", why=why) if why else None


def _next(case: Case, said: _Said) -> Step | Way | None:
    """The job that comes next at the bench; the first matter in which nothing can be done; None where the cask is ready."""
    if case.st.form == "shook":
        return Step(("raise",), FITNESS, "knocked down: a bundle of staves")
    called = [(rule, opinion, jobs) for rule, opinion in said if opinion.verdict in ("due", "blocked") and (jobs := _called(case, rule, opinion))]
    if called:
        in_turn = sorted(((rule, opinion, job, jobs) for rule, opinion, jobs in called for job in jobs), key=lambda one: row_of(one[2]).turn)
        first, own = in_turn[0][2:]
        together = _together(first, [one[2] for one in in_turn] if first == "close" else own)
        rule, opinion, *_ = next(one for one in in_turn if one[2] == together[-1])
        return Step(together, rule.name, opinion.reasons[0])
    blocked = next((f"{rule.name} blocked: {opinion.reasons[0]}" for rule, opinion in said if opinion.verdict in ("due", "blocked")), None)
    return Way("no way known", why=blocked) if blocked else _unfit(case)


def _together(first: str, jobs: Sequence[str]) -> tuple[str, ...]:
    """What is done in one go with the first: shaved and charred; heads put in for what comes next, whichever rule calls for it."""
    if first in _FIRE:
        return tuple(job for job in jobs if job in _FIRE)
    later = sorted((job for job in jobs if row_of(job).turn > row_of(first).turn), key=lambda job: row_of(job).turn)
    return (first, *later[:1]) if first == "close" else (first,)


def _called(case: Case, rule: Rule, opinion: Opinion) -> tuple[str, ...]:
    """The jobs that a rule calls for; of a decision about a hold the release is the one that ends well."""
    if rule.calls is not None:
        return rule.calls(case, opinion.verdict)
    jobs = () if opinion.verdict == "blocked" else rule.jobs[:1]
    return ("release",) if jobs == ("decide",) and "held" in case.st.marks else jobs


def _unfit(case: Case) -> Step | None:
    """The job that its fitness wants where no rule calls for it: a rule may be off, put off, or have more time."""
    fit = case.facts.fitness or ""
    if fit == "held":
        job = "release"
    elif fit in ("tainted", "sulphured"):
        job = _by_rule("nose", case)[0]
    elif fit == "unexamined":
        job = "nose" if case.st.exam is not None and nose_lacking(case.st) else "examine"
    elif fit != "ready":
        return Step(_by_rule("retest", case), FITNESS, f"its fitness is {fit}")
    elif case.st.form == "open":
        return Step(("close", "test"), FITNESS, "a head is out, and closing calls for a test")
    else:
        return None
    return Step((job,), FITNESS, f"its fitness is {fit}")


def _by_rule(name: str, case: Case) -> tuple[str, ...]:
    """What comes first of the jobs that a rule would call for if it were due."""
    rule = rule_named(name)
    assert rule is not None and rule.calls is not None, name
    jobs = rule.calls(case, "due")
    return _together(min(jobs, key=lambda job: row_of(job).turn), jobs)
