"""The words of a verdict: which comes first in a list, and the letter that stands for it where there is room for one."""

RANK = {"due": 0, "blocked": 0, "soon": 1, "at-emptying": 2, "unknown": 3, "ok": 4}
LETTER = {"due": "d", "blocked": "b", "soon": "s", "at-emptying": "e", "unknown": "u", "ok": "o"}
OF_LETTER = {letter: word for word, letter in LETTER.items()}


def chosen_verdicts(*, soon: bool = False, unknown: bool = False, every: bool = False) -> set[str]:
    """Which verdicts a list shows: due and blocked always, others where they are wanted."""
    if every:
        return set(RANK)
    words = {"due", "blocked"}
    words |= {"soon", "at-emptying"} if soon else set()
    return words | ({"unknown"} if unknown else set())
