"""The second of the three steps of entering: every question that the plan leaves open is asked at the terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from caskbook.cli.common import say
from caskbook.cli.entering import ask
from caskbook.cli.numbers import tell_names
from caskbook.core.finding import CaskbookError
from caskbook.entry.questions import WHY_PUT_RIGHT

if TYPE_CHECKING:
    from caskbook.cli.common import Book
    from caskbook.entry.fields import JobField
    from caskbook.entry.plan import Desk
    from caskbook.entry.plan_request import Draft
    from caskbook.entry.questions import Question
    from caskbook.entry.request import Request

_MOST_ROUNDS = 9
"""One for what is asked first, and some for the fields: what is answered may want another."""
_LONGEST = 72
"""Of a prompt; longer hints stand in lines of their own above it."""


def ask_questions(desk: Desk, request: Request, draft: Draft, plan_answered: Callable[[], Draft], *, one_key: bool = False) -> Draft:
    """The draft with nothing open any more. The answers go into the request, from which `plan_answered` makes the next draft. `one_key`:
    of few words, each is said by its first letter alone.

    CaskbookError naming what is lacking where nobody is there to ask, ask.DeclinedError where somebody was asked and did not answer.
    """
    if desk.numbers is not None:
        tell_names(desk.numbers)  # What short names and old marks were found to mean goes before any question.
    heading = ""
    for _ in range(_MOST_ROUNDS):
        if not draft.questions:
            return draft
        if draft.heading and not heading and ask.on_terminal():
            heading = draft.heading
            for line in heading.split("\n"):
                say(_safe(line))
        for one in draft.questions:
            _put(desk, request, draft, one, one_key=one_key)
        draft = plan_answered()
    if draft.questions:
        raise CaskbookError(lacking_line(desk, request, draft))
    return draft


def _safe(text: str) -> str:
    from caskbook.cli.entering.tell_and_write import safe

    return safe(text)


def _put(desk: Desk, request: Request, draft: Draft, one: Question, *, one_key: bool) -> None:
    """Ask one question, and put its answer into the request."""
    if one.kind == "unit":
        from caskbook.cli.commands.gauge_lengths import ask_unit

        ask_unit(one.text, one.refusal)
        request.given[one.place] = list(one.yes)
    elif not ask.on_terminal():
        raise CaskbookError(lacking_line(desk, request, draft))
    elif one.kind == "matter":
        if ask.yes_no(f"{one.text} [y/N] ", "n"):
            request.given.setdefault(one.place, []).extend(one.yes)
    elif one_key and one.field is not None and one.kind == "field" and _keys_of(one.field):
        _put_key(request, one.field)
    elif one.field is not None:
        request.given[one.place] = [_left(desk, one.text, one.field) if one.kind == "left" else _typed(desk, one.field, may_skip=one.may_skip)]


def _keys_of(one: JobField) -> str:
    """The keys that answer a field of few words; empty where its words do not begin with one letter each."""
    firsts = "".join(word[0] for word in one.words)
    if one.kind != "choice" or not 2 <= len(one.words) <= 5 or len(set(firsts)) < len(firsts) or not firsts.isalpha():
        return ""
    return firsts + "c" if (one.job, one.key) == ("test", "result") else firsts


def without_early_key(book: Book, jobs: str, word: str) -> str:
    """A cask's number without the key of an answer before it, which was pressed where nothing was asked: it is dropped, and that is said.
    A number that the book has as it stands, an old mark, and one that it has not without that letter either, stay as they are."""
    from caskbook.cli.numbers import numbers_of
    from caskbook.entry.request import fields_typed, read_jobs
    from caskbook.ledger.paths import is_cask_id

    rest = word[1:].upper()
    if not (is_cask_id(rest) and is_cask_id(word.upper())) or book.ledger.find(rest) is None or book.ledger.find(word.upper()) is not None:
        return word
    if numbers_of(book)().bearing(word.upper(), wholly=True) or not any(
        word[0].casefold() in _keys_of(one) for job in read_jobs(jobs) for one in fields_typed(job)
    ):
        return word
    say(f"{word[0]} is dropped: it was pressed where nothing was asked")
    return rest


def _put_key(request: Request, one: JobField) -> None:
    """One key for a field of few words; `c` of a test says that it leaked, was driven and passed. OtherLine where a line came instead."""
    from caskbook.entry.labels import label_of
    from caskbook.entry.short_words import take_cure
    from caskbook.entry.terms import TypedError
    from caskbook.entry.typed import choose

    keys = _keys_of(one)
    cured = "  c leaked, driven, passed" if keys.endswith("c") and len(keys) > len(one.words) else ""
    for _ in range(ask.TRIES):
        said = ask.key(f"{label_of(one)}: " + "  ".join(f"{word[0]} {word}" for word in one.words) + f"{cured} > ", keys)
        if take_cure([one.job], request.given, said):
            return
        try:
            request.given[one.job, one.key] = [choose(one, next((word for word in one.words if said == word[0]), said))]
            return
        except (TypedError, ValueError):
            if any(sign.isdigit() for sign in said):
                raise ask.OtherLine(label_of(one), said) from None
        say(f"  one key: {', '.join(keys)}")
    raise ask.DeclinedError(f"{label_of(one)}: needed; nothing written")


def _left(desk: Desk, prompt: str, one: JobField) -> str:
    """The litres left in the sources of a racking."""
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    for _ in range(ask.TRIES):
        text = ask.answer(prompt)
        try:
            value = read_field(one, [text], Terms(desk.ledger.house.on(desk.today), desk.today))
        except TypedError as error:
            say("  " + str(error).removeprefix(f"{one.option}: "))
            continue
        if value is not None:
            return text
    raise ask.DeclinedError("litres left: needed; nothing written")


def _typed(desk: Desk, one: JobField, *, may_skip: bool = False) -> str:
    """What the person types for one field, asked again where it cannot be read. DeclinedError where nothing comes of it."""
    from caskbook.entry.crew import not_there, strange_signature
    from caskbook.entry.labels import label_of
    from caskbook.entry.naming import named_field
    from caskbook.entry.terms import Terms, TypedError
    from caskbook.entry.typed import read_field

    doubted = ""
    for _ in range(ask.TRIES):
        text = ask.answer(_prompt(one, _hint(desk, one) + ("; Enter: not taken" if may_skip else "")))
        if not text and may_skip:
            return ""
        if not text:
            continue
        if one.kind in ("event", "answers"):
            return text
        try:
            text = named_field(one, text, desk.numbers)
        except CaskbookError as error:
            say(f"  {error}")
            continue
        try:
            read_field(one, [text], Terms(desk.ledger.house.on(desk.today), desk.today))
            if one.key == "by" and (why := not_there(desk.ledger.house.on(desk.work_day), text, desk.work_day)):
                raise TypedError(why)
            if one.key == "approved_by" and text != doubted and strange_signature(desk.ledger.house.on(desk.work_day).crew, text):
                doubted = text
                raise TypedError(f"{text} is not of the crew: other initials, a name in full, or {text} again")
        except TypedError as error:
            say("  " + str(error).removeprefix(f"{one.option}: "))
            continue
        return text
    raise ask.DeclinedError(f"{label_of(one)}: needed; nothing written")


def _prompt(one: JobField, hint: str) -> str:
    """ "litres filled (L): ", the hint above it where it is long."""
    from textwrap import wrap

    from caskbook.entry.labels import label_of

    label = label_of(one)
    if len(label) + len(hint) <= _LONGEST:
        return f"{label} ({hint}): " if hint else f"{label}: "
    for line in wrap(hint, _LONGEST, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False):
        say(line)
    return f"{label}: "


def _hint(desk: Desk, one: JobField) -> str:
    """How a field is typed; of who did it, those of the crew who are there on the day."""
    from caskbook.cli.entering.help import hint_of
    from caskbook.entry.labels import example_of, short_unit

    example = example_of(one)
    if example:
        return f"as {example}"
    if one.kind == "quantity":
        return hint_of(one).replace(one.unit, short_unit(one.unit), 1)
    if one.key != "by":
        return hint_of(one)
    from caskbook.entry.crew import there_on

    return ", ".join(there_on(desk.ledger.house.on(desk.work_day).crew, desk.work_day)[:12])


def lacking_line(desk: Desk, request: Request, draft: Draft) -> str:
    """What is lacking, told to a run that cannot ask."""
    fields = [one.field for one in draft.questions if one.field is not None]
    told = ", ".join(
        one.option + (f" ({hint})" if (hint := _hint(desk, one) or (WHY_PUT_RIGHT if one.label == WHY_PUT_RIGHT else "")) else "") for one in fields
    )
    return f"{'+'.join(request.jobs)} needs {told}"
