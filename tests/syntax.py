"""The syntax of every module of the package, read once for all tests that look at it."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "caskbook"


@cache
def modules() -> dict[str, ast.Module]:
    """Name → syntax of every module; read when a test asks, not when the tests are collected."""
    return {_name(file): ast.parse(file.read_text(encoding="utf-8")) for file in sorted(PACKAGE.rglob("*.py"))}


def _name(file: Path) -> str:
    parts = file.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def nodes(name: str) -> tuple[ast.AST, ...]:
    """Every node of a module, as `ast.walk` gives them."""
    return tuple(ast.walk(modules()[name]))


@cache
def file_of(name: str) -> Path:
    """The file of a module."""
    file = PACKAGE.parent / (name.replace(".", "/") + ".py")
    return file if file.exists() else file.with_suffix("") / "__init__.py"
