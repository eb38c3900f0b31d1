"""One number with its unit and all that is joined to it: `22/31/24`, `2 to 4 K`, `14 lb 3 oz`, `20, 23 and 18.5 A`."""

from __future__ import annotations

from witnessmark.diagnosis.notes.numbers.words.amounts import Amount, Form, Segment
from witnessmark.diagnosis.notes.numbers.words.roles import BACK, ends_before, role_of
from witnessmark.diagnosis.notes.numbers.words.sides import can_be_sides
from witnessmark.diagnosis.notes.numbers.words.terms import Found

_LISTED = 6
_OUNCES = 16
_COMMAS = (",", "and", "&")
_BETWEEN_SIDE = frozenset({"a", "an", "the", ":", "=", "about"})
_NO_COUNT = frozenset({"joints", "label", "tag", "cold", "hot", "limit", "expected", "expected_after", "change"})
_SIDE_WORDS = 6
_CHANGE_WORDS = 3
_NEVER_RATED = frozenset(
    {"pressure", "pressure_difference", "depth_of_vacuum", "temperature", "temperature_difference"}
)
"""What no plate gives of a compressor."""
_BY = frozenset({"by", "un", "en"})


def amount_at(segment: Segment, k: int) -> Amount:
    """The amount whose first number stands at `k`."""
    values, units, end, form = _joined(segment, k)
    if form == "range" and segment.says("change", k - _CHANGE_WORDS, k):
        form = "change"
    side, about = side_of(segment, k)
    role, weak = role_of(segment, k, end)
    if role == "expected" and "a_machine" in segment.at(end) and units and _dimensions(segment, units) <= _NEVER_RATED:
        role = "measured"  # `20 inches vacuum compressor hot`
    if role == "expected" and segment.text(end) == "+" and segment.is_number(end + 1):
        more, end, others = _atom(segment, end + 1)
        values, units = [values[-1] + more], units or others
    counted = not units and _counts(segment, end)
    return Amount(
        tuple(values),
        units,
        k,
        end,
        form,
        role,
        side,
        about,
        percent_off=_percent_off(segment, units, k, end),
        counted=counted,
        weak=weak and not counted,
        read_out=ends_before(segment, "reads", k),
    )


def _dimensions(segment: Segment, units: tuple[str, ...]) -> set[str]:
    return {segment.terms.units[name].dimension for name in units}


def _joined(segment: Segment, k: int) -> tuple[list[float], tuple[str, ...], int, Form]:
    value, end, units = _atom(segment, k)
    values, form, bare = [value], Form.__args__[0], False  # type: ignore[attr-defined]
    while len(values) < _LISTED and (joint := _joint(segment, end, form)) is not None:
        kind, at = joint
        more, after, others = _atom(segment, at)
        listed = kind == "list" and segment.text(at - 1) != "/"
        comma = segment.text(at - 1) in _COMMAS
        if (units and (listed if not others else not set(units) & set(others))) or (bare and comma and others):
            break
        bare = kind == "list" and not comma and not others  # `1.1 1.1 1.1, 300 megs`: the last is something else
        values.append(more)
        units, end, form = others or units, after, kind
    return values, units, end, form


def _atom(segment: Segment, k: int) -> tuple[float, int, tuple[str, ...]]:
    """One number with its unit; `14 lb 3 oz` and `11 lb 2` are one."""
    value, unit = segment.lexemes[k].value, unit_at(segment, k + 1)
    if unit is None:
        return value, k + 1, ()
    end, names = unit.end, unit.names
    smaller = {small for name in names for small in segment.terms.units[name].smaller}
    if smaller and segment.is_number(end) and segment.lexemes[end].value < _OUNCES:
        rest = unit_at(segment, end + 1)
        if rest is None or smaller & set(rest.names):
            value += segment.lexemes[end].value / _OUNCES
            end = rest.end if rest else end + 1
    return value, end, names


def unit_at(segment: Segment, k: int) -> Found | None:
    """The unit at `k`. A word that also names a quantity does that where a number follows and its own has a label."""
    at = segment.at(k)
    found, tag, label = at.get("unit"), at.get("tag"), at.get("label")
    if found is None or not _stands(segment, k, found) or (tag is not None and tag.end > found.end):
        return None
    if label is None:
        return found
    reads_on = segment.text(found.end) in {":", "="} and segment.is_number(found.end + 1)
    since = segment.amounts[-1].end if segment.amounts else 0
    led = segment.text(k) == "hp" or any(other.start >= since for other in segment.labels)
    told = "state" in segment.at(found.end) and any(other.end == k - 1 for other in segment.labels)  # `SC 9 amps ok`
    return None if told or (led and (reads_on or segment.is_number(found.end))) else found


def _stands(segment: Segment, k: int, found: Found) -> bool:
    """`a`, `m`, `g`, `r` are units only in capitals or where they touch the number."""
    one = segment.lexemes[k]
    if found.end != k + 1 or one.text not in segment.terms.glued:
        return True
    return segment.note[one.start].isupper() or (k > 0 and segment.lexemes[k - 1].end == one.start)


