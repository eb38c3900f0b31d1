"""Work that the processes of the tests do."""

import os
import time
from typing import Any


def done(job: Any) -> Any:
    if job == "die":
        os._exit(1)
    if job == "sleep":
        time.sleep(60)
    return ("done", job, os.getpid())
