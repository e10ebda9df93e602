"""`report service` on small ledgers by hand: words and options, filters, past days, books of which little is known."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from casks import cask_data, ev
from commands import caskbook
from laws import others_thorough

HOUSE = "timezone: UTC\nstores: {D: dunnage, R: racks}\ncrew: [{initials: ab}]\n"
RECEIVED = ev("2005-01-01", "receive", verdict="accept")


def moved(berth: str) -> dict[str, Any]:
    return ev("2005-01-02", "move", berth=berth)


def charred(day: str) -> list[dict[str, Any]]:
    return [ev(day, "open", heads=["A"]), ev(day, "char", level=3), ev(day, "close", heads=["A"])]


def book(root: Path, casks: dict[str, tuple[list[dict[str, Any]], dict[str, Any]]]) -> Path:
    root.mkdir(exist_ok=True)
    (root / "house.yaml").write_text(HOUSE, encoding="utf-8")
    (root / "casks").mkdir(exist_ok=True)
    for cask, (events, head) in casks.items():
        path = root / "casks" / cask[:-3] / f"{cask}.yaml"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(yaml.safe_dump(cask_data(*events, cask=cask, **head), sort_keys=False), encoding="utf-8")
    return root


THREE = {
    "TH-000001": ([RECEIVED, moved("R1"), *charred("2010-01-01")], {"made": 2000, "charred": 2000}),
    "TH-000002": ([RECEIVED, moved("D1"), ev("2012-01-01", "dispose", how="sold")], {"type": "butt", "capacity_l": 500, "charred": "never"}),
    "TH-000003": ([RECEIVED], {"type": "hogshead", "capacity_l": 250, "charred": "unknown", "parcel": "P-1"}),
}


def run(root: Path, *words: str, code: int = 0) -> str:
    found = caskbook("report", "service", "--records", str(root), *words)
    assert found.returncode == code, found.stderr
    return found.stdout if code == 0 else found.stderr


def data(root: Path, *words: str, day: str = "2022-01-01") -> dict[str, Any]:
    read: dict[str, Any] = json.loads(run(root, *words, "--as-of", day, "--format", "json"))
    return read


def test_explained_it_names_the_list_of_the_same_casks(tmp_path: Path) -> None:
    """Of the same day and filters; the store is that of the span, and narrows no casks."""
    root = book(tmp_path, THREE)
    told = " ".join(run(root, "char", "--as-of", "2011-01-01", "--type", "barrel", "--store", "racks", "--explain").split())
    assert "1 casks, as `caskbook list --type barrel --as-of 2011-01-01` has them with the gone" in told
    assert len(caskbook("list", "--type", "barrel", "--as-of", "2011-01-01", "--format", "jsonl", "--records", str(root)).stdout.splitlines()) == 1


def test_three_casks_by_hand(tmp_path: Path) -> None:
    root = book(tmp_path, THREE)
    (account,) = data(root, "char")["accounts"]
    assert account["whole"] | {"steps": []} == {
        "name": "all", "watched": 2, "ends": {"re-charred": 1}, "ended": 1, "censored": 1, "too_few": "1 end: too few for a curve; 20 wanted",
        "given_alive_at": None, "until": None, "median": None, "steps": [],
    }  # fmt: skip
    assert account["left_out"] == {"never charred": 1, "last char not known": 1}
    text = run(root, "char", "--as-of", "2022-01-01")
    assert text.splitlines()[:3] == [
        "how long a char serves, on 2022-01-01, in years", "1 end: too few for a curve; 20 wanted",
        "2 chars: 1 end (re-charred 1) + 1 censored (serving still, or missing)",
    ]  # fmt: skip
    (casks,) = data(root, "cask")["accounts"]
    assert (casks["whole"]["watched"], casks["from_receipt"]["ends"], casks["from_receipt"]["censored"]) == (1, {"sold": 1}, 1)


def test_the_day_and_the_filters_hold_and_the_store_is_that_of_the_span(tmp_path: Path) -> None:
    root = book(tmp_path, THREE)
    assert data(root, "char", day="2009-01-01")["accounts"][0]["whole"]["ends"] == {}
    assert data(root, "cask", "--type", "butt")["casks"] == 1
    (sold,) = data(root, "cask", "--store", "dunnage")["accounts"]
    assert (sold["from_receipt"]["ends"], sold["whole"]["watched"]) == ({"sold": 1}, 0)
    assert "only store dunnage" in run(root, "cask", "--store", "dunnage").splitlines()[0]


def test_a_filter_that_nothing_passes_is_told_on_the_side(tmp_path: Path) -> None:
    root = book(tmp_path, THREE)
    for words in (("--store", "rax"), ("--parcel", "P-9")):
        found = caskbook("report", "service", "char", "--records", str(root), *words)
        assert found.returncode == 0 and f"no cask here fits {' '.join(words)}" in found.stderr


CLASHES = (
    (("chars",), "report service chars: expected char, cask or stave; did you mean char?"), (("cask", "--by-fills"), "--by-fills: of a char only"),
    (("cask", "--by", "position"), "--by position: of a stave only, as caskbook report service stave --by position"),
    (("--by", "type"), "--by type: say of what, as caskbook report service char --by type"), (("char", "--by", "tpe"), "did you mean type?"),
    (("char", "--format", "csv", "--explain"), "--explain --format csv: expected text or json"), (("--by-fills",), "--by-fills: of a char only"),
)  # fmt: skip


@pytest.mark.parametrize("case", others_thorough(CLASHES, 3))
def test_words_that_are_none_and_options_that_contradict_are_refused(tmp_path: Path, case: tuple[tuple[str, ...], str]) -> None:
    words, says = case
    assert says in run(book(tmp_path, THREE), *words, code=2)


def test_no_cask_one_cask_and_nothing_known(tmp_path: Path) -> None:
    empty = book(tmp_path / "empty", {})
    assert run(empty, "--as-of", "2022-01-01").splitlines()[1] == "no casks: none is in the book on that day"
    assert run(empty, "cask", "--format", "csv").startswith("what,unit,by,group,time,at_risk,ends,survival,lower,upper")
    one = book(tmp_path / "one", {"TH-000003": THREE["TH-000003"]})
    text = run(one, "--as-of", "2022-01-01")
    assert "too few: fewer than 20 ends, no curve" in text and "left out of chars: last char not known 1" in text
    bare = {"prior": "absent", "charred": "absent", "staves": "absent"}
    nothing = book(tmp_path / "nothing", {f"TH-00000{n}": ([RECEIVED], bare) for n in (1, 2)})
    assert "no stave that can be followed" in run(nothing, "stave")
    assert "left out: number of staves not known 2" in run(nothing, "stave")


def test_a_cask_told_in_part_is_left_out_and_counted(tmp_path: Path) -> None:
    root = book(tmp_path, THREE)
    path = root / "casks" / "TH-000" / "TH-000001.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("job: char", "job: chra"), encoding="utf-8")
    read = data(root, "char")
    assert (read["casks"], read["told_in_part"], read["accounts"][0]["whole"]["watched"]) == (2, 1, 0)
    assert "left out, for not all of their files can be read: 1 cask; caskbook check" in run(root, "char")


def test_a_joined_number_is_no_second_cask(tmp_path: Path) -> None:
    joined = {"TH-000004": ([RECEIVED, ev("2016-01-01", "same-as", of="TH-000003", why="read twice")], {"made": 2001})}
    assert data(book(tmp_path, THREE | joined), "cask")["casks"] == 3
