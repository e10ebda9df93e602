"""`init`: a new, empty ledger whose house.yaml says in comments what every setting does."""

from __future__ import annotations

import os
from pathlib import Path

from caskbook.cli.commands.house_text import house_text
from caskbook.cli.commands.schema import write_schemas
from caskbook.cli.common import say, write
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError
from caskbook.core.own_texts import need_texts
from caskbook.ledger.atomic_write import check_plain, put_file
from caskbook.ledger.tracked import SCHEMA_FILES, schemas_of

ATTRIBUTES = "# Bytes stay as they are: a cask file's newlines are its own.\n*.yaml -text\n"
IGNORED = ".pending/\n.caskbook/\n"


def run(folder: str) -> int:
    """Make the ledger; nothing that is there already is touched."""
    need_texts()
    root = Path(folder)
    if (root / "house.yaml").exists():
        raise CaskbookError(f"{folder} is a ledger already: house.yaml is there")
    if root.exists() and not root.is_dir():
        raise CaskbookError(f"{folder} is no folder")
    for name in ("casks", *_files(root)):
        check_plain(root, root / name)
    for name in SCHEMA_FILES:
        check_plain(root.parent, schemas_of(root) / name)
    with outcome.whole():
        _lay_out(root, folder)
        write_schemas(schemas_of(root))
    write(f"a new ledger in {folder}")
    say(f"next: put your crew into {folder}/house.yaml (`crew:`), then")
    say("`caskbook enter receive TH-000001 accept --type barrel --capacity 200 --by INITIALS`")
    say(_git_hint(root))
    return 0


def _lay_out(root: Path, folder: str) -> None:
    try:
        (root / "casks").mkdir(parents=True, exist_ok=True)
        for name, text in _files(root).items():
            if not (root / name).exists():
                put_file(root, root / name, text.encode("utf-8"), _is_not_there, called=str(root / name))
    except OSError as error:
        raise CaskbookError(f"cannot make a ledger in {folder}: {error.strerror}") from None


def _is_not_there(found: bytes | None) -> bool:
    return found is None


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


def _files(root: Path) -> dict[str, str]:
    title = root.resolve().parent.name if root.name == "records" else root.resolve().name
    who = "".join(sign for sign in os.environ.get("USER", "") if sign.isalnum()).lower()[:12] or "me"
    text = house_text(_quoted(title), _zone(), _quoted(who))
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
