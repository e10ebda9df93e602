"""The sheet of a day on paper: a page for a page, a box to tick for each job, nothing over an edge or over another line, however much there is."""

from __future__ import annotations

import pytest

from caskbook.entry.blank import rooms_of
from caskbook.paper.label import PAPERS
from caskbook.paper.morning import morning_pages
from caskbook.paper.shapes import Box, Page, Words
from caskbook.render.morning import Block, Row
from caskbook.render.morning import Page as Sheet

WIDTH, HEIGHT = PAPERS["A4"]
REASON = "to be repaired since 2026-11-20, still open: stave-3 cracked (2), stave-4 thin (2) and joint-9 joint-leak (2); answered by a job at its place"
CAUTION = "Air test: nobody in line with a head (112 casks, to 500 L; the house's limit, 11 psi, presses on a 0.72 m head with 31 kN, 3.1 tonnes)."
MOST = (12, 7, 14)
JOBS = ("test", "look", "nose", "examine", "treat", "regauge", "decide", "stave", "char", "retire")


def row(at: int, store: str) -> Row:
    return Row(store, f"W1/{at}/12", f"TH-{at:06}", "quarter-cask", JOBS[at % len(JOBS)], "0.25 h", REASON, rooms_of(JOBS[at % len(JOBS)]))


def laid(rows: int, stores: int, foot: tuple[int, ...]) -> Page:
    """`foot`: how many lines the cautions have, the casks held, and what is not planned; 12, 7 and 14 are the most that there can be."""
    texts = (CAUTION, REASON, f"{REASON} {REASON}")
    blocks = [Block(f"block {n}", [texts[n]] * many, whole=not n) for n, many in enumerate(foot)]
    sheet = Sheet(
        "Thornmere House · Monday 2026-11-30", "", "for ab", [REASON] * 3, [row(at, f"store {at * stores // rows}") for at in range(rows)], blocks, REASON
    )
    (page,) = morning_pages([sheet])
    return page


def strips(page: Page) -> list[Box]:
    return [one for one in page.shapes if isinstance(one, Box) and one.edge and not one.grey and one.width > 100]


def ticks(page: Page) -> list[Box]:
    return [one for one in page.shapes if isinstance(one, Box) and one.edge == 0.3]


@pytest.mark.parametrize(("rows", "stores", "foot"), [(1, 1, ()), (3, 2, (1, 1, 1)), (20, 4, (4, 4, 4)), (24, 5, MOST), (24, 24, MOST)])
def test_nothing_is_over_an_edge_or_over_another_strip(rows: int, stores: int, foot: tuple[int, ...]) -> None:
    page = laid(rows, stores, foot)
    for one in page.shapes:
        high, wide = (one.height, one.width) if isinstance(one, Box) else (0, one.width)
        assert one.x >= 9.9 and one.x + wide <= WIDTH - 9.4 and one.y > 5 and one.y + high <= HEIGHT - 9, one
    found = strips(page)
    assert len(found) == len(ticks(page)) == rows
    assert all(before.y + before.height <= after.y + 1e-6 for before, after in zip(found, found[1:], strict=False))
    below = [one for one in page.shapes if isinstance(one, Words) and one.y > found[-1].y + found[-1].height]
    assert below and all(one.y - one.size >= found[-1].y + found[-1].height - 1e-6 for one in below)


@pytest.mark.parametrize(("rows", "stores", "foot"), [(20, 4, (4, 4, 4)), (24, 5, MOST), (24, 24, MOST)])
def test_strips_stay_high_enough_to_write_into(rows: int, stores: int, foot: tuple[int, ...]) -> None:
    """A hand needs 6 mm and more: common practice, no source."""
    assert all(one.height >= 6 for one in strips(laid(rows, stores, foot)))


def test_each_job_has_its_box_beside_its_place_and_number_and_what_it_is_called() -> None:
    page = laid(10, 2, (2, 2))
    for strip, box, at in zip(strips(page), ticks(page), range(10), strict=True):
        assert strip.y < box.y and box.y + box.height < strip.y + strip.height and box.width >= 3
        within = [one.text for one in page.shapes if isinstance(one, Words) and strip.y < one.y <= strip.y + strip.height]
        assert f"W1/{at}/12" in within and f"TH-{at:06}" in within and "initials" in within
        assert any(text.startswith(f"{JOBS[at]}  0.25 h") or text == f"{JOBS[at]} 0.25 h" for text in within), within
        assert ("psi" in within) == (JOBS[at] == "test") and ("litres" in within) == (JOBS[at] == "regauge")


def test_a_reason_is_cut_with_a_sign_where_the_strip_is_low_and_begins_beside_the_job() -> None:
    for rows in (4, 24):
        page = laid(rows, 1, (2, 2))
        first = strips(page)[0]
        within = [one for one in page.shapes if isinstance(one, Words) and first.y < one.y <= first.y + first.height and 60 < one.x < 121]
        told = " ".join(one.text for one in within[1:])
        assert REASON.startswith(told.rstrip("…").rstrip()[:20]) and told.count("to be repaired") == 1 and ("…" in told or told == REASON)
        assert all(one.x + one.width <= 10 + 29 + 27 + 56 for one in within)


def test_rules_to_write_on_where_the_jobs_leave_room() -> None:
    rules = [[one for one in laid(rows, 1, (1,)).shapes if isinstance(one, Box) and one.height == 0] for rows in (2, 24)]
    assert len(rules[0]) > 5 and not rules[1] and all(one.x == 10 and one.width == WIDTH - 20 for one in rules[0])


def test_a_caution_is_never_cut_and_what_is_beside_it_with_a_sign() -> None:
    """However long, and however little room there is."""
    long = f"{CAUTION} {CAUTION}"
    sheet = Sheet(
        "Monday", "", "for ab", [], [row(at, "") for at in range(24)], [Block("take care", [long] * 3, whole=True), Block("beside it", [long] * 28)], ""
    )
    said = " ".join(one.text for page in morning_pages([sheet]) for one in page.shapes if isinstance(one, Words))
    assert said.count(long) == 3 and said.count("…") > 28
