"""Each kind of fault, written out by hand before and after."""

from __future__ import annotations

import pytest
from cosmic_ray.mutating import mutate_code

from tests.mutation.mutants import change, mutants
from tests.mutation.operators import KINDS, operator

EXAMPLES = [
    ("boundary", "a < b", {"a <= b"}),
    ("boundary", "a >= b", {"a > b"}),
    ("comparison", "a < b", {"a >= b"}),
    ("comparison", "a is not None", {"a is None"}),
    ("arithmetic", "a + b", {"a - b"}),
    ("arithmetic", "a ** b", {"a * b"}),
    ("arithmetic", "-a", {"a"}),
    ("arithmetic", "a += b", {"a -= b"}),
    ("arithmetic", "def f(a, *, b): ...", set()),
    ("constant", "a = 8", {"a = 9", "a = 7"}),
    ("constant", "a = 1_000", {"a = 1001", "a = 999"}),
    ("constant", "a = 0x1E", {"a = 31", "a = 29"}),
    ("constant", "a = 2.0", {"a = 2.02"}),
    ("constant", "a = 0.0", {"a = 0.01"}),
    ("constant", "a: Literal[8] = 2.0", {"a: Literal[8] = 2.02"}),
    ("boolean", "a and b", {"a or b"}),
    ("boolean", "a = True", {"a = False"}),
    ("boolean", "not a", {"a"}),
    ("boolean", "b if a else c", {"b if not a else c"}),
    ("boolean", "zip(a, b, strict=True)", set()),
    ("boolean", "@dataclass(frozen=True)\nclass A: ...", set()),
    ("dropped", "f(a)", {"pass"}),
    ("dropped", "a.b(\n  c,\n)", {"pass"}),
    ("dropped", "raise E(a)", {"pass"}),
    ("dropped", "b = f(a)", set()),
    ("dropped", "a[0]", set()),
    ("returned", "def f():\n  return a", {"return None"}),
    ("returned", "def f():\n  return", set()),
    ("loop", "for a in b: f()", {"for a in []: f()"}),
    ("word", 'f("mid-point")', {'f("mid-point-x")'}),
    ("word", 'f("A sentence for people.")', set()),
    ("word", '"a-docstring"', set()),
    ("word", 'A = Literal["open"]', set()),
]


@pytest.mark.parametrize(("kind", "before", "after"), EXAMPLES)
def test_a_kind_of_fault_writes(kind: str, before: str, after: set[str]) -> None:
    source = before + "\n"
    changes = [change(m, source) for m in mutants("a.py", source) if m.kind == kind]
    assert {" ".join(c.after.split()) for c in changes} == after


def test_every_operator_named_makes_a_change_of_its_own() -> None:
    source = (
        "a < b\na <= b\na > b\na >= b\na == b\na != b\na is b\na is not b\na + b - c * d / e // f % g ** -h\n"
        'a += 1.5\na and b or not c\nf(True, False, "a")\nfor a in b:\n  if a: break\n  else: continue\n'
        "def f():\n  return 1\n"
    )
    for names in KINDS.values():
        for name in names:
            code = mutate_code(source, operator(name), 0)
            assert code is not None, name
            assert code != source
            compile(code, name, "exec")
