"""A book of corrected heads answers as the same book with its heads edited: from the files, from the index, and on past days."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest
from commands import caskbook

from caskbook.ledger.files import file_of
from caskbook.yaml.insertion import new_document
from index.book import commit_all, without_index

HOUSE = "name: North House\ntimezone: UTC\ncrew:\n  - {initials: ab}\n"
VALUES: dict[str, list[Any]] = {
    "type": ["barrel", "hogshead", "butt"], "capacity_l": [190, 250.5, 500], "wood": ["european-oak", "mizunara"], "made": [1999, "2001-04"], "staves": [28, 33],
    "owner": ["a friend"], "prior": [[], [{"contents": "oloroso", "fills": 2}]], "charred": ["never", 2009], "parcel": ["P-1"], "supplier": ["northquay"],
}  # fmt: skip


def _books(top: Path) -> list[Path]:
    """A book whose heads are corrected, and one whose heads were right; in both the same work, and an entry of the same day and id."""
    dice = random.Random(7)
    books = [top / "corrected", top / "edited"]
    for n in range(8):
        cask = f"TH-0042{n:02d}"
        head = {"cask": cask, "format": 1, "type": "barrel", "capacity_l": 200, "staves": 31, "prior": [{"contents": "bourbon", "fills": 1}], "charred": 2011}
        right = {key: dice.choice(VALUES[key]) for key in dice.sample(sorted(VALUES), 4)}
        work: list[dict[str, Any]] = [
            {"id": "d0000001", "date": "2015-03-12", "job": "receive", "by": "ab", "verdict": "accept"},
            {"id": "d0000002", "date": "2015-04-02", "job": "fill", "by": "ab", "spirit": "malt", "litres": 185, "abv": 63.5, "temp_c": 14},
            {"id": "d0000003", "date": "2021-05-01", "job": "regauge", "by": "ab", "method": "meter", "litres": 150, "abv": 60, "temp_c": 12},
        ]
        last = {"id": "d0000004", "date": "2026-11-02", "by": "ab"}
        for book, (keys, event) in zip(
            books, [(head, {**last, "job": "correct", **right, "why": "misread"}), ({**head, **right}, {**last, "job": "note", "note": "x"})], strict=True
        ):
            file = book / "records" / file_of(cask)
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(new_document(keys, [*work, event]))
    for book in books:
        (book / "records" / "house.yaml").write_text(HOUSE, encoding="utf-8")
        commit_all(book)
    return books


@pytest.mark.thorough
def test_corrected_heads_answer_as_edited_ones_on_all_days_with_the_index_and_without(tmp_path: Path) -> None:
    corrected, edited = _books(tmp_path)
    for word, day in (("list", "2018-06-01"), ("list", "2026-11-28"), ("due", "2026-11-28")):
        asked = (word, "--format", "json", "--as-of", day)
        with without_index():
            wanted = caskbook(*asked, cwd=edited)
            assert caskbook(*asked, cwd=corrected).stdout == wanted.stdout
        assert wanted.returncode == 0 and "TH-004" in wanted.stdout, wanted.stderr
        assert caskbook(*asked, cwd=corrected).stdout == wanted.stdout, asked
