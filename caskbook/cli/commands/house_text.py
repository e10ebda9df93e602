"""The house.yaml of a new ledger: the house itself, then every setting as a line to be used by taking its # away."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from caskbook.model.house import USUAL_FLOORS
from caskbook.model.house_words import Setting, settings
from caskbook.yaml.write import scalar

_WIDTH = 96
_OWN = ("name", "timezone", "crew")
_SHOWN = {
    "shops": "[rivet-lane]: their entries say `by: shop-rivet-lane`", "suppliers": "{northquay: {name: Northquay Casks, claim_days: 30}}",
    "stores": "{W1: warehouse 1, 'Y': yard}", "loss_table": "{hogshead: 1.8, hogshead/warehouse 1: 1.6}", "job_hours": "{test: 0.3, char: 1.2}", "severities": "{test-over-house-limit: error}",
    "questions": "{old-butts: {title: Butts of ten fills, sql: SELECT cask FROM cask WHERE fills_life > 9}}",
}  # fmt: skip
"""Examples of what the model cannot show; they stand in comments."""


def house_text(title: str, zone: str, who: str) -> str:
    """The text; title and who as YAML scalars."""
    return "\n".join([*_head(title, zone, who), *_plain(), *_due(), *_types()]) + "\n"


def _head(title: str, zone: str, who: str) -> Iterator[str]:
    """The lines that say how the file is to be read, and those of the house itself: its name, time zone and crew."""
    by_name = {one.name: one for one in settings()}
    yield "# The house's own settings. A line that begins with # and no space is a setting at its default: to change it, take the # away,"
    yield "# and that of the lines it stands under. A setting that judges entries may be a list of {since, value}: each entry is judged by"
    yield "# the value in force on its date. `caskbook explain SETTING` tells more of one."
    yield ""
    for name, value in (("name", title), ("timezone", zone)):
        yield from _setting_comment(by_name[name])
        yield f"{name}: {value}"
    yield from _setting_comment(by_name["crew"])
    yield "# as {initials: kd, name: K. Dunn, from: 2019-04-01, until: 2024-03-31}"
    yield "crew:"
    yield f"  - {{initials: {who}}}"


def _plain() -> Iterator[str]:
    for one in settings():
        if one.name not in _OWN and "." not in one.name:
            yield ""
            yield from _setting_comment(one)
            yield f"#{one.name}: {one.default}"


def _due() -> Iterator[str]:
    """The lines of the due rules' settings, each as a comment at its default under the name of its rule."""
    yield ""
    yield "# What is due when: `caskbook explain RULE` tells of each rule."
    yield "#due:"
    last = ""
    for one in settings():
        if not one.name.startswith("due.") or one.deprecated:
            continue
        _, rule, key = one.name.split(".")
        if rule != last:
            yield f"#  {rule}:"
        last = rule
        yield from _setting_comment(one)
        yield f"#    {scalar(key)}: {one.default}"  # `off` is a truth value to a YAML 1.1 reader


def _types() -> Iterator[str]:
    yield ""
    yield "# Any setting again, for one type of cask."
    yield "#types:"
    for kind, floor in USUAL_FLOORS.items():
        yield f"#  {kind}: {{stave_floor_mm: {floor:g}}}"


def _setting_comment(one: Setting) -> Iterator[str]:
    unit = f" ({one.unit})" if one.unit and one.unit not in one.says else ""
    example = f"; as {_SHOWN[one.name]}" if one.name in _SHOWN else ""
    yield from wrap(
        f"{one.says}{unit}. Takes {one.takes}; without it {one.without}{example}", _WIDTH, initial_indent="# ", subsequent_indent="# ", break_on_hyphens=False
    )
