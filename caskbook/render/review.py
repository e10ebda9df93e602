"""A review as text of 80 columns, as JSON, or as Markdown for a merge request. What was altered always comes first."""

from __future__ import annotations

import json
import re
import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from caskbook.core.finding import Finding, Origin
from caskbook.core.typed_word import typed_word
from caskbook.render.altered import altered_lines, apart_lines
from caskbook.render.console import USUAL_WIDTH, Output, safe
from caskbook.render.finding_formats import origin_data
from caskbook.render.plain_json import safe_json
from caskbook.render.review_judged import alike, judged, judged_data
from caskbook.review import Apart, Late, Limit, PutRight, Review, Rewritten, Setting, Told, Turned
from caskbook.review.days import named, ranges
from caskbook.words.plural import number_of

_LABEL = 9
_MOST_NAMED = 3
_MARKS = re.compile(r"([\\`*_\[\]<>|#~])")


def review_text(found: Review, output: Output) -> str:
    """The whole review; lines are folded for a terminal and left whole in a pipe."""
    width = min(output.width, USUAL_WIDTH) if output.width is not None else None
    lines = _folded(headline(found), "", "  ", width)
    if found.apart is not None:
        first, *more = apart_lines(found.apart)
        lines = [*_folded(first, "", "  ", width), *(line for text in more for line in _folded(text, "  ", "    ", width)), "", *lines]
    if found.rewritten:
        lines += ["", "ALTERED, MOVED OR REMOVED"]
        for text, below in altered_lines(found.rewritten):
            lines += _folded(text, "  ", "    ", width)
            lines += [line for version in below for line in _folded(safe(version), "    ", " " * 12, width)]
    for heading, texts in judged(found):
        lines += ["", heading, *(line for text in texts for line in _folded(safe(text), "  ", "    ", width))]
    for day in found.days:
        lines += ["", day.day]
        for group in day.groups:
            lines += _folded(safe(group.text), "  ", "    ", width)
        for cask in day.casks:
            lead = f"{cask.cask} {cask.type}: "
            lines += _folded(safe(lead + cask.text), "  ", " " * (3 + len(cask.cask)), width)
    rest = [line for label, texts in _matters(found) for line in _labelled(label, texts, width)]
    return "\n".join(lines + ([""] if rest else []) + rest) + "\n"


def headline(found: Review) -> str:
    """What was reviewed, how much of it, and whether anything that landed was altered."""
    parts = [found.title, *([_only(found.limit)] if found.limit is not None else [])]
    if found.commits is not None:
        parts.append(number_of(found.commits, "commit"))
    parts.append(number_of(found.casks, "cask"))
    count = len(found.rewritten)
    of = "" if found.limit is None else " of these"
    nothing = f"nothing landed{of} was altered" if found.apart is None else f"nothing else{of} was altered"
    nothing += ", as far as it can be compared" if any(one.kind == "filtered" for one in found.told) else ""
    parts.append(f"{count} ALTERATION{'S' * (count != 1)} OF WHAT HAD LANDED" if count else nothing)
    return safe(" · ".join(parts))


def _only(limit: Limit) -> str:
    """ "only TH-003372, TH-003374"; many are counted."""
    listed = ranges(limit.casks)
    return f"only {', '.join(listed)}" if len(listed) <= _MOST_NAMED else f"only {len(limit.casks)} casks ({', '.join(listed[:_MOST_NAMED])} …)"


def left_out_text(limit: Limit) -> str:
    """What a review of some casks does not tell, in one line."""
    changed = f"{limit.others} other {'cask' if limit.others == 1 else 'casks'} changed, not told" if limit.others else "no other cask changed"
    return changed + ("; house.yaml changed too" if limit.house else "") + "; what lies beside the casks was not looked at"


def _folded(text: str, first: str, later: str, width: int | None) -> list[str]:
    if width is None:
        return [first + text]
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False, break_long_words=False) or [first]


def _labelled(label: str, texts: Iterable[str], width: int | None) -> list[str]:
    lines: list[str] = []
    for n, text in enumerate(texts):
        lead = (label if n == 0 else "").ljust(_LABEL)
        lines += _folded(safe(text), lead, " " * (_LABEL + 2), width)
    return lines


