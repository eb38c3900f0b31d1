"""The answers of one case as a technician would want to read them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from witnessmark.demo.paper import bar, bullets, heading, paragraph, quantity, row

Json = dict[str, Any]
NUMBERS = {
    "pressure_ratio": "Compression ratio (absolute)",
    "pressure_difference": "Pressure difference",
    "suction_dew_temperature": "Evaporating temperature (dew)",
    "suction_superheat": "Suction superheat",
    "discharge_superheat": "Discharge superheat",
    "isentropic_discharge_temperature": "Ideal discharge temperature",
    "isentropic_efficiency": "Isentropic efficiency",
}
MOST_MODES = 4
MOST_CAUSES = 5
MOST_EVIDENCE = 6


def opening(case: Json) -> Iterator[str]:
    """The case itself."""
    yield heading(case["title"])
    for line in case["story"]:
        yield paragraph(line, "  ")


def numbers(compression: Json, superheat: Json) -> Iterator[str]:
    """Derived numbers and the pumping verdict."""
    yield heading("Derived numbers")
    for key, label in NUMBERS.items():
        if compression.get(key) is not None:
            yield row(label, quantity(compression[key]))
    yield row("Superheat against its limits", superheat["verdict"])
    yield row("Does it pump?", compression["verdict"].upper())
    yield from bullets(reason["text"] for reason in compression["reasons"][:2])


def diagnosis(result: Json) -> Iterator[str]:
    """Verdict, modes with evidence, causes, what to do."""
    yield heading("Diagnosis")
    yield paragraph(result["verdict"]["text"], "  ")
    for notice in result["safety"]:
        yield paragraph(notice["text"], "    ", "  ! ")
    yield "\n  Failure modes (several may be true at once, so they do not add up to 100 %)"
    yield from ranked(result["modes"][:MOST_MODES])
    yield from evidence(result)
    yield "\n  Likely system causes"
    yield from ranked(result["causes"][:MOST_CAUSES])
    yield from onward(result)


def ranked(hypotheses: list[Json]) -> Iterator[str]:
    """Hypotheses with bars."""
    for h in hypotheses:
        yield f"  {bar(h['probability'])} {h['probability']:>4.0%}  {h['name']} ({h['words']})"


def evidence(result: Json) -> Iterator[str]:
    """The findings that weigh most for and against the leading mode."""
    leader = next((e for e in result["explanations"] if e["layer"] == "mode"), None)
    if leader is None:
        return
    name = next((m["name"] for m in result["modes"] if m["id"] == leader["hypothesis"]), leader["hypothesis"])
    yield f"\n  Evidence on: {name}"
    weights = sorted(leader["weights"], key=lambda w: -abs(w["alone"]))[:MOST_EVIDENCE]
    yield from bullets(weight["text"] for weight in weights)


def onward(result: Json) -> Iterator[str]:
    """Next checks and dispatch."""
    checks = (result["next_checks"] or {"checks": []})["checks"]
    if checks:
        yield "\n  Next checks"
        yield from bullets(f"{c['how']} ({quantity(c['time'], 2)})" for c in checks[:3])
    dispatch = result["dispatch"]
    yield paragraph(dispatch["text"], "  ", "\n  Dispatch: ")
    yield from bullets((result["operation"]["reason"], *dispatch["for_technician"][:3]))


def cleanup(plan: Json) -> Iterator[str]:
    """Severity, limits, steps and the dated checks."""
    severity, limit = plan["severity"], plan["drop_limit"]
    yield heading("Cleanup")
    yield row("Severity", f"grade {severity['grade']} ({severity['name']}), {severity['score']} points")
    yield from bullets(f"{item['text']} (+{item['points']})" for item in severity["items"])
    yield row("Loose solids", severity["solids"])
    yield row("Most drop over the suction core", f"{quantity(limit['drop'], 3)} = {quantity(limit['penalty'], 2)}")
    if (changes := plan["oil_changes"]) is not None:
        yield row("Oil changes", f"{changes['changes']} (leaves {changes['residual']:.0%} of the old oil)")
    for load in plan["loads"]:
        mass = f"{quantity(load['mass'], 3)} of {load['expressed_as']} to take up"
        yield row(f"Cores for the {load['contaminant']}", f"{load['cores']} ({mass})")
    yield row("Sets of cores to have at hand", str(plan["core_sets"]["sets"]))
    yield "\n  Steps"
    yield from bullets((step["text"] for step in plan["steps"]), "□")
    yield "\n  When to look"
    for check in plan["checks"]:
        yield paragraph(f"{check['local'][:16].replace('T', ' ')}  {check['what']} [{check['basis']}]", " " * 20, "  ")
    yield "\n  Clean when"
    yield from bullets(plan["clean_when"])


def closing(answers: list[Any]) -> Iterator[str]:
    """Assumptions, cautions and versions of all answers, each once."""
    yield heading("Assumed")
    yield from bullets(dict.fromkeys(line for answer in answers for line in answer.assumptions))
    yield heading("Cautions")
    yield from bullets(dict.fromkeys(c["text"] for answer in answers for c in answer.cautions), "!")
    version = answers[-1].model_version
    yield f"\nservice {version['service']}, {version['property_library']}, knowledge {version['knowledge']}"


__all__ = ["cleanup", "closing", "diagnosis", "numbers", "opening"]
