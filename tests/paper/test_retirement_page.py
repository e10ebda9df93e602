"""A retirement sheet on paper: all of it on one page, however much there is, and nothing beyond its edges."""

from __future__ import annotations

import pytest

from caskbook.paper.label import PAPERS
from caskbook.paper.shapes import Box, Words
from caskbook.paper.sheets import page_of
from caskbook.render.retirement_sheet import SIGNED, Block, Row, Sheet

LONG = "spent: 2 fills since char on 2002-02-01, house limit 2; not to be charred again: re-charred twice already, house limit 2"
COMMAND = 'caskbook enter decide TH-004217 --rule rechar --outcome keep --until DATE --why "lesser use: WHAT" --approved-by NAME'


def sheet(rows: int) -> Sheet:
    had = Block("what it has had", tuple(Row("fills", ((LONG, LONG),)) for _ in range(rows)), cut=True)
    beside = Block("options", (Row("keep", ((LONG,), (LONG,))),), cut=True)
    entered = Block("entered by", tuple(Row("keep", ((COMMAND,),), command=True) for _ in range(6)))
    return Sheet(
        "TH-004217",
        ("TH-004217  barrel", "made 2011"),
        (had, beside, entered, Block("decided", tuple(Row("", ((line,),)) for line in SIGNED), room=True)),
        "the foot",
    )


@pytest.mark.parametrize("rows", [3, 20, 38])
def test_all_of_it_is_on_one_page(rows: int) -> None:
    page, (width, height) = page_of(sheet(rows)), PAPERS["A4"]
    words = [one for one in page.shapes if isinstance(one, Words)]
    assert all(one.x > 0 and one.x + one.width <= width and 0 < one.y < height - 10 for one in words)
    assert all(one.x > 0 and one.x + one.width <= width and one.y + one.height < height - 10 for one in page.shapes if isinstance(one, Box))
    assert words[-1].text == "the foot" and words[-1].y == max(one.y for one in words)


def test_few_rows_have_larger_letters_and_a_command_breaks_as_a_shell_takes_it() -> None:
    few, many = (max(one.size for one in page_of(sheet(rows)).shapes if isinstance(one, Words)) for rows in (3, 38))
    assert few > many
    texts = [one.text for one in page_of(sheet(3)).shapes if isinstance(one, Words)]
    broken = [at for at, text in enumerate(texts) if text.endswith(" \\")]
    assert broken and all(texts[at + 1].startswith("--") for at in broken)


def test_what_is_signed_is_boxes_and_rules() -> None:
    boxes = [one for one in page_of(sheet(3)).shapes if isinstance(one, Box) and one.edge]
    assert len(boxes) == "".join(SIGNED).count("[ ]")
    assert not any("_" in one.text for one in page_of(sheet(3)).shapes if isinstance(one, Words))
