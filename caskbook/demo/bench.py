"""Getting an empty cask ready: nosing, looking it over, mending, the test, until it may be filled."""

from __future__ import annotations

from caskbook.demo.mend import mend
from caskbook.demo.page import fig
from caskbook.demo.story import Finding, Story

_WORDS: tuple[tuple[str, float], ...] = (
    ("bung-stave-crack", 0.33), ("cracked", 0.18), ("joint-leak", 0.14), ("head", 0.08), ("loose-hoop", 0.08),
    ("worn-bung-hole", 0.08), ("croze-leak", 0.05), ("porous-stave", 0.04), ("pinhole", 0.02),
)  # fmt: skip
_SLIGHT = ("iron-stain", "chipped-chime", "blister")
_TAINTS = ("musty", "acetic", "rubbery", "solvent", "brett")


def make_ready(s: Story, *, smooth: bool = False) -> bool:
    """Take an empty, whole cask through nose, examination, mending and test; False where it proves past mending.

    `smooth`: nothing is found, for casks that have to be ready on a day.
    """
    if not _nosed(s, smooth):
        return False
    findings = [] if smooth and not s.waiting else _look_over(s, smooth)
    worked = mend(s, findings) or s.unproved
    s.unproved = False
    if smooth and not findings:
        s.add(s.after(0, 2), "examine", verdict="sound")
    if findings and s.dice.chance(0.004):
        s.page.events[-1]["note"] = "test left for the next shift"
        return True
    return _proved(s, worked, smooth)


def _nosed(s: Story, smooth: bool) -> bool:
    """Wine casks always, others where something is smelt; a taint is treated, twice at most."""
    dice = s.dice
    if not s.wine and (smooth or not dice.chance(0.012 * s.plan.parcel.bad)):
        return True
    outcome = "clean" if smooth else dice.weigh((("clean", 0.9), ("faint", 0.06), ("fault", 0.02 + 0.02 * s.plan.parcel.bad)))
    if not s.wine and outcome == "clean":
        outcome = "fault"
    if outcome == "clean":
        s.add(s.after(0, 3), "nose", verdict="clean")
        return True
    faults = [dice.pick(_TAINTS)]
    s.add(s.after(0, 3), "nose", verdict=outcome, faults=faults)
    if outcome == "faint":
        s.add(s.after(1, 3), "treat", method=dice.pick(("air", "rinse")), **{"for": "taint"}, hours=dice.pick((24, 48, 72)))
        s.add(s.after(7, 12), "nose", verdict="clean")
        return True
    return _cleaned(s, faults)


def _cleaned(s: Story, faults: list[str]) -> bool:
    for method in ("steam", "scrub"):
        s.add(s.after(1, 6), "treat", method=method, **{"for": "taint"}, hours=s.dice.pick((1, 2, 4)))
        if s.dice.chance(0.6):
            day = s.after(7, 14)
            s.add(day, "nose", verdict="clean")
            s.add(s.after(0, 1), "release", why="nosed clean after treatment", approved_by=s.lead(s.day))
            return True
        s.add(s.after(7, 14), "nose", verdict="fault", faults=faults)
    return False


def _look_over(s: Story, smooth: bool) -> list[Finding]:
    """The examination: what waits from a leak is found again, and perhaps more."""
    dice = s.dice
    findings = list(s.waiting)
    s.waiting = []
    share = (0.24 if s.fills else 0.07 * s.plan.parcel.bad) * s.worn
    if not smooth and dice.chance(share):
        for _ in range(2 if dice.chance(0.18) else 1):
            one = _finding(s)
            if one.at not in [f.at for f in findings]:
                findings.append(one)
    day = s.after(0, 6)
    extra: dict[str, float] = {"stave_mm": fig(dice.real(22, 27))} if dice.chance(0.15) and s.type in ("barrel", "hogshead") else {}
    if findings:
        s.add(day, "examine", verdict="repair", findings=[f.written() for f in findings], **extra)
    elif dice.chance(0.05):
        slight = {"at": f"stave-{dice.whole(2, s.staves)}", "defect": dice.pick(_SLIGHT), "severity": 1}
        s.add(day, "examine", verdict="sound", findings=[slight], **extra)
    else:
        s.add(day, "examine", verdict="sound", **extra)
    return findings


