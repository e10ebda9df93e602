"""The cask's own ullage table, and its measured capacity against the nominal one."""

from __future__ import annotations

import pytest
from casks import ev

from caskbook.gauging.domain import DomainError
from caskbook.loss.capacity import by_dimensions_note, class_b_note, ullage_table
from loss.filled import filled, lived


def measured(litres: float | None = None, **dims: int) -> dict[str, object]:
    more = {"capacity_l": litres} if litres is not None else {}
    return ev("2014-12-20", "measure", **more, **({"dims_mm": dims} if dims else {}))


@pytest.mark.parametrize(
    ("litres", "where"),
    [(202.0, "+2.0 L, within ± 2 L"), (202.1, "+2.1 L, outside ± 2 L"), (198.0, "-2.0 L, within ± 2 L"), (191.5, "-8.5 L, outside ± 2 L")],
)
def test_oiml_r138_class_b_tolerance(litres: float, where: str) -> None:
    """Nominal 200 L: ± 2.0 L. OIML R 138:2007, 5.1.3, class B (print)."""
    note = class_b_note(lived(measured(litres)))
    assert note is not None and where in note and "OIML R 138:2007" in note


def test_no_note_without_both_figures() -> None:
    assert class_b_note(lived()) is None
    assert class_b_note(lived(measured(202.0), capacity_l="absent")) is None


def test_the_table_is_that_of_the_cask_as_measured() -> None:
    table = ullage_table(lived(measured(255, bung=660, head=560, length=840)), 10)
    assert (table[0].litres, table[-1].litres) == (0.0, pytest.approx(255))
    assert [dip.wet_mm for dip in table[:3]] == [0, 10, 20] and table[-1].wet_mm == 660
    assert all(one.litres < other.litres for one, other in zip(table, table[1:], strict=False))
    standing = ullage_table(lived(measured(255, bung=660, head=560, length=840), filled(stow="upright-B")), 10)
    assert standing[-1].wet_mm == 840


def test_the_last_measure_counts_and_a_part_of_one_keeps_the_rest() -> None:
    life = lived(measured(255, bung=660, head=560, length=840), {**measured(250), "date": "2014-12-21"})
    assert ullage_table(life)[-1].litres == pytest.approx(250)
    assert by_dimensions_note(life) == "260.6 L by its inside measures, taken as a spheroid; 250 L is used"


def test_without_inside_measures_there_is_no_table() -> None:
    with pytest.raises(DomainError, match="its inside was not measured"):
        ullage_table(lived(measured(255)))
    assert by_dimensions_note(lived()) is None
