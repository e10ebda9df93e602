"""Reading what was typed for a field: units, words, places, days, lists, in the terms of the house and of the cask."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from caskbook.core.days import DayError, add_days, parse_input_day
from caskbook.entry import shorthand
from caskbook.entry.bench_words import nose_fault, read_hoop, unknown_hint
from caskbook.entry.casks import read_casks
from caskbook.entry.fields import LISTS, JobField
from caskbook.entry.terms import Terms, TypedError, cask_id, number, place, quantity, slug, spirit, split, when
from caskbook.gauging.units import UnitError, likely_slip, plain_number
from caskbook.ledger.paths import is_utf8
from caskbook.model.jobs.cask_head import CORRECTED_TO_UNKNOWN, NAMES
from caskbook.model.places import PlaceError
from caskbook.words import AmbiguousWord, UnknownWord, canonical, fold

# Where nothing is an answer of its own, and not that nobody answers.
_NONE_UNCLEAR = {"prior": "`virgin` where it never held anything", "charred": "`never` where it was never charred"}
# No names of `NAMES`, and no words of what else nobody may know.
_NOBODY = ("", "unknown", "notknown", "nobody", "na", "nk")


def read_field(one: JobField, texts: Sequence[str], terms: Terms) -> Any:
    """The value of a field from its typed texts (more than one where the option was repeated). TypedError otherwise.

    None means that the field is left out: it was given as an empty text or as `none`.
    """
    text = texts[-1].strip()
    joined = "; ".join(texts)
    if text in ("", "none") and len(texts) == 1:
        if text and one.kind in _NONE_UNCLEAR:
            raise TypedError(f"{one.option}: none may mean two things: {_NONE_UNCLEAR[one.kind]}; where nobody knows, leave it out")
        return None
    if len(texts) > 1 and one.kind in LISTS and (whole := next((one_ for one_ in texts if one_.strip()[:1] in ("[", "{")), None)):
        raise TypedError(f"{one.option}: {whole[:30]} is a whole list in brackets: expected alone, and the rest in it")
    if text[:1] in "[{" and one.kind not in ("text", "choice"):
        return _from_yaml(one, text)
    if one.job == "correct" and one.key in CORRECTED_TO_UNKNOWN and len(texts) == 1 and _nobody_knows(text):
        return CORRECTED_TO_UNKNOWN[one.key]
    try:
        return READERS[one.kind](one, joined if one.kind in LISTS else text, terms)
    except UnknownWord as error:
        raise TypedError(f"{one.option}: {error}{unknown_hint(error)}") from None
    except (UnitError, DayError, PlaceError, AmbiguousWord, TypedError) as error:
        raise TypedError(f"{one.option}: {error}") from None


def _nobody_knows(text: str) -> bool:
    return fold("".join(sign for sign in text if sign.isalnum())) in _NOBODY


def _from_yaml(one: JobField, text: str) -> Any:
    from caskbook.yaml.source import Source
    from caskbook.yaml.text import read_yaml

    reading = read_yaml(Source.from_bytes(one.option, f"value: {text}\n".encode()))
    if reading.findings or not isinstance(reading.data, dict):
        why = reading.findings[0].message if reading.findings else "no value"
        raise TypedError(f"{one.option}: {why}")
    return reading.data["value"]


def _quantity(one: JobField, text: str, terms: Terms) -> float:
    """The typed figure in the field's own unit. TypedError outside what is possible; outside what is usual it is a doubt in `terms`."""
    assert one.quantity
    found = quantity(text, one.quantity, terms)
    value, converted = found.value, found.echo if found.unit else None
    low, high = one.plausible or (None, None)
    least, most = one.hard
    shown = converted or f"{plain_number(value)} {one.unit}"
    # Who typed another unit did not leave it out.
    slip = likely_slip(one.quantity, value, *_range(one)) if not converted and (one.plausible or most is not None) else None
    if (least is not None and value < least) or (most is not None and value > most):
        bounds = f"{_plain(least)} to {_plain(most)}" if most is not None else f"at least {_plain(least)}"
        raise TypedError(f"{shown} cannot be: {bounds} {one.unit}" + (f"; {slip}" if slip else ""))
    if low is not None and high is not None and not low <= value <= high:
        terms.doubts.append((one.key, f"{shown}: {_plain(low)} to {_plain(high)} is usual" + (f"; {slip}" if slip else "")))
    return value


