"""Faults planted in a good file are found: all of them, each once, at their places, in file order, and nothing else."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date

import pytest
from laws import others_thorough

from caskbook.checks import Context, check_cask
from caskbook.checks.judged import tidied
from caskbook.life import live
from caskbook.model.cask_file import read_record
from caskbook.model.house import House

GOOD = """\
# a barrel with a long life
cask: TH-004217
format: 1
type: barrel
capacity_l: 200
wood: american-white-oak
maker: Fenwick Hollow
made: 2011
staves: 31
heads: [5, 5]
hoops: 6
prior:
  - {contents: bourbon, fills: 1, emptied: 2015-01}
charred: 2011
supplier: northquay
events:
  - id: dsy3jphz
    date: 2015-03-12
    job: receive
    by: ab
    verdict: accept
  - id: dsy3jpj5
    date: 2015-03-12
    job: examine
    by: ab
    verdict: sound
  - id: dt3q62s1
    date: 2015-03-20
    job: test
    by: ab
    psi: 11
    water_l: 2
    result: pass
  - id: dt9k0000
    date: 2015-04-02
    job: fill
    by: kd
    spirit: malt
    litres: 198.4
    abv: 63.5
    temp_c: 14.5
    berth: W3/12/4
  - id: ex000001
    date: 2019-06-11
    job: regauge
    by: kd
    litres: 184
    abv: 62.1
    temp_c: 12
    method: dip
  - id: ex100001
    date: 2020-02-01
    job: leak
    by: kd
    at: joint-4
    severity: weep
  - id: ex100002
    date: 2020-02-15
    job: look
    by: kd
    seen: dry
    of: ex100001
  - id: gq000001
    date: 2023-05-16
    job: empty
    by: kd
    litres: 172.5
    abv: 60.2
    temp_c: 13
  - id: gq000002
    date: 2023-05-18
    job: examine
    by: ab
    verdict: repair
    findings:
      - {at: stave-1, defect: cracked, severity: 2}
  - id: gq000003
    date: 2023-05-20
    job: open
    by: ab
    heads: [A, B]
  - id: gq000004
    date: 2023-05-20
    job: stave
    by: ab
    staves: [1]
    action: replace
    from: new
  - id: gq000005
    date: 2023-05-21
    job: char
    by: ab
    level: 3
    seconds: 40
  - id: gq000006
    date: 2023-05-23
    job: close
    by: ab
    heads: [A, B]
  - id: gq000007
    date: 2023-05-23
    job: test
    by: ab
    psi: 11
    result: pass
    leaks:
      - {at: joint-1}
    cured_by: drive
  - id: gq000008
    date: 2023-06-01
    job: fill
    by: kd
    spirit: malt
    litres: 196.2
    abv: 63.4
    at_20: true
  - id: gq000009
    date: 2024-06-01
    job: void
    by: kd
    of: gq00000a
    why: wrong cask
  - id: gq00000a
    date: 2024-06-01
    job: move
    by: kd
    berth: W1/01/1
