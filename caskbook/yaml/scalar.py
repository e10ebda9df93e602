"""What a plain YAML word means: to the YAML 1.2 reader whose answer counts, and whether other readers take it otherwise."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

Plain = str | int | float | bool | date | None

LARGEST = 2**63 - 1

_NULL = re.compile(r"~|null|Null|NULL|")
_TRUE = re.compile(r"true|True|TRUE")
_FALSE = re.compile(r"false|False|FALSE")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TIME = re.compile(
    r"[0-9]{4}-[0-9][0-9]?-[0-9][0-9]?(?:[Tt]|[ \t]+)[0-9][0-9]?:[0-9]{2}:[0-9]{2}(?:\.[0-9]*)?"
    r"(?:[ \t]*(?:Z|[-+][0-9][0-9]?(?::?[0-9][0-9])?))?"
)
_NOT_A_NUMBER = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")

# Words are read as ruamel.yaml resolves YAML 1.2: wider than the core schema, and that width is what is reported as read two ways.
_FLOAT = re.compile(r"[-+]?[0-9][0-9_]*\.[0-9_]*(?:[eE][-+]?[0-9]+)?|[-+]?[0-9][0-9_]*[eE][-+]?[0-9]+|[-+]?\.[0-9_]+(?:[eE][-+][0-9]+)?")
_INT = re.compile(r"[-+]?0b[0-1_]+|[-+]?0o?[0-7_]+|[-+]?[0-9_]+|[-+]?0x[0-9a-fA-F_]+")

# On these numbers the core schema of YAML 1.2, ruamel.yaml and YAML 1.1 agree.
_SAFE_INT = re.compile(r"[-+]?(?:0|[1-9][0-9]*)|0x[0-9a-fA-F]+")
_SAFE_FLOAT = re.compile(r"[-+]?[0-9]+\.[0-9]*(?:[eE][-+][0-9]+)?|\.[0-9]+(?:[eE][-+][0-9]+)?")

# This is a number to the core schema that ruamel.yaml leaves a word.
_CORE_FLOAT = re.compile(r"[-+]?\.[0-9]+[eE][0-9]+")

# These words of YAML 1.1 are none in 1.2; the grammar names y and n, though few readers take them.
_WORD_11 = re.compile(
    r"y|Y|n|N|yes|Yes|YES|no|No|NO|on|On|ON|off|Off|OFF|=|<<"
    r"|[-+]?[1-9][0-9_]*(?::[0-5]?[0-9])+|[-+]?[0-9][0-9_]*(?::[0-5]?[0-9])+\.[0-9_]*"
)


# This is the one spelling of a number in a book; any other is told, and what stands there is unknown.
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?")
_OCTAL = re.compile(r"[-+]?0[0-7_]*[0-7]")


@dataclass(frozen=True, slots=True)
class Meaning:
    """A plain word's value under YAML 1.2; `fault` is a finding code where it has none; `doubtful` = read two ways."""

    value: Plain
    fault: str = ""
    doubtful: bool = False


@lru_cache(maxsize=8192)
def meaning(word: str) -> Meaning:
    """The meaning of a plain scalar."""
    if not word or word[0] in "~nNtTfF":
        if _NULL.fullmatch(word):
            return Meaning(None)
        if _TRUE.fullmatch(word):
            return Meaning(True)
        if _FALSE.fullmatch(word):
            return Meaning(False)
    if word[0] in "-+.0123456789":
        found = _number_or_date(word)
        if found is not None:
            return found
    return Meaning(word, doubtful=bool(_WORD_11.fullmatch(word) or _CORE_FLOAT.fullmatch(word)))


def _number_or_date(word: str) -> Meaning | None:
    if _DATE.fullmatch(word):
        return _date(word)
    if _TIME.fullmatch(word):
        return Meaning(None, "time-of-day")
    if _NOT_A_NUMBER.fullmatch(word):
        return Meaning(None, "not-a-number")
    found = _float(word) if _FLOAT.fullmatch(word) else _int(word) if _INT.fullmatch(word) else None
    if found is not None and _PLAIN_NUMBER.fullmatch(word) is None and not isinstance(found.value, str):
        return found if found.fault else Meaning(None, "not-a-number", doubtful=found.doubtful)
    return found


def _date(word: str) -> Meaning:
    try:
        return Meaning(date.fromisoformat(word))
    except ValueError:
        return Meaning(None, "date-impossible")


def _float(word: str) -> Meaning:
    try:
        value = float(word.replace("_", ""))
    except ValueError:  # "._" looks like a number and is none.
        return Meaning(word, doubtful=True)
    if math.isinf(value):
        return Meaning(None, "number-too-large")
    return Meaning(value, doubtful=_SAFE_FLOAT.fullmatch(word) is None)


def _int(word: str) -> Meaning:
    digits = word.replace("_", "")
    sign = -1 if digits.startswith("-") else 1
    digits = digits.lstrip("+-")
    base = {"0b": 2, "0o": 8, "0x": 16}.get(digits[:2].lower(), 10)
    digits = digits if base == 10 else digits[2:]
    if not digits:  # "-_" looks like a number and is none.
        return Meaning(word, doubtful=True)
    if len(digits) > 400 or int(digits, base) > LARGEST:
        return Meaning(None, "number-too-large")
    return Meaning(sign * int(digits, base), doubtful=_SAFE_INT.fullmatch(word) is None)


def doubt(word: str) -> tuple[str, str]:
    """A word that is read two ways: how it is taken here, and how another reader may take it, in a few words each."""
    value = meaning(word).value
    here = "a word" if isinstance(value, str) else f"{value:.12g}" if isinstance(value, float) else f"{value}"
    if word.lower() in ("y", "yes", "on"):
        return here, "true"
    if word.lower() in ("n", "no", "off"):
        return here, "false"
    if ":" in word:
        return here, "a number of base 60"
    if _OCTAL.fullmatch(word):
        octal = str(int(word.replace("_", ""), 8))
        return here, octal if octal != here else "a word"
    return here, "a number or sign" if isinstance(value, str) else "a word"
