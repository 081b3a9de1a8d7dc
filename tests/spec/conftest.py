from pathlib import Path

import pytest

from articulate.spec import SpecError, VehicleSpec, read_vehicle, template

DEMO = Path(__file__).parents[2] / "vehicle_specs_demo"


@pytest.fixture
def minimal() -> str:
    return template(minimal=True)


@pytest.fixture
def full() -> str:
    return template()


@pytest.fixture
def edited(minimal):
    """Reads the minimal file with pieces of its text replaced."""

    def read(*changes: tuple[str, str]) -> VehicleSpec:
        text = minimal
        for before, after in changes:
            assert text.count(before) >= 1, before
            text = text.replace(before, after, 1)
        return read_vehicle(text, "edited.toml")

    return read


@pytest.fixture
def faults_of(edited):
    """The faults of the minimal file with pieces of its text replaced."""

    def faults(*changes: tuple[str, str]):
        with pytest.raises(SpecError) as caught:
            edited(*changes)
        return caught.value.faults

    return faults


@pytest.fixture
def demo_files() -> list[Path]:
    files = sorted(DEMO.glob("*.toml"))
    assert len(files) == 6
    return files
