"""Tyre sizes and the vertical stiffness estimated from them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from articulate.constants import INCH, STANDARD_GRAVITY
from articulate.spec.errors import QuantityError

Array = NDArray[np.float64]

AT_NO_PRESSURE = 3.45  # [kgf/mm] of a tyre's stiffness, by the equation of `vertical_stiffness`
Form = Literal["metric", "flotation", "full section"]

_FULL_PROFILE = 80.0  # aspect of a size that names none, such as 205R16; value from memory

# Full-section codes of the trade, 7.50-16: a tyre is wider than its number says, and about as tall as wide. Fitted by
# hand to tyres of 6.00-16 (730 mm), 6.50-16 (755), 7.00-16 (780), 7.50-16 (806), 8.25-16 (858), 9.00-16 (890); values
# from memory.
_FULL_SECTION_WIDTH = 1.08  # section width over the code's number
_FULL_SECTION_HEIGHT = 1.06  # section height over the code's number, so an aspect of 98 %

_METRIC = re.compile(
    r"(?P<before>P|LT|C)?\s*(?P<width>\d{3})(?:\s*/\s*(?P<aspect>\d{2,3}))?\s*(?P<ply>ZR|R|D|B|-)\s*"
    r"(?P<rim>\d{2}(?:\.\d)?)(?P<after>(?:[\s/A-Z].*)?)"
)
_FLOTATION = re.compile(
    r"(?P<before>P|LT)?\s*(?P<diameter>\d{2}(?:\.\d+)?)\s*[X×]\s*(?P<width>\d{1,2}(?:\.\d+)?)\s*"
    r"(?P<ply>ZR|R|D|B|-)\s*(?P<rim>\d{2}(?:\.\d)?)(?P<after>(?:[\s/A-Z].*)?)"
)
# 7.50-16, also written 750-16 or 7.50x16; no metric tyre of these widths names no aspect.
_FULL_SECTION = re.compile(
    r"(?P<before>LT)?\s*(?P<width>\d{1,2}\.\d{2}|[5-9]\d[05]|1[0-4]00)\s*(?P<ply>R|D|B|-|X|×)\s*"
    r"(?P<rim>[12]\d(?:\.\d)?)(?P<after>(?:[\s/A-Z].*)?)"
)
_SERVICE = re.compile(r"\d{2,3}(?:/\d{2,3})?[A-Z]\d?")
_PLY = re.compile(r"(\d{1,2})[\s-]*(?:PR|PLY(?:\s+RATING)?)")
_LOAD_RANGE = re.compile(r"(?:LOAD\s+RANGE|LR)\s*([B-HLN])")

# Ply rating of a light-truck tyre and the cold pressure at which its rated load holds; value from memory.
LOAD_RANGES = {"B": (4, 240e3), "C": (6, 350e3), "D": (8, 450e3), "E": (10, 550e3), "F": (12, 650e3)}


@dataclass(frozen=True)
class TyreSize:
    """What a size code says: nominal unloaded diameter, section width and rim diameter [m].

    Of a full-section code such as 7.50-16 diameter and width are what such tyres have, since it does not say them.

    `kind` is the service the code names (a `C` behind a metric size without LT is a commercial tyre),
    `load_range` the letter or SL, XL where the code has one, `service` the load index and speed symbol.
    """

    code: str
    form: Form
    diameter: float
    width: float
    rim_diameter: float
    kind: Literal["passenger", "light truck", "commercial", ""] = ""
    load_range: str = ""
    service: str = ""
    radial: bool = True  # False for a code of cross-ply (bias) or bias-belted tyres

    @property
    def section_height(self) -> float:
        """Tread to rim, (D_o - D)/2 [m]."""
        return 0.5 * (self.diameter - self.rim_diameter)

    @property
    def aspect(self) -> float:
        """Section height over section width [-]."""
        return self.section_height / self.width

    @property
    def name(self) -> str:
        """The size alone, without load range and service: `LT285/70R17`, `35x12.50R17`, `7.50-16`."""
        rim = f"{'R' if self.radial else '-'}{self.rim_diameter / INCH:g}"
        if self.form == "flotation":
            return f"{self.diameter / INCH:g}x{self.width / INCH:.2f}{rim}"
        if self.form == "full section":
            return f"{self.width / _FULL_SECTION_WIDTH / INCH:.2f}{rim}"
        before = "LT" if self.kind == "light truck" else ""
        return f"{before}{self.width * 1e3:.0f}/{100.0 * self.aspect:.0f}{rim}"

    @property
    def heavy(self) -> bool:
        """Whether it is built as a light-truck tyre: by its code, or for every flotation and full-section size."""
        return self.form != "metric" or self.kind in ("light truck", "commercial") or self.load_range in LOAD_RANGES


def read_tyre_size(code: str) -> TyreSize:
    """Read a size code from a sidewall.

    Metric (`265/70R17`, `LT265/70R17 121/118S E`, `P205/60R15`, `205R16C`): diameter = rim + 2 width aspect/100.
    Flotation (`35x12.50R17LT/E`): the first number is the nominal diameter in inches. Full section (`7.50-16 LT 8PR`,
    `7.50R16C`, `750-16`): the number is a section in inches that no tyre has exactly; section width 1.08 and section
    height 1.06 of it are taken, an aspect of 98 %. Behind the size may stand LT or C, a load range (`E`, `/E`,
    `load range E`, `10PR`, `SL`, `XL`), TT or TL, and a load index with speed symbol. `-`, `D` or `B` before the rim is
    a cross-ply (bias) or belted tyre; a metric size with `-` is read as a radial, as many write it so.

    Source: ISO 4000-1 / ETRTO form, value from memory; of full-section tyres see `_FULL_SECTION_HEIGHT`.

    Raises:
        QuantityError: not a size code, or a tyre that is wider than tall or smaller than its rim.
    """
    text = " ".join(code.upper().split())
    full = _FULL_SECTION.fullmatch(text)
    metric, flotation = None if full else _METRIC.fullmatch(text), _FLOTATION.fullmatch(text)
    form: Form
    if full:
        section, rim = float(full["width"]) * INCH, float(full["rim"]) * INCH
        section *= 1.0 if "." in full["width"] else 0.01
        width, diameter = _FULL_SECTION_WIDTH * section, rim + 2.0 * _FULL_SECTION_HEIGHT * section
        form = "full section"
    elif metric:
        width, rim = float(metric["width"]) * 1e-3, float(metric["rim"]) * INCH
        form, diameter = "metric", rim + 2.0 * width * float(metric["aspect"] or _FULL_PROFILE) / 100.0
    elif flotation:
        diameter, width, rim = (float(flotation[name]) * INCH for name in ("diameter", "width", "rim"))
        form = "flotation"
    else:
        raise QuantityError(
            "that is not a tyre size code",
            'write "265/70R17", "35x12.50R17" or "7.50-16", or give diameter and width',
        )
    match = full or metric or flotation
    assert match is not None
    kind, load_range, service = _suffix(match["after"], match["before"] or "", form)
    radial = match["ply"] in ("R", "ZR") or (form == "metric" and match["ply"] == "-")
    size = TyreSize(code.strip(), form, diameter, width, rim, kind, load_range, service, radial)
    if size.width >= size.diameter:
        raise QuantityError("that tyre is wider than tall", "check the order, as in 35x12.50R17")
    if size.rim_diameter >= size.diameter:
        raise QuantityError("that tyre is smaller than its rim", "check the order, as in 35x12.50R17")
    if not (0.45 <= size.diameter <= 1.5 and 0.1 <= size.width <= 0.6):
        raise QuantityError(
            f"that tyre would be {size.diameter * 1e3:.0f} mm tall and {size.width * 1e3:.0f} mm wide",
            'write, for instance, "265/70R17"',
        )
    return size


_Kind = Literal["passenger", "light truck", "commercial", ""]


def _suffix(after: str, before: str, form: Form) -> tuple[_Kind, str, str]:
    """Kind, load range and service description from what stands before and behind the size."""
    kind: _Kind = "passenger" if before == "P" else "light truck" if before == "LT" else ""
    if before == "C":
        kind = "commercial"
    load_range, service = "", ""
    rest = after.strip()
    attached = rest.startswith("C") and not after.startswith(" ") and form != "flotation"
    while rest:
        rest = rest.lstrip(" /")
        for pattern in (_LOAD_RANGE, _PLY, _SERVICE, re.compile(r"LT|SL|XL|RF|TT|TL|C|[BDEFGHLN](?![A-Z\d])")):
            match = pattern.match(rest)
            if match:
                break
        else:
            raise QuantityError(
                f'"{rest}" behind the size says nothing known',
                'write the size alone, or with its load range, as in "LT285/70R17 E"',
            )
        word = match.group(0)
        rest = rest[match.end() :]
        if pattern is _LOAD_RANGE:
            load_range = match.group(1)
        elif pattern is _PLY:
            plies = {ply: letter for letter, (ply, _) in LOAD_RANGES.items()}
            load_range = load_range or plies.get(int(match.group(1)), f"{match.group(1)}PR")
        elif pattern is _SERVICE:
            service = word
        elif word == "LT":
            kind = "light truck"
        elif word == "C" and attached and kind == "":
            kind = "commercial"
        elif word not in ("TT", "TL"):  # with or without a tube
            load_range = word
    return kind, load_range, service


def tyre_mass(diameter: ArrayLike, width: ArrayLike, rim_diameter: ArrayLike, areal_mass: ArrayLike) -> Array:
    """Mass of a tyre from the area of its tread and sidewalls, (pi D_o w + pi/2 (D_o^2 - D^2)) q [kg].

    Args:
        diameter: D_o, unloaded [m].
        width: w [m].
        rim_diameter: D [m].
        areal_mass: q [kg/m^2]; see `defaults.TYRE_AREAL_MASS`, a rule of thumb.

    Shapes broadcast.
    """
    d_o, d = np.asarray(diameter), np.asarray(rim_diameter)
    area = np.pi * d_o * np.asarray(width) + 0.5 * np.pi * (d_o**2 - d**2)
    return np.asarray(area * np.asarray(areal_mass), dtype=np.float64)


def loaded_radius(diameter: ArrayLike, load: ArrayLike, stiffness: ArrayLike) -> Array:
    """Static loaded radius D_o/2 - N/k [m], for a stiffness that does not change with load; NaN once pressed flat.

    diameter [m], load N [N], stiffness k [N/m]; shapes broadcast. Near the rim the real tyre is stiffer.
    """
    radius = 0.5 * np.asarray(diameter) - np.asarray(load) / np.asarray(stiffness)
    return np.asarray(np.where(radius > 0.0, radius, np.nan), dtype=np.float64)


def vertical_stiffness(pressure: ArrayLike, width: ArrayLike, diameter: ArrayLike, rim_diameter: ArrayLike) -> Array:
    """Vertical stiffness of a radial tyre from its size and pressure.

        K = 0.00028 P sqrt((1.03 - 0.004 AR) S D_o) + 3.45  [kgf/mm]

    with P in kPa, section width S and unloaded diameter D_o = S AR/50 + D in mm (D the rim diameter, AR the
    aspect ratio in per cent, taken here from the three lengths so that a measured diameter counts).

    Args:
        pressure: inflation pressure [Pa], any shape.
        width: section width S [m], broadcast with the others.
        diameter: unloaded diameter D_o [m].
        rim_diameter: nominal rim diameter D [m].

    Returns:
        Vertical stiffness [N/m]; NaN where the aspect ratio is beyond the equation (above 257).

    Source: T. B. Rhyne, Development of a vertical stiffness relationship for belted radial tires, Tire
    Science and Technology 33(3), 2005, doi 10.2346/1.2174340; equation from memory. Taken here as good to
    about 25 % (value from memory).
    """
    s, d_o = np.asarray(width) * 1e3, np.asarray(diameter) * 1e3
    aspect = 50.0 * (d_o - np.asarray(rim_diameter) * 1e3) / s
    inside = (1.03 - 0.004 * aspect) * s * d_o
    root = np.sqrt(np.where(inside > 0.0, inside, np.nan))
    stiffness = 0.00028 * np.asarray(pressure) * 1e-3 * root + AT_NO_PRESSURE  # [kgf/mm]
    return np.asarray(stiffness * STANDARD_GRAVITY * 1e3, dtype=np.float64)
