"""Random lawful histories of several casks, drawn from a seed: what could be done next is asked of the second fold."""

from __future__ import annotations

import random
from datetime import date, timedelta
from typing import Any

from second.fold import Fold, folded

Event = dict[str, Any]
FIRST, LAST = date(2012, 1, 1), date(2026, 11, 20)
PLACES = [
    "stave-1", "stave-14", "stave-14b", "stave-31", "joint-1", "joint-13", "joint-14", "joint-30", "joint-31", "bung", "head-A", "head-A-2", "head-B-3", "head-A-joint-2",
    "head-B-joint-2", "croze-A", "croze-A-14", "chime-B", "chime-B-1", "hoop-A-1", "hoop-B-3", "unseen",
]  # fmt: skip
HOOPS = ["A-1", "A-3", "B-1", "B-3"]
HOUSES: list[dict[str, Any]] = [
    {"minimum_age": 3}, {"minimum_age": 10, "fill_needs": "test", "drive_unproves": False}, {"short_fill_days": 90, "count_prior": False, "examine_valid_days": 10},
    {"test_valid_days": 20, "examine_valid_days": 60, "short_fill_days": 1}, {"class_of_spirit": ["rum"], "wine_words": ["bourbon"]},
]  # fmt: skip
ANY = ["note", "hold", "release", "mark", "decide", "grade", "dispose", "correct"]
BENCH = ["examine", "nose", "treat", "flag", "hoop", "bung", "sulphur"]
WHOLE = ["soak", "test", "drive", "peg", "open", "season", "knock-down"]
OPEN = ["stave", "head", "shave", "toast", "char", "close", "swap-heads"]
RARE = {"dispose": 0.03, "break-up": 0.1, "convert": 0.05, "missing": 0.2, "send": 0.4, "knock-down": 0.15, "season": 0.5, "retire": 0.2, "hold": 0.3,
        "mark": 0.2, "note": 0.15, "sample": 0.3, "draw": 0.4, "sulphur": 0.4, "stave": 1.5, "char": 1.5, "swap-heads": 0.5, "rack-in": 0.7, "decide": 0.3, "grade": 0.3, "correct": 0.1, "measure": 0.5, "fill": 4, "test": 4, "examine": 5, "close": 4, "empty": 3,
        "nose": 2, "release": 2, "return": 4, "found": 4, "raise": 3, "move": 0.6}  # fmt: skip


def weight(job: str, fold: Fold) -> float:
    """How likely the job is: rather what the cask's state asks for, so that many casks come to be ready and full again."""
    if job == "release":
        return 6 if fold.marks & {"held", "rejected"} else 0.05
    if job == "nose" and (fold.wined or fold.marks & {"tainted", "sulphured"}):
        return 6
    if job == "test" and not fold.proved:
        return 8
    if job in ("drive", "flag", "peg", "open", "stave", "head", "bung") and fold.defects:
        return 3
    if job == "examine" and fold.exam is not None:
        return 1.5
    return RARE.get(job, 1)


def possible(fold: Fold) -> list[str]:
    """The jobs that could be done to the cask as it stands, marks and house rules left aside."""
    if fold.gone:
        return ["note"]
    if fold.where == "missing":
        return [*ANY, "found"]
    empty, whole = fold.contents == "empty", not fold.out and not fold.shook
    if fold.where == "away":
        jobs = [*ANY, "return"] + (["examine", "nose", "flag"] if empty and not fold.shook else ["drive"] if whole and not empty else [])
        return jobs + (["test", "open"] if empty and whole else ["char", "stave", "close"] if fold.out else [])
    jobs = [*ANY, "move", "send", "missing", "measure"]
    if not empty:
        jobs += ["regauge", "draw", "top", "sample", "leak", "leak", "empty", "rack-out", "drive", "peg", "bung", "hoop"]
        return jobs + (["rack-in"] if fold.contents == "spirit" else []) + (["look", "look"] if fold.leaks else [])
    jobs += ["convert", "retire", "break-up"]
    if fold.shook:
        return [*jobs, "raise", "nose", "treat", "flag", "sulphur"]
    jobs += BENCH
    return jobs + ([*WHOLE, "fill", "rack-in"] if whole else OPEN + (["open"] if len(fold.out) == 1 else []))


