"""Litres and strengths of wine, and of each part of a racking, in the check: wine has ranges of its own, wherever it is told of."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.yaml.write import flow_text

BUTT = "cask: TH-004217\nformat: 1\ntype: butt\ncapacity_l: 500\nevents:\n"


def codes(folder: Path, *events: tuple[str, dict[str, Any]]) -> list[str]:
    """`code at field` of what the check finds, beside what a racking says of the other cask."""
    told = whole(folder, *events)
    return sorted(code for code in ("implausible-value", "out-of-range", "over-capacity", "lpa-gain") if code in told)


def whole(folder: Path, *events: tuple[str, dict[str, Any]]) -> str:
    """All that the check says of a butt with these events."""
    root = folder / "book"
    (root / "casks" / "TH-004").mkdir(parents=True)
    (root / "house.yaml").write_text("timezone: UTC\ncrew:\n  - {initials: ab}\n", encoding="utf-8")
    rows = "".join(
        f"  - {flow_text({'id': f'e100000{n}', 'date': date(2020, 1, n + 1), 'job': job, 'by': 'ab', **more})}\n" for n, (job, more) in enumerate(events)
    )
    path = root / "casks" / "TH-004" / "TH-004217.yaml"
    path.write_text(BUTT + rows, encoding="utf-8")
    return caskbook("check", "TH-004217", "--records", str(root), "--format", "github").stdout


WINE = ("receive", {"verdict": "accept", "contents": "wine", "spirit": "oloroso", "litres": 490, "abv": 17, "at_20": True})


def received(**more: Any) -> tuple[str, dict[str, Any]]:
    return ("receive", {**WINE[1], **more})


@pytest.mark.parametrize(
    ("events", "told"),
    [
        ([WINE], []),
        ([received(abv=9.9)], ["implausible-value"]), ([received(abv=24.1)], ["implausible-value"]),
        ([received(abv=4.9)], ["out-of-range"]), ([received(abv=30.1)], ["out-of-range"]),
        ([received(litres=506)], ["over-capacity"]), ([received(litres=505)], []),
        ([received(spirit="malt", contents="spirit", abv=60, oak_since="unknown")], []),
        ([received(spirit="malt", contents="spirit", abv=60, oak_since="unknown", litres=700)], ["over-capacity"]),
        ([WINE, ("empty", {"litres": 480, "abv": 17, "at_20": True, "why": "drawn"})], []),
        ([WINE, ("empty", {"litres": 600, "abv": 17, "at_20": True, "why": "drawn"})], ["lpa-gain", "over-capacity"]),
        ([("receive", {"verdict": "accept"}), ("season", {"wine": "oloroso", "litres": 5000})], ["over-capacity"]),
        ([("receive", {"verdict": "accept"}), ("season", {"wine": "oloroso", "litres": 480}), ("empty", {"litres": 4800, "abv": 17, "at_20": True})], ["over-capacity"]),
    ],
)  # fmt: skip
def test_wine_has_ranges_of_its_own(tmp_path: Path, events: list[tuple[str, dict[str, Any]]], told: list[str]) -> None:
    assert codes(tmp_path, *events) == told


SPIRIT = received(spirit="malt", contents="spirit", abv=60, oak_since="unknown")


@pytest.mark.parametrize(
    ("first", "abv", "told"),
    [(SPIRIT, 60, []), (SPIRIT, 19.9, ["implausible-value"]), (SPIRIT, 95.1, ["implausible-value"]), (SPIRIT, 6, ["implausible-value"]),
     (WINE, 17, []), (WINE, 9, ["implausible-value"]), (WINE, 60, ["out-of-range"]), (WINE, 4, ["out-of-range"])],
)  # fmt: skip
def test_each_part_of_a_racking_is_judged_as_others_are(tmp_path: Path, first: tuple[str, dict[str, Any]], abv: float, told: list[str]) -> None:
    racked = ("rack-out", {"to": [{"cask": "TH-000002", "litres": 10, "abv": abv}], "left_l": 400, "at_20": True, "why": "marry"})
    assert codes(tmp_path, first, racked) == told


@pytest.mark.parametrize(
    ("spirit", "abv", "told"), [("malt", 60, []), ("malt", 6, ["implausible-value"]), ("oloroso", 17, []), ("oloroso", 60, ["out-of-range"])]
)
def test_so_is_what_is_racked_in(tmp_path: Path, spirit: str, abv: float, told: list[str]) -> None:
    racked = ("rack-in", {"from": [{"cask": "TH-000002", "litres": 100, "abv": abv}], "spirit": spirit, "oak_since": "unknown", "at_20": True})
    assert codes(tmp_path, ("receive", {"verdict": "accept"}), racked) == told


@pytest.mark.parametrize(
    ("job", "more"),
    [
        ("regauge", {"litres": 190, "abv": 60, "method": "meter"}), ("top", {"from": "other", "litres": 5, "abv": 60}), ("draw", {"litres": 5, "abv": 60, "why": "sold"}),
        ("empty", {"litres": 190, "abv": 60}), ("receive", {}), ("fill", {"spirit": "malt", "litres": 190, "abv": 60}),
    ],
)  # fmt: skip
def test_litres_are_measured_at_one_temperature(tmp_path: Path, job: str, more: dict[str, Any]) -> None:
    """By every job that has both fields, whichever way it came into the file."""
    for temp, found in ((2, True), (20, False)):
        both = {"temp_c": temp, "at_20": True, **more}
        first = (
            ("receive", {"verdict": "accept"})
            if job == "fill"
            else received(spirit="malt", contents="spirit", abv=60, oak_since="unknown", **(both if job == "receive" else {}))
        )
        told = whole(tmp_path / str(temp), first, *([(job, both)] if job != "receive" else []))
        assert ("fields-disagree" in told) == found, told


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"litres": 480, "temp_c": 2, "at_20": "yes"}, "litres at 20 °C have no other temperature"),
        ({"litres": 480, "wet_mm": 300, "temp_c": 2}, "the litres measured or worked out of the dip"),
        ({"litres": 480, "gross_kg": 300, "temp_c": 2}, "expected what was measured"),
    ],
)
def test_a_sheet_with_both_is_refused(tmp_path: Path, cells: dict[str, Any], said: str) -> None:
    root = tmp_path / "book"
    whole(tmp_path, received(spirit="malt", contents="spirit", abv=60, oak_since="unknown"))
    sheet = tmp_path / "sheet.csv"
    heads = {"cask": "TH-004217", "date": "2020-02-01", "job": "regauge", "by": "ab", "abv": 60, "method": "meter", **cells}
    sheet.write_text(f"{','.join(heads)}\n{','.join(map(str, heads.values()))}\n", encoding="utf-8")
    before = (root / "casks/TH-004/TH-004217.yaml").read_bytes()
    told = caskbook("enter", "sheet", str(sheet), "--yes", "--records", str(root))
    assert told.returncode == 1 and said in told.stderr + told.stdout
    assert (root / "casks/TH-004/TH-004217.yaml").read_bytes() == before


def test_nothing_that_came_out_has_no_strength(tmp_path: Path) -> None:
    """In a file, and typed: one of the two figures is another one."""
    for name, fields, found in (("both", {"litres": 0, "abv": 60}, True), ("dry", {"litres": 0}, False), ("drawn", {"litres": 1, "abv": 60}, False)):
        assert ("fields-disagree" in whole(tmp_path / name, SPIRIT, ("empty", {"at_20": True, **fields}))) == found
    imported = {"litres": 0, "abv": 60, "at_20": True, "source": "register"}
    assert "fields-disagree" not in whole(tmp_path / "register", SPIRIT, ("empty", imported))
    whole(tmp_path, SPIRIT)
    path = tmp_path / "book" / "casks/TH-004/TH-004217.yaml"
    before = path.read_bytes()
    words = ("enter", "empty", "TH-004217", "--litres", "0", "--abv", "60", "--date", "2020-02-01", "--by", "ab", "--yes", "--records", str(tmp_path / "book"))
    told = caskbook(*words)
    assert told.returncode == 1 and "0 litres, and `abv` 60 %: expected no strength of nothing" in told.stderr, told.stderr
    assert path.read_bytes() == before


@pytest.mark.parametrize("more", [{"wet_mm": 300}, {"dry_mm": 300}, {"gross_kg": 300}])
def test_a_gauge_says_one_way_how_much_there_is(tmp_path: Path, more: dict[str, Any]) -> None:
    rest = {"abv": 60, "at_20": True, "method": "dip"}
    assert "fields-disagree" in whole(tmp_path / "both", SPIRIT, ("regauge", {"litres": 480, **more, **rest}))
    assert "fields-disagree" not in whole(tmp_path / "one", SPIRIT, ("regauge", {**more, **rest}))
    if "gross_kg" not in more:
        assert "fields-disagree" in whole(tmp_path / "dip and weight", SPIRIT, ("regauge", {"gross_kg": 480, **more, **rest}))


SEASONED = [("receive", {"verdict": "accept"}), ("season", {"wine": "oloroso", "litres": 100})]
OUT = {"abv": 17, "at_20": True}


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ([("draw", {"litres": 450, **OUT})], "450 L taken: it held 100 L"),
        ([("draw", {"litres": 60, **OUT}), ("draw", {"litres": 60, **OUT})], "60 L taken: it held 40 L"),
        ([("empty", {"litres": 490, **OUT})], "490 L taken: it held 100 L"),
        ([("rack-out", {"to": [{"cask": "TH-004218", "litres": 480, "abv": 17}], "at_20": True, "why": "solera"})], "480 L taken: it held 100 L"),
        ([("top", {"litres": 450, **OUT})], "450 L put to 100 L in a cask of 500 L"),
        ([("top", {"litres": 380, **OUT}), ("empty", {"litres": 470, **OUT})], None), ([("draw", {"litres": 60, **OUT}), ("empty", {"litres": 40, **OUT})], None),
        ([("regauge", {"litres": 95, "abv": 17, "at_20": True, "method": "dip"}), ("empty", {"litres": 99, **OUT})], "99 L taken: it held 95 L"),
        ([("empty", {"litres": 98, **OUT}), ("fill", {"spirit": "malt", "litres": 480, "abv": 63.5, "at_20": True}), ("empty", {"litres": 470, **OUT, "abv": 60})], None),
    ],
)  # fmt: skip
def test_no_more_comes_out_of_a_seasoned_cask_than_was_put_in(tmp_path: Path, more: list[tuple[str, dict[str, Any]]], told: str | None) -> None:
    found = whole(tmp_path, *SEASONED, *more)
    assert told in found if told else " taken: it held" not in found and " put to " not in found, found
