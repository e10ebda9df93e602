"""A cask is named by less than its number wherever it is named: last figures, old marks, parcels, files, standard input, the next free one."""

from __future__ import annotations

import io
import json
import os
import subprocess
from pathlib import Path

import pytest
from commands import caskbook
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import many

from caskbook.core.finding import CaskbookError
from caskbook.entry.casks import in_full, read_casks
from caskbook.ledger.numbers import Numbers
from caskbook.ledger.old_marks import bearers
from entry.shop import CASK, Shop, days_ago

pytestmark = pytest.mark.thorough

CAME = {"date": days_ago(30), "job": "receive", "verdict": "accept"}


@pytest.fixture
def house(tmp_path: Path) -> Shop:
    """Five casks of two kinds of number, two parcels, three old marks; one is gone."""
    made = Shop(tmp_path)
    made.put(CAME, cask="TH-007005", parcel="P-2026-020", was=["HJ-4421", "B 12/7"])
    made.put(CAME, cask="TH-007006", parcel="P-2026-020", was=["twice"])
    made.put(CAME, {"date": days_ago(9), "job": "break-up", "why": "worm"}, cask="TH-007007", parcel="P-2026-020")
    made.put(CAME, {"date": days_ago(9), "job": "mark", "at": "head-A", "old": "1187", "text": "TH-007105"}, cask="TH-007105", was=["Twice"])
    made.put(CAME, cask="HG-0105", parcel="P-2026-021", was=["7006"])
    return made


def note(house: Shop, *words: str) -> tuple[int, list[str], str]:
    """(exit code, casks that got the note, what was said)."""
    ran = house.enter("note", *words, "--note", "seen", "--by", "ab", "--yes")
    return ran.code, [line.split()[0] for line in ran.out.splitlines()], ran.err


@pytest.mark.thorough
@pytest.mark.parametrize(
    "typed,meant",
    [
        ("7005", ["TH-007005"]), ("07105", ["TH-007105"]), ("007", ["TH-007007"]), ("0105", ["HG-0105"]), ("th-007005", ["TH-007005"]),
        ("7005 7105", ["TH-007005", "TH-007105"]), ("7005,7105", ["TH-007005", "TH-007105"]), ("7005..7007", ["TH-007005", "TH-007006", "TH-007007"]),
        ("7005..06", ["TH-007005", "TH-007006"]), ("7005 .. 7007 except 006", ["TH-007005", "TH-007007"]), ("@P-2026-020", ["TH-007005", "TH-007006"]),
        ("@P-2026-020 except 7005", ["TH-007006"]), ("@P-2026-021 7005", ["HG-0105", "TH-007005"]), ("HJ-4421", ["TH-007005"]), ("hj-4421", ["TH-007005"]),
        ("1187", ["TH-007105"]), ("was:7006", ["HG-0105"]), ("was:hj-4421", ["TH-007005"]),
    ],
)  # fmt: skip
def test_each_short_name_means_its_casks(house: Shop, typed: str, meant: list[str]) -> None:
    if meant[-1] == "TH-007007":
        assert house.enter("note", *typed.split(), "--note", "x", "--by", "ab", "--dry-run").code in (0, 1)  # it is gone, and named all the same
        return
    code, casks, said = note(house, *typed.split())
    assert (code, casks) == (0, meant), said


@pytest.mark.parametrize(
    "typed,said",
    [
        ("105", "105 is the end of several numbers: HG-0105, TH-007105: which one?"),
        ("7006", "7006 may be TH-007006, HG-0105 (old mark): which one?"),
        ("was:twice", "twice is an old mark of TH-007006, TH-007105: which one?"),
        ("9999", "no number of the book ends in 9999, and no old mark reads so"),
        ("05", "05 is no cask number: capitals, then 4 to 9 figures, as TH-004217, or its last figures, as 4217"),
        ("@P-2026-02", "no cask of a parcel P-2026-02 in the book: did you mean @P-2026-0"),
        ("@", "which parcel? as @P-2026-020"),
        ("was:nobody", "nobody is no old mark of a cask in the book"),
        ("file:nowhere.txt", "nowhere.txt: no such file"),
        ("7005 7005", "TH-007005 is named twice"),
        ("7007..7005", "7007..7005: the range runs backwards"),
        ("@P-2026-020 except 7105", "except 7105: none of the list"),
        ("12/8", "'12/8' is no cask number"),
    ],
)
def test_what_means_none_or_several_is_named_and_never_guessed(house: Shop, typed: str, said: str) -> None:
    code, casks, told = note(house, *typed.split())
    assert (code, casks) == (2, []) and said in told
    assert "note" not in "".join(path.read_text() for path in house.root.rglob("*.yaml"))


