"""The life of a cask along a line of years: the time before us, each fill, and the work between; short, or a row a stretch."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from rich.cells import cell_len

from caskbook.core.days import UnknownDay, parse_when, years_between
from caskbook.life import Life
from caskbook.life.carried import Filling
from caskbook.life.facts import facts_of
from caskbook.model.jobs.base import strength
from caskbook.render.console import MOST_WIDTH, USUAL_WIDTH, cut, pad, safe, to_ascii
from caskbook.words.job_table import jobs_with, row_of
from caskbook.words.plural import number_of

_DAYS_TOLD = 60
LEGEND = "S staves  H head  O hoops  F fire"


@dataclass(slots=True)
class Stretch:
    """Days of one kind: before us (past), fill, wine (seasoning) or empty. `labels` from the fullest to the shortest."""

    kind: str
    start: date | None
    end: date
    labels: list[str]
    cells: int = 0
    running: bool = False
    start_text: str | None = None
    filling: Filling | None = None

    @property
    def days(self) -> int:
        """How long it lasted; 0 where its start is unknown."""
        return max(0, (self.end - self.start).days) if self.start else 0


def stretches(life: Life) -> list[Stretch]:
    """The life cut into stretches, oldest first, up to the day or the day it left."""
    if not life.begun or not life.events:
        return []
    begin, end = life.events[0].date, _last_day(life)
    found = [_past(life, begin)]
    at = begin
    for span in _liquor(life, end):
        if span.start is not None and span.start > at:
            found.append(_empty(life, at, span.start))
        found.append(span)
        at = max(at, span.end)
    if end > at or (len(found) == 1):
        found.append(_empty(life, at, end))
    return found


def _last_day(life: Life) -> date:
    leaving = life.last(*jobs_with("ends"))
    if life.state.form != "gone" or leaving is None:
        return life.day
    # What was written of a cask already gone is impossible, but it is drawn.
    return max([leaving.date, *(filling.end or filling.start for filling in life.state.fillings)])


def _past(life: Life, begin: date) -> Stretch:
    head = life.cask.head
    if any(event.job == "made-from" for event in life.events):
        return Stretch("past", None, begin, ["its parents", "parents", ""])
    made = parse_when(head.made) if head.made is not None else life.state.past.last_char
    start = made.day if made is not None and made.day < begin else None
    words = "unknown" if head.prior is None else ", ".join(entry.contents for entry in head.prior) or "virgin"
    first = "?" if head.prior is None else words.split(",")[0]
    return Stretch("past", start, begin, [words, first, ""], start_text=made.text if made and start else None)


def _liquor(life: Life, end: date) -> list[Stretch]:
    """The stretches in which the cask held liquor, fills and seasonings, by their first day."""
    spans = []
    for filling in life.state.fillings:
        until = filling.end or end
        years = _how_long(filling.start, until)
        name = f"fill {filling.count}"
        labels = [f"{name}  {years}", f"{name} {years}", name, str(filling.count), ""]
        spans.append(Stretch("fill", filling.start, until, labels, running=filling.end is None and life.state.filled, filling=filling))
    for one in life.state.seasonings:
        spans.append(Stretch("wine", one.start, one.end or end, [one.wine, one.wine[:3], ""], running=one.end is None and life.state.filled))
    return sorted(spans, key=lambda span: (span.start or date.min, span.end))


def _how_long(start: date | None, until: date) -> str:
    """ "12.1 y", and of less than a year the months or days, so that nothing short reads 0.0."""
    if start is None or not (_known(start) and _known(until)):
        return "?"
    days = max(0, (until - start).days)
    if days < _DAYS_TOLD:
        return number_of(days, "day")
    years = years_between(start, until)
    return f"{years:.1f} y" if years >= 1 else number_of(int(12 * years), "month")


def _known(day: date | None) -> bool:
    return day is not None and not isinstance(day, UnknownDay)


def _empty(life: Life, start: date, end: date) -> Stretch:
    letters: list[str] = []
    for event in life.events:
        letter = row_of(event.job).letter
        if letter and start <= event.date <= end and letter not in letters:
            letters.append(letter)
    return Stretch("empty", start, end, [" ".join(letters), "".join(letters), ""])


def time_line(life: Life, width: int = 76, *, ascii: bool = False) -> str:
    """Two lines at most `width` cells wide: the years, and the life under them. Empty before the first event."""
    found = stretches(life)
    if not found:
        return ""
    found = _fitting(found, width)
    end = "▶" if found[-1].running else "│" if life.state.form != "gone" else "× gone"
    _share_out(found, width - (len(found) - 1) - cell_len(end))
    bar, starts = "", []
    for stretch in found:
        starts.append(cell_len(bar))
        bar += _drawn(stretch) + ("" if stretch is found[-1] else "│")
    bar += end
    axis = _axis(found, starts, cell_len(bar))
    drawn = f"{axis}\n{bar}"
    return to_ascii(drawn.replace("·", ".")) if ascii else drawn


def _fitting(found: list[Stretch], width: int) -> list[Stretch]:
    """Of a life too long for the line the oldest stretches are drawn as one."""
    most = max(3, (width - 8) // 3)
    if len(found) <= most:
        return found
    old = found[: len(found) - most + 1]
    fills = sum(stretch.kind == "fill" for stretch in old)
    start = next((stretch.start for stretch in old if stretch.start), None)
    return [Stretch("past", start, old[-1].end, [number_of(fills, "fill")]), *found[len(old) :]]


def _share_out(found: list[Stretch], room: int) -> None:
    """Cells by length of time, but never less than the label needs while the line has room for the labels."""
    for level in range(5):
        needs = [_need(stretch, level) for stretch in found]
        if sum(needs) <= room:
            break
    spare = max(0, room - sum(needs))
    whole = sum(stretch.days for stretch in found) or 1
    for stretch, need in zip(found, needs, strict=True):
        stretch.labels = [label for label in stretch.labels if cell_len(label) <= need] or [""]
        stretch.cells = need + spare * stretch.days // whole


def _need(stretch: Stretch, level: int) -> int:
    label = stretch.labels[min(level, len(stretch.labels) - 1)]
    return max(1, cell_len(label)) + (2 if label and level == 0 and stretch.kind != "empty" else 0)


def _drawn(stretch: Stretch) -> str:
    fill = {"fill": "▒", "wine": "~", "past": "·", "empty": " "}[stretch.kind]
    label = next(label for label in stretch.labels if cell_len(label) <= stretch.cells)
    spare = stretch.cells - cell_len(label)
    if label and spare >= 4 and stretch.kind in ("fill", "wine"):
        label, spare = f" {label} ", spare - 2
    return fill * (spare // 2) + safe(label) + fill * (spare - spare // 2)


def _axis(found: list[Stretch], starts: list[int], width: int) -> str:
    marks = [(at, f"{stretch.start.year:04d}") for at, stretch in zip(starts, found, strict=True) if stretch.start and _known(stretch.start)]
    last = (max(0, width - 4), f"{found[-1].end.year:04d}")
    axis, latest = "", ""
    for at, year in marks:
        if at >= len(axis) + bool(axis) and at + 5 <= last[0] and year != latest:
            axis, latest = axis.ljust(at) + year, year
    if last[1] != latest and last[0] > len(axis):
        axis = axis.ljust(last[0]) + last[1]
    return axis


def long_line(life: Life, width: int | None = 80, *, ascii: bool = False) -> str:
    """The line, then one row a stretch: from, to, years, what it was, with litres and strength at both ends of a fill."""
    found = stretches(life)
    if not found:
        return ""
    rows = [cut("  from        to          years  what", width)]
    untold = life.in_part and facts_of(life).contents is None  # Then nobody knows whether what lasts by the rest of the file still does.
    for stretch in found:
        start = stretch.start_text or (str(stretch.start) if stretch.start else "?")
        lasts = stretch.end == life.day
        end = "?" if lasts and untold else "now" if lasts else str(stretch.end)
        dated = stretch.start and _known(stretch.start) and _known(stretch.end) and end != "?"
        years = f"{years_between(stretch.start, stretch.end):5.1f}" if stretch.start and dated else "    ?"
        rows.append(cut(f"  {pad(start, 10)}  {pad(end, 10)}  {years}  {_stretch_words(stretch, life)}", width))
    rows += [cut(f"  told in part: {', '.join(life.unread)}", width)] if life.in_part else []
    drawn = [f"  {row}" for row in time_line(life, min(width or USUAL_WIDTH, MOST_WIDTH) - 4, ascii=ascii).split("\n")]
    legend = ["", cut(f"  {LEGEND}", width)] if any(stretch.kind == "empty" and stretch.labels[0] for stretch in found) else []
    text = "\n".join(row.rstrip() for row in [*drawn, "", *rows, *legend])
    return to_ascii(text) if ascii else text


def _stretch_words(stretch: Stretch, life: Life) -> str:
    tell: dict[str, Callable[[], str]] = {
        "past": lambda: f"before us: {stretch.labels[0]}",
        "wine": lambda: f"seasoning with {stretch.labels[0]}",
        "empty": lambda: _work(stretch, life),
        "fill": lambda: _fill_words(stretch, life),
    }
    return tell[stretch.kind]()


def _work(stretch: Stretch, life: Life) -> str:
    jobs: list[str] = []
    for event in life.events:
        inside = stretch.start is not None and stretch.start <= event.date <= stretch.end
        if inside and event.need.bench and event.job not in (*jobs, "season", "measure"):
            jobs.append(event.job)
    return "empty" + (f": {', '.join(jobs)}" if jobs else "")


def _fill_words(stretch: Stretch, life: Life) -> str:
    filling = stretch.filling
    assert filling is not None
    begun = _short(filling.litres, filling.abv)
    closing = None if filling.end_seq is None else life.events[filling.end_seq - 1]
    ended = _short(getattr(closing, "litres", None), getattr(closing, "abv", None)) if closing and closing.job == "empty" else ""
    told = f"fill {filling.count}, {filling.spirit or '?'}" + (f": {begun}" if begun else "")
    return told + (f" → {ended}" if ended else "") + (", too short to count" if filling.short else "")


def _short(litres: float | None, abv: float | None) -> str:
    return strength(litres, abv).replace(" at ", " ")