"""
HOUSE = House({"crew": [{"initials": "ab"}, {"initials": "kd"}, {"initials": "mo", "until": date(2012, 1, 1)}], "shops": ["weir"]})
TODAY = date(2025, 1, 1)


@dataclass(frozen=True)
class Plant:
    """One fault: `old` becomes `new` (its nth occurrence); it is found as `code` at `at`, a text within `new`."""

    code: str
    old: str
    new: str
    at: str


PLANTS = (
    Plant("unknown-word", "type: barrel\n", "type: barell\n", "barell"),
    Plant("head-later-than-arrival", "made: 2011\n", "made: 2016\n", "2016"),
    Plant("parts-unlike-type", "staves: 31\n", "staves: 13\n", "13"),
    Plant("duplicate-key", "supplier: northquay\n", "maker: northquay\n", "maker"),
    Plant("unknown-key", "maker: Fenwick Hollow\n", "makr: Fenwick Hollow\n", "makr"),
    Plant("tab-in-file", "wood: american-white-oak\n", "wood:\tamerican-white-oak\n", "\t"),
    Plant("unknown-crew", "job: receive\n    by: ab\n", "job: receive\n    by: zz\n", "zz"),
    Plant("crew-not-yet-or-no-longer", "job: leak\n    by: kd\n", "job: leak\n    by: mo\n", "mo"),
    Plant("test-over-house-limit", "psi: 11\n    water_l: 2\n", "psi: 15\n    water_l: 2\n", "15"),
    Plant("implausible-value", "temp_c: 14.5\n    berth", "temp_c: 38\n    berth", "38"),
    Plant("out-of-range", "abv: 62.1\n    temp_c: 12\n", "abv: 621\n    temp_c: 12\n", "621"),
    Plant("wrong-type", "litres: 172.5\n", 'litres: "172.5"\n', '"172.5"'),
    Plant("no-such-stave", "at: joint-4\n", "at: joint-41\n", "joint-41"),
    Plant("no-such-event", "of: ex100001\n", "of: ex100009\n", "ex100009"),
    Plant("unknown-defect-word", "defect: cracked, severity", "defect: crackd, severity", "crackd"),
    Plant("unknown-job", "job: regauge\n", "job: regauged\n", "regauged"),
    Plant("date-impossible", "date: 2023-05-21\n", "date: 2023-02-30\n", "2023-02-30"),
    Plant("date-in-future", "date: 2023-05-16\n", "date: 2203-05-16\n", "2203-05-16"),
    Plant("ambiguous-word", "spirit: malt\n    litres: 196.2\n", "spirit: malt\n    note: no\n    litres: 196.2\n", "no\n"),
    Plant("missing-field", "level: 3\n    seconds: 40\n", "fuel: gas\n", ""),
    Plant("fields-disagree", "result: pass\n    leaks:\n", "result: fail\n    leaks:\n", ""),
    Plant("bad-event-id", "id: gq000004\n", "id: GQ000004\n", "GQ000004"),
    Plant("duplicate-event-id", "id: gq000007\n    date", "id: gq000006\n    date", ""),
    Plant("void-of-itself", "of: gq00000a\n", "of: gq000009\n", "gq000009"),
    Plant("by-missing", "job: char\n    by: ab\n", "job: char\n", ""),
    Plant(
        "fill-of-full-cask",
        "job: move\n    by: kd\n    berth: W1/01/1\n",
        "job: note\n    by: kd\n    note: seen\n  - id: gq00000b\n    date: 2024-06-02\n    job: fill\n    by: kd\n    spirit: malt\n    litres: 190\n    abv: 63\n    at_20: true\n",
        "2024-06-02",
    ),  # fmt: skip
)
# Two of these speak of the same thing, or of the same line: not planted together.
APART = ({"unknown-key", "duplicate-key"}, {"void-of-itself", "fill-of-full-cask"}, {"missing-field", "by-missing"},
         {"unknown-word", "parts-unlike-type"}, {"missing-field", "date-impossible"}, {"unknown-job", "out-of-range"})  # fmt: skip


def checked(text: str) -> list[tuple[str, int, int]]:
    record = read_record("records/casks/TH-004/TH-004217.yaml", text.encode())
    cask = tidied(record)
    life = live(cask, HOUSE, TODAY) if cask is not None else None
    found = check_cask(record, life, Context(HOUSE, TODAY))
    assert all(len(f.message) <= 80 and "\n" not in f.message for f in found), [f.message for f in found]
    return [(f.code, f.span.line, f.span.column) for f in found]


def planted(text: str, plants: list[Plant]) -> tuple[str, list[tuple[str, int, int]]]:
    for plant in plants:
        assert text.count(plant.old) == 1, plant.old
        text = text.replace(plant.old, plant.new)
    expected = []
    for plant in plants:
        if plant.at:
            offset = text.index(plant.new) + plant.new.index(plant.at)
            line = text.count("\n", 0, offset) + 1
            expected.append((plant.code, line, offset - text.rfind("\n", 0, offset)))
    return text, expected


def test_the_good_file_is_good() -> None:
    assert checked(GOOD) == []


@pytest.mark.parametrize("plant", PLANTS, ids=lambda plant: plant.code)
def test_each_fault_alone(plant: Plant) -> None:
    text, expected = planted(GOOD, [plant])
    found = checked(text)
    assert [code for code, _, _ in found] == [plant.code]
    if expected:
        assert found == expected


@pytest.mark.parametrize("seed", others_thorough(range(60), 15))
def test_five_faults_of_different_kinds_give_exactly_those_five(seed: int) -> None:
    rng = random.Random(seed)
    while True:
        plants = rng.sample(PLANTS, 5)
        codes = {plant.code for plant in plants}
        if not any(pair <= codes for pair in APART):
            break
    text, expected = planted(GOOD, plants)
    found = checked(text)
    assert sorted(code for code, _, _ in found) == sorted(codes)
    assert set(expected) <= set(found)
    assert [(line, column) for _, line, column in found] == sorted((line, column) for _, line, column in found)


def test_all_that_can_be_planted_at_once_is_found_at_once() -> None:
    left_out = {"duplicate-key", "void-of-itself", "by-missing", "unknown-word", "missing-field", "unknown-job"}
    plants = [plant for plant in PLANTS if plant.code not in left_out]
    text, expected = planted(GOOD, plants)
    found = checked(text)
    assert sorted(code for code, _, _ in found) == sorted(plant.code for plant in plants)
    assert set(expected) <= set(found)
