"""Work on an empty cask that ends well, laid into its life: sound, clean, passed, and each known finding mended by its job."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from caskbook.due.case import Case
from caskbook.due.retest import repairs_open
from caskbook.life import Life
from caskbook.life.carried import Defect
from caskbook.model.jobs import JOBS
from caskbook.words.job_table import row_of
from caskbook.words.repairs import mended_by
from caskbook.work.coming import Files, laid_in

_OPENED = "A"
_NUMBER = re.compile(r"-(\d+)[a-c]?$")


def done_well(files: Files, day: date, case: Case, jobs: Sequence[str]) -> Files | str:
    """The files with these jobs done on the day, a head taken out for them where one has to be; or why it cannot be. `case`: of the cask before them."""
    opens = case.st.form == "whole" and any(JOBS[job].need.form == ("open",) for job in jobs)
    before: Life | None = case.life
    for fields in [*([{"job": "open", "heads": [_OPENED]}] if opens else []), *(_fields(job, case) for job in jobs)]:
        found = laid_in(files, day, fields, before)
        if isinstance(found, str):
            return found
        files, before = found, None
    return files


def _fields(job: str, case: Case) -> dict[str, Any]:
    """What the entry of a job says that ends well; a repair answers the findings that it mends."""
    if job == "examine":
        return {"job": job, **_examined(case)}
    if job == "close":
        return {"job": job, "heads": sorted(case.st.open_heads) or ["A", "B"]}
    mended = [one for one in repairs_open(case) if mended_by(one.defect, one.at) == job]
    answers = {"answers": [f"{one.event}/{one.at}" for one in mended]} if mended else {}
    return {"job": job, **dict(row_of(job).well), **_at(job, mended), **answers}


def _examined(case: Case) -> dict[str, Any]:
    """Sound, where nothing is known to be wrong; what stands open in the book is found again, for nobody has mended it."""
    found = list(_restated(case.st.defects))
    return {"verdict": "repair", "findings": found} if found else {"verdict": "sound"}


def _restated(defects: Sequence[Defect]) -> Iterator[dict[str, Any]]:
    """Findings that stand open, as an examination would say them again; one of which nobody can read the place is none."""
    for one in defects:
        if re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", one.at):
            yield {"at": one.at, "defect": one.defect, **({"severity": one.severity} if isinstance(one.severity, int) else {})}


def _at(job: str, mended: Sequence[Defect]) -> dict[str, Any]:
    """Where a repair is done: at the places of the findings that it mends, and at one where it has to be somewhere."""
    places = [one.at for one in mended]
    numbers = sorted({int(number[1]) for place in places if (number := _NUMBER.search(place))})
    if job == "stave":
        return {"action": "replace", "staves": numbers or [1], "from": "new"}
    if job == "hoop":
        return {"hoops": sorted({place for place in places if place.startswith("hoop")}) or ["A-1"], "from": "new"}
    if job == "head":
        head = "B" if any(place.startswith("head-B") for place in places) else "A"
        return {"head": head, "action": "piece", **({"which": numbers} if numbers else {})}
    return {"at": places[0] if places else "stave-1", "kind": "spile"} if job == "peg" else {}
