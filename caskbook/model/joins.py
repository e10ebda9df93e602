"""Numbers that `same-as` makes one cask: which really are, once rings, a number joined to itself and one that two files claim are left out."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from caskbook.model.halves import PUT_OUT, SHARED, TOLD

GIVEN, TAKEN, HELD = ">", "<", "-"
"""With one of these begins what a file says of a move (`bonds_of`); a number begins with none."""
_SIGNS = (GIVEN, TAKEN, HELD, TOLD, PUT_OUT)
JOINING = "same-as"
BOND_WORDS = (JOINING.encode(), b"moved", *(job.encode() for job in SHARED))
"""A file that holds none of these says nothing of another one."""
Claims = Mapping[str, Sequence[str]]
"""File → what it says of itself and others: the numbers it says it is, moves, and its sides of work that two files tell."""
Claimants = Mapping[str, Collection[str]]
NOBODY: Claimants = {}


def is_number(bond: str) -> bool:
    """Whether what a file says is a number that is the same cask, and neither a move nor a side of work that two files tell."""
    return bond[:1] not in _SIGNS


def named(bond: str) -> str:
    """The other number that what a file says is about."""
    return bond if is_number(bond) else bond[1:].partition("/")[0]


def lawful(claims: Claims, elsewhere: Claimants = NOBODY) -> dict[str, list[str]]:
    """File that goes on → numbers it takes over. A claim that leads back to the file that makes it, by whatever way, joins nothing;
    nor does any claim to a number that another file claims too, for nobody can know whose history it is. `elsewhere`: number →
    files that claim it, where `claims` has but some of the files; of those that it has, what it says counts."""
    found = rivals(claims, elsewhere)
    return {
        cask: kept for cask, others in claims.items()
        if (kept := [one for one in others if is_number(one) and len(found.get(one, ())) < 2 and not leads_to(one, cask, claims)])
    }  # fmt: skip


def rivals(claims: Claims, elsewhere: Claimants = NOBODY) -> dict[str, set[str]]:
    """Number that one of these files claims → all files that do, those `elsewhere` too."""
    return {number: files | (set(elsewhere.get(number, ())) - claims.keys()) for number, files in claimants(claims).items()}


def claimants(claims: Claims) -> dict[str, set[str]]:
    """Number → files that say it is theirs; what a file says of itself is no claim."""
    found: dict[str, set[str]] = {}
    for cask, others in claims.items():
        for one in others:
            if one != cask and is_number(one):
                found.setdefault(one, set()).add(cask)
    return found


def bound_to(numbers: Collection[str], *books: Claimants) -> set[str]:
    """These numbers and all that a claim binds to one of them in any of the books (number → files that claim it), by whatever way and
    whether it holds or not: what one of them says may decide for each."""
    bonds: dict[str, set[str]] = {}
    for book in books:
        for number, files in book.items():
            for file in files:
                bonds.setdefault(number, set()).add(file)
                bonds.setdefault(file, set()).add(number)
    found, todo = set(numbers), list(numbers)
    while todo:
        new = bonds.get(todo.pop(), set()) - found
        found |= new
        todo += new
    return found


def leads_to(start: str, goal: str, claims: Claims) -> bool:
    """Whether `start` is the number `goal`, or takes it over, directly or by way of others."""
    seen: set[str] = set()
    todo = [start]
    while todo:
        one = todo.pop()
        if one == goal:
            return True
        if one not in seen:
            seen.add(one)
            todo.extend(claims.get(one, ()))
    return False


def taken_over(cask: str, kept: Claims) -> list[str]:
    """The numbers that a file takes over by lawful claims, those that they took over too."""
    numbers: list[str] = []
    todo = list(kept.get(cask, ()))
    while todo:
        number = todo.pop(0)
        if number not in numbers:
            numbers.append(number)
            todo += kept.get(number, ())
    return numbers


def goes_on(claims: Iterable[tuple[str, Sequence[str]]]) -> dict[str, str]:
    """Number that was joined → number that goes on at the end of its chain. `claims`: (file, numbers it says it is)."""
    kept = lawful(dict(claims))
    next_one = {other: cask for cask, others in kept.items() for other in others}
    return {other: _last(other, next_one) for other in next_one}


def one_cask(claimed: Claimants) -> dict[str, tuple[str, ...]]:
    """Number of a joined cask → all its numbers, the one that goes on first. `claimed`: number → files that claim it."""
    claims: dict[str, list[str]] = {}
    for other, files in claimed.items():
        for cask in sorted(files):
            claims.setdefault(cask, []).append(other)
    kept, found = lawful(claims), {}
    for cask in set(goes_on(claims.items()).values()):
        numbers = (cask, *taken_over(cask, kept))
        found.update(dict.fromkeys(numbers, numbers))
    return found


def _last(start: str, next_one: Mapping[str, str]) -> str:
    """Ends, for no lawful claim leads back."""
    at = start
    while at in next_one:
        at = next_one[at]
    return at
