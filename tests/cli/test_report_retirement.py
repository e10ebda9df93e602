"""`report retirement`: the list of those proposed and watched in every form, and the sheet of a cask, one page, whose commands can be entered."""

from __future__ import annotations

import csv
import io
import json
import shlex
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\ncrew: [{initials: ab}, {initials: kd}]\njob_hours: {examine: 0.5, shave: 1, char: 0.5, test: 0.25}\n"
DAY = ("--as-of", "2012-01-01")
CAME = ev("2000-01-10", "receive", verdict="accept", berth="R1/2")
YOUNG: dict[str, Any] = {"made": 1999, "charred": 1999}


def charred(day: str) -> list[dict[str, Any]]:
    return [ev(day, "open", heads=["A"]), ev(day, "char", level=3), ev(day, "close", heads=["A"])]


def filled(*years: int) -> list[dict[str, Any]]:
    return [
        event
        for year in years
        for event in (
            ev(f"{year}-03-01", "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True),
            ev(f"{year}-10-01", "empty", litres=180.0, abv=63.0, at_20=True),
        )
    ]


SPENT = [CAME, *charred("2001-02-01"), *charred("2002-02-01"), *filled(2003, 2004)]
THIN = ev("2006-01-01", "measure", stave_mm=18.5)
SOAKED = ev("2006-01-01", "examine", verdict="sound", soaked=0.7)
KEPT = ev("2006-02-01", "decide", rule="retire", outcome="keep", until="2030-01-01", why="for the blend", approved_by="K. Dunmore")
FULL = ev("2006-03-01", "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True)
CASKS: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]] = {
    "TH-000001": ([*SPENT, THIN], YOUNG),
    "TH-000002": ([*SPENT], YOUNG),
    "TH-000003": ([*SPENT], {"charred": 1999, "parcel": "P-9"}),
    "TH-000004": ([CAME, SOAKED, FULL], YOUNG),
    "TH-000005": ([*SPENT, THIN, KEPT], YOUNG),
    "TH-000006": ([CAME], YOUNG),
    "TH-000007": ([CAME, SOAKED, ev("2007-01-01", "retire", reasons=["soaked"], approved_by="K. Dunmore")], YOUNG),
    "TH-000008": ([CAME, SOAKED, ev("2007-01-01", "dispose", how="sold")], YOUNG),
    "TH-000009": ([CAME, SOAKED, ev("2007-01-01", "send", to="shop-a", why="hoops")], YOUNG),
}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return made(tmp_path_factory.mktemp("retirement"), CASKS)


def made(root: Path, casks: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]], house: str = HOUSE) -> Path:
    (root / "house.yaml").write_text(house, encoding="utf-8")
    for cask, (events, head) in casks.items():
        path = root / "casks" / cask[:-3] / f"{cask}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(cask_data(*events, cask=cask, **head), sort_keys=False), encoding="utf-8")
    return root


def told(root: Path, *words: str) -> str:
    found = caskbook("report", "retirement", *words, "--records", str(root), *DAY)
    assert found.returncode == 0, found.stderr
    return found.stdout