def _joint(segment: Segment, end: int, form: Form) -> tuple[Form, int] | None:
    """How the number before `end` is joined to a next one, and where that is."""
    if segment.is_place(end) or end >= len(segment.lexemes):
        return None
    listing, one = form in {"one", "list"}, segment.lexemes[end]
    if one.kind == "n":
        return ("list", end) if listing and not one.spoken and not _named(segment, end) else None
    if not segment.is_number(end + 1):
        return None
    slash = one.text == "/" and listing and not _plate_behind(segment, end, form)
    slash = slash or (one.text == "over" and form == "one" and _sides_over(segment, end))
    versus = one.text == "vs" and (form == "list" or _runs_on(segment, end + 1, ("vs",)))
    row = one.text == "-" and _three_alike(segment, end, form)
    if slash or versus or row or (one.text in _COMMAS and (form == "list" or _runs_on(segment, end + 1, _COMMAS))):
        return "list", end + 1
    if form != "one" or one.text not in {"-", "to", "and"} or "label" in segment.at(end - 1):
        return None
    spans = one.text != "and" or any(segment.text(back) == "between" for back in range(end - BACK, end))
    return ("range" if spans else "list"), end + 1


def _plate_behind(segment: Segment, end: int, form: Form) -> bool:
    """`9.8 A / 10.2 RLA`: what stands behind the stroke is the rating, no second reading."""
    _, after, units = _atom(segment, end + 1)
    rated = segment.at(after).keys() >= {"label", "expected_after"} and not segment.is_number(after + 1)
    return form == "one" and rated and not segment.is_number(end + 3) and (bool(units) or after == end + 2)


_PRESSURE_WORDS = frozenset({"psi", "psig", "bar", "barg", "kpa"})


def _sides_over(segment: Segment, end: int) -> bool:
    """`118 over 380`, `118 over 380 psi`: both sides as they are spoken, without a unit or with one of pressure."""
    bare = segment.is_number(end - 1) and (
        unit_at(segment, end + 2) is None or segment.text(end + 2) in _PRESSURE_WORDS
    )
    return bare and can_be_sides(segment.lexemes[end - 1].value, segment.lexemes[end + 1].value)


def _three_alike(segment: Segment, end: int, form: Form) -> bool:
    """`208-230-231`: three numbers of one size in a row are no span, and no date."""
    first = end - 1 if form == "one" else end - 3
    row = [first + 2 * k for k in range(3)]
    if form not in {"one", "list"} or not all(segment.is_number(k) for k in row):
        return False
    if any(segment.text(k + 1) != "-" for k in row[:2]) or segment.text(row[2] + 1) == "-":
        return False
    values = [segment.lexemes[k].value for k in row]
    return 0 < max(values) < 2 * min(values)


def _named(segment: Segment, k: int) -> bool:
    """The word that a name needs stands before the number, so a number directly behind another has none."""
    return "names" in segment.at(k - 1)


def _runs_on(segment: Segment, k: int, joints: tuple[str, ...]) -> bool:
    """Whether at least two numbers follow with such joints between, so that it is a list: `20, 23, 18.5`."""
    _, end, _ = _atom(segment, k)
    if segment.text(end) not in joints:
        return False
    return segment.is_number(end + 2 if segment.text(end + 1) in {"and", "&"} else end + 1)


def side_of(segment: Segment, k: int) -> tuple[int, bool]:
    """-1 after `below`, 1 after `above`, and whether it is said to be about right; the longest words count."""
    side, about = -1 if segment.text(k - 1) == "not" and segment.text(k) == "a" else 0, False
    ends = {k, k - 1} if segment.text(k - 1) in _BETWEEN_SIDE else {k}
    for start in range(k - 1, max(-1, k - _SIDE_WORDS), -1):
        at = segment.found[start]
        for kind, value in (("below", -1), ("above", 1)):
            if kind in at and at[kind].end in ends:
                side = value
        about = about or ("about" in at and at["about"].end in ends)
    return side, about


def _percent_off(segment: Segment, units: tuple[str, ...], k: int, end: int) -> int:
    """`15 % above`, `up 25 %`: a difference, not a share."""
    if "percent" not in units:
        return 0
    ahead = segment.at(k - 1) if segment.text(k - 1) in {"up", "down"} else {}
    kinds = {*segment.at(end), *ahead}
    if segment.text(k - 1) in _BY:  # `amps over RLA by 45 %`
        kinds |= {kind for at in segment.found[max(0, k - _SIDE_WORDS) : k] for kind in at}
    return 1 if "more" in kinds else -1 if "fewer" in kinds else 0


def _counts(segment: Segment, end: int) -> bool:
    """Whether a word follows that the number may count."""
    return end < len(segment.lexemes) and segment.lexemes[end].kind == "w" and not (_NO_COUNT & segment.at(end).keys())
