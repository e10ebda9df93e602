"""What a stretch of history brought: findings of the later book that the earlier one had not. Only the casks that changed are
judged, and those whose findings depend on them; all of them where house.yaml changed.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import PurePosixPath

from caskbook.checks.check import Report, check_part, context_of, report_of
from caskbook.checks.copied import begun_in, may_begin_so, words_for
from caskbook.checks.place_by_data import in_own_lines, place_by_data
from caskbook.checks.registry import severities
from caskbook.core.finding import SEVERITIES, CaskbookError, Finding, Severity
from caskbook.git import Git
from caskbook.ledger.files import HOUSE_FILE, Ledger, file_of, is_cask_id
from caskbook.ledger.revisions import Between, RevisionStore
from caskbook.model.cask_file import Record, name_of
from caskbook.model.jobs.base import CASK_ID
from caskbook.model.joins import JOINING
from caskbook.yaml.escapes import ESCAPE

Judge = Callable[[Ledger], Report]
_Key = tuple[str, str, str, str, str]
_NUMBER = re.compile(rb"(?<![0-9A-Za-z-])" + CASK_ID.strip("^$").encode() + rb"(?![0-9A-Za-z])")
_BESIDE = frozenset({"stray-file", "symbolic-link"})
_LINK = "120000"
_ITEM = re.compile(r"( *)- ")
_ID = re.compile(r"\bid: *[\"']?([0-9A-Za-z]+)")
_NOT_YET = "{}; `severities` calls it {} only from here on: bring that by itself first"
_FIELD = re.compile(r" *(?:- +)?([A-Za-z_]+):(?: |$)")


def brought(git: Git, before: Sequence[Ledger], after: Ledger, changes: Between, today: date, whole: Judge) -> Report:
    """The report on `after`, of its findings those that stand in none of the earlier books.

    `changes`: what differs from the first of them, which must lie in a revision; with none everything is new. `whole` judges all
    of a ledger on that day.
    """
    if not before:
        return whole(after)
    if changes.house_changed:
        old, new = [whole(ledger) for ledger in before], whole(after)
    else:
        names, joining = concerned(git, before[0], changes)
        if len(before) == 1:
            before[0].joining_known = after.joining_known = lambda: sorted(joining)
        new_numbers = {change.name for change in changes.casks if change.old is None}
        old, new = [judged(ledger, today, names) for ledger in before], judged(after, today, names, new_numbers)
    as_stood = _severities_before(before, after, today)
    known: Counter[_Key] = Counter()
    for ledger, report in zip(before, old, strict=True):
        known |= Counter(key for key, _ in _keyed(ledger, as_stood(report.findings)))
    came = _unknown(_keyed(after, as_stood(new.findings)), known)
    return Report(tuple(finding for finding in came if not _stood(git, before[0], after, finding)), new.casks)


def _severities_before(before: Sequence[Ledger], after: Ledger, today: date) -> Callable[[Iterable[Finding]], list[Finding]]:
    """Makes findings at least as grave as the earlier books had them: whoever brings a warning may not call it a note along with it."""
    houses = [ledger.house for ledger in (*before, after)]
    usual = severities() if any(house.raw.get("severities") for house in houses) else {}

    def stood(one: Finding) -> Severity | None:
        """The severity that the earlier books had, on the day of the entry; None where none of the books says one."""
        *had, has = [house.on(one.day or today).severities for house in houses]
        if usual.get(one.code) != "warning" or not any(one.code in own for own in (*had, has)):
            return None
        return min((own.get(one.code, "warning") for own in had), key=SEVERITIES.index)

    return lambda findings: [_as_grave(one, stood(one)) for one in findings]


def _as_grave(finding: Finding, stood: Severity | None) -> Finding:
    if stood is None or SEVERITIES.index(stood) >= SEVERITIES.index(finding.severity):
        return finding
    return replace(finding, severity=stood, help=_NOT_YET.format(finding.help, finding.severity))


def _stood(git: Git, before: Ledger, after: Ledger, finding: Finding) -> bool:
    """Whether what lies among the casks lay there already: a book in a revision has no findings about that."""
    if finding.code not in _BESIDE or not isinstance(before.file_store, RevisionStore):
        return False
    there = git.tree(before.file_store.commit, git.prefix + finding.path.removeprefix(after.file_store.shown))
    return bool(there) and (finding.code != "symbolic-link" or there[0].mode == _LINK)


def _unknown(found: Iterable[tuple[_Key, Finding]], known: Counter[_Key]) -> Iterable[Finding]:
    """Findings beyond those known; of several alike, as many as there are more than before, the last ones."""
    left, listed = known.copy(), list(found)
    for key, finding in listed:
        if left[key] > 0:
            left[key] -= 1
        else:
            yield finding


def concerned(git: Git, before: Ledger, changes: Between) -> tuple[set[str], set[str]]:
    """(the files whose findings a change may touch: those that changed, the casks they speak of, whoever speaks of either, and those whose copies they may be;
    these and all others that may join numbers, before or after, for that tells whose entries are judged together)."""
    names: set[str] = set()
    numbers: set[str] = set()
    for change in changes.casks:
        for record in (change.old, change.new):
            if record is not None:
                number = name_of(record.path)
                folder = PurePosixPath(record.path).parent.name
                names.add(f"casks/{folder}/{number}.yaml")
                numbers |= {number, *_numbers_in(record)}
    there = set(before.names())
    numbers = {number for number in numbers if is_cask_id(number) and (file_of(number) in there or file_of(number) in names)}
    names |= {file_of(number) for number in numbers}
    if not isinstance(before.file_store, RevisionStore) or not names:
        return names, set(before.names()) | names
    begun = begun_in(changes.casks)
    found = before.file_store.holding(*numbers, JOINING, *words_for(begun))
    texts = ((name, before.file_store.read(name) or b"") for name in found)
    spoken = {name for name, data in texts if _speaks_of(data, numbers) or may_begin_so(data, begun)}
    return names | spoken, names | set(found)


def _speaks_of(data: bytes, numbers: set[str]) -> bool:
    """Whether a file speaks of one of these casks; written with escapes, it may."""
    return ESCAPE in data or any(found.group().decode() in numbers for found in _NUMBER.finditer(data))


def _numbers_in(record: Record) -> set[str]:
    """The numbers of casks that a file speaks of, also those written with escapes."""
    texts = [record.data, *(text.encode("utf-8", "replace") for text in _texts(record.content))] if ESCAPE in record.data else [record.data]
    return {found.group().decode() for text in texts for found in _NUMBER.finditer(text)}


def _texts(value: object) -> Iterator[str]:
    """The texts among data, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for one in value.values() for text in _texts(one))
    elif isinstance(value, list):
        yield from (text for one in value for text in _texts(one))


