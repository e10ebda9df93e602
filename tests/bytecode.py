"""Bytecode of the checkout in a folder of its own, and that of all else where it stands already, beside what is installed.

`PYTHONPYCACHEPREFIX` alone, which names such a folder to a Python that starts, would have all that is installed compiled anew.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

FOLDER = "CASKBOOK_TEST_BYTECODE"
"""The variable of the environment that names the folder, where there is one."""
_TESTS = Path(__file__).parent


class _Place:
    """Finds no module; says before each import where Python has to look for its bytecode."""

    def __init__(self, folder: str) -> None:
        self.folder = folder
        self.names = {"caskbook", "tests", *(path.stem for path in _TESTS.iterdir())}

    def find_spec(self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None) -> ModuleSpec | None:
        sys.pycache_prefix = self.folder if name.partition(".")[0] in self.names else None
        return None


def begin() -> None:
    """Write and read bytecode so in this process, from here on."""
    if FOLDER in os.environ:
        sys.dont_write_bytecode = False
        sys.meta_path.insert(0, _Place(os.environ[FOLDER]))


def end() -> None:
    """Leave it to Python again."""
    for one in [one for one in sys.meta_path if isinstance(one, _Place)]:
        sys.meta_path.remove(one)
        sys.pycache_prefix = one.folder


def name_to_processes() -> None:
    """Name the folder to each Python that is started from here on."""
    if os.environ.get(FOLDER) and os.environ.pop("PYTHONDONTWRITEBYTECODE", None):
        os.environ["PYTHONPYCACHEPREFIX"] = os.environ[FOLDER]


@contextmanager
def named_to_processes() -> Iterator[None]:
    """Do so for a while: the workers, which start after it, place what they load by themselves."""
    before = dict(os.environ)
    name_to_processes()
    yield
    for name in ("PYTHONDONTWRITEBYTECODE", "PYTHONPYCACHEPREFIX"):
        os.environ.pop(name, None)
        if name in before:
            os.environ[name] = before[name]
