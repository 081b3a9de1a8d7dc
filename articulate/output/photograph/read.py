"""Reading a photograph and the points that are typed for it."""

from __future__ import annotations

import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from articulate.errors import ArticulateError

FORMS = ("JPEG", "PNG", "WEBP", "TIFF")
LEAST, MOST = 200, 100_000_000  # [px] of the shorter side, [px] in all
FORM = "write --point 'front hub=812,640', pixels to the right and down from the upper left corner"


@dataclass(frozen=True)
class Photograph:
    """A picture, and where points lie in it [px, right and down], by name."""

    image: Image.Image
    points: dict[str, tuple[float, float]]


class PhotographError(ArticulateError, ValueError):
    """A file that is no photograph to draw on: why, and what would work."""


def read_photograph(path: Path) -> Image.Image:
    """A photograph as it is seen, upright as its camera says, in red, green and blue.

    Args:
        path: of the file.

    Raises:
        PhotographError: it is not there, no picture, broken, too small or too large.
    """
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # its limit is below ours
            with Image.open(path, formats=FORMS) as opened:
                wide, high = opened.size
                if min(wide, high) < LEAST or wide * high > MOST:
                    raise PhotographError(
                        f"has {wide} x {high} pixels; give one of {LEAST} each way or more, "
                        f"{MOST // 10**6} million at most"
                    )
                upright = ImageOps.exif_transpose(opened)
                clear = upright.has_transparency_data
                whole = upright.convert("RGBA") if clear else upright.convert("RGB")
    except UnidentifiedImageError:
        raise PhotographError("is no picture that can be read; give a JPEG, PNG, WebP or TIFF") from None
    except Image.DecompressionBombError:
        raise PhotographError(f"has too many pixels; at most {MOST // 10**6} million") from None
    except FileNotFoundError:
        raise PhotographError("is not there; name a JPEG, PNG, WebP or TIFF") from None
    except (OSError, SyntaxError, ValueError) as error:
        if isinstance(error, PhotographError):
            raise
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise PhotographError(f"cannot be read as a picture ({why}); give a whole JPEG, PNG, WebP or TIFF") from None
    if not clear:
        return whole
    behind = Image.new("RGBA", whole.size, "white")
    behind.alpha_composite(whole)
    return behind.convert("RGB")


def read_points(typed: Sequence[str], faults: list[str]) -> dict[str, tuple[float, float]]:
    """Points as typed, `front hub=812,640`; what is wrong goes to the faults."""
    found: dict[str, tuple[float, float]] = {}
    for text in typed:
        name, equals, place = text.partition("=")
        name = " ".join(name.split())
        numbers = place.replace(",", " ").replace("px", " ").split()
        if not (equals and name and len(numbers) == 2 and all(map(_is_number, numbers))):
            faults.append(f"--point {text}: not a name and two numbers; {FORM}")
        elif name in found:
            faults.append(f"--point {text}: {name} is given twice; give it once")
        else:
            found[name] = (float(numbers[0]), float(numbers[1]))
    return found


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False
