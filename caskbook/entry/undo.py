"""Taking back what a run wrote and nobody has seen yet: the lines it added go, and nothing else."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.undo_flow import out_of_brackets
from caskbook.yaml.document import Document, read_document
from caskbook.yaml.insertion import alike
from caskbook.yaml.source import Source

if TYPE_CHECKING:
    from caskbook.entry.page import Page


def as_run(page: Page) -> dict[str, Any]:
    """What a run did to a file, as `undo` needs it: the entries it wrote with the mark of their lines, of a file it began that of
    the rest, of another one the step back to what it was and, as `known`, the entries it had; `beside`: number → those that other files of the same cask had."""
    ids = [event["id"] for event in page.added]
    source = Source.from_bytes(page.name, page.new)
    rest = _mark(without_events(source, ids).data) if page.old is None and ids else ""
    steps = [_step(page.old, page.new)] if page.old is not None else []
    known = [event.id for event in page.first.cask.events] if page.first is not None and page.first.cask is not None else []
    beside: dict[str, list[str]] = {}
    for number, event in page.along():
        beside.setdefault(number, []).append(event.id)
    about = {"path": page.name, "cask": page.cask_id, "new": page.old is None, "ids": ids, "known": known, "beside": beside}
    return {**about, "lines": marks(source, ids), "rest": rest, "steps": steps}


def _step(old: bytes, new: bytes) -> dict[str, Any]:
    """The way back from a file to what it was: how many lines at the head and at the end are the same in both, what stood between them,
    and the marks of both."""
    was, now = old.decode("utf-8", "replace").split("\n"), new.decode("utf-8", "replace").split("\n")
    most = min(len(was), len(now))
    first = next((n for n in range(most) if was[n] != now[n]), most)
    last = next((n for n in range(most - first) if was[-1 - n] != now[-1 - n]), most - first)
    return {"first": first, "last": last, "was": was[first : len(was) - last], "before": _mark(old), "after": _mark(new)}


def _stepped_back(source: Source, steps: Sequence[Any]) -> Source | None:
    """The file as it was before all these steps, byte for byte; None where it is not as they left it."""
    data = source.data
    try:
        for step in reversed(steps):
            if _mark(data) != step["after"]:
                return None
            now = data.decode("utf-8", "replace").split("\n")
            data = "\n".join([*now[: step["first"]], *step["was"], *now[len(now) - step["last"] :]]).encode("utf-8", "surrogatepass")
            if _mark(data) != step["before"]:
                return None
    except (KeyError, TypeError, ValueError):
        return None
    return Source.from_bytes(source.path, data) if steps else None


def marks(source: Source, ids: Collection[str]) -> dict[str, str]:
    """Of each of these entries, by id, a mark of its lines, comments of its own included: another where a byte of them is."""
    document = read_document(source)
    events = (document.data or {}).get("events")
    found = {}
    for at, one in enumerate(events if isinstance(events, list) else []):
        if isinstance(one, dict) and one.get("id") in ids:
            found[one["id"]] = _mark(_own_text(document, at).rstrip("\r\n").encode("utf-8", "surrogatepass"))
    return found


def _own_text(document: Document, at: int) -> str:
    """The lines of an entry; of one in a list in brackets, which shares its lines, what stands in its braces."""
    source, node = document.source, document.events_node
    if node is not None and node.flow:
        return source.text[node.children[at].start : node.children[at].end]
    first, last = document.event_lines(at)
    return source.text[source.bounds(first)[0] : source.bounds(last)[1]]


def unchanged(source: Source, one: dict[str, Any], after: Source) -> bool:
    """Whether the entries of a run, and of a file it began the rest, still are byte for byte what it wrote."""
    if marks(source, one["ids"]) != one.get("lines"):
        return False
    return not one["new"] or bool((read_document(after).data or {}).get("events")) or _mark(after.data) == one.get("rest")


def ids_now(source: Source, one: dict[str, Any]) -> list[str]:
    """The ids that a run's entries bear now: one to which a merge gave a longer id bears that, the other side having had its own.
    CaskbookError where that cannot be told by their lines."""
    lines, found = one.get("lines") or {}, []
    events = (read_document(source).data or {}).get("events")
    known = [str(row.get("id")) for row in events or [] if isinstance(row, dict)]
    for event_id in one["ids"]:
        longer = [other for other in known if other != event_id and other.startswith(event_id)]
        if longer and marks(source, [event_id]).get(event_id) != lines.get(event_id):
            same = [other for other in longer if marks(_renamed(source, other, event_id), [event_id]).get(event_id) == lines.get(event_id)]
            if len(same) != 1:
                raise CaskbookError(
                    f'{source.path}: {event_id} is not the run\'s entry any more; see which is: caskbook void {one["cask"]} {longer[0]} --why "…"'
                )
            event_id = same[0]
        found.append(event_id)
    return found


def ids_in(name: str, data: bytes | None) -> set[str] | None:
    """Ids of a cask's file; None where it cannot be read as one."""
    from caskbook.model.cask_file import read_record

    cask = read_record(name, data).cask if data is not None else None
    return {event.id for event in cask.events} if cask else None


