"""Frozen records: dataclasses that share their methods.

`dataclasses.dataclass(frozen=True)` writes and compiles up to six methods for every class, in 0.5 to 0.8 ms; for the
hundred classes that a command loads that is a tenth of its time. Here every class has the same ones. To `fields`,
`replace`, `asdict`, `is_dataclass`, pickle and whoever checks types a record is a dataclass like any other. What no
record of ours uses is left out: other options, and fields that take part in some of the methods only.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from dataclasses import MISSING, FrozenInstanceError
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(*, frozen: bool, eq: bool = True, repr: bool = True) -> Callable[[type], type]:  # noqa: A002 as there
        """The decorator as `dataclasses` has it, for frozen records."""
        assert frozen
        return lambda cls: _record(cls, eq, repr)


__all__ = ["dataclass"]

Class = TypeVar("Class", bound=type)


def _record(cls: Class, eq: bool, shown: bool) -> Class:
    own = set(vars(cls))
    derived = any(map(dataclasses.is_dataclass, cls.__mro__[1:]))  # then `dataclasses` insists on a word about it
    made: Any = dataclasses.dataclass(init=False, repr=False, eq=False, frozen=derived)(cls)
    made.__dataclass_params__.frozen = True
    entries = dataclasses.fields(made)
    names = tuple(entry.name for entry in entries)
    usual = {entry.name: entry.default for entry in entries if entry.default is not MISSING}
    makers = {entry.name: entry.default_factory for entry in entries if entry.default_factory is not MISSING}
    prepared = hasattr(made, "__post_init__")

    def initialise(self: Any, *values: Any, **named: Any) -> None:
        if tuple(named) == names and not values:
            given = named
        elif len(values) == len(names) and not named:
            given = dict(zip(names, values, strict=True))
        else:
            given = completed(values, named)
        self.__dict__.update(given)  # which nobody else writes to
        if prepared:
            self.__post_init__()

    def completed(values: tuple[Any, ...], named: dict[str, Any]) -> dict[str, Any]:
        """The fields in their order, where some are left out or named."""
        placed = dict(zip(names, values, strict=False))
        known = {**usual, **placed, **named}
        known |= {name: make() for name, make in makers.items() if name not in known}
        missing = [name for name in names if name not in known]
        odd = [name for name in named if name not in names or name in placed]
        if missing or odd or len(values) > len(names):
            said = f"missing {missing}, unknown or twice {odd}, {len(values)} without a name"
            raise TypeError(f"{cls.__name__} takes {', '.join(names)}: {said}")
        return {name: known[name] for name in names}

    def values_of(record: Any) -> tuple[Any, ...]:
        return tuple(getattr(record, name) for name in names)

    def equals(self: Any, other: object) -> Any:
        return values_of(self) == values_of(other) if type(other) is type(self) else NotImplemented

    def show(self: Any) -> str:
        return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"

    made.__init__ = initialise
    made.__setattr__, made.__delattr__ = _refuse, _refuse
    if eq and "__eq__" not in own:
        made.__eq__ = equals
        made.__hash__ = lambda self: hash(values_of(self))
    if shown and "__repr__" not in own:
        made.__repr__ = show
    return made  # type: ignore[no-any-return]


def _refuse(self: Any, name: str, value: object = None) -> NoReturn:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")
