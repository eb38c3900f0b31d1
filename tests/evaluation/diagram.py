"""Reliability diagrams: what was claimed against how often it came true, with the interval and the number of claims.

Plain SVG, so that the same figures give the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from witnessmark.diagnosis.evaluation.outcomes import BINS, Claims

SIDE, EDGE, TOP, FOOT = 300, 44, 46, 44
"""Of one panel: length of the axes, room on the left, above and below."""
WIDTH, HEIGHT = SIDE + EDGE + 24, SIDE + TOP + FOOT
FEW = 20
"""A bin with fewer claims is drawn hollow: its share means little."""


@dataclass(frozen=True, slots=True)
class Point:
    """One bin: mean claimed, share true, the ends of its interval, number of claims."""

    claimed: float
    true: float
    low: float
    high: float
    number: int


def points(claims: Claims) -> tuple[Point, ...]:
    """The bins that hold any claim; the interval is a bootstrap over whole cases."""
    gaps = (claims.gap(k, k + 1) for k in range(BINS))
    held = zip(claims.reliability, (gap for gap in gaps if gap.sample), strict=True)
    return tuple(
        Point(claimed, true, max(claimed - gap.high, 0.0), min(claimed - gap.low, 1.0), number)
        for (claimed, true, number), gap in held
    )


def svg(title: str, panels: Sequence[tuple[str, Sequence[Point]]]) -> str:
    """A picture with a panel for each named set of points."""
    size = f'viewBox="0 0 {WIDTH * len(panels)} {HEIGHT}"'
    drawn = (f'<g transform="translate({k * WIDTH} 0)">{"".join(_panel(*panel))}</g>' for k, panel in enumerate(panels))
    head = f'<svg xmlns="http://www.w3.org/2000/svg" {size} font-family="sans-serif" font-size="12">'
    ground = f'<title>{escape(title)}</title><rect width="100%" height="100%" fill="white"/>'
    return "\n".join([head, ground, *drawn, "</svg>"]) + "\n"


def _panel(name: str, some: Sequence[Point]) -> Iterator[str]:
    left, right, bottom = EDGE, EDGE + SIDE, TOP + SIDE
    yield f'<text x="{left}" y="20">{escape(name)}</text>'
    yield f'<path d="M{left} {TOP}V{bottom}H{right}" fill="none" stroke="black"/>'
    yield f'<path d="M{left} {bottom}L{right} {TOP}" stroke="#888" stroke-dasharray="4"/>'
    yield f'<text x="{left + SIDE / 2:g}" y="{bottom + 34}" text-anchor="middle">claimed</text>'
    yield f'<text x="{left - 30}" y="{TOP - 10}">came true</text>'
    for part in (0.0, 0.5, 1.0):
        yield f'<text x="{_x(part)}" y="{bottom + 16}" text-anchor="middle">{part:g}</text>'
        yield f'<text x="{left - 8}" y="{_y(part)}" text-anchor="end">{part:g}</text>'
    for point in some:
        fill = "white" if point.number < FEW else "#1f5fa8"
        x = _x(point.claimed)
        yield f'<path d="M{x} {_y(point.low)}V{_y(point.high)}" stroke="#1f5fa8"/>'
        yield f'<circle cx="{x}" cy="{_y(point.true)}" r="4" fill="{fill}" stroke="#1f5fa8">'
        yield f"<title>{point.true:.2f} of {point.number} claims of {point.claimed:.2f}</title></circle>"


def _x(share: float) -> str:
    return f"{EDGE + SIDE * share:.1f}"


def _y(share: float) -> str:
    return f"{TOP + SIDE * (1 - share):.1f}"
