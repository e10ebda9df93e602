"""`report loss` as a lead asks it: narrowed, sorted, cut, between two days, by year and store; one cask without reading the book."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook
from index.book import copied, git, make_demo, without_index
from loss.filled import START, emptied, filled, gauged

from caskbook.cli.commands import report
from caskbook.cli.commands.report_pairs import ACCOUNT_ONLY
from caskbook.ledger.files import Ledger

pytestmark = pytest.mark.thorough

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\nin_drink_percent: 2\ncrew: [{initials: ab}]\n"
DAY = ("--as-of", "2022-06-30")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Casks of two types, suppliers and stores; one moved from store to store, one whose gauges contradict each other, one not gauged."""
    root = tmp_path_factory.mktemp("account") / "book"
    write(root, "TH-000001", filled("2018-05-02", berth="D1"), gauged("2020-05-02", 190), gauged("2022-01-10", 184), supplier="northquay", parcel="P-1")
    write(root, "TH-000002", filled("2018-05-02", berth="R1/2"), gauged("2021-05-02", 185), supplier="northquay", parcel="P-2")
    write(
        root, "TH-000003", filled("2017-12-31", 240, berth="D2"), ev("2019-12-31", "move", berth="R2"), emptied("2021-12-31", 220),
        type="hogshead", capacity_l=250, supplier="tollerby",
    )  # fmt: skip
    write(root, "TH-000004", filled("2018-05-02", berth="R1/3"), gauged("2021-05-02", 250), parcel="P-1")
    write(root, "TH-000005", filled("2021-05-02", berth="R1/4"), parcel="P-2")
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    return root


def write(root: Path, cask: str, *events: dict[str, Any], **head: Any) -> None:
    path = root / "casks" / cask[:-3] / f"{cask}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.safe_dump(cask_data(*START, *events, cask=cask, **head), sort_keys=False), encoding="utf-8")


def read(book: Path, *words: str) -> dict[str, Any]:
    done = caskbook("report", "loss", "--records", str(book), *DAY, "--format", "json", *words)
    assert done.returncode == 0, done.stderr
    found: dict[str, Any] = json.loads(done.stdout, parse_float=Decimal)
    shown = [*found["rows"], *([found["others"]] if found["others"] else [])]
    for key in ("lpa", "litres", "put_in"):
        known = [row[key] for row in shown if row[key] is not None]
        assert (sum(known) if known or not shown else None) == found["total"][key]
    return found


def names(found: dict[str, Any]) -> list[str]:
    return [row["name"] for row in found["rows"]]


def test_the_accounts_of_each_year_close_with_the_whole(book: Path) -> None:
    whole = read(book)["total"]
    years = [read(book, "--from", f"{year}-01-01", "--to", f"{year}-12-31" if year < 2022 else "2022-06-30")["total"] for year in range(2017, 2023)]
    assert sum(year["lpa"] for year in years) == whole["lpa"] > 40
    by_year = read(book, "--by", "year")
    assert names(by_year) == [str(year) for year in range(2017, 2023)]
    assert [row["lpa"] for row in by_year["rows"]] == [year["lpa"] for year in years]
    assert [row["complete"] for row in by_year["rows"]] == [year["complete"] for year in years] == [1, 3, 3, 3, 2, 0]
    assert by_year["total"] == whole
    assert years[0]["lpa"] == Decimal("3.05"), "what the wood took of 152.40 L of alcohol on the day of the filling"


def test_n_of_n_the_day_and_what_is_in_no_sum_on_the_first_screen(book: Path) -> None:
    for terminal in (True, False):
        done = caskbook("report", "loss", "--records", str(book), *DAY, "--from", "2020-01-01", "--by", "type", terminal=terminal)
        lines = done.stdout.splitlines()
        assert max(map(len, lines)) <= 80
        first = " ".join(lines[:6])
        for told in (
            "from 2020-01-01 to 2022-06-30, as the book has it on 2022-06-30",
            "3 of 5 fills gauged",
            "1 of 5 fills gauged to the end",
            "1 doubtful fill in no sum",
        ):
            assert told in first, told
        assert "1 doubtful fill in no sum: gauges in contradiction (1)" in lines
        assert any(line.startswith("  TH-000004  filled 2018-05-02  gauges in contradiction: ") for line in lines)


