"""Commands of the checkout run where their output goes to a terminal of 80 columns."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

ROOT = Path.cwd()


def environment(**changes):
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    return {**kept, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "TERM": "xterm-256color", "LC_ALL": "C.UTF-8", **changes}


def on_a_terminal(words, folder, **changes):
    """Output of a command that writes to a terminal."""
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "articulate", *words]
    process = subprocess.Popen(
        command, stdout=theirs, stderr=theirs, stdin=subprocess.DEVNULL, cwd=folder, env=environment(**changes)
    )
    os.close(theirs)
    parts = []
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # the other end is closed
            break
        if not part:
            break
        parts.append(part)
    os.close(ours)
    process.wait(timeout=60)
    return b"".join(parts).decode("utf-8").replace("\r\n", "\n")
