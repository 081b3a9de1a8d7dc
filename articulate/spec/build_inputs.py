"""The inputs of a vehicle as arrays, one lane a sample, with a record of what was found unphysical."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from articulate.spec.errors import InputError, Violation
from articulate.spec.key_lookup import entry_of
from articulate.spec.vehicle_spec import VehicleSpec

Array = NDArray[np.float64]


class Inputs:
    """The inputs as arrays of shape (1,) or (lanes,), with a record of what was found unphysical."""

    def __init__(self, spec: VehicleSpec, samples: Mapping[str, Array] | None) -> None:
        self._arrays = {key: np.array([estimate.nominal]) for key, estimate in spec.inputs.items()}
        self._may_be_none = {key for key, estimate in spec.inputs.items() if estimate.chance < 1.0}
        self.lanes = 1
        self.violations: list[Violation] = []
        sizes: dict[str, int] = {}
        for key, sample in (samples or {}).items():
            if key not in self._arrays:
                raise InputError(f"{key} is not an input of {spec.name}")
            array = np.asarray(sample, dtype=np.float64)
            if array.ndim != 1 or array.size == 0:
                raise InputError(f"the samples of {key} have shape {array.shape}, not (lanes,)")
            self._arrays[key] = array
            sizes[key] = array.size
            self._check_sample(key, array)
        if len(set(sizes.values())) > 1:
            raise InputError(f"the samples have different lengths: {sizes}")
        self.lanes = max(sizes.values(), default=1)

    def _check_sample(self, key: str, array: Array) -> None:
        entry, fine = entry_of(key), np.isfinite(array)
        low = entry.low if entry else 0.0
        if low >= 0.0:
            fine &= array >= 0.0 if low == 0.0 or key in self._may_be_none else array > 0.0
        bad = np.flatnonzero(~fine)
        if bad.size:
            what = f"a sample is {array[bad[0]]:g}"
            self.violations.append(Violation(what, (key,), "sample within the limits of the estimate", bad))

    def __contains__(self, key: str) -> bool:
        return key in self._arrays

    def __getitem__(self, key: str) -> Array:
        return self._arrays[key]

    def get(self, key: str, otherwise: float) -> Array:
        """An input, or a number where the vehicle has no such input."""
        return self._arrays[key] if key in self._arrays else np.array([otherwise])

    def require(self, holds: NDArray[np.bool_], what: str, keys: Sequence[str], works: str) -> None:
        """Record the lanes in which a condition does not hold (NaN included)."""
        bad = np.flatnonzero(~np.broadcast_to(holds, (self.lanes,)))
        if bad.size and all(what != violation.what for violation in self.violations):
            known = tuple(key for key in keys if key in self._arrays)
            self.violations.append(Violation(what, known, works, bad))

    def spread(self, array: Array) -> Array:
        """An array of shape (lanes,)."""
        return np.array(np.broadcast_to(array, (self.lanes,)))
