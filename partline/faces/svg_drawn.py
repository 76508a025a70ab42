"""Our drawings onto a PDF as vectors: the part of SVG that they are made of, and nothing else.

A drawing is written once, as SVG elements in millimetres. Here each element becomes strokes, fills
and type on a canvas; one that is not known is an error, so that nothing is ever left out unseen.
"""

from __future__ import annotations

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.units import mm

from partline.faces.paper import Drawing
from partline.faces.pdf_fonts import runs, width

_TOKEN = re.compile(r"[MmLlHhVvZz]|-?\d*\.?\d+(?:e-?\d+)?")
_NUMBER = re.compile(r"-?\d*\.?\d+(?:e-?\d+)?")
_ARITY = {"M": 2, "L": 2, "H": 1, "V": 1, "Z": 0}
_KNOWN = {
    "x", "y", "width", "height", "cx", "cy", "r", "d", "points", "x1", "y1", "x2", "y2", "rx",
    "fill", "fill-rule", "fill-opacity", "stroke", "stroke-width", "stroke-dasharray",
    "stroke-linejoin", "stroke-linecap", "stroke-opacity", "opacity", "clip-path",
    "font-size", "text-anchor", "font-weight", "transform", "id", "paint-order", "class",
}  # fmt: skip


def draw_drawing(canvas: Any, drawing: Drawing, left_pt: float, top_pt: float) -> None:
    """Draw a drawing at true size, its upper left corner at a place on the page.

    Parameters
    ----------
    canvas : reportlab canvas
    drawing : Drawing
    left_pt, top_pt : float
        From the left and from the foot of what the canvas is drawing in [pt].

    Raises
    ------
    ValueError
        If the drawing holds an element or an attribute that is not drawn here.
    """
    scale = drawing.scale * mm
    canvas.saveState()
    canvas.translate(left_pt, top_pt)
    canvas.scale(scale, -scale)
    canvas.translate(-drawing.left, -drawing.top)
    frame = canvas.beginPath()
    frame.rect(drawing.left, drawing.top, drawing.width, drawing.height)
    canvas.clipPath(frame, stroke=0, fill=0)
    draw_svg(canvas, drawing.body)
    canvas.restoreState()


def draw_svg(canvas: Any, body: str) -> None:
    """Draw SVG elements on a canvas whose y already runs down.

    Raises
    ------
    ValueError
        If there is an element or an attribute that is not drawn here.
    """
    root = ET.fromstring(f"<g>{body}</g>")
    named = {e.get("id", ""): e for e in root.iter() if e.get("id")}
    for element in root:
        _element(canvas, element, named)


def _element(canvas: Any, e: ET.Element, named: dict[str, ET.Element]) -> None:
    tag = e.tag.rsplit("}", 1)[-1]
    if tag in ("defs", "clipPath", "pattern", "title"):
        return
    unknown = set(e.attrib) - _KNOWN
    if unknown:
        raise ValueError(f"A drawing's <{tag}> has {', '.join(sorted(unknown))}: not drawn here.")
    canvas.saveState()
    if tag == "g" and e.get("transform"):
        _transform(canvas, e.get("transform", ""))
    if e.get("clip-path"):
        inner = named[e.get("clip-path", "")[5:-1]]
        canvas.clipPath(_outline(canvas, inner[0]), stroke=0, fill=0)
    if tag == "g":
        for child in e:
            _element(canvas, child, named)
    elif tag == "text":
        _text(canvas, e)
    elif e.get("fill", "").startswith("url(#"):
        _hatch(canvas, e, named[e.get("fill", "")[5:-1]])
    else:
        _shape(canvas, e)
    canvas.restoreState()


def _shape(canvas: Any, e: ET.Element) -> None:
    fill, stroke = e.get("fill", "#000"), e.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(_colour(fill))
        canvas.setFillAlpha(_alpha(e, "fill-opacity"))
    if stroke != "none":
        canvas.setStrokeColor(_colour(stroke))
        canvas.setStrokeAlpha(_alpha(e, "stroke-opacity"))
        canvas.setLineWidth(float(e.get("stroke-width", "1")))
        canvas.setLineJoin(1 if e.get("stroke-linejoin") == "round" else 0)
        canvas.setLineCap(1 if e.get("stroke-linecap") == "round" else 0)
        if e.get("stroke-dasharray"):
            canvas.setDash([float(v) for v in _NUMBER.findall(e.get("stroke-dasharray", ""))])
    canvas.drawPath(
        _outline(canvas, e),
        stroke=int(stroke != "none"),
        fill=int(fill != "none"),
        fillMode=0 if e.get("fill-rule") == "evenodd" else 1,
    )


def _outline(canvas: Any, e: ET.Element) -> Any:
    """Return an element's outline as a path of the canvas."""
    tag = e.tag.rsplit("}", 1)[-1]

    def n(name: str, default: str = "0") -> float:
        return float(e.get(name, default))

    path = canvas.beginPath()
    if tag == "circle":
        path.circle(n("cx"), n("cy"), n("r"))
    elif tag == "rect":
        path.rect(n("x"), n("y"), n("width"), n("height"))
    elif tag == "line":
        path.moveTo(n("x1"), n("y1"))
        path.lineTo(n("x2"), n("y2"))
    elif tag in ("polyline", "polygon"):
        v = [float(x) for x in _NUMBER.findall(e.get("points", ""))]
        for k in range(0, len(v) - 1, 2):
            (path.lineTo if k else path.moveTo)(v[k], v[k + 1])
        if tag == "polygon":
            path.close()
    elif tag == "path":
        for move, x, y in path_moves(e.get("d", "")):
            if move == "Z":
                path.close()
            else:
                (path.moveTo if move == "M" else path.lineTo)(x, y)
    else:
        raise ValueError(f"A drawing has <{tag}>: not drawn here.")
    return path


