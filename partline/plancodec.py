"""Frozen nouns to plain JSON values and numpy arrays, and back, by their own type hints."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import inspect
import math
import types
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
from pydantic import BaseModel, ValidationError

from partline.errors import PartlineError, PlanFileError

# JSON has no word for these; they are written as text where a float is expected.
_ODD_FLOATS = {"inf": math.inf, "-inf": -math.inf, "nan": math.nan}


def encode(noun: Any) -> tuple[Any, dict[str, np.ndarray]]:
    """Return a JSON value for a dataclass, and the arrays it names.

    Arrays are named by what they hold, so one that occurs twice is kept once; a noun that
    occurs twice is written once and pointed at afterwards.

    Raises
    ------
    PlanFileError
        If something in it is neither plain, an array, a dataclass nor a checked model.
    """
    arrays: dict[str, np.ndarray] = {}
    return _encoded(noun, "", arrays, {}), arrays


def _encoded(value: Any, path: str, arrays: dict[str, np.ndarray], seen: dict[int, str]) -> Any:
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, BaseModel):
        # What was said and what stands for it: a default stays known as a default.
        return {
            "said": value.model_dump(mode="json", exclude_unset=True),
            "all": value.model_dump(mode="json"),
        }
    if isinstance(value, np.ndarray):
        return {"array": _kept(value, path, arrays)}
    if isinstance(value, np.generic):
        return _encoded(value.item(), path, arrays, seen)
    if isinstance(value, float):
        return value if math.isfinite(value) else str(value)
    if isinstance(value, int):
        return value
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, tuple | list):
        return [_encoded(v, f"{path}/{k}", arrays, seen) for k, v in enumerate(value)]
    if isinstance(value, Mapping):
        return {str(k): _encoded(v, f"{path}/{k}", arrays, seen) for k, v in value.items()}
    if dataclasses.is_dataclass(value):
        if id(value) in seen:
            return {"same_as": seen[id(value)]}
        seen[id(value)] = path
        return {
            f.name: _encoded(getattr(value, f.name), f"{path}/{f.name}", arrays, seen)
            for f in dataclasses.fields(value)
        }
    raise PlanFileError(f"The plan holds a {type(value).__name__} at {path}: it cannot be kept.")


def _kept(array: np.ndarray, path: str, arrays: dict[str, np.ndarray]) -> str:
    if array.dtype.hasobject:
        raise PlanFileError(f"The plan holds an array of objects at {path}: it cannot be kept.")
    data = np.ascontiguousarray(array)
    key = hashlib.sha256(f"{data.dtype.str}{data.shape}".encode() + data.tobytes()).hexdigest()[:20]
    arrays.setdefault(key, data)
    return key


def decode(kind: type, value: Any, arrays: Mapping[str, np.ndarray]) -> Any:
    """Return the dataclass that `encode` took apart.

    Raises
    ------
    PlanFileError
        If a field is missing, has the wrong kind of value, or names an array that is not there.
    """
    return _decoded(kind, value, "", arrays, {})


def _decoded(
    hint: Any, value: Any, path: str, arrays: Mapping[str, np.ndarray], made: dict[str, Any]
) -> Any:
    origin, inner = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        kinds = [k for k in inner if k is not type(None)]
        if value is None and len(kinds) < len(inner):
            return None
        return _decoded(kinds[0], value, path, arrays, made)
    if hint is Any or origin is Literal:
        return value
    if origin is np.ndarray:
        return _array(value, path, arrays)
    if origin is tuple:
        return _tuple(inner, value, path, arrays, made)
    if origin is dict:
        _must(isinstance(value, dict), path, value)
        return {k: _decoded(inner[1], v, f"{path}/{k}", arrays, made) for k, v in value.items()}
    if isinstance(hint, type) and issubclass(hint, BaseModel):
        return _model(hint, value, path)
    if dataclasses.is_dataclass(hint):
        return _noun(hint, value, path, arrays, made)
    return _plain(hint, value, path)


def _model(kind: type[BaseModel], value: Any, path: str) -> BaseModel:
    _must(isinstance(value, dict) and set(value) == {"said", "all"}, path, value)
    try:
        said = kind.model_validate(value["said"])
        # Where a later version has other defaults, the plan keeps those it was made with.
        same = said.model_dump(mode="json") == value["all"]
        return said if same else kind.model_validate(value["all"])
    except ValidationError as error:
        raise PlanFileError(f"The plan's {path[1:]} cannot be read: {error}") from None


def _plain(hint: Any, value: Any, path: str) -> Any:
    if hint is float:
        if isinstance(value, str) and value in _ODD_FLOATS:
            return _ODD_FLOATS[value]
        _must(isinstance(value, int | float) and not isinstance(value, bool), path, value)
        return float(value)
    if hint is datetime.date:
        _must(isinstance(value, str), path, value)
        try:
            return datetime.date.fromisoformat(value)
        except ValueError:
            raise PlanFileError(f"The plan's {path[1:]} is no date: {value!r}.") from None
    if hint is Path:
        _must(isinstance(value, str), path, value)
        return Path(value)
    _must(isinstance(value, hint) and not (hint is int and isinstance(value, bool)), path, value)
    return value


def _tuple(
    inner: tuple[Any, ...],
    value: Any,
    path: str,
    arrays: Mapping[str, np.ndarray],
    made: dict[str, Any],
) -> tuple[Any, ...]:
    _must(isinstance(value, list), path, value)
    hints = [inner[0]] * len(value) if inner[1:] == (Ellipsis,) else list(inner)
    _must(len(hints) == len(value), path, value)
    return tuple(
        _decoded(h, v, f"{path}/{k}", arrays, made)
        for k, (h, v) in enumerate(zip(hints, value, strict=True))
    )


def _array(value: Any, path: str, arrays: Mapping[str, np.ndarray]) -> np.ndarray:
    key = value.get("array") if isinstance(value, dict) else None
    if not isinstance(key, str) or key not in arrays:
        raise PlanFileError(f"The plan's arrays lack the one for {path[1:]}. Plan the job again.")
    return arrays[key]


def _noun(
    kind: Any, value: Any, path: str, arrays: Mapping[str, np.ndarray], made: dict[str, Any]
) -> Any:
    _must(isinstance(value, dict), path, value)
    if set(value) == {"same_as"}:
        if value["same_as"] not in made:
            raise PlanFileError(f"The plan's {path[1:]} points at something that is not there.")
        return made[value["same_as"]]
    hints = get_type_hints(kind)
    # A noun with its own __init__ works some fields out for itself: it is given only the others.
    wanted = [n for n in inspect.signature(kind).parameters if n in hints]
    # What a later version has added with a default of its own may be missing from an older plan.
    parameters = inspect.signature(kind).parameters
    wanted = [n for n in wanted if n in value or parameters[n].default is inspect.Parameter.empty]
    missing = [n for n in wanted if n not in value]
    if missing:
        raise PlanFileError(
            f"The plan lacks {', '.join(missing)} in {path[1:] or 'its top level'}. "
            "Plan the job again."
        )
    parts = {n: _decoded(hints[n], value[n], f"{path}/{n}", arrays, made) for n in wanted}
    try:
        made[path] = kind(**parts)
    except PlanFileError:
        raise
    except PartlineError as error:
        raise PlanFileError(f"The plan's {path[1:]} does not hold together: {error}") from error
    return made[path]


def _must(right: bool, path: str, value: Any) -> None:
    if not right:
        raise PlanFileError(
            f"The plan's {path[1:] or 'text'} is not what it should be: {str(value)[:60]!r}. "
            "Plan the job again."
        )
