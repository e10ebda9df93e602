"""The bench card of one cask: what it is and its state, the counters by name, what is open or due, and its events."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from rich.cells import cell_len

from caskbook.life import Life
from caskbook.life.facts import Facts
from caskbook.life.least import is_child
from caskbook.life.written import written
from caskbook.loss import PeerTable, loss_now, loss_parts
from caskbook.model.cask import Prior
from caskbook.model.head_corrections import was_words
from caskbook.model.jobs.base import event_words, listed, plain
from caskbook.render import card_parts as parts
from caskbook.render.console import MOST_WIDTH, USUAL_WIDTH, cut, ends_apart, flow, safe, to_ascii
from caskbook.render.events import NONE, USUAL_ROWS, Codes, event_lines
from caskbook.render.styled import Styled
from caskbook.render.time_line import time_line
from caskbook.render.verdict import Verdict
from caskbook.words.job_table import jobs_with, row_of
from caskbook.words.plural import number_of

_ARRIVALS = jobs_with("arrival")
_NAME_CELLS = 10
_STOWED = {"bilge": "on its bilge", "upright-A": "standing, head A up", "upright-B": "standing, head B up"}
_LEAST_WIDTH = 40


def card(life: Life, facts: Facts, verdicts: Iterable[Verdict], *, width: int | None = USUAL_WIDTH, all_events: bool = False, ascii: bool = False) -> str:
    """The card as plain text, no line wider than `width` cells (None: nothing is cut; less than 40 counts as 40)."""
    return card_text(life, facts, verdicts, width=width, all_events=all_events, ascii=ascii).plain


def card_text(
    life: Life,
    facts: Facts,
    verdicts: Iterable[Verdict],
    *,
    width: int | None = USUAL_WIDTH,
    all_events: bool = False,
    ascii: bool = False,
    remark: str = "",
    peers: PeerTable | None = None,
    found: Codes = NONE,
) -> Styled:
    """The card with styles: the state bold, what is out of force struck. Nothing needs them to be read.

    `remark`: what is wrong with the file, which the reader of the card has to know. `peers`: what all fills of the book lose,
    where that is known. `found`: id of an entry → codes of what the check finds wrong with it.
    """
    width = None if width is None else max(width, _LEAST_WIDTH)
    blocks = [title(life, facts, width)]
    if remark:
        blocks[0].append("\n" + "\n".join(line for told in remark.split("\n") for line in flow([told], width)))
    if not life.begun:
        blocks.append(Styled(_folded(_not_begun(life), width)))
        if any(event.date <= life.day for cask in (life.cask, *life.others) for event in cask.events):
            blocks.append(event_lines(life, width=width, rows=None if all_events else USUAL_ROWS, found=found))
        return _joined(blocks, ascii)
    blocks.append(Styled("\n".join(_counters(life, facts, verdicts, width, peers))))
    line = time_line(life, min(width or USUAL_WIDTH, MOST_WIDTH) - 4, ascii=ascii)
    if line:
        blocks.append(Styled("\n".join(f"  {row}" for row in line.split("\n"))))
    blocks.append(event_lines(life, width=width, rows=None if all_events else USUAL_ROWS, found=found))
    return _joined(blocks, ascii)


def _joined(blocks: list[Styled], ascii: bool) -> Styled:
    whole = Styled("\n\n").join(blocks)
    return Styled(to_ascii(whole.plain), spans=whole.spans) if ascii else whole


def title(life: Life, facts: Facts, width: int | None) -> Styled:
    """The top of the card: number, type and state in one line, then corrections, origin and place."""
    state = state_words(life, facts).upper()
    width = None if width is None else min(width, MOST_WIDTH)
    what = f"{facts.cask}   {what_words(life, facts)}"
    first = ends_apart(what, state, width or max(USUAL_WIDTH, cell_len(safe(what)) + len(state) + 2))
    title = Styled(first)
    title.stylize("bold", len(first) - len(state), len(first))
    lines = [
        line
        for words in (*([line] for line in was_words(life.cask.corrected)), origin_parts(life, facts), place_parts(life, facts))
        if words
        for line in flow(words, width)
    ]
    lines += [cut(f"as of {life.day}: {later} later entries left out", width)] if (later := _later(life)) and life.begun else []
    for line in lines:
        title.append(f"\n{line}")
    return title


def state_words(life: Life, facts: Facts) -> str:
    """The state of the cask; that it is not known, or not here yet."""
    return facts.state or ("state not known" if life.begun else "not here yet")


def _later(life: Life) -> int:
    return sum(event.date > life.day for event in life.cask.events) + life.later_joined


def _folded(text: str, width: int | None) -> str:
    return textwrap.fill(text, width or USUAL_WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)


def _not_begun(life: Life) -> str:
    every = [one for one in written(life) if "job" not in one.event.lost]
    if not every:
        return "nothing entered yet"
    arrivals = [one for one in every if one.event.job in _ARRIVALS]
    if arrivals and all(one.event.id in one.file.fallen for one in arrivals):
        return f"its {row_of(arrivals[-1].event.job).noun} of {arrivals[-1].event.date} was voided: not in stock"
    first = min(one.event.date for one in every)
    if first <= life.day:
        return "only notes, marks and moves are entered: nothing says yet that it came"
    return f"nothing entered up to {life.day}; its first entry is of {first}"


def what_words(life: Life, facts: Facts) -> str:
    """Type, capacity and wood of the cask."""
    words = [(facts.type or "?").replace("-", " ")]
    if facts.capacity_l is not None:
        measured = life.cask.head.capacity_l is not None and facts.capacity_l != life.cask.head.capacity_l
        words.append(f"{plain(facts.capacity_l)} L" + (" measured" if measured else ""))
    if facts.wood and facts.wood != "unknown":
        words.append(_wood(facts.wood))
    return " · ".join(words)


def _wood(word: str) -> str:
    text = word.replace("-", " ")
    return text[0].upper() + text[1:] if text.startswith(("american", "european")) else text


def origin_parts(life: Life, facts: Facts) -> list[str]:
    """Where the cask comes from, in parts: made by whom, from which supplier and parcel, what it held before us, old marks, owner."""
    head = life.cask.head
    made = f"made {head.made}" if head.made is not None else ""
    maker = ", ".join(word for word in (made, head.maker) if word)
    supplier = ", ".join(word for word in (f"from {facts.supplier}" if facts.supplier else "", f"parcel {facts.parcel}" if facts.parcel else "") if word)
    marks = facts.old_marks or []
    if head.prior is None:
        before = "" if is_child(life) else "before us: unknown"
    else:
        before = "before us: " + ", ".join(_prior(entry) for entry in head.prior) if head.prior else "virgin when it came"
    owner = f"owner {facts.owner}" if facts.owner and facts.owner != "house" else ""
    built = life.last("made-from")
    joined = f"also known as {listed(facts.joined)}" if facts.joined else ""
    known = [maker, event_words(built) if built else "", supplier, before, f"was {', '.join(marks)}" if marks else "", owner, joined]
    return [words for words in known if words]


def _prior(entry: Prior) -> str:
    fills = "? fills" if entry.fills is None else f"{number_of(entry.fills, 'fill')}"
    emptied = f", emptied {entry.emptied}" if entry.emptied is not None else ""
    return f"{entry.contents} ({fills}{emptied})"


def place_parts(life: Life, facts: Facts) -> list[str]:
    """Where the cask lies, and what is in it."""
    store = f" ({facts.store})" if facts.store and facts.store != facts.berth else ""
    where = [facts.berth + store if facts.berth else "", _STOWED.get(facts.stow or "", "")]
    lies = ", ".join(word for word in where if word)
    if facts.state in ("gone", "away", "missing"):
        lies = _absent(life, facts)
    elif not lies:
        lies = "no berth noted" if life.begun else ""
    return [words for words in (lies, _inside(life, facts)) if words]


def _absent(life: Life, facts: Facts) -> str:
    """Since when and how a cask is gone, away or missing."""
    if facts.state == "gone":
        left = life.last(*jobs_with("ends"))
        how = {"break-up": "broken up, ", "convert": "converted "}
        return f"gone {left.date}: {how.get(left.job, '')}{event_words(left)}" if left else "gone"
    event = life.last("send" if facts.state == "away" else "missing")
    if event is None:
        return facts.state or ""
    return (
        f"away since {event.date} {event_words(event)}"
        if event.job == "send"
        else f"missing since {event.date}" + (f", last at {facts.berth}" if facts.berth else "")
    )


def _inside(life: Life, facts: Facts) -> str:
    """What is in the cask and how old it is, or since when it is empty."""
    if facts.state == "gone" or not life.begun:
        return ""
    if facts.contents is None:
        return "what is in it cannot be told"
    if facts.contents == "spirit":
        age = "age unknown" if facts.age_years is None else "under a year old" if facts.age_years == 0 else f"{number_of(facts.age_years, 'year')} old"
        here = f", {parts.years_text(facts.in_this_cask_years)} in this cask" if facts.in_this_cask_years is not None else ""
        coming = f", of age {facts.minimum_age_on}" if facts.minimum_age_on and facts.minimum_age_on > life.day else ""
        return f"{facts.spirit or 'spirit'}, {age}{here}{coming}" + (f", vat {facts.vat}" if facts.vat else "")
    if facts.contents == "wine":
        running = next((one for one in reversed(life.state.seasonings) if one.end is None), None)
        since = running.start if running else life.state.filling.start if life.state.filling else None
        until = running.until if running else None
        return f"{facts.spirit or '?'}" + (f" since {since}" if since else "") + (f", until {until}" if until else "")
    emptied = life.state.emptied_on
    return (f"empty since {emptied}" if emptied else "empty, not yet filled here") + _wine_before(life, facts)


def _wine_before(life: Life, facts: Facts) -> str:
    """What an empty cask's wine asks of whoever fills it; nothing where it held none, or where a clean nose answered an unknown past."""
    if facts.wine_held:
        return ", held wine" + ("" if life.state.clean_nose else ": wants a clean nose")
    if facts.wine_held is not None or life.state.clean_nose:
        return ""
    so = ", so not whether it is fit" if facts.fitness is None and not life.in_part else ""
    return f", not known whether it held wine{so}"


