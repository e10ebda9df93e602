"""Mending what an examination found, and the fire work that goes with an open cask."""

from __future__ import annotations

from typing import Any

from caskbook.demo.page import fig
from caskbook.demo.story import WINE_TYPES, Finding, Story

RECHAR_FROM = 4
MOST_RECHARS = 2


def mend(s: Story, findings: list[Finding]) -> bool:
    """Answer every finding, with a re-char where one is due; whether anything structural was done."""
    closed = [f for f in findings if not _needs_open(f)]
    opened = [f for f in findings if _needs_open(f)]
    for finding in closed:
        _mend_closed(s, finding)
    fire = _fire_due(s)
    if opened or fire:
        _opened(s, opened, fire)
    return bool(findings or fire)


def _needs_open(finding: Finding) -> bool:
    return finding.at.startswith(("stave-", "head-"))


def _mend_closed(s: Story, finding: Finding) -> None:
    dice, day = s.dice, s.after(0, 4)
    if finding.at.startswith("hoop-"):
        s.add(day, "hoop", hoops=[finding.at], **{"from": dice.pick(("new", "new", "reused"))})
    elif finding.at == "bung":
        action = dice.pick(("bush", "rebore"))
        s.add(day, "bung", action=action, bore_mm=dice.pick((48, 50, 52)))
    elif dice.chance(0.15):
        s.add(day, "peg", at=finding.at, kind=dice.pick(("spile", "wedge", "wax")))
    else:
        s.add(day, "flag", at=[finding.at])


def _fire_due(s: Story) -> str:
    """char, toast or nothing, by the fills since the last fire: four or more, wine casks toasted after any."""
    dice = s.dice
    if s.type in WINE_TYPES or s.wine:
        return "toast" if s.fills and s.since_char and dice.chance(0.1) else ""
    if s.since_char < RECHAR_FROM or s.rechars >= MOST_RECHARS or not s.fills and s.since_char < 5:
        return ""
    return "char" if dice.chance(0.25 + 0.2 * (s.since_char - RECHAR_FROM)) else ""


def _opened(s: Story, findings: list[Finding], fire: str) -> None:
    """Out with the heads, staves and pieces, fire, in with the heads; now and then the shift ends before the closing."""
    heads = ["A", "B"] if fire or s.dice.chance(0.4) else ["A"]
    heads = ["A", "B"] if any(f.at.startswith("head-B") for f in findings) else heads
    s.add(s.after(0, 4), "open", heads=heads)
    staves = sorted({int(f.at[6:]) for f in findings if f.at.startswith("stave-")})
    if staves:
        _restave(s, staves)
    for finding in findings:
        if finding.at.startswith("head-"):
            _rehead(s, finding)
    if fire:
        burn(s, fire)
    s.add(s.after(0, 2), "close", heads=heads)


def _restave(s: Story, staves: list[int]) -> None:
    day = s.after(0, 1)
    source = s.block.stave_source(s.type, day, len(staves), s.dice)
    s.add(day, "stave", staves=staves, action="replace", **{"from": source})


def _rehead(s: Story, finding: Finding) -> None:
    """A bad head piece is answered by a new head, a new piece or a new dowel."""
    _, head, piece = finding.at.split("-")
    day, dice = s.after(0, 1), s.dice
    if dice.chance(0.15):
        mark: dict[str, Any] = {"mark": s.page.number} if head == "A" else {}
        s.add(day, "head", head=head, action="replace", **{"from": "new"}, **mark)
        if head == "A":
            s.add(day, "mark", text=s.page.number, kind=dice.pick(("stencil", "paint")), at="head-A")
        return
    if dice.chance(0.3):
        s.add(day, "head", head=head, action="redowel", which=[int(piece)])
    else:
        s.add(day, "head", head=head, action="piece", which=[int(piece)], **{"from": "new"})


def burn(s: Story, fire: str, by: str | None = None) -> None:
    """Shave and char, or toast, an open cask."""
    dice, shop = s.dice, {"by": by} if by else {}
    if fire == "toast":
        s.add(s.after(0, 1), "toast", level=dice.pick(("light", "medium", "house")), minutes=dice.pick((12, 15, 20, 25)), **shop)
    else:
        thinner = {"stave_mm": fig(dice.real(20, 24))} if dice.chance(0.4) else {}
        s.add(s.after(0, 1), "shave", method=dice.pick(("flail", "flail", "scrape", "cut")), depth_mm=fig(dice.real(1.5, 3.5)), **thinner, **shop)
        level: dict[str, Any] = {"level": dice.pick((2, 3, 3, 3, 4))} if dice.chance(0.8) else {"level": "house"}
        s.add(s.day, "char", **level, seconds=dice.whole(28, 48), **shop)
        s.rechars += 1
    s.since_char = 0
