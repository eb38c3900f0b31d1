"""Where figures come from and what to be careful about: reviewed data, loaded once and checked at start."""

from witnessmark.reference.library import Caution, Source, SourceId, caution, cautions, source, sources

__all__ = ["Caution", "Source", "SourceId", "caution", "cautions", "source", "sources"]
