"""A derivation as plain text for a terminal: premises, steps, formulas, and the numbers put in."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from textwrap import wrap

import sympy
from sympy.printing.pretty.pretty import PrettyPrinter
from sympy.printing.pretty.pretty_symbology import greek_unicode, pretty_use_unicode
from sympy.printing.pretty.stringpict import prettyForm

from articulate.closed_forms.derivation import Derivation, OutsideValidityError, Proved

_INDENT = "    "


@dataclass(frozen=True)
class Number:
    """A number to put in: its SI value, and how its owner writes it (with his unit)."""

    value: float
    text: str


def render(
    derivation: Derivation,
    numbers: Mapping[str, Number] | None = None,
    *,
    width: int = 80,
    unicode: bool = True,
) -> str:
    """Text of a derivation.

    Args:
        derivation: What to show.
        numbers: By symbol name, some or all of `derivation.needs`; formulas whose numbers are all there are
            worked out, and names the derivation does not know are passed over.
        width: Columns of the terminal.
        unicode: False for plain ASCII formulas.

    Returns:
        The text, lines not wider than `width` (at least 40) and without trailing blanks, ending in a newline.
    """
    width = max(width, 40)
    lines = [*_paragraph(derivation.title, width, ""), "=" * min(len(derivation.title), width), ""]
    lines.append("Premises")
    for number, premise in enumerate(derivation.premises, start=1):
        lines += _paragraph(premise, width, f"{number:2d}. ")
    lines += ["", "Derivation"]
    for number, step in enumerate(derivation.steps, start=1):
        lines += [*_paragraph(step.text, width, f"{number:2d}. "), ""]
        lines += [*_formula(step.formula, width, unicode), ""]
    lines.append("Result")
    for result in derivation.results:
        lines += [*_paragraph(f"{result.label} [{result.unit}]", width, "  "), ""]
        lines += [*_formula(result.stated, width, unicode), ""]
    lines.append("Symbols")
    lines += _symbols(derivation, width, unicode)
    if numbers:
        lines += ["", "With numbers", *_with_numbers(derivation, numbers, width, unicode)]
    lines += ["", *_paragraph(derivation.validity, width, "Valid:  ")]
    lines += _paragraph(derivation.source, width, "Source: ")
    return "\n".join(line.rstrip() for line in lines) + "\n"


class _Printer(PrettyPrinter):  # type: ignore[misc]  # sympy has no types
    """Draws K_r as it is typed: sympy lowers those subscripts that Unicode has, and leaves K_f beside them."""

    def _print_Symbol(self, e: sympy.Symbol, *_: object) -> prettyForm:  # noqa: N802 # sympy's name for it
        return prettyForm(_name(e.name, bool(self._settings["use_unicode"])))


def _name(symbol: str, unicode: bool) -> str:
    """The symbol's name as it is printed, Greek letters in their own script."""
    if not unicode:
        return symbol
    return "_".join(greek_unicode.get(part, part) for part in symbol.split("_"))


def _paragraph(text: str, width: int, lead: str) -> list[str]:
    lines = wrap(text, width, initial_indent=lead, subsequent_indent=" " * len(lead), break_on_hyphens=False)
    return lines or [lead]


def _formula(formula: sympy.Basic, width: int, unicode: bool) -> list[str]:
    """The formula in two dimensions where it fits, else in one line broken at blanks."""
    if isinstance(formula, sympy.Tuple):
        blocks = [_formula(part, width, unicode) for part in formula]
        return [line for block in blocks for line in ([*block, ""] if block is not blocks[-1] else block)]
    printer = _Printer({"use_unicode": unicode, "wrap_line": False})
    before = pretty_use_unicode(unicode)
    try:
        drawn = str(printer.doprint(formula)).splitlines()
    finally:
        pretty_use_unicode(before)
    if max(map(len, drawn)) <= width - len(_INDENT):
        return [_INDENT + line for line in drawn]
    names = {symbol: sympy.Symbol(_name(symbol.name, unicode)) for symbol in formula.free_symbols}
    return _one_line(formula.subs(names) if names else formula, width)


def _one_line(formula: sympy.Basic, width: int) -> list[str]:
    if isinstance(formula, sympy.MatrixBase):
        rows, columns = formula.shape
        return [
            line
            for i in range(rows)
            for j in range(columns)
            if formula[i, j] != 0
            for line in _broken(f"[{i + 1}, {j + 1}] = {sympy.sstr(formula[i, j])}", width)
        ]
    if isinstance(formula, sympy.Eq):
        return _broken(f"{sympy.sstr(formula.lhs)} = {sympy.sstr(formula.rhs)}", width)
    return _broken(sympy.sstr(formula), width)


def _broken(text: str, width: int) -> list[str]:
    """Break at blanks, and where there is none at a product sign."""
    lines = wrap(
        text, width, initial_indent=_INDENT, subsequent_indent=_INDENT * 2,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    if max(map(len, lines)) <= width:
        return lines
    spaced = text.replace("*", "* ").replace("* * ", "**").replace("/", "/ ")
    return wrap(spaced, width, initial_indent=_INDENT, subsequent_indent=_INDENT * 2)


def _symbols(derivation: Derivation, width: int, unicode: bool) -> list[str]:
    shown = {symbol: _name(symbol.name, unicode) for symbol in derivation.symbols}
    margin = max(map(len, shown.values())) + 2
    lines = []
    for symbol, meaning in derivation.symbols.items():
        lead = "  " + shown[symbol].ljust(margin)
        lines += _paragraph(f"{meaning.text} [{meaning.unit}]", width, lead)
    return lines


def _with_numbers(derivation: Derivation, numbers: Mapping[str, Number], width: int, unicode: bool) -> Iterator[str]:
    units = {symbol.name: meaning.unit for symbol, meaning in derivation.symbols.items()}
    for name in derivation.needs:
        if name in numbers:
            shown = _name(name, unicode)
            in_si = f"{numbers[name].value:.6g}" + ("" if units[name] == "-" else f" {units[name]}")
            text = numbers[name].text
            yield from _paragraph(f"{shown} = {text}" + ("" if text == in_si else f" = {in_si}"), width, "  ")
    for result in derivation.results:
        if set(result.needs) <= set(numbers):
            yield ""
            yield from _paragraph(result.label, width, "  ")
            yield from _worked_out(result, numbers, width, unicode)
    missing = [name for name in derivation.needs if name not in numbers]
    if missing:
        yield ""
        yield from _paragraph("not given: " + ", ".join(_name(name, unicode) for name in missing), width, "  ")


def _worked_out(result: Proved, numbers: Mapping[str, Number], width: int, unicode: bool) -> Iterator[str]:
    values = {name: numbers[name].value for name in result.needs}
    put_in = result.stated.rhs.xreplace(
        {symbol: sympy.Symbol(_as_factor(values[symbol.name])) for symbol in result.stated.rhs.free_symbols}
    )
    yield from _broken(f"{_name(result.stated.lhs.name, unicode)} = {sympy.sstr(put_in, order='none')}", width)
    try:
        value = f"= {result.value(values):.6g}" + ("" if result.unit == "-" else f" {result.unit}")
    except OutsideValidityError as error:
        value = f"= no value: {error}"
    yield from _paragraph(value, width, _INDENT * 2)


def _as_factor(value: float) -> str:
    return f"{value:.6g}" if value >= 0.0 else f"({value:.6g})"
