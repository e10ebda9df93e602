"""`list` of several ledgers: the casks of all, each with its ledger."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, conditions, own_condition, quoted
from caskbook.cli.commands.list import STATES, USUAL, filled_columns, names_of, order_of
from caskbook.cli.common import one_of
from caskbook.cli.forms import check_form
from caskbook.cli.index_answer import index_and_answer, read_answer
from caskbook.cli.judged_at import put_out
from caskbook.cli.nearest_filter import near_in
from caskbook.cli.remarks import left_out, say_left_out, say_no_casks, say_nothing_fits
from caskbook.cli.several.casks import casks_in
from caskbook.cli.several.sites import Site, in_ledgers, sites_of, speaking_of
from caskbook.index.index import Index
from caskbook.model.query_columns import CASK, LEDGER, read_value
from caskbook.words.plural import number_of

if TYPE_CHECKING:
    from caskbook.index.together import Together


def run(
    records: Sequence[str], as_of: str | None, at: str | None, form: str, filters: Mapping[str, Any], where: str | None, columns: str | None, sort: str | None
) -> int:
    """Print the casks of all ledgers that pass the filters, in one order, `ledger` before what `columns` names unless that is among it. Always 0."""
    check_form(form)
    sites = sites_of(records, as_of, at)
    for word in filters.get("state") or []:
        one_of("--state", word, STATES)
    known = {column.name: column for column in (LEDGER, *CASK)}
    named = names_of(columns, known) if columns else list(known if form in ("json", "jsonl") else USUAL)
    named = named if LEDGER.name in named else [LEDGER.name, *named]
    parts = filter_parts(sites, filters, as_of) + own_condition(where)
    shown = ", ".join(f'"{name}"' for name in named)
    asked = f"SELECT {shown}, {LEDGER.name} FROM cask" + (f" WHERE {' AND '.join(parts)}" if parts else "")
    with put_together(sites, as_of, f"{asked} ORDER BY {order_of(sort, known)}, {LEDGER.name}") as rows_of_all, rows_of_all.select() as found:
        told = list(found.rows)
    of = Counter(row[-1] for row in told)
    rows = [[read_value(known.get(name), value) for name, value in zip(named, row, strict=False)] for row in told]
    gone = say_gone([site for site in sites if not rows_of_all.casks[site.name]])
    if not rows and not gone:
        say_none_fits(sites, as_of, filters)
    _print(form, named, rows, [(site.name, of[site.name], rows_of_all.casks[site.name]) for site in sites], named=bool(columns))
    return 0


def filter_parts(sites: Sequence[Site], filters: Mapping[str, Any], as_of: str | None) -> list[str]:
    """The filters as conditions of SQL; casks that were named are looked up in each ledger."""
    parts = conditions(chosen({name: words for name, words in filters.items() if name != "cask"}, None, None, None))
    if not filters.get("cask"):
        return parts
    casks = casks_in(sites, filters["cask"], as_of)
    of_each = [f"({LEDGER.name} = {quoted(name)} AND {conditions({'cask': there})[0]})" for name, there in casks.items() if there]
    return [*parts, f"({' OR '.join(of_each)})"]


@contextmanager
def put_together(sites: Sequence[Site], as_of: str | None, sql: str) -> Iterator[Together]:
    """The rows of all ledgers for one SQL; what each leaves out is said in its name."""
    with Index.together(sql) as rows:
        for site in sites:
            with speaking_of(site):
                index, answer = index_and_answer(site.records, as_of, None)
                with index:
                    index.put_into(rows, site.name)
                    left_out(answer)
                say_left_out(index.root, None, answer.overlooked, answer.linked, answer.strays)
        yield rows


def say_none_fits(sites: Sequence[Site], as_of: str | None, filters: Mapping[str, Any]) -> None:
    """Say that no cask of any ledger passes the filters, with what they likely mean in any."""
    given = chosen({name: words for name, words in filters.items() if name != "cask"}, None, None, None)
    near = list[tuple[str, str]]()
    for site in sites if given else ():
        with speaking_of(site):
            found = read_answer(site.records, as_of, None, lambda index, _: near_in(index, given), lambda _: (), told=True)
            near += [one for one in found if one not in near]
    if given:
        say_nothing_fits(given, near)


def say_gone(sites: Sequence[Site]) -> bool:
    """Say of which of these ledgers, which have no cask, the casks themselves are gone from their folder; whether of any."""
    gone = False
    for site in sites:
        with speaking_of(site):
            gone = say_no_casks(site.root, None) or gone
    return gone


def _print(form: str, names: Sequence[str], rows: list[list[Any]], counts: Sequence[tuple[str, int, int]], *, named: bool) -> None:
    """As `list` of one ledger prints, and at the foot of a text how many of how many casks each ledger has. `counts`: (ledger, shown, casks)."""
    from caskbook.render import table

    def text(width: int | None) -> str:
        shown = filled_columns(names, rows) if width is not None and not named else (names, rows)
        return (table.table_text(*shown, width) + "\n\n" if rows else "") + "\n".join(count_lines(counts))

    data = {"json": table.table_json, "jsonl": table.table_jsonl, "csv": table.table_csv}
    put_out(form, text, lambda form: data[form](names, rows))


def count_lines(counts: Sequence[tuple[str, int, int]]) -> list[str]:
    """How many of how many casks are shown, of all ledgers and of each."""
    some, whole = sum(one[1] for one in counts), sum(one[2] for one in counts)
    wide = max(len(name) for name, _, _ in counts)
    lines = [f"  {name:<{wide}}  {shown:>{len(str(some))}} of {number_of(casks, 'cask')}" for name, shown, casks in counts]
    return [f"{some} of {number_of(whole, 'cask')} {in_ledgers(len(counts))}", *lines]
