"""What an import of a register would do or did: each refusal with its row, what is refused most, and counts that add up."""

from __future__ import annotations

import csv
import io
import json
import textwrap
from collections import Counter
from collections.abc import Iterator, Sequence

from caskbook.exchange.plan import RegisterPlan
from caskbook.exchange.reading import RowFault
from caskbook.exchange.states import GONE, STILL_OURS
from caskbook.render.console import USUAL_WIDTH, safe
from caskbook.render.plain_json import safe_json
from caskbook.words.plural import number_of

_FIELDS = ("row", "cask", "column", "found", "code", "reason", "help")
_SHOWN = 40
_INDENT = "      "
_BERTHS = 8
_KINDS = 10


def faults_text(faults: Sequence[RowFault], width: int | None) -> str:
    """Every refusal: row and column, what stands there, why; what to do below it, unless the one before said the same."""
    lines: list[str] = []
    told = ""
    for fault in faults:
        where = f"{fault.column}: " if fault.column else ""
        found = _quoted(fault.found) if fault.found and _quoted(fault.found) not in fault.reason else ""
        body = f"row {fault.row}  {fault.cask + '  ' if fault.cask and fault.cask != fault.found else ''}{where}{found}{' ' if found else ''}{fault.reason}"
        lines += _folded(safe(body), width)
        if fault.remedy and fault.remedy != told:
            lines += _folded(_INDENT + safe(fault.remedy), width)
        told = fault.remedy
    return "\n".join(lines)


def _quoted(text: str) -> str:
    return f"'{text[: _SHOWN - 1]}…'" if len(text) > _SHOWN else f"'{text}'"


def _folded(line: str, width: int | None) -> list[str]:
    if width is None or len(line) <= width:
        return [line]
    return textwrap.wrap(line, width, subsequent_indent=_INDENT, break_on_hyphens=False, break_long_words=False)


def faults_csv(faults: Sequence[RowFault]) -> str:
    """The refusals as a table for a spreadsheet; a cell that would be taken for a formula there begins with an apostrophe."""
    sink = io.StringIO(newline="")
    writer = csv.writer(sink, lineterminator="\n")
    writer.writerow(_FIELDS)
    for fault in faults:
        writer.writerow([f"'{cell}" if isinstance(cell, str) and cell[:1] in ("=", "+", "-", "@") else cell for cell in _as_row(fault)])
    return sink.getvalue()


def _as_row(fault: RowFault) -> tuple[int, str, str, str, str, str, str]:
    return (fault.row, fault.cask, fault.column, fault.found, fault.code, fault.reason, fault.remedy)


def plan_json(plan: RegisterPlan, *, written: bool) -> str:
    """The whole answer: counts, refusals, and what was kept in words."""
    data = {
        "register": plan.name, "rows": plan.rows, "written": len(plan.files) if written else 0, "to_write": 0 if written else len(plan.files),
        "already_there": plan.there, "refused": plan.refused, "kept_as_words": dict(sorted(plan.words.items())),
        "left": dict(sorted(plan.left.items())), "vats_left": plan.vats_left,
        "faults": [dict(zip(_FIELDS, _as_row(fault), strict=True)) for fault in plan.faults],
    }  # fmt: skip
    return safe_json(json.dumps(data, ensure_ascii=False, indent=1))


def counts_text(plan: RegisterPlan, *, written: bool, width: int | None) -> str:
    """The counts, which add up; before them what is refused most, and what was kept in words."""
    lines = [*_most_refused(plan.faults), *_in_words(plan), *_of_those_left(plan), *_doubtful(plan)]
    done = f"{len(plan.files):,} {'written' if written else 'to write'}"
    total = f"{number_of(plan.rows, 'row')} = {done} + {plan.there:,} in the book already + {plan.refused:,} refused"
    return "\n".join(part for line in [*lines, total] for part in _folded(safe(line), width or USUAL_WIDTH))


def _most_refused(faults: Sequence[RowFault]) -> Iterator[str]:
    """One line for each kind of refusal of a column, most first: what a word in the map may settle for all of them."""
    kinds = Counter((fault.column, fault.code) for fault in faults)
    if len(faults) < 2 or len(kinds) == len(faults):
        return
    yield "refused by column:"
    for (column, code), count in sorted(kinds.items(), key=lambda one: (-one[1], one[0]))[:_KINDS]:
        yield f"  {count:>6,}  {column or 'the row'}: {code}"
    if len(kinds) > _KINDS:
        yield f"  {sum(kinds.values()) - sum(count for _, count in kinds.most_common(_KINDS)):>6,}  of {len(kinds) - _KINDS} kinds more"


def _in_words(plan: RegisterPlan) -> Iterator[str]:
    if plan.words:
        told = ", ".join(f"{key} {count:,}" for key, count in sorted(plan.words.items()))
        yield f"kept as a note in words, for want of what an entry needs: {told}"


def _of_those_left(plan: RegisterPlan) -> Iterator[str]:
    """How many casks left, by the way they did; those that are still the house's told apart."""
    for ways, text in ((GONE, "not in stock any more, with their story"), (STILL_OURS, "still of this house")):
        told = ", ".join(f"{plan.left[way]:,} {way.replace('-', ' ')}" for way in ways if plan.left[way])
        if told:
            yield f"{text}: {told}"


def _doubtful(plan: RegisterPlan) -> Iterator[str]:
    """What is no fault of a row, and yet to be looked at."""
    for berth, rows in list(plan.berths.items())[:_BERTHS]:
        yield f"berth {berth}: a place for one cask, and rows {', '.join(map(str, rows))} lie there"
    if len(plan.berths) > _BERTHS:
        yield f"… and {len(plan.berths) - _BERTHS:,} berths more with several casks"
    yield from plan.vats_left[:_BERTHS]
    if len(plan.vats_left) > _BERTHS:
        yield f"… and {len(plan.vats_left) - _BERTHS:,} vats more with something left"
    if plan.fallen:
        more = f" and {len(plan.fallen) - 1:,} more" if len(plan.fallen) > 1 else ""
        yield f"in the book, but their receipts were put out of force and stay so: {plan.fallen[0]}{more}"
