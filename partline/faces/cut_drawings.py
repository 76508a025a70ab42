"""The block seen through from four sides at true size, with the cut and its three marks."""

from __future__ import annotations

import numpy as np

from partline.cut.cut import CutLine, OverFloor
from partline.faces.colours import CUT, INK
from partline.faces.discs import at_mouth
from partline.faces.drawings import (
    QUARTERS,
    SEEN_FROM,
    Ghosts,
    Side,
    block,
    frame,
    view_drawing,
    walls,
)
from partline.faces.figures import System, length
from partline.faces.labels import spread
from partline.faces.paper import Drawing, hatched, label, path
from partline.geometry.surface import Floats
from partline.plan import Plan


def cut_views(plan: Plan, outlines: Ghosts, system: System = "mm") -> tuple[Drawing, ...]:
    """Return the block seen through from four sides, mouth up, with the cut and its marks."""
    return tuple(_cut_view(plan, outlines, Side(q, True), system) for q in QUARTERS)


def _cut_view(plan: Plan, outlines: Ghosts, view: Side, system: System) -> Drawing:
    body = _web(plan, view) + block(plan, outlines, view)
    for line in plan.cut.lines:
        body += _line(plan, line, view)
    body += _slits(plan, view)
    if plan.cut.lines:
        body += _names(plan, view)
        body += _over(plan, view) if _hinge(plan) else _depths(plan, view, system)
    # Two units, and a cut's number where the cuts differ, take more room.
    differ = len({line.marks for line in plan.cut.lines}) > 1
    room = 44.0 if system == "both" else 42.0 if _hinge(plan) else 34.0 if differ else 26.0
    title = f"Seen {SEEN_FROM[view.quarter]}, mouth up"
    return view_drawing(plan, view, title, body, labels_mm=room)


def _web(plan: Plan, view: Side) -> str:
    """Return the hatched part that no cut may enter: from the deepest mark to the far face."""
    if not plan.cut.lines:
        return ""
    left, right, _, bottom = frame(plan, view)
    over = _hinge(plan)
    if over is not None:
        return _hinge_side(plan, view, over)
    deepest = max(line.marks.never_past_mm for line in plan.cut.lines)
    y = float(-view.up[2] * deepest)
    low, high = min(y, bottom), bottom
    hatch = f"web{view.quarter}"
    middle = (left + right) / 2
    return (
        f'<defs><pattern id="{hatch}" width="3" height="3" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><path d="M0 0V3" stroke="{INK}" stroke-width="0.35"/>'
        f"</pattern></defs>"
        f'<clipPath id="clip{view.quarter}"><path d="{path([walls(plan, view)])}"/></clipPath>'
        f'<rect x="{left:.2f}" y="{low:.2f}" width="{right - left:.2f}" '
        f'height="{high - low:.2f}" fill="url(#{hatch})" opacity="0.45" '
        f'clip-path="url(#clip{view.quarter})"/>'
        + label(middle, high - 2.2, "do not cut", size=3.6, anchor="middle", bold=True)
    )


def _hinge(plan: Plan) -> OverFloor | None:
    return next((line.over for line in plan.cut.lines if line.over is not None), None)


def _hinge_side(plan: Plan, view: Side, over: OverFloor) -> str:
    """Return the hatched part beside the hinge of a cut over the floor."""
    left, right, top, bottom = frame(plan, view)
    toward = np.array(over.toward)
    across, ahead = float(toward @ view.right), float(toward @ view.toward)
    if abs(across) < 0.7 and ahead < 0.0:
        return ""  # the hinge is on the far side
    if across > 0.7:
        left = over.never_past_mm
    elif across < -0.7:
        right = -over.never_past_mm
    name = f"clip{view.quarter}"
    outline = f"M{left:.2f} {top:.2f}H{right:.2f}V{bottom:.2f}H{left:.2f}Z"
    return (
        f'<clipPath id="{name}"><path d="{path([walls(plan, view)])}"/></clipPath>'
        + hatched(f"web{view.quarter}", outline, f' clip-path="url(#{name})"')
        + label((left + right) / 2, bottom - 2.2, "do not cut", size=3.6, anchor="middle",
                bold=True)
    )  # fmt: skip


def _over(plan: Plan, view: Side) -> str:
    """Return where to read how far a cut goes that runs over the far face."""
    _, right, _, bottom = frame(plan, view)
    words = ("down this side and on", "over the far face:", "how far, see the", "far-face disc")
    return "".join(
        label(right + 3, bottom - 14 + 4 * k, line, size=3.0) for k, line in enumerate(words)
    )


