"""Charts of a report, read on paper and by colour-blind readers too; the same input gives the same bytes."""

from __future__ import annotations

import io
import textwrap
import threading
from collections.abc import Callable, Sequence
from itertools import pairwise

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from witnessmark.casework.report.blocks import Form, Point
from witnessmark.casework.report.numbers import signed

INK, QUIET, FOR, AGAINST = "#22313f", "#7a858f", "#0b5c74", "#c06014"
WIDTH, RESOLUTION = 7.0, 130
ROW, FRAME, HEIGHT = 0.34, 1.1, 3.1
LABEL_LINE, LABEL_GAP, LABEL_WIDTH = 0.14, 0.08, 44
"""Height of a line of a label and of what stands between two labels, inches; signs on a line of one."""
_ONE_AT_A_TIME = threading.Lock()


def evidence(
    names: Sequence[str], weights: Sequence[float], words: str, form: Form, number: Callable[[str], str] = str
) -> bytes:
    """Bars for and against, in decibans. words: of the axis. number: a number as the language writes it."""
    labels = [_wrapped(name) for name in names]
    heights = [max(1.0, (LABEL_LINE * (label.count("\n") + 1) + LABEL_GAP) / ROW) for label in labels]
    rows = [sum(heights[:k]) + height / 2 for k, height in enumerate(heights)]
    axes = _axes(FRAME + ROW * sum(heights))
    for row, weight in zip(rows, weights, strict=True):
        mine = weight >= 0
        axes.barh(row, weight, 0.62, color=FOR if mine else "white", edgecolor=FOR if mine else AGAINST,
                  hatch="" if mine else "////")  # fmt: skip
        axes.annotate(number(signed(weight)), (weight, row), (4 if mine else -4, 0), textcoords="offset points",
                      ha="left" if mine else "right", va="center", fontsize=8, color=INK)  # fmt: skip
    axes.set_yticks(rows, labels, fontsize=8)
    axes.invert_yaxis()
    axes.axvline(0, color=INK, linewidth=0.9)
    span = max((abs(weight) for weight in weights), default=1.0) * 1.25 or 1.0
    low = -span if min(weights, default=0.0) < 0 else -0.08 * span
    axes.set_xlim(low, span)
    axes.set_xlabel(words, fontsize=8)
    return _drawn(axes, form)


def curve(
    points: Sequence[Point],
    words: tuple[str, str],
    form: Form,
    limit: float | None = None,
    breaks: Sequence[int] = (),
) -> bytes:
    """Readings over time with their intervals, and the limit as a dashed line. words: of both axes.

    breaks: positions of points at which something new was fitted, so that no line leads there.
    """
    axes = _axes(HEIGHT)
    values = [point[1] for point in points]
    for first, last in pairwise(sorted({0, *breaks, len(points)})):
        _line(axes, points[first:last])
    for position in breaks:
        axes.axvline(points[position][0], color=QUIET, linestyle=":", linewidth=1.0)
    if limit is not None:
        axes.axhline(limit, color=AGAINST, linestyle="--", linewidth=1.3)
    axes.set_ylim(bottom=min(0.0, *values))
    axes.set_xlabel(words[0], fontsize=8)
    axes.set_ylabel(words[1], fontsize=8)
    return _drawn(axes, form)


def _line(axes: Axes, points: Sequence[Point]) -> None:
    """One unbroken piece of a curve."""
    below = [max(0.0, value - low) for _, value, low, _ in points]
    above = [max(0.0, high - value) for _, value, _, high in points]
    times, values = [point[0] for point in points], [point[1] for point in points]
    axes.errorbar(times, values, yerr=[below, above], fmt="o-", color=FOR, ecolor=QUIET, capsize=3, linewidth=1.4)


def _axes(height: float) -> Axes:
    figure = Figure((WIDTH, height), layout="constrained")
    axes = figure.add_subplot()
    axes.tick_params(labelsize=8, colors=INK)
    axes.grid(visible=True, color="#dde3e8", linewidth=0.6)
    axes.set_axisbelow(b=True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return axes


def _drawn(axes: Axes, form: Form) -> bytes:
    figure, stream = axes.figure, io.BytesIO()
    assert isinstance(figure, Figure)  # noqa: S101 - made above
    with _ONE_AT_A_TIME, mpl.rc_context({"svg.hashsalt": "witnessmark", "svg.fonttype": "none"}):
        if form == "svg":
            FigureCanvasSVG(figure).print_svg(stream, metadata={"Date": None, "Creator": None})  # type: ignore[no-untyped-call]
        else:
            figure.set_dpi(RESOLUTION)
            FigureCanvasAgg(figure).print_png(stream, metadata={"Software": None})  # type: ignore[no-untyped-call]
    return stream.getvalue()


def _wrapped(text: str) -> str:
    """A whole label on as many lines as it takes, without what a text of mathematics would begin with."""
    return "\n".join(textwrap.wrap(text.replace("$", ""), LABEL_WIDTH)) or " "
