"""A cask that may have held wine, for nobody knows what it held, is not filled without a word of the nose."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from entry.shop import CASK, Shop, days_ago

SOUND = [{"date": days_ago(3), "job": "receive", "verdict": "accept"}, {"date": days_ago(2), "job": "examine", "verdict": "sound"}]
NOSED = {"date": days_ago(1), "job": "nose", "verdict": "clean"}
FILL = f"fill {CASK} --spirit malt --litres 190 --abv 63.5 --temp 20 --by ab --yes".split()


@pytest.mark.parametrize(
    ("prior", "events", "said"), [(None, SOUND, True), (None, [*SOUND, NOSED], False), ([{"contents": "bourbon", "fills": 1}], SOUND, False)]
)
def test_a_fill_says_that_it_may_have_held_wine(tmp_path: Path, prior: Any, events: list[dict[str, Any]], said: bool) -> None:
    shop = Shop(tmp_path)
    shop.put(*events, prior=prior)
    if prior is None:
        text = shop.path().read_text(encoding="utf-8")
        shop.path().write_text("".join(line for line in text.splitlines(keepends=True) if not line.startswith("prior:")), encoding="utf-8")
    ran = shop.enter(*FILL)
    assert ran.code == 0, ran.err
    assert ("nose is unknown: what it held before us is not known: wine is nosed before anything else" in ran.err + ran.out) == said, ran.err
