"""YAML to plain data with exact places: whatever YAML does that a reader would not expect becomes a finding at its place.

It knows nothing of casks and serves every YAML file of a ledger. Values are those of YAML 1.2.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from caskbook.core.finding import Finding, Span, in_file_order
from caskbook.yaml.hidden import take_touched
from caskbook.yaml.nodes import parse
from caskbook.yaml.repair import repaired
from caskbook.yaml.scan import Scan, scan
from caskbook.yaml.source import MAX_BYTES, Source
from caskbook.yaml.tree import Node, Outcome, Path

MAX_DEPTH = 20
_HIDDEN = "control-character"


@dataclass(frozen=True)
class Reading:
    """One file as data.

    `data`: dict, list, str, int, float, bool, None, date; None where the file is refused as a whole.
    `unread`: paths whose value could not be read and is left out, or None in a list; such a value is no *missing* one.
    A path of a map or list in it says that one of its lines was unreadable: nothing in it is surely missing. `why` is the code
    of the finding that tells of each. `twice`: paths that stand there twice with two values, of which `data` has the first.
    """

    source: Source
    data: Any | None
    findings: list[Finding]
    unread: frozenset[Path]
    root: Node | None
    why: Mapping[Path, str] = field(default_factory=dict)
    twice: frozenset[Path] = frozenset()

    @property
    def refused(self) -> bool:
        """Whether there is a fault beyond a warning."""
        return any(finding.severity == "error" for finding in self.findings)

    def node(self, path: Iterable[str | int]) -> Node | None:
        """The node at a path, or its nearest ancestor; None where nothing was read."""
        found = self.root
        for step in path:
            below = found.child(step) if found else None
            if below is None:
                break
            found = below
        return found

    def exact(self, path: Path) -> Node | None:
        """The node at a path, None where there is none."""
        found = self.root
        for step in path:
            found = found.child(step) if found else None
        return found

    def span(self, path: Path, key: bool = False) -> Span:
        """The place of the value at a path, or of its key; of the nearest existing ancestor where it is missing."""
        if key and path and self.exact(path) is not None:
            parent = self.exact(path[:-1])
            if parent is not None and path[-1] in parent.keys:
                return self.source.span(*parent.keys[path[-1]])
        found = self.node(path)
        if found is None:
            return Span(1, 1, 1, 1)
        if found.children and self.exact(path) is None and path:
            return self._first_line(found)
        return self.source.span(found.start, found.end)

    def _first_line(self, found: Node) -> Span:
        """Something is missing in a map or list: point at its first line only."""
        line = self.source.position(found.start)[0]
        start, length = self.source.bounds(line)[0], len(self.source.line(line))
        return self.source.span(found.start, min(found.end, start + length))

    def block(self, path: Path) -> tuple[int, int]:
        """First and last line of a list's item, its dash included; of any other value, of the lines it stands on."""
        found = self.exact(path)
        if found is None:
            raise KeyError(path)
        first, last = (
            self.source.position(found.start)[0],
            self.source.position(max(found.start, found.end - 1))[0],
        )
        parent = self.exact(path[:-1]) if path else None
        if parent is not None and parent.kind == "sequence" and not parent.flow:
            column = self.source.position(parent.start)[1]
            while first > 1 and self.source.line(first)[column - 1 : column] != "-":
                first -= 1
        return first, last


def read_yaml(source: Source, *, max_bytes: int = MAX_BYTES, max_depth: int = MAX_DEPTH) -> Reading:
    """Reads one YAML file whose root must be a map. Never raises for what the file holds; see `Reading`."""
    if len(source.data) > max_bytes:
        message = f"{len(source.data)} bytes, expected at most {max_bytes}"
        help = "shorten what is long in it, or restore it from version control"
        return Reading(
            source,
            None,
            [Finding("file-too-large", "error", message, source.path, help=help)],
            frozenset(),
            None,
        )
    seen = scan(source)
    if seen.opaque:
        return Reading(source, None, seen.findings, frozenset(), None)
    outcome = parse(seen, max_depth)
    if outcome.broken is not None:
        outcome = repaired(seen, outcome, max_depth)
    return _reading(source, seen, outcome)


def _reading(source: Source, seen: Scan, outcome: Outcome) -> Reading:
    """What the passes over a text came to, as one reading: findings in file order, data, what is unread and why."""
    syntax = [f for f in outcome.findings if f.code != "yaml-syntax" or not _explained(f, seen)]
    findings = [*seen.findings, *syntax]
    if outcome.broken is not None:
        if not seen.uneven and not _explained(outcome.broken.finding, seen):
            findings.append(outcome.broken.finding)
        return Reading(source, None, in_file_order(findings), frozenset(outcome.unread), None)
    wrong = _root_fault(source, outcome.root) if not outcome.stopped else None
    if wrong is not None and not (wrong.code == "empty-file" and findings):
        findings.append(wrong)
    root = outcome.root if wrong is None and not outcome.stopped else None
    data = root.value if root is not None else None
    hidden = take_touched(source, root, seen.skipped) if root is not None and _HIDDEN in {f.code for f in findings} else set()
    why = {**_why(source, root, outcome.unread, findings), **dict.fromkeys(hidden, _HIDDEN)}
    return Reading(source, data, in_file_order(findings), frozenset(outcome.unread | hidden), root, why, frozenset(outcome.twice))


def _why(source: Source, root: Node | None, unread: Iterable[Path], findings: list[Finding]) -> dict[Path, str]:
    """The code of the finding that tells of each path: the one at its place, else a fault of syntax covered by its lines."""
    at = {(f.span.line, f.span.column): f.code for f in findings}
    found = {}
    for path in unread:
        node = root
        for step in path:
            node = node.child(step) if node is not None else None
        place = source.position(node.start) if node is not None and node.kind == "scalar" else None
        found[path] = at.get(place, "yaml-syntax") if place is not None else "yaml-syntax"
    return found


def _explained(broken: Finding, seen: Scan) -> bool:
    """Whether a fault of the raw characters there is the cause; where the layout suffered, next to it as well."""
    margin = 1 if seen.uneven else 0
    return any(found.severity == "error" and found.span.line - margin <= broken.span.line <= found.span.end_line + margin for found in seen.findings)


def _root_fault(source: Source, root: Node | None) -> Finding | None:
    """The finding about a file that is empty, a list or a single value; None where it is a map."""
    kinds = {"sequence": "a list", "scalar": "a single value"}
    if root is None or (root.kind == "scalar" and root.value is None and root.plain and root.start == root.end):
        help = "restore the file from version control, or delete it"
        return Finding("empty-file", "error", "nothing in this file, expected `key: value` lines", source.path, help=help)
    if root.kind in kinds:
        span = source.span(root.start, min(root.end, source.bounds(source.position(root.start)[0])[1]))
        message = f"{kinds[root.kind]} at the top of the file, expected `key: value` lines"
        return Finding("not-a-mapping", "error", message, source.path, span, "start each line with a key and a colon")
    return None
