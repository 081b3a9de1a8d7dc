"""Set-up shared by the scripts: a virtual environment in .venv with the pinned packages.

Made once; a second call does nothing unless pyproject.toml or the constraints have changed.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / ".venv"
CONSTRAINTS = ROOT / "scripts" / "constraints.txt"


def environment_python() -> str:
    """Path of the environment's Python, set up if it is not there yet."""
    python = FOLDER / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes() + CONSTRAINTS.read_bytes()).hexdigest()
    stamp = FOLDER / "articulate-setup"
    if not (python.exists() and stamp.exists() and stamp.read_text() == wanted):
        print("setting up .venv (once) ...", file=sys.stderr, flush=True)
        venv.create(FOLDER, with_pip=True, clear=True)
        install = [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check"]
        subprocess.run([*install, "-c", str(CONSTRAINTS), "-e", f"{ROOT}[test]"], check=True)
        stamp.write_text(wanted)
    return str(python)
