"""`schema`: write the JSON Schemas."""

from __future__ import annotations

from pathlib import Path

from caskbook.cli.common import say
from caskbook.core import outcome
from caskbook.core.finding import CaskbookError


def run(folder: str) -> int:
    """Write both schemas into the folder."""
    say(f"written: {', '.join(write_schemas(Path(folder)))}")
    return 0


def write_schemas(folder: Path) -> list[str]:
    """Write the schemas into a folder, made where it is missing; the paths written."""
    from caskbook.model.json_schema import schema_texts

    try:
        folder.mkdir(parents=True, exist_ok=True)
        with outcome.whole():
            for name, text in schema_texts().items():
                (folder / name).write_text(text, encoding="utf-8", newline="\n")
                outcome.note([str(folder / name)])
    except OSError as error:
        raise CaskbookError(f"cannot write into {folder}: {error.strerror}") from None
    return [str(folder / name) for name in schema_texts()]
