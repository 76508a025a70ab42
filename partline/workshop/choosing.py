"""Choose the container: the least rubber that leaves wall and headroom everywhere."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from partline.cut.cut import Cut
from partline.errors import WorkshopError
from partline.geometry.surface import Floats
from partline.progress import Progress, silent
from partline.stand.stand import Stand
from partline.workshop.container import Container
from partline.workshop.fitting import (
    BoxFit,
    Reach,
    box_fit,
    frustum_mm3,
    least_box,
    quarter_turns,
    reach_of,
    round_centre,
    round_slack,
    tub_mm3,
    turned_axes,
)
from partline.workshop.materials import Defaults, defaults
from partline.workshop.vessel import Vessel, own_vessels, stock_vessels

TURN_GAIN_MM = 1.5  # rubber gained at a cut that is worth turning a piece in its box
FIT_MM = 1e-6  # a wall short by less than this is no shorter


@dataclass(frozen=True, eq=False)
class _Need:
    """What every container is measured against."""

    piece: Reach
    block: Reach | None
    cut: Reach | None
    fill_mm: float
    solid_mm3: float
    spare_mm: float
    cut_wall_mm: float
    turn: bool
    turn_saving: float

    def both(self, ring_width_mm: float = 0.0) -> Reach:
        """Return piece and foot block; what stands on the floor keeps clear of its gutter."""
        reach = self.piece if self.block is None else self.piece.joined(self.block)
        standing = reach.points[:, 2] < 1e-6
        need = np.where(standing, np.maximum(reach.need, ring_width_mm), reach.need)
        return Reach(reach.points, need)


def choose_container(
    stand: Stand,
    cut: Cut | None = None,
    *,
    shelf: Iterable[object] = (),
    prefer: str | None = None,
    density: float | None = None,
    loss_share: float | None = None,
    turn: bool = True,
    defaults_file: str | Path | None = None,
    progress: Progress = silent,
) -> Container:
    """Return the smallest container that leaves wall and headroom everywhere in 3D.

    The user's own shelf comes first. Otherwise a stock cup or pipe, unless a sheet box built to
    measure saves a good share of its rubber; a sheet box always fits.

    Parameters
    ----------
    stand : Stand
    cut : Cut, optional
        Where it is given, the piece stands off the axis, within the room there is, so that most
        rubber lies where the cut will run.
    shelf : iterable of ShelfItem
        The user's own containers, measured inside.
    prefer : str, optional
        Name of the container it must be.
    density : float, optional
        Of the rubber [g/cm^3]; default a condensation silicone's.
    loss_share : float, optional
        Rubber that stays in the mixing cup, as a share [1].
    turn : bool
        Let a box turn about z: for more rubber at the cut, or where it saves a good share of the
        rubber; else its sides face front and sides.
    defaults_file : str or Path, optional
        The user's own default figures.
    progress : Progress

    Raises
    ------
    WorkshopError
        If the container that is asked for is unknown or too small (by how much and where), or a
        size on the shelf cannot be.
    """
    known = defaults(defaults_file)
    rho = known.value("rubber.condensation silicone.density") if density is None else density
    loss = known.value("container.loss_share") if loss_share is None else loss_share
    if not (math.isfinite(rho) and rho > 0):
        raise WorkshopError(f"A rubber of density {rho:g} g/cm³ cannot be.")
    if not (math.isfinite(loss) and 0 <= loss < 1):
        raise WorkshopError(f"loss_share is {loss:g}; it is a share from 0 to less than 1.")
    need = _needed(stand, cut, known, turn)
    own = own_vessels(shelf, known.value("container.rim_spare_mm") + need.fill_mm)
    vessels = (*own, *stock_vessels(known.stock, known.value("container.rim_spare_mm")
                                    + need.fill_mm))  # fmt: skip
    if prefer is not None:
        vessel = _named(prefer, vessels)
        fitted = _fitted(vessel, need)
        if isinstance(fitted, str):
            raise WorkshopError(f"The {vessel.name} is too small: {fitted}")
        return _weighed(fitted, rho, loss)
    fits: list[Container] = []
    short: list[tuple[str, str]] = []
    for k, vessel in enumerate(vessels):
        progress(k / (len(vessels) + 1), "Trying containers")
        found = _fitted(vessel, need)
        if isinstance(found, Container):
            fits.append(_weighed(found, rho, loss))
        elif vessel.own:
            short.append((vessel.name, found))
    box = _weighed(_sheet_box(need), rho, loss)
    chosen = _chosen(fits, box, known.value("container.box_saving_share"))
    rest = sorted((c for c in (*fits, box) if c is not chosen), key=lambda c: c.rubber_g)
    progress(1.0, "Container chosen")
    return replace(chosen, others=tuple((c.name, c.rubber_g) for c in rest),
                   too_small=() if chosen.own else tuple(short))  # fmt: skip


def _chosen(fits: Sequence[Container], box: Container, saving: float) -> Container:
    own = [c for c in fits if c.own]
    if own:
        return min(own, key=lambda c: c.rubber_g)
    stock = min(fits, key=lambda c: c.rubber_g, default=box)
    return box if box.rubber_g < (1.0 - saving) * stock.rubber_g else stock


def _needed(stand: Stand, cut: Cut | None, known: Defaults, turn: bool) -> _Need:
    piece = reach_of(stand.piece.vertices, stand.wall_mm)
    block = None
    if stand.foot_block is not None:
        lip = known.value("container.lip_share") * stand.wall_mm
        block = reach_of(stand.foot_block.surface.vertices, lip)
    lines = [line.points for line in cut.lines] if cut is not None else []
    wanted = max(stand.wall_mm, known.value("cut.wall_at_cut_mm"))
    at_cut = reach_of(np.vstack(lines), wanted) if lines else None
    return _Need(piece, block, at_cut, stand.block_height_mm, stand.cavity.volume_mm3,
                 known.value("container.rim_spare_mm"), wanted, turn,
                 known.value("container.turn_saving_share"))  # fmt: skip


def _named(name: str, vessels: Sequence[Vessel]) -> Vessel:
    found = next((v for v in vessels if v.name == name), None)
    if found is None:
        near = difflib.get_close_matches(name, [v.name for v in vessels], n=1)
        hint = f' Did you mean "{near[0]}"?' if near else ""
        raise WorkshopError(
            f'There is no container "{name}", neither on your shelf nor in stock.{hint} Put it '
            "on the shelf in the job file, measured inside."
        )
    return found


def _fitted(vessel: Vessel, need: _Need) -> Container | str:
    """Return the piece in a container, or why it does not fit: by how much and where."""
    if vessel.height_mm < need.fill_mm - FIT_MM:
        return (
            f"its rim is {need.fill_mm - vessel.height_mm:.1f} mm lower than the rubber must "
            f"stand ({need.fill_mm:.1f} mm above its inner floor)."
        )
    return _in_box(vessel, need) if vessel.kind == "box" else _in_round(vessel, need)


def _in_round(vessel: Vessel, need: _Need) -> Container | str:
    radius, slope = vessel.floor_mm / 2.0, vessel.slope
    both = need.both(vessel.ring_width_mm)
    centre, _ = round_centre(both, slope=slope)
    slack = round_slack(both, centre, floor_radius_mm=radius, slope=slope)
    if slack.min() < -FIT_MM:
        return _short(both, slack, centre)
    if need.cut is not None:
        wanted, _ = round_centre(both.joined(need.cut), slope=slope)
        centre = _as_far_as_fits(both, centre, wanted, radius, slope)
    capacity = frustum_mm3(radius, slope, need.fill_mm)

    def least(reach: Reach) -> float:
        clear = round_slack(reach, centre, floor_radius_mm=radius, slope=slope)
        return float((clear + reach.need).min())

    return _container(vessel, need, centre, capacity, least)


def _as_far_as_fits(
    reach: Reach, centre: Floats, wanted: Floats, radius: float, slope: float
) -> Floats:
    """Move the axis from where all fits toward another place, as far as the walls allow."""

    def fits(share: float) -> bool:
        there = centre + share * (wanted - centre)
        slack = round_slack(reach, there, floor_radius_mm=radius, slope=slope)
        return bool(slack.min() >= -FIT_MM)

    if fits(1.0):
        return wanted
    low, high = 0.0, 1.0
    for _ in range(30):  # the places that fit are a convex set, so halving finds its edge
        middle = (low + high) / 2.0
        low, high = (middle, high) if fits(middle) else (low, middle)
    return np.asarray(centre + low * (wanted - centre))


def _in_box(vessel: Vessel, need: _Need) -> Container | str:
    """Return the piece in a box, its long side either way, turned where that thickens the cut."""
    slope = vessel.slope
    both = need.both(vessel.ring_width_mm)
    turned = replace(
        vessel, floor_mm=vessel.floor_depth_mm, floor_depth_mm=vessel.floor_mm,
        rim_mm=vessel.floor_depth_mm + vessel.rim_mm - vessel.floor_mm,
    )  # fmt: skip
    found: Container | None = None
    for angle in quarter_turns(both) if need.turn else (0.0,):
        fit = box_fit(both, slope=slope, turn_deg=angle)
        one = min((vessel, turned), key=lambda v: _lacking(v, fit))
        if _lacking(one, fit) <= FIT_MM:
            there = _placed_in_box(one, need, fit)
            if found is None or _thicker(there, found):
                found = there
    return found or _too_narrow(min((vessel, turned), key=lambda v: _lacking(v, box_fit(both,
                                slope=slope))), box_fit(both, slope=slope))  # fmt: skip


def _thicker(one: Container, than: Container) -> bool:
    """Tell whether turning gains what a hand would notice at the cut."""
    if one.wall_at_cut_mm is None or than.wall_at_cut_mm is None:
        return False
    wanted = one.wanted_at_cut_mm or 0.0
    return min(one.wall_at_cut_mm, wanted) > min(than.wall_at_cut_mm, wanted) + TURN_GAIN_MM


def _too_narrow(vessel: Vessel, fit: BoxFit) -> str:
    short = _lacking(vessel, fit)
    side = "width" if fit.width_mm - vessel.floor_mm == short else "depth"
    return (
        f"it lacks {short / math.hypot(1.0, vessel.slope):.1f} mm of {side} for the wall on both "
        "sides of the piece."
    )


def _placed_in_box(vessel: Vessel, need: _Need, fit: BoxFit) -> Container:
    """Return the piece in a box that it fits into, moved so that most rubber lies at the cut."""
    if need.cut is not None:
        both = need.both(vessel.ring_width_mm).joined(need.cut)
        wanted = box_fit(both, slope=vessel.slope, turn_deg=fit.turn_deg).centre
        axes = turned_axes(fit.turn_deg)
        room = np.array([vessel.floor_mm - fit.width_mm, vessel.floor_depth_mm - fit.depth_mm]) / 2
        shift = np.clip(axes @ (wanted - fit.centre), -np.maximum(room, 0), np.maximum(room, 0))
        fit = replace(fit, centre=fit.centre + axes.T @ shift)
    capacity = tub_mm3(vessel.floor_mm, vessel.floor_depth_mm, vessel.slope, need.fill_mm)
    placed = _container(vessel, need, fit.centre, capacity, _beside(vessel, fit, vessel.slope))
    return replace(placed, turn_deg=fit.turn_deg)


def _lacking(vessel: Vessel, fit: BoxFit) -> float:
    return max(fit.width_mm - vessel.floor_mm, fit.depth_mm - vessel.floor_depth_mm)


def _beside(vessel: Vessel, fit: BoxFit, slope: float) -> Callable[[Reach], float]:
    axes = turned_axes(fit.turn_deg)
    half = np.array([vessel.floor_mm, vessel.floor_depth_mm]) / 2.0

    def least(reach: Reach) -> float:
        along = np.abs((reach.points[:, :2] - fit.centre) @ axes.T)
        room = half + slope * reach.points[:, 2:3] - along
        return float(room.min() / math.hypot(1.0, slope))

    return least


def _sheet_box(need: _Need) -> Container:
    """Return a box of four sheets built to measure, its inner sides in whole millimetres.

    It is as wide beside the cut as is wanted there: a saw does not mind.
    """
    both = need.both() if need.cut is None else need.both().joined(need.cut)
    straight = _built(need, box_fit(both))
    if not need.turn:
        return straight
    turned = _built(need, least_box(both))
    saved = straight.rubber_volume_mm3 - turned.rubber_volume_mm3
    return turned if saved >= need.turn_saving * straight.rubber_volume_mm3 else straight


def _built(need: _Need, fit: BoxFit) -> Container:
    width, depth = math.ceil(fit.width_mm - FIT_MM), math.ceil(fit.depth_mm - FIT_MM)
    vessel = Vessel(
        name=f"sheet box {width} x {depth} mm", kind="box", own=False, source="built to measure",
        floor_mm=float(width), rim_mm=float(width), floor_depth_mm=float(depth),
        height_mm=math.ceil(need.fill_mm + need.spare_mm - FIT_MM), floor_rise_mm=0.0,
    )  # fmt: skip
    return _placed_in_box(vessel, need, fit)


def _container(
    vessel: Vessel,
    need: _Need,
    centre: Floats,
    capacity_mm3: float,
    least: Callable[[Reach], float],
) -> Container:
    capacity_mm3 += vessel.ring_mm3
    at_cut = None if need.cut is None else least(need.cut)
    return Container(
        name=vessel.name, kind=vessel.kind, own=vessel.own, source=vessel.source,
        floor_width_mm=vessel.floor_mm, rim_width_mm=vessel.rim_mm,
        floor_depth_mm=vessel.floor_depth_mm, height_mm=float(vessel.height_mm),
        floor_rise_mm=vessel.floor_rise_mm, centre_mm=(float(centre[0]), float(centre[1])),
        fill_height_mm=need.fill_mm, fill_line_mm=float(vessel.height_mm - need.fill_mm),
        wall_mm=least(need.piece), capacity_mm3=capacity_mm3,
        rubber_volume_mm3=capacity_mm3 - need.solid_mm3, rubber_g=0.0, mix_g=0.0, others=(),
        lip_mm=least(need.block) if need.block is not None else least(need.piece),
        wall_at_cut_mm=at_cut, wanted_at_cut_mm=None if need.cut is None else need.cut_wall_mm,
        ring_width_mm=vessel.ring_width_mm, ring_depth_mm=vessel.ring_depth_mm,
        words=_words(vessel, at_cut, need.cut_wall_mm),
    )  # fmt: skip


def _words(vessel: Vessel, at_cut: float | None, wanted: float) -> tuple[str, ...]:
    """Return what to mind with a container."""
    words = []
    if vessel.floor_rise_mm > 0:
        words.append(
            f"Its inner floor lies {vessel.floor_rise_mm:g} mm above the table: a height marked "
            f"outside is so much higher than the same height inside."
        )
    if vessel.ring_depth_mm > 0:
        words.append(
            f"The gutter round its floor leaves a ridge {vessel.ring_depth_mm:g} mm high round the "
            "mouth, which is counted in the rubber; shave it off, or the block does not stand."
        )
    if at_cut is not None:
        words.append(
            f"{at_cut:.0f} mm of rubber at the cut"
            + (f"; {wanted:.0f} mm would be better, if you have a larger one."
               if at_cut < wanted - 1.0 else ".")
        )  # fmt: skip
    return tuple(words)


def _weighed(container: Container, density: float, loss_share: float) -> Container:
    grams = container.rubber_volume_mm3 / 1000.0 * density
    return replace(container, rubber_g=grams, mix_g=grams * (1.0 + loss_share))


def _short(reach: Reach, slack: Floats, centre: Floats) -> str:
    worst = int(slack.argmin())
    x, y = reach.points[worst, :2] - centre
    return (
        f"the rubber beside the piece would be {-slack[worst]:.1f} mm thinner than the "
        f"{reach.need[worst]:.1f} mm wanted, {_side(x, y)}, {reach.points[worst, 2]:.0f} mm above "
        "its inner floor."
    )


def _side(x: float, y: float) -> str:
    """Return a direction in words, seen by someone whom the piece faces (front is -y)."""
    names = ("at the front", "at the front right", "on the right", "at the back right",
             "at the back", "at the back left", "on the left", "at the front left")  # fmt: skip
    return names[round(math.degrees(math.atan2(x, -y)) / 45.0) % 8]
