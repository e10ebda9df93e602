"""Which revision of the book is judged, where one was asked for with --at: over the head of a text, and in the JSON of an object."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from caskbook.cli.common import screen, write_text
from caskbook.cli.data_output import write_data


class Revision(NamedTuple):
    """A commit by its whole name, as short as git says it is told from others, and the day of its committer (ISO)."""

    commit: str
    short: str
    day: str

    @property
    def words(self) -> str:
        """As a head has it."""
        return f"the book as of commit {self.short} of {self.day}"

    def as_json(self) -> dict[str, str]:
        """As the key `revision` has it."""
        return {"commit": self.commit, "day": self.day}


def judged_at(records: str | None, at: str | None) -> Revision | None:
    """The commit that `at` names in the git of the ledger in the folder `records`, or found; None of the work tree. CaskbookError for a revision that is none."""
    if not at:
        return None
    from caskbook.git import open_git
    from caskbook.ledger.folder import find_ledger

    git = open_git(find_ledger(Path.cwd(), records, os.environ.get("CASKBOOK_RECORDS")))
    commit = git.resolve(at)
    short, day = git.text("show", "-s", "--format=%h %cs", commit).split()
    return Revision(commit, short, day)


def text_at(text: str, judged: Revision | None) -> str:
    """A text under a line that names the revision; as it is of the work tree."""
    return text if judged is None else f"{judged.words}\n{text}"


def json_at(text: str, judged: Revision | None) -> str:
    """The JSON of an object with the key `revision` (commit, day); as it is of the work tree, of rows alone, and of what is no JSON."""
    if judged is None or not text.startswith("{\n"):
        return text
    from caskbook.render.plain_json import safe_json

    whole = {**json.loads(text), "revision": judged.as_json()}
    return safe_json(json.dumps(whole, ensure_ascii=False, indent=2))


def put_out(form: str, text: Callable[[int | None], str], data: Callable[[str], str], judged: Revision | None = None) -> None:
    """A report goes out, as text of a width (None in a pipe) or as data of a form, with the revision that was judged."""
    if form == "text":
        out = screen()
        write_text(text_at(text(out.width), judged), out)
    else:
        told = data(form)
        write_data(json_at(told, judged) if form == "json" else told)