def _range(one: JobField) -> tuple[float, float]:
    if one.plausible:
        return one.plausible
    return one.hard[0] or 0.0, one.hard[1] or 1e7


def _plain(value: float | None) -> str:
    return "" if value is None else f"{value:g}"


def _fraction(one: JobField, text: str, terms: Terms) -> float:
    value = number(text, "fraction", terms)
    if value > 1:
        raise TypedError(f"{plain_number(value)} is more than the whole: a part of one, as 1/3 or 30%")
    return value


def _whole_number(one: JobField, text: str, terms: Terms) -> int:
    if not re.fullmatch(r"[0-9]{1,4}", text):
        raise TypedError(f"'{text[:30]}' is no whole number")
    value = int(text)
    low, high = one.hard
    if (low is not None and value < low) or (high is not None and value > high):
        raise TypedError(f"{value} cannot be: {_plain(low)} to {_plain(high)}")
    return value


def _integers(one: JobField, text: str, terms: Terms) -> list[int]:
    return [_whole_number(JobField(one.job, one.key, "int", False, ""), part, terms) for part in split(text)]


def _choice(one: JobField, text: str, terms: Terms) -> Any:
    word = choose(one, text)
    return int(word) if one.key == "level" and word.isdecimal() else word


def choose(one: JobField, text: str) -> str:
    """The word of a closed list, synonyms and near spellings taken into account."""
    if one.vocabulary:
        word = canonical(one.vocabulary, text)
        if word in one.words:
            return word
    spellings = {fold(word): word for word in one.words}
    if fold(text) in spellings:
        return spellings[fold(text)]
    begun = [word for word in one.words if len(text) > 1 and word.startswith(text.casefold())]
    if len(begun) == 1:
        return begun[0]
    import difflib  # It is slow to load, and wanted only for a word that is not known.

    near = difflib.get_close_matches(text.casefold()[:40], one.words, 1, 0.7)
    hint = f": did you mean {near[0]}?" if near else f": one of {', '.join(one.words)}"
    raise TypedError(f"'{text[:30]}' is none of its words{hint}")


def _texts(one: JobField, text: str, terms: Terms) -> list[str]:
    """By semicolons where there is one, for a comma may belong to the text."""
    return [part.strip() for part in text.split(";") if part.strip()] if ";" in text else split(text)


def _wine(one: JobField, text: str, terms: Terms) -> str:
    try:
        return canonical("wine", text, terms.settings.wine_words)
    except UnknownWord as error:
        if error.nearest:
            raise
        return slug(text)


def _nose_faults(one: JobField, text: str, terms: Terms) -> list[str]:
    return [nose_fault(part) for part in split(text)]


def _wood(one: JobField, text: str, terms: Terms) -> str:
    try:
        word = canonical("wood", text)
    except UnknownWord:
        return text
    return text if word == "other" else word


def _place(one: JobField, text: str, terms: Terms) -> str:
    return place(text, terms)


def _places(one: JobField, text: str, terms: Terms) -> list[str]:
    return [place(part, terms) for part in split(text)]


def _hoop_list(one: JobField, text: str, terms: Terms) -> list[str] | None:
    return None if fold(text) in ("all", "both") else [address for part in split(text) for address in read_hoop(part, terms)]


def _stave(one: JobField, text: str, terms: Terms) -> int | str:
    found = re.fullmatch(r"(?:stave[\s-]?)?([1-9][0-9]{0,2})([a-c]?)", text.strip().casefold())
    if not found:
        raise TypedError(f"'{text[:30]}' is no stave: its number, 14, or 14b for the second of two")
    return f"{found[1]}{found[2]}" if found[2] else int(found[1])


