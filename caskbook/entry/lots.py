"""Jobs that several files hold: racking, converting, swapped heads. All sides are worked out and written together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from caskbook.core.finding import CaskbookError
from caskbook.entry.berths import deal
from caskbook.entry.build import Asker, Built, build, entry_for, new_head, read_day
from caskbook.entry.casks import read_casks
from caskbook.entry.entry import Entry, with_why
from caskbook.entry.fields import HEAD_FILE, WORK, JobField, field_of
from caskbook.entry.figures_for_each import figures_for_each
from caskbook.entry.lot_common import common_of_lot
from caskbook.entry.page import Page
from caskbook.entry.plan import Desk
from caskbook.entry.rack_again import Place, place_of, placed, take_over
from caskbook.entry.request import Request
from caskbook.entry.terms import Terms, TypedError, cask_id, spirit, split
from caskbook.entry.typed import read_field
from caskbook.ledger.lineage import inherited_from, life_before, refuse_in_part
from caskbook.life import Life
from caskbook.model.joins import one_cask
from caskbook.model.untold import lacking_in
from caskbook.words.plural import number_of

_SHARED = "one id"


def build_lot(desk: Desk, request: Request, asker: Asker) -> Built:
    """The entries of a racking, a conversion or a swap of heads, all of one id."""
    if not request.casks:
        raise CaskbookError(f"{request.jobs[0]}: which casks?")
    if (request.jobs[0], "answers") in request.given:
        raise CaskbookError(f"--answers: a {request.jobs[0]} answers nothing that is open; what was done about it is an entry of its own")
    built = {"rack": _rack, "convert": _convert, "swap-heads": _swap}[request.jobs[0]](desk, request, asker)
    why = request.one("why", request.jobs[0]) if request.anyway else None
    closed = read_day(text, desk.today) if (text := request.one("closed_on")) else None
    built.entries = [replace(entry, shared=_SHARED, data=with_why(entry.data, why), closed_on=closed) for entry in built.entries]
    return built


def _life(desk: Desk, page: Page, day: date, place: Place) -> Life:
    """The cask as the run of that day finds it, what the run replaces left out."""
    if page.record is None:
        raise CaskbookError(f"{desk.ledger.absent(page.cask_id)}; if it is new, enter its receipt first")
    claimed = desk.ledger.claimants()
    _, *others = one_cask(claimed).get(page.cask_id, (page.cask_id,)) if claimed else (page.cask_id,)
    pages = [desk.page(number) for number in others]
    joined = [other.cask for other in pages if other.record is not None]
    life = life_before(page.cask, desk.ledger.house, day, place.found_on(day), joined, without=place.target.id if place.target else None)
    untold = lacking_in(desk.ledger.joined_to(page.cask).untold, day, gone=life.state.form == "gone")
    life.unread, life.lacks_entries = (*life.unread, *untold), life.lacks_entries or bool(untold)
    return life


def _rack(desk: Desk, request: Request, asker: Asker) -> Built:
    """The entries of a racking: one out of each source, one into each target, with litres and % vol; or what is still lacking."""
    built = Built()
    sources, targets = request.casks, read_casks(request.given.get(("rack", "to"), []))
    if not targets:
        raise CaskbookError("rack: into which casks? --to TO…")
    place = place_of(desk, request, "rack", [*sources, *targets])
    if place.target is not None:
        take_over(desk, request, place.target, sources, targets)
    common = common_of_lot(desk, request, asker, "rack", built, place.day)
    terms = Terms(desk.ledger.house.on(common["date"]), common["date"])
    if set(sources) & set(targets):
        raise CaskbookError(f"{min(set(sources) & set(targets))} cannot be racked into itself")
    lives = {cask: _life(desk, desk.page(cask), common["date"], place) for cask in sources}
    litres, per_target = figures_for_each(request, "litres", len(sources), terms), figures_for_each(request, "litres_to", len(targets), terms)
    strengths = figures_for_each(request, "abv", len(sources), terms)
    unsaid = {key: request.one(key, "rack") is None for key in (("why",) if place.target is None else ("why", "note"))}
    for key in (key for key, lacking in {"litres": not litres and not per_target, "abv": not strengths, **unsaid}.items() if lacking):
        built.want("rack", key)
    if built.missing:
        return built
    abv = dict(zip(sources, strengths or [], strict=True))
    pours = [_Pour(source, to, amount, abv[source]) for source, to, amount in _pours(sources, targets, litres, per_target)]
    common |= _gauged(request, terms)
    left, lost = (figures_for_each(request, key, len(sources), terms) for key in ("left", "lost"))
    for at, cask in enumerate(sources):
        own = {"to": [pour.into for pour in pours if pour.source == cask], "left_l": left[at] if left else None, "lost_l": lost[at] if lost else None}
        built.entries.append(Entry(cask, {"job": "rack-out", **common, **own}, doubts=tuple(terms.doubts)))
    dealt = deal(request.one("berth", "rack"), targets)
    for cask in targets:
        berth = dealt.get(cask, request.one("berth", "rack"))
        built.entries.append(_rack_in(request, terms, cask, {**common, "berth": berth}, [pour for pour in pours if pour.to == cask], lives))
    built.entries = [placed(desk, entry, place, request) for entry in built.entries]
    built.echoes += terms.echoes
    return built


@dataclass(frozen=True, slots=True)
class _Pour:
    """What went from one cask into another."""

    source: str
    to: str
    litres: float
    abv: float

    @property
    def into(self) -> dict[str, Any]:
        return {"cask": self.to, "litres": self.litres, "abv": self.abv}

    @property
    def out_of(self) -> dict[str, Any]:
        return {"cask": self.source, "litres": self.litres, "abv": self.abv}


def _rack_in(request: Request, terms: Terms, cask: str, common: Mapping[str, Any], pours: Sequence[_Pour], lives: Mapping[str, Life]) -> Entry:
    sources = [lives[pour.source] for pour in pours]
    oak = request.one("oak_since", "rack")
    field = field_of("rack-in", "oak_since")
    assert field is not None
    since = _typed_value(field, oak, terms) if oak else _youngest(sources)
    liquor, stow = _liquor(request, sources), request.one("stow", "rack")
    data = {"job": "rack-in", **common, "from": [pour.out_of for pour in pours], "spirit": liquor, "oak_since": since, "stow": stow}
    return Entry(cask, {key: value for key, value in data.items() if key != "why" and value is not None})


def _gauged(request: Request, terms: Terms) -> dict[str, Any]:
    text, stow = request.one("temp", "rack"), request.one("stow", "rack")
    one = field_of("rack-in", "stow")
    if stow and one:
        request.given[("rack", "stow")] = [_typed_value(one, stow, terms)]
    if text:
        temperature = field_of("rack-in", "temp_c")
        assert temperature is not None
        return {"temp_c": _typed_value(temperature, text, terms)}
    return {"at_20": True} if ("rack", "at_20") in request.given else {}


def _typed_value(one: JobField, text: str, terms: Terms) -> Any:
    try:
        return read_field(one, [text], terms)
    except TypedError as error:
        raise CaskbookError(str(error)) from None


def _pours(sources: Sequence[str], targets: Sequence[str], litres: list[float] | None, per_target: list[float] | None) -> list[tuple[str, str, float]]:
    """(from, to, litres): into one cask all of each; out of one what each took; else poured in the order given."""
    if litres and per_target and abs(sum(litres) - sum(per_target)) > 0.01:
        raise CaskbookError(f"{sum(litres):g} L out and {sum(per_target):g} L in: they must be equal; what was lost goes in --lost")
    if len(targets) == 1 and litres:
        return [(source, targets[0], amount) for source, amount in zip(sources, litres, strict=True)]
    if len(sources) == 1:
        amounts = per_target or _shared((litres or [0.0])[0], len(targets))
        return [(sources[0], target, amount) for target, amount in zip(targets, amounts, strict=True)]
    if not litres or not per_target:
        raise CaskbookError("several casks into several: --litres out of each, and --litres-to into each")
    return _in_order(list(zip(sources, litres, strict=True)), list(zip(targets, per_target, strict=True)))


def _shared(litres: float, count: int) -> list[float]:
    """So many litres in as many parts, alike to the hundredth, which together are what was typed."""
    hundredths = int(litres * 100 + 1e-6)
    if hundredths < count:
        raise CaskbookError(f"{litres:g} L is too little for {number_of(count, 'cask')}: --litres-to says what each got")
    parts = [(hundredths // count + (at < hundredths % count)) / 100 for at in range(count)]
    return [*parts[:-1], round(litres - sum(parts[:-1]), 6)]


def _in_order(out: list[tuple[str, float]], into: list[tuple[str, float]]) -> list[tuple[str, str, float]]:
    """(source, target, litres) of each pour, where every source is poured out in order and every target filled in order."""
    pours: list[tuple[str, str, float]] = []
    names, free = [name for name, _ in into], [amount for _, amount in into]
    at = 0
    for source, amount in out:
        rest = amount
        while rest > 0.005 and at < len(names):
            part = round(min(rest, free[at]), 2)
            pours.append((source, names[at], part))
            rest, free[at] = round(rest - part, 2), round(free[at] - part, 2)
            at += free[at] <= 0.005
    return pours


def _liquor(request: Request, lives: Sequence[Life]) -> str:
    """The spirit racked: what the sources hold, or the name given to a mixture."""
    given = request.one("spirit", "rack")
    if given:
        return spirit(given, lives[0].state.settings)
    held = {life.state.settings.spirit_word(word) or word for life in lives if (word := life.state.spirit)}
    if len(held) == 1:
        return held.pop() or ""
    if not held:
        return "unknown"
    raise CaskbookError(f"{' and '.join(sorted(str(word) for word in held))} racked together: name the mixture with --spirit")


def _youngest(lives: Sequence[Life]) -> date | str:
    days = [None if life.lacks_entries else life.state.oak_since for life in lives]
    return "unknown" if not days or None in days else max(day for day in days if day is not None)


def _convert(desk: Desk, request: Request, asker: Asker) -> Built:
    """The entries of a conversion into new casks: one in each parent, one with its head for each child; none while something is lacking."""
    into = request.given.get(("convert", "into"))
    if into is None:
        return _convert_known(desk, request, asker)
    built = Built()
    place = place_of(desk, request, "convert", request.casks)
    common = common_of_lot(desk, request, asker, "convert", built, place.day)
    words = " ".join(into).split()
    if len(words) != 2 or not words[0].isdecimal() or not int(words[0]):
        raise CaskbookError(f"--into {' '.join(words)[:30]}: how many, and of what? as --into 4 hogshead")
    children = _children(request, int(words[0]))
    lives = [_life(desk, desk.page(parent), common["date"], place) for parent in request.casks]
    refuse_in_part([*lives, *(desk.ledger.life_of(desk.page(parent).cask, common["date"]) for parent in request.casks)])
    terms = Terms(desk.ledger.house.on(common["date"]), common["date"])
    typed = {key: texts for (owner, key), texts in request.given.items() if owner == HEAD_FILE} | {"type": [words[1]]}
    gave = _gave(request)
    parents = [{"cask": cask, **({"staves": staves} if staves else {})} for cask, staves in zip(request.casks, gave, strict=True)]
    inherited = {key: value for key, value in inherited_from(lives, False).items() if value is not None}
    for cask, staves in zip(request.casks, gave, strict=True):
        built.entries.append(Entry(cask, {"job": "convert", **common, "children": children, "staves": staves}))
    for child in children:
        head = _wood_of(lives) | new_head(desk, request, child, typed, terms, built)
        data = {"job": "made-from", **common, "parents": parents, "inherited": inherited}
        built.entries.append(Entry(child, data, head, comment=asker.comment))
    built.echoes += terms.echoes
    built.entries = [] if built.missing else [placed(desk, entry, place, request) for entry in built.entries]
    return built


def _wood_of(lives: Sequence[Life]) -> dict[str, Any]:
    woods = {life.cask.head.wood for life in lives}
    wood = woods.pop() if len(woods) == 1 else None
    return {"wood": wood} if wood else {}


def _children(request: Request, count: int) -> list[str]:
    """The numbers of the new casks, as named or counted on from the first. CaskbookError where they are not as many as said."""
    named, first = request.given.get(("convert", "as")), request.one("first_id", "convert")
    if named:
        children = read_casks(named)
        if len(children) != count:
            raise CaskbookError(f"--as names {number_of(len(children), 'cask')}: --into says {count}")
        return children
    if first is None:
        raise CaskbookError("which numbers do the new casks get? --as ID… or --first-id ID")
    start = cask_id(first)
    digits = len(start) - len(start.rstrip("0123456789"))
    last = int(start[-digits:]) + count - 1
    return read_casks([f"{start}..{start[:-digits]}{last:0{digits}d}"]) if count > 1 else [start]


def _gave(request: Request) -> list[int | None]:
    text = request.one("gave", "convert") or request.one("staves", "convert")
    if text is None:
        return [None] * len(request.casks)
    counts = [int(part) if part.isdecimal() else -1 for part in split(text)]
    if len(counts) not in (1, len(request.casks)) or min(counts) < 0:
        raise CaskbookError(f"--gave {text[:30]}: staves from each parent: one number for all, or one for each")
    return [*counts] * len(request.casks) if len(counts) == 1 else [*counts]


def _convert_known(desk: Desk, request: Request, asker: Asker) -> Built:
    """A parent forgotten at first: its children are in the book, only its own file is written."""
    if ("convert", "children") not in request.given:
        raise CaskbookError("convert: into what? --into N TYPE with --as ID… or --first-id ID")
    return build(desk, request, asker)


def _swap(desk: Desk, request: Request, asker: Asker) -> Built:
    """The two entries of a swap of heads, one in each cask, the first with the minutes and the material. CaskbookError where there are not two casks of the book."""
    built = Built()
    other = request.one("with", "swap-heads")
    if len(request.casks) != 1 or other is None:
        raise CaskbookError("swap-heads takes one cask and --with the other: enter swap-heads TH-004217 --with TH-004218 --heads A --why …")
    pair = (request.casks[0], cask_id(other))
    if pair[0] == pair[1]:
        raise CaskbookError(f"{pair[0]} cannot swap heads with itself")
    common = common_of_lot(desk, request, asker, "swap-heads", built)
    for cask, its_other in (pair, pair[::-1]):
        page = desk.page(cask)
        if page.record is None:
            raise CaskbookError(f"{desk.ledger.absent(cask)}; if it is new, enter its receipt first")
        entry = entry_for(desk, request, asker, page, "swap-heads", built, str(common["sheet"]), {"with": its_other})
        if entry is not None:
            told_once = {key: value for key, value in entry.data.items() if cask == pair[0] or key not in WORK}
            built.entries.append(replace(entry, data=told_once))
    return built
