"""A sign that only some readers take for a line's end, in a comment: what stands behind it is an entry to one and a comment to another."""

from __future__ import annotations

import pytest

from caskbook.model.cask_file import read_record

TEXT = """cask: TH-000001
format: 1
type: barrel
events:
  - id: e0000001
    date: 2026-01-01
    job: receive
    by: ab
    verdict: accept
"""
FILL = "  - {id: e0000002, date: 2026-01-02, job: fill, by: ab, spirit: malt, litres: 190, abv: 60, at_20: true}\n"


def left_out(text: str) -> str:
    record = read_record("casks/TH-000/TH-000001.yaml", text.encode())
    assert record.cask is not None and record.cask.in_part is bool(record.cask.left_out)
    return record.cask.left_out


@pytest.mark.parametrize("sign", ["\x85", "\u2028", "\u2029", "\r"])
def test_what_stands_behind_such_a_sign_in_a_comment_is_left_out_and_said(sign: str) -> None:
    assert left_out(f"{TEXT}# x{sign}{FILL}") == "what stands behind a line's end of some readers in a comment"
    assert left_out(TEXT.replace("by: ab", f"by: ab # bench {sign}    note: tight")) != ""
    assert left_out(f"{TEXT}# x{sign}\n") == left_out(f"{TEXT}# x{sign} # more\n") == left_out(f"{TEXT}# x\r\n") == ""
