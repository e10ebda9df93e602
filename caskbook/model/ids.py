"""Minting event ids whose plain string order is the order of the work; clock and random bits come from the caller."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Collection, Iterable
from datetime import UTC, date, datetime, timedelta

from caskbook.core.finding import CaskbookError

CASK_ID = r"^[A-Z][A-Z0-9]*(-[A-Z0-9]+)*-[0-9]{4,9}$"
_CASK_ID = re.compile(CASK_ID)
DIGITS = "0123456789abcdefghjkmnpqrstvwxyz"
ID_FORM = "8 or more of 0-9 and a-z, without i l o u"
"""The form of an event id in words."""
_PLAIN_32 = str.maketrans(DIGITS, "0123456789abcdefghijklmnopqrstuv")
"""Each digit as `int` has it in base 32."""
ID_PATTERN = re.compile(r"[a-hjkmnp-tv-z][0-9a-hjkmnp-tv-z]{7}(?:[0-9a-hjkmnp-tv-z]{0,54}[1-9a-hjkmnp-tv-z])?")
EPOCH = datetime(2000, 1, 1, tzinfo=UTC)

RandomBits = Callable[[int], int]

ID_LENGTH = 8
"""Characters of an id that was minted by itself; one put between others is longer."""
_LENGTH = ID_LENGTH
MOST_LENGTH = 63
"""Characters of the longest id."""
_BASE = 10 << 35
_TOP = (32 << 35) - 1
_RANDOM = 14
_ATTEMPTS = 20_000
_LONG = 24
"""From so many characters on an id is cut where that leaves room, for it has to be put behind another and again."""
_RANKS = 1 << 16
"""Minutes below this stand for the rank of an imported row: mid-February 2000, long before the first live entry."""


def is_cask_id(text: str) -> bool:
    """Whether the text has the form of a cask id (and so can name no path outside casks/)."""
    return len(text) <= 24 and _CASK_ID.fullmatch(text) is not None


def _encode(number: int, width: int) -> str:
    digits = []
    for _ in range(width):
        number, digit = divmod(number, 32)
        digits.append(DIGITS[digit])
    return "".join(reversed(digits))


def _decode(text: str) -> int:
    number = 0
    for digit in text:
        number = number * 32 + DIGITS.index(digit)
    return number


_LOWEST = _encode(_BASE, _LENGTH)


def is_id(text: str) -> bool:
    """Whether the text has the form of an event id: eight digits, a letter first; an extension never ends in 0."""
    return ID_PATTERN.fullmatch(text) is not None


def _checked(event_id: str) -> str:
    if not is_id(event_id):
        raise CaskbookError(f"event id {event_id[:40]!r} is not eight digits of lower-case Crockford base32")
    return event_id


def mint_id(now_utc: datetime, *, day_ids: Iterable[str], random_bits: RandomBits, taken: Collection[str] = ()) -> str:
    """An id above every one of `day_ids` (ids of the same date, of all files that will share it) and not in `taken`.

    What stands in `day_ids` and has not the form of an id is passed over.
    `now_utc` is an aware time; `random_bits(n)` gives n random bits from a source that cannot be guessed.
    """
    minutes = int((now_utc - EPOCH) // timedelta(minutes=1))
    number = _BASE + (minutes << _RANDOM)
    if minutes < _RANKS or number > _TOP:
        raise CaskbookError(f"the clock says {now_utc:%Y-%m-%d %H:%M}: event ids reach from February 2000 to 2087")
    last = max(filter(is_id, day_ids), default="")
    for attempt in range(_ATTEMPTS):
        bits = _stirred(random_bits, attempt)
        candidate = _encode(number + bits(_RANDOM), _LENGTH)
        if last and candidate <= last:
            candidate = _after(last, bits)
        if candidate not in taken and is_id(candidate):
            return candidate
    raise CaskbookError("no free event id found for this minute; try again in the next")


def _stirred(random_bits: RandomBits, attempt: int) -> RandomBits:
    """Other bits at each attempt, even from a source that repeats itself."""
    return lambda n: (random_bits(n) + attempt) % (1 << n)


def _after(last: str, random_bits: RandomBits) -> str:
    number = _decode(last[:_LENGTH]) + 1 + random_bits(10)
    return _encode(number, _LENGTH) if number <= _TOP else _extended(last, random_bits)


def _extended(event_id: str, random_bits: RandomBits) -> str:
    return event_id + DIGITS[random_bits(5)] + DIGITS[1 + random_bits(10) % 31]


def mint_between(before_id: str | None, after_id: str | None, *, random_bits: RandomBits, taken: Collection[str] = (), longer: bool = False) -> str:
    """An id above `before_id` and below `after_id`, both of one date; None where the date has no such neighbour.

    It lengthens `before_id`, unless that is long already and not `longer` alone will do: then its last digits are left out where that
    leaves room. Without a `before_id` it lies a little below `after_id`. CaskbookError where nothing fits.
    """
    lower = _checked(before_id) if before_id is not None else None
    upper = _checked(after_id) if after_id is not None else None
    if lower is not None and upper is not None and lower >= upper:
        raise CaskbookError(f"no event id fits between {lower} and {upper}: they are not in order")
    for attempt in range(_ATTEMPTS):
        bits = _stirred(random_bits, attempt)
        candidate = (None if longer else _cut(lower, upper, bits)) or _between(lower, upper, bits, attempt)
        if candidate not in taken and is_id(candidate):
            return candidate
        if len(candidate) > MOST_LENGTH:
            break
    below = f" and below {upper}" if upper else ""
    raise CaskbookError(f"no event id is left above {lower}{below}: void what stands there, and enter it anew on its day")


def _cut(lower: str | None, upper: str | None, random_bits: RandomBits) -> str | None:
    """An id above a long one that is shorter: the digits by which it was lengthened once, counted on, and two more; None where it is
    not long, or nothing so short lies below `upper`."""
    if lower is None or len(lower) < _LONG:
        return None
    for length in range(_LENGTH, len(lower) - 2, 2):
        ahead = _decode(lower[length : length + 2]) + 1 + random_bits(2)
        if ahead < 1 << 10:
            candidate = _extended(lower[:length] + _encode(ahead, 2), random_bits)
            if upper is None or candidate < upper:
                return candidate
    return None


def _between(lower: str | None, upper: str | None, random_bits: RandomBits, attempt: int) -> str:
    if lower is None and upper is None:
        raise CaskbookError("an event id between no neighbours: mint one from the clock")
    if lower is None:
        assert upper is not None
        return _below(upper, random_bits)
    if upper is None or not upper.startswith(lower):
        # There are more digits once the two-digit extensions seem to be used up.
        return _extended(lower + "".join(DIGITS[random_bits(5)] for _ in range(attempt // 100)), random_bits)
    return lower + _fraction_below(upper[len(lower) :], random_bits)


def _below(upper: str, random_bits: RandomBits) -> str:
    head = upper[:_LENGTH]
    number = _decode(head) - 1 - random_bits(10)
    if number >= _BASE:
        return _encode(number, _LENGTH)
    if len(upper) > _LENGTH:
        return head + _fraction_below(upper[_LENGTH:], random_bits)
    if head == _LOWEST:
        raise CaskbookError(f"no event id fits below {upper}")
    return _extended(_encode(_decode(head) - 1, _LENGTH), random_bits)  # The rows of a sheet lie so low that there may be no room for a jump.


def _fraction_below(tail: str, random_bits: RandomBits) -> str:
    """A tail below this one. Without a last 0, tails sort as the base-32 fractions they spell. A long one is not lengthened while there is room."""
    more = 0 if len(tail) >= _LONG - _LENGTH and _decode(tail) >= 1 << 10 else 2
    width = len(tail) + more
    number = 1 + random_bits(5 * width) % (_decode(tail) * 32**more - 1)
    return _encode(number - 1 if number % 32 == 0 else number, width)


def mint_replacement(old_id: str, taken: Collection[str], random_bits: RandomBits, below: str | None = None) -> str:
    """The id of an event that replaces `old_id` on the same date: the old one and two digits (more if all are taken, or where `below`,
    the next id of that date, is the old one lengthened itself).
    """
    return mint_between(old_id, below, random_bits=random_bits, taken=taken)


def _content_bits(content_hash: bytes, day: date) -> int:
    digest = hashlib.sha256(day.isoformat().encode() + b"\0" + content_hash).digest()
    return int.from_bytes(digest[:4], "big") & ((1 << _RANDOM) - 1)


def import_id(rank: int, content_hash: bytes, day: date, taken: Collection[str] = ()) -> str:
    """The id of an imported row: `rank` of the row within its cask and day, `content_hash` of its content and occurrence.

    The same row gives the same id each time; where another date's row holds it (`taken`), it is lengthened.
    """
    if not 0 <= rank < _RANKS:
        raise CaskbookError(f"rank {rank} of an imported row: expected 0 to {_RANKS - 1}")
    candidate = _encode(_BASE + (rank << _RANDOM) + _content_bits(content_hash, day), _LENGTH)
    number = int.from_bytes(hashlib.sha256(content_hash).digest()[:8], "big")
    while candidate in taken or candidate == _LOWEST:  # The lowest is lengthened, for something may have to stand before it.
        candidate = candidate[:_LENGTH] + _encode(number % (1 << 20) | 1, 4)
        number += 2
    return candidate


def same_import(event_id: str, content_hash: bytes, day: date) -> bool:
    """Whether an id of that day came from a row of this content, whatever its rank was then."""
    if not is_id(event_id) or id_minute(event_id) is not None:
        return False
    return _decode(event_id[:_LENGTH]) & ((1 << _RANDOM) - 1) == _content_bits(content_hash, day)


def import_after(last: str, content_hash: bytes, taken: Collection[str] = ()) -> str:
    """The id of an imported row of a day that has live entries, above the last of them: that one's digits, a rank, and twenty bits
    of a hash of the row's content and occurrence. CaskbookError where no rank is left.
    """
    head, tail = last[:_LENGTH], last[_LENGTH:]
    rank = _decode(tail[:2].ljust(2, "0")) + 1 if tail else 0
    while rank < 1 << 10:
        candidate = head + _encode(rank, 2) + _after_bits(content_hash)
        if candidate > last and candidate not in taken:
            return candidate
        rank += 1
    raise CaskbookError(f"no event id is left above {last}: enter this row by itself")


def _after_bits(content_hash: bytes) -> str:
    number = int.from_bytes(hashlib.sha256(content_hash).digest()[8:16], "big") % (1 << 20)
    return _encode(number if number % 32 else number + 1, 4)


def imported_after(event_id: str, content_hash: bytes) -> bool:
    """Whether an id came from a row of this content that was put above live entries; a merge may have lengthened it since."""
    return is_id(event_id) and event_id[_LENGTH + 2 : _LENGTH + 6] == _after_bits(content_hash)


def import_between(lower: str | None, upper: str, content_hash: bytes, taken: Collection[str] = ()) -> str:
    """The id of an imported row that was put in between two entries of a day, or before its first (`lower` None): the digits of the one
    before it, else those just below the first, a rank, and twenty bits of a hash of the row's content and occurrence.

    CaskbookError where nothing fits.
    """
    if lower is not None:
        return import_in_place(lower, content_hash, taken, upper)
    head = upper[:_LENGTH]
    if upper == _LOWEST:
        raise CaskbookError(f"no event id fits below {upper}")
    low = head + "0" * (len(upper) - _LENGTH) if head == _LOWEST else _encode(_decode(head) - 1, _LENGTH)
    return import_in_place(low, content_hash, taken)


def imported_between(event_id: str, content_hash: bytes) -> bool:
    """Whether an id came from a row of this content that was put in above another entry, whatever digits that had."""
    return is_id(event_id) and _after_bits(content_hash) in event_id[_LENGTH + 2 :]


def import_in_place(old_id: str, content_hash: bytes, taken: Collection[str] = (), below: str | None = None) -> str:
    """The id of an imported row that replaces `old_id` on the same date: that id, a rank, and twenty bits of a hash of the row's content
    and occurrence. `below` is the next id of that date. CaskbookError where no rank is left.
    """
    room = "0" * (len(below) - len(old_id)) if below is not None and below.startswith(old_id) else ""
    for length in range(_LENGTH, len(old_id) - 2, 2) if len(old_id) >= _LONG else ():
        for rank in range(_decode(old_id[length : length + 2]) + 1, 1 << 10):
            candidate = old_id[:length] + _encode(rank, 2) + _after_bits(content_hash)
            if below is not None and candidate >= below:
                break
            if candidate not in taken:
                return candidate
    for rank in range(1 << 10):
        candidate = old_id + room + _encode(rank, 2) + _after_bits(content_hash)
        if candidate not in taken and is_id(candidate):
            return candidate
    raise CaskbookError(f"no event id is left above {old_id}: enter this row by itself")


def imported_in_place(event_id: str, old_id: str, content_hash: bytes) -> bool:
    """Whether an id came from a row of this content that replaced `old_id` on the same date."""
    return is_id(event_id) and event_id.startswith(old_id) and _after_bits(content_hash) in event_id[len(old_id) + 2 :]


def of_one_row(one: str, other: str) -> bool:
    """Whether two ids of a day, of entries that say the same, were made of one row of a sheet that was read in two places: the row's own bits are the same, be its rank or the
    entry that it stands behind another; where one of them has a rank alone, and the other stands behind a live entry, their bits cannot be compared."""
    if not (is_id(one) and is_id(other)):
        return False
    low, lower = (id_minute(event_id) is None for event_id in (one, other))
    if low and lower:
        first, second = (_decode(event_id[:_LENGTH]) for event_id in (one, other))
        return first != second and first % (1 << _RANDOM) == second % (1 << _RANDOM)
    tails = [event_id[_LENGTH + 2 : _LENGTH + 6] for event_id, is_low in ((one, low), (other, lower)) if not is_low]
    return all(len(tail) == 4 for tail in tails) and len(set(tails)) == 1


def id_minute(event_id: str) -> datetime | None:
    """The minute (UTC) in which an id was minted; None for an imported row and for what is no id."""
    if not is_id(event_id):
        return None
    minutes = (int(event_id[:_LENGTH].translate(_PLAIN_32), 32) - _BASE) >> _RANDOM  # Asked of each entry of a year: faster than digit by digit.
    return EPOCH + timedelta(minutes=minutes) if minutes >= _RANKS else None
