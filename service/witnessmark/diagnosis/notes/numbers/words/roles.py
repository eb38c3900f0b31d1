"""Whether a number was measured, is what was expected, or is a limit; and which of them belong together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Role, Segment
from witnessmark.diagnosis.notes.numbers.words.rows import QuantityRow

BACK = 4
"""Words that are looked at before or behind a number."""
_LONGEST_TERM = 7
_WEAK_TERM, _ADVICE = 4, 6
_NEAR, _APART = 4, 10
_READ_OUT = frozenset({"run-capacitor", "start-capacitor", "oil-drained"})


def ends_before(segment: Segment, kind: str, k: int) -> bool:
    """Whether a term of this kind ends at `k`, but for words that join."""
    for end in range(k, max(k - BACK, 0), -1):
        for start in range(end - 1, max(-1, end - _LONGEST_TERM), -1):
            found = segment.found[start].get(kind)
            if found is not None and found.end == end:
                return True
        named = kind == "limit" and any(label.start < end <= label.end for label in segment.labels)
        if not (named or "joints" in segment.found[end - 1] or segment.text(end - 1) in {"(", "-", "+"}):
            return False
    return False


def role_of(segment: Segment, k: int, end: int) -> tuple[Role, bool]:
    """The role that the words around lexemes `k` to `end` give; True where that needs something measured before."""
    if segment.says("advice", k - _ADVICE, k) and (
        segment.says("below", k - BACK, k) or segment.says("above", k - BACK, k)
    ):
        return "limit", False
    for kind, role in (("limit", "limit"), ("expected", "expected")):
        if ends_before(segment, kind, k):
            return role, False  # type: ignore[return-value]
    for kind, role in (("limit_after", "limit"), ("expected_after", "expected")):
        after = segment.at(end).get(kind)
        if after is not None and not _leads_on(segment, after.end):
            return role, False  # type: ignore[return-value]
    starts = range(k - 1, max(-1, k - _WEAK_TERM), -1)
    weakly = [segment.found[start].get("expected_weakly") for start in starts]
    return ("expected", True) if any(found is not None and found.end == k for found in weakly) else ("measured", False)


def _leads_on(segment: Segment, k: int) -> bool:
    """Whether the words from `k` on lead to a further number: `limit is 0.15`, `should be 28`."""
    for at in range(k, min(k + BACK, len(segment.lexemes))):
        if segment.is_number(at):
            return True
        if not {"joints", "expected", "expected_weakly", "limit"} & segment.found[at].keys() and segment.text(
            at
        ) not in {"be", "+"}:
            return False
    return False


@dataclass(frozen=True, slots=True)
class Taken:
    """The amounts of a segment with the quantity that each is taken for ("" for none) and whether a label said so."""

    segment: Segment
    quantities: Sequence[str]
    labelled: Sequence[bool]

    def row(self, k: int) -> QuantityRow:
        """The row of the quantity of the amount at `k`, which has one."""
        return self.segment.terms.quantities[self.quantities[k]]


def roles(taken: Taken) -> list[Role]:
    """The role of each amount. What is only weakly expected needs something measured just before it."""
    found: list[Role] = []
    for k, amount in enumerate(taken.segment.amounts):
        role = amount.role
        if amount.weak:
            near = k > 0 and amount.start - taken.segment.amounts[k - 1].end <= _NEAR
            named = taken.labelled[k] and taken.quantities[k] != taken.quantities[k - 1]
            close = near and not named and _beside(taken, k - 1, amount)
            role = "expected" if close else "measured"
            if close and found[k - 1] == "expected" and "measured" not in found:
                found[k - 1] = "measured"
        whole = "percent" in amount.units or amount.form == "change"
        found.append("measured" if whole and role == "expected" else role)
    return _read_out(taken, found)


def _read_out(taken: Taken, found: list[Role]) -> list[Role]:
    """`cap 45 reads 28`: what was printed stands before what was read."""
    amounts, quantities = taken.segment.amounts, taken.quantities
    for k in range(1, len(found)):
        same = quantities[k] == quantities[k - 1] and quantities[k] in _READ_OUT
        read = (amounts[k].read_out or _at(taken.segment, k)) and not amounts[k - 1].read_out
        if same and read and found[k] == found[k - 1] == "measured":
            found[k - 1] = "expected"
    return found


def _at(segment: Segment, k: int) -> bool:
    """`35 mfd run cap at 34`: the first names the part, the second stands behind it."""
    before, amount = segment.amounts[k - 1], segment.amounts[k]
    between = any(before.end == label.start and label.end < amount.start for label in segment.labels)
    return between and segment.text(amount.start - 1) in {"at", "is", "now", "="}


def _beside(taken: Taken, k: int, other: Amount) -> bool:
    """Whether the other amount may stand beside the measured one at `k`: of its dimension, or without unit."""
    if not taken.quantities[k] or not other.units:
        return bool(taken.quantities[k])
    return taken.row(k).dimension in taken.segment.dimensions(other)


def partner(taken: Taken, found: Sequence[Role], k: int, role: Role) -> Amount | None:
    """The expected value, or the limit, that stands beside the measured one at `k`; one behind it before one ahead."""
    others = [j for j in (*range(k + 1, len(found)), *range(k - 1, -1, -1)) if found[j] == role]
    takers = [i for i in range(len(found)) if found[i] == "measured" and _takes(taken, i, role)] if others else []
    if k not in takers:
        return None
    for j in others:
        other: Amount = taken.segment.amounts[j]
        fits = _beside(taken, k, other) and _same(taken, k, j) and not _apart(taken, found, k, j)
        # `509 on a 460 motor, amps 44 38 36`: what stands behind a reading is its own
        taken_before = k > j and j - 1 in takers
        out_of_place = taken_before or (other.weak and role == "expected" and j != k + 1)
        if fits and not out_of_place and abs(j - k) == min(abs(j - i) for i in takers):
            return other
    return None


def _takes(taken: Taken, k: int, role: Role) -> bool:
    """Whether an expected value, or a limit, says anything of a reading of this quantity."""
    if not taken.quantities[k]:
        return False
    row = taken.row(k)
    return bool(row.off_bands or (row.limit if role == "limit" else row.share_by or row.share_bands or row.beside))


def _apart(taken: Taken, found: Sequence[Role], k: int, j: int) -> bool:
    """Whether too many words, or a reading of something else, stand between."""
    amount, other = taken.segment.amounts[k], taken.segment.amounts[j]
    if max(amount.start, other.start) - min(amount.end, other.end) > _APART:
        return True
    between = range(min(j, k) + 1, max(j, k))
    return any(found[i] == "measured" and taken.quantities[i] not in {"", taken.quantities[k]} for i in between)


def _same(taken: Taken, k: int, j: int) -> bool:
    """Whether the label of the other amount allows that it stands beside this reading."""
    other = taken.quantities[j]
    if not other or other == taken.quantities[k] or not taken.labelled[j]:
        return True
    evident = any(name.startswith("~") for name in taken.row(j).bare)
    alike = taken.row(j).dimension == taken.row(k).dimension and other != "locked-rotor-current"
    return alike or (not taken.segment.amounts[j].units and not evident)


def locked_rotor(taken: Taken, found: Sequence[Role], k: int) -> Amount | None:
    """The locked-rotor current of the nameplate beside a current that is nearer to it than to a rated one beside."""
    locked, running = "locked-rotor-current", "running-current"
    if taken.quantities[k] not in {running, locked}:
        return None
    rated = [j for j, role in enumerate(found) if j != k and role == "expected"]
    plate = next((j for j in rated if locked in {taken.quantities[j], taken.quantities[k]}), None)
    if plate is None:
        return None
    amounts, read = taken.segment.amounts, max(taken.segment.amounts[k].values)
    others = [amounts[j].values[0] for j in rated if taken.quantities[k] == running == taken.quantities[j]]
    nearer = any(abs(read - other) < abs(read - amounts[plate].values[0]) for other in others)
    return None if nearer else amounts[plate]


def at_rest(taken: Taken, k: int) -> Amount | None:
    """The higher voltage of the same place beside one during a start."""
    highest = max(taken.segment.amounts[k].values)
    for j, amount in enumerate(taken.segment.amounts):
        volts = not amount.units or "voltage" in taken.segment.dimensions(amount)
        if j != k and volts and len(amount.values) == 1 and amount.values[0] > highest:
            return amount
    return None