def _matters(found: Review) -> list[tuple[str, list[str]]]:
    """What is told below the days: a label and its lines."""
    how = {how: alike((one.cask, _put_right(one)) for one in found.put_right if one.how == how) for how in ("voided", "moved", "replaced")}
    return [
        ("copied", [f"{one.cask}: {one.text}; {one.help}" for one in found.copies]),
        ("joined", [_joined(found.joined)] if found.joined else []),
        ("clash", list(found.clashes)),
        ("new", [new.text for new in found.new]),
        ("late", alike((late.cask, late.text + _said(late)) for late in found.late)),
        *how.items(),
        ("head", alike((head.cask, f"added to the head: `{head.key}` {head.new}, unknown before") for head in found.heads if head.first)),
        ("house", [f"{one.path}:{one.span.line}:{one.span.column} {one.severity} {one.code}: {one.message}; {one.help}" for one in found.house]),
        ("setting", [setting_text(one) for one in found.settings]),
        ("then due", [due_text(found)] if found.newly_due or found.no_longer else []),
        ("losses", [losses_text(found.losses)] if found.losses else []),
        ("layout", alike((note.cask or "", note.message) for note in found.layout)),
        ("stray", [f"{name} lies among the casks and is none" for name in found.stray if not any(one.path.endswith(name) for one in found.beside)]),
        ("beside", [_beside(one) for one in found.beside]),
        ("commit", [_text_with_origin(one) for one in found.told]),
        ("left out", [left_out_text(found.limit)] if found.limit is not None else []),
        (
            "unread",
            [
                *(f"{name} is new and cannot be read: caskbook check {typed_word(name)}" for name in found.unread),
                *alike((one.cask, f"an entry that cannot be read, and counts for nothing: {one.text}; caskbook check") for one in found.unread_entries),
            ],
        ),
    ]


def _said(late: Late) -> str:
    return (f": {late.said}" if late.said else "") + (f" ({late.by})" if late.by else "")


def _beside(one: Finding) -> str:
    """What came in beside the casks: where, what is wrong with it, and by whose commit."""
    return f"{one.path} {one.severity} {one.code}: {one.message}{_made_by(one.origin)}" + (f"; {one.help}" if one.help else "")


def _text_with_origin(one: Told) -> str:
    return one.text + _made_by(one.origin)


def _made_by(made: Origin | None) -> str:
    return f" ({made.commit[:10]}, {made.author}, {made.day})" if made is not None else ""


def _joined(casks: Sequence[str]) -> str:
    if len(casks) == 1:
        return f"{casks[0]}: both sides had entered on it"
    return f"{len(casks)} casks that both sides had entered on ({named(casks)})"


def _put_right(one: PutRight) -> str:
    again = f", entered again on {one.again}" if one.again else ""
    who = ", ".join(word for word in (one.day, one.by) if word)
    return one.text + (f': "{one.why}"' if one.why else "") + again + (f" ({who})" if who else "")


def setting_text(one: Setting) -> str:
    """A setting with both values, and what it does."""
    effects = [f"{number_of(one.newly_due, 'cask')} newly due"] if one.newly_due else []
    effects += [f"{number_of(one.no_longer, 'cask')} no longer due"] if one.no_longer else []
    effects += [f"{one.at_emptying} newly at emptying"] if one.at_emptying else []
    effects += [f"{one.no_longer_at_emptying} no longer at emptying"] if one.no_longer_at_emptying else []
    anew = "; undated, so the past is judged anew: write a list of {since, value}" if one.undated else ""
    anew = "; it begins before the day it came in, so the past is judged anew" if one.back_dated else anew
    both = _both_values(one)
    ahead = "" if one.counted_on is None else "from that day " if one.counted_on in both else f"from {one.counted_on} "
    losses = "; what it makes of losses is not judged here: caskbook due loss retire" if one.losses else ""
    return both + (f": {ahead}{', '.join(effects)}" if effects else "") + losses + anew + (_made_by(one.origin) if anew else "")


def _both_values(one: Setting) -> str:
    """ "due.rechar.due_at 4 from 2026-12-01" for a dated value that is new; else what was, and what is."""
    key, _, day = one.key.rpartition(".")
    value = one.new.removeprefix(f"{{since: {day}, value: ").removesuffix("}")
    if one.old == "unset" and len(value) < len(one.new) - 1:
        return f"{key} {value} from {day}"
    return f"{one.key} {one.old} → {one.new}"


def due_text(found: Review) -> str:
    """ "1 newly (TH-004390 nose) · 52 no longer (retest)"."""
    parts = []
    for turned, word in ((found.newly_due, "newly"), (found.no_longer, "no longer")):
        if turned:
            parts.append(f"{len(turned)} {word} ({_turns(turned)})")
    return " · ".join(parts)


def losses_text(casks: Sequence[str]) -> str:
    """ "other figures of TH-004217, TH-004218: whether too much is gone is not judged here: caskbook due loss retire"; many are counted."""
    of = ", ".join(casks) if len(casks) <= _MOST_NAMED else f"{len(casks)} casks"
    return f"other figures of {of}; whether too much is gone is not judged here: caskbook due loss retire"


def _turns(turned: Sequence[Turned]) -> str:
    if len(turned) <= _MOST_NAMED:
        return ", ".join(f"{one.cask} {one.rule}" for one in turned)
    counts = Counter(one.rule for one in turned)
    if len(counts) == 1:
        return next(iter(counts))
    return ", ".join(f"{count} {rule}" for rule, count in counts.most_common())


