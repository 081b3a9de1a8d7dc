"""The equations compiled: the same arithmetic as the NumPy code's, written down from it by scripts/compiled_core.

`moves.c` and `layout.py` are generated; the library made of them is there where a compiler was when the program was
installed. Without it NumPy does the work.
"""
