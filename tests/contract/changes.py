"""Tells a breaking change of an OpenAPI document from an additive one.

Requests may only loosen, answers may only tighten, and nothing that stays may mean something else: the unit of a
number, what is taken where nothing is said (defaults), the bounds of answers. meaning.py guards what the document does
not say. The rules are those of the compatibility section of the OpenAPI initiative's guidance and of semantic
versioning: whatever a caller that works today relies on must stay.

Lists that grow with the knowledge (ids of findings, modes, causes, rules, sources) are open in answers: plain strings,
documented as such. So a new id widens what requests take and changes nothing in answers: an additive change. A list
that is closed in an answer is a promise; a word more in it, or opening it, breaks whoever relies on it.

What is compared: the document of the service as it runs with openapi/openapi.json as it is committed, the base. `make
golden` sets the base anew, which is how a breaking change is agreed to: it must stand in CHANGELOG.md, old -> new. The
guard holds from the base set at the end of the renames of the first version; from then on only additive changes pass.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

Schema = dict[str, Any]
_LIMITS = {
    "minimum": 1, "exclusiveMinimum": 1, "minLength": 1, "minItems": 1,
    "maximum": -1, "exclusiveMaximum": -1, "maxLength": -1, "maxItems": -1,
}  # fmt: skip


@dataclass
class Comparison:
    """Two documents side by side; `found` collects what would break a caller."""

    old: Schema
    new: Schema
    found: list[str] = field(default_factory=list)
    _seen: set[tuple[str, str, bool]] = field(default_factory=set)

    def say(self, where: str, what: str) -> None:
        self.found.append(f"{where}: {what}")

    def paths(self) -> None:
        for path, operations in self.old["paths"].items():
            for method, operation in operations.items():
                other = self.new["paths"].get(path, {}).get(method)
                if other is None:
                    self.say(f"{method.upper()} {path}", "removed")
                else:
                    self.operation(f"{method.upper()} {path}", operation, other)

    def operation(self, where: str, old: Schema, new: Schema) -> None:
        if old["operationId"] != new["operationId"]:
            self.say(where, "operation id changed")
        self.parameters(where, old.get("parameters", []), new.get("parameters", []))
        self.bodies(where, old.get("requestBody", {}), new.get("requestBody", {}), request=True)
        for status, response in old["responses"].items():
            other = new["responses"].get(status)
            if other is None:
                self.say(where, f"answer {status} removed")
            else:
                self.bodies(f"{where} {status}", response, other, request=False)

    def parameters(self, where: str, old: list[Schema], new: list[Schema]) -> None:
        known = {(p["in"], p["name"]): p for p in old}
        given = {(p["in"], p["name"]): p for p in new}
        for key in known.keys() - given.keys():
            self.say(where, f"parameter {key[1]} removed")
        for key in given.keys() - known.keys():
            if given[key].get("required"):
                self.say(where, f"new required parameter {key[1]}")
        for key in known.keys() & given.keys():
            self.schemas(f"{where} ?{key[1]}", known[key]["schema"], given[key]["schema"], request=True)

    def bodies(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        if request and new.get("required") and not old.get("required"):
            self.say(where, "body newly required")
        for media, content in old.get("content", {}).items():
            other = new.get("content", {}).get(media)
            if other is None:
                self.say(where, f"media type {media} removed")
            elif "schema" in content:
                self.schemas(where, content["schema"], other["schema"], request=request)

    def resolve(self, document: Schema, schema: Schema) -> tuple[str, Schema]:
        name = ""
        while "$ref" in schema:
            name = schema["$ref"].rsplit("/", 1)[1]
            schema = document["components"]["schemas"][name]
        return name, schema

    def schemas(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        old_name, old = self.resolve(self.old, old)
        new_name, new = self.resolve(self.new, new)
        if old_name and (key := (old_name, new_name, request)) in self._seen:
            return
        if old_name:
            self._seen.add(key)
        self.types(where, old, new, request=request)
        self.limits(where, old, new, request=request)
        self.meaning(where, old, new, request=request)
        self.choices(where, old, new, request=request)
        self.properties(where, old, new, request=request)
        if "items" in old and "items" in new:
            self.schemas(f"{where}[]", old["items"], new["items"], request=request)
        self.branches(where, old, new, request=request)

    def branches(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        """Branches of anyOf are matched by what they refer to, or by their type."""
        others = {self.branch_key(b): b for b in new.get("anyOf", [])}
        for branch in old.get("anyOf", []):
            other = others.get(self.branch_key(branch))
            if other is not None:
                self.schemas(where, branch, other, request=request)

    def branch_key(self, schema: Schema) -> str:
        return str(schema.get("$ref") or schema.get("type") or schema)

    def types(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        before, after = self.kinds(old), self.kinds(new)
        if request and not before <= after:
            self.say(where, f"takes less: {sorted(before)} -> {sorted(after)}")
        if not request and not after <= before:
            self.say(where, f"answers more: {sorted(before)} -> {sorted(after)}")

    def kinds(self, schema: Schema) -> frozenset[str]:
        if "anyOf" in schema:
            return frozenset(self.branch_key(branch) for branch in schema["anyOf"])
        kind = schema.get("type", "any")
        return frozenset(kind if isinstance(kind, list) else [kind])

    def limits(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        for key, sign in _LIMITS.items():
            before, after = old.get(key), new.get(key)
            if request and after is not None and (before is None or (after - before) * sign > 0):
                self.say(where, f"{key} tightened {before} -> {after}")
        if request and "pattern" in new and new["pattern"] != old.get("pattern"):
            self.say(where, "pattern changed")

    def meaning(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        """What the same bytes stand for: unit of a number, what is taken where nothing is said, bounds of answers."""
        for key in ("x-unit", "format"):
            if old.get(key) != new.get(key):
                self.say(where, f"{key} changed {old.get(key)} -> {new.get(key)}")
        codes, others = old.get("x-ucum", {}), new.get("x-ucum", {})
        for unit in codes.keys() & others.keys():
            if codes[unit] != others[unit]:
                self.say(where, f"unit {unit} changed {codes[unit]} -> {others[unit]}")
        if request and old.get("default") != new.get("default"):
            self.say(where, f"default changed {old.get('default')} -> {new.get('default')}")
        if not request:
            self.loosened(where, old, new)

    def loosened(self, where: str, old: Schema, new: Schema) -> None:
        for key, sign in _LIMITS.items():
            before, after = old.get(key), new.get(key)
            if before is not None and (after is None or (after - before) * sign < 0):
                self.say(where, f"{key} loosened {before} -> {after}")

    def choices(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        before, after = set(map(str, choices(old))), set(map(str, choices(new)))
        if request and after and (not before or before - after):
            self.say(where, f"choices lost {sorted(before - after)}")
        if not request and before and not after:
            self.say(where, "closed list opened")
        if not request and before and after - before:
            self.say(where, f"choices gained {sorted(after - before)}")

    def properties(self, where: str, old: Schema, new: Schema, *, request: bool) -> None:
        before, after = old.get("properties", {}), new.get("properties", {})
        for name in before.keys() - after.keys():
            self.say(f"{where}/{name}", "removed")
        gained = set(new.get("required", [])) - set(old.get("required", []))
        lost = set(old.get("required", [])) - set(new.get("required", []))
        for name in sorted(gained if request else lost & after.keys()):
            self.say(f"{where}/{name}", "newly required" if request else "no longer certain")
        for name in before.keys() & after.keys():
            self.schemas(f"{where}/{name}", before[name], after[name], request=request)


def choices(schema: Schema) -> list[Any]:
    """The closed list of values of a schema, or an empty one."""
    return [schema["const"]] if "const" in schema else list(schema.get("enum", []))


def breaking(old: Schema, new: Schema) -> list[str]:
    """What in `new` would break a caller of `old`; empty if nothing would."""
    comparison = Comparison(old, new)
    comparison.paths()
    return sorted(comparison.found)
