"""`python -m tests.evaluation.vacuum [seed]`: the verdicts on the standing curves; without a seed on both open ones."""

import sys

from tests.evaluation.vacuum.curves import SEEDS
from tests.evaluation.vacuum.score import page

for seed in map(int, sys.argv[1:]) if sys.argv[1:] else SEEDS:
    sys.stdout.write(page(seed) + "\n")
