"""Set-up shared by the scripts: a virtual environment in .venv with the pinned packages.

Made once, with what the program itself needs; the tests' packages are added when the tests are first run. A later call
does nothing unless pyproject.toml or the constraints have changed.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

import core_library

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / ".venv"
CONSTRAINTS = ROOT / "scripts" / "constraints.txt"


def environment_python(extra: str = "") -> str:
    """Path of the environment's Python, set up if it is not there yet.

    Args:
        extra: of pyproject.toml, whose packages are needed too: "test" or none.
    """
    python = FOLDER / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes() + CONSTRAINTS.read_bytes()).hexdigest()
    stamp = FOLDER / "articulate-setup"
    found, _, extras = stamp.read_text().partition(" ") if stamp.exists() else ("", "", "")
    current = python.exists() and found == wanted
    if not current or extra not in ("", *extras.split()):
        print(f"setting up .venv ({extra or 'once'}) ...", file=sys.stderr, flush=True)
        if not current:
            venv.create(FOLDER, with_pip=True, clear=True)
        what = f"{ROOT}[{extra}]" if extra else str(ROOT)
        install = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        subprocess.run([*install, "-c", str(CONSTRAINTS), "-e", what], check=True)
        stamp.write_text(" ".join([wanted, *(extras.split() if current else []), *([extra] if extra else [])]))
    core_library.build(ROOT / "articulate" / "compiled")  # of the equations as they are now
    return str(python)
