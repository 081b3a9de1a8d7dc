"""What is left to the thorough run is there."""

from __future__ import annotations

import pytest

from tests.thorough import THOROUGH


def test_each_entry_begins_the_name_of_a_test(collected, pytestconfig):
    if any("::" in word for word in pytestconfig.args):
        pytest.skip("single tests were asked for")
    files = {name.partition("::")[0] for name in collected}
    asked = [entry for entry in THOROUGH if entry.partition("::")[0] in files]
    if not asked:
        pytest.skip("no file of the list was asked for")
    assert [entry for entry in asked if not any(name.startswith(entry) for name in collected)] == []
