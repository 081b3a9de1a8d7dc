"""Record what array code computes: arrays whose elements are nodes of an expression graph, and the graph as C.

Code that does the same arithmetic whatever its numbers are, free of branches, is run once on `Recorded` arrays with one
lane; what it did is then known operation by operation. Equal operations on equal operands become one node, and
structural zeros and ones vanish (so x * 0 is 0, whatever x).
"""

from __future__ import annotations

import math
import operator
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import ModuleType
from typing import Any, ClassVar

import numpy as np


class Node:
    """One number of the recorded computation: an input, a constant, or an operation on other nodes."""

    known: ClassVar[dict[tuple[Any, ...], Node]] = {}

    def __init__(self, operation: str, operands: tuple[Any, ...], truth: bool) -> None:
        self.operation, self.operands, self.truth = operation, operands, truth

    @staticmethod
    def of(operation: str, *operands: Any, truth: bool = False) -> Node:
        """The node of an operation, the same one for the same operands."""
        key = (operation, *(id(part) if isinstance(part, Node) else repr(part) for part in operands))
        if key not in Node.known:
            Node.known[key] = Node(operation, operands, truth)
        return Node.known[key]

    @property
    def value(self) -> float | None:
        """The number, where it is constant."""
        return self.operands[0] if self.operation == "constant" else None


def constant(value: float) -> Node:
    """A number."""
    return Node.of("constant", float(value), truth=isinstance(value, bool | np.bool_))


def node(value: Any) -> Node:
    """A node, of whatever stands in an array."""
    return value if isinstance(value, Node) else constant(value)


def _add(a: Node, b: Node) -> Node:
    if a.value == 0.0 and not b.truth:
        return b
    return a if b.value == 0.0 and not a.truth else Node.of("+", a, b)


def _subtract(a: Node, b: Node) -> Node:
    if b.value == 0.0:
        return a
    return _negative(b) if a.value == 0.0 else Node.of("-", a, b)


def _multiply(a: Node, b: Node) -> Node:
    for one, other in ((a, b), (b, a)):
        if one.value == 0.0:
            return constant(0.0)
        if one.value == 1.0 and not other.truth:
            return other
        if one.value == -1.0:
            return _negative(other)
    return Node.of("*", a, b)


def _divide(a: Node, b: Node) -> Node:
    return a if b.value == 1.0 or a.value == 0.0 else Node.of("/", a, b)


def _negative(a: Node) -> Node:
    return a.operands[0] if a.operation == "negative" else Node.of("negative", a)


def _and(a: Node, b: Node) -> Node:
    for one, other in ((a, b), (b, a)):
        if one.value is not None:
            return other if one.value else one
    return Node.of("&", a, b, truth=True)


def _or(a: Node, b: Node) -> Node:
    for one, other in ((a, b), (b, a)):
        if one.value is not None:
            return one if one.value else other
    return Node.of("|", a, b, truth=True)


def _compare(sign: str) -> Callable[[Node, Node], Node]:
    return lambda a, b: Node.of(sign, a, b, truth=True)


def _select(condition: Node, a: Node, b: Node) -> Node:
    if condition.value is not None:
        return a if condition.value else b
    return Node.of("select", condition, a, b)


def _maximum(a: Node, b: Node) -> Node:
    return Node.of("maximum", a, b)


def _minimum(a: Node, b: Node) -> Node:
    return Node.of("minimum", a, b)


def _function(name: str, truth: bool = False) -> Callable[[Node], Node]:
    return lambda a: Node.of(name, a, truth=truth)


def _not_equal(a: Node, b: Node) -> Node:
    return Node.of("^" if a.truth else "!=", a, b, truth=True)


OPERATIONS: dict[str, tuple[Callable[..., Node], Callable[..., float]]] = {
    # by the name of the ufunc: what it records, and what it makes of constants
    "add": (_add, operator.add),
    "subtract": (_subtract, operator.sub),
    "multiply": (_multiply, operator.mul),
    "divide": (_divide, operator.truediv),
    "negative": (_negative, operator.neg),
    "absolute": (_function("fabs"), abs),
    "sqrt": (_function("sqrt"), math.sqrt),
    "sin": (_function("sin"), math.sin),
    "cos": (_function("cos"), math.cos),
    "square": (lambda a: _multiply(a, a), lambda a: a * a),
    "maximum": (_maximum, max),
    "minimum": (_minimum, min),
    "greater": (_compare(">"), operator.gt),
    "greater_equal": (_compare(">="), operator.ge),
    "less": (_compare("<"), operator.lt),
    "less_equal": (_compare("<="), operator.le),
    "equal": (_compare("=="), operator.eq),
    "not_equal": (_not_equal, operator.ne),
    "isnan": (_function("isnan", truth=True), math.isnan),
    "isfinite": (_function("isfinite", truth=True), math.isfinite),
    "sign": (_function("sign"), lambda a: math.copysign(1.0, a) if a else 0.0),
    "invert": (lambda a: Node.of("~", a, truth=True), operator.not_),
    "logical_and": (_and, operator.and_),
    "logical_or": (_or, operator.or_),
    "bitwise_and": (_and, operator.and_),
    "bitwise_or": (_or, operator.or_),
    "where": (_select, lambda condition, a, b: a if condition else b),
}