def counter_rows(life: Life, facts: Facts, verdicts: Iterable[Verdict], peers: PeerTable | None) -> list[tuple[str, list[str]]]:
    """What counts, each under its name, in parts; names with nothing to say are left out. `peers`: what all fills of the book lose."""
    gone = facts.state == "gone"
    rows = [
        ("fills", parts.fills_parts(life, facts)),
        ("char", parts.char_parts(life, facts)),
        ("wood", parts.wood_parts(facts)),
        ("loss", _loss_parts(life, peers)),
        ("test", parts.test_parts(life, facts)),
        ("parts", parts.parts_parts(life, facts)),
        ("open", parts.open_parts(life, facts)),
        ("due", parts.due_parts(verdicts, life)),
    ]
    return [(name, words) for name, words in rows if words and not (gone and name in ("open", "due") and words == ["nothing"])]


def _counters(life: Life, facts: Facts, verdicts: Iterable[Verdict], width: int | None, peers: PeerTable | None) -> list[str]:
    """The lines of the card that count, wrapped to `width` cells."""
    lines: list[str] = []
    for name, words in counter_rows(life, facts, verdicts, peers):
        room = None if width is None else min(width, MOST_WIDTH) - _NAME_CELLS
        first, *more = _each_on_its_line(words, room) if name == "due" else flow(words, room)
        lines += [f"  {name:<{_NAME_CELLS - 2}}{first}", *(" " * _NAME_CELLS + line for line in more)]
    return lines


def _loss_parts(life: Life, peers: PeerTable | None) -> list[str]:
    """What the present fill, or the last one, has lost, and what its peers do; nothing where it was not gauged yet."""
    loss = loss_now(life)
    if loss is None or loss.whole is None:
        return []
    return [*loss_parts(life, peers), *(["peers not gathered: caskbook due"] if peers is None else [])]


def _each_on_its_line(words: list[str], room: int | None) -> list[str]:
    return [line for part in words for line in flow([part], room, most_lines=2)]


def joined_card(other_id: str, cask_id: str) -> str:
    """What to show of a number that was found to be another cask's: where its life goes on."""
    return safe(f"{other_id}   joined: {cask_id}") + f"\n  one cask, two numbers: its life goes on there, caskbook show {safe(cask_id)}"
