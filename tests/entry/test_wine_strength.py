"""The strength of wine at the bench: judged by what the cask held before the entry, and asked for with its own range."""

from __future__ import annotations

import subprocess
import sys

import pytest

from entry.shop import CASK, Shop, days_ago
from entry.states import STATES

WINE = STATES["wine"] or []
JOBS = {
    "empty": ["--litres", "180", "--why", "drawn"], "regauge": ["meter", "--litres", "180"],
    "draw": ["--litres", "20"], "top": ["--litres", "5"],
}  # fmt: skip


@pytest.mark.parametrize("job", JOBS)
def test_wine_of_17_percent_is_plain_and_spirit_of_17_is_doubted(shop: Shop, job: str) -> None:
    shop.put(*WINE)
    shop.put(*(STATES["filled"] or []), cask="TH-004218")
    ran = shop.enter(job, CASK, *JOBS[job], "--abv", "17", "--temp", "12")
    assert (ran.code, "usual" in ran.err) == (0, False), ran.err
    assert shop.codes() == []
    doubted = shop.enter(job, "TH-004218", *JOBS[job], "--abv", "17", "--temp", "12")
    assert doubted.code == 1 and "20 to 95 is usual" in doubted.err


@pytest.mark.parametrize(("abv", "said"), [("9", "10 to 24 % is usual of wine"), ("60", "5 to 30 % vol of wine")])
def test_what_is_not_usual_of_wine_is_told(shop: Shop, abv: str, said: str) -> None:
    shop.put(*WINE)
    ran = shop.enter("empty", CASK, *JOBS["empty"], "--abv", abv, "--temp", "12")
    assert ran.code == 1 and said in ran.err, ran.err


def test_a_cask_received_full_of_wine(shop: Shop) -> None:
    ran = shop.enter("receive", CASK, "accept", "--type", "butt", "--contents", "oloroso", "--litres", "480", "--abv", "17", "--temp", "12")
    assert ran.code == 0, ran.err
    assert shop.codes() == []


def test_help_and_prompt_show_the_range_of_wine(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    shop.put(*WINE)
    asked: list[str] = []
    monkeypatch.setattr("caskbook.cli.entering.ask.on_terminal", lambda: True)

    def answer(prompt: str) -> str:
        asked.append(prompt)
        return "17" if "strength" in prompt else "y" if "[" in prompt else ""

    monkeypatch.setattr("caskbook.cli.entering.ask.answer", answer)
    assert shop.enter("draw", CASK, "--litres", "20").code == 0
    assert any("strength (% vol, 10 to 24)" in prompt for prompt in asked), asked
    assert "wine 10 to 24" in shop.enter("empty", "--help").out


def test_the_installed_command_empties_a_seasoned_butt(shop: Shop) -> None:
    shop.put(*WINE)
    words = ["enter", "empty", CASK, *JOBS["empty"], "--abv", "17", "--temp", "12", "--records", str(shop.root)]
    ran = subprocess.run([sys.executable, "-m", "caskbook", *words], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert shop.last()["date"] > days_ago(1)
