"""Options that several rooms' tests share; and a state folder of their own, so that no test touches the user's."""

from __future__ import annotations

import atexit
import os
import shutil
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

import caskbook

CHECKOUT = Path(__file__).parent.parent

if Path(caskbook.__file__).parents[1] != CHECKOUT and "CASKBOOK_TEST_INSTALLED" not in os.environ:
    raise pytest.UsageError(f"the tests would test {Path(caskbook.__file__).parent} and not this checkout: pip install -e '.[test]' here first")

# Where bytecode is not written by a setting of the machine (`python -B` is a wish for this very run, and is kept), each of some hundred
# processes, and each worker, would compile everything anew: so it goes into a folder of the tests' own. Workers inherit it.
if os.environ.get("PYTHONDONTWRITEBYTECODE") and "-B" not in sys.orig_argv and "PYTEST_XDIST_WORKER" not in os.environ:
    del os.environ["PYTHONDONTWRITEBYTECODE"]
    os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = str(CHECKOUT / ".pytest_cache" / "bytecode")
    sys.dont_write_bytecode = False

# Under a third of what Hypothesis does by itself, so that the whole default run stays under a minute; slow-marked tests say their own number.
settings.register_profile("usual", max_examples=30, deadline=None)
settings.load_profile("usual")

os.environ["CASKBOOK_STATE"] = tempfile.mkdtemp(prefix="caskbook-state-")
atexit.register(shutil.rmtree, os.environ["CASKBOOK_STATE"], ignore_errors=True)
os.environ.pop("CI", None)  # where it is set, `check` works without an index


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", default=False, help="write the golden files anew instead of comparing; then read the diff")
