"""The bytecode that is there already, of Python's library and of what is installed, for a folder of bytecode of the tests' own."""

from __future__ import annotations

import os
import sysconfig
from contextlib import suppress
from pathlib import Path

_CACHE = "__pycache__"
_LEFT_OUT = {"site-packages", "test", "tests", "idlelib", "lib2to3", "tkinter", "pip", "setuptools", "mypy", "mypyc", "scipy"}
"""Folders of which the default run loads little or nothing: a link takes time too."""


def link(folder: Path) -> None:
    """Lay into a new folder of bytecode (as `PYTHONPYCACHEPREFIX` names one) a link to each file of bytecode of the library and of the packages.

    Else each first run would compile all of them anew. A link to bytecode that is too old is replaced by Python like an old file.
    """
    if folder.exists() or os.name != "posix":
        return
    for root in {sysconfig.get_path("stdlib"), sysconfig.get_path("purelib")}:
        for place, folders, files in os.walk(root):
            if place.endswith(_CACHE):
                own = Path(f"{folder}{place.removesuffix(_CACHE)}")
                with suppress(OSError):
                    own.mkdir(parents=True, exist_ok=True)
                    for name in files:
                        os.symlink(f"{place}/{name}", f"{own}/{name}")  # noqa: PTH211 – a Path for each of thousands takes its time
            folders[:] = [name for name in folders if name not in _LEFT_OUT]
