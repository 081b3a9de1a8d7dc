"""What a derivation is: premises, steps, results, and the proof that each result follows.

Every result carries two expressions that were reached apart: `stated`, the formula as it is quoted, and
`derived`, what sympy made of the premises. The proof is that their difference simplifies to zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import sympy
from sympy.solvers.solveset import NonlinearError

from articulate.errors import ArticulateError


class UnprovedError(ArticulateError, ValueError):
    """A stated formula does not follow from the premises of its derivation."""


class OutsideValidityError(ArticulateError, ValueError):
    """A formula has no finite real value for the numbers given."""


@dataclass(frozen=True)
class Meaning:
    """What a symbol stands for, in words, and its SI unit ("-" for a pure number)."""

    text: str
    unit: str


@dataclass(frozen=True)
class Line:
    """One step of a derivation: what is done, and the expression or equation it gives."""

    text: str
    formula: sympy.Basic


@dataclass(frozen=True)
class Proved:
    """A formula: `stated` as quoted, `derived` as sympy found it from the premises."""

    label: str
    stated: sympy.Eq
    derived: sympy.Expr
    unit: str

    def difference(self) -> sympy.Expr:
        """Stated minus derived, simplified; zero if the formula is proved."""
        difference = sympy.simplify(sympy.together(self.stated.rhs - self.derived))
        if difference == 0:
            return difference
        # Identities of half angles escape simplify in circular functions but not in exponentials.
        return difference if sympy.simplify(difference.rewrite(sympy.exp)) != 0 else sympy.Integer(0)

    @property
    def needs(self) -> tuple[str, ...]:
        """Names of the symbols whose values the formula needs, in alphabetical order."""
        return tuple(sorted(symbol.name for symbol in self.stated.rhs.free_symbols))

    def value(self, numbers: Mapping[str, float]) -> float:
        """The formula's value for given numbers.

        Args:
            numbers: SI value of every symbol in `needs`, by name; others are not read.

        Raises:
            KeyError: A needed number is missing.
            OutsideValidityError: The formula has no finite real value there.
        """
        rhs = self.stated.rhs
        found = rhs.xreplace({symbol: sympy.Float(numbers[symbol.name]) for symbol in rhs.free_symbols}).evalf()
        if not (found.is_real and found.is_finite):
            raise OutsideValidityError(f"'{self.label}' has no finite real value for these numbers")
        return float(found)


@dataclass(frozen=True)
class Derivation:
    """A closed form with its derivation; `results` begins with the one the derivation is named after.

    `name` is that under which `derive` finds it.
    """

    title: str
    premises: tuple[str, ...]
    steps: tuple[Line, ...]
    results: tuple[Proved, ...]
    symbols: Mapping[sympy.Symbol, Meaning]
    validity: str
    source: str
    name: str = ""

    @property
    def result(self) -> sympy.Eq:
        """The formula the derivation is named after."""
        return self.results[0].stated

    @property
    def needs(self) -> tuple[str, ...]:
        """Names of all symbols that take a number in one of the results, in alphabetical order."""
        return tuple(sorted({name for result in self.results for name in result.needs}))

    def verify(self) -> None:
        """Prove every result.

        Raises:
            UnprovedError: A stated formula differs from the derived one.
        """
        for result in self.results:
            difference = result.difference()
            if difference != 0:
                raise UnprovedError(
                    f"{self.name}: '{result.label}' does not follow from the premises; stated - derived = {difference}"
                )


def named(table: str, *symbols: sympy.Symbol) -> dict[sympy.Symbol, Meaning]:
    """What symbols stand for, by a table as papers have one: `g: ramp angle [rad]`, a line each.

    Raises:
        UnprovedError: The lines are not those of the symbols, in their order.
    """
    rows = [row.strip() for row in table.strip().splitlines()]
    if [row.partition(":")[0] for row in rows] != [symbol.name for symbol in symbols]:
        raise UnprovedError("the table of symbols does not have a line for each in their order")
    words = (row.partition(":")[2].removesuffix("]").rpartition("[") for row in rows)
    return {symbol: Meaning(text.strip(), unit) for symbol, (text, _, unit) in zip(symbols, words, strict=True)}


def only(solutions: Iterable[sympy.Expr]) -> sympy.Expr:
    """The single solution of an equation.

    Raises:
        UnprovedError: There is none, or more than one.
    """
    found = list(solutions)
    if len(found) != 1:
        raise UnprovedError(f"expected one solution, found {len(found)}")
    return found[0]


def solve_linear(equations: Iterable[sympy.Expr], unknowns: tuple[sympy.Symbol, ...]) -> dict[sympy.Symbol, sympy.Expr]:
    """Solution of linear equations (each expression equal to zero) with one solution.

    Raises:
        UnprovedError: The equations are not linear in the unknowns or have no single solution.
    """
    try:
        matrix, right = sympy.linear_eq_to_matrix([sympy.expand(item) for item in equations], *unknowns)
    except NonlinearError as error:
        raise UnprovedError(f"the equations are not linear: {error}") from error
    determinant = sympy.simplify(matrix.det())
    if determinant == 0:
        raise UnprovedError("the equations leave an unknown open")
    solution = matrix.adjugate() * right / determinant
    return dict(zip(unknowns, solution, strict=True))
