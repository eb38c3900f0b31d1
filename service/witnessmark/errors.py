"""What can be wrong with an input.

The core raises these; the web turns each into a problem that names the field.

* InputError
  * OutOfRangeError   a number outside the accepted range (SI, with its dimension)
  * TooUncertainError a reading whose standard uncertainty is wider than that range
  * UnknownNameError  a name that is not in a catalogue (with the near ones)
  * ConflictError     values that cannot all be right together
"""

from __future__ import annotations

from collections.abc import Callable, Mapping


class InputError(ValueError):
    """An input that cannot be used.

    field: name of the argument, dotted for nested ones (`readings.0.pressure`); empty for the whole input.
    fault: what is wrong with it, without repeating the value.
    accepted: what would have been accepted.
    """

    def __init__(self, field: str, fault: str, accepted: str) -> None:
        super().__init__(f"{field}: {fault}; accepted: {accepted}" if field else f"{fault}; accepted: {accepted}")
        self.field = field
        self.fault = fault
        self.accepted = accepted

    def relocate(self, located: Callable[[str], str]) -> None:
        """Name the field as `located` says: what a lower layer calls by its argument, the request calls otherwise."""
        self.field = located(self.field)


class OutOfRangeError(InputError):
    """A number outside its range. `low` and `high` are SI; `dimension` tells the edge how to show them.

    dimension is one of the keys of the unit table (`pressure`, `temperature`, …) or `number`.
    """

    def __init__(self, field: str, value: float, low: float, high: float, dimension: str = "number") -> None:
        side = "below" if value < low else "above"
        super().__init__(field, f"{side} the accepted range", f"{low:.6g} to {high:.6g} ({dimension}, SI)")
        self.value = value
        self.low = low
        self.high = high
        self.dimension = dimension


class TooUncertainError(InputError):
    """A reading that tells nothing. `widest`: standard uncertainty accepted, SI; `dimension` as for a range."""

    def __init__(self, field: str, widest: float, dimension: str = "number") -> None:
        accepted = f"a standard uncertainty of at most {widest:.6g} ({dimension}, SI)"
        super().__init__(field, "its uncertainty is wider than the accepted range", accepted)
        self.widest = widest
        self.dimension = dimension


class UnknownNameError(InputError):
    """A name that no catalogue holds; `near` are the closest ones that exist."""

    def __init__(self, field: str, kind: str, near: tuple[str, ...]) -> None:
        super().__init__(field, f"no such {kind}", "near: " + ", ".join(near) if near else f"a {kind} of the catalogue")
        self.kind = kind
        self.near = near


class ConflictError(InputError):
    """Values that cannot all be right together; `fields` names them."""

    def __init__(self, fields: tuple[str, ...], fault: str, accepted: str) -> None:
        super().__init__(fields[0], fault, accepted)
        self.fields = fields

    def relocate(self, located: Callable[[str], str]) -> None:
        """As for InputError, every field; one that is then named twice stands once."""
        super().relocate(located)
        self.fields = tuple(dict.fromkeys(map(located, self.fields)))


class _Located:
    """The block of `located`: a class, since a generator takes twice as long, and one draw of many enters several."""

    __slots__ = ("names", "prefix")

    def __init__(self, prefix: str, names: Mapping[str, str]) -> None:
        self.prefix, self.names = prefix, names

    def __enter__(self) -> None:
        pass

    def __exit__(self, _kind: object, error: BaseException | None, _trace: object) -> None:
        if isinstance(error, InputError):
            error.relocate(lambda field: ".".join(filter(None, (self.prefix, self.names.get(field, field)))))


def located(prefix: str = "", /, **names: str) -> _Located:
    """Within this block an InputError about argument `a` is about the field `names["a"]`, below `prefix`.

    Example: `with located("oil", number="acid_number"): judge(number)` makes a fault of `number` one of
    `oil.acid_number`; an argument without a name of its own keeps it, and the whole input becomes `oil`.
    """
    return _Located(prefix, names)
