"""The house stands: imports go down only, rooms stay small, and starting up is cheap."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache

import pytest
from syntax import ROOT, file_of, modules, nodes

# The rooms, from the ground up: a module imports from its own room and from rooms below it.
FLOORS: dict[str, int] = {
    "caskbook": 0,
    "caskbook.core": 1,
    "caskbook.words": 2,
    "caskbook.gauging": 3,
    "caskbook.yaml": 4,
    "caskbook.git": 5,
    "caskbook.model": 6,
    "caskbook.life": 7,
    "caskbook.ledger": 8,
    "caskbook.loss": 9,
    "caskbook.checks": 10,
    "caskbook.due": 11,
    "caskbook.stats": 12,
    "caskbook.merge": 13,
    "caskbook.entry": 14,
    "caskbook.index": 15,
    "caskbook.review": 16,
    "caskbook.demo": 17,
    "caskbook.exchange": 18,
    "caskbook.work": 19,
    "caskbook.render": 20,
    "caskbook.paper": 21,
    "caskbook.pages": 22,
    "caskbook.export": 23,
    "caskbook.cli": 24,
    "caskbook.__main__": 25,
}

# Longer than 300 lines or than 40 in one function, each with its reason.
LONG_MODULES: dict[str, str] = {}
LONG_FUNCTIONS: dict[str, str] = {}


@cache
def room(name: str) -> str:
    fits = [known for known in FLOORS if name == known or name.startswith(known + ".")]
    return max(fits, key=len)


@cache
def imports(name: str) -> frozenset[str]:
    """Modules of the package that a module imports, inside functions and for types only as well."""
    found: set[str] = set()
    for node in nodes(name):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found.add(inner if inner in modules() else node.module)
    return frozenset(module for module in found if module.split(".")[0] == "caskbook" and module in modules() and module != name)


def test_modules_import_from_lower_floors_only() -> None:
    homeless = [name for name in modules() if name != "caskbook" and room(name) == "caskbook"]
    assert not homeless, "give each of these modules a floor"
    upward = [
        f"{name} imports {other}"
        for name in modules() for other in imports(name)
        if room(other) != room(name) and FLOORS[room(other)] >= FLOORS[room(name)]
    ]  # fmt: skip
    assert not upward


def test_there_are_no_cycles() -> None:
    graph = {name: imports(name) for name in modules()}
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, " → ".join((*path, name))
        if name not in done:
            for other in graph[name]:
                visit(other, (*path, name))
            done.add(name)

    for name in graph:
        visit(name, ())


def test_modules_are_small_and_say_their_job() -> None:
    lengths = {name: file_of(name).read_text(encoding="utf-8").count("\n") for name in modules()}
    assert {name: lines for name, lines in lengths.items() if lines > 300 and name not in LONG_MODULES} == {}
    assert [name for name, tree in modules().items() if not ast.get_docstring(tree)] == []
    functions = {
        f"{name}.{node.name}": node.end_lineno - node.lineno + 1
        for name in modules() for node in nodes(name)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno
    }  # fmt: skip
    assert {name: lines for name, lines in functions.items() if lines > 40 and name not in LONG_FUNCTIONS} == {}


def test_every_function_of_twelve_lines_says_what_it_gives() -> None:
    silent = [
        f"{name}.{node.name}"
        for name in modules() for node in nodes(name)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and node.end_lineno
        if node.end_lineno - node.lineno + 1 >= 12 and not ast.get_docstring(node)
    ]  # fmt: skip
    assert not silent, "a docstring in plain full sentences: shapes, units, errors"


def test_most_functions_are_short() -> None:
    lengths = sorted(
        (node.end_lineno or node.lineno) - node.lineno + 1
        for name in modules() for node in nodes(name) if isinstance(node, ast.FunctionDef)
    )  # fmt: skip
    assert lengths[len(lengths) // 2] <= 10


def test_only_the_command_line_prints_or_exits() -> None:
    found = [
        f"{name} calls {ast.unparse(node.func)}"
        for name in modules() if not name.startswith(("caskbook.cli", "caskbook.__main__"))
        for node in nodes(name) if isinstance(node, ast.Call)
        if getattr(node.func, "id", getattr(node.func, "attr", "")) in ("print", "exit", "input")
        if ast.unparse(node.func) in ("print", "sys.exit", "exit", "input")
    ]  # fmt: skip
    assert not found


INDEX_DATA = {"columns", "listing", "answer.Answer", "together.Together", "peek.Neighbours", "berth_parts"}
"""Plain data that the command line may know of beside the one object; and what completion asks, for which that object takes too long to load."""


def test_the_command_line_knows_of_the_index_one_object_and_plain_data() -> None:
    found = {
        f"{name} imports {node.module}.{alias.name}"
        for name in modules() if name.startswith("caskbook.cli")
        for node in nodes(name) if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("caskbook.index")
        for alias in node.names
        if f"{node.module}.{alias.name}" != "caskbook.index.index.Index"
        and not INDEX_DATA & {str(node.module).removeprefix("caskbook.index."), f"{node.module}.{alias.name}".removeprefix("caskbook.index.")}
    }  # fmt: skip
    assert not found
    others = {
        name for name in modules() if not name.startswith(("caskbook.cli", "caskbook.index")) and any(one.startswith("caskbook.index") for one in imports(name))
    }
    assert not others


@pytest.mark.parametrize("argument", ["--help", "--version"])
def test_help_and_version_import_nothing_heavy(argument: str) -> None:
    code = (
        "import sys\nfrom caskbook.cli.app import run\n"
        f"run(['{argument}'])\n"
        "sys.stderr.write(' '.join(sorted({m.split('.')[0] for m in sys.modules} & {'pydantic', 'ruamel', 'sqlite3'})))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr == "" and done.stdout


def first_name(node: ast.AST) -> str:
    """The name that a call begins with, as `a` of `a.b[0].c()`; nothing where it begins otherwise."""
    while isinstance(node, ast.Call | ast.Attribute | ast.Subscript):
        node = node.func if isinstance(node, ast.Call) else node.value
    return node.id if isinstance(node, ast.Name) else ""


def test_only_one_module_calls_git() -> None:
    for name in modules():
        if name.startswith("caskbook.git"):
            continue
        for node in nodes(name):
            if isinstance(node, ast.Call) and node.args and first_name(node) in ("subprocess", "") and ast.unparse(node.func).startswith("subprocess."):
                assert "git" not in ast.unparse(node.args[0]).split("'"), f"{name} calls git itself"


def test_the_top_level_holds_only_what_belongs_there() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.splitlines()
    top = {path.split("/")[0] for path in listed if not path.startswith(".")}
    assert top <= {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "caskbook", "lake", "records", "schemas", "tests"}
