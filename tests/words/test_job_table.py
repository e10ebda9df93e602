"""The table of jobs is the only one: it agrees with the models and with their effects, and no module keeps a list of its own."""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Iterator
from importlib import import_module
from pkgutil import walk_packages
from typing import get_args

import pytest
from syntax import PACKAGE, file_of, modules

import caskbook.model.jobs
from caskbook.checks.likely import worded_fields
from caskbook.checks.registry import severities
from caskbook.entry.fields import job_fields
from caskbook.entry.typed import READERS
from caskbook.life.fold import EFFECTS
from caskbook.model.jobs import JOBS, Event
from caskbook.model.jobs.spirit import Gauged
from caskbook.model.recovery import _sound
from caskbook.words.job_table import JOB_TABLE, jobs_of_family, jobs_with, row_of
from caskbook.words.job_table.row import Trait

LEAST = 3
# Literal collections of job words that stay, by module and the name they stand under.
OWN: dict[tuple[str, str], str] = {
    ("checks/carried.py", "_steps"): "which entries end the sum of alcohol in one walk: season, dispose and convert share nothing else",
    ("demo/filling.py", "_SPECIAL"): "what happens to an invented filling → the function that writes it",
    ("demo/life.py", "MEETINGS"): "how an invented cask may meet another; a swap is one of it",
    ("demo/life.py", "_AGEING"): "how an invented cask may meet another; a swap is one of it",
    ("demo/plan.py", "_moved"): "fates of an invented cask: to be left open is one",
    ("due/hold.py", "HOLD"): "which jobs the rule calls for",
    ("due/loss.py", "LOSS"): "which jobs the rule calls for",
    ("entry/other_side.py", "_HALF"): "by which job the other file tells of the same work",
    ("entry/lots.py", "build_lot"): "job written into several files → the function that writes it",
    ("entry/request.py", "MANY_FILES"): "its options, of which no single model knows",
    ("life/bench.py", "BENCH_EFFECTS"): "job → its effect",
    ("life/custody.py", "CUSTODY_EFFECTS"): "job → its effect",
    ("life/unsure.py", "_FACTS"): "which facts an effect cannot give where a field of its entry is lost",
    ("life/unsure.py", "note_lost"): "what the lost day of an entry leaves open, beside those facts",
    ("model/jobs/custody/ending.py", "says"): "parts of a cask, not jobs",
    ("review/phrases.py", "_SPECIAL"): "job → the function that tells it",
    ("words/jobs.py", "_RECONDITION"): "what a word of several meanings may mean",
    ("words/jobs.py", "JOB"): "what a word of several meanings may mean",
}


def test_every_job_has_a_model_a_row_and_an_effect() -> None:
    models = {}
    for found in walk_packages(caskbook.model.jobs.__path__, "caskbook.model.jobs."):
        for model in vars(import_module(found.name)).values():
            if isinstance(model, type) and issubclass(model, Event) and get_args(model.__annotations__.get("job")):
                (models[model],) = get_args(model.__annotations__["job"])
    assert {job: model for model, job in models.items()} == dict(JOBS)
    assert set(JOBS) == set(EFFECTS) == {row.job for row in JOB_TABLE.values() if row.model}


def _tree(function: object) -> ast.AST:
    return ast.parse(textwrap.dedent(inspect.getsource(function)))  # type: ignore[arg-type]


def _calls(function: object, name: str, home: dict[str, object], depth: int = 2) -> bool:
    """Whether a function calls something of this name, by itself or in a function of its own module that it calls."""
    called = [one.func for one in ast.walk(_tree(function)) if isinstance(one, ast.Call)]
    own = [home[one.id] for one in called if isinstance(one, ast.Name) and inspect.isfunction(home.get(one.id))]
    return any(isinstance(one, ast.Attribute) and one.attr == name for one in called) or depth > 0 and any(_calls(one, name, home, depth - 1) for one in own)


def test_a_job_that_unproves_says_how_retest_tells_it() -> None:
    """Those that the fold itself unproves while full (`become_empty`) say it too, or `retest` gives the bare name of the job."""
    silent = []
    for job, effect in EFFECTS.items():
        home = vars(import_module(effect.__module__))
        if _calls(effect, "unprove", home) and not row_of(job).loosens:
            silent.append(job)
    assert silent == [], "give it `loosens` in its row of words/job_table"


def test_a_class_that_an_effect_is_typed_by_is_a_name_of_its_family() -> None:
    missing = []
    for name in ("bench", "custody"):
        module = import_module(f"caskbook.life.{name}")
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                family = vars(module).get(node.value.id)
                if inspect.ismodule(family) and not hasattr(family, node.attr):
                    missing.append(f"{node.value.id}.{node.attr}: add it to {family.__name__}")
    assert missing == []


def test_every_row_says_what_is_shown_of_its_job() -> None:
    families = {"arrival", "bench", "fire", "spirit", "custody", "book"}
    for job, row in JOB_TABLE.items():
        assert row.job == job and row.family in families
        assert row.example.startswith(f"{job} ") is not bool(row.elsewhere), f"{job}: an example, or where it is entered"
        assert set(row.traits) <= set(get_args(Trait)) and len(set(row.traits)) == len(row.traits)
    assert row_of("fil ?") == row_of("") and row_of("fil ?").many == ""
    assert jobs_of_family("book") == ("moved", "same-as", "correct", "note", "void")


