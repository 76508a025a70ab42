"""Geometry on plain arrays; imports nothing of partline but errors and progress."""
