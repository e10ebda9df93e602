"""Which events stand: voids, replacements and moves read again, by plain recursion."""

from __future__ import annotations

from typing import Any

Event = dict[str, Any]


class Ties:
    """Who names whom among the events of one file."""

    def __init__(self, events: list[Event]) -> None:
        self.by_id = {event["id"]: event for event in events}
        self.known: dict[str, bool] = {}
        self.names = {event["id"]: self._named(event) for event in events}
        self.rings = {e for e in self.by_id if self._comes_back(e)}
        self.strikes = {event["id"]: self.struck(event) for event in self.by_id.values() if event["id"] not in self.rings}

    def _named(self, event: Event) -> list[str]:
        """What the event names itself: by void, move or replacement."""
        names = [event["of"]] if event["job"] in ("void", "moved") else []
        names += [event["replaces"]] if event.get("replaces") else []
        return [name for name in names if name in self.by_id and name != event["id"]]

    def _comes_back(self, start: str) -> bool:
        seen: set[str] = set()
        ahead = list(self.names[start])
        if start in [self.by_id[start].get("replaces"), self.by_id[start].get("of")]:
            return True
        while ahead:
            name = ahead.pop()
            if name == start:
                return True
            if name not in seen:
                seen.add(name)
                ahead += self.names[name]
        return False

    def struck(self, event: Event) -> list[str]:
        """All that the event puts out of force if it stands: a replacement or a move also what its target had replaced."""
        out = []
        for name in self.names[event["id"]]:
            out.append(name)
            target = self.by_id[name]
            if event["job"] != "void":
                while target.get("replaces") in self.by_id and target["replaces"] not in out:
                    target = self.by_id[target["replaces"]]
                    out.append(target["id"])
        return out

    def stands(self, name: str) -> bool:
        if name in self.rings:
            return False
        if name not in self.known:
            event = self.by_id[name]
            self.known[name] = not any(self.stands(e) for e, struck in self.strikes.items() if name in struck)
            target = event.get("replaces")
            if self.known[name] and target in self.by_id:
                rivals = [e["id"] for e in self.by_id.values() if e.get("replaces") == target and e["id"] > name]
                self.known[name] = not any(self.stands(rival) for rival in rivals)
        return self.known[name]


def standing(events: list[Event]) -> list[Event]:
    """The events that stand, in the order of (date, id)."""
    ties = Ties(events)
    return sorted((e for e in events if ties.stands(e["id"])), key=lambda e: (e["date"], e["id"]))