class Draw:
    """The fields of an event."""

    def __init__(self, dice: random.Random, fold: Fold, cask: str, others: list[str], earlier: list[Event]) -> None:
        self.dice, self.fold, self.cask, self.others, self.earlier = dice, fold, cask, others, earlier

    def maybe(self, chance: float = 0.5) -> bool:
        return self.dice.random() < chance

    def places(self, most: int = 2) -> list[str]:
        pool = PLACES + [d["at"] for d in self.fold.defects] * 8
        return sorted({self.dice.choice(pool) for _ in range(self.dice.randint(1, most))})

    def findings(self) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = [{"at": at, "defect": self.dice.choice(["cracked", "joint-leak", "weep", "porous"])} for at in self.places(3)]
        for one in found:
            if self.maybe():
                one["severity"] = self.dice.randint(1, 3)
        return found

    def gauged(self) -> dict[str, Any]:
        return {
            "litres": 20.0 if self.maybe() else 150.5,
            "abv": 17.0 if self.fold.contents == "wine" else self.dice.choice([61.5, 61.5, 42.9, 43.0]),
            **({"at_20": True} if self.maybe() else {}),
        }

    def oak(self, day: date) -> str:
        return self.dice.choice(["unknown", "2008-02-29", "2011-03-01", str(day - timedelta(days=self.dice.randint(0, 2000)))])

    def place(self) -> dict[str, Any]:
        out = {"berth": self.dice.choice(["W1/01/1", "W3/02/2", "Y2"])} if self.maybe() else {}
        return {**out, "stow": self.dice.choice(["bilge", "upright-A"])} if self.maybe(0.3) else out

    def source(self) -> str:
        return self.dice.choice(["new", "unknown", *self.others])

    def fields(self, job: str, day: date) -> dict[str, Any]:
        made = getattr(self, "of_" + job.replace("-", "_"), lambda day: {})(day)
        named = self.fold.defects
        if named and job in ("drive", "test", "treat", "soak", "note") and self.maybe(0.25):
            one = self.dice.choice(named)
            made["answers"] = [one["event"] if self.maybe() else f"{one['event']}/{one['at']}"]
        return dict(made)

    def of_receive(self, day: date) -> dict[str, Any]:
        out: dict[str, Any] = {"verdict": self.dice.choices(["accept", "hold", "reject"], [8, 1, 1])[0], **self.place()}
        if self.maybe(0.2):
            out["findings"] = self.findings()
        kind = self.dice.random()
        if kind < 0.1:
            out |= {"contents": "spirit", "spirit": self.dice.choice(["malt", "rum"]), "litres": 180.0, "abv": 60.0}
            out |= {"oak_since": self.oak(day)} if self.maybe() else {}
        elif kind < 0.16:
            out |= {"contents": "oloroso", "litres": 180.0, "abv": 17.0}
        elif kind < 0.3:
            out["form"] = self.dice.choice(["open", "shook", "whole"])
        return out

    def of_raise(self, day: date) -> dict[str, Any]:
        return {"staves": self.dice.choice([30, 31]) + (-1, 0, 0, 2)[day.toordinal() % 4]} if self.maybe() else {}

    def of_knock_down(self, day: date) -> dict[str, Any]:
        count = (None, 28, 30, 31, 33)[day.toordinal() % 5]  # By the day: the dice fall as they did for all that comes behind.
        return {"staves": count} if count else {}

    def of_made_from(self, day: date) -> dict[str, Any]:
        return {"parents": [{"unnumbered": "an old butt", "staves": 20}]}

    def of_convert(self, day: date) -> dict[str, Any]:
        return {"children": ["TH-009001"]}

    def of_examine(self, day: date) -> dict[str, Any]:
        verdict = self.dice.choices(["sound", "repair", "hold", "reject"], [6, 5, 1, 1])[0]
        out: dict[str, Any] = {"verdict": verdict}
        if verdict == "repair" or self.maybe(0.2):
            out["findings"] = self.findings()
        return {**out, "stave_mm": 22.0, "soaked": self.dice.choice([0.3, 0.5, 0.6])} if self.maybe(0.2) else out

    def of_nose(self, day: date) -> dict[str, Any]:
        verdict = self.dice.choices(["clean", "faint", "fault"], [6, 2, 1])[0]
        return {"verdict": verdict, **({"faults": ["acetic"]} if verdict == "fault" else {})}

    def of_treat(self, day: date) -> dict[str, Any]:
        return {"method": "rinse", "for": self.dice.choice(["taint", "residue"])}

    def of_soak(self, day: date) -> dict[str, Any]:
        return {"method": "cold", "hours": 24.0}

    def of_test(self, day: date) -> dict[str, Any]:
        out: dict[str, Any] = {"psi": 11.0} if self.maybe(0.8) else {"method": "water"}
        kind = self.dice.random()
        if kind < 0.25:
            return {**out, "result": "fail", "leaks": [{"at": at} for at in self.places()]}
        if kind < 0.45:
            return {**out, "result": "pass", "leaks": [{"at": at} for at in self.places()], "cured_by": self.dice.choice(["drive", "took-up"])}
        return {**out, "result": "pass"}

    def closes(self) -> dict[str, Any]:
        return {"closes": self.dice.choice(self.fold.leaks)["event"]} if self.fold.leaks and self.maybe() else {}

    def of_drive(self, day: date) -> dict[str, Any]:
        return {**({"hoops": self.dice.sample(HOOPS, 2)} if self.maybe() else {}), **self.closes()}

    def of_hoop(self, day: date) -> dict[str, Any]:
        origin = {"from": self.dice.choice(["new", "reused", *self.others])} if self.maybe() else {}
        return {"hoops": self.dice.sample(HOOPS, self.dice.randint(1, 2)), **origin, **self.closes()}

    def of_stave(self, day: date) -> dict[str, Any]:
        action = self.dice.choice(["replace", "replace", "rejoint", "turn"])
        return {
            "staves": self.dice.sample([1, 13, 14, 30, 31, "14b"], self.dice.randint(1, 3)),
            "action": action,
            **({"from": self.source()} if action == "replace" else {}),
        }

    def of_head(self, day: date) -> dict[str, Any]:
        action = self.dice.choice(["replace", "piece", "redowel", "turn"])
        out: dict[str, Any] = {"head": self.dice.choice("AB"), "action": action}
        if action == "replace":
            return {**out, "mark": "4217", "from": self.source()}
        return {**out, "which": [2]} if self.maybe() or action == "piece" else out

    def of_flag(self, day: date) -> dict[str, Any]:
        return {"at": self.places()}

    def of_peg(self, day: date) -> dict[str, Any]:
        pool = [leak["at"] for leak in self.fold.leaks] * 3 + PLACES
        return {"at": self.dice.choice(pool), "kind": "spile", **self.closes()}

    def of_bung(self, day: date) -> dict[str, Any]:
        action = self.dice.choice(["rebore", "bush", "replace", "moved"])
        return {"action": action, **({"to": self.dice.choice([1, 14])} if action == "moved" else {})}

    def of_open(self, day: date) -> dict[str, Any]:
        shut = sorted({"A", "B"} - self.fold.out)
        return {"heads": shut if self.maybe() else shut[:1]}

    def of_close(self, day: date) -> dict[str, Any]:
        out = sorted(self.fold.out)
        return {"heads": out if self.maybe(0.8) else out[:1]}

    def of_swap_heads(self, day: date) -> dict[str, Any]:
        return {"with": self.others[0], "heads": ["A"], "why": "found so"}

    def of_shave(self, day: date) -> dict[str, Any]:
        return {"method": "flail", **({"stave_mm": 21.0} if self.maybe() else {})}

    def of_toast(self, day: date) -> dict[str, Any]:
        return {"level": "medium"}

    def of_char(self, day: date) -> dict[str, Any]:
        return {"level": 3}

    def of_season(self, day: date) -> dict[str, Any]:
        return {"wine": self.dice.choice(["oloroso", "port"]), "litres": 190.0}

    def of_sulphur(self, day: date) -> dict[str, Any]:
        return {"grams": 5.0, "why": "winter"}

    def of_measure(self, day: date) -> dict[str, Any]:
        return self.dice.choice(
            [{"capacity_l": 198.5}, {"staves": 31 - (day.toordinal() % 4 == 0), "hoops": 6, "heads": [5, 5]}, {"stave_mm": 23.0}, {"tare_kg": 50.0}]
        )

    def of_fill(self, day: date) -> dict[str, Any]:
        oak = {"oak_since": self.oak(day)} if self.maybe(0.3) else {}
        return {"spirit": self.dice.choice(["malt", "rum"]), "litres": 190.0, "abv": 63.5, **oak, **self.place()}

    def of_rack_out(self, day: date) -> dict[str, Any]:
        left = self.dice.choice([{}, {"left_l": 0.0}, {"left_l": 30.0}])
        return {"to": [{"cask": self.others[0], "litres": 150.0, "abv": 60.0}], "why": "marry", **left}

    def of_rack_in(self, day: date) -> dict[str, Any]:
        spirit = self.fold.spirit if self.fold.contents == "spirit" else "malt"
        return {"from": [{"cask": self.others[0], "litres": 50.0, "abv": 60.0}], "spirit": spirit, "oak_since": self.oak(day), **self.place()}

    def of_draw(self, day: date) -> dict[str, Any]:
        return self.gauged()

    def of_top(self, day: date) -> dict[str, Any]:
        return {**self.gauged(), **({"oak_since": self.oak(day)} if self.maybe() else {})}

    def of_regauge(self, day: date) -> dict[str, Any]:
        return {**self.gauged(), "method": "dip"}

    def of_sample(self, day: date) -> dict[str, Any]:
        return {"ml": 100.0}

    def of_leak(self, day: date) -> dict[str, Any]:
        again = {"look_again": str(day + timedelta(days=20))} if self.maybe(0.1) else {}
        return {"at": self.dice.choice(PLACES), "severity": self.dice.choice(["weep", "drip", "run"]), **again}

    def of_look(self, day: date) -> dict[str, Any]:
        leak = self.dice.choice(self.fold.leaks)
        which = self.dice.choice([{}, {"at": leak["at"]}, {"of": leak["event"]}])
        return {"seen": self.dice.choice(["dry", "weep", "drip", "run"]), **which}

    def of_empty(self, day: date) -> dict[str, Any]:
        return {**self.gauged(), **({"why": "drawn"} if self.maybe() else {})}

    def of_grade(self, day: date) -> dict[str, Any]:
        return {"grade": "A"}

    def of_move(self, day: date) -> dict[str, Any]:
        return {"berth": self.dice.choice(["W1/05/1", "W3/05/1"]), **({"stow": "upright-B"} if self.maybe() else {})}

    def of_send(self, day: date) -> dict[str, Any]:
        return {"to": "shop-rivet", "why": "re-char"}

    def of_return(self, day: date) -> dict[str, Any]:
        return {"verdict": self.dice.choices(["accept", "hold", "reject"], [8, 1, 1])[0], **self.place()}

    def of_hold(self, day: date) -> dict[str, Any]:
        return {"why": "label in doubt"}

    def of_release(self, day: date) -> dict[str, Any]:
        return {"why": "found", "approved_by": "kd"}

    def of_mark(self, day: date) -> dict[str, Any]:
        return {"text": "4217", "kind": "stencil", "at": "head-A"}

    def of_decide(self, day: date) -> dict[str, Any]:
        rule = self.dice.choice(["rechar", "retest", "examine", "nose", "look", "hold"])
        return {"rule": rule, "outcome": "defer", "until": str(day + timedelta(days=30)), "why": "spring", "approved_by": "kd"}

    def of_retire(self, day: date) -> dict[str, Any]:
        return {"reasons": ["thin"], "approved_by": "kd"}

    def of_break_up(self, day: date) -> dict[str, Any]:
        return {"staves_saved": 20}

    def of_dispose(self, day: date) -> dict[str, Any]:
        return {"how": self.dice.choice(["sold", "lost", "scrapped"])}

    def of_found(self, day: date) -> dict[str, Any]:
        return self.place()

    def of_note(self, day: date) -> dict[str, Any]:
        return {"note": "rolled from row 3"}

    def of_correct(self, day: date) -> dict[str, Any]:
        new = self.dice.choice(
            [{"type": "hogshead", "capacity_l": 250}, {"staves": 31}, {"charred": 2009}, {"prior": [{"contents": "rum", "fills": 2}]}, {"charred": "never"}]
        )
        return {**new, "why": "misread"}


