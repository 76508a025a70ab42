"""Choosing among the layouts: the fewest cuts that open with ease, unless that costs detail."""

from __future__ import annotations

from typing import Literal

from partline.cut.bench import Bench
from partline.cut.cut import Cut
from partline.cut.route import PLAIN, Route, missed
from partline.cut.rubber import EFFORT_STRAIN, HAND_STRAIN
from partline.cut.walled import no_line
from partline.cut.weighing import lips_of
from partline.errors import NoPath

# Margins that differ by less are alike [1].
_ALIKE = 0.8
OVER_FLOOR: Literal["over the floor"] = "over the floor"
Cuts = Literal["auto", "over the floor"] | int


def chosen_of(
    bench: Bench,
    weighed: dict[tuple[str, ...], Cut],
    routes: dict[str, Route],
    refused: dict[str, str],
    cuts: Cuts,
) -> tuple[str, ...]:
    """Return the layout to use: the fewest cuts that open with ease, unless that costs detail."""
    singles = sorted(
        (layout for layout in weighed if len(layout) == 1 and layout[0] in routes),
        # A place to pass through says which side the line is wanted on.
        key=lambda one: (missed(bench.skin.zones, routes[one[0]]), weighed[one].cost),
    )
    pair = next((layout for layout in weighed if len(layout) == 2), None)
    if cuts == 0:
        return ()
    if cuts == OVER_FLOOR and (OVER_FLOOR,) in weighed:
        return (OVER_FLOOR,)
    if cuts == 1 and singles:
        return singles[0]
    if cuts == 2 and pair:
        return pair
    if cuts == OVER_FLOOR:
        raise NoPath(refused[OVER_FLOOR])
    if cuts != "auto":
        raise no_line(refused)
    # No parting line at all spares the most detail, so it may cost the hands some effort.
    if max(weighed[()].stretch, weighed[()].stretch_straight) <= min(EFFORT_STRAIN, bench.working):
        return ()
    hand = min(HAND_STRAIN, bench.working)
    if not singles and not pair:
        return _without_line(bench, weighed, refused)
    if not pair:
        return singles[0]
    margin = min(routes[name].ground.margin_mm for name in pair)
    rough = max(PLAIN, *(routes[name].ground.worst_needed for name in pair))
    for one in singles:
        ground, lips = routes[one[0]].ground, lips_of(bench, [routes[one[0]]])
        rougher = ground.margin_mm < _ALIKE * margin or ground.worst_needed > rough
        if lips <= hand and not rougher:
            return one
        if lips <= EFFORT_STRAIN and ground.margin_mm * _ALIKE > margin:
            return one
    return pair


def _without_line(
    bench: Bench, weighed: dict[tuple[str, ...], Cut], refused: dict[str, str]
) -> tuple[str, ...]:
    """Return the layout to use where no line runs up the back or a side: over the floor, or none.

    Raises
    ------
    NoPath
        If places laid down by hand leave no line: that is for the hand to settle.
    """
    if bench.skin.zones.stay_off.any() or bench.skin.zones.pass_through:
        raise no_line(refused)
    return (OVER_FLOOR,) if (OVER_FLOOR,) in weighed else ()


def told(
    weighed: dict[tuple[str, ...], Cut], refused: dict[str, str], sides: tuple[str, ...]
) -> tuple[str, ...]:
    """Return the layout that was asked for by its sides; () where none was.

    Raises
    ------
    NoPath
        If no line can run on one of them.
    """
    if sides and sides not in weighed:
        raise NoPath(" ".join(refused[side] for side in sides if side in refused))
    return sides


def why(
    bench: Bench,
    weighed: dict[tuple[str, ...], Cut],
    routes: dict[str, Route],
    chosen: tuple[str, ...],
) -> tuple[str, ...]:
    """Return why not fewer cuts, or why none where the piece does not come out so."""
    if not routes and (not chosen or chosen == (OVER_FLOOR,)):
        return (
            "No line can be cut up the back or a side, so "
            + ("the one over the floor is planned." if chosen else "no cut is planned.")
            + " Look at it before pouring: another front or mouth may let one be cut.",
        )
    if not chosen:
        return ()
    none = weighed[()]
    worst = max(none.stretch, none.stretch_straight)
    said = [
        f"Uncut, the rubber would have to stretch by {100 * worst:.0f} %; hands stretch a whole "
        f"block by about {100 * EFFORT_STRAIN:.0f} % (common practice)."
    ]
    if len(chosen) > 1:
        least = min(lips_of(bench, [route]) for route in routes.values())
        said.append(f"With one cut its lips would bend by at least {100 * least:.0f} % (estimate).")
    return tuple(said)
