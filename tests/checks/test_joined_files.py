"""The check of a file that is joined to another one: judged by the one life of the cask, and by the head that counts, wherever its entries stand."""

from __future__ import annotations

import json
import random
import shutil
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from commands import caskbook

pytestmark = pytest.mark.thorough

GOES_ON, JOINED = "TH-000001", "TH-000002"
HOUSE = "name: House\ntimezone: UTC\n"
WORK = """\
  - {id: f0000011, date: 2020-01-02, job: receive, by: ab, verdict: accept}
  - {id: f0000012, date: 2020-01-03, job: examine, by: ab, verdict: repair, findings: [{at: stave-33, defect: cracked, severity: 1}]}
  - {id: f0000013, date: 2020-01-04, job: examine, by: ab, verdict: sound}
  - {id: f0000014, date: 2020-01-05, job: fill, by: ab, spirit: malt, litres: 240, abv: 63, temp_c: 15}
"""
RECEIPT = "  - {id: f0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept}\n"
JOIN = "  - {id: f0000002, date: 2020-02-01, job: same-as, by: ab, of: TH-000002, why: two numbers}\n"
BARREL, HOGSHEAD = "type: barrel\ncapacity_l: 190\nstaves: 30\n", "type: hogshead\ncapacity_l: 250\nstaves: 34\n"


def path_of(cask: str) -> Path:
    return Path("casks") / cask[:-3] / f"{cask}.yaml"


def write(cask: str, head: str, events: str) -> None:
    path_of(cask).parent.mkdir(parents=True, exist_ok=True)
    path_of(cask).write_text(f"cask: {cask}\nformat: 1\n{head}events:\n{events}", encoding="utf-8")


def found(*words: str) -> Counter[tuple[str, str]]:
    """(cask, code) of the findings that are no notes."""
    done = caskbook("check", *words, "--format", "json")
    return Counter((one["cask"], one["code"]) for one in json.loads(done.stdout)["findings"] if one["severity"] != "note")


