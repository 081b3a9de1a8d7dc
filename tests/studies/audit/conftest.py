"""What many audits have in common, worked out once."""

from __future__ import annotations

import hashlib
import pickle

import pytest

from articulate.studies.audit import possible

_CLIMBED: dict[bytes, list] = {}


@pytest.fixture
def climbed_once(monkeypatch):
    """The climbs of the very same vehicles are made once: sheets of one vehicle differ in what was read of them."""
    afresh = possible.see

    def remembered(variants, cases):
        asked = hashlib.sha256(pickle.dumps((variants, cases))).digest()
        if asked not in _CLIMBED:
            _CLIMBED[asked] = afresh(variants, cases)
        return _CLIMBED[asked]

    monkeypatch.setattr(possible, "see", remembered)