def test_work_that_several_files_tell_says_by_which_job_and_what_is_found_of_one_side() -> None:
    shared = jobs_with("shared-id")
    assert {row.job for row in JOB_TABLE.values() if row.half} == {row.job for row in JOB_TABLE.values() if row.alone} == set(shared)
    assert all(row_of(row_of(job).half).half == job and row_of(job).alone in severities() for job in shared)


def test_every_trait_is_asked_for() -> None:
    files = [file for file in PACKAGE.rglob("*.py") if "job_table" not in file.parts]
    text = "".join(file.read_text(encoding="utf-8") for file in [*files, PACKAGE.parent / "tests" / "demo" / "test_demo.py"])
    for trait in get_args(Trait):
        assert jobs_with(trait) and f'"{trait}"' in text, trait


# Trait → what the model of such a job has, and no other.
MODELS = {
    "berthed": lambda job, model: {"berth", "stow"} <= model.model_fields.keys(),
    "oak-since": lambda job, model: "oak_since" in model.model_fields,
    "verdict": lambda job, model: "verdict" in model.model_fields,
    "closes-leak": lambda job, model: any((one.key, one.kind) == ("closes", "event") for one in job_fields(job)),
    "place-lists": lambda job, model: any(
        str(model.model_fields[name].annotation).startswith("list[") for name in ("staves", "hoops", "at") if name in model.model_fields
    ),
    "shared-id": lambda job, model: model.shared_with is not Event.shared_with,
    "takes-parts": lambda job, model: any((one.key, one.kind) == ("from", "source") for one in job_fields(job)),
    "defect-words": lambda job, model: bool(worded_fields(job)),
    "gauged": lambda job, model: issubclass(model, Gauged) and not row_of(job).shares,
}


@pytest.mark.parametrize("trait", MODELS)
def test_a_trait_and_the_fields_of_a_model_agree(trait: Trait) -> None:
    assert list(jobs_with(trait)) == [job for job, model in JOBS.items() if MODELS[trait](job, model)]


def test_shared_and_coming_days_are_fields_of_the_model() -> None:
    kinds = {(job, one.key): one.kind for job in JOBS for one in job_fields(job)}
    assert {(job, row.shares): "racked" for job, row in JOB_TABLE.items() if row.shares} == {key: kind for key, kind in kinds.items() if kind == "racked"}
    assert all(kinds[job, row.ahead] == "day" for job, row in JOB_TABLE.items() if row.ahead)
    unjudged = [job for job, row in JOB_TABLE.items() if row.ahead and "judged-at-entry" not in row.traits]
    assert unjudged == [], "a day ahead that lies before the entry's own is told where it is entered: give the row `judged-at-entry`"
    assert {kind for (_, key), kind in kinds.items() if key != "inherited"} <= set(READERS)


def _collections(tree: ast.Module) -> Iterator[tuple[str, ast.expr, list[ast.expr | None]]]:
    """(name it stands under, itself, its items or keys) of every literal collection; what a rule of the check is asked on left out."""

    def visit(node: ast.AST, under: str) -> Iterator[tuple[str, ast.expr, list[ast.expr | None]]]:
        if isinstance(node, ast.FunctionDef):
            under = node.name
        elif isinstance(node, ast.Assign | ast.AnnAssign) and under == "_":
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            under = target.id if isinstance(target, ast.Name) else under
        if isinstance(node, ast.Tuple | ast.Set | ast.List):
            yield under, node, list(node.elts)
        elif isinstance(node, ast.Dict):
            yield under, node, list(node.keys)
        for child in ast.iter_child_nodes(node):
            if not (isinstance(child, ast.keyword) and child.arg == "on"):
                yield from visit(child, under)

    return visit(tree, "_")


def test_no_module_keeps_a_list_of_jobs() -> None:
    found: dict[tuple[str, str], str] = {}
    for name, tree in modules().items():
        where = file_of(name).relative_to(PACKAGE).as_posix()
        if where.startswith("words/job_table/") or where == "checks/registry.py":  # the table, and what each rule is asked on
            continue
        for under, node, items in _collections(tree):
            words = [one.value for one in items if isinstance(one, ast.Constant) and isinstance(one.value, str)]
            jobs = [word for word in words if word in JOB_TABLE]
            if len(jobs) >= LEAST and len(jobs) >= 0.7 * len(words):
                found[where, under] = ast.unparse(node)[:120]
    assert {key: text for key, text in found.items() if key not in OWN} == {}, "make it a trait or a column of caskbook/words/job_table"
    assert [key for key in OWN if key not in found] == []


@pytest.mark.parametrize("job", [job for job, row in JOB_TABLE.items() if row.well])
def test_what_an_entry_says_where_the_work_ends_well_is_what_its_model_takes(job: str) -> None:
    _, wrong = _sound(JOBS[job], dict(JOB_TABLE[job].well))
    assert not wrong, "the fields of `well`, a figure as a figure"
