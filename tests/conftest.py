"""Options that several rooms' tests share."""

from __future__ import annotations

import pytest
from hypothesis import settings

# Under a third of what Hypothesis does by itself, so that the whole default run stays under a minute; slow-marked tests say their own number.
settings.register_profile("usual", max_examples=30, deadline=None)
settings.load_profile("usual")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", default=False, help="write the golden files anew instead of comparing; then read the diff")
