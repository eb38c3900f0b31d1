"""`python -m tests.evaluation.vacuum [seed ...]`: the verdicts on the standing curves, and what nobody could better.

Without a seed on both open ones.
"""

import sys

from tests.evaluation.vacuum.curves import SEEDS
from tests.evaluation.vacuum.oracle import lines
from tests.evaluation.vacuum.score import drawn, page
from tests.evaluation.vacuum.strata import lines as strata

for seed in map(int, sys.argv[1:]) if sys.argv[1:] else SEEDS:
    sys.stdout.write("\n".join([page(seed), *lines(drawn(seed)), *strata(drawn(seed))]) + "\n")
