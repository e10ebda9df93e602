"""What one cask costs, step by step, as ratios to PyYAML's C loader on the same files in the same run.

Run: python tests/bench/bench_read.py [FILES]
"""

from __future__ import annotations

import gc
import platform
import random
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta

import yaml

from caskbook.life import live
from caskbook.life.facts import facts_of
from caskbook.model.cask import read_cask
from caskbook.model.cask_file import read_record
from caskbook.model.house import House
from caskbook.yaml.fast import fast_data
from caskbook.yaml.fast_places import read_places
from caskbook.yaml.source import Source
from caskbook.yaml.text import read_yaml

HEAD = """\
# yaml-language-server: $schema=../../../schemas/cask.schema.json
cask: TH-{number:06d}
format: 1
type: barrel
capacity_l: 200
wood: american-white-oak
maker: Fenwick Hollow
made: 2011
staves: 31
heads: [5, 5]
hoops: 6
was: [88-{number}]
owner: house
prior:
  - {{contents: bourbon, fills: 1, emptied: 2015-01, evidence: declaration}}
charred: 2011
parcel: P-2015-014
supplier: northquay
events:
"""
JOBS = (
    "receive\n    by: ab\n    verdict: accept",
    "test\n    by: ab\n    psi: 11\n    water_l: 2\n    result: pass",
    "examine\n    by: ab\n    verdict: sound",
    "fill\n    by: ab\n    spirit: malt\n    litres: {litres}\n    abv: 63.5\n    temp_c: 12\n    method: meter\n    berth: W1-03-2-{file_store}\n    stow: bilge",
    "leak\n    by: kd\n    at: head-A-2\n    severity: weep",
    "look\n    by: kd\n    seen: dry\n    at: head-A-2\n    closed_as: took-up",
    "regauge\n    by: kd\n    litres: {litres}\n    abv: 62.1\n    temp_c: 11.5\n    method: dip\n    note: dipped twice, rod wiped",
    "empty\n    by: kd\n    litres: {litres}\n    abv: 60.9\n    temp_c: 14\n    method: meter\n    why: drawn",
    "examine\n    by: ab\n    verdict: sound\n    stave_mm: 26\n    findings:\n      - {{at: stave-14, defect: crack, severity: 1}}",
    "fill\n    by: ab\n    spirit: malt\n    litres: {litres}\n    abv: 63.5\n    temp_c: 15\n    method: meter\n    berth: W1-03-2-{file_store}",
)


def made_up(count: int, seed: int = 1) -> list[bytes]:
    """Cask files of ten events and 1.7 kB."""
    chance, files = random.Random(seed), []
    for number in range(count):
        day, text = date(2015, 3, 1) + timedelta(days=chance.randrange(900)), HEAD.format(number=number)
        for job in JOBS:
            id_ = "d" + "".join(chance.choices("0123456789abcdefghjkmnpqrstvwxyz", k=7))
            text += f"  - id: {id_}\n    date: {day}\n    job: {job.format(litres=round(chance.uniform(150, 199), 1), file_store=chance.randrange(99))}\n"
            day += timedelta(days=chance.randrange(1, 500))
        files.append(text.encode())
    return files


def timed(steps: dict[str, Callable[[int], object]], count: int, rounds: int = 5) -> dict[str, float]:
    """Least milliseconds a file of each step, the steps taking turns so that all meet the same machine."""
    best = dict.fromkeys(steps, float("inf"))
    for _ in range(rounds):
        for name, step in steps.items():
            start = time.process_time()
            for n in range(count):
                step(n)
            best[name] = min(best[name], (time.process_time() - start) / count * 1e3)
            gc.collect()
    return best


def main(count: int = 300) -> None:
    """Print the table."""
    files, house, day = made_up(count), House({"crew": [{"initials": "ab"}, {"initials": "kd"}]}), date(2026, 1, 1)
    data = [fast_data(file) or {} for file in files]
    casks = [cask for one in data if (cask := read_cask(one)[0])]
    lives = [live(cask, house, day) for cask in casks]
    assert len(casks) == count and not any(life.faults for life in lives[:1] if life.faults and life.faults[0].severity == "error")
    few = max(1, count // 20)
    steps: dict[str, Callable[[int], object]] = {
        "PyYAML CSafeLoader": lambda n: yaml.load(files[n], yaml.CSafeLoader),
        "fast_data": lambda n: fast_data(files[n]),
        "validate": lambda n: read_cask(data[n]),
        "fold": lambda n: live(casks[n], house, day),
        "facts": lambda n: facts_of(lives[n]),
        "places, read fast": lambda n: read_places(Source.from_bytes("x", files[n])),
        "read_record": lambda n: read_record("casks/TH-004/TH-004217.yaml", files[n]),
    }
    gc.disable()
    found = timed(steps, count)
    found |= timed({"places, read slowly": lambda n: read_yaml(Source.from_bytes("x", files[n % few]))}, few, rounds=2)
    found["parse + validate + fold"] = found["read_record"] + found["fold"]
    peer = found["PyYAML CSafeLoader"]
    print(f"{count} files of {sum(map(len, files)) // count} bytes; Python {platform.python_version()}, {platform.machine()}")
    for name, spent in found.items():
        print(f"{name:28} {spent:8.4f} ms {spent / peer:8.3f} of PyYAML")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
