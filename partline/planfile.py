"""The plan's folder: everything of a plan in two files, opened again without recomputing."""

from __future__ import annotations

import hashlib
import io
import json
import math
import os
import zipfile
import zlib
from pathlib import Path
from typing import Any, cast

import numpy as np

import partline
from partline.air.rocking_plan import RockingPlan
from partline.air.tipped_fill import TippedFill
from partline.air.trapped_air import Pocket
from partline.bench_summary import bench_summary
from partline.card.cutting_card import blade_rows
from partline.cut.alternatives import CutRow, cut_rows
from partline.detail_summary import detail_summary
from partline.errors import PlanFileError
from partline.leftovers import is_leftover, sweep
from partline.plan import Plan, Pour
from partline.plancodec import decode, encode
from partline.progress import Progress, silent
from partline.ready_summary import ready_summary
from partline.whole_file import replace_file
from partline.workshop.mix import Mix
from partline.workshop.production import Production

FORMAT = 1
"""Number of the layout of plan.json; a different one is refused, never guessed at."""

_NAME = "plan.json"
_MARK = "partline plan"


def write_plan(plan: Plan, folder: str | os.PathLike[str], *, progress: Progress = silent) -> Path:
    """Write a plan into a folder and return the path of its plan.json.

    The arrays go first, into a file named by what it holds; plan.json then takes its place in
    one step. Whatever happens between, the folder holds the old plan or the new one, whole.

    Parameters
    ----------
    plan : Plan
    folder : str or Path
    progress : Progress

    Raises
    ------
    PlanFileError
        If the folder holds files and no plan of partline's, or cannot be written.
    """
    home = claim_folder(folder)
    noun, arrays = encode(plan)
    packed = _packed(arrays, progress)
    digest = hashlib.sha256(packed).hexdigest()
    text = json.dumps(
        {
            "kind": _MARK,
            "format": FORMAT,
            "version": partline.__version__,
            **summary(plan),
            "arrays": {"file": f"plan-{digest[:12]}.npz", "sha256": digest, "bytes": len(packed)},
            "whole": noun,
        },
        indent=1,
        ensure_ascii=False,
        allow_nan=False,
    )
    write_whole(home / f"plan-{digest[:12]}.npz", packed)
    path = write_whole(home / _NAME, text.encode("utf-8"))
    sweep(home, keep=f"plan-{digest[:12]}.npz")
    return path


def open_plan(folder: str | os.PathLike[str]) -> Plan:
    """Return the plan kept in a folder (or named by its plan.json), nothing computed again.

    Raises
    ------
    PlanFileError
        If there is none, it is of another format, or a file is missing, cut short or changed.
    """
    path = Path(folder)
    path = path if path.name == _NAME else path / _NAME
    top = _read_top(path)
    record = top.get("arrays")
    if not isinstance(record, dict) or not isinstance(record.get("file"), str):
        raise PlanFileError(f"{path} does not name its arrays. Plan the job again.")
    return cast(Plan, decode(Plan, top.get("whole"), _read_arrays(path.parent, record)))


def claim_folder(folder: str | os.PathLike[str]) -> Path:
    """Make the folder if need be, and return it if partline may write there.

    It may in a folder that is new, empty, or holds a plan of its own, or what one left that was
    stopped on the way.

    Raises
    ------
    PlanFileError
        If it is a file, holds other files and no plan, or cannot be made.
    """
    home = Path(folder)
    if home.exists() and not home.is_dir():
        raise PlanFileError(f"{home} is a file. Name a folder for the plan.")
    try:
        home.mkdir(parents=True, exist_ok=True)
        held = sorted(p.name for p in home.iterdir() if not is_leftover(p.name))
    except OSError as error:
        raise PlanFileError(f"The folder {home} cannot be used: {error.strerror}.") from error
    if held:
        try:
            _read_top(home / _NAME, any_format=True)
        except PlanFileError:
            raise PlanFileError(
                f"The folder {home} holds {len(held)} file{'s' * (len(held) > 1)} "
                f"({', '.join(held[:3])}{', ...' * (len(held) > 3)}) and no plan of partline's: "
                "nothing was written. Name a new or empty folder."
            ) from None
    return home


def write_whole(path: Path, data: bytes | memoryview) -> Path:
    """Write a file whole or not at all, and return its path.

    Raises
    ------
    PlanFileError
        If it cannot be written (no room, no permission).
    """
    try:
        replace_file(path, data)
    except OSError as error:
        raise PlanFileError(f"{path} cannot be written: {error.strerror}.") from error
    return path


