"""What a calculation of this package assumed, warns of and quotes, collected on the way."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(slots=True)
class Notes:
    """Assumptions in words, cautions and sources by id; each stands once, in the order in which it came."""

    assumptions: dict[str, None] = field(default_factory=dict)
    cautions: dict[str, None] = field(default_factory=dict)
    sources: dict[str, None] = field(default_factory=dict)

    def assume(self, text: str) -> None:
        """Note an assumption."""
        self.assumptions[text] = None

    def warn(self, *ids: str) -> None:
        """Quote cautions."""
        self.cautions.update(dict.fromkeys(ids))

    def cite(self, *ids: str) -> None:
        """Quote sources."""
        self.sources.update(dict.fromkeys(ids))