def review_markdown(found: Review) -> str:
    """For a merge request: what was altered first, then the days, then the rest as a list."""
    lines = [f"**{_plain(headline(found))}**", ""]
    if found.apart is not None:
        first, *more = apart_lines(found.apart)
        lines = [f"**{_plain(first)}**", "", *(f"- {_plain(text)}" for text in more), "", *lines]
    if found.rewritten:
        lines += ["### Altered, moved or removed", ""]
        for text, below in altered_lines(found.rewritten):
            lines += [f"- {_plain(text)}", *(f"  - {_plain(safe(version))}" for version in below)]
        lines.append("")
    for heading, texts in judged(found):
        lines += [f"### {heading.capitalize()}", "", *(f"- {_plain(safe(text))}" for text in texts), ""]
    for day in found.days:
        lines += [f"### {day.day}", ""]
        lines += [f"- {_plain(safe(group.text))}" for group in day.groups]
        lines += [f"- **{_plain(safe(cask.cask))}** {_plain(safe(cask.type))}: {_plain(safe(cask.text))}" for cask in day.casks]
        lines.append("")
    rest = [f"- *{label}* {_plain(safe(text))}" for label, texts in _matters(found) for text in texts]
    return "\n".join(lines + (["### Besides", "", *rest, ""] if rest else [])).rstrip("\n") + "\n"


def _plain(text: str) -> str:
    """Text that Markdown and HTML show as it is."""
    return _MARKS.sub(r"\\\1", text).replace("&", "&amp;")


def review_json(found: Review) -> str:
    """Everything, under names that only ever gain others."""
    answer: dict[str, Any] = {
        "range": found.title, "commits": found.commits, "casks": found.casks, "clean": found.clean,
        "altered": [_rewritten(one) for one in found.rewritten],
        "days": [
            {
                "day": day.day,
                "groups": [{"job": group.job, "casks": list(group.casks), "text": group.text} for group in day.groups],
                "casks": [{"cask": c.cask, "type": c.type, "text": c.text, "events": list(c.events)} for c in day.casks],
            }
            for day in found.days
        ],
        "new": [{"casks": list(new.casks), "text": new.text} for new in found.new],
        "late": [{"cask": late.cask, "event": late.event, "day": late.day, "days": late.days, "text": late.text, "said": late.said, "by": late.by} for late in found.late],
        "put_right": [
            {"cask": one.cask, "how": one.how, "event": one.event, "target": one.target, "text": one.text, "why": one.why, "again": one.again, "day": one.day, "by": one.by}
            for one in found.put_right
        ],
        "heads": [{"cask": head.cask, "key": head.key, "old": head.old, "new": head.new, "first": head.first} for head in found.heads],
        "settings": [{"key": s.key, "old": s.old, "new": s.new, "newly_due": s.newly_due, "no_longer": s.no_longer, "at_emptying": s.at_emptying, "no_longer_at_emptying": s.no_longer_at_emptying, "undated": s.undated, "back_dated": s.back_dated, **origin_data(s.origin), "counted_on": s.counted_on, "losses_not_judged": s.losses} for s in found.settings],
        "house": [
            {"path": one.path, "line": one.span.line, "column": one.span.column, "severity": one.severity, "code": one.code, "message": one.message, "help": one.help}
            for one in found.house
        ],
        "newly_due": [{"cask": one.cask, "rule": one.rule} for one in found.newly_due],
        "no_longer_due": [{"cask": one.cask, "rule": one.rule} for one in found.no_longer],
        "losses_not_judged": list(found.losses), "copies": [{"cask": one.cask, "text": one.text, "help": one.help} for one in found.copies],
        "layout": [{"cask": note.cask, "path": note.path, "message": note.message} for note in found.layout],
        "unread": list(found.unread), "unread_entries": [{"cask": one.cask, "text": one.text, "code": one.code} for one in found.unread_entries],
        "joined": list(found.joined), "clashes": list(found.clashes), "stray": list(found.stray), "apart": _apart(found.apart),
        "beside": [{"path": one.path, "severity": one.severity, "code": one.code, "message": one.message, "help": one.help, **origin_data(one.origin)} for one in found.beside],
        "told": [{"kind": one.kind, "text": one.text, **origin_data(one.origin)} for one in found.told],
        "limited_to": None if found.limit is None else list(found.limit.casks),
        "not_told": None if found.limit is None else {"casks": found.limit.others, "house": found.limit.house},
        "against": judged_data(found.against), "errors": judged_data(found.errors),
    }  # fmt: skip
    return safe_json(json.dumps(answer, ensure_ascii=False, indent=1, default=str)) + "\n"


def _rewritten(one: Rewritten) -> dict[str, Any]:
    finding = one.finding
    return {
        "cask": finding.cask, "code": finding.code, "message": finding.message, "path": finding.path, "line": finding.span.line,
        "column": finding.span.column, "event": one.event, "old": one.old, "new": one.new, **origin_data(finding.origin),
    }  # fmt: skip


def _apart(apart: Apart | None) -> dict[str, Any] | None:
    if apart is None:
        return None
    return {"first": apart.first, "last": apart.last, "commits": apart.commits, "base": apart.base, "entries": apart.entries, "casks": list(apart.casks)}
