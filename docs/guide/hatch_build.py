"""What the build of the wheel does besides packing: it builds the guide into the package, for an editable one too."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class GuideHook(BuildHookInterface[Any]):
    """Builds the guide before the files of the wheel are gathered."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002 - the interface's
        """Build it, unless it is there and up to date."""
        sys.path.insert(0, str(Path(self.root)))
        try:
            from docs.guide.build import build  # noqa: PLC0415 - lies beside the project file, not on the path of the builder
        finally:
            sys.path.remove(str(Path(self.root)))
        build()