def judged(ledger: Ledger, today: date, names: set[str], came: Collection[str] = ()) -> Report:
    """The report on some files, with what is only seen over several of them and what the house's settings say; `came`: the numbers that came in."""
    there = ledger.names()
    if isinstance(ledger.file_store, RevisionStore):
        ledger.file_store.keep(names)
    context = context_of(ledger, today, there)
    parts = (check_part(ledger, ledger.read_file(name), context) for name in there if name in names)
    return report_of(ledger, context, parts, whole=True, came=came)


def _keyed(ledger: Ledger, findings: Iterable[Finding]) -> Iterable[tuple[_Key, Finding]]:
    """Each finding with what it is known by when lines move: code, severity, file, and event and field or else the line's text."""
    texts: dict[str, list[str]] = {}
    for finding in findings:
        name = finding.path.removeprefix(ledger.file_store.shown)
        if name not in texts:
            texts[name] = _lines(ledger, name)
        place = place_at(ledger, name, texts[name], finding)
        yield (finding.code, finding.severity, name, *place), finding


def place_at(ledger: Ledger, name: str, lines: Sequence[str], finding: Finding) -> tuple[str, str]:
    """What a finding is known by: as `place_of` has it, by the file's data where its entries have no lines of their own."""
    if name != HOUSE_FILE and not in_own_lines(lines):
        found = place_by_data(ledger.file_store.read(name) or b"", finding) if lines else None
        if found is not None:
            return found
    return place_of(lines, finding.span.line, events=name != HOUSE_FILE)


def _lines(ledger: Ledger, name: str) -> list[str]:
    try:
        return (ledger.file_store.read(name) or b"").decode("utf-8", "replace").splitlines()
    except CaskbookError:
        return []


def _at(lines: Sequence[str], line: int) -> str:
    return lines[line - 1].strip() if 0 < line <= len(lines) else ""


def place_of(lines: Sequence[str], line: int, *, events: bool = True) -> tuple[str, str]:
    """(the id of the event, or its text where it has none, and the field) that a line of a cask file belongs to; outside of the
    events, or where the file has none, (the line's text, nothing)."""
    if not events:
        return _at(lines, line), ""
    start = next((n for n, text in enumerate(lines) if text.startswith("events:")), len(lines))
    first = next((found for text in lines[start + 1 :] if (found := _ITEM.match(text))), None)
    if first is None or line - 1 <= start:
        return _at(lines, line), ""
    opening = f"{first[1]}- "
    above = next((n for n in range(min(line, len(lines)) - 1, start, -1) if lines[n].startswith(opening)), None)
    if above is None:
        return _at(lines, line), ""
    end = next((n for n in range(above + 1, len(lines)) if lines[n].startswith(opening)), len(lines))
    text = "\n".join(one.rstrip() for one in lines[above:end])
    found, field = _ID.search(text), _FIELD.match(lines[line - 1] if line <= len(lines) else "")
    return found[1] if found else text.strip(), field[1] if field else ""
