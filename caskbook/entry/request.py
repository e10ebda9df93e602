"""The words behind `enter`: the jobs, the casks, and each option with what was typed for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from caskbook.core.finding import CaskbookError
from caskbook.core.given_once import refuse_empty, refuse_second
from caskbook.entry.bench_words import canonical_job, nearest_job_hint, said_of_words
from caskbook.entry.casks import in_full, looks_like_casks, read_casks
from caskbook.entry.fields import HEAD_FILE, LISTS, NEW_FILE_JOBS, JobField, head_fields, job_fields, meant_by
from caskbook.words import JOBS, TYPED_ONLY, AmbiguousWord, UnknownWord, canonical, fold
from caskbook.words.job_table import JOB_TABLE

# These are options of the run itself, and how many values each takes.
RUN_OPTIONS: Mapping[str, int] = {
    "date": 1, "before": 1, "closed_on": 1, "records": 1, "like": 1, "anyway": 0, "dry_run": 0, "yes": 0, "skip_missing": 0, "commit": 0, "help": 0,
}  # fmt: skip
_SHORT = {"-y": "--yes", "-n": "--dry-run", "-h": "--help", "-d": "--date"}
# These jobs are typed as one and written into several files, with their own options; True takes all words up to the next option.
MANY_FILES: Mapping[str, Mapping[str, bool]] = {
    "rack": {"to": True, "litres": False, "litres_to": False, "abv": False, "spirit": False, "oak_since": False, "left": False, "lost": False,
             "berth": False, "stow": False, "temp": False},
    "convert": {"into": True, "as": True, "first_id": False, "gave": False},
    "swap-heads": {"with": False},
}  # fmt: skip


@dataclass
class Request:
    """What was asked. `given`: (job or "run" or "head file", key) → typed texts. `named`: casks as typed, where some are named in short
    and a book has to say which they are (`naming.name_casks`)."""

    jobs: list[str]
    casks: list[str] = field(default_factory=list)
    given: dict[tuple[str, str], list[str]] = field(default_factory=dict)
    named: list[str] = field(default_factory=list)

    def one(self, key: str, job: str = "run") -> str | None:
        """The last text typed for an option, None if none was."""
        texts = self.given.get((job, key))
        return texts[-1] if texts else None

    def has(self, key: str) -> bool:
        """Whether a switch of the run was given."""
        return ("run", key) in self.given

    @property
    def anyway(self) -> bool:
        """Whether it shall be written against the house's rules."""
        return self.has("anyway")


def read_jobs(word: str) -> list[str]:
    """`shave+char` as the jobs of the trade. CaskbookError with the question where a word means several things."""
    jobs = [_job(part) for part in word.split("+") if part.strip()]
    if not jobs or len(set(jobs)) < len(jobs):
        raise CaskbookError("which job? as: caskbook enter test TH-004217 --psi 11 --result pass")
    return jobs


def _job(text: str) -> str:
    try:
        job = canonical("job", text)
    except AmbiguousWord as error:
        raise CaskbookError(f"{error}") from None
    except UnknownWord as error:
        raise CaskbookError(f"{error}{'' if error.nearest else nearest_job_hint(text)}") from None
    if JOB_TABLE[job].elsewhere:
        raise CaskbookError(f"{job}: {JOB_TABLE[job].elsewhere}")
    return job


def read_request(arguments: Sequence[str]) -> Request:
    """Everything behind `enter`, the job first. CaskbookError for what cannot be read."""
    if not arguments or arguments[0].startswith("-"):
        raise CaskbookError("which job? as: caskbook enter test TH-004217 --psi 11 --result pass")
    if looks_like_casks(arguments[0]) and len(arguments) > 1 and canonical_job(arguments[1]):
        raise CaskbookError(f"the job goes first: caskbook enter {arguments[1]} {arguments[0]}")
    request = Request(read_jobs(arguments[0]))
    if len(request.jobs) > 1 and any(job in (*MANY_FILES, "swap-heads", *NEW_FILE_JOBS) for job in request.jobs):
        raise CaskbookError(f"{arguments[0]}: one job at a time where several files are written, or one is begun")
    table = _options_of(request.jobs)
    loose = _read_options(request, list(arguments[1:]), table)
    _take_loose(request, _without_note(request, loose))
    return request


