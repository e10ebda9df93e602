"""`init`: a new, empty ledger whose house.yaml says in comments what every setting does."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook import outcome
from caskbook.cli.common import say, write
from caskbook.cli.schema import write_schemas
from caskbook.finding import CaskbookError

HOUSE = """\
# The house's own settings. A setting that is left out has the value shown in its comment.
# A setting that judges entries may be a list of {since, value}: each entry is judged by the value in force on its date.

name: TITLE
timezone: ZONE                     # IANA name; an entry can never be dated after today, here

crew:                             # never remove anybody: give an `until`
  - {initials: WHO}
# - {initials: kd, name: K. Dunn, from: 2019-04-01, until: 2024-03-31}
# shops: [rivet-lane]             # outside shops: their entries say `by: shop-rivet-lane`
# suppliers: {northquay: {name: Northquay Casks, claim_days: 30}}
# stores: {W1: warehouse 1, Y: yard}   # prefix of a berth: the store it lies in

# What makes an empty cask ready. None of these days and limits has a published source: they are the house's.
fill_needs: examine               # examine: a sound examination; test: a pass as well, always
examine_valid_days: 30
test_valid_days: 60
test_limit_psi: 12                # a test above it is written only with a reason, and stays a finding
drive_unproves: true              # whether driving alone needs a new test
# stave_floor_mm: 18              # barrels and hogsheads have 18 unless said
# short_fill_days: 0              # a shorter fill is not counted since char
# count_prior: true               # whether fills before us count since the char before us

# minimum_age: 3                  # years, for the day a spirit comes of age
# class_of_spirit: [whisky, malt, grain]   # prior fills of these count towards the trade's `first fill`
# wine_words: []                  # further words for wines
# laws: []                        # scotch-2009, irish-2014, bourbon-5.143, straight-5.143, eu-2019-787

# gallon: us                      # what a bare `gal` means when typed: us or uk; unsaid, caskbook asks
# proof: us
# decimal_comma: false

# due:                            # see `caskbook explain RULE`
#   rechar: {soon_at: 4, due_at: 5, well_past_at: 8, after_rechar_due_at: 2}
#   look: {weep_days: 14, drip_days: 0, run_days: 0, new_fill_days: []}
#   regauge: {first_year: 5, every_years: 3, yearly_from: 15, yearly_under_abv: 43}
# types:                          # any setting again, for one type of cask
#   butt: {test_limit_psi: 8}
"""
ATTRIBUTES = "# Bytes stay as they are: a cask file's newlines are its own.\n*.yaml -text\n"
IGNORED = ".pending/\n.caskbook/\n"


def run(folder: str) -> int:
    """Make the ledger; nothing that is there already is touched."""
    root = Path(folder)
    if (root / "house.yaml").exists():
        raise CaskbookError(f"{folder} is a ledger already: house.yaml is there")
    if root.exists() and not root.is_dir():
        raise CaskbookError(f"{folder} is no folder")
    with outcome.whole():
        _lay_out(root, folder)
        write_schemas(schemas_of(root))
    write(f"a new ledger in {folder}")
    say("next: put your crew into house.yaml, then `caskbook enter receive TH-000001 --type barrel --verdict accept`")
    say(_git_hint(root))
    return 0


def _lay_out(root: Path, folder: str) -> None:
    try:
        (root / "casks").mkdir(parents=True, exist_ok=True)
        for name, text in _files(root).items():
            if not (root / name).exists():
                (root / name).write_text(text, encoding="utf-8", newline="\n")
                outcome.note([str(root / name)])
    except OSError as error:
        raise CaskbookError(f"cannot make a ledger in {folder}: {error.strerror}") from None


def _git_hint(root: Path) -> str:
    """How the ledger comes under git, without which there is no history, no merge and no review."""
    from caskbook.git import open_git

    install = "`caskbook git install`, once on each machine, teaches git about casks"
    try:
        bare = open_git(root).bare
    except CaskbookError as error:
        if "not installed" in str(error):
            return "git is not installed: without it there is no history, no review and no merge"
        bare = True
    return f"not in a git work tree, so there is no history yet: `git init` here, then {install}" if bare else install


def schemas_of(root: Path) -> Path:
    """Where the schemas of a ledger lie: beside a folder called records, otherwise inside the ledger."""
    return root.parent / "schemas" if root.name == "records" else root / "schemas"


def _files(root: Path) -> dict[str, str]:
    title = root.resolve().parent.name if root.name == "records" else root.resolve().name
    who = "".join(sign for sign in os.environ.get("USER", "") if sign.isalnum()).lower()[:12] or "me"
    text = HOUSE.replace("TITLE", _quoted(title)).replace("ZONE", _zone()).replace("WHO", _quoted(who))
    return {"house.yaml": text, ".gitattributes": ATTRIBUTES, ".gitignore": IGNORED}


def _quoted(text: str) -> str:
    from caskbook.yaml.write import scalar

    return scalar("".join(sign for sign in text if sign.isprintable())[:60] or "house")


def _zone() -> str:
    """The machine's zone where it says one, else UTC."""
    named = os.environ.get("TZ", "").lstrip(":")
    target = os.path.realpath("/etc/localtime")
    for zone in (named, target.partition("zoneinfo/")[2]):
        if zone and zone.replace("/", "").replace("_", "").replace("-", "").replace("+", "").isalnum() and not zone.startswith("/"):
            return zone
    return "UTC"
