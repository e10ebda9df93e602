"""Words of house.yaml that name nothing: a store that no berth lies in, a type that is none, a liquor in a spelling that no cask has."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from datetime import date
from typing import Any

from caskbook.core.finding import Fault, Severity
from caskbook.model.house import House, Settings, is_dated
from caskbook.model.invalid import nearest, shown
from caskbook.words import CASK_TYPES, canonical, is_known
from caskbook.words.lookup import is_never_filled, is_wine

CODES: dict[str, Severity] = {"setting-names-nothing": "warning"}
_Word = tuple[str, tuple[str | int, ...], bool]


def naming_nothing(house: House, today: date, held: Callable[[str], bool] = lambda _: True) -> Iterator[Fault]:
    """setting-names-nothing: a word in `loss_table`, `temperate_stores` or `wood_left` that no store, type or liquor has.

    Why: the line is without effect, and a cask is held against what is usual where the house has a figure of its own.
    Wrong:
        # house.yaml
        stores: {W1: warehouse 1}
        loss_table: {hogshead/W1: 1.6}
    Right:
        # house.yaml
        stores: {W1: warehouse 1}
        loss_table: {hogshead/warehouse 1: 1.6}
    """
    stores = [pair for day in (date.min, *house.starts) for pair in house.on(day).stores.items()]
    of_prefix, names = dict(stores), dict.fromkeys(store for _, store in stores)
    settings = house.on(today)
    for root, raw in (((), house.raw), *((("types", kind), own) for kind, own in house.types.items() if isinstance(own, dict))):
        for word, place, on_key in _words(raw, root, "loss_table"):
            if not _is_row(word, names):
                yield _fault(word, place, _meant_row(word, of_prefix, names), "no type of cask and no store of the house", on_key=on_key)
        for word, place, on_key in _words(raw, root, "temperate_stores"):
            if word not in names:
                yield _fault(word, place, of_prefix.get(word) or nearest(word, [*names]), "no store of the house", on_key=on_key)
        for word, place, on_key in _words(raw, root, "wood_left"):
            if meant := _other_spelling(word, settings):
                yield _fault(word, place, meant, "no cask held what is spelled so", on_key=on_key)
            elif is_never_filled(word):
                yield _fault(word, place, None, "no liquor: a cask that held none has no such rate", on_key=on_key)
            elif not _is_liquor(word, settings) and not held(word):
                yield _fault(word, place, None, "no liquor, and no cask held it", on_key=on_key)


def _fault(word: str, place: tuple[str | int, ...], meant: str | None, what: str, *, on_key: bool) -> Fault:
    remedy = f"write `{meant}` if you meant that" if meant else "correct it, or take it out: it is without effect"
    return Fault("setting-names-nothing", CODES["setting-names-nothing"], f"{shown(word)}: {what}", place, remedy, on_key)


def _words(raw: dict[str, Any], root: tuple[str | int, ...], name: str) -> Iterator[_Word]:
    """The keys of a map, or the words of a list, each with its place and whether it is a key; of a dated setting those of all its rows."""
    written: Any = raw.get(name)
    rows = [((*root, name, n, "value"), row["value"]) for n, row in enumerate(written)] if is_dated(written) else [((*root, name), written)]
    for place, value in rows:
        if isinstance(value, dict):
            yield from ((word, (*place, word), True) for word in value)
        elif isinstance(value, list):
            yield from ((word, (*place, n), False) for n, word in enumerate(value))


def _is_row(word: str, stores: Container[str]) -> bool:
    """Whether a figure is looked up under this word: TYPE, STORE or TYPE/STORE."""
    kind, slash, store = word.partition("/")
    return word in stores or (kind in CASK_TYPES and (not slash or store in stores))


def _meant_row(word: str, of_prefix: Mapping[str, str], names: Iterable[str]) -> str | None:
    """The row that was likely meant: by the beginning of a store's berths, or by a near word."""
    kind, slash, store = word.partition("/")
    if word in of_prefix:
        return of_prefix[word]
    if slash and kind in CASK_TYPES and store in of_prefix:
        return f"{kind}/{of_prefix[store]}"
    return nearest(word, [*CASK_TYPES, *names, *(f"{one}/{name}" for one in CASK_TYPES for name in names)])


def _is_liquor(word: str, settings: Settings) -> bool:
    return settings.spirit_word(word) is not None or is_wine(word, settings.wine_words)


def _other_spelling(word: str, settings: Settings) -> str | None:
    """What a cask's file calls the liquor that this word spells otherwise, or comes near to; None of one that may be the house's own."""
    for kind, extra in (("spirit", ()), ("wine", settings.wine_words)):
        if is_known(kind, word, extra):
            known = canonical(kind, word, extra)
            return known if known != word else None
    return settings.nearest_spirit(word)
