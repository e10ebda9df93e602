"""The file name of a photograph: a text that stays below the ledger. Nothing here, and nothing else, opens or follows it."""

from __future__ import annotations

import re
from typing import Annotated

from pydantic import AfterValidator, WithJsonSchema

from caskbook.model.typed import OfType

_PATTERN = r"^(?!~)(?!.*(^|/)\.{0,2}(/|$))[^\\:\u0000-\u001f\u007f]{1,255}$"
_NAME = re.compile(_PATTERN)


def photo_name(text: str) -> str:
    """The name as it stands. ValueError for a path that is absolute, or leads out of the ledger on any system."""
    if _NAME.fullmatch(text) is None or not text.isprintable():
        raise ValueError("write a file name, or a path below the ledger, as photos/IMG_0412.jpg: no .., no drive, nothing absolute")
    return text


Photo = Annotated[str, AfterValidator(photo_name), OfType("text"), WithJsonSchema({"type": "string", "pattern": _PATTERN, "maxLength": 255})]