def _renamed(source: Source, now: str, before: str) -> Source:
    """The text with an id given back to the entry that bears another now, and taken from the one that has it."""
    text = source.text.replace(now, "\0").replace(before, "-").replace("\0", before)
    return Source.from_bytes(source.path, text.encode("utf-8"))


def _mark(data: bytes) -> str:
    from hashlib import sha256

    return sha256(data).hexdigest()


def without_events(source: Source, ids: Collection[str], steps: Sequence[Any] = ()) -> Source:
    """The text without the lines of these events: as it was before the run's steps where nobody touched it since, else what is left.
    CaskbookError where that would leave another file than was meant."""
    document = read_document(source)
    data = document.data or {}
    events = data.get("events")
    if not isinstance(events, list) or document.events_node is None:
        raise CaskbookError(f"{source.path}: its events are no list")
    gone = [at for at, one in enumerate(events) if isinstance(one, dict) and one.get("id") in ids]
    if len(gone) != len(ids):
        raise CaskbookError(f"{source.path}: an entry of the run is no longer there")
    rest = [one for at, one in enumerate(events) if at not in gone]
    before = _stepped_back(source, steps)
    if before is not None and _holds(before, {**data, "events": rest}):
        return before
    in_brackets = document.events_node.flow
    text = out_of_brackets(source, document.events_node, gone) if in_brackets else _out_of_lines(document, gone)
    if not rest and not in_brackets:
        text = _empty_list(text)
    after = Source.from_bytes(source.path, text.encode("utf-8"))
    if not _holds(after, {**data, "events": rest}):
        raise CaskbookError(f"{source.path}: the lines of the run cannot be told from the rest")
    return after


def _holds(source: Source, meant: dict[str, Any]) -> bool:
    """Whether a file holds just what is meant; no list of events is an empty one."""
    data = read_document(source).data or {}
    return alike({**data, "events": data.get("events") or []}, meant)


def _out_of_lines(document: Document, gone: Iterable[int]) -> str:
    source, text = document.source, document.source.text
    for at in sorted(gone, reverse=True):
        first, last = document.reading.block(("events", at))
        last = _with_gap(source, first, last)
        start, end = source.bounds(first)[0], source.bounds(last)[1]
        text = text[:start] + text[end:]
    return text


def _with_gap(source: Source, first: int, last: int) -> int:
    """The last line to go: with the blank line under it, where one stands above too."""
    blank_above = first > 1 and not source.line(first - 1).strip()
    blank_below = last < source.line_count and not source.line(last + 1).strip()
    return last + 1 if blank_above and blank_below else last


def _empty_list(text: str) -> str:
    """`events:` alone, or with a comment behind it, becomes `events: []` again."""
    lines = text.split("\n")
    for at in range(len(lines) - 1, -1, -1):
        if re.fullmatch(r"events:(\s+#.*|\s*)", lines[at]):
            lines[at] = "events: []" + lines[at].removeprefix("events:")
            break
    return "\n".join(lines)
