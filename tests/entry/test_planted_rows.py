"""Twelve faults planted among forty rows of a sheet: one line each with its row, and not a row is written."""

from __future__ import annotations

import re
from pathlib import Path

from entry.shop import Shop, days_ago
from entry.states import STATES

CASKS = [f"TH-{number:06d}" for number in range(7001, 7041)]
HEADING = "date,job,cask,by,result,psi,leaks,cured_by,note"
SOUND = {"date": str(days_ago(2)), "job": "test", "by": "kd", "result": "pass", "psi": "11"}
PLANTED: dict[int, tuple[dict[str, str], str]] = {
    3: ({"job": "tset"}, "'tset' is no job: did you mean test?"),
    5: ({"cask": "TH-997005"}, "TH-997005 is not in the book"),
    8: ({"date": "2025-06-31"}, "'2025-06-31' is no day of the calendar"),
    9: ({"by": "zz"}, "zz"),
    14: ({"result": "perhaps"}, "'perhaps' is no result of a test"),
    17: ({"psi": "eleven"}, "'eleven' is no number"),
    18: ({"psi": "110"}, "110"),
    22: ({"result": "fail", "leaks": "jiont-3"}, "did you mean joint-3?"),
    27: ({"result": "fail", "leaks": "joint-99"}, "joint-99"),
    30: ({"cured_by": "glue"}, "'glue' is no cure of a test"),
    33: ({"date": "2099-01-01"}, "2099-01-01"),
    40: ({"cask": ""}, "no cask given"),
}


def test_twelve_faults_are_twelve_lines(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    rows = [HEADING]
    for row, cask in enumerate(CASKS, 1):
        shop.put(*(STATES["ready"] or []), cask=cask)
        cells = SOUND | {"cask": cask} | (PLANTED[row][0] if row in PLANTED else {})
        rows.append(",".join(cells.get(name, "") for name in HEADING.split(",")))
    (tmp_path / "forty.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    before = [shop.path(cask).read_bytes() for cask in CASKS]

    ran = shop.enter("sheet", str(tmp_path / "forty.csv"), "--yes")

    told = dict(re.findall(r"^forty\.csv row (\d+): (.*)$", ran.err, re.M))
    assert ran.code == 1 and len(re.findall(r"^forty\.csv row", ran.err, re.M)) == 12, ran.err
    assert sorted(map(int, told)) == [row + 1 for row in PLANTED], "a row is counted as the spreadsheet counts it, its heading being the first"
    for row, (_, text) in PLANTED.items():
        assert text in told[str(row + 1)]
    assert "nothing written: 12 of 40 rows are to be put right" in ran.err
    assert before == [shop.path(cask).read_bytes() for cask in CASKS]
