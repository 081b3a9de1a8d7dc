"""The quick run and the thorough one; see `thorough.py`."""

from __future__ import annotations

import pytest
from hypothesis import settings

from tests.thorough import THOROUGH

settings.register_profile("any machine", deadline=None)  # no test asserts seconds
settings.load_profile("any machine")

COLLECTED = pytest.StashKey[tuple[str, ...]]()  # names of all tests that were asked for, those left out too


def pytest_addoption(parser):
    parser.addoption("--thorough", action="store_true", help="run what tests/thorough.py lists as well")


def pytest_collection_modifyitems(config, items):
    names = [item.nodeid.removeprefix("tests/") for item in items]
    config.stash[COLLECTED] = tuple(names)
    if config.getoption("--thorough") or any("::" in word for word in config.args):
        return
    left_out = [name.startswith(tuple(THOROUGH)) for name in names]
    config.hook.pytest_deselected(items=[item for item, out in zip(items, left_out, strict=True) if out])
    items[:] = [item for item, out in zip(items, left_out, strict=True) if not out]


@pytest.fixture
def collected(request) -> tuple[str, ...]:
    """Names of all tests that were asked for."""
    return request.config.stash[COLLECTED]