def path_moves(d: str) -> Iterator[tuple[str, float, float]]:
    """Yield ("M" or "L" or "Z", x, y) of an SVG path of straight lines, in absolute places.

    Raises
    ------
    ValueError
        If it holds a curve, or numbers are missing.
    """
    if re.search(r"[A-DF-GI-KN-UW-Ya-df-gi-kn-uw-y]", d):
        raise ValueError(f"A drawing's path is not of straight lines: {d[:40]}")
    tokens = _TOKEN.findall(d)
    x = y = start_x = start_y = 0.0
    command, k = "", 0
    while k < len(tokens):
        if tokens[k].isalpha():
            command, k = tokens[k], k + 1
        kind = command.upper()
        values = [float(v) for v in tokens[k : k + _ARITY[kind]]]
        if len(values) < _ARITY[kind]:
            raise ValueError(f"A drawing's path breaks off: {d[-40:]}")
        k += _ARITY[kind]
        away_x, away_y = (x, y) if command.islower() else (0.0, 0.0)
        if kind == "Z":
            x, y = start_x, start_y
        elif kind == "H":
            x = away_x + values[0]
        elif kind == "V":
            y = away_y + values[0]
        else:
            x, y = away_x + values[0], away_y + values[1]
        if kind == "M":
            start_x, start_y = x, y
            # Further pairs after a move are lines.
            command = "l" if command.islower() else "L"
        yield kind if kind in "MZ" else "L", x, y


def _hatch(canvas: Any, e: ET.Element, pattern: ET.Element) -> None:
    """Fill an outline with the slanting strokes of a pattern."""
    canvas.clipPath(_outline(canvas, e), stroke=0, fill=0)
    left, top, right, bottom = _bounds(e)
    stroke = pattern[0]
    canvas.setStrokeColor(_colour(stroke.get("stroke", "#000")))
    canvas.setStrokeAlpha(_alpha(e, "fill-opacity"))
    canvas.setLineWidth(float(stroke.get("stroke-width", "0.3")))
    step = float(pattern.get("width", "3")) * math.sqrt(2)
    high = bottom - top
    at = left - high - step
    while at < right + step:
        canvas.line(at + high, top, at, bottom)
        at += step


def _bounds(e: ET.Element) -> tuple[float, float, float, float]:
    """Return (left, top, right, bottom) of a path or a rectangle."""
    if e.get("d") is not None:
        places = [(x, y) for _, x, y in path_moves(e.get("d", ""))]
    elif e.get("width") is not None:
        x, y, w, h = (float(e.get(k, "0")) for k in ("x", "y", "width", "height"))
        places = [(x, y), (x + w, y + h)]
    else:
        raise ValueError(f"A drawing's <{e.tag}> is hatched: only paths and rectangles are.")
    across, down = zip(*places, strict=True)
    return min(across), min(down), max(across), max(down)


def _text(canvas: Any, e: ET.Element) -> None:
    size, bold = float(e.get("font-size", "3")), e.get("font-weight") == "bold"
    words = "".join(e.itertext())
    wide = width(words, size, bold=bold)
    x, y = float(e.get("x", "0")), float(e.get("y", "0"))
    if e.get("transform"):
        _transform(canvas, e.get("transform", ""))
    canvas.translate(x, y)
    canvas.scale(1, -1)
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[e.get("text-anchor", "start")]
    if e.get("paint-order") == "stroke":
        # White behind the words in place of a white edge: text is written, and found, once.
        canvas.setFillColor(Color(1, 1, 1, alpha=0.8))
        canvas.rect(start - 0.1 * size, -0.18 * size, wide + 0.2 * size, 0.95 * size, 0, 1)
        canvas.setFillAlpha(1)
    canvas.setFillColor(_colour(e.get("fill", "#23262b")))
    for font, part in runs(words, bold=bold):
        canvas.setFont(font, size)
        canvas.drawString(start, 0, part)
        start += canvas.stringWidth(part, font, size)


def _transform(canvas: Any, words: str) -> None:
    for name, inside in re.findall(r"(\w+)\(([^)]*)\)", words):
        v = [float(n) for n in _NUMBER.findall(inside)]
        if name == "translate":
            canvas.translate(v[0], v[1] if len(v) > 1 else 0.0)
        elif name == "rotate" and len(v) == 1:
            canvas.rotate(v[0])
        elif name == "scale":
            canvas.scale(v[0], v[1] if len(v) > 1 else v[0])
        else:
            raise ValueError(f"A drawing is moved by {name}({inside}): not drawn here.")


def _alpha(e: ET.Element, part: str) -> float:
    return float(e.get("opacity", "1")) * float(e.get(part, "1"))


def _colour(words: str) -> Color:
    if not words.startswith("#"):
        raise ValueError(f"A drawing's colour {words!r} is not written as #rrggbb.")
    return HexColor("#" + "".join(2 * c for c in words[1:]) if len(words) == 4 else words)
