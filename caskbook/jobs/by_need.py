"""Modules of a package that are loaded only when a name of theirs is asked for."""

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def by_need(package: str, modules: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """The `__getattr__` of a package: `modules` says which names stand in which of its modules.

    To make the models of all jobs takes as long as many a command; one cask knows but a few jobs. So that types are known
    all the same, the package imports every name for the type checker.
    """
    where = {name: module for module, names in modules.items() for name in names}

    def named(name: str) -> Any:
        if name not in where:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(import_module(f"{package}.{where[name]}"), name)

    return named
