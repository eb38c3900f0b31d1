"""Is the service alive and ready."""

from __future__ import annotations

from witnessmark_client._base import Base, R_co


class Health(Base[R_co]):
    """Is the service alive and ready."""

    def livez(self) -> R_co:
        """Does the process answer."""
        return self._get("/livez")

    def readyz(self) -> R_co:
        """Does the process take work."""
        return self._get("/readyz")
