"""The life of a cask folded a second time, from the contract alone: nothing of caskbook is used here."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from second.corrections import standing
from second.parts import holds

Event = dict[str, Any]
YEAR = 365.2425
WINES = {
    "wine", "sherry", "oloroso", "fino", "amontillado", "pedro-ximenez", "port", "madeira", "marsala", "moscatel", "sauternes", "vermouth",
}  # fmt: skip
QUIET = {"note", "void", "moved", "move", "mark", "same-as", "correct"}
STRUCTURAL = {"stave", "head", "flag", "open", "close", "shave", "toast", "char", "convert"}
ARRIVALS = {"receive", "raise", "made-from"}
_NOBODY_KNOWS = ("owner", "parcel", "supplier", "maker", "wood", "was", "prior")


def day_of(text: str) -> date:
    return date.fromisoformat(text)


def later(start: date, years: int) -> date:
    """The same day `years` on; from 29 February to 1 March where there is none."""
    try:
        return start.replace(year=start.year + years)
    except ValueError:
        return date(start.year + years, 3, 1)


class Fold:
    """A cask event by event."""

    def __init__(self, head: dict[str, Any], house: dict[str, Any]) -> None:
        self.head, self.house = head, house
        self.alive = False
        self.contents, self.where, self.shook, self.gone = "empty", "here", False, False
        self.out: set[str] = set()
        self.marks: set[str] = set()
        self.berth: str | None = None
        self.stow: str | None = None
        self.spirit: str | None = None
        self.fills: list[dict[str, Any]] = []
        self.spans: list[list[Any]] = []
        self.oak: date | None = None
        self.step = 0
        self.steps: dict[str, int] = {}
        self.char: tuple[int, date] | None = None
        self.fire: tuple[int, date] | None = None
        self.chars = self.rechars = 0
        self.rechar_unknown = self.last_was_rechar = False
        self.child: dict[str, Any] | None = None
        self.capacity, self.stave_mm, self.soaked = head.get("capacity_l"), None, None
        self.staves, self.hoops, self.heads = head.get("staves"), head.get("hoops"), head.get("heads")
        # Of the staves that stand or lie in a bundle: so many first ones, None when that cannot be told; `share_of` is of how many.
        self.share_of, self.firsts, self.muddled = self.staves, self.staves, False
        self.out_since: set[str] = set()
        self.was_down = False
        self.bung_stave = 1
        self.staves_replaced: dict[str, int] = {}
        self.flagged: dict[str, int] = {}
        self.donors: set[str] = set()
        self.bung_replaced = self.hoops_replaced = self.heads_replaced = 0
        self.defects: list[dict[str, Any]] = []
        self.leaks: list[dict[str, Any]] = []
        self.treatments = 0
        self.proved = False
        self.last_test: dict[str, Any] | None = None
        self.passed: tuple[int, date] | None = None
        self.failed_last = False
        self.in_visit, self.needs = True, False  # a file without an arrival is read as whole, empty and here
        self.fails = 0
        self.hoop_waits = self.owed = False
        self.exam: dict[str, Any] | None = None
        self.emptied_unseen = False
        self.last_emptying = 0
        self.clean = -1
        self.nosed: tuple[str, date] | None = None
        self.nosed_at = 0
        self.gauged: tuple[int, date, float | None] | None = None
        self.filled_abv: float | None = None
        self.claim_by: date | None = None
        self.to_claim = self.final_taint = False
        self.taint_treatments = 0
        self.treated_since_nose = self.sulphured_since_nose = False
        before = None if head.get("prior") is None else [p["contents"] for p in head["prior"]]
        self.wined = True if before and any(map(self.is_wine, before)) else None if before is None or "unknown" in before else False
        self.held_here = False

    def is_wine(self, word: str) -> bool:
        return word in WINES or word in self.house.get("wine_words", [])

    # --- small steps that several jobs share

    def visit(self) -> None:
        self.in_visit, self.needs, self.fails, self.exam = True, False, 0, None

    def unprove(self) -> None:
        self.proved = False
        if self.in_visit:
            self.needs = True
        else:
            self.owed = True

    def end_spans(self, day: date) -> None:
        for thing in (*self.spans,):
            thing[2] = thing[2] or day
        for fill in self.fills:
            fill["end"] = fill["end"] or day

    def pour(self, e: Event, day: date, counts: bool = True, wood: bool = True, spirit: str | None = None) -> None:
        self.end_spans(day)
        if counts:
            self.fills.append({"step": self.step, "start": day, "end": None, "spirit": wood})
        if wood:
            self.spans.append([self.step, day, None])
        self.contents = "spirit" if wood else "wine"
        self.filled_abv = e.get("abv")
        self.held_here = True
        self.spirit = spirit
        self.in_visit = self.needs = False
        self.fails = 0
        self.emptied_unseen = False
        self.place(e)

    def place(self, e: Event) -> None:
        self.berth = e.get("berth") or self.berth
        self.stow = e.get("stow") or self.stow

    def drain(self, day: date) -> None:
        self.end_spans(day)
        self.contents, self.spirit, self.oak = "empty", None, None
        for leak in self.leaks:
            self.defects.append({"at": leak["at"], "defect": "leak", "severity": leak["severity"], "event": leak["event"]})
        self.leaks = []
        self.visit()
        self.emptied_unseen = True
        self.last_emptying = self.step
        if self.hoop_waits:
            self.unprove()
        self.needs = self.needs or (self.owed and not self.proved)
        self.hoop_waits = self.owed = False

    def answer_at(self, *places: str) -> None:
        self.answer(lambda d: any(holds(p, d["at"], self.staves, self.bung_stave) for p in places))

    def answer_named(self, e: Event) -> None:
        named = e.get("answers") or []
        for name in [named] if isinstance(named, str) else named:
            event, _, at = name.partition("/")
            self.answer(lambda d, event=event, at=at: d["event"] == event and (not at or d["at"] == at))

    def answer(self, meant: Callable[[dict[str, Any]], bool]) -> None:
        """Defects dealt with; an answer to the examination is what deals with a finding of it that is still open."""
        dealt = [d for d in self.defects if meant(d)]
        self.defects = [d for d in self.defects if not meant(d)]
        if self.exam and any(d["event"] == self.exam["id"] for d in dealt):
            self.exam["answered"] = self.step

    def close_leak(self, e: Event) -> None:
        if e.get("closes"):
            self.leaks = [leak for leak in self.leaks if leak["event"] != e["closes"]]

    def found(self, e: Event) -> list[dict[str, Any]]:
        return [{"at": f["at"], "defect": f["defect"], "severity": f.get("severity"), "event": e["id"]} for f in e.get("findings") or []]

    def claimable(self, is_so: bool, day: date) -> None:
        """Something found while it can be claimed."""
        self.to_claim = self.to_claim or (is_so and self.claim_by is not None and day <= self.claim_by)

    def verdict(self, e: Event) -> None:
        if e["verdict"] in ("hold", "reject"):
            self.marks.add({"hold": "held", "reject": "rejected"}[e["verdict"]])

    # --- one event

    def apply(self, e: Event) -> None:
        self.step += 1
        self.steps[e["id"]] = self.step
        if self.gone:
            return
        job, day = e["job"], day_of(e["date"])
        if job not in QUIET:
            self.alive = True
        self.answer_named(e)
        if job in STRUCTURAL:
            self.unprove()
        method = getattr(self, "do_" + job.replace("-", "_"), None)
        if method:
            method(e, day)

    def do_receive(self, e: Event, day: date) -> None:
        self.where = "here"
        self.claim_by = self.claim_by or (day_of(e["claim_by"]) if e.get("claim_by") else plus(day, 30))  # of joined numbers the first
        self.claimable(bool(e.get("findings")) or e["verdict"] == "reject", day)
        self.visit()
        self.in_visit = self.contents == "empty"  # of joined numbers one may be full when the other is received
        self.last_emptying = self.step
        self.verdict(e)
        self.defects += self.found(e)
        self.place(e)
        form = e.get("form")
        self.shook = form == "shook"
        self.out = {"A", "B"} if form == "open" else set()
        word = e.get("contents") or e.get("spirit")
        if word and word != "empty":
            spirit = e.get("spirit") or word
            wine = self.is_wine(spirit) or self.is_wine(word)
            self.wined = wine or self.wined
            if self.contents == ("wine" if wine else "spirit"):  # a joined number: it lies in it already, and is no fill more
                self.spirit, self.in_visit, self.needs, self.fails, self.emptied_unseen = spirit, False, False, 0, False
                return
            self.pour(e, day, wood=not wine, spirit=spirit)
            oak = e.get("oak_since")
            self.oak = day_of(oak) if oak and oak != "unknown" and not wine else None

    def do_raise(self, e: Event, day: date) -> None:
        count = e.get("staves")
        if not self.shook or (count and self.staves is None and not self.was_down):
            self.recount(count)
        elif count and self.staves is None:
            self.muddled = True
        elif count:
            self.rebundle(count)
        self.staves = count or self.staves
        self.shook, self.out = False, set()
        self.visit()
        self.unprove()

    def do_made_from(self, e: Event, day: date) -> None:
        given = e.get("inherited") or {}
        self.child = given
        self.shook, self.out = False, set()
        self.wined = self.wined or {"wine": True, "spirit": False, "none": False}.get(given.get("held", "unknown"))
        self.visit()
        self.unprove()
        self.last_emptying = self.step

    def leave(self, e: Event, day: date) -> None:
        self.end_spans(day)
        self.gone, self.berth, self.oak = True, None, None

    do_convert = do_break_up = do_dispose = leave

    def do_examine(self, e: Event, day: date) -> None:
        self.defects = self.found(e)
        self.claimable(bool(self.defects) or e["verdict"] == "reject", day)
        self.exam = {"id": e["id"], "day": day, "step": self.step, "verdict": e["verdict"], "answered": self.step, "findings": self.defects}
        self.emptied_unseen = False
        self.verdict(e)
        self.stave_mm = e.get("stave_mm", self.stave_mm)
        self.soaked = e.get("soaked", self.soaked)

    def do_nose(self, e: Event, day: date) -> None:
        self.nosed, self.nosed_at = (e["verdict"], day), self.step
        self.treated_since_nose = self.sulphured_since_nose = False
        if e["verdict"] == "clean":
            self.marks -= {"tainted", "sulphured"}
            self.clean, self.treatments, self.taint_treatments = self.step, 0, 0
            self.final_taint = False
        if e["verdict"] == "fault":
            self.marks |= {"tainted", "held"}
            self.claimable(True, day)
            self.final_taint = self.final_taint or self.taint_treatments >= 2

    def do_treat(self, e: Event, day: date) -> None:
        self.treatments += 1
        self.taint_treatments += e["for"] == "taint" and "tainted" in self.marks
        self.treated_since_nose = self.treated_since_nose or e["for"] == "taint"

    def do_test(self, e: Event, day: date) -> None:
        if e["result"] == "fail" or e.get("cured_by"):
            self.fails += self.in_visit
            self.needs = self.needs or self.in_visit
            self.proved, self.failed_last = False, True
            self.claimable(True, day)
        if e["result"] == "pass":
            self.proved, self.failed_last, self.passed = True, False, (self.step, day)
            if e.get("cured_by") == "drive":
                self.answer_at(*[leak["at"] for leak in e["leaks"]])
        self.last_test = {"date": day, "result": e["result"], "psi": e.get("psi")}

    def do_drive(self, e: Event, day: date) -> None:
        per_side = (self.hoops or 0) // 2 or 20
        every = [f"hoop-{head}-{n}" for head in "AB" for n in range(1, per_side + 1)]
        self.answer_at(*([f"hoop-{h}" for h in e["hoops"]] if e.get("hoops") else every))
        self.close_leak(e)
        if self.contents == "empty" and self.house.get("drive_unproves", True):
            self.unprove()

    def do_hoop(self, e: Event, day: date) -> None:
        self.answer_at(*[f"hoop-{h}" for h in e["hoops"]])
        self.close_leak(e)
        self.hoops_replaced += len(e["hoops"])
        self.donate(e)
        self.hoops = e.get("hoops_after") or self.hoops
        if self.contents == "empty":
            self.unprove()
        else:
            self.hoop_waits = True

    def donate(self, e: Event) -> None:
        if e.get("from") not in (None, "new", "unknown", "reused"):
            self.donors.add(e["from"])

    def do_stave(self, e: Event, day: date) -> None:
        self.answer_at(*[f"stave-{s}" for s in e["staves"]])
        if e["action"] == "replace":
            for stave in e["staves"]:
                number = str(stave).rstrip("abc")
                self.staves_replaced[number] = self.staves_replaced.get(number, 0) + 1
                self.bung_replaced += int(number) == self.bung_stave
                self.out_since.add(number)
                self.muddled = self.muddled or (self.firsts != self.share_of)
            self.donate(e)
        self.staves = e.get("staves_after") or self.staves

    def do_head(self, e: Event, day: date) -> None:
        head = "head-" + e["head"]
        self.answer_at(*([f"{head}-{n}" for n in e["which"]] if e.get("which") else [head]))
        self.heads_replaced += e["action"] == "replace"
        self.donate(e)

    def do_flag(self, e: Event, day: date) -> None:
        self.answer_at(*e["at"])
        for at in e["at"]:
            self.flagged[at] = self.flagged.get(at, 0) + 1

    def do_peg(self, e: Event, day: date) -> None:
        self.answer_at(e["at"])
        self.close_leak(e)
        self.leaks = [leak for leak in self.leaks if leak["at"] != e["at"]]
        if self.contents == "empty":
            self.unprove()
        else:
            self.defects.append({"at": e["at"], "defect": "peg", "severity": None, "event": e["id"]})

    def do_bung(self, e: Event, day: date) -> None:
        self.answer_at("bung")
        if e["action"] == "moved":
            self.bung_stave = int(str(e["to"]).rstrip("abc"))
        if e["action"] != "replace":
            self.unprove()

    def do_open(self, e: Event, day: date) -> None:
        self.out |= set(e["heads"])
        self.shook = False

    def do_close(self, e: Event, day: date) -> None:
        self.out -= set(e["heads"])
        self.shook = False

    def do_shave(self, e: Event, day: date) -> None:
        self.stave_mm = e.get("stave_mm", self.stave_mm)

    def do_toast(self, e: Event, day: date) -> None:
        self.fire = (self.step, day)

    def had_liquor(self) -> bool | None:
        if self.held_here:
            return True
        if self.child is not None:
            known = True if self.child.get("fills_life_min") or self.child.get("fills_life") else None
            return {"wine": True, "spirit": True, "none": False}.get(self.child.get("held", "unknown"), known)
        return None if self.head.get("prior") is None else bool(self.head["prior"])

    def do_char(self, e: Event, day: date) -> None:
        self.char = self.fire = (self.step, day)
        self.chars += 1
        had = self.had_liquor()
        self.rechars += had is True
        self.last_was_rechar = had is True
        self.rechar_unknown = self.rechar_unknown or had is None

    def do_season(self, e: Event, day: date) -> None:
        self.contents, self.spirit, self.oak = "wine", e["wine"], None
        self.wined = self.held_here = True
        self.in_visit = self.needs = self.emptied_unseen = False
        self.fails = 0

    def do_sulphur(self, e: Event, day: date) -> None:
        self.marks.add("sulphured")
        self.sulphured_since_nose = True

    def do_measure(self, e: Event, day: date) -> None:
        self.capacity = e.get("capacity_l", self.capacity)
        count = e.get("staves")
        if count and self.shook and self.was_down and self.staves and count < self.staves:
            self.rebundle(count)
        else:
            self.recount(count)
        self.staves = count or self.staves
        self.hoops = e.get("hoops", self.hoops)
        self.stave_mm = e.get("stave_mm", self.stave_mm)

    def do_fill(self, e: Event, day: date) -> None:
        self.pour(e, day, spirit=e["spirit"])
        oak = e.get("oak_since", e["date"])
        self.oak = None if oak == "unknown" else day_of(oak)

    def do_rack_in(self, e: Event, day: date) -> None:
        new = None if e["oak_since"] == "unknown" else day_of(e["oak_since"])
        wine = self.is_wine(e["spirit"])
        self.wined = wine or self.wined
        if self.contents == "empty":
            self.pour(e, day, wood=not wine, spirit=e["spirit"])
            self.oak = None if wine else new
        else:
            self.oak = max(self.oak, new) if self.oak and new else None
            self.place(e)

    def do_rack_out(self, e: Event, day: date) -> None:
        if not e.get("left_l"):
            self.drain(day)

    def do_empty(self, e: Event, day: date) -> None:
        self.drain(day)

    def do_top(self, e: Event, day: date) -> None:
        oak = e.get("oak_since", "unknown")
        self.oak = max(self.oak, day_of(oak)) if self.oak and oak != "unknown" else None

    def do_leak(self, e: Event, day: date) -> None:
        self.leaks.append({"at": e["at"], "severity": e["severity"], "since": day, "event": e["id"], "seen": day, "again": e.get("look_again")})

        self.claimable(True, day)

    def do_regauge(self, e: Event, day: date) -> None:
        self.gauged = (self.step, day, e["abv"])

    def do_look(self, e: Event, day: date) -> None:
        def meant(leak: dict[str, Any]) -> bool:
            return bool(leak["event"] == e["of"] if e.get("of") else leak["at"] == e["at"] if e.get("at") else True)

        if e["seen"] == "dry":
            self.leaks = [leak for leak in self.leaks if not meant(leak)]
        for leak in filter(meant, self.leaks):
            leak.update(severity=e["seen"], seen=day, again=None)

    def do_move(self, e: Event, day: date) -> None:
        self.place(e)

    def do_send(self, e: Event, day: date) -> None:
        self.where, self.berth = "away", None

    def do_return(self, e: Event, day: date) -> None:
        self.where = "here"
        self.visit()
        self.in_visit = self.contents == "empty"
        self.unprove()
        self.verdict(e)
        self.place(e)

    def do_missing(self, e: Event, day: date) -> None:
        self.where = "missing"

    def do_found(self, e: Event, day: date) -> None:
        self.where = "here"
        self.place(e)

    def do_hold(self, e: Event, day: date) -> None:
        self.marks.add("held")

    def do_release(self, e: Event, day: date) -> None:
        self.marks -= {"held", "rejected"}

    def do_retire(self, e: Event, day: date) -> None:
        self.marks.add("retired")

    def do_knock_down(self, e: Event, day: date) -> None:
        count = e.get("staves")
        if count and self.staves and count < self.staves:
            self.rebundle(count)
        else:
            self.recount(count)
        self.shook = self.was_down = True
        self.staves = count or self.staves

    def recount(self, count: int | None) -> None:
        """So many by a count, nothing being done: the first count, or the same, or a contradiction."""
        if count and self.staves is None:
            self.share_of = self.firsts = count
        elif count and count != self.staves:
            self.muddled = True

    def rebundle(self, count: int) -> None:
        """Staves went or came while it was no cask: the first ones can be told only where there were no others."""
        if count != self.staves:
            self.muddled = self.muddled or self.share_of is None or self.first_ones() != self.staves
            self.share_of, self.firsts, self.out_since = count, min(count, self.staves or 0), set()

    def first_ones(self) -> int:
        return (self.firsts or 0) - len(self.out_since)

    def share(self) -> str | None:
        return None if self.muddled or self.share_of is None else f"{self.first_ones()}/{self.share_of}"


def behind_the_end(events: list[Event]) -> set[str]:
    """Ids of the events behind the one that took the cask out of the book: they change nothing."""
    ends = [n for n, e in enumerate(events) if e["job"] in ("convert", "break-up", "dispose")]
    return {e["id"] for e in events[ends[0] + 1 :]} if ends else set()


def folded(data: dict[str, Any], house: dict[str, Any], day: date, joined: list[dict[str, Any]] | None = None) -> Fold:
    """The cask's file, with those joined to it, folded to the end of the day."""
    events = standing(data["events"])
    for other in joined or []:
        events += standing(other["events"])
    events.sort(key=lambda e: (e["date"], e["id"], e["job"] == "rack-in"))
    head = {key: value for key, value in data.items() if key != "events"}
    late = behind_the_end(standing(data["events"]))  # the head is that of this file, and so is its end
    own = {e["id"] for e in data["events"]}
    for e in events:
        if e["job"] == "correct" and e["id"] not in late and e["id"] in own:
            head.update(
                {
                    k: None if v == {"was": ["unknown"], "prior": [{"contents": "unknown"}]}.get(k, "unknown") and k in _NOBODY_KNOWS else v
                    for k, v in e.items()
                    if k not in ("id", "date", "job", "by", "why", "note", "replaces", "answers", "sheet", "source")
                }
            )
    fold = Fold(head, house)
    for e in events:
        if day_of(e["date"]) <= day:
            fold.apply(e)
    return fold


def years(days: int) -> float:
    return round(days / YEAR, 3)


def plus(start: date, days: int) -> date:
    return start + timedelta(days=days)
