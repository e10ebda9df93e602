"""Help for `enter`: the jobs by family, and for one job its fields with units, ranges, words and an example."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskbook.entry.fields import JobField

_FAMILIES = {
    "arrival": "arrival and building", "bench": "bench work on an empty cask", "fire": "fire and sulphur", "spirit": "spirit and wine",
    "custody": "where it is, and decisions", "book": "putting the book right",
}  # fmt: skip
_MANY = "rack"
USAGE = "caskbook enter JOB CASK… [fields]"
_COMMON = (
    "every job takes\n"
    "  --date DAY        2026-11-24, yesterday, mon, -2; without it today\n"
    "  --by INITIALS *   who did it; `caskbook shift ab` says it for all of a day\n"
    "  --note, --why, --answers EVENT or place, --photo NAME\n"
    "  --sheet NAME      the paper it stands on; many casks without one: run-DAY-BY-…\n"
    "  --before EVENT    one forgotten earlier that day\n"
    "  --replaces EVENT  puts an entry right; what is not given is taken over{right}\n"
    "  --closed-on DAY   the day of a close that goes without saying\n"
    "  --anyway --why …  against the house's rules; it stays a finding\n"
    "  --yes             asks nothing; needed where a day lies over 30 days back or a\n"
    "                    berth is taken, and nobody can be asked\n"
    "  --commit          what was written is committed, with a sentence of what it is\n"
    "  --dry-run, --skip-missing, --records DIR"
)
_WIDTH = 80


def jobs_help() -> str:
    """The jobs by family, each with what it is in a line."""
    from caskbook.words.job_table import JOB_TABLE

    lines = [f"{USAGE}     add a job to one or many casks", ""]
    for family, title in _FAMILIES.items():
        rows = [(row.job, _says(row.job)) for row in JOB_TABLE.values() if row.family == family and not row.job.startswith("rack-")]
        lines += [title, *(f"  {job:<11} {_short(says, _WIDTH - 14)}" for job, says in rows), ""]
    lines += [
        "several casks    enter test TH-004501..004560 except 004517,004533 pass --psi 11",
        "a cask in short  7005 (last figures), was:MARK, @PARCEL, next: explain numbers",
        "a test in short  enter test 7005 p --psi 11 · 7006 f j3 · 7007 c j4: explain c",
        "once a shift     caskbook shift WHO --psi 11; a day's work: caskbook bench",
        "two jobs         enter shave+char TH-004217 flail --level 3",
        "from paper       enter sheet FILE · sheet --for JOB (a blank one)",
        "with a scanner   enter scan JOB [fields]",
        "more on a job    enter JOB --help",
        "exit code        0 written · 1 refused, or declined · 2 not understood",
    ]
    return "\n".join(lines)


def _says(job: str) -> str:
    """What the job is: the first line of its model."""
    from caskbook.core.own_texts import need_texts
    from caskbook.model.jobs import JOBS

    need_texts()
    return "Liquor is racked from casks into others; both sides are written." if job == _MANY else _first_line(JOBS[job].__doc__)


def _first_line(text: str | None) -> str:
    return (text or "").strip().split("\n")[0]


def _short(text: str, width: int) -> str:
    """The first clause of a line that is too long."""
    for mark in (None, ";", ":", ". ", ","):
        first = text.split(mark)[0].rstrip(".") + "." if mark else text
        if len(first) <= width:
            return first
    return text[: width - 1] + "…"


def job_help(job: str) -> str:
    """The fields of a job."""
    from textwrap import wrap

    from caskbook.entry.fields import COMMON, head_fields
    from caskbook.entry.request import fields_typed, takes_head
    from caskbook.words.job_table import row_of

    what = "Liquor is racked from casks into others: a rack-out in each source, a rack-in in each receiver." if job == _MANY else _says(job)
    lines = [f"caskbook enter {job} CASK… [fields]", *wrap(what, _WIDTH, initial_indent="  ", subsequent_indent="  "), ""]
    own = [one for one in fields_typed(job) if one.key not in COMMON or one.must]
    lines += [_field_line(one) for one in own if one.kind != "yaml"]
    lines += [f"  {option:<17} {says}" for option, says in _EXTRA.get(job, ())]
    if takes_head(job):
        lines += ["", "what the cask is (or --like CASK, for the same as another):"]
        lines += [_field_line(one) for one in head_fields()]
    lines += ["", f"as: caskbook enter {row_of(job).example}", "", "* must be given", _COMMON.format(right=_put_right(job))]
    return "\n".join(lines)


def _put_right(job: str) -> str:
    """Where the reason goes for which an entry of the job is put right."""
    from caskbook.model.jobs import own_why

    if job == _MANY or own_why(job):
        return ",\n                    --why (that of the work) too; why it is put right goes\n                    into --note, behind what the note says"
    return ";\n                    why it is put right goes into --why"


_EXTRA = {
    "rack": (("--to CASK… *", "into which casks"), ("--litres *", "out of each source: one figure for all, or one for each"),
             ("--litres-to", "into each receiver, where several share"), ("--abv *", "strength, one for all or one for each"),
             ("--spirit", "name of a mixture"), ("--left, --lost", "litres left in the source (0, or unsaid in a pipe: emptied), lost on the way"), ("--temp", "°C or °F"),
             ("--berth, --stow", "where the receiver lies"), ("--oak-since", "worked out; given only where the book cannot know")),
    "convert": (("--into N TYPE *", "how many casks of what type"), ("--as ID…", "their numbers"), ("--first-id ID", "or the first of them"),
                ("--gave", "staves from each parent: one number for all, or one for each")),
}  # fmt: skip


def hint_of(one: JobField) -> str:
    """What may be given for a field: its words, or its unit and range, or its form."""
    from caskbook.words.job_table import jobs_with

    if one.words:
        return ", ".join(one.words)
    if one.kind == "quantity":
        span = f", {one.plausible[0]:g} to {one.plausible[1]:g}" if one.plausible else ""
        if one.key == "abv" and (one.job == "receive" or one.job in jobs_with("of-contents")) and one.plausible and one.plausible[0] != 10:
            span += ", wine 10 to 24"
        return f"{one.unit}{span}"
    return _FORMS.get(one.kind, "")


_FORMS = {
    "findings": "PLACE DEFECT 1-3; …", "leaks": "PLACE, PLACE …", "place": "stave-14, joint-3, head-A-2 …", "places": "joint-3, croze-A-14 …",
    "hoops": "A-1, B-2 …", "staves": "1, 14", "stave": "14", "head": "A or B", "heads": "A, B or both", "day": "a day", "days": "2026-11-19, Mon …", "cask": "a cask",
    "oak": "a day, or unknown", "fraction": "1/3 or 30%", "ints": "1, 2", "int": "a count", "casks": "cask numbers", "event": "an entry's id",
    "source": "a cask, new or unknown", "nose_faults": "acetic, musty …", "parents": "CASK STAVES; …", "prior": "CONTENTS FILLS; … oldest first",
    "charred": "year, day, unknown or never", "dims": "bung 660 head 560 length 840", "texts": "…; …", "when": "year or day", "wine": "oloroso, port …",
    "flag": "", "answers": "EVENT, or a place",
}  # fmt: skip


def _field_line(one: JobField) -> str:
    from textwrap import wrap

    hint = hint_of(one)
    says = one.says.split(", ")[0] if one.kind == "quantity" else one.says
    parts = [part for part in (hint, says, one.when) if part]
    lead = f"  {one.option + (' *' if one.must else ''):<17} "
    return "\n".join(wrap(" · ".join(parts), _WIDTH, initial_indent=lead, subsequent_indent=" " * 20)) or lead.rstrip()
