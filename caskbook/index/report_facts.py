"""What reports tell of each life beside its facts, as the index keeps it: its receipt, its leaks, its mends, a line of JSON each."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from caskbook.due.receipts import Received, received_of
from caskbook.index.answer import Answer
from caskbook.index.peers import NO_STORE, KeptPeers
from caskbook.index.views import cask_rows
from caskbook.life import Life
from caskbook.life.fold import steps
from caskbook.life.leaks import Leak, LeakWatch, Lying, Spell
from caskbook.life.mends import Broken, Counts, Mends, MendWatch, Repair, Replaced, Stretch
from caskbook.stats.report_head import What
from caskbook.stats.suppliers import Loss


class LeaksTold(NamedTuple):
    """The leaks of a cask and the spells that it lay filled."""

    leaks: tuple[Leak, ...]
    spells: tuple[Spell, ...]


def told_row(life: Life) -> tuple[str | None, str | None, str | None]:
    """(receipt, leaks, mends) of a life, None where there is nothing to keep. Of a life that is told in part nothing is known for sure: none."""
    if life.in_part or not life.begun:
        return None, None, None
    leaks, mends = LeakWatch(), MendWatch()
    state = life.state
    for event, state in steps(life):
        leaks.take(event, state)
        mends.take(event, state)
    leaks.end()
    received, mended = received_of(life), mends.mends(state)
    seen = [[*spell.lying, spell.start, spell.end] for spell in leaks.spells], [[*leak[:3], *leak.lying, *leak[4:]] for leak in leaks.leaks]
    return (
        None if received is None else _json(received.as_row()),
        _json(seen) if leaks.spells or leaks.leaks else None,
        None if mended is None else _json(mended),
    )


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), default=date.isoformat)


def told(answer: Answer, what: What, facts: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], Any]]:
    """(the facts, what is told) of each cask that `list` has under these conditions of SQL on its columns, each quoted already, in order of number.
    `facts`: columns of the table `cask`, its number always among them. Told is a `Received`, `LeaksTold`, `Mends`, None of nothing; of `loss` a list of
    `Loss`, of those casks alone that have any."""
    names = ("cask", *facts)
    if what == "loss":
        yield from _with_losses(answer, names, conditions)
        return
    found = _chosen(answer, names, conditions)
    kept = _kept(answer, what)  # Put together here: a join of two selects has no index to go by.
    read = _READ[what]
    for row in found:
        text = kept.pop(row[0], None)
        yield dict(zip(names, row, strict=True)), None if text is None else read(_decoded(text)[0])


GIVEN = "(json_array_length(t.mends, '$[7]') > 0 OR EXISTS (SELECT 1 FROM json_each(t.mends, '$[5]') r WHERE instr(json_extract(r.value, '$[4]'), '-')))"
"""SQL of the mends by which a cask has parts of others: it was made from some, or a part's source is a number."""


def _kept(answer: Answer, what: str, among: str = "", such: str = "") -> dict[str, str]:
    """Number of a file's cask → what is told, as text. `among`: SQL of the numbers that alone are wanted; `such`: SQL that has to hold of what is told."""
    return dict(
        answer.store.execute(
            f"SELECT l.cask, t.{what} FROM main.answer_life a JOIN main.life l ON l.id = a.life JOIN main.told t ON t.life = l.id"
            f" WHERE a.answer = ? AND t.{what} IS NOT NULL{f' AND a.cask IN {among}' if among else ''}{f' AND {such}' if such else ''}",
            (answer.number,),
        )
    )


def told_kept(answer: Answer, what: str, among: str = "", such: str = "") -> Iterator[tuple[str, Any]]:
    """(cask, what is told: `receipt`, `leaks` or `mends`) of an answer, by number; those alone of which it is. `among`: SQL of the numbers that alone are wanted; `such`: SQL that has to hold of it."""
    joined, read = answer.joined, _READ[what]
    for cask, text in sorted(_kept(answer, what, among, such).items()):
        if cask not in joined:
            yield cask, read(_decoded(text)[0])


def _chosen(answer: Answer, names: Sequence[str], conditions: Sequence[str]) -> list[tuple[Any, ...]]:
    """These columns of the casks that `list` has under the conditions, in order of number."""
    shown = ", ".join(f'"{name}"' for name in names)
    where = f" WHERE {' AND '.join(conditions)}" if conditions else ""
    return answer.store.execute(f"SELECT {shown} FROM ({cask_rows(answer)}) cask{where} ORDER BY cask").fetchall()


def _with_losses(answer: Answer, names: Sequence[str], conditions: Sequence[str]) -> Iterator[tuple[Mapping[str, Any], list[Loss]]]:
    losses = _losses(answer)
    for row in _chosen(answer, names, conditions):
        if row[0] in losses:
            yield dict(zip(names, row, strict=True)), losses[row[0]]


def _losses(answer: Answer) -> dict[str, list[Loss]]:
    """Each fill that counts as a peer, held against the middle of its type, store and band; by number."""
    peers = KeptPeers(answer.store, answer.number, answer.joined, keep=False)
    rows = answer.store.execute(
        "SELECT p.cask, p.type, p.store, p.band, p.rate FROM main.answer_life a JOIN main.peer p ON p.life = a.life WHERE a.answer = ? AND p.rate IS NOT NULL",
        (answer.number,),
    )
    found: dict[str, list[Loss]] = {}
    for cask, kind, store, band, rate in rows:
        middle = peers.middle((kind, None if store == NO_STORE else store, band))
        if middle is not None:
            found.setdefault(cask, []).append(Loss(rate, middle.rate, middle.count))
    return found


_decoded = json.JSONDecoder().raw_decode
"""What `json.loads` does, without looking for blanks around text that we wrote ourselves."""


@lru_cache(maxsize=1 << 17)
def _lying(where: str, store: str | None, row: str | None, spirit: str | None) -> Lying:
    """Many casks lie in one row: each place is kept once."""
    return Lying(where, store, row, spirit)


def _leaks(data: Any) -> LeaksTold:
    spells, leaks = data
    return LeaksTold(
        tuple(
            Leak(_day(day), at, severity, _lying(*lying), event, again, outcome, _maybe(ended), by, seen, number)
            for day, at, severity, *lying, event, again, outcome, ended, by, seen, number in leaks
        ),
        tuple(Spell(_lying(*lying), _day(start), _maybe(end)) for *lying, start, end in spells),
    )


def _mends(data: Any) -> Mends:
    start, end, staves, hoops, bungs, replaced, repairs, parents, broken, raised, counts = data
    return Mends(
        _day(start), _maybe(end), staves, hoops, tuple((_day(day), number) for day, number in bungs),
        tuple(Replaced(_day(day), *rest) for day, *rest in replaced),
        tuple(Repair(_day(day), at, job, _maybe(again), how, _maybe(until)) for day, at, job, again, how, until in repairs),
        tuple((cask, count) for cask, count in parents), Broken(_day(broken[0]), *broken[1:]) if broken else None,
        tuple(Stretch(_day(begun), _maybe(over), count) for begun, over, count in raised), tuple(Counts(_day(day), *rest) for day, *rest in counts),
    )  # fmt: skip


def _day(text: str) -> date:
    return date.fromisoformat(text)


def _maybe(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


_READ: Mapping[str, Callable[[Any], Any]] = {"receipt": Received.of_row, "leaks": _leaks, "mends": _mends}
