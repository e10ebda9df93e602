"""The tables cask, event, fill and due on a day, worked out of the files alone, without any SQL: what the index has to say as well."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import compress
from pathlib import Path
from typing import Any

from caskbook.core.days import UnknownDay
from caskbook.due import Verdict, judge
from caskbook.due.losses import BookLosses
from caskbook.ledger.files import Ledger, open_folder
from caskbook.life import Life, corrections, live
from caskbook.life.facts import Facts, facts_of
from caskbook.loss.doubts import doubt_with
from caskbook.loss.facts import figures
from caskbook.loss.figures import figures_of
from caskbook.loss.fills import FillLoss, fill_losses
from caskbook.loss.peers import PeerTable
from caskbook.loss.verdicts import judge_fill
from caskbook.model.cask import Cask
from caskbook.model.jobs import Event
from caskbook.model.jobs.base import as_data

Row = dict[str, Any]
LOSS = ("from", "to", "litres_20", "lpa", "share", "per_year", "plus_minus")


class Files:
    """A ledger read once, asked on many days. A joined number has no rows: its entries are the cask's that goes on."""

    def __init__(self, root: Path) -> None:
        self.ledger: Ledger = open_folder(root, root)
        self.casks: list[Cask] = [record.own for record in self.ledger.records() if record.own is not None]
        self.joined = self.ledger.joins()
        self.lay: dict[str, dict[str, str | None]] = {}

    def lives(self, day: date) -> list[tuple[Life, Facts]]:
        """The life and the facts of each cask that is known by the day."""
        found = [self.ledger.life_of(cask, day) for cask in self.casks if cask.id not in self.joined]
        return [(life, facts_of(life)) for life in found if life.begun]

    def tables(self, day: date) -> dict[str, list[Row]]:
        """Table → its rows on the day, in any order."""
        lives = self.lives(day)
        peers = PeerTable(figure for life, _ in lives for figure in figures_of(life))
        return {
            "cask": [as_json({**facts.as_dict(), **losses(life, peers)}) for life, facts in lives],
            "fill": [as_json(row) for life, _ in lives for row in fills(life, peers, self)],
            "event": [as_json({**row, "cask": self.joined.get(cask.id, cask.id)}) for cask in self.casks for row in self.placed(cask, day)],
            "due": [as_json(due_row(verdict)) for verdict in self.verdicts(lives, day)],
        }

    def placed(self, cask: Cask, day: date) -> list[Row]:
        """The rows of `event` of one file, each with where the cask that goes on lay as it was done."""
        rows = events(cask, day)
        on = next((one for one in self.casks if one.id == self.joined.get(cask.id, cask.id)), cask)
        if cask.id not in self.lay:
            self.lay[cask.id] = {event.id: self.lay_at(on, event) for event in cask.events}
        lay = self.lay[cask.id]
        settings = self.ledger.house.on(day, self.ledger.life_of(on, day).cask.head.type)
        return [{**row, "berth": lay[row["id"]], "store": settings.store_of(lay[row["id"]])} for row in rows]

    def lay_at(self, cask: Cask, event: Event) -> str | None:
        """The berth of the state just after an entry, and where that is none just before it: lives cut off there, folded anew."""
        if event.lost & {"date", "berth"}:
            return None
        casks = [cask, *self.ledger.joined_to(cask)[0]]
        fallen = [corrections(one.events).fallen for one in casks]

        def berth(end: str) -> str | None:
            until = (event.date.isoformat(), event.id + end)
            cut = [
                cut_off(one, [e.id not in out and (date.isoformat(e.date), e.id) < until for e in one.events]) for one, out in zip(casks, fallen, strict=True)
            ]
            return live(cut[0], self.ledger.house, date.max, cut[1:]).state.berth

        return berth("!") or berth("")

    def verdicts(self, lives: list[tuple[Life, Facts]], day: date) -> list[Verdict]:
        """What each due rule says of each cask, the rule `loss` by all of them."""
        book = BookLosses(self.ledger.house, day)
        for life, facts in lives:
            book.add(life, facts)
        found: list[Verdict] = []
        for (life, facts), (_, loss, running) in zip(lives, book.judged(), strict=True):
            found += judge(life, facts, excess_losses=running) if running else judge(life, facts)
            found += [loss] if loss is not None else []
        return found


