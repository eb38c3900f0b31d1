"""Properties are tried on the same examples in every run, so that one commit has one result.

`HYPOTHESIS_PROFILE=search make unit` looks for new ones, ten times as many.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", max_examples=1000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