def _options_of(jobs: Sequence[str]) -> dict[str, list[tuple[str, str, int]]]:
    """Folded option name → (job or run or head, key, how many values: 0, 1, or 2 for all up to the next option)."""
    table: dict[str, list[tuple[str, str, int]]] = {}

    def offer(name: str, owner: str, key: str, takes: int) -> None:
        places = table.setdefault(_plain(name), [])
        if all(place[0] != owner for place in places):
            places.append((owner, key, takes))

    for name, takes in RUN_OPTIONS.items():
        offer(name, "run", name, takes)
    for job in jobs:
        for name, greedy in MANY_FILES.get(job, {}).items():
            offer(name, job, name, 2 if greedy else 1)
        for one in fields_typed(job):
            for name in one.names:
                takes = 0 if one.kind == "flag" else 1
                offer(name, job, one.key, takes)
                offer(f"{job.replace('-', '_')}_{name}", job, one.key, takes)
        if takes_head(job):
            for one in head_fields():
                for name in one.names:
                    offer(name, HEAD_FILE, one.key, 1)
                offer(f"head_{one.key}", HEAD_FILE, one.key, 1)
    return {name: meant_by(name, places) for name, places in table.items()}


def takes_head(job: str) -> bool:
    """Whether what the cask is may be typed with the job."""
    return job in NEW_FILE_JOBS or job == "convert"


def fields_typed(job: str) -> tuple[JobField, ...]:
    """The fields offered for a job as it is typed."""
    if job != "rack":
        return job_fields(job)
    both = {one.key: one for one in (*job_fields("rack-in"), *job_fields("rack-out"))}
    left_out = ("to", "from", "left_l", "lost_l", "oak_since", "spirit", "berth", "stow", "temp_c")
    return tuple(one for key, one in both.items() if key not in left_out)


def _plain(name: str) -> str:
    return name.lstrip("-").replace("-", "_").casefold()


def _read_options(request: Request, words: list[str], table: dict[str, list[tuple[str, str, int]]]) -> list[str]:
    """Options into the request; what stands loose is handed back."""
    loose: list[str] = []
    seen: dict[tuple[tuple[str, str, int], ...], str] = {}
    at = 0
    while at < len(words):
        word = _SHORT.get(words[at], words[at])
        at += 1
        if not word.startswith("--") or word == "--":
            loose += [] if word == "--" else [word]
            continue
        name, equals, text = word.partition("=")
        places = _places(name, table, request.jobs)
        takes = max(place[2] for place in places)
        texts: list[str] = [text] if equals else []
        if takes and not equals:
            end = _end_of_values(words, at, takes)
            texts, at = words[at:end], end
            if not texts:
                raise CaskbookError(f"{name} needs a value")
        if takes:
            refuse_empty(name, *texts)
        if takes == 1 and not _may_repeat(places):
            refuse_second(name, seen.setdefault(tuple(places), texts[0]), texts[0])
        for owner, key, _ in places:
            request.given.setdefault((owner, key), []).extend(texts if takes else [text or "yes"])
    return loose


def _may_repeat(places: Sequence[tuple[str, str, int]]) -> bool:
    """Whether an option of these places is a list, and each time it is given adds to it."""
    return any(one.kind in LISTS for owner, key, _ in places if (one := _field_at(owner, key)) is not None)


def _field_at(owner: str, key: str) -> JobField | None:
    fields = head_fields() if owner == HEAD_FILE else () if owner == "run" else fields_typed(owner)
    return next((one for one in fields if one.key == key), None)


def _end_of_values(words: Sequence[str], at: int, takes: int) -> int:
    if takes == 1:
        return at + 1 if at < len(words) and not words[at].startswith("--") else at
    end = at
    while end < len(words) and not words[end].startswith("--") and words[end] not in _SHORT:
        end += 1
    return end


def _places(name: str, table: dict[str, list[tuple[str, str, int]]], jobs: Sequence[str]) -> list[tuple[str, str, int]]:
    """The (job, field, rank) places of an option's name. CaskbookError where no job has it, or where several jobs may be meant."""
    places = table.get(_plain(name))
    if places is None:
        import difflib  # It is slow to load, and wanted only for a word that is not known.

        near = difflib.get_close_matches(_plain(name), table, 1, 0.7)
        hint = f": did you mean --{near[0].replace('_', '-')}?" if near else f"; `caskbook enter {jobs[0]} --help` lists its fields"
        raise CaskbookError(f"{name[:40]} is no option of {'+'.join(jobs)}{hint}")
    owners = [place for place in places if place[0] != "run"]
    if len({place[0] for place in owners}) > 1 and len(jobs) > 1 and owners[0][1] not in ("by", "sheet", "note", "why", "photo"):
        which = " or ".join(f"--{place[0]}-{place[1].replace('_', '-')}" for place in owners)
        raise CaskbookError(f"{name}: for which job? {which}")
    return places if len(jobs) > 1 or len(places) == 1 else _both_or_first(places)


