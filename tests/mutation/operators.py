"""The kinds of fault: which operators of the library make them, and the few that the library lacks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

import parso
from cosmic_ray.operators.provider import OperatorProvider
from parso.tree import NodeOrLeaf

Position = tuple[int, int]
ARITHMETIC = {"arith_expr", "term", "power"}
AUGMENTED = {"+=": "-=", "-=": "+=", "*=": "/=", "/=": "*="}
WORD = re.compile(r"""^(["'])[a-z][a-z0-9_.-]*\1$""")
WORD_PARENTS = {
    "comparison",
    "arglist",
    "argument",
    "trailer",
    "dictorsetmaker",
    "return_stmt",
    "testlist_comp",
    "atom",
}


class Operator(Protocol):
    """What the library asks of an operator: where it can change a node, and the changed node."""

    def mutation_positions(self, node: NodeOrLeaf) -> Iterator[tuple[Position, Position]]:
        """Yield one pair of start and end for every change that is possible at this node itself."""

    def mutate(self, node: NodeOrLeaf, index: int) -> NodeOrLeaf:
        """Return the node with its `index`-th change made."""


@dataclass(frozen=True)
class Rewrite:
    """An operator that writes another text in the place of a node."""

    text: Callable[[NodeOrLeaf], str | None]
    """The new text; nothing if this node is left alone."""

    def mutation_positions(self, node: NodeOrLeaf) -> Iterator[tuple[Position, Position]]:
        """Yield the place of the node if it has another text."""
        if self.text(node) is not None:
            yield node.start_pos, node.end_pos

    def mutate(self, node: NodeOrLeaf, index: int) -> NodeOrLeaf:
        """Return the new text as a node, with the blanks and comments that stood before the old one."""
        assert index == 0
        return parso.parse(f"{node.get_first_leaf().prefix}{self.text(node)}")


def scaled(node: NodeOrLeaf) -> str | None:
    """Return a decimal number a hundredth larger; whole numbers belong to the library's own operator."""
    if node.type != "number" or whole(node):
        return None
    number = float(node.get_code(include_prefix=False))
    return repr(number * 1.01 if number else 0.01)


def dropped(node: NodeOrLeaf) -> str | None:
    """Return `pass` for a statement that is no more than a call or a raise."""
    if node.parent is None or node.parent.type != "simple_stmt":
        return None
    is_call = node.type == "atom_expr" and node.get_last_leaf().get_code(include_prefix=False) == ")"
    return "pass" if is_call or node.type == "raise_stmt" else None


def returned(node: NodeOrLeaf) -> str | None:
    """Return `return None` for a statement that returns something else."""
    code = node.get_code(include_prefix=False)
    return "return None" if node.type == "return_stmt" and code not in {"return None", "return"} else None


def augmented(node: NodeOrLeaf) -> str | None:
    """Return the inverse of an operator that assigns in place."""
    return AUGMENTED.get(node.get_code(include_prefix=False)) if node.type == "operator" else None


def foreign(node: NodeOrLeaf) -> str | None:
    """Return another word for one that a program reads: an id, a key, a field's name. Sentences are left alone."""
    code = node.get_code(include_prefix=False)
    known = node.type == "string" and node.parent is not None and node.parent.type in WORD_PARENTS and WORD.match(code)
    return f"{code[:-1]}-x{code[-1]}" if known else None


OWN = {"Scaled": scaled, "Dropped": dropped, "Returned": returned, "Augmented": augmented, "Foreign": foreign}
KINDS: dict[str, list[str]] = {
    "boundary": [f"ReplaceComparisonOperator_{pair}" for pair in ("Lt_LtE", "LtE_Lt", "Gt_GtE", "GtE_Gt")],
    "comparison": [
        f"ReplaceComparisonOperator_{pair}"
        for pair in ("Lt_GtE", "GtE_Lt", "Gt_LtE", "LtE_Gt", "Eq_NotEq", "NotEq_Eq", "Is_IsNot", "IsNot_Is")
    ],
    "arithmetic": [
        *(f"ReplaceBinaryOperator_{p}" for p in ("Add_Sub", "Sub_Add", "Mul_Div", "Div_Mul", "FloorDiv_Mul")),
        *("ReplaceBinaryOperator_Mod_Mul", "ReplaceBinaryOperator_Pow_Mul", "ReplaceUnaryOperator_Delete_USub"),
        "Augmented",
    ],
    "constant": ["NumberReplacer", "Scaled"],
    "boolean": [
        *("ReplaceAndWithOr", "ReplaceOrWithAnd", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue"),
        *("AddNot", "ReplaceUnaryOperator_Delete_Not"),
    ],
    "dropped": ["Dropped"],
    "returned": ["Returned"],
    "loop": ["ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ZeroIterationForLoop"],
    "word": ["Foreign"],
}


def operator(name: str) -> Operator:
    """Return an operator by its name: one of the five above, or one of the library's."""
    if name in OWN:
        return Rewrite(OWN[name])
    made: Operator = OperatorProvider()[name]()
    return made


def whole(node: NodeOrLeaf) -> bool:
    """Say whether a number has neither point nor exponent; one in another base is whole too."""
    code: str = node.get_code(include_prefix=False)
    return code.replace("_", "").isdigit() or code[:2].lower() in {"0x", "0o", "0b"}


def meant(name: str, node: NodeOrLeaf) -> bool:
    """Say whether a change is one of behaviour.

    Not so in annotations, closed lists, the options of a dataclass, `__slots__` and `strict=`, which only guard against
    a slip of the programmer, nor where `*` is no multiplication.
    """
    if name == "NumberReplacer" and not whole(node):
        return False
    if name.startswith("ReplaceBinaryOperator") and (node.parent is None or node.parent.type not in ARITHMETIC):
        return False
    return not any(_annotates(inner, outer) for inner, outer in _upwards(node))


def _upwards(node: NodeOrLeaf) -> Iterator[tuple[NodeOrLeaf, NodeOrLeaf]]:
    while node.parent is not None:
        yield node, node.parent
        node = node.parent


def _annotates(inner: NodeOrLeaf, outer: NodeOrLeaf) -> bool:
    if outer.type == "annassign":
        return inner is outer.children[1]
    if outer.type == "funcdef":
        return inner is outer.annotation
    first: str = outer.children[0].get_code(include_prefix=False)
    return (
        outer.type == "tfpdef"
        or (outer.type == "atom_expr" and first in {"Literal", "dataclass"})
        or (outer.type == "expr_stmt" and first == "__slots__")
        or (outer.type == "argument" and first == "strict")
    )
