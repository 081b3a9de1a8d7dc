"""The drawing library, loaded for a command."""

from __future__ import annotations

import gc
import sys


def load_for_a_command() -> None:
    """Load what draws as a process needs it that draws once and ends.

    Left out are the lists of properties that the library writes into its docstrings meanwhile, a third of its loading:
    nobody asks a command for help about an artist. What is loaded stays, so it is not searched for garbage any more.
    Nothing is done where the library is there already, as in a program of its user's.
    """
    if "matplotlib.artist" in sys.modules:
        return
    from matplotlib import artist  # noqa: PLC0415 this is the place to load it

    written = artist.kwdoc
    artist.kwdoc = lambda artist: ""
    try:
        import matplotlib.figure  # noqa: F401, PLC0415 loads all kinds of artists
    finally:
        artist.kwdoc = written
    gc.freeze()
