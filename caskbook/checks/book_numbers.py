"""The numbers that a book has files of, told by the names of these files: of a large book no second text of each number is kept."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from caskbook.model.cask_file import name_of


@dataclass(frozen=True, slots=True)
class BookNumbers:
    """`names`: the files of a book; `odd`: the numbers of those that lie in another folder than theirs."""

    names: frozenset[str]
    odd: frozenset[str]

    @classmethod
    def of(cls, names: Iterable[str]) -> BookNumbers:
        """The numbers of these files."""
        every = frozenset(names)
        return cls(every, frozenset(number for name in every if _usual_place(number := name_of(name)) != name))

    def __contains__(self, number: str) -> bool:
        return _usual_place(number) in self.names or number in self.odd


def _usual_place(number: str) -> str:
    return f"casks/{number[:-3]}/{number}.yaml"
