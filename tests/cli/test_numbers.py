"""Numbers that cannot be meant, refused with the option's name before anything is read; and help that fits the screen."""

from __future__ import annotations

from pathlib import Path

import pytest
from commands import caskbook


@pytest.mark.parametrize(
    "words",
    [
        ("due", "--top", "0"), ("due", "--top", "-3"), ("query", "select 1", "--limit", "0"), ("query", "select 1", "--limit", "-1"),
        ("query", "select 1", "--timeout", "0"), ("demo", "new", "--casks", "0"), ("sheet", "--for", "test", "--rows", "0"),
        ("sheet", "--for", "test", "--rows", "-2"), ("sheet", "--for", "test", "--rows", "501"),
    ],
)  # fmt: skip
def test_a_number_out_of_range_names_its_option(tmp_path: Path, words: tuple[str, ...]):
    ran = caskbook(*words, cwd=tmp_path)
    option = next(word for word in words if word.startswith("--") and word != "--for")
    assert ran.returncode == 2 and option in ran.stderr and not ran.stdout


@pytest.mark.parametrize(
    "words",
    [
        ("enter", "sheet"),
        ("enter", "scan"),
        ("sheet",),
        ("void",),
        ("correct",),
        ("redate",),
        ("move-event",),
        ("undo",),
        ("stamp",),
        ("explain",),
        ("settle",),
    ],
)
def test_help_fits_eighty_columns(tmp_path: Path, words: tuple[str, ...]):
    ran = caskbook(*words, "--help", cwd=tmp_path)
    assert ran.returncode == 0 and ran.stdout and max(map(len, ran.stdout.splitlines())) <= 80
