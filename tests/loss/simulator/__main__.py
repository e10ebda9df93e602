"""`python -m loss.simulator [CASKS [SEED ...]]`, with `tests` on the path: the table of the verdicts as they are, for the seeds named.

Without seeds one is drawn anew and printed. CASKS is for each habit (600).
"""

from __future__ import annotations

import sys
from random import SystemRandom

from loss.simulator.scoring import join, score
from loss.simulator.telling import text


def main(words: list[str]) -> None:
    """Print the table."""
    casks = int(words[0]) if words else 600
    seeds = [int(word) for word in words[1:]] or [SystemRandom().randrange(10**9)]
    print(f"{casks} casks for each habit, seeds {' '.join(map(str, seeds))}")
    print(text(join([score(casks, seed) for seed in seeds])))


if __name__ == "__main__":
    main(sys.argv[1:])
