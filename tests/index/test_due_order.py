"""The list of what is due, out of rows of the index put there by hand: in the order of the verdicts that the files give."""

from __future__ import annotations

from datetime import date
from itertools import permutations
from pathlib import Path

from caskbook.due import RULES, Verdict, ranked
from caskbook.index.answer import Answer
from caskbook.index.listing import Filter, due_rows
from caskbook.index.snapshot import Snapshot
from caskbook.index.store import in_memory

NUMBER = {rule.name: n for n, rule in enumerate(RULES)}


def verdict(cask: str, rule: str, word: str, since: int, severity: int, *, well_past: bool) -> Verdict:
    return Verdict(cask, "butt", None, rule, word, date(2026, 1, since), well_past, ("so",), None, None, severity=severity)


VERDICTS = (
    verdict("TH-000001", "look", "due", 9, 0, well_past=False), verdict("TH-000002", "look", "due", 9, 3, well_past=False),
    verdict("TH-000003", "look", "due", 20, 0, well_past=True), verdict("TH-000004", "look", "blocked", 1, 0, well_past=False),
    verdict("TH-000005", "nose", "due", 1, 0, well_past=False),
)  # fmt: skip


def test_rows_come_in_the_order_of_the_verdicts() -> None:
    expected = [one.cask for one in ranked(VERDICTS)]
    assert expected.index("TH-000003") < expected.index("TH-000002")
    for order in list(permutations(VERDICTS))[::17]:
        store = in_memory()
        answer = Answer(store, Snapshot(Path(), Path(), 1, date(2026, 2, 1)), lambda _: 1, date(2026, 2, 1), "", 0, number=1)
        store.execute("INSERT INTO answer (id, summary) VALUES (1, ?)", ('{"joined": {}, "words": [], "unreadable": []}',))
        answer.rules = [(rule.name, rule.rank) for rule in RULES]
        for n, one in enumerate(order):
            store.execute("INSERT INTO version (id, name, key) VALUES (?, ?, '')", (n, one.cask))
            store.execute("INSERT INTO life (id, version, cask, type) VALUES (?, ?, ?, ?)", (n, n, one.cask, one.type))
            store.execute("INSERT INTO answer_life VALUES (1, ?, ?)", (n, one.cask))
            assert one.since is not None
            store.execute(
                "INSERT INTO due VALUES (?, ?, ?, ?, ?, ?, 'so', NULL, NULL)",
                (n, NUMBER[one.rule], one.verdict, one.since.isoformat(), one.well_past, one.severity),
            )
        assert [row.cask for row in due_rows(answer, Filter(), {"due", "blocked"})] == expected
        store.close()
