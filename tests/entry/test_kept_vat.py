"""The vat that a shift or the lines of a bench keep: shown as long as it is kept, taken by the fillings that call for it, and by nothing else."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from caskbook.cli.commands.bench import run as bench
from caskbook.cli.commands.shift import run as shift
from caskbook.cli.entering.bench_lines import BenchLines
from caskbook.cli.entering.bench_status import status_of
from caskbook.ledger.shift import shift_of
from entry.shop import HOUSE, Ran, Shop, days_ago

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
SOUND = {"date": days_ago(8), "job": "examine", "verdict": "sound"}
CASKS = ("TH-007005", "TH-007006", "TH-007007", "TH-007008")
FILL = ("--litres", "190", "--abv", "63.5", "--temp", "12")


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    made = Shop(tmp_path, HOUSE)
    for cask in CASKS:
        made.put(CAME, SOUND, cask=cask)
    return made


def at_bench(house: Shop, monkeypatch: pytest.MonkeyPatch, *words: str) -> Ran:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{one}\n" for one in words)))
    return house.run(bench)


def vats(house: Shop) -> list[tuple[str | None, float | None]]:
    """(vat, its litres) of the last entry of each cask."""
    return [(house.last(cask).get("vat"), house.last(cask).get("vat_litres")) for cask in CASKS]


def test_a_fill_takes_the_vat_of_the_shift_unless_it_says_another_or_none(house: Shop) -> None:
    began = house.run(shift, "ab", "--spirit", "malt", "--vat", "V 12", "--vat-litres", "800")
    assert began.code == 0 and began.out.endswith("; spirit malt, vat V 12, vat-litres 800\n") and house.run(shift).out == began.out
    ran = house.enter("fill", "7005", *FILL, "--yes")
    assert ran.code == 0 and "vat V 12" in ran.err, "the shift is said with each run, and what it keeps"
    assert house.enter("fill", "7006", *FILL, "--vat", "V13", "--yes").code == 0
    assert house.enter("fill", "7007", *FILL, "--vat", "none", "--yes").code == 0
    assert house.enter("fill", "7008", *FILL, "--vat", "v  12", "--yes").code == 0
    assert vats(house) == [("V 12", 800), ("V13", None), (None, None), ("v  12", 800)]


@pytest.mark.thorough
def test_it_goes_into_no_other_spirit_job_or_replacement(house: Shop) -> None:
    house.run(shift, "ab", "--spirit", "malt", "--vat", "V12", "--vat-litres", "800")
    assert house.enter("fill", "7005", *FILL, "--spirit", "grain", "--yes").code == 0 and "vat" not in house.last(CASKS[0])
    assert house.enter("top", "7005", "--litres", "2", "--abv", "60", "--at-20", "--yes").code == 0 and "vat" not in house.last(CASKS[0])
    assert house.enter("test", "7006", "p", "--psi", "9", "--yes").code == 0 and "vat" not in house.last(CASKS[1])
    assert house.enter("rack", "7005", "--to", "7006", "--litres", "150", "--abv", "63", "--why", "leaks", "--yes").code == 0
    assert not any("vat" in event for cask in CASKS[:2] for event in house.data(cask)["events"])
    assert house.enter("fill", "7007", *FILL, "--vat", "V13", "--yes").code == 0
    first = house.last(CASKS[2])
    assert house.enter("fill", "7007", "--litres", "191", "--replaces", first["id"], "--why", "misread", "--yes").code == 0
    assert (house.last(CASKS[2])["vat"], "vat_litres" in house.last(CASKS[2])) == ("V13", False)


@pytest.mark.thorough
@pytest.mark.parametrize(("typed", "own", "taken"), [("single malt", "", True), ("malt", "class_of_spirit: [single-malt]\n", False), ("grain", "", False)])
def test_a_spirit_in_another_spelling_is_the_one_that_is_kept(tmp_path: Path, house: Shop, typed: str, own: str, taken: bool) -> None:
    """But for words that a house tells apart."""
    (house.root / "house.yaml").write_text(HOUSE + own, encoding="utf-8")
    kept = "single malt" if own else "malt"
    house.run(shift, "ab", "--spirit", kept, "--vat", "V12", "--vat-litres", "800")
    assert house.enter("fill", "7005", *FILL, "--spirit", typed, "--yes").code == 0
    sheet = tmp_path / "fills.csv"
    sheet.write_text(f"job,cask,litres,abv,temp_c,spirit\nfill,7006,190,63.5,12,{typed}\n")
    house.run(shift, "end")
    assert house.enter("sheet", str(sheet), "--spirit", kept, "--vat", "V12", "--vat-litres", "800", "--by", "ab", "--yes").code == 0
    assert vats(house)[:2] == 2 * [("V12", 800) if taken else (None, None)]


@pytest.mark.thorough
def test_a_spirit_in_another_spelling_at_the_bench(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = " ".join(FILL)
    ran = at_bench(
        house, monkeypatch, "shift ab", f"fill 7005 {fill} --spirit malt --vat V12", f'7006 {fill} --spirit "single malt"', "same 7007 --spirit malts"
    )
    assert ran.code == 0 and vats(house)[:3] == 3 * [("V12", None)], ran.err


def test_it_is_put_down_with_the_shift(house: Shop) -> None:
    house.run(shift, "ab", "--spirit", "malt", "--vat", "V12")
    house.run(shift, "ab", "--spirit", "malt")
    assert house.enter("fill", "7005", *FILL, "--yes").code == 0 and "vat" not in house.last(CASKS[0])
    house.run(shift, "ab", "--vat", "V12", "--psi", "11")
    assert house.run(shift, "ab", "--vat", "none", "--psi", "none").out.rstrip().partition(";")[1:] == ("", ""), "none is nothing that is kept"
    house.run(shift, "ab", "--vat", "V12")
    house.run(shift, "end")
    assert house.enter("fill", "7006", *FILL, "--spirit", "malt", "--by", "ab", "--yes").code == 0 and "vat" not in house.last(CASKS[1])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("ab", "--vat-litres", "800"), "--vat-litres goes with --vat"),
        (("ab", "--vat", "none", "--vat-litres", "800"), "--vat-litres goes with --vat"),
        (("ab", "--vat", "V12", "--vat-litres", "much"), "--vat-litres: 'much'"),
        (("ab", "--vat"), "--vat needs a value"),
        (("ab", "--vat", ""), "--vat"),
        (("--vat", "V12"), "--vat goes with whose shift it is"),
    ],
)
@pytest.mark.thorough
def test_what_cannot_be_kept_is_refused(house: Shop, words: tuple[str, ...], said: str) -> None:
    ran = house.run(shift, *words)
    assert ran.code == 2 and said in ran.err and shift_of(house.root) is None, ran.err


def test_at_the_bench_it_stays_as_the_spirit_does_and_ends_with_the_shift(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    ran = at_bench(
        house, monkeypatch,
        "shift ab", f"fill 7005 {' '.join(FILL)} --spirit malt --vat V12 --vat-litres 800", f"7006 {' '.join(FILL)}", "test 7007 p --psi 9", "shift ab",
        f"fill 7008 {' '.join(FILL)} --spirit malt",
    )  # fmt: skip
    assert ran.code == 0 and ran.err.count("vat V12") >= 2, ran.err
    assert vats(house) == [("V12", 800), ("V12", 800), (None, None), (None, None)]


@pytest.mark.parametrize(
    ("second", "third", "expected"),
    [
        ("--vat V13", "", [("V12", 800), ("V13", None), ("V13", None)]),
        ("--vat none", "", [("V12", 800), (None, None), (None, None)]),
        ("--spirit grain", "", [("V12", 800), (None, None), (None, None)]),
        ("--spirit grain", "--spirit malt", [("V12", 800), (None, None), (None, None)]),
        ("--vat v12", "", [("V12", 800), ("v12", 800), ("v12", 800)]),
        ("--vat-litres 810 --yes", "--yes", [("V12", 800), ("V12", 810), ("V12", 810)]),
        ("--vat V13 --vat-litres 500", "--vat V12", [("V12", 800), ("V13", 500), ("V12", None)]),
    ],
)
@pytest.mark.thorough
def test_litres_go_with_their_vat_and_a_vat_with_its_spirit(house: Shop, monkeypatch: pytest.MonkeyPatch, second: str, third: str, expected: list) -> None:
    fill = " ".join(FILL)
    ran = at_bench(
        house, monkeypatch, "shift ab", f"fill 7005 {fill} --spirit malt --vat V12 --vat-litres 800", f"7006 {fill} {second}", f"7007 {fill} {third}"
    )
    assert ran.code == 0, ran.err
    assert vats(house)[:3] == expected


@pytest.mark.thorough
def test_litres_of_a_vat_typed_beside_that_of_the_shift_are_not_kept_for_it(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = " ".join(FILL)
    ran = at_bench(
        house, monkeypatch,
        "shift ab --spirit malt --vat V12", f"fill 7005 {fill}", f"7006 {fill} --vat V13 --vat-litres 500", f"7007 {fill}", f"7008 {fill} --spirit grain",
    )  # fmt: skip
    assert ran.code == 0 and vats(house) == [("V12", None), ("V13", 500), ("V12", None), (None, None)], ran.err


@pytest.mark.thorough
def test_a_vat_of_the_bench_beside_a_spirit_of_the_shift(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = " ".join(FILL)
    ran = at_bench(house, monkeypatch, "shift ab --spirit malt", f"fill 7005 {fill} --vat V12", f"7006 {fill} --spirit grain", f"7007 {fill}")
    assert ran.code == 0 and vats(house)[:3] == [("V12", None), (None, None), (None, None)], ran.err


@pytest.mark.thorough
def test_same_takes_the_vat_along_and_not_into_another(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    first = f"fill 7005 {' '.join(FILL)} --spirit malt --vat V12 --vat-litres 800"
    ran = at_bench(house, monkeypatch, "shift ab", first, "same 7006", "same 7007 --vat V13", "same 7008 --spirit grain")
    assert ran.code == 0 and vats(house) == [("V12", 800), ("V12", 800), ("V13", None), (None, None)], ran.err


@pytest.mark.thorough
def test_a_scan_and_a_sheet_take_it_too(house: Shop, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    house.run(shift, "ab", "--spirit", "malt", "--vat", "V12", "--vat-litres", "800")
    monkeypatch.setattr("sys.stdin", io.StringIO("7005\n7006 --vat V13\n"))
    assert house.enter("scan", "fill", *FILL).code == 0
    path = tmp_path / "fills.csv"
    path.write_text("job,cask,litres,abv,temp_c,vat\nfill,7007,190,63.5,12,\nfill,7008,190,63.5,12,none\n")
    assert house.enter("sheet", str(path), "--yes").code == 0
    assert vats(house) == [("V12", 800), ("V13", None), ("V12", 800), (None, None)]


@pytest.mark.thorough
def test_a_sheet_whose_rows_have_a_vat_of_their_own(house: Shop, tmp_path: Path) -> None:
    """What is given for all rows goes along with the rows that it fits, under whatever name."""
    house.run(shift, "ab")
    path = tmp_path / "fills.csv"
    path.write_text(
        "job,cask,litres,abv,temp_c,spirit,vat\nfill,7005,190,63.5,12,,\nfill,7006,190,63.5,12,,V13\nfill,7007,190,63.5,12,grain,\nfill,7008,190,63.5,12,malt,v12\n"
    )
    assert house.enter("sheet", str(path), "--vat-litres", "800", "--spirit", "malt", "--batch", "V12", "--yes").code == 0
    assert vats(house) == [("V12", 800), ("V13", None), (None, None), ("v12", 800)]


@pytest.mark.thorough
def test_rows_typed_in_a_grid_take_it_as_any_row(house: Shop) -> None:
    from caskbook.entry.request import Request
    from caskbook.entry.sheet_rows import give_alike

    for own, expected in (({}, ["V12", "800"]), ({"vat": "V13"}, ["V13", None]), ({"spirit": "grain"}, [None, None]), ({"vat": "none"}, ["none", None])):
        request = Request(["fill"], ["TH-007005"], {("fill", key): [text] for key, text in own.items()})
        give_alike(request, {"vat_litres": "800", "vat": "V12", "spirit": "malt"}, house.ledger.house.on(house.today))
        assert [request.one("vat", "fill"), request.one("vat_litres", "fill")] == expected


@pytest.mark.thorough
def test_a_scan_with_a_vat_of_its_own_gives_no_litres_to_another(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    house.run(shift, "ab")
    monkeypatch.setattr("sys.stdin", io.StringIO("7005\n7006 --vat V13\n7007 --spirit grain\n7008\n"))
    assert house.enter("scan", "fill", *FILL, "--spirit", "malt", "--vat", "V12", "--vat-litres", "800").code == 0
    assert vats(house) == [("V12", 800), ("V13", None), (None, None), ("V12", 800)]


def test_the_foot_of_the_bench_shows_it_as_long_as_it_is_kept(house: Shop) -> None:
    from caskbook.cli.common import open_book

    made = BenchLines(open_book(str(house.root)), lambda first, rest, bad: None)
    fill = " ".join(FILL)

    def foot(line: str) -> bool:
        made.take(line)
        return " · vat V12 of 800 L · " in status_of(made)

    assert not foot("shift ab --spirit malt")
    assert foot(f"fill 7005 {fill} --vat V12 --vat-litres 800") and foot("test 7006 p --psi 9"), "another job does not put it down"
    assert not foot(f"fill 7006 {fill} --vat none")
    assert foot("shift ab --spirit malt --vat V12 --vat-litres 800") and not foot("shift end")


@pytest.mark.parametrize(
    ("between", "expected"),
    [
        (f"7006 {' '.join(FILL)}", (None, None, None)),
        (f"fill 7006 {' '.join(FILL)} --spirit grain --vat V13\nundo\n7006 {' '.join(FILL)}", (None, None, None)),
        (f"fill --spirit grain --vat V13\n7006 {' '.join(FILL)}", ("grain", "V13", None)),
    ],
)
def test_a_line_that_is_undone_gives_nothing_on(
    house: Shop, monkeypatch: pytest.MonkeyPatch, between: str, expected: tuple[str | None, str | None, float | None]
) -> None:
    ran = at_bench(house, monkeypatch, "shift ab", f"fill 7005 {' '.join(FILL)} --spirit malt --vat V12 --vat-litres 800", "undo", *between.splitlines())
    if expected[0] is None:
        assert ran.code == 1 and "NOT WRITTEN" in ran.err and house.last(CASKS[1])["job"] == "examine", "no spirit is known: it is asked for, not taken"
    else:
        assert ran.code == 0 and tuple(house.last(CASKS[1]).get(key) for key in ("spirit", "vat", "vat_litres")) == expected, ran.err


@pytest.mark.thorough
def test_what_was_kept_before_a_line_comes_back_where_that_is_undone(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """The vat and the spirit, and which line `same` means; but nothing of before a shift, and nothing that is the whole run's."""
    fill = " ".join(FILL)
    first, second = f"fill 7005 {fill} --spirit malt --vat V12 --vat-litres 800", f"7006 {fill} --spirit grain --vat V13"
    ran = at_bench(house, monkeypatch, "shift ab", first, second, "undo", "same 7006", f"7007 {fill}", "undo", "undo", f"7008 {fill}")
    assert ran.code == 0 and vats(house) == [("V12", 800), (None, None), (None, None), ("V12", 800)], ran.err
    assert house.last(CASKS[3])["sheet"] == house.last(CASKS[0])["sheet"] and house.last(CASKS[3])["spirit"] == "malt"


@pytest.mark.thorough
def test_an_undo_brings_back_nothing_of_before_the_shift(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    fill = " ".join(FILL)
    before = (f"fill 7005 {fill} --spirit malt --vat V12", f"7006 {fill} --spirit grain")
    ran = at_bench(house, monkeypatch, "shift ab", *before, "shift ab", "undo", f"7007 {fill} --spirit malt")
    assert ran.code == 0 and vats(house)[:3] == [("V12", None), (None, None), (None, None)], ran.err


def test_a_step_puts_back_what_it_changed_but_for_the_run() -> None:
    from caskbook.cli.entering.kept import Step

    given = {("fill", "spirit"): ["malt"], ("fill", "vat"): ["V12"], ("run", "minted"): ["run-x"]}
    step = Step(None, frozenset(), {("fill", "vat_litres"): ["800"]}, {**given})
    step.put_back(given)
    assert given == {("fill", "vat_litres"): ["800"], ("run", "minted"): ["run-x"]}
