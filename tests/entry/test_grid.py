"""The grid in which a paper sheet is typed: what each key does, and what is told of a wrong cell or row."""

from __future__ import annotations

import pytest

from caskbook.entry.grid import Grid, GridColumn, GridRow, grid_columns


class Typed:
    """A grid of four casks, of which keys are typed; `kept` counts how often it was kept."""

    def __init__(self, *jobs: str, alike: dict[str, str] | None = None, wrong: str = "", no: str = "") -> None:
        self.kept = 0

        def keep() -> None:
            self.kept += 1

        def judge(row: GridRow) -> tuple[str, str]:
            return ("result", "it is full") if row.cask == no else ("", "")

        def read(column: GridColumn, text: str) -> str:
            return f"--{column.title}: {text} cannot be" if text == wrong else ""

        rows = [GridRow(n, f"TH-00700{n}") for n in range(1, 5)]
        self.grid = Grid(grid_columns(jobs), rows, alike or {}, read, judge, keep)

    def type(self, keys: str) -> Typed:
        """Signs, with | for Enter, > for Tab, < for the cursor upwards and ~ for Backspace."""
        acts = {"|": self.grid.enter, ">": lambda: self.grid.go(0, 1), "<": lambda: self.grid.go(-1, 0), "~": self.grid.rub_out}
        for key in keys:
            acts[key]() if key in acts else self.grid.sign(key)
        return self

    @property
    def cells(self) -> list[dict[str, str]]:
        return [row.cells for row in self.grid.rows]


def test_one_key_answers_a_row_and_goes_on() -> None:
    typed = Typed("test").type("pp")
    assert typed.cells[:3] == [{"result": "pass"}, {"result": "pass"}, {}] and typed.grid.row == 2 and typed.kept >= 2


def test_a_failed_test_asks_where_and_a_cured_one_too() -> None:
    typed = Typed("test").type("fj3|cjoint-4|")
    assert typed.cells[:2] == [{"result": "fail", "leaks": "j3"}, {"result": "pass", "cured_by": "drive", "leaks": "joint-4"}]
    assert typed.grid.row == 2 and typed.grid.column.key == "result"


def test_a_row_or_a_cell_is_repeated_by_one_key() -> None:
    typed = Typed("test").type('fj3|"')
    assert typed.cells[1] == {"result": "fail", "leaks": "j3"} and typed.grid.row == 2
    assert Typed("test").type("fj3|f=").cells[1] == {"result": "fail", "leaks": "j3"}
    assert Typed("test").type('"').grid.said == "nothing stands above"


def test_enter_leaves_an_empty_row_out() -> None:
    typed = Typed("test").type("|p|p")
    assert typed.cells == [{}, {"result": "pass"}, {}, {"result": "pass"}] and len(typed.grid.filled()) == 2


def test_a_word_that_there_is_not_rings_and_puts_nothing_down() -> None:
    typed = Typed("test").type("x")
    assert typed.cells[0] == {} and typed.grid.bell and "expected one of pass, fail, c (leaked" in typed.grid.said
    assert Typed("look").type("w").cells[0] == {"seen": "weep"}


def test_words_that_begin_alike_are_told_apart_by_more_letters() -> None:
    typed = Typed("toast").type("m")
    assert typed.grid.typing == "m" and typed.cells[0] == {}
    assert typed.type("edium|").cells[0] == {"level": "medium"}
    assert Typed("toast").type("l").cells[0] == {"level": "light"}


def test_a_wrong_cell_holds_the_cursor_and_is_told_beside_it() -> None:
    typed = Typed("test", wrong="j99").type("fj99|")
    assert typed.grid.row == 0 and typed.grid.column.key == "leaks" and typed.grid.bell
    assert (typed.grid.here.at, typed.grid.here.fault) == ("leaks", "--leaks: j99 cannot be")
    assert typed.type("j3|").grid.rows[0].fault == "" and typed.grid.row == 1


def test_a_row_that_cannot_be_is_told_and_the_next_one_begins() -> None:
    typed = Typed("test", no="TH-007001").type("pp")
    assert typed.grid.rows[0].fault == "it is full" and typed.grid.row == 2
    assert not typed.grid.check_all() and typed.grid.row == 0 and typed.grid.said == "1 row is to be put right"
    assert typed.type("~").grid.check_all()


def test_what_is_given_for_all_rows_is_not_asked_of_each() -> None:
    typed = Typed("fill", alike={"spirit": "malt", "abv": "63.5"}).type("200|198|")
    assert typed.cells[:2] == [{"litres": "200"}, {"litres": "198"}] and typed.grid.row == 2
    assert Typed("fill", alike={"abv": "63.5"}).type("malt|200|").grid.row == 1


def test_a_job_of_which_nothing_must_be_said_has_a_tick() -> None:
    typed = Typed("drive").type("xx")
    assert typed.cells[:2] == [{"tick": "x"}, {"tick": "x"}] and typed.grid.row == 2


@pytest.mark.parametrize("jobs", [("test",), ("shave", "char"), ("receive",), ("examine",), ("regauge",), ("note",)])
def test_every_field_has_its_column_and_the_note_is_last(jobs: tuple[str, ...]) -> None:
    from caskbook.entry.sheet_columns import columns_of

    keys = [one.key for one in grid_columns(jobs)]
    assert set(keys) - {"tick", "photo", "note"} == {one.key for one in columns_of(jobs)} - {"note"} and len(set(keys)) == len(keys)
    assert keys[-2:] == ["photo", "note"]


def test_the_cursor_stays_within_the_sheet_and_the_last_row_says_what_writes() -> None:
    typed = Typed("test").type("<pppp")
    assert typed.grid.row == 3 and "Ctrl-S" in typed.grid.said


def test_the_screen_shows_what_is_wrong_below_its_row_and_the_cell_that_is_meant() -> None:
    """Eighty columns by twenty-four lines, whatever the sheet: the cursor's row and its fault are always among them."""
    from caskbook.cli.entering.grid_screen import shown

    typed = Typed("test", alike={"psi": "11"}, no="TH-007001").type("pf")
    for row in range(4):
        typed.grid.row = row
        lines = "".join(part[1] for part in shown(typed.grid, "test \u00b7 Monday", 80, 24)).split("\n")
        assert len(lines) <= 24 and all(len(line) <= 80 for line in lines)
        at = next(n for n, line in enumerate(lines) if "TH-007001" in line)
        assert lines[at].startswith("! TH-007001") and lines[at].split()[2:] == ["pass", "11"] and lines[at + 1] == "    ^ it is full"
    assert any(line.startswith("2 of 4 rows filled in, 1 wrong") for line in lines)


def test_of_many_rows_and_columns_the_cursor_is_always_in_sight() -> None:
    from caskbook.cli.entering.grid_screen import shown

    typed = Typed("receive")
    typed.grid.rows += [GridRow(n, f"TH-00{n:04d}", "W1/05/2", fault="it is \x1b[2J full") for n in range(5, 400)]
    for row, col in ((0, 0), (50, 10), (398, len(typed.grid.columns) - 1)):
        typed.grid.row, typed.grid.col = row, min(col, len(typed.grid.columns) - 1)
        parts = shown(typed.grid, "receive", 80, 24)
        text = "".join(part[1] for part in parts)
        assert typed.grid.rows[min(row, len(typed.grid.rows) - 1)].cask in text and any(part[0] == "reverse" for part in parts) and "\x1b" not in text
        assert len(text.split("\n")) <= 24 and typed.grid.column.title in text
