"""What each code means, read from the docstrings of the rules: what, why, a wrong example and a right one."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import FunctionType, ModuleType
from typing import Literal

from caskbook.checks.registry import modules, severities
from caskbook.core.finding import Severity
from caskbook.core.own_texts import need_texts

_TITLE = re.compile(r"([a-z0-9]+(?:-[a-z0-9]+)+): (\S.*)")
_PART = re.compile(r"(Why|Also|Wrong|Right):(?: (.*))?")


@dataclass(frozen=True, slots=True)
class Explanation:
    """One code explained. `wrong` and `right` are YAML, run by a test; `also`: codes that the wrong example may give beside it."""

    code: str
    severity: Severity
    what: str
    why: str
    wrong: str
    right: str
    also: tuple[str, ...] = ()


class _Lazy(Mapping[str, Explanation]):
    """The docstrings are read when the first code is asked for: a check needs none of them."""

    def __getitem__(self, code: str) -> Explanation:
        return _all()[code]

    def __iter__(self) -> Iterator[str]:
        return iter(_all())

    def __len__(self) -> int:
        return len(_all())


EXPLANATIONS: Mapping[str, Explanation] = _Lazy()


def explanation(code: str) -> Explanation | None:
    """What a code means; None for a word that is no code."""
    return EXPLANATIONS.get(code)


@cache
def _all() -> dict[str, Explanation]:
    need_texts()
    found: dict[str, Explanation] = {}
    for module in modules():
        for text in _texts(module):
            for one in read_sections(text):
                found[one.code] = one
    return dict(sorted(found.items()))


def _texts(module: ModuleType) -> Iterator[str]:
    yield module.__doc__ or ""
    for thing in vars(module).values():
        if isinstance(thing, FunctionType) and thing.__module__ == module.__name__ and thing.__doc__:
            yield thing.__doc__


def read_sections(text: str) -> Iterator[Explanation]:
    """The explanations in a docstring: each begins with `code: what` at the margin."""
    code, what = "", ""
    parts: dict[str, list[str]] = {}
    part = ""
    for line in [*inspect.cleandoc(text).split("\n"), "the-end: ."]:
        title, heading = _TITLE.fullmatch(line), _PART.fullmatch(line)
        if title:
            if code:
                yield _explanation(code, what, parts)
            code, what = title.groups()
            parts, part = {}, "What"
        elif heading:
            part = heading[1]
            parts[part] = [heading[2]] if heading[2] else []
        elif code and (line.startswith("    ") or not line.strip() or part in ("Why", "What")):
            parts.setdefault(part, []).append(line)


def _explanation(code: str, what: str, parts: dict[str, list[str]]) -> Explanation:
    """One code's explanation out of the parts of its docstring, the examples without their margin."""

    def prose(name: Literal["What", "Why"]) -> str:
        return " ".join(" ".join(parts.get(name, [])).split())

    def example(name: Literal["Wrong", "Right"]) -> str:
        lines = [line[4:] for line in parts.get(name, [])]
        while lines and not lines[-1].strip():
            lines.pop()
        return "".join(line + "\n" for line in lines)

    what = f"{what} {prose('What')}".strip()
    also = tuple(" ".join(parts.get("Also", [])).replace(",", " ").split())
    return Explanation(code, severities()[code], what[:1].upper() + what[1:], prose("Why"), example("Wrong"), example("Right"), also)
