"""Parser events built into data and places, with a finding for every YAML feature a cask file may not use."""

from __future__ import annotations

import copy
import re
from typing import Any

from caskbook.yaml.not_read import unread_from
from caskbook.yaml.scalar import doubt, meaning
from caskbook.yaml.scan import CONTROL, Scan, character_name, shown
from caskbook.yaml.tree import (
    MOST_ALIASED,
    Frame,
    Kind,
    Node,
    Outcome,
    Path,
    behind_colon,
    block_end,
    ends,
    size_of,
    told_otherwise,
)
from caskbook.yaml.words import FAULT_WORDS, syntax_fault

_SPACE = re.compile(r"(?:\s+|#.*)*")
_PROPERTIES = re.compile(r"(?:(?:!<[^>\s]*>|[&!][^\s,\[\]{}]*)(?:\s+|$|(?=[,\[\]{}])))+")


def parse(seen: Scan, max_depth: int) -> Outcome:
    """Reads a scanned text into nodes; a fault of syntax ends the pass and is told in `broken`."""
    # It is imported here: most commands never need the slow reader, and it takes as long to import as they take to run.
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    builder = _Builder(seen, max_depth)
    try:
        for event in YAML(typ="safe", pure=True).parse(seen.text):
            if not builder.take(event):
                break
    except MarkedYAMLError as error:
        builder.out.broken = syntax_fault(seen, error)
    except (YAMLError, ValueError, OverflowError, LookupError, AttributeError, TypeError) as error:
        # The parser lets some nonsense (an escape beyond Unicode) through to Python's own complaints.
        builder.out.broken = syntax_fault(seen, None, builder.at, str(error))
    builder.anchors()
    builder.out.findings = builder.seen.findings
    return builder.out


