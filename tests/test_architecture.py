"""The house stands: imports go down only, rooms stay small, and starting up is cheap."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "caskbook"

# Floor of each room; a module belongs to the longest name that fits. A module imports from its own floor's lower ones.
FLOORS: dict[str, int] = {
    "caskbook": 0, "caskbook.by_need": 0, "caskbook.finding": 0, "caskbook.words": 0, "caskbook.units": 0, "caskbook.days": 0, "caskbook.how_many": 0, "caskbook.ids": 1,
    "caskbook.gauging": 0, "caskbook.source": 0.5, "caskbook.folder": 0.5, "caskbook.git": 0.5,
    "caskbook.places": 1, "caskbook.house_due": 0.9, "caskbook.house": 1, "caskbook.yaml": 1, "caskbook.yaml.fast_values": 1.5, "caskbook.yaml.fast": 1.6, "caskbook.yaml.fast_places": 1.7, "caskbook.bulk": 4,
    "caskbook.jobs": 2, "caskbook.faulty": 2, "caskbook.mending": 2, "caskbook.cask": 2.5,
    "caskbook.document": 3, "caskbook.edits": 3.2, "caskbook.splice": 3.4, "caskbook.safewrite": 3, "caskbook.pending": 3.2,
    "caskbook.record": 3.5, "caskbook.house_file": 3, "caskbook.life": 3, "caskbook.schema": 3,
    "caskbook.layout": 3.7, "caskbook.near": 3, "caskbook.joins": 3, "caskbook.ledger": 4, "caskbook.lineage": 4, "caskbook.shelf_at": 4.5, "caskbook.changes": 4, "caskbook.merge": 4,
    "caskbook.rules": 5, "caskbook.loss": 5, "caskbook.due": 6,
    "caskbook.enter": 7, "caskbook.index": 7, "caskbook.review": 7, "caskbook.demo": 7,
    "caskbook.render": 9, "caskbook.cli": 10, "caskbook.__main__": 11,
}  # fmt: skip

# Longer than 300 lines or than 40 in one function, each with its reason.
LONG_MODULES: dict[str, str] = {}
LONG_FUNCTIONS: dict[str, str] = {}


def modules() -> dict[str, ast.Module]:
    found = {}
    for file in sorted(PACKAGE.rglob("*.py")):
        parts = file.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = ast.parse(file.read_text(encoding="utf-8"))
    return found


MODULES = modules()


def room(name: str) -> str:
    fits = [known for known in FLOORS if name == known or name.startswith(known + ".")]
    return max(fits, key=len)


def imports(name: str) -> set[str]:
    """Modules of the package that a module imports, inside functions and for types only as well."""
    found: set[str] = set()
    for node in ast.walk(MODULES[name]):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found.add(inner if inner in MODULES else node.module)
    return {module for module in found if module.split(".")[0] == "caskbook" and module in MODULES and module != name}


@pytest.mark.parametrize("name", sorted(MODULES))
def test_a_module_imports_from_lower_floors_only(name: str) -> None:
    assert name == "caskbook" or room(name) != "caskbook", f"{name} belongs to no room: give it a floor"
    for other in imports(name):
        inside = room(other) == room(name)
        assert inside or FLOORS[room(other)] < FLOORS[room(name)], f"{name} imports {other}"


def test_there_are_no_cycles() -> None:
    graph = {name: imports(name) for name in MODULES}
    done: set[str] = set()

    def visit(name: str, path: tuple[str, ...]) -> None:
        assert name not in path, " → ".join((*path, name))
        if name not in done:
            for other in graph[name]:
                visit(other, (*path, name))
            done.add(name)

    for name in graph:
        visit(name, ())


@pytest.mark.parametrize("name", sorted(MODULES))
def test_a_module_is_small_and_says_its_job(name: str) -> None:
    tree = MODULES[name]
    file = PACKAGE.parent / (name.replace(".", "/") + ".py")
    file = file if file.exists() else file.with_suffix("") / "__init__.py"
    lines = file.read_text(encoding="utf-8").count("\n")
    assert lines <= 300 or name in LONG_MODULES, f"{name} has {lines} lines"
    assert ast.get_docstring(tree), f"{name} does not say its job"
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and node.end_lineno:
            length = node.end_lineno - node.lineno + 1
            assert length <= 40 or f"{name}.{node.name}" in LONG_FUNCTIONS, f"{name}.{node.name} has {length} lines"


def test_most_functions_are_short() -> None:
    lengths = sorted(
        (node.end_lineno or node.lineno) - node.lineno + 1
        for tree in MODULES.values() for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)
    )  # fmt: skip
    assert lengths[len(lengths) // 2] <= 10


@pytest.mark.parametrize("name", sorted(name for name in MODULES if not name.startswith(("caskbook.cli", "caskbook.__main__"))))
def test_only_the_command_line_prints_or_exits(name: str) -> None:
    for node in ast.walk(MODULES[name]):
        if isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            assert called not in ("print", "sys.exit", "exit", "input"), f"{name} calls {called}"


@pytest.mark.parametrize("argument", ["--help", "--version"])
def test_help_and_version_import_nothing_heavy(argument: str) -> None:
    code = (
        "import sys\nfrom caskbook.cli.app import run\n"
        f"run(['{argument}'])\n"
        "sys.stderr.write(' '.join(sorted({m.split('.')[0] for m in sys.modules} & {'pydantic', 'ruamel', 'sqlite3'})))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr == "" and done.stdout


def test_only_one_module_calls_git() -> None:
    for name, tree in MODULES.items():
        if name.startswith("caskbook.git"):
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and ast.unparse(node.func).startswith("subprocess.") and node.args:
                assert "git" not in ast.unparse(node.args[0]).split("'"), f"{name} calls git itself"


def test_the_top_level_holds_only_what_belongs_there() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout.splitlines()
    top = {path.split("/")[0] for path in listed if not path.startswith(".")}
    assert top <= {"README.md", "DEVELOPERS.md", "pyproject.toml", "caskbook", "records", "schemas", "tests"}