def _line(plan: Plan, line: CutLine, view: Side) -> str:
    """Return one cut: whole where it is on the near half, dashed where it is behind."""
    # On its way from the mouth face to the seat it follows the foot block.
    points = np.vstack([at_mouth(plan, line), line.points])
    paper = view.on_paper(points)
    middle = np.array([*plan.container.centre_mm, 0.0])
    near = (points - middle) @ view.toward > 0
    body = ""
    start = 0
    for k in range(1, len(paper) + 1):
        if k == len(paper) or near[k] != near[start]:
            stretch = paper[start : min(k + 1, len(paper))]
            dash = "" if near[start] else ' stroke-dasharray="2 1.6"'
            width = 1.1 if near[start] else 0.6
            if len(stretch) > 1:
                body += (
                    f'<path d="{path([stretch], closed=False)}" fill="none" stroke="{CUT}" '
                    f'stroke-width="{width}" stroke-linejoin="round"{dash}/>'
                )
            start = k
    if line.over is not None:
        return body
    heights = (line.marks.try_here_mm, line.marks.likely_mm, line.marks.never_past_mm)
    for shape, z in zip(("try", "likely", "never"), heights, strict=True):
        at = _at_height(line.points, z)
        if at is not None:
            body += _mark(shape, *view.on_paper(at)[0])
    return body


def _slits(plan: Plan, view: Side) -> str:
    """Return the numbers of the bridges that are slit, beside their holes, none over another."""
    slits = plan.cut.slits
    if not slits:
        return ""
    at = np.array([view.on_paper(np.array(loop.place_mm))[0] for loop in slits])
    rows = spread(at[:, 1], 3.6, at[:, 1].min() - 20.0, at[:, 1].max() + 20.0)
    body = ""
    for number, ((x, y), row) in enumerate(zip(at.tolist(), rows.tolist(), strict=True), 1):
        body += (
            f'<path d="M{x:.2f} {y:.2f}L{x + 4:.2f} {row:.2f}" fill="none" stroke="{INK}" '
            f'stroke-width="0.15"/><circle cx="{x:.2f}" cy="{y:.2f}" r="0.7" fill="{INK}"/>'
            + label(x + 4.4, row + 1.1, f"S{number}", size=3.0, bold=True)
        )
    return body


def _names(plan: Plan, view: Side) -> str:
    """Return the cuts' numbers at the mouth, outward of the lines, none over another."""
    starts = [float(view.on_paper(at_mouth(plan, line))[0, 0]) for line in plan.cut.lines]
    middle = float(np.array([*plan.container.centre_mm, 0.0]) @ view.right)
    body = ""
    written: list[float] = []
    for number, x in enumerate(starts, 1):
        out = 1 if x >= middle else -1
        y = float(view.on_paper(np.zeros(3))[0, 1]) + 3.4
        y += 4.0 * sum(abs(x - other) < 16.0 for other in written)
        written.append(x)
        body += label(x + 1.8 * out, y, f"cut {number}", size=3.0, bold=True, colour=CUT,
                      anchor="start" if out > 0 else "end")  # fmt: skip
    return body


def _at_height(points: Floats, z: float) -> Floats | None:
    """Return the first point of a line at a height, None when it ends before [mm]."""
    h = points[:, 2]
    for k in range(len(h) - 1):
        if min(h[k], h[k + 1]) <= z <= max(h[k], h[k + 1]):
            share = 0.0 if h[k] == h[k + 1] else (z - h[k]) / (h[k + 1] - h[k])
            return np.asarray(points[k] + share * (points[k + 1] - points[k]))
    return None


def _mark(shape: str, x: float, y: float) -> str:
    style = f'fill="#fff" stroke="{INK}" stroke-width="0.5"'
    if shape == "try":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="1.3" {style}/>'
    if shape == "likely":
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="1.3" fill="{INK}"/>'
    return f'<path d="M{x - 2:.2f} {y:.2f}h4" stroke="{INK}" stroke-width="1"/>'


def _depths(plan: Plan, view: Side, system: System) -> str:
    """Return the depths of the marks below the mouth face, beside the block."""
    left, right, _, _ = frame(plan, view)
    found: dict[tuple[str, float], list[int]] = {}
    for number, line in enumerate(plan.cut.lines, 1):
        marks = line.marks
        for words, z in (
            ("try here", marks.try_here_mm),
            ("likely", marks.likely_mm),
            ("never past", marks.never_past_mm),
        ):
            found.setdefault((words, round(z, 1)), []).append(number)
    body, last = "", -np.inf
    for (words, z), numbers in sorted(found.items(), key=lambda item: item[0][1]):
        y = float(-view.up[2] * z)
        at = max(y, last + 8.2)
        last = at
        which = "" if len(numbers) == plan.cut.count else f" (cut {numbers[0]})"
        bold = words == "never past"
        body += (
            f'<path d="M{left:.2f} {y:.2f}H{right:.2f}L{right + 1.5:.2f} {at:.2f}h1" fill="none" '
            f'stroke="{INK}" stroke-width="{0.5 if bold else 0.2}" stroke-dasharray="1 1.2"/>'
            + label(right + 3, at + 0.3, words + which, size=3.0, bold=bold)
            + label(right + 3, at + 4.2, length(z, system), size=3.4, bold=True)
        )
    return body
