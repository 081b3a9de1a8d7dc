"""Make the library of the compiled equations with whatever C compiler there is; none is needed to install."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import tempfile
from pathlib import Path

FLAGS = ["-O2", "-ffp-contract=off", "-fno-math-errno", "-w", "-fPIC", "-shared"]


def compilers() -> list[list[str]]:
    """What may compile, in order: what CC says, then what is usual."""
    said = [shlex.split(os.environ["CC"])] if os.environ.get("CC") else []
    return said + [[name] for name in ("cc", "gcc", "clang") if shutil.which(name)]


def build(folder: Path) -> str:
    """Make the library beside its source in articulate/compiled, unless it is there; returns what was done.

    The library of another state of the source is removed.
    """
    digest = re.search(r'^DIGEST = "(\w+)"', (folder / "layout.py").read_text(encoding="utf-8"), re.MULTILINE)
    assert digest is not None
    wanted = folder / f"solver-{digest[1]}.so"
    for other in folder.glob("solver-*.so"):
        if other != wanted:
            other.unlink()
    if wanted.exists():
        return f"{wanted.name} is there"
    for compiler in compilers():
        with tempfile.TemporaryDirectory(dir=folder) as place:
            made = Path(place) / "made.so"
            command = [*compiler, *FLAGS, str(folder / "flow.c"), "-o", str(made), "-lm"]
            try:
                done = subprocess.run(command, check=False, capture_output=True)
            except OSError:
                continue
            if done.returncode == 0:
                made.replace(wanted)
                return f"made {wanted.name} with {shlex.join(compiler)}"
    return "no C compiler that makes it; NumPy does the work"