@pytest.fixture(params=["on", "off"])
def book(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CASKBOOK_INDEX", "off") if request.param == "off" else monkeypatch.delenv("CASKBOOK_INDEX", raising=False)
    return tmp_path


def test_entries_are_held_against_the_head_of_the_file_that_goes_on(book: Path) -> None:
    write(GOES_ON, HOGSHEAD, RECEIPT)
    write(JOINED, BARREL, WORK)
    by_its_own = Counter({(JOINED, "no-such-stave"): 1, (JOINED, "over-capacity"): 1})
    assert found() == found() == by_its_own == found(JOINED)
    write(GOES_ON, HOGSHEAD, RECEIPT + JOIN)
    assert found() == Counter() == found(JOINED), "what was found of the file alone no longer stands"
    write(GOES_ON, BARREL, RECEIPT + JOIN)
    assert found() == by_its_own == found(JOINED), "the head that counts has changed"
    write(JOINED, HOGSHEAD, WORK)
    assert found() == by_its_own == found(JOINED), "its own head does not count"
    write(GOES_ON, BARREL, RECEIPT)
    assert found() == Counter() == found(JOINED)


def test_what_a_file_lacks_may_stand_in_the_other_one(book: Path) -> None:
    filled = (
        "  - {id: f0000003, date: 2020-01-04, job: examine, by: ab, verdict: sound}\n  - {id: f0000004, date: 2020-01-05, job: fill, by: ab, spirit: malt,"
        " litres: 185, abv: 63, temp_c: 15}\n  - {id: f0000006, date: 2020-06-02, job: leak, by: ab, at: joint-3, severity: weep}\n"
    )
    write(GOES_ON, BARREL, RECEIPT + filled + JOIN.replace("2020-02-01", "2021-07-01"))
    later = (
        "  - {id: f0000021, date: 2020-06-03, job: look, by: ab, at: joint-3, seen: weep, of: f0000006}\n  - {id: f0000022, date: 2020-06-04, job: drive, by: ab,"
        " closes: f0000006}\n  - {id: f0000023, date: 2021-01-05, job: regauge, by: ab, method: meter, litres: 181, abv: 62.5, temp_c: 15}\n"
        "  - {id: f0000024, date: 2021-06-05, job: empty, by: ab, litres: 176, abv: 62, temp_c: 15}\n"
    )
    write(JOINED, BARREL, later)
    assert found() == Counter() == found(JOINED) == found(GOES_ON)
    write(JOINED, BARREL, later.replace("f0000006", "f0000007"))
    assert found()[JOINED, "no-such-event"] == 2
    write(JOINED, BARREL, later.replace("litres: 176", "litres: 196"))
    assert found() == Counter({(JOINED, "lpa-gain"): 1})
    write(JOINED, BARREL, later + later[later.index("  - {id: f0000024") :].replace("f0000024", "f0000025"))
    assert (JOINED, "job-on-empty-cask") in found()


def test_a_cask_is_checked_with_all_its_files_and_a_path_alone(book: Path) -> None:
    write(GOES_ON, HOGSHEAD, RECEIPT + JOIN)
    write(JOINED, HOGSHEAD, WORK.replace("verdict: sound}", "verdict: sounnd}"))
    both = found(GOES_ON)
    assert both == found(JOINED) == found() and {cask for cask, _ in both} == {JOINED}
    assert found(str(path_of(GOES_ON))) == Counter() and found(str(path_of(JOINED))) == both
    assert "2 casks: " in caskbook("check", GOES_ON).stdout and "1 cask: " in caskbook("check", str(path_of(GOES_ON))).stdout


def split(book: Path, seed: int) -> int:
    """Tell each cask in two files at random, an entry and what takes it out together; how many were."""
    draw, count = random.Random(seed), 0
    for path in sorted((book / "casks").rglob("*.yaml")):
        data = yaml.safe_load(path.read_text(encoding="utf-8"))
        stays: dict[str, bool] = {}
        sides: dict[bool, list[dict[str, Any]]] = {True: [], False: []}
        moved = {event["of"] for event in data["events"] if event["job"] == "moved"}
        for event in data["events"]:
            leans = next((stays[event[key]] for key in ("of", "replaces") if event.get(key) in stays), None)
            first = not stays or event["id"] in moved or "moved_from" in event or event["job"] in ("correct", "made-from", "convert", "break-up", "same-as")
            stays[event["id"]] = first or (draw.random() < 0.5 if leans is None else leans)
            sides[stays[event["id"]]].append(event)
        if not sides[False]:
            continue
        count += 1
        head = {key: value for key, value in data.items() if key != "events"}
        other = f"{data['cask'][:3]}9{data['cask'][4:]}"
        join = {"id": "zzzzzzzz", "date": date(2026, 6, 30), "job": "same-as", "by": "jc", "of": other, "why": "two numbers"}
        for name, events in ((data["cask"], [*sides[True], join]), (other, sides[False])):
            there = book / "casks" / name[:-3] / f"{name}.yaml"
            there.parent.mkdir(exist_ok=True)
            events.sort(key=lambda event: (str(event["date"]), event["id"]))
            there.write_text(yaml.safe_dump({**head, "cask": name, "events": events}, sort_keys=False, allow_unicode=True), encoding="utf-8")
    return count


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_book_told_in_two_files_a_cask_has_no_more_and_no_fewer_findings(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CASKBOOK_INDEX", "off")
    whole, parted = tmp_path / "whole", tmp_path / "parted"
    assert caskbook("demo", str(whole), "--casks", "60", "--seed", str(seed)).returncode == 0
    for path in (whole / "casks").rglob("*.yaml"):  # So that there is something to find.
        if seed == 3 and "litres: 19" in (text := path.read_text(encoding="utf-8")):
            path.write_text(text.replace("litres: 19", "litres: 29"), encoding="utf-8")
    shutil.copytree(whole, parted)
    assert split(parted, seed) > 30
    day = ("--as-of", "2026-06-30", "--records")
    once = Counter(code for (_, code), n in found(*day, str(whole)).items() for _ in range(n))
    again = Counter(code for (_, code), n in found(*day, str(parted)).items() for _ in range(n))
    assert again == once and (seed < 3 or once["over-capacity"] > 2)


def test_the_laws_of_the_house_are_asked_of_the_one_cask(book: Path) -> None:
    (book / "house.yaml").write_text(HOUSE + "laws: [scotch-2009, bourbon-5.143]\n", encoding="utf-8")
    head = "type: custom\ncapacity_l: {litres}\nwood: {wood}\ncharred: {charred}\nprior: []\n"
    good, bad = head.format(litres=200, wood="sessile-oak", charred="2019"), head.format(litres=701, wood="chestnut", charred="never")
    looked = "  - {id: f0000005, date: 2020-01-03, job: examine, by: ab, verdict: sound}\n"
    fill = "  - {id: f0000014, date: 2020-01-05, job: fill, by: ab, spirit: bourbon, litres: 190, abv: 62, temp_c: 15}\n"
    write(GOES_ON, good, RECEIPT + looked + JOIN)
    write(JOINED, bad, fill)
    assert found() == Counter()
    write(GOES_ON, bad, RECEIPT + looked + JOIN)
    write(JOINED, good, fill)
    told = found()
    assert {code for cask, code in told if cask == GOES_ON} == {"cask-over-700-litres", "wood-not-oak"}, told
    assert {code for cask, code in told if cask == JOINED} == {"fill-of-uncharred-cask"}, told
    measured = "  - {id: f0000007, date: 2020-01-04, job: measure, by: ab, capacity_l: 690}\n"
    write(JOINED, good, measured + fill)
    assert (GOES_ON, "cask-over-700-litres") not in found()


@pytest.mark.parametrize("faulty", ["  - {date: 2020-03-01, job: note, by: ab, note: x}\n", "  - {id: f0000099, date: 2020-03-01, job: nose-around, by: ab}\n"])
def test_a_faulty_entry_takes_no_file_out_of_its_join(book: Path, faulty: str) -> None:
    filled = "  - {id: f0000003, date: 2020-01-04, job: examine, by: ab, verdict: sound}\n  - {id: f0000004, date: 2020-01-05, job: fill, by: ab, spirit: malt, litres: 185, abv: 63, temp_c: 15}\n"
    later = "  - {id: f0000023, date: 2020-02-05, job: regauge, by: ab, method: meter, litres: 184, abv: 62.9, temp_c: 15}\n"
    for mine, other in (("", faulty), (faulty, "")):
        write(GOES_ON, BARREL, RECEIPT + filled + JOIN.replace("2020-02-01", "2020-02-28") + mine)
        write(JOINED, BARREL, later + other)
        assert len(found()) == 1 and not {"job-on-empty-cask", "no-arrival"} & {code for _, code in found()}, found()
