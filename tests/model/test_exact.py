"""A truth value is no figure and a figure no truth value, where only certain ones may stand; nor is 1.0 a whole number."""

from __future__ import annotations

import pytest

from caskbook.model.cask_file import read_record

HEAD = "cask: TH-004217\nformat: {format}\ntype: barrel\nevents:\n"
RECEIPT = "- {{id: e0000001, date: 2020-01-01, job: receive, by: ab, verdict: accept, findings: [{{at: stave-3, defect: cracked, severity: {severity}}}]}}\n"
FILL = "- {{id: e0000002, date: 2020-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 63.5, at_20: {at_20}}}\n"


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"format": "true"}, "`format` is true: expected 1, the only format there is"),
        ({"format": "1.0"}, "`format` is 1.0: expected 1, the only format there is"),
        ({"severity": "true"}, "`severity` is true: expected 1, 2 or 3"),
        ({"severity": "2.0"}, "`severity` is 2.0: expected 1, 2 or 3"),
        ({"severity": "4"}, "`severity` is 4: expected 1, 2 or 3"),
        ({"at_20": "1"}, "`at_20` is 1: expected true, or no such line"),
        ({"at_20": "1.0"}, "`at_20` is 1.0: expected true, or no such line"),
        ({}, None),
    ],
)
def test_what_is_equal_and_of_another_kind_is_wrong(wrong: dict[str, str], told: str | None) -> None:
    said = {"format": "1", "severity": "2", "at_20": "true", **wrong}
    record = read_record("casks/TH-004/TH-004217.yaml", (HEAD + RECEIPT + FILL).format(**said).encode())
    assert [one.message for one in record.findings] == ([told] if told else [])
    assert record.cask is not None
    lost = {"format": record.cask.head.lost, "severity": record.cask.events[0].lost, "at_20": record.cask.events[1].lost}
    assert all(bool(lost[name]) is (name in wrong) for name in lost)
