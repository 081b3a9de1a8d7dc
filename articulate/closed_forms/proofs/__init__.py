"""Derivations in sympy of the closed forms, one module a topic, each with a function `derive`."""
