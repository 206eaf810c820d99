"""Human slips in the examples: whether the first message names the line of the slip.

Run: python benchmarks/beginners.py [COUNT]. Needs what the tests need. Prints how many slips of
each kind were made, how many left a spec that is sound, and how many of the others were told where
they are; ends with 1 when under 95 of 100 were, or when a message holds a word of a parser.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from human_slips import SLIPS, slipped, told_where
from tables import head, row

from helpers import EXAMPLES


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    made: Counter[str] = Counter()
    ends: Counter[tuple[str, str]] = Counter()
    for number in range(count):
        path = EXAMPLES[number % len(EXAMPLES)]
        slip = slipped(path.read_text("utf-8"), random.Random(number))
        made[slip.name] += 1
        ends[slip.name, told_where(slip, path.parent)] += 1
    head("slip", "made", "left a sound spec", "first message within a line", "another message",
         "not told")  # fmt: skip
    kinds = ("sound", "first", "later", "not")
    for name in SLIPS:
        row(name, made[name], *(ends[name, kind] for kind in kinds))
    sums = {kind: sum(ends[name, kind] for name in SLIPS) for kind in kinds}
    row("all", count, *sums.values())
    sys.exit(sums["first"] < 0.95 * (count - sums["sound"]))


if __name__ == "__main__":
    main()