def _finding(s: Story) -> Finding:
    """A defect drawn at random, at a place that the cask has."""
    dice = s.dice
    word = dice.weigh(_WORDS)
    severity = dice.weigh(((2, 0.8), (1, 0.1), (3, 0.1)))
    stave, head = dice.whole(2, s.staves), dice.pick("AB")
    match word:
        case "bung-stave-crack":
            return Finding("stave-1", word, severity)
        case "worn-bung-hole":
            return Finding("bung", word, severity)
        case "joint-leak":
            return Finding(f"joint-{stave}", word, severity)
        case "croze-leak":
            return Finding(f"croze-{head}-{stave}", word, severity)
        case "loose-hoop":
            return Finding(f"hoop-{head}-{dice.whole(1, s.page.head['hoops'] // 2)}", dice.pick((word, "burst-hoop")), severity)
        case "head":
            return Finding(f"head-{head}-{dice.whole(1, s.page.head['heads'][head == 'B'])}", "cracked", severity)
        case _:
            return Finding(f"stave-{stave}", word, severity)


def _proved(s: Story, worked: bool, smooth: bool) -> bool:
    """The test: most pass, most that fail are cured by driving; three fails end it."""
    dice = s.dice
    if not worked and dice.chance(0.18):
        return True
    share = 0.0 if smooth else (0.05 + 0.08 * worked) * s.plan.parcel.bad * s.worn
    psi = dice.pick((8, 9, 9, 10)) if s.type in ("butt", "puncheon", "port-pipe") else dice.pick((10, 10, 11, 11, 12))
    day = s.after(0, 3)
    if not dice.chance(min(0.6, share)):
        _passed(s, day, psi)
        return True
    leaks = [{"at": _weak_place(s)} for _ in range(dice.weigh(((1, 0.8), (2, 0.2))))]
    if dice.chance(0.35):
        s.add(day, "test", psi=psi, water_l=2, result="pass", leaks=leaks, cured_by=dice.weigh((("drive", 0.8), ("took-up", 0.2))))
        return True
    s.add(day, "test", psi=psi, water_l=2, result="fail", leaks=leaks)
    return _driven(s, psi, leaks)


def _driven(s: Story, psi: int, leaks: list[dict[str, str]]) -> bool:
    """The hoops are driven after a failed test, and if need be the cask is soaked; whether it passed then. `psi` is the pressure of the test."""
    dice = s.dice
    s.add(s.day, "drive", **({} if dice.chance(0.7) else {"hoops": ["hoop-A-1", "hoop-B-1"]}))
    if dice.chance(0.9):
        _passed(s, s.day, psi)
        return True
    s.add(s.day, "test", psi=psi, water_l=2, result="fail", leaks=leaks[:1])
    s.add(s.after(0, 1), "soak", method=dice.pick(("cold", "hot")), hours=dice.pick((12, 24, 36)))
    if dice.chance(0.8):
        _passed(s, s.after(1, 2), psi)
        return True
    s.add(s.after(1, 2), "test", psi=psi, water_l=2, result="fail", leaks=leaks[:1])
    return False


def _passed(s: Story, day: int, psi: int) -> None:
    """A pass; now and then bar is typed for psi and put right, or the shop line was set too high."""
    dice = s.dice
    if dice.chance(0.0015):
        s.add(day, "test", psi=13, water_l=2, result="pass", why="gauge found to read low afterwards")
        return
    minutes = {"minutes": dice.pick((5, 10, 15))} if dice.chance(0.3) else {}
    if dice.chance(0.005):
        s.add(day, "test", psi=fig(psi / 14.5), water_l=2, **minutes, result="pass")
        s.page.replace(s.page.events[-1], "bar typed for psi", psi=psi)
        return
    s.add(day, "test", psi=psi, water_l=2, **minutes, result="pass")


def _weak_place(s: Story) -> str:
    """A place where casks of the demo leak, joints most often: an invented frequency."""
    dice = s.dice
    stave = dice.whole(2, s.staves - 1)
    return dice.weigh(
        (
            (f"joint-{stave}", 0.5),
            ("joint-1", 0.15),
            (f"croze-A-{stave}", 0.12),
            (f"croze-B-{stave}", 0.12),
            ("head-A-joint-2", 0.06),
            ("bung", 0.03),
            ("unseen", 0.02),
        )
    )