class _Builder:
    """Takes events one by one and keeps the open maps and lists on a stack."""

    def __init__(self, seen: Scan, max_depth: int) -> None:
        self.seen = Scan(seen.source, seen.text, skipped=seen.skipped)
        self.max_depth = max_depth
        self.out = Outcome()
        self.stack: list[Frame] = []
        self.documents = 0
        self.at = 0
        self.named: dict[str, Node] = {}
        self.places: dict[str, tuple[int, int]] = {}
        self.used: set[str] = set()
        self.aliased = 0

    def take(self, event: Any) -> bool:
        """One event; False where reading ends."""
        start, end = event.start_mark.index + self.seen.skipped, event.end_mark.index + self.seen.skipped
        self.at = start
        kind = type(event).__name__
        if kind == "ScalarEvent":
            self._scalar(event, start, end)
        elif kind == "AliasEvent":
            self._alias(event.anchor, start, end)
        elif kind in ("MappingStartEvent", "SequenceStartEvent"):
            return self._open(event, start)
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            self._close(end)
        elif kind == "DocumentStartEvent":
            return self._document(start, end)
        return True

    def _document(self, start: int, end: int) -> bool:
        self.documents += 1
        if self.documents > 1:
            message = f"a second document begins here, expected one in a file{unread_from(self.seen.source, start)}"
            self.seen.add("several-documents", start, end, message, "keep one cask in a file and delete `---`")
        return self.documents == 1

    def _properties(self, event: Any, start: int) -> int:
        """Findings for an anchor or tag; the offset at which the value itself begins."""
        anchor, tag = event.anchor, event.ctag if event.tag is not None or event.ctag is not None else None
        if anchor is None and tag is None:
            return start
        match = _PROPERTIES.match(self.seen.source.text, start)
        words = match.group() if match else ""
        for word in re.finditer(r"\S+", words):
            place = (start + word.start(), start + word.end())
            if word.group().startswith("&"):
                self.places[anchor] = place
            else:
                message = f"tag {shown(word.group())}, expected a plain value"
                self.seen.add("yaml-tag", *place, message, "delete the tag")
        return start + len(words)

    def _scalar(self, event: Any, start: int, end: int) -> None:
        """One scalar of the parser: a key of the map at hand, or a value, which is read and attached."""
        begin = min(self._properties(event, start), end)
        node = Node("scalar", begin, end, plain=event.style is None)
        if event.style in ("|", ">"):
            node.end = block_end(self.seen.source.text, event.value, end)
        elif event.style is not None and "\n" in self.seen.source.text[begin:end]:
            self.out.long_quote = begin
        is_key = bool(self.stack) and self.stack[-1].node.kind == "mapping" and self.stack[-1].wants_key
        if event.anchor is not None:
            self.named[event.anchor] = node
        self._hidden(event.value, node)
        if is_key:
            self._key(event, node)
            return
        if node.plain and not event.value and self.stack and self.stack[-1].key is not None:
            node.start = node.end = behind_colon(self.seen.source.text, self.stack[-1], node.start)
        self._value(event, node)
        self._attach(node)

    def _hidden(self, value: str, node: Node) -> None:
        match = CONTROL.search(value)
        if match is not None:
            message = f"{character_name(match.group())} in a value, expected printable text"
            self.seen.add("control-character", node.start, node.end, message, "delete the character")

    def _value(self, event: Any, node: Node) -> None:
        """The value of a scalar is set on its node, with a finding where readers may take it otherwise."""
        if not node.plain:
            node.value = event.value
            return
        found = meaning(event.value)
        node.value = found.value
        if found.fault:
            words, help = FAULT_WORDS[found.fault]
            message = words.format(shown(event.value))
            if self._muted():
                return
            self.seen.add(found.fault, node.start, node.end, message, help)
            node.readable = False
        elif found.doubtful:
            self._doubt(event.value, node)

    def _doubt(self, word: str, node: Node) -> None:
        here, elsewhere = doubt(word)
        message = f"`{shown(word, 16)}` is read two ways: {here}, or {elsewhere}"
        help = f"put quotes round it: '{shown(word, 16)}'"
        if here != "a word":
            help = f"write the number as {here}, or put quotes round it"
        self.seen.add("ambiguous-word", node.start, node.end, message, help, "warning")

    def _muted(self) -> bool:
        return any(frame.mute for frame in self.stack)

    def _key(self, event: Any, node: Node) -> None:
        """The key of the next value is noted; one that is no plain word, or stands twice, is a finding and drops the value."""
        frame = self.stack[-1]
        word, frame.wants_key = event.value, False
        found = meaning(word) if node.plain else None
        frame.key, frame.drop = word, True
        if found is not None and word == "<<":
            message, help = "merge key `<<`, expected the lines themselves", "write out the lines it stands for"
            self.seen.add("yaml-merge-key", node.start, node.end, message, help)
            frame.mute = True
        elif found is not None and (found.fault or not isinstance(found.value, str)):
            self._bad_key(node, word or "nothing")
        elif word in frame.node.keys:
            self._twice(frame.node, word, node)
        else:
            frame.drop = False
            frame.node.keys[word] = (node.start, node.end)
            if found is not None and found.doubtful:
                self._doubt(word, node)

    def _bad_key(self, node: Node, word: str) -> None:
        message = f"{shown(word)} as a key, expected a word"
        self.seen.add(
            "non-string-key",
            node.start,
            max(node.end, node.start + 1),
            message,
            "put quotes round the key if it is meant",
        )

    def _twice(self, holder: Node, word: str, node: Node) -> None:
        line = self.seen.source.position(holder.keys[word][0])[0]
        message = f"`{shown(word)}` is given twice; first in line {line}{unread_from(self.seen.source, node.start, below_key=True)}"
        self.seen.add("duplicate-key", node.start, node.end, message, "keep the line that is right")

    def _alias(self, anchor: str, start: int, end: int) -> None:
        """An alias is a finding, and its value a copy of what it names while copies stay few."""
        self.used.add(anchor)
        frame = self.stack[-1] if self.stack else None
        if frame is None or not frame.mute:
            self._report_alias(anchor, start, end)
        node = Node("scalar", start, end)
        target = self.named.get(anchor)
        size = size_of(target) if target is not None else MOST_ALIASED + 1
        self.aliased += size
        node.readable = self.aliased <= MOST_ALIASED and not any(frame.node is target for frame in self.stack)
        if node.readable and target is not None:
            node.readable = target.readable
            node.value = copy.deepcopy(target.value)
        if frame is not None and frame.node.kind == "mapping" and frame.wants_key:
            frame.key, frame.drop, frame.wants_key = None, True, False
        else:
            self._attach(node)

    def _report_alias(self, anchor: str, start: int, end: int) -> None:
        if anchor not in self.places:
            message, help = f"alias *{shown(anchor, 20)} of nothing", "write out the value"
        else:
            line = self.seen.source.position(self.places[anchor][0])[0]
            message = f"alias *{shown(anchor, 20)} of the value in line {line}, expected the value"
            help = f"write out the value and delete &{shown(anchor, 20)}"
        self.seen.add("yaml-alias", start, end, message, help)

    def anchors(self) -> None:
        """Anchors that no alias uses; a used one is told with its alias."""
        for anchor, place in self.places.items():
            if anchor not in self.used:
                message = f"anchor &{shown(anchor, 20)}, expected a plain value"
                self.seen.add("yaml-anchor", *place, message, "delete the anchor")

    def _open(self, event: Any, start: int) -> bool:
        """A map or list is begun; False where it is nested too deep, which ends the reading."""
        begin = self._properties(event, start)
        if len(self.stack) >= self.max_depth:
            message = f"nested more than {self.max_depth} deep"
            self.seen.add("nested-too-deep", begin, begin + 1, message, "write the value flat")
            self.out.stopped = True
            return False
        kind: Kind = "mapping" if type(event).__name__ == "MappingStartEvent" else "sequence"
        node = Node(kind, begin, begin, {} if kind == "mapping" else [], flow=bool(event.flow_style))
        if begin != start and not node.flow:
            node.start = begin = _SPACE.match(self.seen.source.text, begin).end()  # type: ignore[union-attr]
        frame = Frame(node)
        if self.stack:
            frame.is_key = self.stack[-1].node.kind == "mapping" and self.stack[-1].wants_key
            node.path = self._path()
        if frame.is_key:
            self._bad_key(node, "a map" if kind == "mapping" else "a list")
            self.stack[-1].key, self.stack[-1].drop = None, True
        frame.mute = self._muted()
        self.stack.append(frame)
        if event.anchor is not None:
            self.named[event.anchor] = node
        return True

    def _path(self) -> Path:
        frame = self.stack[-1]
        if frame.node.kind == "sequence":
            return (*frame.node.path, len(frame.node.value))
        return (*frame.node.path, frame.key) if frame.key is not None else frame.node.path

    def _close(self, end: int) -> None:
        frame = self.stack.pop()
        node = frame.node
        if node.flow:
            node.end = end
        else:
            node.end = max([node.end, node.start, *ends(node)])
        if frame.is_key:
            self.stack[-1].wants_key = False
            return
        self._attach(node)

    def _attach(self, node: Node) -> None:
        """A finished node goes into the map or list that holds it, or becomes the root."""
        if not self.stack:
            self.out.root = node
            return
        frame = self.stack[-1]
        holder = frame.node
        node.path = self._path()
        holder.end = max(holder.end, node.end)
        if holder.kind == "sequence":
            holder.children[len(holder.value)] = node
            holder.value.append(node.value if node.readable else None)
            if not node.readable:
                self.out.unread.add(node.path)
            return
        frame.wants_key, frame.mute = True, self._outer_mute()
        if frame.drop or frame.key is None:
            self.out.twice |= told_otherwise(holder, frame.key, node)
            return
        holder.children[frame.key] = node
        if node.readable:
            holder.value[frame.key] = node.value
        else:
            self.out.unread.add(node.path)

    def _outer_mute(self) -> bool:
        return any(frame.mute for frame in self.stack[:-1])
