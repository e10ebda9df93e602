"""The check of one cask, or of a whole ledger: rules run, faults placed, what is a consequence of another fault left out."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, field, replace
from datetime import date

from caskbook.checks.beside import beside
from caskbook.checks.book_numbers import BookNumbers
from caskbook.checks.consequences import first_of_each
from caskbook.checks.context import Context, View
from caskbook.checks.copied import Signs, copied, sign_of
from caskbook.checks.donors import TAKING, Take, overdrawn, takes
from caskbook.checks.fillers import unlike_vat_of
from caskbook.checks.house_rules import house_faults
from caskbook.checks.judged import life_of, view_of
from caskbook.checks.newlines import without_converted
from caskbook.checks.registry import rules_on, severities
from caskbook.checks.takers import overdrawn_by
from caskbook.checks.twins import joined_twice, joins
from caskbook.checks.vats import Pour, pours, unlike_vat
from caskbook.core.finding import Fault, Finding, in_file_order
from caskbook.core.typed_word import typed_word
from caskbook.ledger.files import HOUSE_FILE, Ledger
from caskbook.ledger.liquors_held import may_have_held
from caskbook.life import Life
from caskbook.model.cask import Cask
from caskbook.model.cask_file import Record
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml


@dataclass(frozen=True, slots=True)
class Report:
    """Findings in file order, and how many casks were looked at."""

    findings: tuple[Finding, ...]
    casks: int


@dataclass(slots=True)
class Part:
    """What the check of one file gives: its findings, before the house's severities; parts it took from donors; rows that
    join other numbers to this one, as (other number, its own, row, entry's id); what came into it out of vats; its path or its
    number, and the sign by which a copy of it is found (`copied.py`)."""

    findings: list[Finding]
    takes: list[Take] = field(default_factory=list)
    joins: list[tuple[str, str, int, str]] = field(default_factory=list)
    pours: list[Pour] = field(default_factory=list)
    file: str = ""
    sign: int = 0


def context_of(ledger: Ledger, today: date, names: Iterable[str] | BookNumbers | None = None) -> Context:
    """The context of a ledger: its house, and its casks by number. `names`: its files, where they are at hand already."""
    kept = getattr(ledger.file_store, "kept", None) or ()
    if isinstance(names, BookNumbers):
        known = names if not kept else BookNumbers.of([*names.names, *kept])
    else:
        known = BookNumbers.of([*(ledger.names() if names is None else names), *kept])

    def find(number: str) -> Cask | None:
        record = ledger.find(number)
        return record.cask.likely() if record is not None and record.cask is not None else None

    return Context(ledger.house, today, find, known.__contains__, ledger.claimants, ledger.untold, lambda word: may_have_held(ledger, word))


def check_cask(record: Record, life: Life | None, context: Context) -> list[Finding]:
    """Every finding of one file, each once, in file order.

    `life` is that of its cask on `context.today`; None where the cask could not be read, and then only the findings of the
    file itself are given.
    """
    return in_file_order(_regarded(part_of(record, life, context).findings, context))


def check_one(ledger: Ledger, record: Record, context: Context) -> list[Finding]:
    """Every finding of one file of a ledger, as a check of this file alone gives them."""
    return list(report_of(ledger, context, [check_part(ledger, record, context)], whole=False).findings)


def check_record(ledger: Ledger, record: Record, context: Context) -> list[Finding]:
    """The same, the life worked out from the ledger."""
    return check_cask(record, life_of(ledger, record, context), context)


def before_the_house(ledger: Ledger, record: Record, context: Context) -> list[Finding]:
    """The same, each as grave as its rule has it: the house's `severities` are left aside."""
    return in_file_order(check_part(ledger, record, context).findings)


def check_ledger(ledger: Ledger, today: date, names: Iterable[str] | None = None) -> Report:
    """Check a ledger, or those of its files that are named (relative paths).

    With no names also house.yaml, what else lies among the casks, and what is only seen over all files are told.
    """
    context = context_of(ledger, today)
    parts = (check_part(ledger, record, context) for record in ledger.records(names))
    return report_of(ledger, context, parts, whole=names is None)


def check_part(ledger: Ledger, record: Record, context: Context) -> Part:
    """One file of a ledger."""
    return part_of(record, life_of(ledger, record, context), context)


def report_of(ledger: Ledger, context: Context, parts: Iterable[Part], *, whole: bool, came: Collection[str] = ()) -> Report:
    """The report on files that were checked one by one; on the `whole` ledger also what is only seen over all of them. `came`: the
    numbers of the files that came into the book."""
    findings: list[Finding] = []
    taken: list[Take] = []
    poured: list[Pour] = []
    joined: dict[str, list[tuple[str, int, str]]] = {}
    signs = Signs()
    casks = 0
    for part in parts:
        casks += 1
        signs.add(part.sign, part.file)
        findings += part.findings
        taken += part.takes
        poured += part.pours
        for other, number, row, ident in part.joins:
            joined.setdefault(other, []).append((number, row, ident))
    if taken and not whole:
        findings += _of_casks(ledger, overdrawn_by(taken, ledger, context))
    if poured and not whole:
        findings += _of_casks(ledger, unlike_vat_of(poured, ledger, context))
    if joined and not whole:
        findings += _of_casks(ledger, joined_twice(joined, ledger.claimants()))
    findings += _of_casks(ledger, copied(ledger, signs.alike(), came))
    if whole:
        findings += _of_ledger(ledger, context, [*overdrawn(taken, context), *unlike_vat(poured, context), *joined_twice(joined)])
    return Report(tuple(in_file_order(_regarded(without_converted(ledger.file_store, findings), context))), casks)


def exit_code(findings: Iterable[Finding], strict: bool = False) -> int:
    """1 on an error, or on a warning when strict; notes never; else 0."""
    bad = ("error", "warning") if strict else ("error",)
    return int(any(finding.severity in bad for finding in findings))


def part_of(record: Record, life: Life | None, context: Context) -> Part:
    """One file whose life has been worked out."""
    sign = sign_of(record)
    if life is None:
        return Part(list(record.findings), file=record.name, sign=sign)
    view = view_of(record, life, context)
    faults = _life_faults(view)
    for rule in rules_on(view.things):
        faults += rule(view)
    taken = list(takes(view)) if TAKING & view.jobs else []
    joined = [(other, view.cask.id, row, ident) for other, row, ident in joins(view)] if "same-as" in view.jobs else []
    poured = list(pours(view)) if "fill" in view.jobs else []
    found = record.placed(_ready_to_paste(fault, view.cask.id) for fault in _once(faults))
    return Part([*record.findings, *found], taken, joined, poured, record.name, sign)


def _ready_to_paste(fault: Fault, number: str) -> Fault:
    """Its help with the command that does what it says, where that is a voiding."""
    advice = fault.help.replace("show CASK", f"show {number}")
    if "void this" in advice and fault.related:
        advice += f': caskbook void {number} {typed_word(fault.related[0])} --why "…"'
    return fault if advice == fault.help else replace(fault, help=advice)


def _life_faults(view: View) -> list[Fault]:
    """What the fold found, without what is a consequence of a fault told elsewhere."""
    if not view.life.faults:
        return []
    found = []
    named = {row for event, row in view.events if (closes := getattr(event, "closes", None)) and closes not in {e.id for e, _ in view.events}}
    for fault in first_of_each(view.life):
        row = fault.where[1] if len(fault.where) > 1 else None
        if not isinstance(row, int) or view.is_spoiled(row, "job", "date", str(fault.where[2])):
            continue
        if fault.code == "leak-not-open" and row in named:
            continue
        if fault.code == "arrival-not-first" and view.early:
            continue
        found.append(fault)
    return found


def _once(faults: list[Fault]) -> Iterable[Fault]:
    return {(fault.code, fault.where): fault for fault in reversed(faults)}.values()


def _of_ledger(ledger: Ledger, context: Context, faults_by_cask: Iterable[tuple[str, Fault]]) -> list[Finding]:
    findings = list(ledger.house_file.findings)
    findings += beside(ledger.file_store)
    findings += house_findings(ledger.file_store.shown + HOUSE_FILE, lambda: ledger.file_store.read(HOUSE_FILE) or b"", context)
    return findings + _of_casks(ledger, faults_by_cask)


def house_findings(path: str, read: Callable[[], bytes], context: Context) -> list[Finding]:
    """What the rules find in house.yaml, whose form is right; `read` gives its text, of which the places are told."""
    faults = list(house_faults(context, severities() if context.settings.severities else {}))
    if not faults:
        return []
    reading = read_yaml(Source.from_bytes(path, read()))
    return [fault.placed(path, reading.span(fault.where, key=fault.on_key), None) for fault in faults]


def _of_casks(ledger: Ledger, faults_by_cask: Iterable[tuple[str, Fault]]) -> list[Finding]:
    findings: list[Finding] = []
    for number, fault in faults_by_cask:
        record = ledger.find(number)
        findings += record.placed([_ready_to_paste(fault, number)]) if record is not None else []
    return findings


def _regarded(findings: Iterable[Finding], context: Context) -> list[Finding]:
    """Warnings with the severity the house gives them: on the entry's day where they are about one, else today."""
    if not context.house.raw.get("severities"):
        return list(findings)
    return [_as_the_house_has_it(one, context) if one.severity == "warning" else one for one in findings]


def _as_the_house_has_it(finding: Finding, context: Context) -> Finding:
    own = context.house.on(finding.day or context.today).severities.get(finding.code)
    return finding if own is None else replace(finding, severity=own)
