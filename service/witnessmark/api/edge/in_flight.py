"""The requests that are being answered: refused one and all when the time to drain is over."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field


@dataclass(eq=False, slots=True)
class Exchange:
    """One request in its task. refused: told to end, so that the cancellation is ours and becomes an answer."""

    task: asyncio.Task[object] | None = field(default_factory=asyncio.current_task)
    refused: bool = False

    def refuse(self) -> None:
        """End it now."""
        if self.task is not None and not self.refused:
            self.refused = True
            self.task.cancel()

    def taken_back(self) -> bool:
        """Whether a cancellation that came was ours; it is then undone, so that the answer can be sent."""
        if self.refused and self.task is not None:
            self.task.uncancel()
        return self.refused


@dataclass(slots=True)
class InFlight:
    """All of this process."""

    exchanges: set[Exchange] = field(default_factory=set)

    def refuse_all(self) -> None:
        """Whatever is not answered yet is answered 503."""
        for exchange in tuple(self.exchanges):
            exchange.refuse()


in_flight = InFlight()
