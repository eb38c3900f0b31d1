"""POST /v1/debris-balance."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.mapping import note, taken
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import debris_balance as wire
from witnessmark.cleanup.debris_balance import DebrisCase, balance

router = version_one("cleanup")


@calculation(
    router, "/debris-balance", "Fragments recovered against the parts that broke, and where the rest can lodge"
)
def balance_debris(body: wire.DebrisBalanceRequest) -> wire.DebrisBalanceAnswer:
    """Balance masses by material with their interval, then follow the missing sizes round the circuit.

    Says plainly whether fragments are, or may still be, in the circuit; weights can never prove that none is.
    """
    context = RequestContext.of(body)
    debris = balance(taken(context, DebrisCase, body))
    note(context, debris.notes)
    return context.answer(wire.DebrisBalanceAnswer, debris)
