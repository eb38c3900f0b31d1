"""What is proved before anything is fitted: what was told and readings stand against, and what readings do not prove.

Worst: a compressor is fitted for a sound one, since somebody wrote `seized` and nobody held the gauges against it; or a
motor is condemned while its protector waits for the shell to cool.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.answer.priority import said_to_run
from witnessmark.diagnosis.answer.safety import abnormal
from witnessmark.diagnosis.catalogue.triage import has
from witnessmark.diagnosis.result import Contradiction, SafetyNotice

_WELL = {"running-current": "normal", "no-pressure-difference": "absent"}
"""What a machine shows that turns and pumps."""
_PROTECTOR, _BRIDGE = "protector-open-hot", "bridge-protector"
_COOL = (
    "Locked out, let the shell cool until it is hand-cold, for hours if need be, then measure again; never bridge the "
    "protector"
)
_CLOSED_AGAIN = "Never bridge the protector: find what made it hot, airflow, condenser, charge or supply"
_NO_SPARK = "Flammable refrigerant: fresh air, no flame and no spark near it, and never a jump wire"
_REASON = "why it is to be replaced, and whether these readings are of the same machine"
NOTHING_FITTED = "fit no compressor before it is proved that this one has failed"


def fit_in_doubt(inquiry: Inquiry) -> bool:
    """Whether the compressor that is to be fitted is for a machine of which the readings show no failure."""
    return bool(inquiry.unproved) or needless(inquiry)


def needless(inquiry: Inquiry) -> bool:
    """Whether the compressor is replaced whatever is found, and all that was read shows it running as it should."""
    states = inquiry.evidence.states
    well = inquiry.case.ran and all(states.get(key) == state for key, state in _WELL.items())
    return inquiry.case.compressor_fate == "replaced-anyway" and well and not abnormal(inquiry)


def contradiction(inquiry: Inquiry) -> Iterator[Contradiction]:
    """The replacement against the readings, where these show no reason for it."""
    if needless(inquiry):
        text = (
            "The compressor is to be replaced whatever is found, and what was read shows one that runs, builds "
            "pressure and draws its current."
        )
        yield Contradiction((), text, _REASON)


def first_steps(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> tuple[str, ...]:
    """What whoever is sent does before all else, the dangerous first."""
    pairs = {pair.unproved: pair.ask for pair in reversed(inquiry.evidence.unproved) if pair.other != _PROTECTOR}
    asks = [*pairs.values(), *(doubt.ask for doubt in inquiry.case.doubts if doubt.heard != _PROTECTOR)]
    asks += [_REASON] if needless(inquiry) else []
    return (*_hot(inquiry, fired), *(f"Prove first: {ask.split('. ')[0]}" for ask in dict.fromkeys(asks)))


def _hot(inquiry: Inquiry, fired: Sequence[SafetyNotice]) -> tuple[str, ...]:
    """What a protector that is open asks for."""
    if not any(_BRIDGE in notice.forbids for notice in fired):
        return ()
    if said_to_run(inquiry.case):
        return (_CLOSED_AGAIN,)
    return (_COOL, _NO_SPARK) if has(inquiry.case.fluid, "flammable") else (_COOL,)
