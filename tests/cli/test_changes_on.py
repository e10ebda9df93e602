"""`changes_on` of `query`: the day on which the word of the verdict is another, and no earlier one."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from commands import caskbook

HEAD = "cask: TH-000001\nformat: 1\ntype: barrel\ncapacity_l: 200\nprior: [{contents: bourbon, fills: 1}]\ncharred: 2011\nevents:\n"
EVENTS = """\
  - {id: dr9kg001, date: 2020-01-01, job: receive, by: ab, verdict: accept}
  - {id: dr9kg002, date: 2020-01-02, job: examine, by: ab, verdict: sound}
  - {id: dr9kg003, date: 2020-01-03, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true}
  - {id: dr9kg004, date: 2020-03-03, job: regauge, by: ab, litres: 120, abv: 59, at_20: true, method: meter}
  - {id: dr9kg005, date: 2020-03-05, job: decide, by: ab, rule: loss, outcome: defer, until: 2020-03-20, why: busy, approved_by: K. Dunmore}
  - {id: dr9kg006, date: 2020-08-01, job: note, by: ab, note: seen}
"""


def rows(root: Path, day: date) -> dict[str, tuple[str, str | None]]:
    done = caskbook("query", "SELECT rule, verdict, changes_on FROM due", "--format", "json", "--as-of", str(day), "--records", str(root))
    assert done.returncode == 0, done.stderr
    return {row["rule"]: (row["verdict"], row["changes_on"]) for row in json.loads(done.stdout)}


@pytest.mark.thorough
@pytest.mark.parametrize("house", ["", "due: {rechar: {due_at: [{since: 2000-01-01, value: 5}, {since: 2020-06-01, value: 6}]}}\n"])
def test_on_the_day_named_the_verdict_is_another_than_the_day_before(tmp_path: Path, house: str) -> None:
    (tmp_path / "house.yaml").write_text("name: H\ntimezone: UTC\n" + house, encoding="utf-8")
    path = tmp_path / "casks" / "TH-000" / "TH-000001.yaml"
    path.parent.mkdir(parents=True)
    path.write_text(HEAD + EVENTS, encoding="utf-8")
    now = rows(tmp_path, date(2020, 3, 6))
    assert now["loss"] == ("ok", "2020-03-21"), now
    assert now["rechar"][1] is None and now["hold"][1] is None, now  # Neither the later note nor the later limit changes them.
    for rule, (word, turn) in now.items():
        if turn is not None:
            day = date.fromisoformat(turn)
            assert rows(tmp_path, day - timedelta(days=1))[rule][0] == word != rows(tmp_path, day)[rule][0], (rule, turn)