def _staves(one: JobField, text: str, terms: Terms) -> list[int | str]:
    return [_stave(one, part, terms) for part in split(text)]


def _head(one: JobField, text: str, terms: Terms) -> str:
    return canonical("head", text)


def _heads(one: JobField, text: str, terms: Terms) -> list[str]:
    if fold(text) in ("both", "all", "ab"):
        return ["A", "B"]
    return [canonical("head", part) for part in split(text)]


def _day(one: JobField, text: str, terms: Terms) -> date:
    ahead = re.fullmatch(r"\+([0-9]{1,4})", text)
    return add_days(terms.day, int(ahead[1])) if ahead else parse_input_day(text, terms.day)


def _days(one: JobField, text: str, terms: Terms) -> list[date]:
    return [_day(one, part, terms) for part in split(text)]


def _oak(one: JobField, text: str, terms: Terms) -> date | str:
    return "unknown" if fold(text) == "unknown" else _day(one, text, terms)


def _charred(one: JobField, text: str, terms: Terms) -> Any:
    return fold(text) if fold(text) in ("unknown", "never") else when(text)


def _casks(one: JobField, text: str, terms: Terms) -> list[str]:
    return read_casks(text.replace(";", " ").split())


def _source(one: JobField, text: str, terms: Terms) -> str:
    words = ("new", "reused") if one.job == "hoop" else ("new", "unknown")
    return fold(text) if fold(text) in words else cask_id(text)


def _event(one: JobField, text: str, terms: Terms) -> str:
    return terms.event(text)


def _answers(one: JobField, text: str, terms: Terms) -> list[str]:
    return [answer for part in split(text) for answer in terms.defect(part)]


def _text(one: JobField, text: str, terms: Terms) -> str:
    """One line of text, as it was typed; what says that nobody knows a name is a doubt. TypedError for others."""
    if not is_utf8(text):
        raise TypedError("not UTF-8: type it again")
    if any(not sign.isprintable() and sign != "\u00a0" for sign in text):
        raise TypedError("keep it to one line, without control characters")
    if len(text) > 2000:
        raise TypedError(f"{len(text)} characters are too many for one line: at most 2000")
    if one.key in NAMES and _nobody_knows(text):
        terms.doubts.append((one.key, f"{text} would be a name like any other; where nobody knows, leave it out"))
    return text


def _flag(one: JobField, text: str, terms: Terms) -> bool | None:
    """Yes, or what says nothing; any other word is refused, for a sheet's cell may hold whatever was meant."""
    if fold(text) in ("yes", "y", "true", "1"):
        return True
    if fold(text) in ("no", "n", "false", "0", ""):
        return None
    raise TypedError(f"'{text[:30]}' is neither yes nor no")


def _refused(one: JobField, text: str, terms: Terms) -> Any:
    raise TypedError("is worked out, or written as a list in brackets")


def _small(name: str) -> Callable[[JobField, str, Terms], Any]:
    reader = getattr(shorthand, name)
    return lambda one, text, terms: reader(text, terms)


READERS: Mapping[str, Callable[[JobField, str, Terms], Any]] = {
    "quantity": _quantity, "fraction": _fraction, "int": _whole_number, "ints": _integers, "choice": _choice, "texts": _texts,
    "word": lambda one, text, terms: spirit(text, terms.settings) if one.key == "spirit" else slug(text), "wine": _wine, "nose_faults": _nose_faults, "wood": _wood, "place": _place,
    "places": _places, "hoops": _hoop_list, "stave": _stave, "staves": _staves, "head": _head, "heads": _heads, "day": _day, "days": _days,
    "oak": _oak, "when": lambda one, text, terms: when(text), "charred": _charred, "cask": lambda one, text, terms: cask_id(text),
    "casks": _casks, "source": _source, "event": _event, "answers": _answers, "text": _text, "flag": _flag, "yaml": _refused,
    "findings": _small("findings"), "leaks": _small("leaks"), "parents": _small("parents"), "prior": _small("prior"),
    "dims": _small("dims"), "racked": _small("racked"),
}  # fmt: skip
