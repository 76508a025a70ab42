"""What a page of blocks says, as one text: for tests of the pages."""

from __future__ import annotations

import dataclasses
from typing import Any

from partline.faces.drawings import ghosts
from partline.faces.page_pieces import Desk
from partline.plan import Plan
from partline.workshop.materials import defaults


def desk(plan: Plan) -> Desk:
    """Return what pages are written from, in millimetres on A4."""
    return Desk(plan, "mm", "A4", ghosts(plan), defaults(plan.job.shop.defaults))


def said(value: Any) -> str:
    """Return all words of blocks, a text's parts joined, blocks set apart."""
    if isinstance(value, str):
        return value
    if isinstance(value, tuple):
        inline = all(isinstance(v, str) or hasattr(v, "words") or hasattr(v, "own")
                     or hasattr(v, "said") for v in value)  # fmt: skip
        return ("" if inline else " | ").join(said(v) for v in value)
    if dataclasses.is_dataclass(value):
        silent = ("kind", "size", "tag", "source", "body", "shares", "name")
        kept = [f.name for f in dataclasses.fields(value) if f.name not in silent]
        parts = [getattr(value, n) for n in kept]
        return " | ".join(said(p) for p in parts if isinstance(p, str | tuple)
                          or dataclasses.is_dataclass(p))  # fmt: skip
    return ""
