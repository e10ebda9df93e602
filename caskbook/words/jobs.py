"""Words for what is done to a cask: the jobs as stored, the ways they are typed, and the closed lists of their fields."""

from __future__ import annotations

from caskbook.words.job_table import JOB_TABLE
from caskbook.words.spelling import Ask, Kind

JOBS: tuple[str, ...] = tuple(row.job for row in JOB_TABLE.values() if row.model)
# Typed as one job, written as two: rack-out in each source and rack-in in each receiver.
TYPED_ONLY: tuple[str, ...] = tuple(row.job for row in JOB_TABLE.values() if not row.model)

_WHICH_GAUGE = Ask("the spirit in the cask, or the cask itself?", ("regauge", "measure"))
_TAKE_UP = Ask("the leak closed by itself, or the hoops were driven?", ("look", "drive"))
_RECONDITION = Ask("what was done: shaved, toasted, charred?", ("shave", "toast", "char"))

JOB = Kind(
    "job",
    (*JOBS, *TYPED_ONLY),
    {row.job: row.synonyms for row in JOB_TABLE.values() if row.synonyms},
    {
        "recondition": _RECONDITION,
        "rejuvenate": _RECONDITION,
        "fire": Ask("toasted, or charred?", ("toast", "char")),
        "seasoning": Ask("wine put in on purpose, or staves dried in the air (not recorded)?", ("season",)),
        "dip": Ask("wet dip (the liquid) or dry dip (the space)? Regauge with wet_mm or dry_mm", ("regauge",)),
        "ullage": Ask("the liquid, or the space above it? Regauge with litres or dry_mm", ("regauge",)),
        "dump": Ask("emptied, racked over, or the cask thrown out?", ("empty", "rack", "dispose")),
        "take up": _TAKE_UP,
        "took up": _TAKE_UP,
        "gauge": _WHICH_GAUGE,
        "weigh": _WHICH_GAUGE,
        "shive": Ask("the bung hole worked on, or the cask closed?", ("bung", "close")),
        "bottom": Ask(
            "which head: A is the marked one, B the other? Give the job and the head",
            ("head", "open", "close"),
        ),
        "repair": Ask("what was done?", ("stave", "head", "hoop", "flag", "peg", "drive")),
        "rehead": Ask("a new head, or the cask closed again?", ("head", "close")),
        "transfer": Ask("the spirit racked, or the cask moved?", ("rack", "move")),
        "steam": Ask("to clean it, or to swell it?", ("treat", "soak")),
        "scrap": Ask("broken up for its wood, or scrapped whole?", ("break-up", "dispose")),
        "dry": Ask("a leak looked at and found dry, or a dried-out cask examined?", ("look", "examine")),
        "sound": Ask("tight at a test, or found sound at an examination?", ("test", "examine")),
    },
    {row.job: row.note for row in JOB_TABLE.values() if row.note},
)

_FAILS = ("f", "failed", "leaks", "leaking", "leaked")
_RINGS = Ask("tight, or does it ring true? Tight is a pass; ringing true is an examination", ("pass",))
RESULT = Kind(
    "result of a test (pass, fail)",
    ("pass", "fail"),
    {"pass": ("p", "passed", "tight", "holds", "ok", "does not leak", "no leak"), "fail": _FAILS},
    {
        **dict.fromkeys(("sound", "rings true", "sound as a bell"), _RINGS),
        "dry": Ask("does not leak, or dried out? Dried out is found by an examination", ("pass", "fail")),
        "weep": Ask("a weep is a leak: a fail, unless it took up under test", ("fail", "pass")),
    },
)
CURED_BY = Kind(
    "cure of a test",
    ("drive", "took-up"),
    {
        "drive": ("driving", "driven", "tighten", "tightening"),
        "took-up": ("soaked up", "swelled", "by itself"),
    },
    {"take up": Ask("by itself, or by driving the hoops?", ("took-up", "drive"))},
)
BECAUSE = Kind(
    "reason a leak closed",
    ("took-up", "repaired", "false"),
    {
        "took-up": ("take up", "taken up", "healed", "swelled"),
        "repaired": ("mended", "pegged"),
        "false": ("mistake",),
    },
)
RECEIVE_VERDICT = Kind(
    "verdict of a receipt (accept, hold, reject)",
    ("accept", "hold", "reject"),
    {
        "accept": ("accepted", "ok", "taken"),
        "hold": ("held", "on hold"),
        "reject": ("rejected", "refuse", "refused"),
    },
)
EXAMINE_VERDICT = Kind(
    "verdict of an examination (sound, repair, hold, reject)",
    ("sound", "repair", "hold", "reject"),
    {
        "sound": ("ok", "good"),
        "repair": ("to repair", "mend"),
        "hold": ("held",),
        "reject": ("rejected", "refuse"),
    },
    {
        "dry": Ask("dried out (a repair), or does not leak?", ("repair", "sound")),
        "tight": Ask("tight is told by a test; is it sound to the eye?", ("sound",)),
        "pass": Ask("a pass is told by a test; is it sound to the eye?", ("sound",)),
    },
)
NOSE_VERDICT = Kind(
    "verdict of a nose (clean, faint, fault)",
    ("clean", "faint", "fault"),
    {"clean": ("ok", "sweet"), "faint": ("slight", "trace"), "fault": ("faulty", "bad", "off")},
    {"sound": Ask("sound is told by an examination; is the nose clean?", ("clean",))},
)
STOW = Kind(
    "way to stow (bilge, upright-A, upright-B)",
    ("bilge", "upright-A", "upright-B"),
    {
        "bilge": ("on its bilge", "lying", "racked", "bulge", "on its side"),
        "upright-A": ("on end A up", "head A up"),
        "upright-B": ("on end B up", "head B up"),
    },
    {
        word: Ask("which head is up: A is the marked one, B the other?", ("upright-A", "upright-B"))
        for word in ("upright", "standing", "on end", "palletised", "top", "bottom")
    },
)
TOAST_LEVEL = Kind(
    "toast level",
    ("light", "medium", "medium-plus", "heavy", "house"),
    {"medium-plus": ("m+", "mt+"), "light": ("lt",), "medium": ("mt",), "heavy": ("ht",)},
)
PEG_KIND = Kind("kind of peg (spile, wedge, wax)", ("spile", "wedge", "wax"), {"spile": ("peg", "plug")})
