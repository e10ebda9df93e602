"""The bench, its lines from a pipe: each written at once, each refusal told, the state of the work kept from line to line."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from entry.shop import CASK, HOUSE, Ran, Shop, days_ago

from caskbook.cli.commands.bench import run as bench
from caskbook.cli.commands.shift import run as shift

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}
FULL = {"date": days_ago(9), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 12}
EMPTY = ("TH-007005", "TH-007006", "TH-007007", "TH-007008")


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("CASKBOOK_STATE", str(tmp_path / "state"))
    monkeypatch.delenv("CASKBOOK_BY", raising=False)
    made = Shop(tmp_path, HOUSE)
    for cask in EMPTY:
        made.put(CAME, cask=cask)
    made.put(CAME, FULL, cask="TH-007100")
    return made


def at_bench(house: Shop, *lines: str, begin: bool = True) -> Ran:
    """What the bench says to these lines; `begin`: with a shift of ab first."""
    import sys

    before = sys.stdin
    sys.stdin = io.StringIO("".join(f"{line}\n" for line in (*(("shift ab",) if begin else ()), *lines)))
    try:
        return house.run(bench)
    finally:
        sys.stdin = before


@pytest.mark.thorough
def test_a_day_of_tests(house: Shop) -> None:
    ran = at_bench(house, "test 7005 p --psi 11", "7006 f j3", "", "# tea", "7007 c joint-4", "same 7008", "end", "7005 p")
    assert ran.code == 0, ran.err
    assert [house.last(cask)["result"] for cask in EMPTY] == ["pass", "fail", "pass", "pass"]
    assert all(house.last(cask) == {**house.last(cask), "by": "ab", "date": days_ago(0), "psi": 11} for cask in EMPTY)
    assert house.last("TH-007006")["leaks"] == [{"at": "joint-3"}]
    for cask in EMPTY[2:]:
        assert house.last(cask) == {**house.last(cask), "leaks": [{"at": "joint-4"}], "cured_by": "drive"}
    assert len({house.last(cask)["sheet"] for cask in EMPTY}) == 1, "one sheet for the day, so that `void --sheet` finds it"
    told = [line for line in ran.out.splitlines() if line.startswith("WRITTEN")]
    assert told[0].startswith("WRITTEN  TH-007005  test: pass, 11 psi") and f"{days_ago(0):%a} {days_ago(0)}, ab" in told[0] and len(told) == 4
    summary = ran.err[ran.err.index("4 entries on 4 casks, 0 lines refused") :]
    assert "  test pass 3: TH-007005, TH-007007, TH-007008" in summary and "  test fail 1: TH-007006" in summary


def test_it_is_plain_in_a_pipe_and_a_refusal_is_the_exit_code(house: Shop) -> None:
    ran = at_bench(house, "test 7100 p --psi 11", "7005 p --psi 11", "\x1b[2J", "7006 f \x07")
    assert ran.code == 1 and "NOT WRITTEN  TH-007100  test needs it empty; it has held malt" in ran.err
    assert not set(ran.out + ran.err) & {"\x1b", "\x07", "\r"}
    assert "1 entry on 1 cask, 3 lines refused" in ran.err and "refused: test 7100 p --psi 11: " in ran.err


def test_the_job_stays_and_what_was_typed_for_it(house: Shop) -> None:
    ran = at_bench(house, "test --psi 10", "7005 p", "flag 7005 j3", "7006 j4", "test 7006 p", "drive 7007", "7008 p")
    assert ran.code == 1 and house.last("TH-007006")["psi"] == 10 and house.last("TH-007007")["job"] == "drive"
    assert "'p' is not expected here" in ran.err, "the job that stays is the last one"
    assert [event["job"] for event in house.data("TH-007006")["events"]] == ["receive", "flag", "test"]


def test_same_leaves_out_what_hangs_on_the_other_cask(house: Shop) -> None:
    house.put(
        CAME, {"date": days_ago(8), "job": "examine", "verdict": "repair", "findings": [{"at": "joint-4", "defect": "weep", "severity": 1}]}, cask="TH-007005"
    )
    ran = at_bench(house, "same 7006", "test 7005 p --psi 9 --answers e0000002/joint-4", "same 7006", "same 7007 f j2", "same", "same 7008 --psi 8")
    assert ran.code == 1 and "same as what?" in ran.err and "same, on which cask?" in ran.err
    assert "answers" not in house.last("TH-007006") and house.last("TH-007006")["psi"] == 9
    assert house.last("TH-007007") == {**house.last("TH-007007"), "result": "fail", "leaks": [{"at": "joint-2"}]}
    assert house.last("TH-007008") == {**house.last("TH-007008"), "psi": 8, "result": "fail", "leaks": [{"at": "joint-2"}]}


def test_undo_takes_back_one_line_after_the_other(house: Shop) -> None:
    before = {cask: house.path(cask).read_bytes() for cask in EMPTY}
    ran = at_bench(house, "undo", "test 7005 p --psi 11", "7006 p", "undo", "undo", "undo", "undo 7005")
    assert {cask: house.path(cask).read_bytes() for cask in EMPTY} == before
    assert (
        ran.code == 1
        and ran.err.count("TAKEN BACK") == 2
        and ran.err.count("NOT WRITTEN  nothing to take back") == 2
        and "0 entries on 0 casks, 3 lines refused" in ran.err
    )


def test_a_note_is_taken_as_it_stands_and_the_job_stays(house: Shop) -> None:
    ran = at_bench(
        house, "test --psi 11", "7005 p", "note it's \"wet\" at 12 o'clock", "note 7006 7007 head: loose", "note", "7008 p", "note 7005 --note typed"
    )
    assert ran.code == 1, ran.err
    assert house.data("TH-007005")["events"][-2]["note"] == "it's \"wet\" at 12 o'clock" and house.last("TH-007005")["note"] == "typed"
    assert house.last("TH-007006")["note"] == house.last("TH-007007")["note"] == "head: loose" and house.last("TH-007008")["job"] == "test"
    assert "which note?" in ran.err


NOTES = {
    "note 7005 hoop loose -- look again": "hoop loose -- look again",
    "note 7005 -- look again": "-- look again",
    "note 7005 was --5 mm off": "was --5 mm off",
    "note\t7005\twet  head": "wet  head",
    "note  7005 \t wet": "wet",
    "note 7005: 7006 was worse": "7006 was worse",
    "note 7005: 200 litres left": "200 litres left",
    "note 7005 12 mm off": "12 mm off",
    "note 7005 except the head": "except the head",
    "note 7005 next week again": "next week again",
    "note 7005 - wet": "- wet",
    "note 7005 file under wet": "file under wet",
    'note 7005 "wet" at 12 o\'clock': '"wet" at 12 o\'clock',
    "note 7005 wet head --by kd": "wet head",
    'note 7005 "dry head" --by kd': "dry head",
    'note 7005 "see --by in the help"': "see --by in the help",
    "note 7005 --by kd --note typed": "typed",
    "note 7005 --note -": "-",
}
"""Line → the note that it is on that one cask."""


@pytest.mark.thorough
def test_the_text_of_a_note_is_taken_as_it_stands(house: Shop) -> None:
    ran = at_bench(house, *NOTES, "note next week", "note - wet", "note --note last --by kd", "note it's wet --by kd")
    assert ran.code == 0, ran.err
    events = [event for event in house.data("TH-007005")["events"] if event["job"] == "note"]
    assert [event["note"] for event in events] == [*NOTES.values(), "next week", "- wet", "last", "it's wet"]
    kd = [line for line in NOTES if line.endswith("--by kd") or "--by kd --" in line]
    assert [event["by"] for event in events] == [*("kd" if line in kd else "ab" for line in NOTES), "ab", "ab", "kd", "kd"]
    assert not any(event["job"] == "note" for cask in EMPTY[1:] for event in house.data(cask)["events"])


@pytest.mark.thorough
@pytest.mark.parametrize(
    "line,said",
    [
        ("note 006 litres left", "'006 litres' may be a cask or a measure: as note 7005: 006 litres"),
        ("note 7005 006 ml gone", "may be a cask or a measure"),
        ("note 7005 wet --dat yesterday", "did you mean --date?"),
        ("note 7005 wet --note dry", "the note is said twice"),
        ("note 7005 wet --by kd head", "'head' is not expected here"),
    ],
)
def test_what_may_be_text_or_not_is_never_guessed(house: Shop, line: str, said: str) -> None:
    ran = at_bench(house, "note 7005 first", line)
    assert ran.code == 1 and said in ran.err, ran.err
    assert [event["job"] for cask in EMPTY for event in house.data(cask)["events"]].count("note") == 1


@pytest.mark.thorough
@pytest.mark.parametrize(
    "line", ["note file:- x", "note 7006,- x", "note - --note x", "drive file:-", "drive 7006,-", "swap-heads 7006 --with file:-", "list file:-", "due -"]
)
def test_the_lines_below_are_no_list_of_numbers(house: Shop, line: str) -> None:
    ran = at_bench(house, "note 7008 first", line, "note 7005 still here")
    assert house.last("TH-007005").get("note") == "still here", ran.err


@pytest.mark.thorough
@pytest.mark.parametrize(
    "line,said",
    [
        ("7005 p", "which job? it goes first, as: test 7005 p"),
        ("tset 7005 p", "'tset' is no job: did you mean test?"),
        ("test 9999 p --psi 11", "no number of the book ends in 9999"),
        ("test 700 p --psi 11", "no number of the book ends in 700"),
        ("test TH-009999 p --psi 11", "TH-009999 is not in the book"),
        ("test 7005 f --psi 11", "test needs --leaks"),
        ("test 7005 p", "test needs --psi"),
        ("test 7005 p --psi 200", "it was done all the same? add --anyway"),
        ("show", "show which cask?"),
        ("show 9999", "no number of the book ends in 9999"),
        ("note wet", "a note on which cask?"),
        ("explain qwertz", "is no code, no due rule"),
        ("show --bogus", "show is not understood so"),
    ],
)
def test_a_refusal_is_one_plain_line_and_the_bench_goes_on(house: Shop, line: str, said: str) -> None:
    ran = at_bench(house, line, "note 7005 still here")
    assert ran.code == 1 and said in ran.err and house.last("TH-007005")["note"] == "still here", ran.err


def test_whoever_names_nobody_is_told(house: Shop) -> None:
    ran = at_bench(house, "note 7005 x", "note 7005 --note x --by kd", begin=False)
    assert ran.code == 1 and "note needs --by" in ran.err and house.last("TH-007005")["by"] == "kd"


def test_a_shift_that_ends_meanwhile_stops_the_writing(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import UTC, datetime, timedelta

    house.run(shift, "ab")
    monkeypatch.setattr("caskbook.cli.common.clock", lambda: datetime.now(UTC) + timedelta(hours=13))
    ran = at_bench(house, "note 7005 x", "shift kd", "note 7005 y", begin=False)
    assert ran.code == 1 and "12 hours after it began" in ran.err
    assert [event.get("note") for event in house.data("TH-007005")["events"]] == [None, "y"] and house.last("TH-007005")["by"] == "kd"


@pytest.mark.thorough
def test_a_key_pressed_too_early_is_dropped_from_the_number_behind_it(house: Shop) -> None:
    house.put(CAME, cask="PTH-007006")
    house.put(CAME, cask="TH-007200", was=["FTH-007007"])
    ran = at_bench(house, "test 7005 p --psi 11", "pTH-007006 f j3", "fth-007007 p", "cTH-007008 p", "xTH-007008 p", "pTH-007999 p", "drive 7005", "pTH-007005")
    assert house.last("PTH-007006")["result"] == "fail" and house.last("TH-007200")["result"] == "pass" == house.last("TH-007008")["result"], ran.err
    assert [house.last(cask)["job"] for cask in ("TH-007006", "TH-007007")] == ["receive", "receive"]
    assert ran.err.count("is dropped: it was pressed where nothing was asked") == 1 and "XTH-007008 is not in the book" in ran.err
    assert "PTH-007999 is not in the book" in ran.err and "PTH-007005 is not in the book" in ran.err


@pytest.mark.thorough
def test_lists_ranges_and_jobs_of_several_casks(house: Shop) -> None:
    ran = at_bench(
        house,
        "test 7005..7007 except 7006 p --psi 11",
        "open 7006,7008 A",
        "rack 7100 --to TH-007005 --litres 180 --abv 60 --temp 12 --why leak --left 0 --anyway",
    )
    assert ran.code == 0, ran.err
    assert house.last("TH-007007")["result"] == "pass" and house.last("TH-007008")["heads"] == ["A"]
    assert house.last("TH-007005")["job"] == "rack-in" and house.last("TH-007100")["job"] == "rack-out"
    assert "WRITTEN  2 casks  test: pass, 11 psi" in ran.out and "6 entries on 5 casks" in ran.err


def test_a_new_cask_takes_the_next_number(house: Shop) -> None:
    ran = at_bench(house, "receive next accept --type barrel", "receive next accept --type hogshead", "show")
    assert ran.code == 0 and house.data("TH-007101")["type"] == "barrel" and house.data("TH-007102")["type"] == "hogshead" and "TH-007102" in ran.out


def test_a_dry_run_writes_nothing(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("shift ab\ntest 7005 p --psi 11\nundo\n"))
    ran = house.run(bench, "--dry-run")
    assert len(house.data("TH-007005")["events"]) == 1 and "TRIED  TH-007005" in ran.err and "0 entries on 0 casks" in ran.err


@pytest.mark.thorough
def test_help_and_what_it_does_not_take(house: Shop) -> None:
    ran = at_bench(house, "help", "help test", "explain rechar", "due 7005", "list 7005")
    assert ran.code == 0 and "7006 f j3" in ran.out and "--psi" in ran.out and "due.rechar" in ran.out and "TH-007005" in ran.out
    assert house.run(bench, "test").code == 2 and "7006 f j3" in house.run(bench, "--help").out


def test_a_person_put_into_the_house_meanwhile_is_known(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    class Typing(io.StringIO):
        def readline(self, size: int | None = -1) -> str:  # type: ignore[override]
            line = super().readline()
            if line.startswith("note 7006"):
                path = house.root / "house.yaml"
                path.write_text(path.read_text().replace("  - {initials: kd}\n", "  - {initials: kd}\n  - {initials: nw}\n"))
            return line

    monkeypatch.setattr("sys.stdin", Typing("note 7005 --note x --by nw\nnote 7006 --note x --by nw\n"))
    ran = house.run(bench)
    assert len(house.data("TH-007005")["events"]) == 1 and house.last("TH-007006")["by"] == "nw", ran.err


def test_a_number_that_was_joined_meanwhile_is_refused(house: Shop) -> None:
    ran = at_bench(house, "same-as 7005 --of TH-007006 --why one", "note 7006 x", "undo", "undo", "note 7006 y")
    assert "is the same cask" in ran.err and house.last("TH-007006")["note"] == "y"


@pytest.mark.thorough
def test_what_is_offered_while_typing(house: Shop) -> None:
    from caskbook.cli.common import open_book
    from caskbook.cli.entering.bench_lines import BenchLines
    from caskbook.cli.entering.bench_status import echo_of_line, status_of
    from caskbook.cli.entering.bench_words import offered

    lines = BenchLines(open_book(str(house.root)), lambda head, rest, bad: None)
    assert list(offered(lines, [], "te")) == ["test"] and list(offered(lines, [], "")) == []
    assert list(offered(lines, ["test"], "70")) == [*EMPTY] and list(offered(lines, ["test"], "7006")) == ["TH-007006"]
    assert list(offered(lines, ["test"], "TH-0071")) == ["TH-007100"] and list(offered(lines, ["test"], "7")) == []
    assert list(offered(lines, ["test", "7005"], "p")) == ["pass"] and "joint-" in list(offered(lines, ["test", "7005", "f"], "jo"))
    assert list(offered(lines, ["shift"], "")) == ["ab", "kd", "end"] and "--psi" in list(offered(lines, ["test", "7005"], "--p"))
    assert echo_of_line(lines, "test 700") == ["700: no number ends so"] and echo_of_line(lines, "note 7005 x") == [] and echo_of_line(lines, "test") == []
    assert echo_of_line(lines, "test 7005 p")[0].startswith("TH-007005  barrel, ") and "full of malt" in echo_of_line(lines, "7100")[0]
    assert echo_of_line(lines, "show TH-009999") == ["TH-009999 is not in the book"]
    assert status_of(lines) == "no shift: shift WHO · no job · 0 written"
    house.run(shift, "ab")
    assert status_of(lines) == f"ab · {days_ago(0):%A} {days_ago(0)} · no job · 0 written"


def test_the_whole_book_is_well_after_a_day(house: Shop) -> None:
    at_bench(house, "test 7005..7008 p --psi 11", "flag 7005 j3", "note wet", f"fill {CASK[-4:]} --litres 190")
    assert [house.codes(cask) for cask in EMPTY] == [[]] * 4


@pytest.mark.thorough
def test_the_lines_own_input_is_no_list_of_numbers(house: Shop) -> None:
    ran = at_bench(house, "test - p --psi 11", "test 7005 p --psi 11", "rack 7100 --to - --litres 9 --abv 60 --why x")
    assert ran.code == 1 and ran.err.count("NOT WRITTEN  - is standard input") == 2 and house.last("TH-007005")["result"] == "pass"


@pytest.mark.thorough
def test_a_line_that_is_written_and_cannot_be_told_is_not_called_refused(house: Shop) -> None:
    import subprocess
    import sys

    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "caskbook", "bench", "--records", str(house.root)], input="note 7005 --note x --by ab\nnote 7006 --note x --by ab\n",
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert ran.returncode == 2 and "standard output cannot be written" in ran.stderr and "written: TH-007005" in ran.stderr
    assert "NOT WRITTEN" not in ran.stderr and len(house.data("TH-007006")["events"]) == 1


@pytest.mark.thorough
def test_other_commands_take_the_short_names_too(house: Shop) -> None:
    from commands import caskbook

    where = ("--records", str(house.root))
    assert "TH-007100" in caskbook("report", "loss", "7100", *where).stdout
    printed = caskbook("sheet", "--for", "test", "7005..7006", "--format", "csv", *where)
    assert [line.split(",")[2] for line in printed.stdout.splitlines()[1:]] == ["TH-007005", "TH-007006"]


@pytest.mark.thorough
@pytest.mark.parametrize(("words", "said"), [("kd --date -40", "40 days"), ("zz", "zz is not of the crew"), ("kd --psi lots", "psi")])
def test_lines_below_a_shift_that_was_not_begun_are_nobodys(house: Shop, words: str, said: str) -> None:
    ran = at_bench(house, "test 7005 p --psi 11", f"shift {words}", "7006 p", "note 7007 whose", "same 7008", "shift", "7007 p")
    assert ran.code == 1 and said in ran.err and "1 entry on 1 cask" not in ran.err and "4 lines refused" in ran.err, ran.err
    assert [len(house.data(cask)["events"]) for cask in EMPTY] == [2, 1, 2, 1], "`shift` says whose it is, and the bench goes on"


@pytest.mark.thorough
def test_what_a_shift_keeps_ends_with_it(house: Shop) -> None:
    """Also what its lines typed: the next shift says its own, and what nobody says is asked for."""
    ran = at_bench(house, "shift ab --psi 11 --water 2", "test 7005 p", "shift kd --psi 8", "7006 p", "same 7007", "shift ab", "7008 p")
    assert ran.code == 1 and "test needs --psi" in ran.err
    found = [(house.last(cask)["by"], house.last(cask).get("psi"), house.last(cask).get("water_l")) for cask in EMPTY[:3]]
    assert found == [("ab", 11, 2), ("kd", 8, None), ("kd", 8, None)] and len(house.data(EMPTY[3])["events"]) == 1
    assert at_bench(house, "test 7008 p --psi 9", "shift kd", "7005 p").code == 1, "nor does what was typed in one go on in the next"


@pytest.mark.thorough
def test_what_one_line_says_beside_its_shift_is_said_for_that_line(house: Shop) -> None:
    ran = at_bench(house, "shift ab --psi 11", "test 7005 p --psi 8", "7006 p", "test --psi 9", "7007 p", "7008 p")
    assert ran.code == 0 and [house.last(cask)["psi"] for cask in EMPTY] == [8, 11, 9, 9], ran.err
    assert at_bench(house, "test 7005 p --psi 9 --by kd", "7006 p").code == 0
    assert [(house.last(cask)["by"], house.last(cask)["psi"]) for cask in EMPTY[:2]] == [("kd", 9), ("ab", 9)]


def test_what_replaces_an_entry_takes_over_its_own_figures(house: Shop) -> None:
    at_bench(house, "test 7005 p --psi 8 --water 1 --by kd", begin=False)
    first = house.last("TH-007005")["id"]
    ran = at_bench(house, "shift ab --psi 11 --water 2", "test 7006 p --psi 9", f"test 7005 --replaces {first} --minutes 5 --why late")
    last = house.last("TH-007005")
    assert ran.code == 0 and last == {**last, "psi": 8, "water_l": 1, "minutes": 5, "by": "kd", "replaces": first}, ran.err


@pytest.mark.thorough
def test_what_becomes_of_other_entries_is_said(house: Shop) -> None:
    """A late entry after which a later one cannot have been, and a void that gives an entry back."""
    at_bench(house, "test 7005 p --psi 11")
    ran = at_bench(house, f"dispose 7005 sold --date {days_ago(2)} --yes --anyway --why x")
    assert "TH-007005  a later entry no longer fits: " in ran.err, ran.out + ran.err
    dispose = house.data("TH-007005")["events"][-2]["id"]
    at_bench(house, f"void 7005 --of {dispose} --why no")
    ran = at_bench(house, f"void 7005 --of {house.last('TH-007005')['id']} --why yes")
    assert f"stands again: {days_ago(2)} dispose" in ran.err, ran.out + ran.err


@pytest.mark.thorough
def test_a_line_on_which_others_wrote_meanwhile_is_not_taken_back(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """And it is the last run of theirs that `undo` takes back, not this line."""
    from caskbook.cli.commands.undo import undo

    def meanwhile() -> str:
        assert house.enter("draw", "TH-007005", "--litres", "1", "--abv", "63", "--by", "kd").code == 0
        return "undo\n"

    lines = iter([lambda: "shift ab\n", lambda: "fill 7005 --spirit malt --litres 190 --abv 63 --anyway --why x\n", meanwhile, lambda: ""])
    monkeypatch.setattr("sys.stdin", type("Given", (), {"readline": lambda _: next(lines)(), "isatty": lambda _: False})())
    ran = house.run(bench)
    assert "TH-007005: its draw of" in ran.err and "came since and rests on it" in ran.err and "TAKEN BACK" not in ran.err, ran.err
    ran = house.run(undo, "--yes")
    assert ran.code == 0 and [one["job"] for one in house.data("TH-007005")["events"]] == ["receive", "fill", "draw", "void"], ran.err
    house.enter("note", "TH-007006", "--note", "x", "--by", "kd")
    at_bench(house, "note 7007 wet", "undo")
    assert "no run to take back" in house.run(undo, "--yes").err, "a line that was taken back is no run to take back"


def test_a_line_is_laid_on_what_others_wrote_meanwhile(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between the reading of a file and the writing of it another terminal puts an entry there, or the cask away."""
    from caskbook.cli.entering import lines as module

    whole, jobs = module.Lines._put_down, iter([("note", "--note", "theirs"), ("dispose", "sold")])

    def late(self: module.Lines, *given: object) -> object:
        job, *rest = next(jobs)
        assert house.enter(job, "TH-007005", *rest, "--by", "kd", "--anyway", "--why", "x", "--yes").code == 0
        return whole(self, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(module.Lines, "_put_down", late)
    ran = at_bench(house, "test 7005 p --psi 11", "test 7005 p --psi 10")
    assert [one["job"] for one in house.data("TH-007005")["events"]] == ["receive", "note", "test", "dispose"], ran.err
    assert ran.code == 1 and "WRITTEN  TH-007005  test: pass, 11 psi" in ran.out and "somebody wrote to it meanwhile" in ran.err and "NOT WRITTEN" in ran.err


def test_same_is_of_the_day_of_the_last_line_and_without_its_old_mark(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import UTC, datetime, timedelta

    from caskbook.cli import common

    moments = iter([timedelta(0)] * 4)
    now = datetime.now(UTC).replace(hour=12)
    monkeypatch.setattr(common, "clock", lambda: now + next(moments, timedelta(days=1)))
    ran = at_bench(house, "test 7005 p --psi 11 --date -2 --by ab", "same 7006", begin=False)
    assert house.last("TH-007005")["date"] == house.last("TH-007006")["date"], ran.err
    at_bench(house, "receive TH-007301 accept --type barrel --capacity 200 --was 88-1 --by ab", "same TH-007302", begin=False)
    assert house.data("TH-007301")["was"] == ["88-1"] and "was" not in house.data("TH-007302")


def test_entries_of_the_next_shift_bear_a_sheet_of_their_own(house: Shop) -> None:
    at_bench(house, "test 7005 p --psi 11", "shift kd", "test 7006 p --psi 11")
    assert "-ab-" in house.last("TH-007005")["sheet"] and "-kd-" in house.last("TH-007006")["sheet"]


def test_a_hand_that_an_earlier_line_named_is_none_once_the_shift_is_over(house: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import UTC, datetime, timedelta

    from caskbook.cli import common

    now, hours = datetime.now(UTC), [0]
    monkeypatch.setattr(common, "clock", lambda: now + timedelta(hours=hours[0]))

    def given() -> Iterator[str]:
        yield from ("shift ab --date -6\n", "test --by kd --psi 11\n", "7005 p\n")
        hours[0] = 13
        yield from ("7006 p\n", "test 7007 p --by kd\n", "")

    lines = given()
    monkeypatch.setattr("sys.stdin", type("Given", (), {"readline": lambda _: next(lines), "isatty": lambda _: False})())
    ran = house.run(bench)
    assert house.last("TH-007005") == {**house.last("TH-007005"), "by": "kd", "date": days_ago(6)}, ran.err
    assert len(house.data("TH-007006")["events"]) == 1 and "begin another with caskbook shift ab" in ran.err, ran.err
    assert house.last("TH-007007")["by"] == "kd", "who names somebody may go on"


@pytest.mark.thorough
@pytest.mark.parametrize("line", ["test 7005 p --psi 11 --help", "test --help", "test 7005 -h", "same 7006 --help"])
def test_help_of_a_job_writes_nothing(house: Shop, line: str) -> None:
    ran = at_bench(house, "test 7008 p --psi 11", line, "note 7007 still here")
    assert ran.code == 0 and "caskbook enter test CASK" in ran.out and "2 entries on 2 casks" in ran.err, ran
    assert house.last("TH-007005")["job"] == house.last("TH-007006")["job"] == "receive"


def test_a_line_goes_into_the_book_of_its_bench(house: Shop, tmp_path: Path) -> None:
    ran = at_bench(house, f"note 7005 wet --records {tmp_path}", f"test 7005 p --psi 11 --records {tmp_path}")
    assert ran.code == 1 and ran.err.count("NOT WRITTEN  --records: all lines go into one book") == 2 and len(house.data("TH-007005")["events"]) == 1


@pytest.mark.parametrize("words", [("note", "--help"), ("note", "--by", "ab", "-h"), ("-h",)])
def test_help_of_a_scan_scans_nothing(house: Shop, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("7005\n"))
    ran = house.enter("scan", *words)
    assert ran.code == 0 and "caskbook enter scan JOB [fields]" in ran.out and ("A remark, kept with the cask." in ran.out) == ("note" in words), ran
    monkeypatch.setattr("sys.stdin", io.StringIO("7005 --help\n7006\n"))
    ran = house.enter("scan", "note", "--note", "x", "--by", "ab")
    assert ran.code == 0 and "A remark, kept with the cask." in ran.out and house.last("TH-007005")["job"] == "receive" and "1 cask written" in ran.err


def test_behind_a_line_that_was_refused_nothing_leans_on_an_earlier_one(house: Shop) -> None:
    ran = at_bench(house, "drive 7005", "drive 7006 --bogus x", "note wet head", "same 7007")
    assert ran.code == 1 and "the line before it was refused: drive TH-007006 --bogus x" in ran.err.replace("drive 7006", "drive TH-007006"), ran.err
    assert [house.last(cask)["job"] for cask in EMPTY] == ["drive", "receive", "receive", "receive"]


def test_casks_behind_a_job_that_was_refused_are_not_of_the_job_before_it(house: Shop) -> None:
    for line in ("treat 7006 --bogus x", "traet 7006 steam"):
        ran = at_bench(house, "drive 7005", line, "7007")
        assert ran.code == 1 and "which job? it goes first" in ran.err, ran.err
        assert house.last("TH-007007")["job"] == "receive"


def test_an_undo_behind_a_line_that_was_refused_takes_back_no_earlier_one(house: Shop) -> None:
    ran = at_bench(house, "drive 7005", "drive 7006 --bogus x", "undo")
    assert "NOTHING TAKEN BACK  the line before was refused" in ran.out + ran.err and house.last("TH-007005")["job"] == "drive"
    ran = at_bench(house, "drive 7008", "drive 7006 --bogus x", "undo", "undo")
    assert house.last("TH-007008")["job"] == "receive", "said twice it is the line before"


def test_an_undo_goes_no_further_than_the_shift(house: Shop) -> None:
    ran = at_bench(house, "drive 7005", "shift kd", "undo", "drive 7006", "undo", "undo")
    assert ran.err.count("NOT WRITTEN  nothing to take back in this shift") == 2, ran.err
    assert [house.last(cask)["job"] for cask in EMPTY[:2]] == ["drive", "receive"]