def _recording(name: str) -> Any:
    record, of_constants = OPERATIONS[name]

    def apply(*operands: Any) -> Node:
        nodes = tuple(node(operand) for operand in operands)
        if all(part.value is not None for part in nodes):
            return constant(of_constants(*(bool(p.value) if p.truth else p.value for p in nodes)))
        return record(*nodes)

    return np.frompyfunc(apply, _operands(name), 1)


def _operands(name: str) -> int:
    return 3 if name == "where" else int(getattr(np, name).nin)


UFUNCS = {name: _recording(name) for name in OPERATIONS}


class Recorded(np.ndarray[Any, np.dtype[Any]]):
    """An array of nodes.

    Whether any of it at all is true is answered with yes: the code takes its most general way.
    """

    def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, out: Any = None, **options: Any) -> Any:
        """Record an operation of NumPy."""
        name = "square" if ufunc is np.power and inputs[1] == 2 else ufunc.__name__
        if ufunc is np.power:
            inputs = inputs[:1]
        plain = [np.asarray(part, dtype=object) for part in inputs]
        if method == "reduce":
            axis = options.get("axis", 0)
            result = plain[0]
            for one in sorted(axis if isinstance(axis, tuple) else (axis,), reverse=True):
                result = UFUNCS[name].reduce(result, axis=one, keepdims=options.get("keepdims", False))
        else:
            result = UFUNCS[name](*plain)
        if out is not None:
            np.asarray(out[0])[...] = result
            return out[0]
        return np.asarray(result, dtype=object).view(Recorded)

    def any(self, axis: Any = None, **options: Any) -> Any:  # type: ignore[override]
        """Yes; lane by lane what it is."""
        return True if axis is None else super().any(axis=axis, **options)


class RecordingNumPy:
    """What stands in for NumPy in a module that is recorded: it makes recorded arrays."""

    def __getattr__(self, name: str) -> Any:
        """Everything else is NumPy's own."""
        return getattr(np, name)

    @staticmethod
    def full(shape: Any, value: float, dtype: Any = None, order: str = "C") -> Recorded:
        """An array of one constant."""
        out = np.empty(shape, dtype=object, order="F")
        out[...] = constant(value)
        return out.view(Recorded)

    def zeros(self, shape: Any, dtype: Any = None, order: str = "C") -> Recorded:
        """As numpy.zeros."""
        return self.full(shape, 0.0)

    def ones(self, shape: Any, dtype: Any = None, order: str = "C") -> Recorded:
        """As numpy.ones."""
        return self.full(shape, True if dtype is bool else 1.0)

    def empty(self, shape: Any, dtype: Any = None, order: str = "C") -> Recorded:
        """As numpy.empty; what is left free stays NaN."""
        return self.full(shape, math.nan)

    def empty_like(self, like: Any) -> Recorded:
        """As numpy.empty_like."""
        return self.empty(like.shape)

    @staticmethod
    def array(values: Any, dtype: Any = None, order: str = "C") -> Any:
        """A copy."""
        return values.copy(order="F")

    @staticmethod
    def asarray(values: Any, dtype: Any = None) -> Any:
        """The array itself."""
        return values

    @staticmethod
    def asfortranarray(values: Any, dtype: Any = None) -> Any:
        """A copy."""
        return values.copy(order="F")

    @staticmethod
    def where(condition: Any, a: Any, b: Any) -> Recorded:
        """As numpy.where."""
        parts = (np.asarray(part, dtype=object) for part in (condition, a, b))
        return np.asarray(UFUNCS["where"](*parts), dtype=object).view(Recorded)

    @staticmethod
    def clip(values: Any, low: Any, high: Any) -> Any:
        """As numpy.clip."""
        return np.minimum(np.maximum(values, low), high)


@contextmanager
def recorded(*modules: ModuleType) -> Iterator[None]:
    """While it lasts the modules record instead of computing."""
    Node.known.clear()
    for module in modules:
        module.np = RecordingNumPy()  # type: ignore[attr-defined]
    try:
        yield
    finally:
        for module in modules:
            module.np = np  # type: ignore[attr-defined]


def in_order(ends: list[Node]) -> list[Node]:
    """All nodes that the given ones are made of, each after its operands."""
    seen: dict[int, Node] = {}
    stack: list[tuple[Node, bool]] = [(end, False) for end in reversed(ends)]
    while stack:
        at, ready = stack.pop()
        if ready:
            seen[id(at)] = at
        elif id(at) not in seen:
            stack.append((at, True))
            stack.extend((part, False) for part in reversed(at.operands) if isinstance(part, Node))
    return list(seen.values())
