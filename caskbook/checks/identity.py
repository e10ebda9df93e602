"""Whether a file is what its name says, and whether its events can be told apart."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import PurePosixPath

from caskbook.checks.context import HEAD, View, fault, head_fault
from caskbook.checks.id_pattern import house_pattern
from caskbook.checks.rule import Rule
from caskbook.core.days import UnknownDay
from caskbook.core.finding import Fault
from caskbook.model.ids import is_cask_id, is_id
from caskbook.model.invalid import shown

# This takes every id as `is_id` has it, in the length in which nearly all are minted.
_IDS = re.compile(r"[a-hjkmnp-tv-z][0-9a-hjkmnp-tv-z]{7}(?: [a-hjkmnp-tv-z][0-9a-hjkmnp-tv-z]{7})*")


def file_name(view: View) -> Iterable[Fault]:
    """id-not-file-name: the cask's number is not the name of its file.

    Why: a cask is found by its file name; under another name its history is lost to every command.
    Wrong:
        # TH-004217
        {cask: TH-004271, format: 1, type: barrel, events: []}
    Right:
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, events: []}
    """
    number, name = view.cask.id, view.record.name
    if number != name and not view.is_spoiled(HEAD, "cask"):
        yield head_fault(
            "id-not-file-name",
            f"`cask` is {shown(number)}: the file is called {shown(name)[1:-1]}",
            f"write `cask: {name}`, or rename the file" if is_cask_id(name) else f"rename the file to {number}.yaml",
            "cask",
        )


def folder(view: View) -> Iterable[Fault]:
    """cask-in-wrong-folder: the file lies in a folder that is not its id without the last three digits.

    Why: a cask's folder is worked out from its number; in another one it is not found.
    Wrong:
        # casks/TH-005/TH-004217.yaml
        {cask: TH-004217, format: 1, type: barrel, events: []}
    Right:
        # casks/TH-004/TH-004217.yaml
        {cask: TH-004217, format: 1, type: barrel, events: []}
    """
    name = view.record.name
    if view.record.path.endswith(f"casks/{name[:-3]}/{name}.yaml") or not is_cask_id(name):  # Which folder is its own a name tells that is a number.
        return
    parts = PurePosixPath(view.record.path).parts
    if len(parts) >= 3 and parts[-3] == "casks" and parts[-2] != name[:-3]:
        yield head_fault(
            "cask-in-wrong-folder", f"folder {shown(parts[-2])[1:-1]}: expected {name[:-3]}", f"run `git mv` to casks/{name[:-3]}/{name}.yaml", "cask"
        )


def house_number(view: View) -> Iterable[Fault]:
    """id-not-of-house: a number of another form than the house's `id_pattern`.

    Why: a house that narrows its numbers catches a misread one at once.
    Wrong:
        # house.yaml
        id_pattern: "TH-[0-9]{6}"
        # TX-004217
        {cask: TX-004217, format: 1, type: barrel, events: []}
    Right:
        # house.yaml
        id_pattern: "TH-[0-9]{6}"
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, events: []}
    """
    begun = min((event.date for event in view.cask.events if not isinstance(event.date, UnknownDay)), default=view.context.today)
    pattern = view.context.house.on(begun).id_pattern  # A number is given once, by the pattern of that day.
    if pattern is None or view.is_spoiled(HEAD, "cask"):
        return
    compiled = house_pattern(pattern)
    if compiled is not None and not compiled.fullmatch(view.cask.id):
        yield head_fault(
            "id-not-of-house",
            f"`cask` is {shown(view.cask.id)}: the house's numbers are {shown(pattern)[1:-1]}",
            "correct the number, or widen id_pattern in house.yaml",
            "cask",
        )


def key_order(view: View) -> Iterable[Fault]:
    """events-not-last: a key of the head stands below `events`.

    Why: `events` is the last key, so that a new event is lines added at the end and nothing else.
    Wrong:
        # TH-004217
        {cask: TH-004217, format: 1, events: [], type: barrel}
    Right:
        # TH-004217
        {cask: TH-004217, format: 1, type: barrel, events: []}
    """
    data = None if view.record.entrywise else view.record.content
    last = next(reversed(data), None) if data else None
    if data is not None and "events" in data and last != "events":
        text = f"`{shown(last)[1:-1]}` stands below `events`: expected `events` last"
        yield head_fault("events-not-last", text, "move it above `events`", str(last), on_key=True)


def event_ids(view: View) -> Iterable[Fault]:
    """duplicate-event-id: two events of a file have one id.

    Why: events are matched by id alone; with two of a kind no merge or correction can tell which is meant.
    Wrong:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000001, date: 2020-01-02, job: note, by: ab, note: dark inside}
    Right:
        - {id: e1000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
        - {id: e1000002, date: 2020-01-02, job: note, by: ab, note: dark inside}
    """
    ids = [event.id for event in view.cask.events]
    if _IDS.fullmatch(" ".join(ids)) and len(set(ids)) == len(ids):
        return
    if len(set(ids)) < len(ids):
        seen: set[str] = set()
        for event, row in view.events:
            if event.id in seen and not view.is_spoiled(row, "id"):
                yield fault(
                    row,
                    "duplicate-event-id",
                    f"`id` is {shown(event.id)}: another event above has it",
                    "take the id out and run `caskbook stamp` on the file",
                    "id",
                    of=event,
                )
            seen.add(event.id)
    for event, row in view.events:
        if not is_id(event.id) and not view.is_spoiled(row, "id"):
            yield fault(
                row,
                "bad-event-id",
                f"`id` is {shown(event.id)}: expected a letter, then 7 or more signs",
                "take the id out and run `caskbook stamp` on the file",
                "id",
                of=event,
            )


RULES = (
    Rule(file_name, {"id-not-file-name": "error"}),
    Rule(folder, {"cask-in-wrong-folder": "error"}),
    Rule(house_number, {"id-not-of-house": "error"}),
    Rule(key_order, {"events-not-last": "warning"}),
    Rule(event_ids, {"duplicate-event-id": "error", "bad-event-id": "error"}),
)