def test_the_doubtful_are_listed_and_in_no_sum(book: Path) -> None:
    found = read(book, "--by", "fill")
    (doubtful,) = found["doubtful"]
    assert (doubtful["cask"], doubtful["doubt"], doubtful["store"]) == ("TH-000004", "gauges in contradiction", "racks") and "2021-05-02" in doubtful["reason"]
    assert found["total"]["doubtful"] == 1 and found["total"]["gauged"] == 3 and found["total"]["fills"] == 5
    assert [row["lpa"] for row in found["rows"] if row["doubt"]] == [None]
    done = caskbook("report", "loss", "--records", str(book), *DAY, "--by", "fill", "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(done.stdout)))
    assert sum(Decimal(row["lpa"] or 0) for row in rows) == found["total"]["lpa"]
    assert [row["doubt"] for row in rows if row["cask"] == "TH-000004"] == ["gauges in contradiction"]


@pytest.mark.parametrize(("words", "casks"), [
    (("--type", "hogshead"), ["3"]), (("--type", "hhd"), ["3"]), (("--type", "hogshead", "--type", "barrel"), ["1", "2", "3", "4", "5"]),
    (("--supplier", "northquay"), ["1", "2"]), (("--parcel", "P-1", "--parcel", "P-2"), ["1", "2", "4", "5"]),
    (("--store", "dunnage"), ["1", "3"]), (("--store", "racks"), ["2", "3", "4", "5"]), (("--berth", "R1"), ["2", "4", "5"]),
    (("--berth", "R1/2", "--berth", "D2"), ["2", "3"]), (("--berth", "R", "--type", "barrel"), ["2", "4", "5"]),
    (("--store", "racks", "--to", "2019-12-31"), ["2", "4"]), (("--from", "2022-01-11"), ["1", "2", "4", "5"]), (("TH-000001..000003", "--store", "dunnage"), ["1", "3"]),
])  # fmt: skip
def test_filters_narrow_as_in_list(book: Path, words: tuple[str, ...], casks: list[str]) -> None:
    assert [name.removeprefix("TH-00000") for name in names(read(book, *words))] == casks


def test_a_fill_that_moved_is_shared_out_over_its_stores(book: Path) -> None:
    (whole,) = read(book, "TH-000003", "--by", "fill")["rows"]
    dunnage, racks = read(book, "TH-000003", "--by", "store")["rows"]
    assert dunnage["lpa"] + racks["lpa"] == whole["lpa"] and dunnage["lpa"] > racks["lpa"] > 0
    assert read(book, "TH-000003", "--by", "cask", "--store", "racks")["total"]["lpa"] == racks["lpa"]
    assert read(book, "TH-000003", "--berth", "D")["total"]["lpa"] == dunnage["lpa"]
    assert (whole["store"], whole["supplier"]) == ("racks", "tollerby")


def test_every_name_closes_and_says_who_has_none(book: Path) -> None:
    whole = read(book)["total"]
    for by, groups in (("type", ["barrel", "hogshead"]), ("supplier", ["(no supplier)", "northquay", "tollerby"]), ("parcel", ["(no parcel)", "P-1", "P-2"])):
        found = read(book, "--by", by)
        assert names(found) == groups and found["total"] == whole


def test_the_first_by_what_was_lost_and_the_others_in_one_row(book: Path) -> None:
    found = read(book, "--top", "2")
    assert names(found) == ["TH-000003", "TH-000001"] and (found["others"]["name"], found["others"]["casks"]) == ("(others)", 3)
    assert names(read(book, "--sort", "rate,name")) == ["TH-000001", "TH-000003", "TH-000002", "TH-000004", "TH-000005"]
    assert names(read(book, "--sort", "-casks", "--by", "supplier", "--top", "1")) == ["(no supplier)"]
    told = caskbook("report", "loss", "--records", str(book), *DAY, "--top", "2").stdout
    assert "… 3 more, summed as (others): add --top 5" in told


def test_a_sum_of_fills_that_nobody_gauged_is_unknown_and_not_nothing(book: Path) -> None:
    """By fill as by cask: of TH-000005 nothing is known, alone and among the others."""
    for by in ("fill", "cask"):
        done = caskbook("report", "loss", "TH-000005", "--by", by, "--records", str(book), *DAY)
        assert [line.split()[-1] for line in done.stdout.splitlines() if line.startswith("all ")] == ["?"]
    done = caskbook("report", "loss", "TH-000001", "TH-000005", "--by", "fill", "--top", "1", "--records", str(book), *DAY)
    others, whole = (next(line.split() for line in done.stdout.splitlines() if line.startswith(name)) for name in ("(others)", "all "))
    assert others == ["(others)", "?"] and whole[1] not in ("?", "0.00")


def test_a_screen_has_forty_casks_fills_or_parcels_and_a_program_all(tmp_path: Path) -> None:
    """Those that lost most; the others in one row, so that it still closes. Of forty no more is said than before."""
    for n in range(1, 43):
        write(tmp_path, f"TH-{n:06d}", filled("2018-05-02", berth="D1"), gauged("2020-05-02", 190 - n / 10), supplier=f"s{n}", parcel=f"P-{n:02d}")
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for by, first in (("cask", "TH-000042"), ("fill", "TH-000042"), ("parcel", "P-42")):
        asked = ("report", "loss", "--records", str(tmp_path), *DAY, "--by", by)
        lines = caskbook(*asked).stdout.splitlines()
        head = next(n for n, line in enumerate(lines) if line.startswith(f"{by if by != 'fill' else 'cask'} "))
        assert lines[head + 1].startswith(first) and lines[head + 41].startswith("(others)"), by
        assert lines[head + 43] == "… 2 more, summed as (others): add --top 42"
        assert "…" not in caskbook(*asked, "--top", "42").stdout
        assert caskbook(*asked, "--sort", "name").stdout.splitlines()[head + 1].startswith(first[:-2] + "01")
        assert len(caskbook(*asked, "--format", "csv").stdout.splitlines()) == 43
    assert "(others)" not in caskbook("report", "loss", "--records", str(tmp_path), *DAY, "--by", "supplier").stdout
    for n in (41, 42):
        (tmp_path / "casks" / "TH-000" / f"TH-{n:06d}.yaml").unlink()
    forty = caskbook("report", "loss", "--records", str(tmp_path), *DAY).stdout
    assert "(others)" not in forty and forty.index("TH-000001") < forty.index("TH-000040")


@pytest.mark.parametrize(("words", "said"), [
    (("--sort", "berth"), "--sort berth: with --by cask expected name,"), (("--sort", "share,-share"), "stands there twice"),
    (("--from", "2022-02-30"), "--from: "), (("--from", "2021-02-01", "--to", "2021-01-31"), "the first day lies after the last one"),
    (("--to", "2022-07-01"), "--to 2022-07-01: expected a day up to 2022-06-30"), (("--from", "2023-01-01"), "--from 2023-01-01: expected a day up to 2022-06-30"),
    (("--by", "crew"), "expected cask, fill, parcel, store, type, year or supplier"), (("--type", "bucket"), "--type: "),
    (("TH-000009", "--by", "year"), "TH-000009"),
])  # fmt: skip
def test_what_cannot_be_asked_is_one_line(book: Path, words: tuple[str, ...], said: str) -> None:
    done = caskbook("report", "loss", "--records", str(book), *DAY, *words)
    assert (done.returncode, done.stdout) == (2, "") and said in done.stderr and done.stderr.count("\n") == 1


@pytest.mark.parametrize("option", ACCOUNT_ONLY)
def test_a_sheet_takes_no_option_of_the_account(book: Path, option: str) -> None:
    value = {"--by": "cask", "--type": "barrel", "--from": "2020-01-01", "--to": "2021-01-01", "--sort": "name", "--top": "1"}.get(option, "x")
    done = caskbook("report", "loss", "TH-000001", "--evidence", option, value, "--records", str(book), *DAY)
    assert (done.returncode, done.stdout) == (2, "") and f"--evidence with {option}" in done.stderr and "leave one" in done.stderr


def test_the_table_of_pairs_knows_every_option() -> None:
    import inspect

    from caskbook.cli.report_group import loss

    known = {"types": "--type", "since": "--from", "until": "--to"}
    options = {known.get(name, f"--{name}") for name in inspect.signature(loss).parameters} - {
        "--what",
        "--records",
        "--as_of",
        "--at",
        "--form",
        "--evidence",
        "--picture",
        "--save",
    }
    assert options == set(ACCOUNT_ONLY)


def test_a_filter_that_nothing_fits_is_said(book: Path) -> None:
    done = caskbook("report", "loss", "--records", str(book), *DAY, "--store", "Racks", "--parcel", "P-9")
    assert done.returncode == 0 and "no cask here fits --store Racks --parcel P-9" in done.stderr and "0 casks" in done.stdout


def test_a_cask_without_an_entry_by_then_is_said(book: Path) -> None:
    done = caskbook("report", "loss", "TH-000001", "--records", str(book), "--as-of", "2010-01-01")
    assert done.returncode == 0 and "TH-000001 has no entry up to 2010-01-01" in done.stderr


def test_the_table_of_fills_has_what_the_report_adds_up(book: Path) -> None:
    asked = "SELECT cask, berth, store, loss_lpa, loss_doubt FROM fill ORDER BY cask"
    rows = json.loads(caskbook("query", asked, "--records", str(book), *DAY, "--format", "json").stdout, parse_float=Decimal)
    assert [(row["berth"], row["store"]) for row in rows] == [("D1", "dunnage"), ("R1/2", "racks"), ("R2", "racks"), ("R1/3", "racks"), ("R1/4", "racks")]
    assert [row["loss_doubt"] for row in rows] == [None, None, None, "gauges in contradiction", None]
    assert sum(row["loss_lpa"] or 0 for row in rows if row["loss_doubt"] is None) == read(book)["total"]["lpa"]
    casks = json.loads(caskbook("list", "--columns", "loss_lpa,loss_doubt", "--records", str(book), *DAY, "--format", "json").stdout)
    assert [row["loss_doubt"] for row in casks].count("gauges in contradiction") == 1
    earlier = caskbook("query", "SELECT berth, store FROM fill WHERE cask = 'TH-000003'", "--records", str(book), "--as-of", "2019-01-01", "--format", "csv")
    assert earlier.stdout.splitlines()[1:] == ["D2,dunnage"]


def test_a_number_that_was_joined_is_told_under_the_one_that_goes_on(tmp_path: Path) -> None:
    """On every day, as joins hold for all days, with the index and without."""
    root = tmp_path / "book"
    write(root, "TH-000001", filled("2018-05-02"), gauged("2020-05-02", 190))
    joined = [filled("2015-06-01"), emptied("2017-01-01", 190), ev("2021-01-01", "same-as", of="TH-000001", why="two numbers")]
    write(root, "TH-000002", *joined)
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for _ in range(2):
        for day in ("2020-12-31", "2021-01-01"):
            found = caskbook("report", "loss", "TH-000001", "--records", str(root), "--as-of", day, "--format", "json")
            assert [row["name"] for row in json.loads(found.stdout)["rows"]] == ["TH-000002"]
        caskbook("due", "--records", str(root), "--as-of", "2021-01-01")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A committed demo ledger, of more files than are read at once without an index."""
    root = make_demo(tmp_path_factory.mktemp("one") / "book", 60)
    git(root, "init", "-q")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "all")
    return root


ONE = ("TH-000001", "TH-000003..000009")
ON = ((), ("--as-of", "2024-05-05"), ("--at", "HEAD"), ("--at", "HEAD", "--as-of", "2023-03-03"))


@pytest.mark.parametrize("words", [("--by", "fill", "--format", "json"), ("--evidence",), ("--by", "store", "--from", "2020-01-01", "--to", "2022-12-31")])
def test_casks_named_lost_the_same_with_the_index_and_without(demo: Path, tmp_path: Path, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """With the answer of the day, with that of another day, on another day, at a revision; with the index made first or not; and off."""
    monkeypatch.setattr(report, "FEW", 10)
    root = copied(demo, tmp_path / "book")
    for on in ON:
        asked = ("report", "loss", *ONE, *words, *on, "--records", str(root))
        with without_index():
            alone = caskbook(*asked)
        assert alone.returncode == 0 and alone.stdout
        for _ in range(2):
            again = caskbook(*asked)
            assert (again.returncode, again.stdout) == (0, alone.stdout), on
            caskbook("due", "--records", str(root))


@pytest.mark.parametrize("on", ON)
def test_one_cask_is_told_without_reading_the_book(demo: Path, tmp_path: Path, on: tuple[str, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    """Once the index knows the day, as `show` does it: the one file is read and no other."""
    monkeypatch.setattr(report, "FEW", 10)
    root = copied(demo, tmp_path / "book")
    caskbook("due", "--records", str(root))
    asked = ("report", "loss", "TH-000001", "--by", "fill", *on, "--records", str(root))
    first = caskbook(*asked)

    def read_all(_: Ledger) -> None:
        raise AssertionError("the whole book is read")

    monkeypatch.setattr(Ledger, "records", read_all)
    assert caskbook(*asked).stdout == first.stdout != ""


@pytest.mark.parametrize("indexed", [True, False])
def test_the_share_of_a_fill_is_one_wherever_it_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, indexed: bool) -> None:
    """By hand, each gauge to the hundredth as it is shown: 198.4 L at 63.5 % are 125.98 L of alcohol, 10.1 L at 60.3 % topped 6.09, 170.3 L at 63.1 % 107.46:
    24.61 of 132.07 went. Of the litres before they were rounded it would be 0.186 372."""
    root = tmp_path / "book"
    topped = ev("2019-05-02", "top", litres=10.1, abv=60.3, at_20=True, spirit="malt", oak_since="2018-05-02")
    write(root, "TH-000001", filled("2018-05-02", 198.4, 63.5, berth="D1"), topped, gauged("2021-05-02", 170.3, 63.1))
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    monkeypatch.setenv("CASKBOOK_INDEX", "on" if indexed else "off")
    expected = round((125.98 + 6.09 - 107.46) / (125.98 + 6.09), 6)
    assert expected == 0.186341
    told = {by: float(read(root, "--by", by)["rows"][0]["share"]) for by in ("cask", "fill", "parcel", "store", "type", "supplier")}
    assert told == dict.fromkeys(told, expected), told
    assert float(read(root, "--by", "cask")["total"]["share"]) == expected
    asked = ("--records", str(root), *DAY, "--format", "json")
    assert json.loads(caskbook("show", "TH-000001", *asked).stdout)["loss"]["share"] == expected
    assert json.loads(caskbook("query", "select loss_share from fill", *asked).stdout)[0]["loss_share"] == expected
