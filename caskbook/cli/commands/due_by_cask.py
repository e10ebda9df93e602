"""`due --by-cask`: each cask once, with all that is due on it."""

from __future__ import annotations

from collections.abc import Sequence

from caskbook.cli.common import screen, write_text
from caskbook.cli.data_output import write_data
from caskbook.cli.judged_at import Revision, text_at
from caskbook.render.due import due_csv
from caskbook.render.due_by_cask import by_cask, by_cask_json, by_cask_text
from caskbook.render.verdict import Judged, Unread

_USUAL_TOP = 15


def print_by_cask(
    shown: Sequence[Judged], header: str, form: str, top: int | None, later: Sequence[str], judged: Revision | None = None, *, settings_unread: Unread
) -> None:
    """Print the verdicts, those of a cask together, the casks in the order of their first one. CSV keeps one row a verdict. `later`: lines at the foot of text."""
    casks = by_cask(shown)
    if form == "text":
        out = screen()
        write_text(text_at("\n".join([by_cask_text(casks, header, width=out.width, top=top or _USUAL_TOP), *later]), judged), out)
        return
    cut = casks[:top] if top else casks
    if form == "csv":
        write_data(due_csv([verdict for cask in cut for verdict in cask.verdicts], settings_unread=settings_unread))
    else:
        write_data(by_cask_json(cut, form, settings_unread=settings_unread))
