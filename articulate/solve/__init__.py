"""Batched Newton and path following; knows no vehicles."""
