"""A vehicle with nothing left uncertain, for tests."""

from articulate.spec import VehicleSpec, with_settings


def without_uncertainty(spec: VehicleSpec) -> VehicleSpec:
    """Every input at its value, exactly; a setting may bring another input into being, so several rounds."""
    for _ in range(5):
        settings = [
            (key, f"{one.value / one.unit_size!r} {one.unit}".strip())
            for key, one in spec.inputs.items()
            if one.distribution != "exact"
        ]
        if not settings:
            return spec
        spec = with_settings(spec, settings)
    raise AssertionError([key for key, _ in settings])