def head_of(dice: random.Random, cask: str) -> dict[str, Any]:
    """The head of a file; what may be unknown sometimes is."""
    head: dict[str, Any] = {"cask": cask, "format": 1, "type": dice.choice(["barrel", "barrel", "hogshead", "butt"]), "heads": [5, 5], "hoops": 6}
    head["capacity_l"] = {"barrel": 200, "hogshead": 250, "butt": 500}[head["type"]]
    if dice.random() < 0.9:
        head["staves"] = 31
    one = {"contents": "bourbon", "fills": 1}
    prior = dice.choice([None, [], [one], [{"contents": "bourbon", "fills": 4}], [{"contents": "unknown", "fills": 1}], [{"contents": "malt", "fills": "unknown"}, one],
                         [{"contents": "oloroso", "fills": 2}, {"contents": "malt", "fills": 1}]])  # fmt: skip
    if prior is not None:
        head["prior"] = prior
    charred = dice.choice([None, "unknown", "never", 2011, 2011, "2010-05-04"])
    if charred is not None:
        head["charred"] = charred
    return head


def history(dice: random.Random, cask: str, others: list[str], house: dict[str, Any], length: int, prefix: str = "e") -> dict[str, Any]:
    """One cask's file, with late entries, voids, replacements and corrections added as they come."""
    data: dict[str, Any] = {**head_of(dice, cask), "events": []}
    day = FIRST + timedelta(days=dice.randint(0, 2000))
    for n in range(1, length + 1):
        fold = folded(data, house, LAST)
        event_id = f"{prefix}{n:07d}"
        if n == 1:
            job = dice.choices(["receive", "raise", "made-from", "examine"], [16, 1, 1, 0.3])[0]
        elif dice.random() < 0.06 and len(data["events"]) > 2:
            data["events"].append(put_right(dice, data["events"], event_id, day, others))
            continue
        else:
            jobs = possible(fold)
            job = dice.choices(jobs, [weight(job, fold) for job in jobs])[0]
        late = dice.random() < 0.04 and n > 2
        when = day - timedelta(days=dice.randint(0, 200)) if late else day
        when = max(when, date.fromisoformat(data["events"][0]["date"])) if data["events"] else when
        fields = Draw(dice, fold, cask, others, data["events"]).fields(job, when)
        by = "shop-rivet" if fold.where == "away" and job not in (*ANY, "return") else "ab"
        data["events"].append({"id": event_id, "date": str(when), "job": job, "by": by, **fields})
        day = min(LAST, day + timedelta(days=step(dice, fold)))
    data["events"].sort(key=lambda e: (e["date"], e["id"]))
    return data


