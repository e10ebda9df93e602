"""What makes a process of ours start sooner, whoever starts it: a person, or git with one of its hooks."""

from __future__ import annotations

import gc
import os
import sys
from types import ModuleType

# Starting makes many objects that all stay. Looking through them for cycles after every 700 new ones, as is usual, takes a
# fifth of a short command; what works on the whole book switches the collector off by itself.
_NEW_OBJECTS_TO_COLLECT = 200_000


def quick_start() -> None:
    """Before anything of ours is loaded, spare the process what none of its commands has a use for."""
    gc.set_threshold(_NEW_OBJECTS_TO_COLLECT)
    _without_plugins()
    _utf8_input()


def _utf8_input() -> None:
    """What comes in on a pipe is UTF-8 as every file is, whatever the machine's locale: by another it would be read as letters that nobody
    wrote. A byte that is none becomes half a sign, which only its own line is refused for. A terminal keeps its own encoding.
    """
    reconfigure = getattr(sys.stdin, "reconfigure", None)  # None where standard input is closed.
    if reconfigure is not None:
        reconfigure(errors="surrogateescape", **({} if sys.stdin.isatty() else {"encoding": "utf-8"}))


def _without_plugins() -> None:
    """Keep pydantic from looking for plugins among all installed packages: a command has no use for any.

    Its own switch only keeps it from looking; the library to look with, which takes a tenth of a short command to load, it loads
    all the same, from a module that has but this one function to offer. Where it has no such module, nothing is changed.
    """
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    loader = ModuleType("pydantic.plugin._loader")
    loader.__dict__["get_plugins"] = tuple
    sys.modules.setdefault(loader.__name__, loader)
