"""`due`: what is due in the whole book, ranked."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from caskbook.cli.choosing import chosen, only, passing, sort_keys
from caskbook.cli.commands.due_wanted import PAGES, Wanted
from caskbook.cli.common import Book, index_answer, open_book, screen, write_text
from caskbook.cli.forms import check_form
from caskbook.cli.judged_at import Revision, judged_at, text_at
from caskbook.cli.remarks import say_in_part, say_left_out, say_no_casks, say_nothing_fits, say_unreadable
from caskbook.core.finding import CaskbookError
from caskbook.words.due_names import EVERY_EMPTYING
from caskbook.words.plural import number_of
from caskbook.words.verdicts import chosen_verdicts

if TYPE_CHECKING:
    from caskbook.cli.nearest_filter import Near
    from caskbook.due import Verdict
    from caskbook.index.answer import Answer
    from caskbook.index.index import Index
    from caskbook.index.listing import Counts
    from caskbook.render.verdict import Judged, Unread

_USUAL_TOP = 40


@dataclass(frozen=True)
class DueList:
    """What is to be printed: the verdicts shown, in order, and the `counts` of all that were chosen.
    `overlooked`: files that are gone while git is told to overlook them; None where git has to be asked; `linked`:
    links among the casks, `strays`: files of casks that strayed, None where they have to be looked for; `near`: what filters that no cask fits likely mean; `settings_unread`: whether settings
    of the house cannot be read, and stand at their defaults; `off`: the rules that it has switched off; `days`: the day in words, where several ledgers are told of;
    `ledgers`: how many these are."""

    root: Path
    day: date
    counts: Counts
    shown: Sequence[Judged]
    overlooked: list[str] | None = None
    linked: list[str] | None = None
    near: Near = ()
    settings_unread: Unread = False
    off: Sequence[str] = ()
    days: str = ""
    ledgers: int = 0
    strays: Sequence[str] | None = None


def run(records: str | None, as_of: str | None, at: str | None, form: str, asked: Mapping[str, Any], *, fail_if_any: bool) -> int:
    """Print the list; 1 where something is due, or no cask passes the filters, and --fail-if-any was given.

    `asked`: `what` (rules and casks, as typed), `filters` (as `choosing.chosen` takes them), `top`, `sort`, `by_cask`, `soon`, `unknown`, `every`,
    `explain`, and the `settings` to try.
    """
    if form in PAGES:
        from caskbook.cli.commands.due_pages import refuse_page

        refuse_page(form, asked)
    refuse_unclear(asked, form, fail_if_any=fail_if_any)
    rules, casks = rules_and_casks(asked["what"]) if asked["what"] else ([], [])
    wanted = wanted_of(form, asked, rules, chosen({**asked["filters"], "cask": casks}, records, as_of, at))
    if asked["settings"]:
        from caskbook.cli.commands.due_what_if import what_if

        return what_if(asked["settings"], records, as_of, at, wanted)
    due = due_list(records, as_of, at, wanted)
    unfit = not due.counts.judged and bool(wanted.filters.keys() - {"cask"})
    if unfit:
        say_nothing_fits({name: words for name, words in wanted.filters.items() if name != "cask"}, due.near)
    say_left_out(due.root, at, due.overlooked, due.linked, due.strays)
    gone = not due.counts.judged and say_no_casks(due.root, at)
    judged = judged_at(str(due.root), at)
    if wanted.explain:
        from caskbook.cli.commands.due_explained import print_explained

        print_explained(due.root, due.day, due.counts, wanted, at, judged)
    else:
        print_list(due, wanted, due_header(due, wanted), at, judged)
    return 1 if fail_if_any and (gone or unfit or any(verdict.verdict == "due" for verdict in due.shown)) else 0


def due_list(records: str | None, as_of: str | None, at: str | None, wanted: Wanted) -> DueList:
    """The list out of the index, or from every file where there is none."""
    return _from_index(records, as_of, at, wanted) or _from_files(records, as_of, at, wanted)


_OF_THE_LIST = {"top": "--top", "sort": "--sort", "by_cask": "--by-cask", "soon": "--soon", "unknown": "--unknown", "every": "--all"}


def refuse_unclear(asked: Mapping[str, Any], form: str, *, fail_if_any: bool) -> None:
    """CaskbookError for an option that does nothing where settings are tried, for all turns of all verdicts are told, or where the list is explained."""
    given = [option for name, option in _OF_THE_LIST.items() if asked[name]] + ["--fail-if-any"] * fail_if_any
    if asked["settings"]:
        given += ["--explain"] * asked["explain"]
        if given:
            raise CaskbookError(f"{given[0]} with --set: every verdict that turns is told, and nothing else; leave {given[0]} out")
    elif asked["explain"]:
        if form not in ("text", "json"):
            raise CaskbookError(f"--explain --format {form}: expected text or json")
        if given:
            raise CaskbookError(f"{given[0]} with --explain: each rule is told with all its verdicts, and no list; leave {given[0]} out")


def wanted_of(form: str, asked: Mapping[str, Any], rules: Sequence[str], filters: Mapping[str, Any], *, several: bool = False) -> Wanted:
    """What is wanted of these rules on the casks that pass the filters. CaskbookError for a form or an order that is none; `several`: of several ledgers."""
    check_form(form, PAGES)
    sort: list[tuple[str, bool]] = []
    if asked["sort"]:
        from caskbook.render.due_order import SORTS, SORTS_OF_SEVERAL

        sort = sort_keys(asked["sort"], SORTS_OF_SEVERAL if several else SORTS)
    verdicts = chosen_verdicts(soon=asked["soon"], unknown=asked["unknown"], every=asked["every"])
    return Wanted(form, tuple(rules), filters, verdicts, asked["top"], sort, asked["by_cask"], asked["explain"])


def rules_and_casks(words: Sequence[str]) -> tuple[list[str], list[str]]:
    """(the rules among the words, those that look like casks)."""
    from caskbook.words.due_names import DUE_NAMES

    rules = [word for word in words if word in DUE_NAMES]
    if len(rules) == len(words):
        return rules, []
    from caskbook.entry.casks import looks_like_casks

    casks = [word for word in words if word not in rules and looks_like_casks(word)]
    return [word for word in words if word not in casks], casks


def _from_index(records: str | None, as_of: str | None, at: str | None, wanted: Wanted) -> DueList | None:
    """What the index knows; None where there is none, or it turns out to be damaged: then another is begun.

    CaskbookError where casks have to be looked up and there can be none."""
    opened = index_answer(records, as_of, at, memory=wanted.looks_up)
    if opened is None:
        if wanted.looks_up:
            raise CaskbookError("the ledger changes faster than it can be read; try again")
        return None
    index, answer = opened
    with index.reading():
        return listed(index, answer, wanted)
    return None


def listed(index: Index, answer: Answer, wanted: Wanted) -> DueList:
    """The list out of an answer of the index; what it leaves out, or tells in part, is said."""
    _check_rules(wanted.rules, [name for name, _ in answer.rules])
    for name in answer.unreadable:
        say_unreadable(answer.shown + name, name.rpartition("/")[2].removesuffix(".yaml"))
    say_in_part(answer.in_part)
    taken = wanted.filter(passing(index, wanted.filters) if wanted.looks_up else None)
    counts = index.counts(taken)
    near: Near = ()
    if not counts.judged:
        from caskbook.cli.nearest_filter import near_in

        near = near_in(index, wanted.filters)
    return DueList(
        index.root,
        answer.day,
        counts,
        index.due(taken, wanted.verdicts),
        answer.overlooked,
        answer.linked,
        near,
        bool(answer.wrong),
        answer.off,
        strays=answer.strays,
    )


def _from_files(records: str | None, as_of: str | None, at: str | None, wanted: Wanted) -> DueList:
    """The same, worked out from every file."""
    from caskbook.due import RULES, ranked
    from caskbook.due.off import rules_off
    from caskbook.index.listing import Counts

    _check_rules(wanted.rules, [rule.name for rule in RULES])
    book = open_book(records, as_of, at)
    taken, verdicts, casks = wanted.filter(), [], []
    gc.disable()  # nothing here is cyclic, and the collector is most of the time in a bulk read
    for here, found in _judged(book):
        if found and taken.takes(found[0].cask, found[0].type, found[0].berth):
            passed = [verdict for verdict in found if taken.passes(verdict)]
            verdicts += [verdict for verdict in passed if verdict.verdict in wanted.verdicts]
            casks.append(({verdict.rule: verdict.verdict for verdict in passed}, here, 1))
    gc.enable()
    return DueList(
        book.root,
        book.day,
        Counts.of(casks),
        ranked(verdicts),
        settings_unread=bool(book.ledger.house_file.at_default),
        off=rules_off(book.ledger.house, book.day),
    )


def _check_rules(rules: Sequence[str], names: list[str]) -> None:
    for rule in rules:
        if rule not in names:
            from caskbook.words.spelling import did_you_mean

            raise CaskbookError(f"{rule} is no due rule: expected one of {', '.join(names)}{did_you_mean(rule, names)}")


def _judged(book: Book) -> Iterator[tuple[bool, list[Verdict]]]:
    """(whether it is here, its verdicts) of every cask that goes on under its own number."""
    from caskbook.cli.whole_book import lives_of
    from caskbook.due import judge
    from caskbook.due.losses import BookLosses
    from caskbook.life.facts import facts_of

    losses = BookLosses(book.ledger.house, book.day)
    judged: list[tuple[bool, list[Verdict]]] = []
    for life in lives_of(book):
        facts = facts_of(life)
        losses.add(life, facts)
        judged.append((facts.is_here, judge(life, facts)))
    for (here, verdicts), (number, loss, running) in zip(judged, losses.judged(), strict=True):
        again = _with_losses(book, number, running) if running else verdicts
        yield here, [*again, *([loss] if loss else [])]


def _with_losses(book: Book, number: str, running: int) -> list[Verdict]:
    """The verdicts on a cask of which several fills running lost too much."""
    from caskbook.due import judge
    from caskbook.life.facts import facts_of

    cask = book.ledger.get(number).cask
    assert cask is not None
    life = book.ledger.life_of(cask, book.day)
    return judge(life, facts_of(life), excess_losses=running)


def print_list(due: DueList, wanted: Wanted, header: str, at: str | None, judged: Revision | None) -> None:
    """The list goes out under its header in the order wanted, cask by cask where that was asked for; what programs read is cut only where `top` says so."""
    from caskbook.render import due as render

    shown, later = due.shown, list[str]()
    if "at-emptying" in wanted.verdicts:
        from caskbook.cli.commands.due_emptying import set_apart

        shown, later = set_apart(shown, wanted)
    if wanted.sort:
        from caskbook.render.due_order import ordered

        shown = ordered(shown, wanted.sort)
    if wanted.form in PAGES:
        from caskbook.cli.commands.due_pages import Page, print_calendar, print_markdown

        page = Page(due.root, due.day, at, " · ".join([header, *([judged.words] if judged else [])]), wanted.top, wanted.by_cask, not wanted.usual)
        if wanted.form == "ics":
            print_calendar(page, shown)
        else:
            print_markdown(page, shown, later)
    elif wanted.by_cask:
        from caskbook.cli.commands.due_by_cask import print_by_cask

        print_by_cask(shown, header, wanted.form, wanted.top, later, judged, settings_unread=due.settings_unread)
    elif wanted.form == "text":
        out = screen()
        text = render.due_text(shown, header, width=out.width, top=wanted.top or _USUAL_TOP, show_verdict=not wanted.usual)
        write_text(text_at("\n".join([text, *later]), judged), out)
    else:
        from caskbook.cli.data_output import write_data

        cut = shown[: wanted.top] if wanted.top else shown
        unread = due.settings_unread
        write_data(render.due_csv(cut, settings_unread=unread) if wanted.form == "csv" else render.due_json(cut, wanted.form, settings_unread=unread))


def due_header(due: DueList, wanted: Wanted) -> str:
    """The day, how much is due on how many casks, and what the list is narrowed to."""
    counts, count = due.counts, due.counts.verdicts
    matters = count["due"] + count["blocked"]
    casks = number_of(counts.judged, "cask") + (f" ({counts.away} away)" if counts.away else "") + (f" in {due.ledgers} ledgers" if due.ledgers else "")
    head = f"{number_of(matters, 'matter')} on {counts.pressed} of {casks}" if matters else f"nothing due on {casks}"
    parts = [f"{count['due']} due", f"{count['blocked']} blocked"] if matters else []
    apart = {} if not wanted.for_people else {rule: n for rule, n in counts.whenever.items() if n and rule in wanted.set_apart}
    soon = count["soon"] + count["at-emptying"] - sum(apart.values())
    parts += [f"{soon} soon or at emptying (--soon)"] if soon else []
    parts += [f"{n} {EVERY_EMPTYING[rule]} whenever emptied" for rule, n in apart.items()]
    parts += [f"{count['unknown']} unknown (--unknown)"] if count["unknown"] else []
    narrowed = [*([f"only {' or '.join(wanted.rules)}"] if wanted.rules else []), *only(wanted.filters)]
    off = [rule for rule in due.off if not wanted.rules or rule.partition(" ")[0] in wanted.rules]
    parts += [f"off in house.yaml: {', '.join(off)}"] if off else []
    return " · ".join([f"due on {due.days or due.day}", *narrowed, head, *([", ".join(parts)] if parts else [])])
