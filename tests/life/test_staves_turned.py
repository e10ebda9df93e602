"""What an entry that replaces staves takes out and puts in, by hand."""

from __future__ import annotations

import pytest

from caskbook.life.staves_turned import turned

NONE, OF_5 = frozenset[int](), frozenset({5})


@pytest.mark.parametrize(("staves", "seconds", "had", "after", "out", "put", "left"), [
    ([5], NONE, 30, None, (5,), (1,), NONE),
    ([5], NONE, 30, 31, (5,), (2,), OF_5),  # two for one
    ([5, "5b"], NONE, 30, 31, (5,), (2,), OF_5),  # the same, as it may be written too
    (["stave-5a", "5b", 5], NONE, 30, None, (5,), (2,), OF_5),
    ([5, "5b"], OF_5, 31, None, (5, 5), (1, 1), OF_5),  # both of them again
    ([5, "5b"], OF_5, 31, 30, (5, 5), (1, 0), NONE),  # one for the two
    ([5], OF_5, 31, None, (5,), (1,), OF_5),
    (["5b"], OF_5, 31, None, (5,), (1,), OF_5),
    (["5b"], NONE, 31, None, (5,), (1,), OF_5),  # nobody said when it came in
    ([5, 6], NONE, 30, 29, (5, 6), (1, 0), NONE),  # one for two
    ([5, 6], NONE, None, 29, (5, 6), (1, 1), NONE),  # of how many is not known
    ([5, 9, 13], NONE, 30, 33, (5, 9, 13), (2, 2, 2), frozenset({5, 9, 13})),
    ([5], NONE, 30, 20, (5,), (0,), NONE),
])  # fmt: skip
def test_staves_go_out_and_come_in(
    staves: list[str | int], seconds: frozenset[int], had: int | None, after: int | None, out: tuple[int, ...], put: tuple[int, ...], left: frozenset[int]
) -> None:
    found = turned(staves, seconds, had, after)
    assert found == (out, put, left) and found.wood == sum(put)
    assert found.broad == ({(5, 6)} if staves == [5, 6] and had else set())
