"""Every part of a case asked of its own operation, each with its problem where it has one; one part feeds the next."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from pydantic import ValidationError

from witnessmark.api.context import Answer, Request, RequestContext, Site
from witnessmark.api.problems import FieldProblem, Problem, pointer, unfit, unusable
from witnessmark.api.quantities import MassFraction
from witnessmark.api.routes.case_accuracy import with_usual
from witnessmark.api.routes.cleanup import plan_cleanup
from witnessmark.api.routes.compression import compression
from witnessmark.api.routes.debris_balance import balance_debris
from witnessmark.api.routes.diagnosis import diagnosed
from witnessmark.api.routes.evacuation import evacuation
from witnessmark.api.routes.filter_log import judge_filter_log
from witnessmark.api.routes.insulation import insulation
from witnessmark.api.routes.matching import match_findings
from witnessmark.api.routes.oil_quality import oil_quality
from witnessmark.api.routes.pressure_test import pressure_test
from witnessmark.api.routes.refrigerant_quality import refrigerant_quality
from witnessmark.api.routes.restart import restart
from witnessmark.api.routes.saturation import subcooling, superheat
from witnessmark.api.routes.supply_unbalance import supply_unbalance
from witnessmark.api.routes.windings import windings
from witnessmark.calculations.samples.oil_quality import OilVerdict
from witnessmark.casework import broken, conclusions
from witnessmark.casework.after_repair import BURNT, gate_owed, overtaken, ran_after
from witnessmark.casework.cuts import CUTS, began, cut, home, missing
from witnessmark.casework.danger import Danger, danger
from witnessmark.casework.document import Json, at
from witnessmark.casework.earlier import EARLIER, of_the_failed_one, without_earlier
from witnessmark.casework.moments import in_time
from witnessmark.casework.old_oil import with_old_oil
from witnessmark.casework.places import field_of
from witnessmark.casework.told_once import told_once
from witnessmark.casework.view import changed, merged, several, view
from witnessmark.diagnosis.answer.safety import dangers_of
from witnessmark.diagnosis.case import Fluid
from witnessmark.errors import InputError
from witnessmark.refrigerants.names import resolve
from witnessmark.vocabulary import Oil, SystemOfUnits, words

NOTE, DIAGNOSIS = "note", "diagnosis"
OPERATIONS: dict[str, Callable[..., Any]] = {
    NOTE: match_findings,
    "compression": compression,
    "superheat": superheat,
    "subcooling": subcooling,
    "diagnosis": diagnosed,
    "insulation": insulation,
    "windings": windings,
    "supply": supply_unbalance,
    "oil": oil_quality,
    "refrigerant": refrigerant_quality,
    "debris": balance_debris,
    "cleanup": plan_cleanup,
    "filter_log": judge_filter_log,
    "pressure_test": pressure_test,
    "evacuation": evacuation,
    "restart": restart,
}
"""By part, in the order in which they are worked out."""


@dataclass(slots=True)
class Worked:
    """A case worked out as far as it goes.

    view: the case with all that was concluded; moved: by place in it that was filled, the place where that was told.
    requests, answers, problems, withheld and lacking are by part.
    after: results of the readings after the repair. danger: what of the danger stands now, and what the results order.
    """

    case: Json
    view: Json
    requests: dict[str, Json] = field(default_factory=dict)
    answers: dict[str, Answer] = field(default_factory=dict)
    results: dict[str, Json] = field(default_factory=dict)
    problems: dict[str, Problem] = field(default_factory=dict)
    withheld: dict[str, str] = field(default_factory=dict)
    lacking: dict[str, tuple[str, ...]] = field(default_factory=dict)
    said: list[str] = field(default_factory=list)
    after: Json = field(default_factory=dict)
    danger: Danger = field(default_factory=Danger)
    moved: Mapping[str, str] = field(default_factory=dict)


def operation_of(part: str) -> str:
    """Id of a part's own operation."""
    return CUTS[part].operation if part in CUTS else match_findings.__name__


@cache
def model_of(part: str) -> type[Request]:
    """The schema of a part's request."""
    first = next(iter(inspect.signature(OPERATIONS[part], eval_str=True).parameters.values()))
    kind: type[Request] = first.annotation
    return kind


