"""A landed value that is written anew so that readers take it in two ways: the same here, another number there."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from commands import caskbook

from history.ledgers import EXAMINED, FILLED, RECEIVED, TESTED, Repo, cask, event, ledger

pytestmark = pytest.mark.thorough

NOTED = event("dtcw0001", "2015-04-03", "note", "note: 'no'")
BOOK = cask(RECEIVED, EXAMINED, TESTED, FILLED.replace("198.4", "175"), NOTED)
REWRITTEN = {
    "litres": ("litres: 175", "litres: 0175", "landed-event-altered", "`litres` was 175 when it landed, is 0175: read two ways"),
    "word": ("note: 'no'", "note: no", "landed-event-altered", "`note` was 'no' when it landed, is no: read two ways"),
    "head": ("charred: 2011", "charred: 02011", "landed-head-changed", "`charred` was 2011 when it landed, is 02011: read two ways"),
    "list": ("heads: [5, 5]", "heads: [5, 05]", "landed-head-changed", "`heads` was 5 when it landed, is 05: read two ways"),
}


def told(repo: Repo, *words: str) -> list[str]:
    found = json.loads(caskbook("check", *words, "--format", "json", cwd=repo.ledger).stdout)["findings"]
    return [f"{one['severity']} {one['code']} {one['message']}" for one in found if one["code"].startswith("landed-")]


@pytest.mark.parametrize("what", REWRITTEN)
def test_a_landed_value_in_another_spelling_of_which_readers_make_two_is_altered(tmp_path: Path, what: str) -> None:
    one, other, code, said = REWRITTEN[what]
    repo = ledger(tmp_path)
    repo.write(BOOK)
    repo.commit("book")
    repo.write(BOOK.replace(one, other))
    (here,) = told(repo, "--since", "HEAD")
    assert here.startswith(f"error {code} ") and said in here, here
    assert caskbook("check", "--new-since", "HEAD", cwd=repo.ledger).returncode == 1
    repo.commit("anew")
    (there,) = told(repo, "--since", "HEAD~1")
    assert said in there and repo.head()[:10] in there
    assert said in " ".join(caskbook("review", "HEAD~1..HEAD", cwd=repo.ledger).stdout.split()) or code == "landed-head-changed"


def test_what_landed_so_and_what_is_written_plainer_alters_nothing(tmp_path: Path) -> None:
    repo = ledger(tmp_path)
    repo.write(BOOK.replace("litres: 175", "litres: 0175").replace("note: 'no'", "note: no"))
    repo.commit("book")
    repo.write(BOOK.replace("litres: 175", "litres: 0175") + event("dtcw0002", "2015-04-04", "note", "note: off"))
    assert [line for line in told(repo, "--since", "HEAD") if line.startswith("error")] == []
