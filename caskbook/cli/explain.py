"""`explain`: what a finding's code or a due rule means, with examples that are run as tests."""

from __future__ import annotations

import re
import textwrap

from caskbook.cli.common import say, screen, write_text
from caskbook.due import RULES, rule_named
from caskbook.finding import CaskbookError
from caskbook.render.findings import explained_text, listed_codes
from caskbook.rules.explain import EXPLANATIONS, explanation, nearest_code

_USUAL_WIDTH = 80


def run(code: str | None) -> int:
    """Print one explanation, or the list of all codes and due rules."""
    if code is None:
        write_text(listed_codes(_codes(), screen().width), screen())
        say("caskbook explain CODE tells more of one")
        return 0
    rule = rule_named(code)
    found = explanation(code)
    if rule is None and found is None:
        near = nearest_code(code)
        raise CaskbookError(f'"{code[:40]}" is no code and no due rule' + (f": did you mean {near}?" if near else "; `caskbook explain` lists them"))
    out = screen()
    told = []
    if found is not None:
        told.append(explained_text(found, out.width).rstrip())
    if rule is not None:
        told.append(_rule(rule.name, rule.text, out.width or _USUAL_WIDTH))
    write_text("\n\n".join(told), out)
    return 0


def _codes() -> list[tuple[str, str, str]]:
    """Each due rule and each code: its kind, and in a sentence what it means."""
    rows = [(rule.name, "due rule", rule.text.splitlines()[0].rstrip(".") if rule.text else "") for rule in RULES]
    return rows + [(code, EXPLANATIONS[code].severity, EXPLANATIONS[code].what.split(". ")[0].rstrip(".")) for code in sorted(EXPLANATIONS)]


_LABEL = re.compile(r"\n(?=(?:What|Why|When it is due|What to do): )")


def _rule(name: str, text: str, width: int) -> str:
    paragraphs = [part for block in text.split("\n\n") for part in _LABEL.split(block)]
    return "\n".join([f"{name}   a due rule", *(line for part in paragraphs for line in ["", *_wrapped(part, width)])])


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), min(width, 90), break_long_words=False, break_on_hyphens=False)
