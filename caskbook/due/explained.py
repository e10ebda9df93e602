"""What each due rule counts: its definition, the settings in force with where they come from, and of how many casks it says what."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from caskbook.due.registry import RULES
from caskbook.due.rule import Rule
from caskbook.model.house import USUAL_FLOORS, House
from caskbook.model.house_due import DueRules
from caskbook.model.house_origin import origin_of

BESIDE: Mapping[str, tuple[str, ...]] = {
    "retest": ("fill_needs", "test_valid_days", "drive_unproves"), "examine": ("examine_valid_days",), "nose": ("wine_words",),
    "rechar": ("stave_floor_mm", "count_prior", "short_fill_days"), "retire": ("stave_floor_mm",), "claim": ("suppliers",),
    "loss": ("loss_table", "measuring_error", "strength_error", "uncorrected_error", "in_drink_percent", "temperate_stores"),
}  # fmt: skip
"""Rule → settings beside those under its own name that its verdicts rest on."""
_PART = re.compile(r"^(What|When it is due): (.*?)(?=^[A-Z][A-Za-z ]*: |\Z)", re.MULTILINE | re.DOTALL)


class Setting(NamedTuple):
    """A setting in force, under its name in house.yaml. `origin`: where it comes from; `type`: the type of cask it is of alone, None of all others."""

    name: str
    value: Any
    origin: str
    type: str | None = None


@dataclass(frozen=True, slots=True)
class RuleExplained:
    """A rule: `what` it looks at, `when` it is due, its settings, and how often it gave which verdict."""

    rule: str
    what: str
    when: str
    settings: tuple[Setting, ...]
    verdicts: Mapping[str, int]

    @property
    def judged(self) -> int:
        """How many casks it judged."""
        return sum(self.verdicts.values())


def explained(house: House, day: date, names: Sequence[str], by_rule: Mapping[str, Mapping[str, int]]) -> list[RuleExplained]:
    """The rules of these names, all where none is named, in their order, on a day. `by_rule`: rule → verdict → how often."""
    return [_explained(rule, house, day, by_rule.get(rule.name, {})) for rule in RULES if not names or rule.name in names]


def _explained(rule: Rule, house: House, day: date, verdicts: Mapping[str, int]) -> RuleExplained:
    parts = {name: " ".join(text.split()) for name, text in _PART.findall(rule.text)}
    return RuleExplained(rule.name, parts["What"], parts["When it is due"], tuple(_settings(rule.name, house, day)), verdicts)


def _settings(name: str, house: House, day: date) -> Iterator[Setting]:
    """Those of the rule and those beside it; of a type of cask only what is not as the house has it otherwise."""
    model = DueRules.model_fields[name].annotation
    assert model is not None
    paths = [("due", name, key) for key, field in model.model_fields.items() if not _is_deprecated(field.json_schema_extra)]
    for path in [*paths, *((key,) for key in BESIDE.get(name, ()))]:
        own = _value(house, day, path, None)
        yield Setting(".".join(path), own, origin_of(house, day, path))
        for kind in dict.fromkeys([*house.types, *USUAL_FLOORS]):
            value = _value(house, day, path, kind)
            if value != own:
                yield Setting(".".join(path), value, origin_of(house, day, path, kind), kind)


def _is_deprecated(extra: Any) -> bool:
    return isinstance(extra, dict) and bool(extra.get("deprecated"))


def _value(house: House, day: date, path: Sequence[str], kind: str | None) -> Any:
    found: Any = house.on(day, kind)
    for key in path:
        found = getattr(found, key)
    return found
