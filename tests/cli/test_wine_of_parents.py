"""Whether a cask held wine, where only its parents or nobody can tell: at the installed command, with an index and without."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook

pytestmark = pytest.mark.thorough

DAY = ("--as-of", "2020-03-05")
FIGURES = {"fills_life": 1, "fills_life_min": 1, "fills_of_class": 0, "fills_since_char": 1, "fills_since_fire": 1, "char_count": 0, "rechar_count": 0}
RECEIVED = ev("2020-01-10", "receive", verdict="accept")
SHERRY: dict[str, Any] = {"prior": [{"contents": "sherry", "fills": 1}], "charred": "never"}
CHILD: dict[str, Any] = {"type": "hogshead", "prior": "absent", "charred": "absent", "capacity_l": "absent"}
NOT_GIVEN, UNKNOWN, SPIRIT, WINE, NOBODY, BOUGHT = (f"TH-00000{n}" for n in range(2, 8))
OF_WINE = {NOT_GIVEN: None, UNKNOWN: None, SPIRIT: False, WINE: True, NOBODY: None, BOUGHT: None}


def put(root: Path, number: str, *events: dict[str, Any], **head: Any) -> None:
    path = root / "casks" / number[:-3] / f"{number}.yaml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(yaml.safe_dump(json.loads(json.dumps({**cask_data(*events, **head), "cask": number})), sort_keys=False))


@pytest.fixture(params=["off", ""])
def book(tmp_path: Path, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CASKBOOK_INDEX", request.param)
    root = tmp_path / "book"
    assert caskbook("init", str(root)).returncode == 0
    children = [NOT_GIVEN, UNKNOWN, SPIRIT, WINE]
    put(root, "TH-000001", RECEIVED, {**ev("2020-03-01", "convert", children=children, staves=20), "id": "h0000001"}, **SHERRY)
    done = [ev("2020-03-02", "examine", verdict="sound"), ev("2020-03-03", "test", psi=11, result="pass")]
    done = [{**event, "id": f"h000000{n}"} for n, event in enumerate(done, 2)]
    for number in children:
        held = {UNKNOWN: "unknown", SPIRIT: "spirit", WINE: "wine"}.get(number)
        given = {"inherited": {**FIGURES, "held": held}} if held else {}
        put(root, number, {**ev("2020-03-01", "made-from", parents=[{"cask": "TH-000001", "staves": 20}], **given), "id": "h0000001"}, *done, **CHILD)
    put(root, NOBODY, ev("2020-03-01", "made-from", parents=[{"unnumbered": "old butts"}]), *done, **CHILD)
    put(root, BOUGHT, ev("2020-03-01", "receive", verdict="accept"), *done, prior="absent", charred="absent")
    return root


def asked(root: Path, *words: str) -> Any:
    ran = caskbook(*words, "--format", "json", "--records", str(root), *DAY)
    return json.loads(ran.stdout)


def test_every_command_tells_the_same_of_wine(book: Path) -> None:
    for _ in range(2):  # the second time out of an index, if there is one
        assert {row["cask"]: row["wine_held"] for row in asked(book, "list") if row["cask"] in OF_WINE} == OF_WINE
        queried = asked(book, "query", "select cask, wine_held from cask where state is not 'gone'")
        assert {row["cask"]: None if row["wine_held"] is None else bool(row["wine_held"]) for row in queried} == OF_WINE
    assert {number: asked(book, "show", number)["wine_held"] for number in OF_WINE} == OF_WINE
    unknown = [row["cask"] for row in asked(book, "list", "--where", "wine_held is null") if row["cask"] in OF_WINE]
    assert unknown == [number for number, wine in OF_WINE.items() if wine is None]
    csv = caskbook("list", "--format", "csv", "--columns", "cask,wine_held", "--records", str(book), *DAY).stdout.splitlines()
    assert [row for row in csv if row.startswith((NOT_GIVEN, SPIRIT, WINE))] == [f"{NOT_GIVEN},", f"{SPIRIT},no", f"{WINE},yes"]


def test_nosing_is_unknown_with_the_number_where_to_look(book: Path) -> None:
    rows = {row["cask"]: row for row in asked(book, "due", "nose", "--all")}
    assert {number: rows[number]["verdict"] for number in OF_WINE} == dict(zip(OF_WINE, ("unknown", "unknown", "ok", "due", "unknown", "unknown"), strict=True))
    assert rows[UNKNOWN]["reasons"] == ["made from TH-000001, whether it held wine is not told here: look there"]
    assert {row["cask"] for row in asked(book, "due", "nose", "--unknown") if row["verdict"] == "unknown"} == {
        number for number, wine in OF_WINE.items() if wine is None
    }
    card = caskbook("show", NOT_GIVEN, "--records", str(book), *DAY).stdout
    assert "not known whether it held wine" in card and "held no wine" not in card


def test_the_check_names_the_wine_of_the_parents_first(book: Path) -> None:
    ran = caskbook("check", "--format", "concise", "--records", str(book))
    told = {line.split("casks/TH-000/")[1][:9]: line for line in ran.stdout.splitlines() if "inherited-figures-differ" in line}
    assert sorted(told) == [NOT_GIVEN, UNKNOWN, SPIRIT]
    assert "`held` is unknown: the parents give wine (and 7 more)" in told[NOT_GIVEN]
    assert "`held` is unknown: the parents give wine" in told[UNKNOWN]
    assert "`held` is spirit: the parents give wine" in told[SPIRIT]


def test_a_conversion_hands_on_what_is_known_of_wine(book: Path) -> None:
    """Of a cask that came with an unknown past and held spirit here nobody knows the wine; of a child of wine it is known."""
    filled = [ev("2019-02-01", "fill", spirit="malt", litres=190.0, abv=63.5, at_20=True), ev("2019-06-01", "empty", litres=180.0, abv=63.0, at_20=True)]
    put(book, BOUGHT, ev("2019-01-10", "receive", verdict="accept"), *filled, prior="absent", charred="absent")
    for parent, child, held in (
        (BOUGHT, "TH-000021", "unknown"),
        (WINE, "TH-000022", "wine"),
        (NOT_GIVEN, "TH-000023", "unknown"),
        (SPIRIT, "TH-000024", "spirit"),
    ):
        words = (
            "convert",
            parent,
            "--into",
            "1",
            "hogshead",
            "--as",
            child,
            "--gave",
            "20",
            "--by",
            "ab",
            "--date",
            "2020-03-04",
            "--yes",
            "--anyway",
            "--why",
            "no crew yet",
        )
        ran = caskbook("enter", *words, "--records", str(book))
        assert ran.returncode == 0, ran.stdout + ran.stderr
        made = yaml.safe_load((book / "casks" / "TH-000" / f"{child}.yaml").read_text())["events"][0]
        assert made["inherited"]["held"] == held
        assert asked(book, "show", child)["wine_held"] is {"wine": True, "spirit": False}.get(held)
    found = caskbook("check", "--format", "concise", "--records", str(book)).stdout
    assert not any("TH-00002" in line and "inherited" in line for line in found.splitlines())