def cut_off(cask: Cask, kept: Sequence[bool]) -> Cask:
    """The cask with these of its entries alone."""
    return replace(cask, events=tuple(compress(cask.events, kept)), rows=tuple(compress(cask.rows, kept)))


def place_of(life: Life, files: Files, event: str | None) -> Row:
    """Berth and store at an entry of the cask itself."""
    entry = next((one for one in life.events if one.id == event), None)
    berth = files.lay_at(life.cask, entry) if entry is not None else None
    return {"berth": berth, "store": life.state.settings.store_of(berth)}


def doubt_kind(life: Life, loss: FillLoss | None, peers: PeerTable) -> str | None:
    """Why a fill is in no sum, by its gauges and by its peers."""
    doubt = doubt_with(loss, judge_fill(life, loss, peers)) if loss else None
    return doubt[0] if doubt else None


def losses(life: Life, peers: PeerTable) -> Row:
    """The columns loss_… of a cask: of its present fill, else of its last one."""
    found = fill_losses(life)
    whole = figures(found[-1].whole if found else None)
    return {**{f"loss_{name}": whole[name] for name in LOSS}, "loss_doubt": doubt_kind(life, found[-1] if found else None, peers)}


def fills(life: Life, peers: PeerTable, files: Files) -> list[Row]:
    """The rows of `fill`."""
    cask, day = life.cask.id, life.day
    known = {loss.record.filling.event: loss for loss in fill_losses(life)}
    return [
        {
            "cask": cask, "event": one.event, "n": one.count, "spirit": one.spirit, "vat": one.vat, "start": one.start, "end": one.end,
            "days": None if isinstance(one.start, UnknownDay) else ((one.end or day) - one.start).days,
            "litres": one.litres, "abv": one.abv, "is_spirit": int(one.is_spirit), "short": int(one.short),
            **{f"{name}_filled": value for name, value in place_of(life, files, one.event).items()},
            **{f"{name}_emptied": value for name, value in place_of(life, files, one.end_event).items()}, **fill_loss(life, known.get(one.event), peers),
            "number": life.numbers.get(id(life.events[one.seq - 1]), cask),
        }
        for one in life.state.fillings
    ]  # fmt: skip


def fill_loss(life: Life, loss: FillLoss | None, peers: PeerTable) -> Row:
    """The columns loss_… of a fill, and where it lies or lay at last."""
    whole = figures(loss.whole if loss else None)
    lay = loss.record.stays[-1] if loss else None
    place = {"berth": lay.berth if lay else None, "store": lay.store if lay else None}
    return {**place, **{f"loss_{name}": whole[name] for name in LOSS}, "loss_doubt": doubt_kind(life, loss, peers)}


def events(cask: Cask, day: date) -> list[Row]:
    """The rows of `event`: every entry up to the day, also one out of force."""
    fallen = corrections(cask.events).fallen
    rows = []
    for event in cask.events:
        if not isinstance(event.date, UnknownDay) and event.date > day:
            continue
        data = json.loads(json.dumps(as_data(event)))
        plain = {
            name: data.get(name) for name in ("job", "by", "sheet", "note", "litres", "abv", "psi", "vat", "vat_litres", "work_minutes", "material", "photo")
        }
        rows.append(
            {
                "cask": cask.id,
                "number": cask.id,
                "id": event.id,
                "date": event.date,
                **plain,
                "stands": int(event.id not in fallen),
                "voided_by": fallen.get(event.id),
                "data": data,
            }
        )
    return rows


def due_row(one: Verdict) -> Row:
    """A row of `due`."""
    return {
        "cask": one.cask, "type": one.type, "berth": one.berth, "rule": one.rule, "verdict": one.verdict, "since": one.since,
        "well_past": int(one.well_past), "reasons": "\n".join(one.reasons), "decided": one.decided, "changes_on": one.turns_on,
    }  # fmt: skip


def as_json(row: Row) -> Row:
    """As it is read back from JSON: days as text, one that cannot be read as nothing."""
    found: Row = json.loads(json.dumps(row, default=lambda day: None if isinstance(day, UnknownDay) else day.isoformat()))
    return found
