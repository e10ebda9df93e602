"""How many staves of a cask are the first ones: a count that does not fit, and staves that come and go when it is raised again, make it unknown."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class FirstStaves:
    """First staves among those there are. `of`: how many the share is of, None where nobody counted; `strange`: how many of these came in when it was
    raised; `stood`: how many there were when it was last put up or counted; `gone`: the numbers of those replaced since; `lost`: nobody can tell any more;
    `taken_down`: it was knocked down since it came.

    Each `now` is how many staves the book has of it before the entry, each `count` what the entry says."""

    of: int | None = None
    strange: int = 0
    gone: frozenset[int] = frozenset()
    stood: int | None = None
    lost: bool = False
    taken_down: bool = False

    @property
    def kept(self) -> int | None:
        """How many first ones are left; None where that is unknown."""
        return None if self.of is None or self.lost else max(0, self.of - self.strange - len(self.gone))

    @property
    def share(self) -> str | None:
        """ "30/31"; None where that is unknown."""
        return None if self.kept is None else f"{self.kept}/{self.of}"

    def replaced(self, number: int) -> FirstStaves:
        """A stave goes out: where strange ones are among them, it may have been one of these."""
        return replace(self, gone=self.gone | {number}, lost=self.lost or self.strange > 0)

    def counted(self, count: int, now: int | None) -> FirstStaves:
        """Counted without any work: of another number than the book's one of the two is wrong, or work was not entered."""
        if now is None:
            return replace(self, of=count, stood=count)
        return self if count == now else replace(self, stood=count, lost=True)

    def knocked_down(self, count: int | None, now: int | None) -> FirstStaves:
        """Taken down into so many staves, or into as many as there were: what is less went then, more is another count."""
        down = replace(self, taken_down=True)
        if count is None:
            return down
        return down.counted(count, now) if now is None or count >= now else down._put_up(count, now)

    def raised(self, count: int | None, now: int | None) -> FirstStaves:
        """Put up again from a bundle: with fewer staves some are left, with more some are strange. Of a bundle that was taken down here and never
        counted nobody knows which; one that came as a bundle has its first staves when it is put up."""
        if count is None or count == now:
            return self
        if now is None:
            return replace(self, stood=count, lost=True) if self.taken_down else replace(self, of=count, stood=count)
        return self._put_up(count, now, strange=max(0, count - now))

    def _put_up(self, count: int, now: int, strange: int = 0) -> FirstStaves:
        """Which of them went, or which the others lie beside, nobody knows: only where all were first ones it can be told."""
        told = replace(self, stood=count)
        return replace(told, of=count, strange=strange, gone=frozenset()) if self.kept == now else replace(told, lost=True)