def step(dice: random.Random, fold: Fold) -> int:
    """Days to the next event: many on one day, many just on or beyond a limit, years while it lies full."""
    if fold.contents != "empty" and dice.random() < 0.3:
        return dice.randint(100, 1500)
    return dice.choice([0, 0, 0, 0, 0, 1, 1, 2, 2, 5, 7, 9, 10, 11, 14, 20, 21, 30, 31, 60, 61])


def file_store(dice: random.Random, house: dict[str, Any], length: int) -> dict[str, dict[str, Any]]:
    """Three casks that speak of each other: what was moved stands again in another's file, what was racked in both under one id,
    and one number may go on under another."""
    names = ["TH-004217", "TH-004218", "TH-004219"]
    files = {name: history(dice, name, [n for n in names if n != name], house, dice.randint(3, length), "def"[k]) for k, name in enumerate(names)}
    for name, data in files.items():
        for event in list(data["events"]):
            if event["job"] == "moved":
                again_in(files, name, event)
            if event["job"] == "rack-out":
                arrive(
                    files[event["to"][0]["cask"]],
                    {**event, "job": "rack-in", "from": [{"cask": name, "litres": 50.0, "abv": 60.0}], "spirit": "malt", "oak_since": "unknown"},
                )
    join(dice, files, names)
    for data in files.values():
        data["events"].sort(key=lambda e: (e["date"], e["id"]))
    return files


