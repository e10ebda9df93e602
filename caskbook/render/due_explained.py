"""What the due list counts, as text or JSON: the casks, and each rule with its definition, its settings and its denominators."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import BaseModel

from caskbook.due.explained import RuleExplained, Setting
from caskbook.render.console import USUAL_WIDTH
from caskbook.render.plain_json import data_json
from caskbook.render.work_lines import wrapped
from caskbook.words.plural import number_of
from caskbook.words.verdicts import RANK


@dataclass(frozen=True, slots=True)
class DueExplained:
    """`casks`: how many are judged, `away` of them, `pressed`: on how many something is due or blocked; `filters`: name → words, any of which fits, `only`: the same and
    the rules in words."""

    day: date
    casks: int
    away: int
    pressed: int
    filters: Mapping[str, Sequence[str]]
    only: tuple[str, ...]
    rules: Sequence[RuleExplained]


def explained_text(found: DueExplained, *, width: int | None) -> str:
    """A paragraph for the casks, and three for each rule, wrapped."""
    wide = min(width or USUAL_WIDTH, 90)
    return "\n".join(line for text in _paragraphs(found) for line in (wrapped(text, wide) if text else [""]))


def _paragraphs(found: DueExplained) -> Iterator[str]:
    """The filter, the casks, the words of the verdicts, then each rule behind an empty line."""
    yield f"filter: {', '.join(found.only) or 'none: the whole book, all rules'}"
    yield (
        f"casks: {found.casks}, those that had an entry by {found.day} and are neither gone nor missing, a joined number under the one that goes on; {found.away} of them are away, "
        f"of which only what needs no bench is judged. On {found.pressed} of {found.casks} something is due or blocked."
    )
    yield (
        "verdicts: each rule gives one on each cask that it judges. due: now; blocked: due, and something else has to be done first; soon: in the days or fills "
        "before; at emptying: as soon as the cask is emptied; unknown: the book does not tell; ok: nothing. What a person decided quiets a rule, and is ok."
    )
    for rule in found.rules:
        yield ""
        yield f"{rule.rule}: {rule.what} When it is due: {rule.when}"
        counts = ", ".join(f"{rule.verdicts[word]} {word.replace('-', ' ')}" for word in RANK if rule.verdicts.get(word))
        yield f"  {rule.rule}, of {number_of(rule.judged, 'cask')} that it judges: {counts or 'none'}"
        yield f"  {rule.rule}, settings in force: {'; '.join(map(_setting, rule.settings))}"


def _setting(one: Setting) -> str:
    return f"{one.name} {_shown(_plain(one.value))}{f' for a {one.type}' if one.type else ''} ({one.origin})"


def _shown(value: Any) -> str:
    return "not set" if value is None else value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _plain(value: Any) -> Any:
    """As house.yaml has it."""
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value.model_dump(mode="json", exclude_none=True) if isinstance(value, BaseModel) else value


def explained_json(found: DueExplained) -> str:
    """An object: as_of, filter, casks, away, pressed, and rules, each with what, when, judged, verdicts (word → how often) and settings (name, value, origin, type)."""
    rules = [
        {
            "rule": rule.rule, "what": rule.what, "when": rule.when, "judged": rule.judged, "verdicts": {word: rule.verdicts.get(word, 0) for word in RANK},
            "settings": [{**one._asdict(), "value": _plain(one.value)} for one in rule.settings],
        }
        for rule in found.rules
    ]  # fmt: skip
    return data_json({
        "as_of": found.day.isoformat(), "filter": {name: list(words) for name, words in found.filters.items()}, "casks": found.casks, "away": found.away,
        "pressed": found.pressed, "rules": rules,
    })  # fmt: skip
