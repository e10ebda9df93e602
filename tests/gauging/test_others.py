"""The kept figures are still those that the other programs compute."""

from __future__ import annotations

import json

import pytest

from gauging.others import FILE, SOURCES, kept


@pytest.mark.slow
def test_the_kept_figures_are_what_the_other_programs_say(request: pytest.FixtureRequest) -> None:
    if request.config.getoption("--golden"):
        told = {name: {"source": source, "values": compute()} for name, (compute, source) in SOURCES.items()}
        FILE.write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")
    for name, (compute, _) in SOURCES.items():
        assert compute() == pytest.approx(kept(name), rel=1e-9, abs=1e-12), name


def test_each_kept_figure_names_its_source() -> None:
    told = json.loads(FILE.read_text(encoding="utf-8"))
    assert {name: one["source"] for name, one in told.items()} == {name: source for name, (_, source) in SOURCES.items()}