def groups(root: Path, *words: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in json.loads(told(root, *words, "--format", "json"))["casks"]:
        found.setdefault(one["group"], []).append(one["cask"][-1])
    return found


@pytest.mark.thorough
def test_each_cask_stands_in_its_group(book: Path) -> None:
    assert groups(book) == {"proposed": ["1"], "at emptying": ["4"], "cannot be told": ["3"], "watched": ["2"], "kept": ["5"]}
    text = told(book)
    assert text.splitlines()[0] == "retirement on 2012-01-01 · 7 casks judged · 1 proposed · 1 at emptying"
    assert "\nproposed: 1\n  TH-000001  barrel  R1/2  2 of 2  since 2006-01-01\n      spent: 2 fills since char on 2002-02-01" in text
    assert "\nproposed once emptied: 1\n  TH-000004  barrel  R1/2  1 of 2 !\n      ! soaked 0.70 of the thickness" in text
    assert "\n      ? when it was made is not known; house limit 50 years" in text and "\n      kept until 2030-01-01 by K. Dunmore: for the blend" in text
    assert text.endswith("the sheet of a cask: caskbook report retirement TH-000001\n") and max(map(len, text.splitlines())) <= 80


@pytest.mark.thorough
def test_rows_for_programs(book: Path) -> None:
    whole = json.loads(told(book, "--format", "json"))
    assert (whole["as_of"], whole["judged"], whole["needed"], whole["needed_of_type"]) == ("2012-01-01", 7, 2, {})
    assert whole["groups"] == {"proposed": 1, "at emptying": 1, "cannot be told": 1, "watched": 1, "kept": 1}
    first = whole["casks"][0]
    assert (first["cask"], first["signs"], first["needed"], first["hard"], first["since"], len(first["reasons"])) == ("TH-000001", 2, 2, 0, "2006-01-01", 2)
    assert [json.loads(line) for line in told(book, "--format", "jsonl").splitlines()] == whole["casks"]
    rows = list(csv.DictReader(io.StringIO(told(book, "--format", "csv"), newline="")))
    assert [row["cask"] for row in rows] == [one["cask"] for one in whole["casks"]] and rows[0]["reasons"].startswith("spent: ") and rows[2]["unknown"]


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("--type", "barrel", "--parcel", "P-9"), {"cannot be told": ["3"]}),
        (("--berth", "R1"), {"proposed": ["1"], "at emptying": ["4"], "cannot be told": ["3"], "watched": ["2"], "kept": ["5"]}),
        (("--store", "dunnage"), {}),
    ],
)
def test_filters_are_those_of_list(book: Path, words: tuple[str, ...], found: dict[str, list[str]]) -> None:
    assert groups(book, *words) == found


@pytest.mark.thorough
def test_the_number_of_signs_is_the_houses_and_the_types(tmp_path: Path) -> None:
    hogshead = {"TH-000011": ([*SPENT], {**YOUNG, "type": "hogshead", "capacity_l": 250})}
    root = made(tmp_path, CASKS | hogshead, HOUSE + "due: {retire: {points: 3}}\ntypes: {hogshead: {due: {retire: {points: 1}}}}\n")
    assert groups(root) == {"proposed": ["1"], "at emptying": ["4"], "watched": ["1", "2", "3"], "kept": ["5"]}
    text = told(root, "--top", "1")
    assert "proposed at 3 signs (hogshead 1), or at one that is enough alone (!)" in text and "  … 2 more: --top 3" in text
    assert "TH-000011  hogshead  R1/2  1 of 1" in text and "TH-000001  barrel  R1/2  2 of 3" in text


def test_what_the_figures_mean_is_told(book: Path) -> None:
    text = " ".join(told(book, "--explain").split())
    for words in (
        "judged: 7 casks",
        "due.retire.points, 2",
        "Common practice, no source",
        "settings of due.retire on 2012-01-01: points 2,",
        "worn_visits 3",
        "proposed: 1, empty",
    ):
        assert words in text


def test_a_file_that_cannot_be_read_whole_is_no_silence(tmp_path: Path) -> None:
    faulty = [*SPENT, THIN, {**ev("2007-01-01", "nose", verdict="clean"), "verdict": "claen"}]
    assert groups(made(tmp_path, {"TH-000001": ([CAME, faulty[-1]], YOUNG), "TH-000002": (faulty, YOUNG)})) == {"proposed": ["2"], "cannot be told": ["1"]}


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("TH-000001", "--type", "butt"), "--type: it is about the list"),
        (("TH-000001", "--top", "3"), "--top: it is about the list"),
        (("TH-000001", "--format", "csv"), "a sheet is no row"),
        (("--explain", "--format", "json"), "--explain --format json: expected text"),
        (("TH-000099",), "TH-000099 is not in the book"),
        (("TH-000001", "--save", "x.png"), "expected a file that ends in .txt, .html, .svg, .pdf, .csv"),
    ],
)
def test_what_contradicts_is_refused(book: Path, words: tuple[str, ...], fault: str) -> None:
    found = caskbook("report", "retirement", *words, "--records", str(book), *DAY)
    assert found.returncode == 2 and fault in found.stderr


