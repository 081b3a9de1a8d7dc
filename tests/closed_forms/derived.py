"""Derivations by name, each worked out once for all tests (they are frozen)."""

from __future__ import annotations

from functools import cache

from articulate import closed_forms
from articulate.closed_forms.derivation import Derivation


@cache
def derived(name: str) -> Derivation:
    return closed_forms.derive(name)
