"""The one base of all errors that people meet: what is wrong with what they gave, and what would work."""

from __future__ import annotations


class ArticulateError(Exception):
    """What was given cannot be used; the message says why and what would work."""


class ArgumentError(ArticulateError, ValueError):
    """An argument of a function that cannot be used as it is."""
