"""`explain` for the words of the trade: the lists there are, a job, a type of cask, a state, a place, a field, a column."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from caskbook.core.own_texts import need_texts
from caskbook.words import AmbiguousWord, Kind, UnknownWord, canonical, fold, kind_named, note_on, synonyms

_STATES = {
    "gone": "broken up, converted, or disposed of: it comes back no more", "missing": "nobody knows where it is", "away": "sent to a shop or elsewhere",
    "filled": "full of spirit", "seasoning": "full of wine that was put in on purpose", "shook": "knocked down into its staves", "open": "a head is out",
    "emptied": "emptied, and nothing examined since", "rejected": "not to be used: an examination or a receipt says so", "retired": "taken out of use",
    "held": "held until it is released", "tainted": "its nose is at fault", "sulphured": "sulphured, and not nosed clean since",
    "unexamined": "not examined for a fill, or too long ago", "repair": "a defect that was found is not yet put right", "failed": "its last test failed, whatever was done since",
    "untested": "a pass is needed, and lacking or too old", "ready": "fit to be filled",
}  # fmt: skip
_KIND_TITLES = {
    "place": "place on a cask", "part": "part of a cask", "type": "type of cask", "seen": "thing seen of a leak", "leak": "severity of a leak",
}  # fmt: skip
_LISTS = ("types", "states", "places", "jobs", "due", "defects", "settings", "findings", "numbers", "bench")
THERE_ARE = "types, states, places, jobs, due, defects, settings, findings, numbers and bench list what there is"
_PLURALS = {
    "rules": "due",
    "codes": "findings",
    "faults": "defects",
    "leaks": "defects",
    "hoops": "places",
    "fields": "jobs",
    "casks": "types",
    "words": "defects",
    "marks": "numbers",
    "tail": "numbers",
    "short names": "numbers",
    "old mark": "numbers",
    "next": "numbers",
    "shift": "bench",
    "same": "bench",
    "undo": "bench",
}
_PLACES = (
    "stave-14       counted from the bung stave, which is 1; 14b is the second of two there",
    "joint-14       between stave 14 and the next", "bung           the bung hole",
    "head-A         the marked head; head-B the other; head-A-2 its second piece", "head-A-joint-2 between its second piece and the third",
    "croze-A-14     the groove of head A at stave 14; chime-B the stave ends beyond head B",
    "hoop-A-1       counted from the chime in on the side of head A; also A-chime, A-quarter, A-bulge", "unseen         it leaks, and nobody saw where",
)  # fmt: skip


_NUMBERS = (
    "TH-007005          a cask's number, in full", "7005               its last figures, three at least, where no other number ends so and no old mark reads so",
    "7005..7012         a range; 7005 .. 7012 except 7007", "HJ-4421            an old mark on its head; was:HJ-4421 where it could be something else",
    "@P-2026-020        a parcel, without the casks that are gone", "file:NUMBERS.txt   a list in a file; - is standard input",
    "next, next:60      the next free numbers, for a new cask; TH-next where there are several kinds", "What could be several casks is named, and nothing written.",
)  # fmt: skip
_SHORT = (
    "p                  of a test: passed", "f j3               failed at joint-3", "c j4               leaked at joint-4, was driven, and passed",
    "j3, s14, cA14      joint-3, stave-14, croze-A-14",
)  # fmt: skip


def told_of(word: str, width: int) -> list[str]:
    """What the word is, one text for each thing it is; empty where it is none of the trade's."""
    name = _list_name(word)
    if name is not None:
        return [_fold([f"{name}   a list", "", *_listed(name)], width)]
    if word.strip().casefold() == "c":
        return [_fold(["c   a word of a test", "", *(f"  {line}" for line in _SHORT)], width)]
    texts = [*_state(word), *_place(word), *_words(word), *_fields(word), *_columns(word)]
    return [_fold(lines, width) for lines in texts]


def known_words() -> list[str]:
    """Every word that is explained here, to name the nearest of."""
    from caskbook.words import KINDS

    return [
        *_LISTS,
        *_STATES,
        *(word for kind in KINDS.values() for word in kind.words),
        *(also for kind in KINDS.values() for some in kind.synonyms.values() for also in some),
    ]


def _list_name(word: str) -> str | None:
    plain = word.strip().casefold()
    plain = _PLURALS.get(plain, plain)
    return plain if plain in _LISTS else plain + "s" if f"{plain}s" in _LISTS else None


def _fold(lines: list[str], width: int) -> str:
    folded: list[str] = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()) + 2 if line.startswith(" ") else 0)
        folded += textwrap.wrap(line, min(width, 90), subsequent_indent=indent, break_on_hyphens=False, drop_whitespace=True, replace_whitespace=False) or [""]
    return "\n".join(folded).rstrip()


def _listed(name: str) -> Iterator[str]:
    """The lines of one of the lists there are: types, states, places, jobs, due rules, defects, settings or findings."""
    if name == "types":
        yield from (f"  {kind:<14}{_type_figures(kind)}" for kind in kind_named("type").words)
    elif name == "states":
        yield from (f"  {state:<12}{says}" for state, says in _STATES.items())
        yield "The first that is true of a cask is its state: caskbook list --state ready"
    elif name == "places":
        yield from (f"  {line}" for line in _PLACES)
    elif name == "jobs":
        yield from _jobs()
    elif name == "due":
        yield from _rules()
    elif name == "defects":
        for kind in ("defect", "leak", "nose_fault"):
            yield f"{kind_named(kind).label}: {', '.join(kind_named(kind).words)}"
        yield "caskbook explain WORD tells what else is understood for one"
    elif name == "numbers":
        yield from (f"  {line}" if line[0] != "W" else line for line in _NUMBERS)
    elif name == "bench":
        yield from _bench()
    else:
        yield from _settings_or_findings(name)