def page(root: Path, cask: str) -> list[str]:
    lines = told(root, cask).splitlines()
    assert len(lines) <= 60 and max(map(len, lines)) <= 80, cask
    return lines


def test_the_sheet_of_one_cask_is_a_page(book: Path) -> None:
    text = "\n".join(page(book, "TH-000001"))
    assert "\nsigns 2 of 2: proposed since 2006-01-01\n  2004-03-01 spent: 2 fills since char on 2002-02-01" in text
    assert "\n  2006-01-01 worn: staves 18.5 mm on 2006-01-01, less than 1 mm over the floor" in text
    assert "\n  not seen   no examination said how deep the liquor has soaked in" in text
    assert "\n  fills      2 here · 3 in its life · 2 since char" in text and "2003 to 2003 malt" in text
    assert "\n  no way     after examine: rechar blocked: re-charred twice already" in " ".join(text.split(" "))
    assert "\n  donor      retiring, knocking down               31 staves, all first ones" in text
    assert "Knocking down:" in text and "Reminder only:" in text and "signature: ____" in text
    assert text.endswith("retirement sheet of 2012-01-01: caskbook proposes, a person signs")


def test_the_sheet_says_what_would_make_it_ready(book: Path) -> None:
    text = "\n".join(page(book, "TH-000006"))
    assert "signs 0 of 2: not proposed\n  none       the book sees no sign" in text
    assert "\n  jobs       examine (examine) 0.5 h\n  hours      0.5 h · if nothing more is found" in text
    full = "\n".join(page(book, "TH-000004"))
    assert "signs 1 of 2: proposed once it is emptied (! is enough alone)" in full and "emptied first · examine (examine) 0.5 h" in full
    assert "\n  first      caskbook enter empty TH-000004 --litres L --abv A --temp C" in full


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("cask", "head", "options"),
    [
        ("TH-000007", "signs 1 of 2: retired 2007-01-01", ["donor", "break up", "sell"]),
        ("TH-000008", "signs 1 of 2: gone, so that it is not asked", []),
        ("TH-000009", "signs 1 of 2: away, so that it is not asked", []),
        ("TH-000005", "signs 2 of 2: kept until 2030-01-01 by K. Dunmore", ["retire", "keep", "repair", "lesser use", "donor", "break up", "sell"]),
    ],
)
def test_a_cask_about_which_somebody_decided(book: Path, cask: str, head: str, options: list[str]) -> None:
    assert any(line.startswith(head) for line in page(book, cask))
    (data,) = json.loads(told(book, cask, "--format", "json"))
    assert [one["option"] for one in data["options"]] == options


@pytest.mark.thorough
def test_a_life_full_of_everything_is_still_a_page(tmp_path: Path) -> None:
    life = [CAME]
    for year in range(1, 11):
        work = [ev(f"20{year:02}-01-02", "open", heads=["A"]), ev(f"20{year:02}-01-02", "stave", staves=[year, year + 1], action="replace", from_="new")]
        work += [ev(f"20{year:02}-01-03", "flag", at=["joint-3"]), ev(f"20{year:02}-01-03", "char", level=3), ev(f"20{year:02}-01-03", "close", heads=["A"])]
        fails = [ev(f"20{year:02}-01-{n:02}", "test", psi=11, result="fail", leaks=[{"at": f"joint-{n}"}]) for n in range(4, 8)]
        life += [*work, *fails, *filled(2000 + year)]
    wrong = [{"at": f"stave-{n}", "defect": "cracked", "severity": 2} for n in range(1, 15)]
    life += [
        ev("2011-01-01", "examine", verdict="repair", findings=wrong, stave_mm=17, soaked=0.8),
        ev("2011-01-02", "nose", verdict="fault", faults=["musty"]),
    ]
    root = made(tmp_path, {"TH-000001": (life, {"made": 1950, "charred": 1950, "maker": "A maker with a very long name indeed " * 3})})
    text = "\n".join(page(root, "TH-000001"))
    assert "signature: ____" in text and "--rule retire --outcome keep" in text and "Reminder only" in text
    assert "! staves 17 mm on 2011-01-01" in text and "! soaked 0.80" in text and "made 1950" in text and "…" in text
    assert "  mended     joint-3 in 10 visits (2001" in text and "  wood       14 staves" in text and "……" not in text