@pytest.mark.parametrize(
    "words,near",
    [
        (("flag", "7005", "jont-3"), "joint-3"), (("flag", "TH-007005", "jont-3"), "joint-3"), (("test", "7005", "f", "jiont-3", "--psi", "11"), "joint-3"),
        (("peg", "7005", "stav-14"), "stave-14"), (("test", "7005", "c", "crose-A-12", "--psi", "11"), "croze-A-12"), (("nose", "7005", "jont-3"), ""),
        (("flag", "7005", "xyzzy-3"), ""),
    ],
)  # fmt: skip
def test_a_slip_of_a_place_is_no_riddle_about_cask_numbers(house: Shop, words: tuple[str, ...], near: str) -> None:
    ran = house.enter(*words, "--by", "ab", "--yes")
    assert ran.code == 2 and "is no cask number" in ran.err
    assert ran.err.rstrip().endswith(f"did you mean the place {near}?") if near else "did you mean" not in ran.err, ran.err


def test_a_mark_with_a_blank_and_a_slash_is_one_word(house: Shop) -> None:
    code, casks, said = note(house, "B 12/7")
    assert (code, casks) == (0, ["TH-007005"]) and "B 12/7 is an old mark of TH-007005" in said


def test_files_and_standard_input(house: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "tuesday.txt").write_text("cask\n7005   # the one at the door\n\nTH-007105\n")
    assert note(house, f"file:{tmp_path / 'tuesday.txt'}")[:2] == (0, ["TH-007005", "TH-007105"])
    monkeypatch.setattr("sys.stdin", io.StringIO("7005 7105\n"))
    assert note(house, "-")[:2] == (0, ["TH-007005", "TH-007105"])
    monkeypatch.setattr("sys.stdin", io.StringIO("# nothing\n"))
    code, _, said = note(house, "-")
    assert code == 2 and "standard input: no cask is named there" in said
    (tmp_path / "loop.txt").write_text("file:loop.txt\n")
    code, _, said = note(house, f"file:{tmp_path / 'loop.txt'}")
    assert code == 2 and "names no other list" in said


def test_the_next_free_number(house: Shop, tmp_path: Path) -> None:
    where = ("--type", "barrel", "--by", "ab", "--yes")
    ran = house.enter("receive", "next", "accept", *where)
    assert ran.code == 2 and "next after which? The highest of each kind: HG-0105, TH-007105; as HG-next" in ran.err
    assert house.enter("receive", "th-next:2", "accept", *where).code == 0
    assert {path.stem for path in house.root.rglob("TH-*.yaml")} >= {"TH-007106", "TH-007107"}
    empty = Shop(tmp_path / "empty")
    assert "the book has no number yet" in empty.enter("receive", "next", "accept", *where).err
    ran = house.enter("note", "TH-next", "--note", "x", "--by", "ab")
    assert ran.code == 1 and "TH-007108 is not in the book" in ran.err
    assert "1 to 10000 numbers" in house.enter("receive", "TH-next:0", "accept", *where).err
    ran = house.enter("convert", "7005", "--into", "2", "barrel", "--as", "TH-next:2", "--by", "ab", "--dry-run")
    assert "TH-007108" in ran.err + ran.out and "TH-007109" in ran.err + ran.out