def _both_or_first(places: list[tuple[str, str, int]]) -> list[tuple[str, str, int]]:
    """A count of staves given when a cask is raised is a matter of the job and of the head; else the job's own goes first."""
    if {place[0] for place in places} == {"raise", HEAD_FILE}:
        return places
    return places[:1]


def _without_note(request: Request, loose: list[str]) -> list[str]:
    """The loose words, less the text of a note that stands behind the casks: several words in one, and no list of casks."""
    parts = loose[-1].split() if len(loose) > 1 and loose[-1].isprintable() else []
    if request.jobs != ["note"] or ("note", "note") in request.given or len(parts) < 2 or all(looks_like_casks(part) for part in parts):
        return loose
    request.given["note", "note"] = [loose[-1]]
    return loose[:-1]


def _take_loose(request: Request, loose: Iterable[str]) -> None:
    """Cask numbers, and words of a closed list typed without their option: `test TH-004217 pass`."""
    casks: list[str] = []
    open_list = False
    for word in loose:
        if looks_like_casks(word) or open_list:
            casks.append(word)
            open_list = word.casefold() in ("..", "except") or word.endswith(",")
        elif not (_take_word(request, word) or _take_short(request, word)):
            if not any(sign.isdigit() or sign == "/" for sign in word):
                raise CaskbookError(_unexpected(request, word))
            casks.append(word)
    if in_full(casks):
        request.casks = read_casks(casks)
    else:
        request.named = casks


def _take_short(request: Request, word: str) -> bool:
    """Whether the word is a place for one of the jobs, or says that a test leaked and was cured."""
    from caskbook.entry.short_words import take_cure, take_place

    return take_cure(request.jobs, request.given, word) or take_place(request.jobs, request.given, word, fields_typed)


def _take_word(request: Request, word: str) -> bool:
    """Whether the word belongs to a closed list of one of the jobs; mandatory ones first."""
    for job in request.jobs:
        closed = [one for one in fields_typed(job) if one.kind == "choice" and (job, one.key) not in request.given]
        for one in sorted(closed, key=lambda one: not one.must):
            if fold(word) in {fold(choice) for choice in one.words} or (one.vocabulary and _is_word(one, word)):
                request.given[(job, one.key)] = [word]
                return True
    return False


def _unexpected(request: Request, word: str) -> str:
    """A word that is no cask and none of the job's own: which may be meant, or by which option it goes."""
    import difflib  # It is slow to load, and wanted only for a word that is not known.

    said = f"'{''.join(sign if sign.isprintable() else '?' for sign in word[:30])}' is not expected here"
    plain = "".join(sign for sign in " ".join(word.split())[:30] if sign.isprintable())
    given = plain if plain.isalnum() else f"'{plain}'"
    lacking = [(job, one) for job in request.jobs for one in sorted(fields_typed(job), key=lambda one: not one.must) if (job, one.key) not in request.given]
    meant = said_of_words(word, [one for _, one in lacking if one.kind == "choice"])
    if meant:
        return meant
    words = {choice: one for _, one in lacking for choice in one.words}
    near = difflib.get_close_matches(word.casefold(), words, 1, 0.7)
    if near:
        return f"{said}: did you mean {words[near[0]].option} {near[0]}?"
    open_text = next((one for _, one in lacking if one.must and one.kind in ("text", "word", "wine", "texts", "place")), None)
    if open_text is not None:
        return f"{said}: did you mean {open_text.option} {given}?"
    closed = next((one for _, one in lacking if one.words and one.must), None)
    hint = f"{closed.option} is one of {', '.join(closed.words)}" if closed else f"each word goes by its option, as --note '{plain}'"
    return f"{said}: {hint} (caskbook enter {request.jobs[0]} --help)"


def _is_word(one: JobField, word: str) -> bool:
    try:
        return canonical(one.vocabulary or "", word) in one.words
    except (UnknownWord, AmbiguousWord):
        return False


def all_jobs() -> tuple[str, ...]:
    """Every job that can be typed."""
    return (*(job for job in JOBS if not JOB_TABLE[job].elsewhere), *TYPED_ONLY)
