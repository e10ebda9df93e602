"""Modules that are loaded only when a name of theirs is asked for."""

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def lazy_names(package: str, modules: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """What a module is to have as `__getattr__` to hand out names of others: `modules` says which stand in which of the package.

    To make all models of jobs and settings takes as long as many a command, and one cask knows but a few jobs. So that types
    are known all the same, whoever uses this imports every name for the type checker.
    """
    where = {name: module for module, names in modules.items() for name in names}

    def named(name: str) -> Any:
        if name not in where:
            raise AttributeError(f"no name {name!r} among those of {package}")
        return getattr(import_module(f"{package}.{where[name]}"), name)

    return named
