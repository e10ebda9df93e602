"""What all entries of a racking, a conversion or a swap of heads bear alike: day, who, sheet, and what is said of the whole."""

from __future__ import annotations

from datetime import date
from typing import Any

from caskbook.entry.build import Asker, Built, read_day
from caskbook.entry.entry import run_sheet
from caskbook.entry.fields import field_of
from caskbook.entry.plan import Desk
from caskbook.entry.request import Request
from caskbook.entry.terms import Terms
from caskbook.entry.typed import read_field


def common_of_lot(desk: Desk, request: Request, asker: Asker, job: str, built: Built, day: date | None = None) -> dict[str, Any]:
    """date, by, sheet, note, why and photographs of a lot. `day`: that of the entry whose place it takes."""
    text = request.one("date")
    by = request.one("by", job) or asker.by
    if not by and desk.ledger.house.on(desk.today).crew:
        built.want(job, "by")
    if ("run", "minted") not in request.given:
        request.given[("run", "minted")] = [run_sheet(desk.today, by, desk.bits)]
    on = read_day(text, desk.today) if text else day or desk.work_day
    photos, field = request.given.get((job, "photo")), field_of("note", "photo")
    found = {
        "date": on, "by": by, "sheet": request.one("sheet", job) or request.one("minted"), "note": request.one("note", job), "why": request.one("why", job),
        "photo": read_field(field, photos, Terms(desk.ledger.house.on(on), on)) if photos and field is not None else None,
    }  # fmt: skip
    return {key: value for key, value in found.items() if value}
