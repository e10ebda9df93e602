"""The buckets of a table that is told by cask: each file has the casks of one, so that who changed a few casks has few files written anew."""

from __future__ import annotations

from functools import lru_cache
from hashlib import blake2b

MOST_CASKS, MOST_BUCKETS = 1000, 256


def buckets_for(casks: int) -> int:
    """How many buckets a book of so many casks has: a power of two, so that a book that grows is parted anew a few times in its life."""
    many = 1
    while many < MOST_BUCKETS and casks > many * MOST_CASKS:
        many *= 2
    return many


@lru_cache(maxsize=1 << 18)
def bucket_of(cask: str | None, buckets: int) -> int:
    """The bucket of a cask, 0 of no cask: by its number alone, the same on every machine and in every year."""
    return int.from_bytes(blake2b(cask.encode("utf-8", "surrogatepass"), digest_size=4).digest()) % buckets if cask else 0
