"""Pages and a browser, made once for all tests that look at them."""

from __future__ import annotations

import pytest

from tests.output.pages import Made, a_browser


@pytest.fixture(scope="session")
def browser():
    with a_browser() as found:
        yield found


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    return Made(tmp_path_factory.mktemp("pages"))
