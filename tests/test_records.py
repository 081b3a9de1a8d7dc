"""Records against the dataclasses of the standard library, whose forms they take."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
from functools import cached_property
from typing import Any

import pytest

from articulate.records import dataclass


def corners(dataclass: Any) -> tuple[Any, Any]:
    """A class and one that inherits from it, by either decorator."""

    @dataclass(frozen=True)
    class Corner:
        name: str
        load: float = 2.0
        points: list[float] = dataclasses.field(default_factory=list)

    @dataclass(frozen=True)
    class Wheel(Corner):
        steered: bool = False

    return Corner, Wheel


PAIRS = list(zip(corners(dataclass), corners(dataclasses.dataclass), strict=True))
Corner, Wheel = corners(dataclass)


@dataclass(frozen=True, eq=False, repr=False)
class Plain:
    value: int

    def __post_init__(self) -> None:
        if self.value < 0:
            raise ValueError("negative")


@dataclass(frozen=True)
class Travel:
    bump: float
    droop: float = 0.1

    @cached_property
    def total(self) -> float:
        return self.bump + self.droop


@dataclasses.dataclass(frozen=True)
class Later(Travel):
    """Frozen by the standard library, of a record."""

    more: int = 1


CALLS = (
    (("a",), {}),
    (("a", 3.0, [1.0]), {}),
    (("a",), {"points": [2.0]}),
    ((), {"load": 1.0, "name": "b"}),
    ((), {}),
    ((), {"load": 1.0}),
    (("a",), {"name": "b"}),
    (("a",), {"colour": "red"}),
    (("a", 1.0, [], True, 5), {}),
)


@pytest.mark.parametrize(("record", "usual"), PAIRS)
@pytest.mark.parametrize(("values", "named"), CALLS)
def test_a_record_is_made_shown_and_compared_as_a_dataclass(record, usual, values, named):
    try:
        expected = usual(*values, **named)
    except TypeError:
        with pytest.raises(TypeError, match=f"{record.__name__} takes name, load, points"):
            record(*values, **named)
        return
    made = record(*values, **named)
    assert list(vars(made).items()) == list(vars(expected).items())
    assert repr(made) == repr(expected)
    assert dataclasses.asdict(made) == dataclasses.asdict(expected)
    assert made == record(*values, **named)
    assert made != dataclasses.replace(made, load=-1.0)
    assert made != expected


def test_what_is_left_out_is_made_anew_for_each():
    one, other = Corner("a"), Corner("a")
    assert one == other
    assert one.points is not other.points
    with pytest.raises(TypeError, match="unhashable"):
        hash(one)
    assert hash(dataclasses.replace(one, points=())) == hash(dataclasses.replace(other, points=()))


@pytest.mark.parametrize("made", [Corner("a"), Wheel("a"), Plain(1), Travel(1.0), Later(1.0)])
def test_nothing_of_a_record_changes(made):
    name = dataclasses.fields(made)[0].name
    for change in (lambda: setattr(made, name, 1), lambda: setattr(made, "new", 1), lambda: delattr(made, name)):
        with pytest.raises(dataclasses.FrozenInstanceError):
            change()


def test_records_are_copied_handed_to_other_processes_and_keep_what_is_worked_out():
    made = Travel(0.25, droop=0.5)
    assert made.total == 0.75
    assert pickle.loads(pickle.dumps(made)) == copy.deepcopy(made) == copy.copy(made) == made


def test_records_without_equality_are_themselves_alone_and_are_checked_when_made():
    assert Plain(1) != Plain(1)
    assert len({Plain(1), Plain(1)}) == 2
    assert repr(Plain(1)).startswith("<")
    with pytest.raises(ValueError, match="negative"):
        Plain(-1)
    with pytest.raises(ValueError, match="negative"):
        dataclasses.replace(Plain(1), value=-1)


def test_no_method_is_compiled_for_a_record():
    """What makes records quick to import: one source for the methods of all."""
    assert {inspect.getsourcefile(kind.__init__) for kind in (Corner, Wheel, Plain)} == {
        inspect.getsourcefile(dataclass)
    }