def again_in(files: dict[str, dict[str, Any]], name: str, moved: Event) -> None:
    target = next((e for e in files[name]["events"] if e["id"] == moved["of"]), None)
    if target and target["job"] not in ("receive", "raise", "made-from", "moved", "void", "same-as", "swap-heads", "rack-out"):
        misread = ("why",) if target["job"] == "empty" and "replaces" in target else ()  # It says what was wrong there, and not why it was emptied.
        copy = {key: value for key, value in target.items() if key not in ("replaces", "answers", "closes", "of", *misread)}
        arrive(files[moved["to"]], {**copy, "id": moved["id"] + "m", "moved_from": f"{name}/{target['id']}"})


def arrive(data: dict[str, Any], event: Event) -> None:
    """Into the other's file, if it had come by then."""
    if event["date"] >= data["events"][0]["date"] and all(e["id"] != event["id"] for e in data["events"]):
        data["events"].append(
            {key: value for key, value in event.items() if key not in ("to", "left_l", "replaces", "answers")} if event["job"] == "rack-in" else event
        )


def join(dice: random.Random, files: dict[str, dict[str, Any]], names: list[str]) -> None:
    """Sometimes one number goes on under another, in a chain, or in a ring that joins nothing."""
    pairs = dice.choice([[], [(0, 1)], [(2, 1)], [(1, 0), (2, 1)], [(0, 1), (1, 0)], [(0, 1), (1, 2), (2, 0)], [(0, 1), (0, 2)]])
    for goes_on, old in pairs:
        own = files[names[goes_on]]["events"]
        own.append(
            {
                "id": f"z000000{goes_on}{old}"[-8:].replace("0", "z", 1),
                "date": str(dice.choice(own)["date"]),
                "job": "same-as",
                "by": "ab",
                "of": names[old],
                "why": "one cask",
            }
        )


def put_right(dice: random.Random, events: list[Event], event_id: str, day: date, others: list[str]) -> Event:
    """A void, a move or a replacement of some earlier event, of a void too."""
    target = dice.choice(events[1:]) if dice.random() < 0.97 else events[0]
    kind = dice.choice(["void", "void", "moved", "replaces"])
    if kind == "replaces" and target["job"] not in ("void", "moved", "same-as"):
        moved = max(date.fromisoformat(events[0]["date"]), date.fromisoformat(target["date"]) - timedelta(days=dice.choice([0, 0, 1, 30])))
        again = {key: value for key, value in target.items() if key != "why"}
        return {**again, "id": event_id, "date": str(moved), "replaces": target["id"], "why": target.get("why", "misread")}
    if kind == "moved" and target["job"] not in ("void", "moved"):
        return {"id": event_id, "date": str(day), "job": "moved", "by": "ab", "of": target["id"], "to": others[0], "why": "wrong cask"}
    return {"id": event_id, "date": str(day), "job": "void", "by": "ab", "of": target["id"], "why": "wrong"}
