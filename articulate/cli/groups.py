"""Options that belong together as one parameter of a command, spread out for the parser."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import MISSING, fields, is_dataclass
from functools import wraps
from typing import Any, get_type_hints


def grouped(command: Callable[..., None]) -> Callable[..., None]:
    """A command whose parameters that are dataclasses of options are spread out into their fields.

    The fields' types are those that the parser reads, their defaults those of the options; the command is called with
    the dataclasses made of what was typed.
    """
    given: list[inspect.Parameter] = []
    groups: dict[str, type[Any]] = {}
    for parameter in inspect.signature(command, eval_str=True).parameters.values():
        kind = parameter.annotation
        if not is_dataclass(kind):
            given.append(parameter.replace(kind=inspect.Parameter.KEYWORD_ONLY))
            continue
        assert isinstance(kind, type)
        groups[parameter.name] = kind
        types = get_type_hints(kind, include_extras=True)
        for field in fields(kind):
            usual = inspect.Parameter.empty if field.default is MISSING else field.default
            given.append(
                inspect.Parameter(
                    field.name, inspect.Parameter.KEYWORD_ONLY, default=usual, annotation=types[field.name]
                )
            )

    @wraps(command)
    def spread(**typed: Any) -> None:
        made = {
            name: group(**{field.name: typed.pop(field.name) for field in fields(group)})
            for name, group in groups.items()
        }
        command(**typed, **made)

    vars(spread)["__signature__"] = inspect.Signature(given)
    spread.__annotations__ = {parameter.name: parameter.annotation for parameter in given}
    return spread
