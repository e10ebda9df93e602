"""Names handed out by need are the names that the type checker sees, and come from the modules it sees them in."""

from __future__ import annotations

import ast
import inspect
from types import ModuleType

import pytest

from caskbook.core.lazy import lazy_names
from caskbook.model import house
from caskbook.model.jobs import JOBS, arrival, bench, custody, fire, repair, spirit


def seen_by_type_checker(module: ModuleType) -> dict[str, str]:
    """Name → module, of what is imported for the type checker only."""
    body = [node for node in ast.parse(inspect.getsource(module)).body if isinstance(node, ast.If)]
    imports = [node for one in body for node in one.body if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("caskbook")]
    return {alias.name: str(node.module) for node in imports for alias in node.names}


@pytest.mark.parametrize("module", [arrival, bench, custody, fire, repair, spirit, house])
def test_names_are_those_the_type_checker_sees(module: ModuleType):
    seen = seen_by_type_checker(module)
    assert seen
    for name, where in seen.items():
        found = getattr(module, name)
        assert not isinstance(found, type) or (found.__module__, found.__name__) == (where, name)
    handed_out = inspect.getclosurevars(module.__getattr__).nonlocals["where"]
    assert set(handed_out) == set(seen)


def test_every_job_has_the_model_of_its_word():
    for job, model in JOBS.items():
        assert model.model_fields["job"].annotation.__args__ == (job,)  # type: ignore[union-attr]
    assert "waltz" not in JOBS and JOBS.get("waltz") is None


def test_a_name_that_is_none_is_refused():
    with pytest.raises(AttributeError, match="Waltz"):
        lazy_names("caskbook", {"house_due": ("DueRules",)})("Waltz")
