"""A figure of the band, as SVG."""

import tempfile
from pathlib import Path

import articulate

picture = articulate.band(articulate.demo("wagon"), points=64).plot()
place = Path(tempfile.mkdtemp()) / "band.svg"
place.write_text(picture.svg(), encoding="utf-8")
print(f"{picture.title}: {place.stat().st_size // 1000} kB")