def _type_figures(kind: str) -> str:
    from caskbook.words import CASK_TYPES

    usual = CASK_TYPES[kind]
    if usual.low is None:
        return "any size: its litres must be given"
    usually = f"usually {usual.litres:g} L, " if usual.litres and not usual.litres_needed else ""
    return f"{usually}{usual.low:g} to {usual.high:g} L" + (": its litres must be given" if usual.litres_needed else "")


def _jobs() -> Iterator[str]:
    from caskbook.entry.request import all_jobs

    yield from (f"  {job:<11} {_job_line(job)}" for job in all_jobs())
    yield "caskbook enter JOB --help tells the fields of one"


def _job_line(job: str) -> str:
    from caskbook.model.jobs import JOBS

    if job == "rack":
        return "Liquor is racked from casks into others; both sides are written."
    need_texts()
    return (JOBS[job].__doc__ or "").strip().split("\n")[0]


def _bench() -> Iterator[str]:
    """What is typed at the bench, and the short words that every way of entering knows."""
    from caskbook.cli.entering.bench_grammar import WORDS

    yield from (f"  {line}" for line in _SHORT)
    yield "At the prompt of caskbook bench:"
    yield from (f"  {line}" for line in WORDS.values())
    yield "caskbook shift --help tells what a shift keeps"


def _rules() -> Iterator[str]:
    from caskbook.due import RULES

    yield from (f"  {rule.name:<9} {rule.text.splitlines()[0] if rule.text else ''}" for rule in RULES)
    yield "caskbook due lists what is due, caskbook due RULE of one rule"
    yield "caskbook explain RULE tells when, and by which settings"


def _settings_or_findings(name: str) -> Iterator[str]:
    from caskbook.checks.explain import EXPLANATIONS
    from caskbook.model.house_words import settings

    yield from (f"  {word}" for word in ([one.name for one in settings()] if name == "settings" else sorted(EXPLANATIONS)))
    yield "caskbook explain without a word tells of each in a line"


def _state(word: str) -> Iterator[list[str]]:
    says = _STATES.get(word.strip().casefold())
    if says:
        yield [f"{word.strip().casefold()}   a state of a cask", "", f"{says[0].upper()}{says[1:]}.", "caskbook explain states lists them all"]


def _place(word: str) -> Iterator[list[str]]:
    """The word as a place on a cask, in short too."""
    from caskbook.entry.terms import spelled_out
    from caskbook.model.places import Frame, PlaceError, read_place

    try:
        at = read_place(spelled_out(word), Frame())
    except PlaceError:
        return
    if at.kind not in ("bung", "unseen"):
        yield [f"{at}   a place on a cask", "", *(f"  {line}" for line in _PLACES if line.startswith(at.kind.replace("piece", "head-A").replace("head-joint", "head-A-j"))),
               "caskbook explain places tells how each is written"]  # fmt: skip


def _words(word: str) -> Iterator[list[str]]:
    """The word in each of the trade's lists that has it."""
    from caskbook.words import KINDS

    for name, kind in sorted(KINDS.items(), key=lambda pair: pair[0] not in ("job", "type")):
        try:
            found = canonical(name, word)
        except AmbiguousWord as error:
            yield [f"{word}   asked about as a {_title(name, kind)}", "", str(error)]
            continue
        except UnknownWord:
            continue
        yield [f"{found}   a {_title(name, kind)}" + (f", also said {word}" if fold(word) != fold(found) else ""), "", *_about(name, found)]


def _title(name: str, kind: Kind) -> str:
    return _KIND_TITLES.get(name, kind.label)


def _about(name: str, found: str) -> Iterator[str]:
    if name == "job":
        yield from (_job_line(found), f"caskbook enter {found} --help tells its fields")
    if name == "type":
        yield _type_figures(found)
    note = note_on(name, found)
    if note:
        yield f"{note[0].upper()}{note[1:]}."
    others = synonyms(name)[found]
    if others:
        yield f"Also understood: {', '.join(others)}."


def _fields(word: str) -> Iterator[list[str]]:
    """An option of some jobs."""
    from caskbook.entry.fields import COMMON
    from caskbook.entry.request import all_jobs, fields_typed

    plain = word.strip().lstrip("-").replace("-", "_").casefold()
    having = [(job, one) for job in all_jobs() for one in fields_typed(job) if plain in one.names]
    if having:
        where = "every job" if plain in COMMON else ", ".join(dict.fromkeys(job for job, _ in having))
        yield [f"{having[0][1].option}   a field of {where}", "", *dict.fromkeys(f"{one.says[0].upper()}{one.says[1:]}." for _, one in having if one.says)]


def _columns(word: str) -> Iterator[list[str]]:
    from caskbook.model.query_columns import CASK

    for column in CASK:
        if column.name == word.strip().casefold():
            yield [f"{column.name}   a column of `list` and `query`", "", f"{column.meaning[0].upper()}{column.meaning[1:]}."]