def _packed(arrays: dict[str, np.ndarray], progress: Progress) -> memoryview:
    """Return the arrays as the bytes of an .npz, the same bytes for the same arrays."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for k, key in enumerate(sorted(arrays)):
            progress(k / len(arrays), "Writing the plan")
            one = io.BytesIO()
            np.lib.format.write_array(one, arrays[key], allow_pickle=False)
            # A fixed date: the file is named by its content.
            archive.writestr(
                zipfile.ZipInfo(f"{key}.npy", (1980, 1, 1, 0, 0, 0)),
                one.getbuffer(),
                zipfile.ZIP_DEFLATED,
                1,
            )
    return packed.getbuffer()


def _read_top(path: Path, *, any_format: bool = False) -> dict[str, Any]:
    try:
        top = json.loads(path.read_bytes())
    except FileNotFoundError:
        raise PlanFileError(
            f"There is no {_NAME} in {path.parent}. Make one with: partline plan JOB -o FOLDER"
        ) from None
    except OSError as error:
        raise PlanFileError(f"{path} cannot be read: {error.strerror}.") from error
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        raise PlanFileError(
            f"{path} is cut short or is not a plan ({error}). Plan the job again."
        ) from None
    if not isinstance(top, dict) or top.get("kind") != _MARK:
        raise PlanFileError(f"{path} was not written by partline.")
    if top.get("format") != FORMAT and not any_format:
        raise PlanFileError(
            f"{path} has format number {top.get('format')!r}; this partline reads {FORMAT}. "
            "Plan the job again, or open it with the version that wrote it."
        )
    return top


def _read_arrays(home: Path, record: dict[str, Any]) -> dict[str, np.ndarray]:
    # Only the bare name is used: a plan never reaches outside its own folder.
    path = home / Path(record["file"]).name
    try:
        packed = path.read_bytes()
    except OSError as error:
        raise PlanFileError(
            f"{path}, which belongs to the plan, cannot be read: {error.strerror}. "
            "Copy the whole folder, or plan the job again."
        ) from error
    if hashlib.sha256(packed).hexdigest() != record.get("sha256"):
        raise PlanFileError(
            f"{path} is cut short or was changed ({len(packed)} of {record.get('bytes')} bytes). "
            "Plan the job again."
        )
    try:
        with np.load(io.BytesIO(packed), allow_pickle=False) as archive:
            return {key: archive[key] for key in archive.files}
    except (ValueError, zipfile.BadZipFile, zlib.error, KeyError) as error:
        raise PlanFileError(f"{path} cannot be read ({error}). Plan the job again.") from None


def summary(plan: Plan) -> dict[str, Any]:
    """Return the named numbers of plan.json: mm, mm^3, g, min and degrees, each in its name."""
    return {
        "job": {"name": plan.job.name},
        **_piece(plan),
        "rubber_pour": _pour(plan.rubber_pour),
        "resin_pour": _pour(plan.resin_pour),
        **_bench(plan),
        "bench": bench_summary(plan.bench),
        "run": {
            "good": plan.run.good,
            "pulls": plan.run.pulls,
            "blocks": plan.run.blocks,
            "days": plan.run.days,
            "bottleneck": plan.run.bottleneck,
            **_production(plan.production),
        },
    }


def _production(found: Production | None) -> dict[str, Any]:
    if found is None:
        return {}
    return {
        "finish": None if found.run.finish is None else found.run.finish.isoformat(),
        "yield_from": found.yield_from,
        "minutes_each": found.minutes.each_min,
        "cost_each": found.cost.each if found.cost.lines else None,
        "scale_factor": found.size.factor,
        "order_g": {item.name: item.order_g for item in found.order},
    }


def _piece(plan: Plan) -> dict[str, Any]:
    stand, block = plan.stand, plan.stand.foot_block
    return {
        "master": {
            "file": plan.master.path,
            "sha256": plan.master.sha256,
            "volume_mm3": plan.master.volume_mm3,
            "volume_low_mm3": plan.master.volume_low_mm3,
            "volume_high_mm3": plan.master.volume_high_mm3,
            "area_mm2": plan.master.area_mm2,
            "height_mm": plan.master.height_mm,
            "extents_mm": plan.master.surface.extents.tolist(),
            "repairs": [r.words for r in plan.master.repairs],
            "warnings": list(plan.master.warnings),
        },
        "stand": {
            "mouth": plan.job.stand.mouth.at,
            "mouth_width_mm": stand.mouth_width_mm,
            "foot_block": "none" if block is None else block.kind,
            "foot_block_height_mm": 0.0 if block is None else block.height_mm,
            "wall_mm": stand.wall_mm,
            "headroom_mm": stand.headroom_mm,
            "tilt_limit_deg": _finite(stand.tilt_limit_deg),
            "hollows_mm3": [h.volume_mm3 for h in stand.hollows],
            "warnings": list(stand.warnings),
        },
        "detail": detail_summary(stand.piece, plan.detail),
    }


def _bench(plan: Plan) -> dict[str, Any]:
    cut, box = plan.cut, plan.container
    return {
        "cut": {
            "count": cut.count,
            "length_mm": cut.length_mm,
            "clearance_mm": _finite(cut.clearance_mm),
            "web_mm": _finite(cut.web_mm),
            "stretch": _finite(cut.stretch),
            "stretch_straight": _finite(cut.stretch_straight),
            "cleanup_min": cut.cleanup_min,
            "gap": cut.gap,
            "alternatives": [_alternative(row) for row in cut_rows(cut)],
            "holes": len(cut.loops),
            "pits": len(cut.pits),
            "verdict": cut.verdict,
            "blade": blade_rows(plan.card),
        },
        "container": {
            "name": box.name,
            "own": box.own,
            "rubber_volume_mm3": box.rubber_volume_mm3,
            "rubber_g": box.rubber_g,
            "rubber_open_g": plan.master.open_g(box.density),
            "mix_g": box.mix_g,
            "fill_line_mm": _finite(box.fill_line_mm),
            "wall_mm": box.wall_mm,
            "mix": _mix(plan.rubber_mix),
        },
        "resin": {
            "per_casting_g": plan.resin.casting_g,
            "per_casting_open_g": plan.master.open_g(plan.resin.density),
            "mix_g": plan.resin.mix_g,
            "mix": _mix(plan.resin.mix),
        },
    }


def _alternative(row: CutRow) -> dict[str, Any]:
    return {
        "name": row.name,
        "count": row.count,
        "chosen": row.chosen,
        "length_mm": row.length_mm,
        "worst_detail": row.worst_detail,
        "closest_left_mm": _finite(row.closest_left_mm),
        "closest_right_mm": _finite(row.closest_right_mm),
        "share_on_show": row.share_on_show,
        "cleanup_min": row.cleanup_min,
        "stretch": _finite(row.stretch),
        "web_mm": _finite(row.web_mm),
        "shared": row.shared,
    }


def _pour(pour: Pour) -> dict[str, Any]:
    found = pour.directions
    return {
        "trapped_mm3": pour.level.volume_mm3,
        "fine_mm3": pour.level.fine_mm3,
        "pockets": [_pocket(p) for p in pour.level.pockets],
        "best_direction": {
            "up": found.best.tolist(),
            "side_down_deg": found.azimuth_deg,
            "tilt_deg": found.tilt_deg,
        },
        "best_trapped_mm3": pour.best.volume_mm3,
        "best_pockets": [_pocket(p) for p in pour.best.pockets],
        "best_gap_mm3": _finite(found.gap_mm3),
        "tipped_fill": _tipped(pour.tipped),
        # Nobody rocks the rubber: null there.
        "rocking": _rocking(pour.rocking),
        **ready_summary(pour),
    }


def _tipped(fill: TippedFill | None) -> dict[str, Any] | None:
    if fill is None:
        return None
    return {
        "side_down_deg": fill.azimuth_deg,
        "tilt_deg": fill.tilt_deg,
        "filled_share": fill.filled_share,
        "left_mm3": fill.left_mm3,
        "left_in_mm3": list(fill.left_in),
        "top_up_mm3": fill.top_up_mm3,
    }


def _rocking(rocking: RockingPlan | None) -> dict[str, Any] | None:
    if rocking is None:
        return None
    return {
        "moves": [
            {"side_down_deg": m.azimuth_deg, "tilt_deg": m.tilt_deg, "hold_s": m.hold_s}
            for m in rocking.moves
        ],
        "before_mm3": rocking.before_mm3,
        "after_mm3": rocking.after_mm3,
        "after_each_mm3": list(rocking.after_each_mm3),
        "top_up_mm3": rocking.top_up_mm3,
        "fewest": rocking.fewest,
        "kept": [{"volume_mm3": k.volume_mm3, "why": k.why} for k in rocking.kept],
    }


def _pocket(pocket: Pocket) -> dict[str, Any]:
    return {
        "volume_mm3": pocket.volume_mm3,
        "apex_mm": pocket.apex.tolist(),
        "spill_level_mm": _finite(pocket.spill_level_mm),
        "depth_mm": _finite(pocket.depth_mm),
        "neck_mm": _finite(pocket.neck_mm),
        "wide_enough": pocket.wide_enough,
    }


def _mix(mix: Mix | None) -> dict[str, Any] | None:
    if mix is None:
        return None
    return {
        "parts": dict(zip(mix.parts, mix.grams, strict=True)),
        "scale_reads": list(mix.scale_reads),
        "total_g": mix.total_g,
    }


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
