"""`caskbook correct`: what the head says of one or many casks is put right by an added entry."""

from __future__ import annotations

from caskbook.cli.common import write
from caskbook.core.finding import CaskbookError

_HELP = (
    "caskbook correct CASK… --KEY VALUE … --why REASON\n"
    "  what the head says of casks put right, for all days, by an added entry; the\n"
    "  head itself stays as it was written\n"
    "  as: caskbook correct 7005..7012 --type hogshead --capacity 250 --why 'misread'\n"
    "      caskbook correct @P-2026-020 --supplier northquay --why 'delivery note'\n"
    "      caskbook correct file:tuesday.txt --wood european-oak --why 'looked at'\n"
    "  all of the casks or none, under one reason. A cask on which nothing would\n"
    "  change, or that cannot be so, is named, and nothing is written.\n"
)
_ENDS = "\n  exit code 0 written, 1 refused or declined, 2 not understood"


def correct(argv: list[str]) -> int:
    """As `enter correct`, with help of its own."""
    from caskbook.cli.commands.enter import run

    if any(word in ("-h", "--help") for word in argv):
        from caskbook.cli.entering.help import job_help

        _, fields, _, common = job_help("correct").split("\n\n", 3)
        write(_HELP + fields + "\n" + common + _ENDS)
        return 0
    if not argv:
        raise CaskbookError("which casks, and what of them? as: caskbook correct 7005..7012 --type hogshead --capacity 250 --why '…'")
    return run(["correct", *argv])
