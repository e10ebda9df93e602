"""Options that several rooms' tests share; and a state folder of their own, so that no test touches the user's."""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile

import pytest
from hypothesis import settings

# Under a third of what Hypothesis does by itself, so that the whole default run stays under a minute; slow-marked tests say their own number.
settings.register_profile("usual", max_examples=30, deadline=None)
settings.load_profile("usual")

os.environ["CASKBOOK_STATE"] = tempfile.mkdtemp(prefix="caskbook-state-")
atexit.register(shutil.rmtree, os.environ["CASKBOOK_STATE"], ignore_errors=True)
os.environ.pop("CI", None)  # where it is set, `check` works without an index


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", default=False, help="write the golden files anew instead of comparing; then read the diff")
