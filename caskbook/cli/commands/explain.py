"""`explain`: what a finding's code, a due rule, a setting or a word of the trade means, with examples that are run as tests."""

from __future__ import annotations

import re
import textwrap

from caskbook.checks.explain import EXPLANATIONS, explanation
from caskbook.cli.commands.explain_words import THERE_ARE, known_words, told_of
from caskbook.cli.common import say, screen, write_text
from caskbook.core.finding import CaskbookError
from caskbook.due import RULES, rule_named
from caskbook.model.house import OF_THE_HOUSE
from caskbook.model.house_words import Setting, settings, settings_named, settings_of_rule
from caskbook.model.invalid import nearest
from caskbook.render.findings import explained_text, listed_codes
from caskbook.yaml.scalar import meaning

_USUAL_WIDTH = 80
_CLOSE = 0.72
_UNDATED = ("name", "crew", "suppliers", "questions")
"""Settings that are the house's as a whole, of no day and of no type of cask."""
_OF_NO_TYPE = (*OF_THE_HOUSE, "stores", "temperate_stores", "wine_words")
"""Settings that are asked for the whole house, whatever cask it is about."""


def run(code: str | None) -> int:
    """Print one explanation, or the list of all codes, due rules and settings."""
    if code is None:
        write_text(listed_codes(_codes(), screen().width), screen())
        say("caskbook explain CODE, RULE or SETTING tells more of one")
        return 0
    rule, found, named = rule_named(code.removeprefix("due.")), explanation(code), settings_named(code)
    out = screen()
    width = out.width or _USUAL_WIDTH
    words = told_of(code, width) if found is None else []
    if rule is None and found is None and not named and not words:
        raise CaskbookError(_unknown(code))
    told = []
    if found is not None:
        told.append(explained_text(found, out.width).rstrip())
    if rule is not None:
        told += [_rule(rule.name, rule.text, width), _settings_of(rule.name, width)]
    told += [*(_setting(one, width) for one in named), *words]
    write_text("\n\n".join(told), out)
    return 0


def _unknown(word: str) -> str:
    """What is said of a word that is nothing here: up to three that are near, else what lists there are."""
    from difflib import get_close_matches

    names = [name for name, _, _ in _codes()]
    rule = nearest(word, names) or _nearest_setting(word)
    near = [rule] if rule else list(dict.fromkeys(get_close_matches(word.casefold()[:40], known_words(), 3, _CLOSE)))
    hint = f": did you mean {' or '.join(near)}?" if near else f"; {THERE_ARE}"
    shown = "".join(sign if sign.isprintable() else "?" for sign in word[:40])
    return f'"{shown}" is no code, no due rule, no setting and no word of the trade{hint}'


def _codes() -> list[tuple[str, str, str]]:
    """Each due rule, code and setting: its kind, and in a sentence what it means."""
    rows = [(rule.name, "due rule", rule.text.splitlines()[0].rstrip(".") if rule.text else "") for rule in RULES]
    rows += [(code, EXPLANATIONS[code].severity, EXPLANATIONS[code].what.split(". ")[0].rstrip(".")) for code in sorted(EXPLANATIONS)]
    return rows + [(one.name, "setting", one.says) for one in settings()]


def _nearest_setting(word: str) -> str | None:
    """The setting whose own name, without the rule's, is near."""
    tails = {one.name.rpartition(".")[2]: one.name for one in settings()}
    near = nearest(word.rpartition(".")[2], list(tails))
    return tails[near] if near else None


def _setting(one: Setting, width: int) -> str:
    """A setting: what it means, what it takes, what holds without it."""
    lines = [f"{one.name}   a setting of house.yaml", "", *_wrapped(f"{one.says}.", width), "", f"Takes: {one.takes}" + (f", {one.unit}." if one.unit else ".")]
    lines.append(f"Without it: {one.without}.")
    key = one.name.rpartition(".")[2]
    if meaning(key).doubtful:
        lines += _wrapped(f"Its key is written in quotes, '{key}': for readers of an older YAML the bare word is a yes or a no.", width)
    if one.name not in _UNDATED:
        by_type = "" if one.name in _OF_NO_TYPE else ", and may be set for one type of cask under `types`"
        lines += _wrapped(f"It may be a list of {{since, value}}, each value in force from its day{by_type}.", width)
    return "\n".join(lines)


def _settings_of(rule: str, width: int) -> str:
    lines = [part for one in settings_of_rule(rule) for part in textwrap.wrap(
        f"{one.name}: {one.without} – {one.says}", min(width, 90), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)]  # fmt: skip
    quoted = sorted({key for one in settings_of_rule(rule) if meaning(key := one.name.rpartition(".")[2]).doubtful})
    notes = [line for key in quoted for line in _wrapped(f"The key {key} is written in quotes, '{key}'.", width)]
    return "\n".join(["Settings, with what holds where the house says nothing:", *lines, *notes])


_LABEL = re.compile(r"\n(?=(?:What|Why|When it is due|What to do): )")


def _rule(name: str, text: str, width: int) -> str:
    paragraphs = [part for block in text.split("\n\n") for part in _LABEL.split(block)]
    return "\n".join([f"{name}   a due rule", *(line for part in paragraphs for line in ["", *_wrapped(part, width)])])


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), min(width, 90), break_long_words=False, break_on_hyphens=False)
