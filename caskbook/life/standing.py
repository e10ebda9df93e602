"""Which events stand: voids, replacements and moved entries, whatever their dates; chains, cycles and lost targets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from caskbook.jobs import Event

_CORRECTORS = ("void", "moved")


@dataclass(slots=True)
class Corrections:
    """What the corrections of one file do.

    `fallen`: id → id of the event that put it out of force. `absent`, `cyclic`: correcting events whose target is not in
    the file, or that go round in a circle. `rivals`: replacements that lost against another of the same event, id → winner.
    """

    fallen: dict[str, str] = field(default_factory=dict)
    absent: list[str] = field(default_factory=list)
    cyclic: list[str] = field(default_factory=list)
    rivals: dict[str, str] = field(default_factory=dict)

    def stands(self, event: Event) -> bool:
        """Whether the event counts."""
        return event.id not in self.fallen


_NONE = Corrections()


def target_of(event: Event) -> str | None:
    """The event that this one puts out of force, if it is a correction."""
    if event.job in _CORRECTORS:
        return event.of and str(event.of)  # type: ignore[attr-defined]
    return event.replaces


def corrections(events: Sequence[Event]) -> Corrections:
    """Work out which events of a file stand. An event stands unless a standing correction names it.

    A replacement (or `moved`) also puts out of force what its target had replaced; of two standing replacements of one
    event the larger id counts; no member of a cycle counts.
    """
    for event in events:
        if event.replaces or event.job in _CORRECTORS:
            break
    else:
        return _NONE
    targets = {event.id: target for event in events if (target := target_of(event))}
    return _Resolver(events, targets).resolve()


class _Resolver:
    def __init__(self, events: Sequence[Event], targets: dict[str, str]) -> None:
        self.ids = [event.id for event in events]
        self.known = set(self.ids)
        self.targets = targets
        self.replaces = {event.id: event.replaces for event in events if event.replaces}
        self.chaining = {event.id for event in events if event.replaces or event.job == "moved"}
        self.out = Corrections()
        self.killers: dict[str, list[str]] = {}
        self.decided: dict[str, bool] = {}

    def resolve(self) -> Corrections:
        self.out.absent = [one for one, target in self.targets.items() if target not in self.known]
        self.out.cyclic = [one for one in self.targets if self._goes_round(one)]
        self._find_killers()
        for one in self.out.cyclic:
            self.decided[one] = False
            self.out.fallen[one] = self.targets[one]
        for one in self.ids:
            self._stands(one)
        self._name_rivals()
        return self.out

    def _goes_round(self, start: str) -> bool:
        seen: set[str] = set()
        at: str | None = start
        while at in self.targets and at not in seen:
            seen.add(at)
            at = self.targets[at]
            if at == start:
                return True
        return False

    def _find_killers(self) -> None:
        for one, target in self.targets.items():
            if one in self.out.cyclic or target not in self.known:
                continue
            self.killers.setdefault(target, []).append(one)
            if one in self.chaining:
                for earlier in self._chain_below(target):
                    self.killers.setdefault(earlier, []).append(one)
        for first, second in self._rival_pairs():
            self.killers.setdefault(first, []).append(second)

    def _chain_below(self, start: str) -> list[str]:
        chain: list[str] = []
        at = self.replaces.get(start)
        while at in self.known and at not in chain and at not in self.out.cyclic:
            chain.append(at)
            at = self.replaces.get(at)
        return chain

    def _rival_pairs(self) -> list[tuple[str, str]]:
        by_target: dict[str, list[str]] = {}
        for one, target in self.replaces.items():
            if one not in self.out.cyclic:
                by_target.setdefault(target, []).append(one)
        return [(small, large) for group in by_target.values() for small in group for large in group if small < large]

    def _stands(self, one: str) -> bool:
        """Depth first, without recursion so that a chain of thousands of corrections is read too."""
        todo = [one]
        on_path: set[str] = set()
        while todo:
            at = todo[-1]
            if at in self.decided:
                todo.pop()
                continue
            on_path.add(at)
            open_ones = [k for k in self.killers.get(at, ()) if k not in self.decided and k not in on_path]
            if open_ones:
                todo.extend(open_ones)
                continue
            killer = next((k for k in sorted(self.killers.get(at, ()), reverse=True) if self.decided.get(k)), None)
            self.decided[at] = killer is None
            if killer is not None:
                self.out.fallen[at] = killer
            todo.pop()
        return self.decided[one]

    def _name_rivals(self) -> None:
        for small, large in self._rival_pairs():
            if self.decided.get(large) and self.out.fallen.get(small) == large:
                self.out.rivals[small] = large