def test_behind_options_sheets_and_scans_too(house: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert house.enter("same-as", "7005", "--of", "0105", "--why", "one cask", "--by", "ab", "--yes").code == 0
    assert house.last("TH-007005")["of"] == "HG-0105"
    sheet = tmp_path / "day.csv"
    sheet.write_text("job,cask,by,note\nnote,7105,ab,by sheet\n")
    assert house.enter("sheet", str(sheet), "--yes").code == 0 and house.last("TH-007105")["note"] == "by sheet"
    monkeypatch.setattr("sys.stdin", io.StringIO("7105\nhj-4421\n9999\n"))
    ran = house.enter("scan", "note", "--note", "scanned", "--by", "ab")
    assert ran.code == 1 and house.last("TH-007105")["note"] == house.last("TH-007005")["note"] == "scanned" and "2 casks written, 1 refused" in ran.err


@pytest.mark.thorough
def test_an_old_mark_like_a_number_is_known_wherever_a_cask_is_named(house: Shop, tmp_path: Path) -> None:
    def git(*words: str) -> None:
        subprocess.run(["git", "-C", str(tmp_path), "-c", "user.name=ab", "-c", "user.email=ab@example.org", *words], check=True)

    git("init", "-q")
    git("add", "records")
    git("commit", "-q", "-m", "The book")
    where, event = ("--records", str(house.root)), house.data("TH-007005")["events"][0]["id"]
    for words in [
        ("show", "HJ-4421"), ("list", "HJ-4421"), ("list", "hj-4421", "--at", "HEAD"), ("due", "HJ-4421", "--all"), ("check", "HJ-4421"), ("review", "HJ-4421"),
        ("review", "HEAD", "HJ-4421"), ("report", "loss", "HJ-4421"), ("void", "HJ-4421", event, "--why", "twice", "--by", "ab", "--dry-run"),
        ("redate", "HJ-4421", event, "--date", days_ago(29).isoformat(), "--dry-run", "--yes"),
        ("correct", "HJ-4421", "--maker", "smith", "--why", "misread", "--by", "ab", "--dry-run"), ("round", "W1", "HJ-4421", "--vacant"),
        ("sheet", "--for", "test", "HJ-4421"), ("sheet", "--for", "examine", "--due", "HJ-4421"), ("enter", "note", "HJ-4421", "--note", "wet", "--by", "ab", "--dry-run"),
    ]:  # fmt: skip
        ran = caskbook(*words, *where, cwd=tmp_path)
        assert "TH-007005" in ran.stdout + ran.stderr and "not in the book" not in ran.stderr, (words, ran.stdout, ran.stderr)
        assert words[0] == "round" or "HJ-4421 is an old mark of TH-007005" in ran.stderr, (words, ran.stderr)
    assert "HJ-4499" in caskbook("sheet", "--for", "receive", "HJ-4499", *where).stdout
    assert "HJ-4421" in caskbook("sheet", "--for", "receive", "HJ-4421", *where).stdout
    assert "HJ-4499 is not in the book" in caskbook("list", "HJ-4499", *where).stderr


@pytest.mark.thorough
def test_show_list_due_check_void_and_the_move_know_them(house: Shop) -> None:
    where = ("--records", str(house.root))
    assert caskbook("show", "7005", *where).stdout.startswith("TH-007005") and caskbook("show", "hj-4421", *where).stdout.startswith("TH-007005")
    assert caskbook("show", "105", *where).returncode == 2
    listed = caskbook("list", "7005", "was:1187", "--columns", "cask,old_marks", "--format", "json", *where)
    assert json.loads(listed.stdout) == [
        {"cask": "TH-007005", "old_marks": ["HJ-4421", "B 12/7"]},
        {"cask": "TH-007105", "old_marks": ["Twice", "1187", "TH-007105"]},
    ]
    assert [row["cask"] for row in json.loads(caskbook("list", "@P-2026-020", "--format", "json", *where).stdout)] == ["TH-007005", "TH-007006", "TH-007007"]
    marked = caskbook("list", "--mark", "TWICE", "--columns", "cask", "--format", "csv", *where)
    assert marked.stdout.split() == ["cask", "TH-007006", "TH-007105"]
    asked = caskbook("query", "select cask from cask where old_marks like '%4421%'", "--format", "csv", *where)
    assert asked.stdout.split() == ["cask", "TH-007005"]
    due = caskbook("due", "examine", "7105", "--all", "--format", "json", *where)
    rows = json.loads(due.stdout)
    assert {row["cask"] for row in (rows["verdicts"] if isinstance(rows, dict) else rows)} == {"TH-007105"}
    assert caskbook("due", "TH-009999", *where).returncode == 2
    assert caskbook("check", "7005", *where).returncode == 0
    assert caskbook("void", "7105", "e0000002", "--why", "wrong", "--by", "ab", "--yes", *where).returncode == 0
    moved = caskbook("move-event", "7005", "e0000001", "--to", "9999", "--why", "x", "--by", "ab", "--yes", *where)
    assert moved.returncode == 2 and "no number of the book ends in 9999" in moved.stderr


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_a_check_takes_ranges_lists_and_parcels(house: Shop, tmp_path: Path, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    (tmp_path / "some.txt").write_text("cask\n7005\nTH-007006\n\n2 casks\n")
    where = ("--records", str(house.root))
    for words, count in {
        "7005..7007": 3, "TH-007005 .. 7007": 3, "@P-2026-020": 3, "7005..7007 except 7006": 2, "7005,7105": 2, f"file:{tmp_path / 'some.txt'}": 2,
        f"7005..7006 {house.path('TH-007105')}": 3, "TH-007005 TH-007005": 1, "7005..7006 TH-007105": 3,
    }.items():  # fmt: skip
        ran = caskbook("check", *words.split(), *where)
        assert ran.returncode in (0, 1) and f"\n{count} cask{'s' * (count > 1)}: " in f"\n{ran.stdout}", (words, ran)
    for words, said in {
        "7005..7008": "TH-007008 is not in the book",
        "7005 nowhere.yaml": "nowhere.yaml is neither a cask id nor a file",
        "7005 7005..7006": "named twice",
    }.items():
        ran = caskbook("check", *words.split(), *where)
        assert ran.returncode == 2 and said in ran.stderr, (words, ran)


@pytest.mark.thorough
def test_a_list_as_it_is_shown_is_a_list_of_numbers(house: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    where = ("--records", str(house.root))
    for shown in (("--columns", "cask"), ("--columns", "cask", "--format", "csv"), ("--columns", "cask", "--parcel", "P-2026-020")):
        monkeypatch.setattr("sys.stdin", io.StringIO(caskbook("list", "7005..7006", *shown, *where).stdout))
        assert note(house, "-")[:2] == (0, ["TH-007005", "TH-007006"])
    monkeypatch.setattr("sys.stdin", io.StringIO(caskbook("list", "7005", "--columns", "cask", *where).stdout))
    assert note(house, "-")[:2] == (0, ["TH-007005"])
    monkeypatch.setattr("sys.stdin", io.StringIO(caskbook("list", "--columns", "cask", "--state", "away", *where).stdout))
    code, casks, said = note(house, "-")
    assert code == 2 and "no cask is named there" in said
    for wrong in ("cask\n7005\n\n7 casks\n", "7005\n7006 casks\n", "7005\n\n2 casks\n7006\n"):  # cut short, or no list of this program
        monkeypatch.setattr("sys.stdin", io.StringIO(wrong))
        assert note(house, "-")[0] == 2, wrong


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off"])
def test_marks_are_found_with_and_without_an_index(house: Shop, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", index)
    where = ("--records", str(house.root))
    caskbook("list", *where)  # the index is made where one is wanted
    house.put(CAME, cask="TH-008001", was=["ÄQ-9"])  # and this cask came after it
    assert caskbook("show", "äq-9", *where).stdout.startswith("TH-008001")
    assert note(house, "1187")[:2] == (0, ["TH-007105"])
    assert caskbook("show", "7006", *where).returncode == 2


MARKS = ("Straße 12", "ﬁne 7", "K 9", "it's 3", 'it\'s: "3"', "K: 'x' \"y\" 9", "a''b", "Ä-9", 'say "x"')


@pytest.mark.thorough
@pytest.mark.parametrize("index", ["", "off", "known"])
def test_a_mark_of_any_signs_is_found_as_it_was_entered(house: Shop, index: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", "" if index == "known" else index)
    where = ("--records", str(house.root))
    if index != "known":
        caskbook("list", *where)
    for mark in MARKS:
        assert house.enter("mark", "TH-007005", "--at", "head-A", "--kind", "paint", "--text", "TH-007005", "--old", mark, "--by", "ab", "--yes").code == 0
    if index == "known":
        for path in (*house.root.rglob("*.yaml"), *house.root.rglob("casks/*")):
            os.utime(path, (1_700_000_000, 1_700_000_000))  # as in a book at rest
        caskbook("list", *where)
    for mark in MARKS:
        for typed in (mark, mark.casefold(), mark.upper()):
            shown = caskbook("show", f"was:{typed}", *where)
            assert shown.stdout.startswith("TH-007005"), (typed, shown)
    house.enter("mark", "TH-007105", "--at", "head-A", "--kind", "paint", "--text", "TH-007105", "--old", "Strasse 12", "--by", "ab", "--yes")
    for typed in ("was:Straße 12", "was:STRASSE 12"):
        code, casks, said = note(house, typed)
        assert (code, casks) == (2, []) and "old mark of TH-007005, TH-007105: which one?" in said, said


def test_a_full_number_asks_no_book() -> None:
    def book() -> Numbers:
        raise AssertionError("a book was asked")

    assert read_casks(["TH-007005", "TH-007007..7009", "except", "008"], book) == ["TH-007005", "TH-007007", "TH-007009"]
    assert in_full(["TH-007005", "th-007006..07", "except", "7006"]) and not in_full(["TH-007005", "7006"]) and not in_full(["-"])


@pytest.mark.thorough
@settings(max_examples=many(200), deadline=None)
@given(st.sets(st.integers(0, 12_000), min_size=1, max_size=12), st.integers(0, 12_000), st.integers(3, 6))
def test_last_figures_mean_a_cask_only_where_they_are_its_alone(tmp_path_factory: pytest.TempPathFactory, numbers: set[int], one: int, width: int) -> None:
    shop = Shop(tmp_path_factory.mktemp("law"))
    there = sorted(f"TH-{n:06d}" for n in numbers)
    for cask in there:
        shop.path(cask).parent.mkdir(parents=True, exist_ok=True)
        shop.path(cask).write_text("")
    tail = f"{one:06d}"[-width:]
    fits = [cask for cask in there if cask.endswith(tail)]
    book = Numbers(shop.ledger, shop.today, lambda text: [], lambda parcel: [], lambda path: "")
    if len(fits) == 1:
        assert read_casks([tail], lambda: book) == fits
        return
    with pytest.raises(CaskbookError) as refused:
        read_casks([tail], lambda: book)
    assert all(cask in str(refused.value) for cask in fits[:8])


def test_bearers_read_every_file_where_none_are_named(house: Shop) -> None:
    assert bearers(house.ledger, " TWICE ", house.today) == ["TH-007006", "TH-007105"] and bearers(house.ledger, "", house.today) == []
    assert bearers(house.ledger, "twice", house.today, ["casks/TH-007/TH-007105.yaml"]) == ["TH-007105"]


def test_places_and_results_stand_without_their_options(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.put(CAME)
    common = ("--by", "ab", "--yes")
    assert shop.enter("open", CASK, "A", *common).code == 0 and shop.last()["heads"] == ["A"]
    assert shop.enter("flag", "4217", "joint-3", "j4", *common).code == 0 and shop.last()["at"] == ["joint-3", "joint-4"]
    assert shop.enter("close", CASK, "a", *common).code == 0
    assert shop.enter("test", CASK, "f", "j3", "s14", "cA14", "--psi", "11", *common).code == 0
    assert [leak["at"] for leak in shop.last()["leaks"]] == ["joint-3", "stave-14", "croze-A-14"] and shop.last()["result"] == "fail"
    assert shop.enter("test", CASK, "p", "--psi", "11", *common).code == 0 and shop.last()["result"] == "pass"
    assert shop.enter("test", CASK, "c", "joint-4", "--psi", "10", *common).code == 0
    assert shop.last() == {**shop.last(), "result": "pass", "leaks": [{"at": "joint-4"}], "cured_by": "drive"}
    ran = shop.enter("test", CASK, "c", "--psi", "10", *common)
    assert ran.code == 2 and "test needs --leaks" in ran.err


@pytest.mark.parametrize(
    "words,said",
    [
        (("enter", "tset", CASK), "did you mean test?"),
        (("enter", "examine", CASK, "repair", "--findings", "joint-3 wep"), "did you mean weep?"),
        (("enter", "examine", CASK, "repair", "--findings", "jont-3 weep"), "did you mean joint-3?"),
        (("enter", "flag", CASK, "--at", "stve 4"), "did you mean stave 4?"),
        (("list", "--state", "redy"), "did you mean ready?"),
        (("due", "retst"), "did you mean retest?"),
        (("explain", "retst"), "did you mean retest?"),
    ],
)
def test_a_word_misspelt_brings_the_nearest(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    shop = Shop(tmp_path)
    shop.put(CAME)
    ran = caskbook(*words, *(() if words[0] == "explain" else ("--records", str(shop.root))))
    assert ran.returncode == 2 and said in ran.stderr, ran.stderr


@pytest.mark.parametrize(("typed", "told"), [
    ("7005", "casks/TH-007 is a link, which is not followed; put the folder itself in its place"), ("005", "is a link, which is not followed"),
    ("9005", "no number of the book ends in 9005, and no old mark reads so"),
])  # fmt: skip
def test_a_number_behind_a_linked_folder_is_not_said_to_be_none(house: Shop, typed: str, told: str) -> None:
    from caskbook.cli.common import open_book
    from caskbook.cli.entering.bench_lines import BenchLines
    from caskbook.cli.entering.bench_status import echo_of_line

    there = house.root / "casks" / "TH-007"
    there.rename(house.root / "elsewhere")
    there.symlink_to(house.root / "elsewhere")
    for words in (("show", typed), ("check", typed), ("enter", "note", typed, "--note", "x", "--by", "ab", "--yes")):
        ran = caskbook(*words, "--records", str(house.root))
        assert ran.returncode == 2 and told in ran.stderr, ran.stderr
    (echo,) = echo_of_line(BenchLines(open_book(str(house.root)), lambda first, rest, bad: None), f"test {typed}")
    assert (told in echo) is ("link" in told)


@pytest.mark.parametrize(("typed", "stored"), [
    ("7005", "TH-007005"), ("th-007006", "TH-007006"), ("was:hj-4421", "TH-007005"), ("3333", "3333"), ("tank 7006", "tank 7006"), ("105", ""),
])  # fmt: skip
@pytest.mark.parametrize("way", ["single", "sheet"])
def test_where_a_top_came_from_may_be_a_cask_or_anything_else(house: Shop, tmp_path: Path, typed: str, stored: str, way: str) -> None:
    """A number that several bear is asked about, and one that none bears is a tank's."""
    full = {"date": days_ago(9), "job": "fill", "spirit": "malt", "litres": 190, "abv": 63.5, "temp_c": 12}
    house.put(CAME, full, cask="TH-007100")
    house.put(CAME, full, cask="TH-007005", was=["HJ-4421"])
    house.put(CAME, full, cask="TH-007006")
    if way == "single":
        ran = house.enter("top", "TH-007100", "--litres", "2", "--abv", "60", "--from", typed, "--at-20", "--by", "ab", "--yes")
    else:
        (tmp_path / "day.csv").write_text(f"job,cask,by,litres,abv,from,at_20\ntop,TH-007100,ab,2,60,{typed},yes\n")
        ran = house.enter("sheet", str(tmp_path / "day.csv"), "--yes")
    if stored:
        assert ran.code == 0 and str(house.last("TH-007100")["from"]) == stored, ran.err
    else:
        assert ran.code in (1, 2) and "105 is the end of several numbers" in ran.err, ran.err
