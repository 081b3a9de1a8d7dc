"""Pages and a browser, made once for all tests that look at them."""

from __future__ import annotations

import pytest

from tests.output.pages import PLAIN, SOLID, Made, a_browser, a_driver


@pytest.fixture(scope="session")
def driver():
    with a_driver() as found:
        yield found


@pytest.fixture(scope="session")
def browser(driver):
    with a_browser(driver, *PLAIN) as found:
        yield found


@pytest.fixture(scope="session")
def solid_browser(driver):
    """One that draws in three dimensions."""
    with a_browser(driver, *SOLID) as found:
        yield found


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    return Made(tmp_path_factory.mktemp("pages"))
