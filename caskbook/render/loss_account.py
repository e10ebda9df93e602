"""The account of losses as text, JSON or CSV."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from datetime import date
from decimal import Decimal
from itertools import chain
from operator import attrgetter
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.loss.account_rows import FillRow, GroupRow
from caskbook.loss.intervals import in_percent
from caskbook.loss.ranking import Account
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import table_lines
from caskbook.render.plain_json import data_json, safe_json
from caskbook.words.plural import number_of

_WORDS = frozenset(("name", "cask", "type", "parcel", "store", "band", "fill", "verdict", "doubts", "supplier", "doubt", "reason"))
_PLACES = 6
_MOST_DOUBTFUL = 20
_MOST_LINES = 9
_ALWAYS = 4
_AT_ONCE = 1 << 16
_FOOT = (
    "lost L: litres of pure alcohol at 20 °C, draws, tops and racking allowed for; leaks L: of these, what went by leaks of fills at act, beyond what their peers lose; there L: what was there at the beginning and came in since, of which "
    "the share is; a year: without what the wood took at first, of several fills the middle (query loss-by-store: their mean, with it); times: of what peers lose",
)
_BETWEEN = "between two gauges it is shared out by time"
_OF_FILL, _OF_GROUP = FillRow._fields, [field.name for field in fields(GroupRow)]
_GROUP_VALUES = attrgetter(*_OF_GROUP)
_LISTS = ("doubts",)
_FORMULA = frozenset(("=", "+", "-", "@", "\t"))
_ON_A_LINE = json.JSONEncoder(ensure_ascii=False).encode
_ON_LINES = json.JSONEncoder(ensure_ascii=False, separators=(",\n      ", ": ")).encode
_SUMS = ("litres", "lpa", "put_in", "held", "to_air", "leaked")


def account_text(account: Account, *, width: int | None) -> str:
    """A header with the sums, a line a fill or a group, then all of them, what is left off, and the fills in doubt with their
    reasons. Without a width, as in a pipe, lines have 80 columns too; nothing is cut but on a narrower screen."""
    wide = width or USUAL_WIDTH
    if not account.whole.fills:
        none = "no fills" if account.only or _of_a_time(account) else "no fills: none of the book's casks was ever filled by that day"
        return "\n".join([*flow(_header(account)[: 2 + len(account.only)], wide, most_lines=_MOST_LINES), "", none])
    table = _fill_table(account) if account.by == "fill" else _group_table(account)
    lines = [*flow(_header(account), wide, most_lines=_MOST_LINES), "", *table_lines(*table, wide)]
    if account.left_off:
        lines.append(f"… {account.left_off} more, summed as {account.others.name if account.others else ''}: add --top {account.left_off + len(account.rows)}")
    lines += _doubtful(account, wide)
    foot = [_BETWEEN, *_FOOT] if _of_a_time(account) else _FOOT
    return "\n".join([*lines, "", *flow(["; ".join(foot)], wide, most_lines=_MOST_LINES)])


def _header(account: Account) -> list[str]:
    whole = account.whole
    span = f"{account.since or 'the beginning'} to {account.until or account.day}"
    told = f"from {span}, as the book has it on {account.day}" if account.since or account.until else f"on {account.day}"
    act = [f"{whole.act} act, {whole.watch} watch"] if whole.act or whole.watch else []
    gauged = f"{whole.gauged} of {number_of(whole.fills, 'fill')} gauged"
    ended = [f"{whole.complete} of {number_of(whole.fills, 'fill')} gauged to the end: what went after a last gauge is not known, and in no sum"]
    doubt = [f"{number_of(whole.doubtful, 'doubtful fill')} in no sum"] if whole.doubtful else []
    lost = f"{whole.lpa} L of alcohol lost" + (f": {whole.to_air} to the air, {whole.leaked} by leaks" if whole.leaked else "")
    lost = "what they lost is not known" if whole.fills and not whole.gauged else lost
    return [f"loss by {account.by} {told}", *account.only, number_of(whole.casks, "cask"), gauged, lost, *act, *doubt, *ended]


def _group_table(account: Account) -> tuple[Sequence[str], Sequence[Sequence[str]]]:
    rows = [*account.rows, *([account.others] if account.others else []), account.whole]
    ended = _of_a_time(account)
    columns = (account.by, ">to its end" if ended else ">gauged", ">there L", ">lost L", ">leaks L", ">share", ">a year", ">times", ">act", ">doubt")
    cells = [_group_cells(row, ended=ended) for row in rows if isinstance(row, GroupRow)]
    kept = [n for n in range(len(columns)) if n < _ALWAYS or any(row[n] for row in cells)]
    return [columns[n] for n in kept], [[row[n] for n in kept] for row in cells]


def _of_a_time(account: Account) -> bool:
    """Whether only a part of the time counts, so that it matters who was gauged to its end."""
    return account.by == "year" or account.since is not None or account.until is not None


def _group_cells(row: GroupRow, *, ended: bool) -> list[str]:
    """The cells of a group; `ended`: of how many fills all is known to the end, in the place of how many were gauged at all."""
    share = f"{in_percent(row.lpa, row.held)} %" if row.held > 0 else ""
    return [
        row.name, f"{row.complete if ended else row.gauged}/{row.fills}", *(("?", "?") if row.fills and not row.gauged else (str(row.held.quantize(1)), str(row.lpa))), str(row.leaked or ""), share, _percent(row.middle), _times(row.times),
        str(row.act or ""), str(row.doubtful or ""),
    ]  # fmt: skip


def _fill_table(account: Account) -> tuple[Sequence[str], Sequence[Sequence[str]]]:
    """A line for every fill that has a figure."""
    shown = [row for row in account.rows if isinstance(row, FillRow) and row.lpa is not None]
    times = Counter(row.which for row in shown)
    rows = [_fill_cells(row, shared=times[row.which] > 1) for row in shown]
    rows += [_sum_cells(row) for row in (account.others, account.whole) if row is not None]
    return ("cask", "filled", "fill", ">years", ">lost L", ">share", ">a year %", ">usual", ">times", "remarks"), rows


def _fill_cells(row: FillRow, *, shared: bool) -> list[str]:
    """The cells of one fill; with its store where it is shared out over several."""
    verdict = row.verdict if row.verdict != "usual" else ""
    expected = "" if row.expected is None else f"{row.expected * 100:.2f}"
    return [
        row.cask, str(row.filled), row.band.removesuffix(" fill").replace("3rd fill or later", "3rd+"), f"{row.years or 0:.1f}",
        str(row.lpa), f"{in_percent(row.lpa, row.held)} %" if row.lpa is not None and row.held else "", _with_error(row), expected, _times(row.times),
        ", ".join([*([row.store or "no store"] if shared else []), *([verdict] if verdict else []), *row.doubts]),
    ]  # fmt: skip


def _sum_cells(row: GroupRow) -> list[str]:
    share = f"{in_percent(row.lpa, row.held)} %" if row.held > 0 else ""
    return [row.name, "", "", "", "?" if row.fills and not row.gauged else str(row.lpa), share, "", "", "", ""]


def _with_error(row: FillRow) -> str:
    return "" if row.after_in_drink is None or row.after_plus_minus is None else f"{row.after_in_drink * 100:.2f} ±{row.after_plus_minus * 100:.2f}"


def _percent(share: float | None) -> str:
    return "" if share is None else f"{share * 100:.2f} %"


def _times(times: float | None) -> str:
    return "" if times is None else f"{times:.1f}"


def _doubtful(account: Account, width: int) -> list[str]:
    """How many fills are in no sum, and why: those without a second gauge counted, those in doubt each with its reason."""
    whole, found = account.whole, account.doubtful
    without = whole.fills - whole.gauged - whole.doubtful
    span = account.since is not None or account.until is not None
    why = "not gauged again, then or later: nothing can be told of them for that time" if span else "without a second gauge: nothing can be told of them"
    lines = ["", *flow([f"{number_of(without, 'fill')} {why}"], width)] if without else []
    if not found:
        return lines
    kinds = Counter(row.doubt for row in found)
    lines += [
        "",
        *flow([f"{number_of(len(found), 'doubtful fill')} in no sum: " + ", ".join(f"{kind} ({count})" for kind, count in kinds.most_common())], width),
    ]
    for row in found[:_MOST_DOUBTFUL]:
        text = f"{row.cask}  filled {row.filled}  {row.doubt}" + (f": {row.reason}" if row.reason else "")
        first, *more = flow([text], width - 6, most_lines=_MOST_LINES)
        lines += [f"  {first}", *(f"      {line}" for line in more)]
    hidden = len(found) - _MOST_DOUBTFUL
    return [*lines, *([f"  … {hidden} more: --format json has all"] if hidden > 0 else [])]


def account_json(account: Account, form: str = "json") -> str:
    """The account as `account_data` has it, in one piece."""
    return "".join(account_data(account, form)).removesuffix("\n" if form == "json" else "")


def account_csv(account: Account) -> str:
    """The same as CSV."""
    return "".join(account_data(account, "csv"))


def account_data(account: Account, form: str, revision: Mapping[str, str] | None = None) -> Iterator[str]:
    """The account as data, piece by piece, for of all casks or fills of a large book it is too much to be held. JSON is an object: as_of, by, from, to, rows (a fill each, or
    a group each), others (those left off by --top, else null), total, the doubtful fills, and the `revision` where one is named; jsonl its rows one a line, the others last. Litres to the
    hundredth; shares and rates as fractions. CSV is RFC 4180 rows under the names of the JSON keys; what --top leaves off is the last one."""
    if form == "csv":
        yield from _csv(account)
        return
    if form == "jsonl":
        for row in chain[FillRow | GroupRow](account.rows, [account.others] if account.others else ()):
            yield safe_json(_ON_A_LINE(_data(row))) + "\n"
        return
    head = {"as_of": account.day.isoformat(), "by": account.by, "from": _plain(account.since), "to": _plain(account.until)}
    tail = {
        "others": _data(account.others) if account.others else None, "total": _data(account.whole),
        "doubtful": [{name: _plain(getattr(row, name)) for name in ("cask", "fill", "filled", "store", "doubt", "reason")} for row in account.doubtful],
        **({"revision": revision} if revision else {}),
    }  # fmt: skip
    yield data_json(head).removesuffix("\n}") + ',\n  "rows": ['
    between = ""
    for row in account.rows:
        yield between + "\n    " + _indented(_data(row))
        between = ","
    yield ("\n  ]" if between else "]") + "," + data_json(tail).removeprefix("{") + "\n"


def _csv(account: Account) -> Iterator[str]:
    """The lines of the table, some at once."""
    kind = FillRow if account.by == "fill" else GroupRow
    names = _OF_FILL if kind is FillRow else _OF_GROUP
    types = [str(kind.__annotations__[name]) for name in names]
    floats = [n for n, of in enumerate(types) if "float" in of]
    others = [n for n, (name, of) in enumerate(zip(names, types, strict=True)) if name in _WORDS or "bool" in of]
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(names)
    for row in account.rows:
        cells = list(_known(row).values())
        for n in floats:  # What is left as it is, the writer writes as `_cell` would.
            if type(value := cells[n]) is float:
                cells[n] = f"{value:.{_PLACES}f}"
        for n in others:
            if (value := cells[n]) is not None and (type(value) is not str or value[:1] in _FORMULA):
                cells[n] = _cell(names[n], value)
        writer.writerow(cells)
        if out.tell() > _AT_ONCE:
            yield out.getvalue()
            out.seek(0)
            out.truncate()
    if account.others is not None:
        first = "cask" if account.by == "fill" else "name"
        writer.writerow([account.others.name if name == first else _cell(name, _known(account.others).get(name)) for name in names])
    yield out.getvalue()


def _data(row: FillRow | GroupRow) -> dict[str, Any]:
    return {name: value if (plain := _PLAIN.get(type(value))) is None else plain(value) for name, value in _known(row).items()}


def _indented(data: dict[str, Any]) -> str:
    """A row as it stands within the account. Whatever has lines of its own is left to the slower way."""
    if any(map(data.get, _LISTS)):
        return data_json(data).replace("\n", "\n    ")
    return safe_json("{\n      " + _ON_LINES(data)[1:-1] + "\n    }")


def _known(row: FillRow | GroupRow) -> dict[str, Any]:
    """The values of a row by name; of fills that were never gauged again no sum is known, and none is 0."""
    if isinstance(row, FillRow):
        return dict(zip(_OF_FILL, row, strict=True))
    values = dict(zip(_OF_GROUP, _GROUP_VALUES(row), strict=True))
    return values if row.gauged or not row.fills else values | dict.fromkeys(_SUMS)


def _plain(value: Any) -> Any:
    return _PLAIN.get(type(value), _as_it_is)(value)


def _as_it_is(value: Any) -> Any:
    return value


_PLAIN: Mapping[type, Callable[[Any], Any]] = {
    float: lambda value: round(value, _PLACES),
    Decimal: float,
    date: date.isoformat,
    UnknownDay: UnknownDay.isoformat,
    tuple: list,
}


def _cell(name: str, value: Any) -> str:
    """A value as a cell that no spreadsheet takes for a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.{_PLACES}f}"
    text = "; ".join(value) if isinstance(value, tuple) else str(value)
    return text if name not in _WORDS or text[:1] not in _FORMULA else "'" + text
