"""What every table of a job file has in common."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class Part(BaseModel):
    """One table of a job file: frozen, and without keys that nobody knows."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False,
        validate_by_name=True, validate_by_alias=True,
    )  # fmt: skip


def key(name: str, words: str, default: Any = None) -> Any:
    """Return a field with a default: its key in the file and the comment written beside it."""
    return Field(default=default, validation_alias=name, description=words)
