"""After a fault of syntax: cover the line that causes it and read on, so that the file's other faults are found too."""

from __future__ import annotations

import re
from dataclasses import replace

from caskbook.yaml.nodes import parse
from caskbook.yaml.scan import Scan
from caskbook.yaml.source import Source
from caskbook.yaml.tree import Node, Outcome, Path
from caskbook.yaml.words import SyntaxFault

_MOST_REPAIRS = 20
_LARGEST = 200_000

_LEAD = re.compile(r"[ ]*(?:-[ ]+)*")


def repaired(seen: Scan, first: Outcome, max_depth: int) -> Outcome:
    """The outcome with the faulty lines covered, each told; `first` itself where covering does not help."""
    if len(seen.text) > _LARGEST:
        return first
    repairs = min(_MOST_REPAIRS, 2 * _LARGEST // (len(seen.text) + 1))
    text, outcome, faults = seen, first, list[SyntaxFault]()
    lines: list[int] = []
    while outcome.broken is not None:
        step = _one_step(text, outcome, max_depth) if len(faults) < repairs else None
        if step is None:
            return first
        text, outcome, fault, line = step
        faults.append(fault)
        lines.append(line)
    outcome.findings = [*outcome.findings, *(fault.finding for fault in faults)]
    for line in lines:
        outcome.unread |= holders(seen.source, outcome.root, line)
    return outcome


def _one_step(text: Scan, outcome: Outcome, max_depth: int) -> tuple[Scan, Outcome, SyntaxFault, int] | None:
    """One line covered: the one without which reading ends well, or else comes furthest."""
    broken = outcome.broken
    assert broken is not None
    was = (text.source.position(broken.offset)[0], broken.finding.message)
    best, reach = None, 0
    for line in _candidates(text.source, outcome, broken):
        covered = _cover(text, line)
        again = parse(covered, max_depth)
        step = covered, again, _moved(text.source, broken, outcome, line), line
        if again.broken is None:
            return step
        now = (text.source.position(again.broken.offset)[0], again.broken.finding.message)
        if now != was and now[0] > max(line, reach):
            best, reach = step, now[0]
    return best


def _candidates(source: Source, outcome: Outcome, broken: SyntaxFault) -> list[int]:
    at, gave_up = source.position(broken.offset)[0], source.position(broken.gave_up)[0]
    quote = [source.position(outcome.long_quote)[0]] if outcome.long_quote is not None else []
    return [line for line in dict.fromkeys([*quote, at, gave_up, gave_up - 1]) if 1 <= line <= source.line_count]


def _cover(text: Scan, line: int) -> Scan:
    """A line covered with spaces behind its indent and dashes, which hold the lines around it in place."""
    start, end = text.source.bounds(line)
    start, end = max(0, start - text.skipped), end - text.skipped
    lead = _LEAD.match(text.text, start, end)
    keep = lead.end() if lead else start
    covered = re.sub(r"[^\r\n]", " ", text.text[keep:end])
    return replace(text, text=text.text[:keep] + covered + text.text[end:])


def _moved(source: Source, broken: SyntaxFault, outcome: Outcome, line: int) -> SyntaxFault:
    """The fault shown on the line that turned out to cause it."""
    if source.position(broken.offset)[0] == line:
        return broken
    start = source.bounds(line)[0]
    message, help = broken.finding.message, broken.finding.help
    if outcome.long_quote is not None and source.position(outcome.long_quote)[0] == line:
        start = outcome.long_quote
        message, help = "a quote that is never closed", "close the quote at the end of its line"
    else:
        lead = _LEAD.match(source.text, start)
        start = lead.end() if lead else start
    span = source.span(start, source.bounds(line)[0] + len(source.line(line)))
    return replace(broken, finding=replace(broken.finding, span=span, message=message, help=help))


def holders(source: Source, root: Node | None, line: int) -> set[Path]:
    """The paths of the maps to which a covered line may have belonged, or of the item it was."""
    lead = _LEAD.match(source.line(line))
    column = (lead.end() if lead else 0) + 1
    around, sure = set[Path](), set[Path]()
    todo = [root] if root is not None else []
    while todo:
        node = todo.pop()
        first, last = source.position(node.start)[0], source.position(node.end)[0]
        if not first - 1 <= line <= last + 1:
            continue
        if node.kind == "scalar":
            sure |= {node.path} if node.value is None and first == line else set()
            continue
        around.add(node.path)
        todo += node.children.values()
        if any(source.position(start)[1] == column for start, _ in node.keys.values()):
            sure.add(node.path)
    return sure or around
