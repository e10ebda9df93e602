"""Options that several rooms' tests share."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", default=False, help="write the golden files anew instead of comparing; then read the diff")