def filled_in(command: str) -> list[str]:
    """A command of the sheet with what a person puts in."""
    out = []
    for word in shlex.split(command):
        out.append({"DATE": "2031-01-01", "NAME": "kd", "WHY": "thin; spent", "lesser use: WHAT": "lesser use: grain", "WHOM": "a garden centre", "WINE": "oloroso",
                    "N": "2", "L": "150", "A": "60", "C": "15"}.get(word, word))  # fmt: skip
    return out


@pytest.mark.thorough
@pytest.mark.parametrize("cask", ["TH-000001", "TH-000004", "TH-000007"])
def test_every_command_of_the_sheet_can_be_entered(tmp_path: Path, cask: str) -> None:
    """Each option in a book of its own: the emptying before it where the cask is full."""
    day = ("--date", "2011-12-30", "--by", "ab", "--yes")
    (data,) = json.loads(told(made(tmp_path, CASKS), cask, "--format", "json"))
    commands = {one["option"]: one["commands"] for one in data["options"]}
    for name, lines in commands.items():
        root = tmp_path / name.replace(" ", "-")
        root.mkdir()
        made(root, {cask: CASKS[cask]})
        before = [data["first"]] if data["first"] and name != "keep" else []
        for command in [*before, *lines]:
            words = filled_in(command)
            assert words[:2] == ["caskbook", "enter"]
            ran = caskbook(*words[1:], *day, "--records", str(root))
            if name == "repair":  # What the job found is asked for.
                assert ran.returncode in (0, 2) and (ran.returncode == 0 or " needs --" in ran.stderr), ran.stderr
            else:
                assert ran.returncode == 0, (command, ran.stderr)


@pytest.mark.thorough
def test_sheets_are_saved_a_page_a_cask(book: Path, tmp_path: Path) -> None:
    text = tmp_path / "sheets.txt"
    told(book, "TH-000001", "TH-000006", "--save", str(text))
    first, second = text.read_text(encoding="utf-8").split("\f")
    assert first == "\n".join(page(book, "TH-000001")) + "\n" and "TH-000006" in second.splitlines()[0]
    assert caskbook("report", "retirement", "TH-000001", "--save", str(text), "--records", str(book), *DAY).returncode == 2, "it may be filled in"


@pytest.mark.thorough
def test_a_pdf_and_an_svg_tell_what_the_text_tells(book: Path, tmp_path: Path) -> None:
    from paper.pixels import words_of

    pdf, svg = tmp_path / "sheets.pdf", tmp_path / "sheet.svg"
    told(book, "TH-000001", "TH-000006", "--save", str(pdf))
    pages = words_of(pdf)
    assert len(pages) == 2
    for page_words, cask in zip(pages, ("TH-000001", "TH-000006"), strict=True):
        plain = " ".join(page_words.split())
        for words in (cask, "what it has had", "caskbook enter decide", "--rule retire", "signature:", "Reminder only", "caskbook proposes, a person signs"):
            assert words in plain, (cask, words)
    assert "spent: 2 fills since char on 2002-02-01" in " ".join(pages[0].split())
    told(book, "TH-000001", "--save", str(svg))
    assert svg.read_text(encoding="utf-8").count("<svg ") == 1 and ">signature:<" in svg.read_text(encoding="utf-8")
    told(book, "TH-000001", "TH-000002", "--save", str(tmp_path / "two.svg"))
    assert {path.name for path in tmp_path.glob("two*")} == {"two-TH-000001.svg", "two-TH-000002.svg"}
