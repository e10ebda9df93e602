"""`python -m loss.simulator [CASKS [SEED ...]]`, with `tests` on the path: the table of the verdicts as they are, for the seeds named.

Without seeds one is drawn anew and printed. CASKS is for each habit (300). The exit code is 1 where a floor does not hold.
"""

from __future__ import annotations

import sys
from random import SystemRandom

from loss.simulator.floors import broken
from loss.simulator.scoring import join, score
from loss.simulator.telling import text


def main(words: list[str]) -> int:
    """Print the table, and which floors do not hold."""
    casks = int(words[0]) if words else 300
    seeds = [int(word) for word in words[1:]] or [SystemRandom().randrange(10**9)]
    print(f"{casks} casks for each habit, seeds {' '.join(map(str, seeds))}")
    table = join([score(casks, seed) for seed in seeds])
    print(text(table))
    found = broken(table)
    print("\n".join(["", "below the floor:", *found] if found else ["", "every floor holds"]))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
