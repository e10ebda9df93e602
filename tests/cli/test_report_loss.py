"""`report loss` on a small ledger: the account in its forms, the evidence sheet, refusals."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from pathlib import Path

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook
from due.judged import decided
from index.book import make_demo
from loss.filled import START, emptied, filled, gauged

from caskbook.cli.commands import report as report_command
from caskbook.cli.commands.report import run_loss
from caskbook.core.finding import CaskbookError
from caskbook.index.index import Index

pytestmark = pytest.mark.thorough

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\nin_drink_percent: 0\nmeasuring_error: {meter: 0.3}\ncrew: [{initials: ab}]\n"


@pytest.fixture
def book(tmp_path: Path) -> str:
    """Two dozen sound casks in the racks, a leaker whose loss was explained, and one never filled."""
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    for n in range(1, 25):
        left = 200 * (0.98 - 0.0002 * (n % 5)) ** 4
        write(tmp_path, f"TH-{n:06d}", filled(berth="R1"), gauged("2019-01-01", round(left, 1), 63.1), parcel=f"P-{n % 2}")
    leak = [ev("2016-05-01", "leak", at="joint-3", severity="drip"), ev("2016-05-02", "look", seen="dry", closed_as="took-up")]
    write(
        tmp_path, "TH-000100", filled(berth="R1"), *leak, ev("2017-01-01", "sample", ml=100), gauged("2019-01-01", 150, 63.1, method="dip"),
        decided("2019-02-01", "loss", "explained"), emptied("2021-01-01", 130, 62.8), parcel="P-1",
    )  # fmt: skip
    write(tmp_path, "TH-000101", parcel="P-1")
    return str(tmp_path)


def write(root: Path, cask: str, *events: dict[str, object], **head: object) -> None:
    path = root / "casks" / cask[:-3] / f"{cask}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.safe_dump(cask_data(*START, *events, cask=cask, **head), sort_keys=False), encoding="utf-8")


def report(book: str, *casks: str, by: str | None = None, form: str = "text", evidence: bool = False, as_of: str = "2022-01-01") -> int:
    return run_loss(list(casks), book, as_of, None, form, by=by, evidence=evidence)


def test_by_store_in_text(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert report(book, by="store") == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("loss by store on 2022-01-01 · 25 casks · 25 of 25 fills gauged")
    assert "1 of 25 fills gauged to the end" in " ".join(lines)
    racks, whole = (next(line.split() for line in lines if line.startswith(name)) for name in ("racks ", "all "))
    assert racks[1:5] == whole[1:5]


def test_sums_are_those_of_the_rows_in_every_form(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    report(book, by="fill", form="json")
    read = json.loads(capsys.readouterr().out, parse_float=Decimal)
    assert (read["as_of"], read["by"], len(read["rows"])) == ("2022-01-01", "fill", 25)
    assert sum(row["lpa"] for row in read["rows"]) == read["total"]["lpa"]
    assert [row["cask"] for row in read["rows"] if row["verdict"] == "act"] == ["TH-000100"]
    report(book, by="parcel", form="csv")
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert [row["name"] for row in rows] == ["P-0", "P-1"]
    assert sum(Decimal(row["lpa"]) for row in rows) == read["total"]["lpa"]


def test_casks_named_are_held_against_the_whole_book(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    report(book, "TH-000100", by="fill", form="json")
    (row,) = json.loads(capsys.readouterr().out)["rows"]
    assert (row["cask"], row["verdict"], row["store"]) == ("TH-000100", "act", "racks")
    assert row["expected"] == pytest.approx(1 - 0.9796 * (63.1 / 63.5) ** 0.25, abs=1e-4)
    report(book, "TH-000001..000003", by="cask", form="json")
    assert [row["name"] for row in json.loads(capsys.readouterr().out)["rows"]] == ["TH-000001", "TH-000002", "TH-000003"]


def test_the_evidence_sheet(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    report(book, "TH-000100", evidence=True)
    sheet = capsys.readouterr().out
    for told in (
        "fill of 2015-01-01 (e0000003): malt, 1st fill, racks, 200 L, to 2021-01-01",
        "150.00   63.1      94.65", "sample", "24 peers (barrel, racks, 1st fill)", "drip at joint-3",
        "loss: explained, seen by us (approved K. Dunmore)", "as a leak does", "meter 0.3 %, weigh 0.2 % (usual, no source)",
        "It draws no legal conclusion",
    ):  # fmt: skip
        assert told in sheet, told
    for word in ("theft", "stolen", "liable", "negligen", "fault of"):
        assert word not in sheet


def test_the_evidence_sheet_as_data_and_on_an_earlier_day(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    report(book, "TH-000100", evidence=True, form="json")
    (sheet,) = json.loads(capsys.readouterr().out)
    assert sheet["cask"] == "TH-000100" and any("no legal conclusion" in text for text in sheet["said"])
    report(book, "TH-000100", evidence=True, as_of="2018-01-01")
    assert "no second gauge" in capsys.readouterr().out


def test_refusals(book: str) -> None:
    for call, why in (
        (lambda: report(book, "TH-009999"), "not in the book"),
        (lambda: report(book, by="crew"), "--by crew"),
        (lambda: report(book, form="xml"), "--format xml"),
        (lambda: report(book, evidence=True), "name the casks"),
        (lambda: report(book, "TH-000100", evidence=True, form="csv"), "expected text, json or jsonl"),
    ):
        with pytest.raises(CaskbookError, match=why):
            call()


def test_an_empty_book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    assert report(str(tmp_path)) == 0
    assert "no fills: none of the book's casks was ever filled by that day" in capsys.readouterr().out


def test_of_fills_without_a_second_gauge_nobody_can_tell_what_they_lost(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    write(tmp_path, "TH-000001", filled(berth="R1"))
    assert report(str(tmp_path)) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "what they lost is not known" in told and "0.00" not in told


def test_a_file_that_cannot_be_read_is_named_and_left_out(book: str, capsys: pytest.CaptureFixture[str]) -> None:
    (Path(book) / "casks" / "TH-000" / "TH-000050.yaml").write_text("cask: [", encoding="utf-8")
    assert report(book) == 0
    assert "TH-000050" in capsys.readouterr().err


def test_a_leaker_is_due_without_being_asked_for_by_name(tmp_path: Path) -> None:
    """A planted leaker of a demo ledger is due under `loss`, with its peers in the reason, and so with the index as without."""
    from caskbook.demo.block import Demo, planted_leakers
    from caskbook.demo.house import UNTIL

    assert caskbook("demo", str(tmp_path / "book"), "--casks", "600", "--seed", "4").returncode == 0
    planted = {cask for cask, _ in planted_leakers(Demo(600, 4, UNTIL))}
    words = ("--records", str(tmp_path / "book"), "--as-of", UNTIL.isoformat(), "--format", "json")
    rows = json.loads(caskbook("due", "loss", "--soon", *words).stdout)
    assert {row["rule"] for row in rows} == {"loss"}
    act = {row["cask"] for row in rows if row["verdict"] == "due"}
    assert act & planted, "no planted leaker was found"
    whole = [row for row in json.loads(caskbook("due", "--soon", *words).stdout) if row["rule"] == "loss"]
    assert whole == rows


@pytest.mark.thorough
@pytest.mark.parametrize("words", [(), ("--by", "store", "--from", "2024-01-01"), ("--type", "butt", "--by", "year"), ("--supplier", "nobody")])
def test_a_large_book_that_the_index_knows_is_told_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]) -> None:
    book = make_demo(tmp_path / "book", 60, 5)

    def told() -> tuple[int, str, str]:
        done = caskbook("report", "loss", *words, "--format", "json", "--as-of", "2026-06-30", "--records", str(book))
        return done.returncode, done.stdout, done.stderr

    alone = told()
    monkeypatch.setattr(report_command, "FEW", 0)
    asked: list[bool] = []
    monkeypatch.setattr(Index, "losses", lambda index, *words, of=Index.losses: asked.append(True) or of(index, *words))
    assert told() == alone and asked
