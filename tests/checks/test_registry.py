"""The registry: each code stated once beside what reports it, each rule asked wherever it could have something to say."""

from __future__ import annotations

import ast
import inspect
import random
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

import pytest
from laws import others_thorough

from caskbook.checks import EXPLANATIONS
from caskbook.checks.check import context_of
from caskbook.checks.context import KEYS, View
from caskbook.checks.explain import read_sections
from caskbook.checks.judged import tidied, view_of
from caskbook.checks.registry import FAMILIES, RULES, modules, rules_on, severities
from caskbook.checks.rule import Rule
from caskbook.core.finding import Fault
from caskbook.demo.block import Demo
from caskbook.demo.files import write_ledger
from caskbook.demo.house import UNTIL
from caskbook.ledger.files import Ledger, open_folder
from caskbook.life import live
from caskbook.model.cask_file import read_record
from caskbook.model.jobs import JOBS

SHIPPED = Path(__file__).parents[2] / "records"


def stated(module: ModuleType) -> Iterator[tuple[str, str]]:
    """(code, severity) of every row of a module."""
    for rule in getattr(module, "RULES", ()):
        yield from rule.codes.items()
    yield from getattr(module, "CODES", {}).items()


def test_each_code_has_one_severity_wherever_it_is_stated() -> None:
    rows = {row for module in modules() for row in stated(module)}
    assert len(rows) == len(dict(rows)) and dict(rows) == severities()


def test_every_code_is_stated_in_the_file_that_explains_it_and_nowhere_else_alone() -> None:
    explained = {
        (module.__name__, section.code)
        for module in modules()
        for text in (module.__doc__, *(thing.__doc__ for thing in functions(module).values()))
        for section in read_sections(text or "")
    }
    assert [row for row in sorted(explained) if row[1] not in dict(stated(by_name(row[0])))] == []
    assert {code for _, code in explained} == set(EXPLANATIONS) == set(severities())
    assert len(explained) == len(EXPLANATIONS), "a code is explained in one place"


def by_name(name: str) -> ModuleType:
    return next(module for module in modules() if module.__name__ == name)


def functions(module: ModuleType) -> dict[str, FunctionType]:
    return {name: thing for name, thing in vars(module).items() if isinstance(thing, FunctionType) and thing.__module__ == module.__name__}


def test_no_function_on_a_file_is_left_out_of_its_familys_rows() -> None:
    """A rule is a public function that takes a view alone and gives faults."""
    for family in FAMILIES:
        rows, first = [rule.function.__name__ for rule in family.RULES], inspect.signature(family.RULES[0].function)
        written = [name for name, one in functions(family).items() if name[0] != "_" and inspect.signature(one) == first]
        assert written == rows, family.__name__
    assert len({rule.function for rule in RULES}) == len(RULES)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.function.__module__.split('.')[-1]}.{rule.function.__name__}")
def test_a_row_states_just_the_codes_that_its_function_can_report(rule: Rule) -> None:
    family = by_name(rule.function.__module__)
    assert {word for word in words_below(family, rule.function.__name__) if word in EXPLANATIONS} == set(rule.codes)


def words_below(module: ModuleType, name: str) -> set[str]:
    """The texts in a function and in those of its module that it calls, however far down."""
    found: set[str] = set()
    seen: set[str] = set()
    todo = [name]
    while todo:
        seen.add(one := todo.pop())
        for node in ast.walk(ast.parse(inspect.getsource(getattr(module, one)))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
            elif isinstance(node, ast.Name) and node.id in functions(module) and node.id not in seen:
                todo.append(node.id)
    return found


def test_triggers_are_jobs_or_keys_that_a_view_notes() -> None:
    assert {trigger for rule in RULES for trigger in rule.on} <= set(JOBS) | KEYS


def test_a_rule_sets_the_severity_that_its_row_states() -> None:
    view: Any = None
    rule = Rule(lambda _: [Fault("by-missing", "error", "", ()), Fault("bad-event-id", "error", "", ())], {"by-missing": "note", "bad-event-id": "error"})
    assert [fault.severity for fault in rule(view)] == ["note", "error"]
    with pytest.raises(KeyError):
        list(Rule(rule.function, {"by-missing": "note"})(view))


def views(ledger: Ledger, today: date, dice: random.Random) -> Iterator[View]:
    """Every file of a ledger as it is, and with one slip of the hand in it."""
    context = context_of(ledger, today)
    for record in list(ledger.records()):
        for data in (record.data, with_slip(record.data.decode(), dice).encode()):
            read = read_record(record.path, data)
            cask = tidied(read)
            if cask is not None:
                yield view_of(read, live(cask, ledger.house, today), context)


def with_slip(text: str, dice: random.Random) -> str:
    """An event left out, written twice, moved to another day, given another job, or gauged at twice its litres or half of them."""
    head, *events = text.split("\n  - ")
    if not events:
        return text
    gauged = [n for n, event in enumerate(events) if "    litres: " in event]
    kind = dice.randrange(5 if gauged else 4)
    at = dice.choice(gauged) if kind == 4 else dice.randrange(len(events))
    if kind == 0:
        del events[at]
    elif kind == 1:
        events.insert(at, events[at])
    else:
        day, times = UNTIL - timedelta(days=dice.randrange(9000)), dice.choice((0.5, 2))
        events[at] = "\n".join(
            changed(line, {2: "date", 3: "job", 4: "litres"}[kind], str(day), dice.choice(sorted(JOBS)), times) for line in events[at].split("\n")
        )
    return "\n  - ".join([head, *events]) + ("" if text.endswith("\n") and events else "\n")


def changed(line: str, key: str, day: str, job: str, times: float) -> str:
    """A line of an event with another value where it is that of the key."""
    if not line.startswith(f"    {key}: "):
        return line
    return f"    {key}: " + {"date": day, "job": job, "litres": str(float(line.split(": ")[1]) * times) if key == "litres" else ""}[key]


def found_by(rules: Iterable[Rule], view: View) -> list[Fault]:
    return [fault for rule in rules for fault in rule(view)]


def compare(ledger: Ledger, today: date, seed: int) -> set[str]:
    """Whether asking only the rules that are triggered finds what all rules find, on every file; the codes that were found."""
    codes: set[str] = set()
    for view in views(ledger, today, random.Random(seed)):
        mine = found_by(rules_on(view.things), view)
        assert mine == found_by(RULES, view), view.cask.id
        codes |= {fault.code for fault in mine}
    return codes


def test_the_rules_triggered_find_what_all_rules_find_on_the_shipped_ledger() -> None:
    assert len(compare(open_folder(SHIPPED, Path("records")), date(2026, 11, 25), 1)) > 5


@pytest.mark.thorough
@pytest.mark.parametrize("seed", others_thorough([1, 2, 3], 1))
def test_the_rules_triggered_find_what_all_rules_find_on_random_ledgers(seed: int, tmp_path: Path) -> None:
    list(write_ledger(tmp_path / "records", Demo(60, seed, UNTIL), {}, 1))
    assert len(compare(open_folder(tmp_path / "records", Path("records")), UNTIL, seed)) > 5


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4, 14))
def test_the_rules_triggered_find_what_all_rules_find_on_larger_ledgers(seed: int, tmp_path: Path) -> None:
    list(write_ledger(tmp_path / "records", Demo(600, seed, UNTIL), {}, 1))
    assert len(compare(open_folder(tmp_path / "records", Path("records")), UNTIL, seed)) > 10
