"""A plugin for runs of mutants: Hypothesis draws the same examples each time, and does not look for the smallest that fails."""

from __future__ import annotations

import pytest
from hypothesis import Phase, settings


@pytest.hookimpl(trylast=True)
def pytest_configure(config: pytest.Config) -> None:
    """After tests/conftest.py has chosen its own settings."""
    now = settings.get_profile(settings.get_current_profile_name())
    settings.register_profile("mutants", parent=now, phases=(Phase.explicit, Phase.generate), derandomize=True, database=None)
    settings.load_profile("mutants")
