"""What a review says first: that history parted, and what was altered, by whom; the same of many casks in one line."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from caskbook.render.console import safe
from caskbook.review import Apart, Rewritten
from caskbook.review.days import MANY_CASKS, named
from caskbook.words.plural import number_of
from caskbook.yaml.write import flow_text

_MANY_ENTRIES = 10
_ID = re.compile(r" \([^()` ]+\)(?=:| is gone| stands)")
_KEY = re.compile(r"`[^`]+`")
_WORDS = {"landed-event-removed": "gone", "landed-events-reordered": "in another place", "landed-file-removed": "gone", "landed-file-renamed": "moved"}


def apart_lines(apart: Apart) -> list[str]:
    """That the history of the first end is not in the last; what is missed with it; how to look at the one side alone."""
    are = "is" if apart.commits == 1 else "are"
    lines = [
        f"{apart.first} is no ancestor of {apart.last}: history was rewritten, or the branches parted; "
        f"{number_of(apart.commits, 'commit')} of {apart.first} {are} not in {apart.last}"
    ]
    if apart.entries:
        entries = "1 entry" if apart.entries == 1 else f"{apart.entries} entries"
        lines.append(f"not in {apart.last}: {entries} of {number_of(len(apart.casks), 'cask')} ({named(apart.casks)})")
    if apart.base is not None:
        lines.append(f"what {apart.last} did since they parted: caskbook review {apart.base[:10]}..{apart.last}")
    return [safe(line) for line in lines]


def altered(one: Rewritten) -> str:
    """One breach, with the cask and where to look."""
    finding = one.finding
    return safe(f"{finding.cask or ''} {finding.message} ({finding.path}:{finding.span.line})".lstrip())


def versions(one: Rewritten) -> list[str]:
    """Both versions of an event that is not the same any more: what landed, and what stands now."""
    if one.old is None:
        return []
    landed = [f"landed  {flow_text(one.old)}"]
    word = "then" if one.finding.origin is not None and one.finding.origin.put_back else "now "
    return landed + ([f"{word}    {flow_text(one.new)}"] if one.new is not None else [])


def altered_lines(rewritten: Sequence[Rewritten]) -> list[tuple[str, list[str]]]:
    """(line, both versions below it) for each alteration; one line for many casks, or many entries, that one commit altered alike."""
    lines: list[tuple[str, list[str]]] = []
    rest: list[Rewritten] = []
    for text, alike in _by((_ID.sub("", one.finding.message), one) for one in rewritten):
        casks = _casks(alike)
        if len(casks) >= MANY_CASKS:
            lines.append((safe(f"{len(casks)} casks: {text} ({named(casks)})"), []))
        else:
            rest += alike
    kept = {id(one) for one in rest}
    for _, alike in _by((f"{one.finding.code} {_origin(one)} {_key(one)}", one) for one in rewritten if id(one) in kept):
        lines += [(_many(alike), [])] if len(alike) >= _MANY_ENTRIES else [(altered(one), versions(one)) for one in alike]
    return lines


def _by(told: Iterable[tuple[str, Rewritten]]) -> list[tuple[str, list[Rewritten]]]:
    groups: dict[str, list[Rewritten]] = {}
    for face, one in told:
        groups.setdefault(face, []).append(one)
    return list(groups.items())


def _casks(alike: Iterable[Rewritten]) -> list[str]:
    return sorted({one.finding.cask for one in alike if one.finding.cask})


def _key(one: Rewritten) -> str:
    found = _KEY.search(one.finding.message)
    return found[0] if found else ""


def _origin(one: Rewritten) -> str:
    made = one.finding.origin
    return f" ({made.commit[:10]}, {made.author}, {made.day})" if made is not None else ""


def _many(alike: Sequence[Rewritten]) -> str:
    first, casks = alike[0], _casks(alike)
    what = "files" if first.event is None else "entries"
    done = _WORDS.get(first.finding.code, f"{_key(first)} altered".strip())
    return safe(f"{len(alike)} {what} of {number_of(len(casks), 'cask')}: {done} ({named(casks)}){_origin(first)}")
