"""The words behind `enter sheet` and `sheet`: which stand alone, and what was given with each option."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second

SHEET_HELP = (
    "caskbook enter sheet FILE.csv|FILE.yaml\n"
    "  a day sheet, one row a job; running it twice adds nothing, a row that was\n"
    "  changed replaces what it wrote, one that is not filled in is skipped\n"
    "  columns: date, job, cask, by, tick, then the fields of the jobs, as\n"
    "  `enter JOB --help` names them; YAML: date, by, sheet, and jobs: a list of maps\n"
    "  --date DAY, --by WHO   for rows that say none, and so any field: --psi 11\n"
    "  --sheet NAME           likewise; else the file's name without its ending\n"
    "  --anyway --why '…', --yes, --dry-run, --commit, --records DIR\n"
    "caskbook enter sheet --type JOB CASK…|--due, or FILE.csv, or nothing to go on\n"
    "  the rows are typed in a grid at the terminal; what is typed is kept at once\n"
    "caskbook sheet --for JOB [CASK…]\n"
    "  job cards to print and fill in by hand; several jobs as shave+char\n"
    "  --due                  casks on which it is due, along their berths, with why\n"
    "  --soon                 with --due: also what comes next, or at the emptying\n"
    "  --as-of DAY            with --due: of that day\n"
    "  --work                 minutes and material have room on every card; else, and\n"
    "                         photographs, in text, and on A4 where still 24 casks\n"
    "                         go on a page; not on A5\n"
    "  --type, --berth, --store, --parcel WORD   only of these\n"
    "  --save FILE.pdf|.txt|.csv   a file; --paper A4|A5, else that of house.yaml\n"
    "  --format text|csv      what goes out without --save; --rows N, --records DIR"
)
_SHORT = {"-y": "--yes", "-n": "--dry-run", "-h": "--help"}


def read_words(
    argv: Sequence[str], values: Sequence[str], switches: Sequence[str], many: Sequence[str] = (), *, fields: bool = False
) -> tuple[list[str], dict[str, list[str]]]:
    """(loose words, option → texts) of a command line. `many`: options that may be given several times; `fields`: any other option is
    a field, with hyphens as underscores. CaskbookError for an option that there is not, or without its value."""
    loose: list[str] = []
    given: dict[str, list[str]] = {}
    rest = [_SHORT.get(word, word) for word in argv]
    while rest:
        word = rest.pop(0)
        name, equals, text = word[2:].partition("=")
        if not word.startswith("--"):
            loose.append(word)
        elif name in switches:
            given[name] = ["yes"]
        elif name in (*values, *many) or (fields and name.replace("-", "").isalnum()):
            if not equals and (not rest or rest[0].startswith("--")):
                raise CaskbookError(f"--{name[:40]} needs a value")
            text = text if equals else rest.pop(0)
            refuse_empty(f"--{name}", text)
            if name not in many:
                refuse_second(f"--{name}", given.get(name, [text])[-1], text)
            given.setdefault(name, []).append(text)
        else:
            raise CaskbookError(f"--{name[:40]} is no option of sheet; `caskbook enter sheet --help` lists them")
    return loose, given
