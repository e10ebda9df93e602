"""The picture of a fill: every gauge where it belongs, the band of a sound cask, where the loss begins, at any width and in ASCII."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from loss.filled import filled, gauged, lived
from loss.test_verdicts import PEERS, SETTINGS, kept

from caskbook.loss import PeerTable
from caskbook.loss.drawing import Drawing, Mark, drawing_of
from caskbook.loss.fill_summary import summaries_of
from caskbook.loss.verdicts import sound_of
from caskbook.render.console import to_ascii
from caskbook.render.loss_picture import ROWS, picture

DAY = date(2015, 1, 1)


def drawn(*gauges: dict[str, object], peers: PeerTable = PEERS) -> Drawing | None:
    (summary,) = summaries_of(lived(filled(), *gauges))
    return drawing_of(summary, peers, SETTINGS)


def leaking() -> Drawing:
    found = drawn(gauged("2017-01-01", kept(2), 63.4), gauged("2019-01-01", kept(4), 63.3), gauged("2021-01-01", kept(6) * 0.8, 63.2))
    assert found is not None
    return found


def test_a_leak_leaves_the_band_where_it_is_marked() -> None:
    found = leaking()
    assert found.begins == (2, 3)
    first, *sound, last = found.marks
    assert (first.kept, first.least, first.most) == (1.0, 1.0, 1.0)
    assert all(mark.least < mark.kept < mark.most for mark in sound) and last.kept < last.least
    # from the gauge before the leak a sound cask goes on as this one did: the band opens anew from there
    assert sound[1].most - sound[1].least < sound[0].most - sound[0].least and last.most < sound[1].kept
    assert [round(mark.kept, 2) for mark in found.marks] == [1.0, 0.96, 0.92, 0.71]


def test_the_band_ends_where_the_house_acts() -> None:
    """Nothing known of the gauges before the first: mean and spread of the model itself, `score` spreads to each side."""
    (summary,) = summaries_of(lived(filled(), gauged("2019-01-01", kept(4), 63.3)))
    found, model = drawing_of(summary, PEERS, SETTINGS), sound_of(summary, PEERS.expected(summary.figure, SETTINGS), PEERS, SETTINGS)
    assert found is not None and model is not None and found.score > 2
    mean, spread = model.band(0)
    mark = found.marks[1]
    assert (mark.least, mark.most) == pytest.approx((math.exp(-mean - found.score * spread), min(1.0, math.exp(-mean + found.score * spread))))


def test_at_80_columns() -> None:
    lines = picture(leaking(), width=80)
    assert all(len(line) <= 80 for line in lines)
    drawn_rows = lines[:ROWS]
    assert sum(line.count("●") for line in drawn_rows) == 4
    assert lines[-1] == "▲ the loss begins between 2019-01-01 and 2021-01-01"
    marks = next(line for line in lines[ROWS:] if set(line.strip()) == {"▲"})
    gauges = sorted(line.index("●") for line in drawn_rows if "●" in line)
    assert (marks.index("▲"), marks.rindex("▲")) == (gauges[2], gauges[3])


def test_nothing_begins_in_a_sound_fill_and_nothing_is_drawn_without_peers() -> None:
    sound = drawn(gauged("2019-01-01", kept(4), 63.3))
    assert sound is not None and sound.begins is None
    assert not any("▲" in line for line in picture(sound, width=80))
    assert drawn() is None


def test_in_ascii() -> None:
    assert all("?" not in to_ascii(line) and to_ascii(line).isascii() for line in picture(leaking(), width=80))


MARKS = st.lists(st.tuples(st.integers(0, 900), st.floats(0, 1.2), st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=12)


@given(MARKS, st.integers(40, 120))
@pytest.mark.filterwarnings("error")
def test_any_fill_at_any_width(steps: list[tuple[int, float, float, float]], width: int) -> None:
    marks, days = [Mark(DAY, 0.0, 1.0, 1.0, 1.0)], 0
    for later, share, one, other in steps:
        days += later
        marks.append(Mark(DAY + timedelta(days), days / 365.2425, share, min(one, other), max(one, other)))
    lines = picture(Drawing(tuple(marks), (0, 1), 3.0), width=width)
    assert all(len(line) <= width for line in lines) and len(lines) >= ROWS + 4