def work(case: Json, report_in: SystemOfUnits = "SI", diagnosis: Mapping[str, Any] | None = None) -> Worked:
    """All parts of a case that can be worked out. diagnosis: what more of it is wanted (`want` of its request)."""
    done = Worked(case, view(case))
    done.view, aired = conclusions.with_one_air(done.view)
    done.view, settled = conclusions.with_one_state(done.view)
    once = told_once(done.view)
    done.view, done.moved = once.seen, once.moved
    done.said += (*aired, *settled)
    _note(done, report_in)
    done.view, dated = conclusions.with_zone(done.view)
    done.view, told = with_old_oil(done.view, _size)
    done.view, said = conclusions.with_signs(conclusions.with_history(done.view))
    done.said += (*dated, *told, *said, *filter(None, [several(case), changed(case)]))
    done.view, told = broken.with_broken_parts(broken.with_places(done.view))
    done.said += told
    if began("cleanup", done.view):
        done.view, told = broken.with_told_signs(done.view)
        done.said += told
    for part in CUTS:
        if part == "restart":
            _owe(done)
            _conclude(done, report_in)
        _part(done, part, report_in, {"want": diagnosis} if part == "diagnosis" and diagnosis else {})
    if dated:
        done.lacking |= {part: (conclusions.ZONE,) for part in ("cleanup", "filter_log") if part in done.results}
    if done.problems and not _known(done.view.get("refrigerant")):
        done.said.append("The refrigerant is none that is known here: what hangs on it was not worked out.")
    done.after = _after(done, report_in)
    found = danger(case, {**done.results, **_any_oil(done, report_in)}, done.after)
    owed = gate_owed(case, done.view, done.results)
    done.danger = replace(found, of_the_gas=_of_the_gas(done.view.get("refrigerant")), owed=owed)
    return done


def _owe(done: Worked) -> None:
    """The gate begins with readings after a repair that asks for one, be anything told of its proofs or not."""
    if ran_after(done.case) and gate_owed(done.case, done.view, done.results):
        done.view = {**done.view, "gate_owed": True}


def _size(field: str, told: Any) -> float:
    """A reading of the old oil in SI."""
    if field == "water":
        return MassFraction.model_validate(told).to_si().value
    return float(told["value"] if isinstance(told, Mapping) else told)


def _after(done: Worked, report_in: SystemOfUnits) -> Json:
    """What the readings after the repair come to, without anything that was found before it."""
    if overtaken(done.case) or not (values := merged(in_time(done.case, "readings"), "after-repair")):
        return {}
    kept = {key: value for key, value in done.view.items() if key in ("site", "machine", "refrigerant", "sound")}
    asked = {part: cut(part, {**kept, "now": values}) for part in ("diagnosis", "compression")}
    found = {part: _tried(part, request, report_in) for part, request in asked.items() if not missing(part, request)}
    return {part: result for part, result in found.items() if result is not None}


def _any_oil(done: Worked, report_in: SystemOfUnits) -> Json:
    """The verdict on an oil whose base nobody told, where it is over the limit of every one there is."""
    if done.lacking.get("oil") != ("machine.oil",):
        return {}
    request = cut("oil", done.view)
    found = [_tried("oil", {**request, "oil": oil}, report_in) for oil in words(Oil)]
    over = all(result is not None and result["verdict"] == CHANGE for result in found)
    return {"oil": {"verdict": CHANGE}} if over else {}


CHANGE: OilVerdict = "change oil and driers"


def _known(refrigerant: str | None) -> bool:
    """Whether nothing is wrong with the name of the refrigerant."""
    try:
        return refrigerant is None or bool(resolve(refrigerant))
    except InputError:
        return False


def _of_the_gas(refrigerant: str | None) -> tuple[str, ...]:
    """Ids of the cautions that a refrigerant asks for wherever its circuit is opened or somebody stands at it."""
    try:
        fluid = Fluid.of(refrigerant) if refrigerant else None
    except InputError:
        return ()
    return dangers_of(fluid)


def _tried(part: str, request: Json, report_in: SystemOfUnits) -> Json | None:
    """What an operation answers; None where it cannot use the request."""
    aside = Worked({}, {})
    _ask(aside, part, request, report_in)
    return aside.results.get(part)


def _note(done: Worked, report_in: SystemOfUnits) -> None:
    text, unread = conclusions.words_of(done.case)
    done.said += [unread] if unread else []
    if not text:
        return
    machine = {k: v for k, v in done.view.get("machine", {}).items() if ("machine." + k) in _OF_DIAGNOSIS}
    _ask(done, NOTE, {"text": text, "machine": machine}, report_in)
    if NOTE not in done.results:
        done.problems.pop(NOTE)
        done.said.append("The note was read without the machine that the case names, which the diagnosis cannot use.")
        _ask(done, NOTE, {"text": text}, report_in)
    if NOTE in done.results:
        done.view, said = conclusions.with_note(done.view, done.results[NOTE])
        done.said += said


_OF_DIAGNOSIS = {source for source, _ in CUTS["diagnosis"].moves}


def _conclude(done: Worked, report_in: SystemOfUnits) -> None:
    plan = done.results.get("cleanup")
    if plan is not None:
        done.view, said = conclusions.with_grade(done.view, plan)
        done.said += said
    elif began("restart", done.view) and (signed := _signed(done.view)).get("signs"):
        done.view, said = conclusions.with_grade_alone(done.view, _graded(signed, report_in))
        done.said += said
    done.view, said = conclusions.with_fragments(done.view, plan)
    done.said += said


