"""The solver compiled: the same arithmetic as the NumPy code's, written down from it by scripts/compiled_core.

`pieces.c` and `layout.py` are generated; `flow.c` says when each piece is run. The library made of them is there where
a compiler was when the program was installed. Without it NumPy does the work.
"""
