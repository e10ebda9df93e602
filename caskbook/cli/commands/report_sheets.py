"""What `report loss` tells of each cask named: its evidence sheet, or the picture of its last fill with the reasons of the verdict."""

from __future__ import annotations

from typing import Any

from caskbook.cli.common import Book, screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.life import Life
from caskbook.loss import PeerTable
from caskbook.loss.drawing import drawings_of
from caskbook.loss.evidence import NO_CONCLUSION, evidence, fill_name
from caskbook.loss.fills import loss_now
from caskbook.loss.verdicts import judge_fill
from caskbook.loss.words import reasons_of
from caskbook.render.console import USUAL_WIDTH, flow
from caskbook.render.loss import sheet_text
from caskbook.render.loss_picture import picture
from caskbook.render.plain_json import data_json


def tell_sheets(book: Book, lives: list[Life], peers: PeerTable, form: str) -> None:
    """An evidence sheet goes out for each of these casks, as text, JSON or JSON lines."""
    if form != "text":
        write_data(data_json([_sheet_data(book, life, peers) for life in lives], form))
        return
    out, sheets = screen(), []
    for life in lives:
        pictures = {name: picture(drawing, width=out.width) for name, drawing in drawings_of(life, peers)}
        sheets.append(sheet_text(evidence(life, peers), _title(book, life), NO_CONCLUSION, width=out.width, pictures=pictures))
    if sheets:
        write_text("\n\n".join(sheets), out)


def tell_pictures(book: Book, lives: list[Life], peers: PeerTable) -> None:
    """The picture of the last fill of each of these casks goes out, with what is thought of it."""
    out = screen()
    told = [_pictured(book, life, peers, out.width or USUAL_WIDTH) for life in lives]
    if told:
        write_text("\n\n".join("\n".join(lines) for lines in told), out)


def _pictured(book: Book, life: Life, peers: PeerTable, width: int) -> list[str]:
    """Title, picture and reasons of the last fill of a cask."""
    loss = loss_now(life)
    lines = flow([_title(book, life)], width)
    if loss is None:
        return [*lines, "never filled with spirit here"]
    name = fill_name(loss)
    drawing = dict(drawings_of(life, peers)).get(name)
    verdict = judge_fill(life, loss, peers)
    room = width - 4
    told = [f"  {line}" if n == 0 else f"    {line}" for reason in reasons_of(verdict) for n, line in enumerate(flow([reason], room, most_lines=6))]
    return [*lines, *flow([name], width), *(["", *picture(drawing, width=width), ""] if drawing is not None else []), f"{verdict.level}:", *told]


def _title(book: Book, life: Life) -> str:
    return f"{life.cask.id}  {life.cask.head.type or '?'} · loss, as the book has it on {book.day}"


def _sheet_data(book: Book, life: Life, peers: PeerTable) -> dict[str, Any]:
    parts = [
        {"name": name, "rows": [[cell.lstrip(">") for cell in row] if n == 0 else list(row) for n, row in enumerate(rows)]}
        for name, rows in evidence(life, peers)
    ]
    return {"cask": life.cask.id, "as_of": book.day.isoformat(), "parts": parts, "said": list(NO_CONCLUSION)}