def _signed(seen: Json) -> Json:
    """The view with its signs, or with those that findings of a burnt circuit stand for."""
    burnt = any(report["finding"] in BURNT and report["state"] == "present" for report in seen.get("findings") or ())
    return broken.with_told_signs(seen)[0] if burnt and not seen.get("signs") else seen


def _graded(seen: Json, report_in: SystemOfUnits) -> Json | None:
    """A plan that holds for its grade alone, which hangs on oil, signs and the maker's limits; of any oil the worst."""
    asked = cut("cleanup", seen)
    kept: Json = {key: asked[key] for key in ("oil", "signs", "maker_limits", "site") if key in asked}
    oils = (kept["oil"],) if kept.get("oil") in words(Oil) else words(Oil)
    found = [_tried("cleanup", {**_ANYWHERE, **kept, "oil": oil}, report_in) for oil in oils]
    return max(filter(None, found), key=lambda plan: plan["severity"]["grade"], default=None)


_ANYWHERE: Json = {
    "refrigerant": "R-134a",
    "evaporating_temperature": {"value": 0, "unit": "degC"},
    "start": "2026-01-01T00:00Z",
    "time_zone": "UTC",
}
"""What a plan asks for and its grade does not hang on."""


def _part(done: Worked, part: str, report_in: SystemOfUnits, more: Json) -> None:
    if not began(part, done.view):
        return
    request = cut(part, done.view)
    if part == DIAGNOSIS:
        request = of_the_failed_one(done.case, request)
    if lacking := missing(part, request):
        done.lacking[part] = lacking
    elif why := conclusions.withheld(part, done.results):
        done.withheld[part] = why
    else:
        _ask(done, part, _alike(done, part, request) | more, report_in)
    if part == DIAGNOSIS and at(done.results, "diagnosis.contradictions"):
        _ask_of_one_time(done, report_in, more)


def _ask_of_one_time(done: Worked, report_in: SystemOfUnits, more: Json) -> None:
    """The diagnosis without what was read before the call, where that alone contradicts what was found later."""
    request = without_earlier(done.case, done.requests[DIAGNOSIS])
    if request is None or missing(DIAGNOSIS, request):
        return
    aside = Worked(done.case, done.view)
    _ask(aside, DIAGNOSIS, request | more, report_in)
    found = aside.results.get(DIAGNOSIS)
    if found is not None and len(found["contradictions"]) < len(done.results[DIAGNOSIS]["contradictions"]):
        done.requests |= aside.requests
        done.answers |= aside.answers
        done.results |= aside.results
        done.said.append(EARLIER)


def _alike(done: Worked, part: str, request: Json) -> Json:
    """The request with one uncertainty for one reading; as it was cut where the readings cannot be used."""
    site = {k: v for k, v in done.view.get("site", {}).items() if k in ("altitude", "barometer")}
    try:
        air = RequestContext("SI", Site.model_validate(site) if site else None).air_pressure()
        return with_usual(part, request, done.view.get("now", {}), air)
    except (ValidationError, InputError):
        return request


def _ask(done: Worked, part: str, request: Json, report_in: SystemOfUnits) -> None:
    """Ask the operation of a part; a problem is kept with the part and harms no other."""
    done.requests[part] = request = request if report_in == "SI" else {**request, "report_in": report_in}
    model = model_of(part)
    try:
        body = model.model_validate(request)
        done.answers[part] = answer = finished(OPERATIONS[part], body)
    except ValidationError as error:
        done.problems[part] = _moved(part, unfit(error.errors()), done)
    except InputError as error:
        air = RequestContext(report_in, body.site).air_pressure()
        done.problems[part] = _moved(part, unusable(error, request, air), done)
    else:
        done.results[part] = answer.result.model_dump(mode="json")


def finished(operation: Callable[..., Any], body: Request) -> Any:
    """The answer of an operation; one that is `async` here never waits for anything."""
    answer = operation(body)
    if not inspect.iscoroutine(answer):
        return answer
    try:
        answer.send(None)
    except StopIteration as finished:
        return finished.value
    answer.close()
    raise RuntimeError(f"{operation.__name__} waits")


def _moved(part: str, problem: Problem, done: Worked) -> Problem:
    """The problem with its pointers into the case document, as far as the cuts tell where the field came from."""
    errors = [FieldProblem(pointer=_in_case(part, e.pointer, done), detail=e.detail) for e in problem.errors or ()]
    return problem.model_copy(update={"errors": errors})


def _in_case(part: str, found: str, done: Worked) -> str:
    steps = tuple(step for step in found.removeprefix("#").split("/") if step)
    place = home(part, steps) if part in CUTS and steps else ""
    told = next((key for key in done.moved if f"{place}.".startswith(f"{key}.")), None)
    place = place if told is None else done.moved[told] + place.removeprefix(told)
    return pointer(("case", *field_of(place, done.case).split("."))) if place else "#/case"
