"""Our own drawings on a PDF canvas: the few elements of SVG that `paper` and its users write."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache
from typing import Any

from reportlab import rl_config
from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import registerFont
from reportlab.pdfbase.ttfonts import TTFont

from partline.errors import InternalError
from partline.faces.colours import INK

# Streams as bytes: as letters they take a quarter more room, and a second a sheet to write.
rl_config.useA85 = 0

_STEP = re.compile(r"[MLHVmlhvZz]|-?\d*\.?\d+(?:[eE][-+]?\d+)?")
_HATCH_MM = 3.0
_ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
PLAIN, BOLD = "Vera", "VeraBd"


@cache
def fonts() -> tuple[str, str]:
    """Register the typeface that travels inside the file; return its plain and bold names."""
    registerFont(TTFont(PLAIN, "Vera.ttf"))
    registerFont(TTFont(BOLD, "VeraBd.ttf"))
    return PLAIN, BOLD


def ink(canvas: Any, body: str, *, scale: float = 1.0) -> None:
    """Draw SVG elements in millimetres, y down, on a canvas whose origin is theirs.

    Raises
    ------
    InternalError
        At an element or command that none of our drawings should hold.
    """
    fonts()
    root = ET.fromstring(f"<g>{body}</g>")
    named = {e.get("id"): e for e in root.iter() if e.get("id")}
    canvas.saveState()
    canvas.scale(scale, scale)
    for element in root:
        _element(canvas, element, named)
    canvas.restoreState()


def _element(canvas: Any, element: ET.Element, named: dict[str | None, ET.Element]) -> None:
    if element.tag in ("defs", "clipPath", "pattern"):
        return
    if element.tag == "g":
        for inner in element:
            _element(canvas, inner, named)
        return
    canvas.saveState()
    clip = element.get("clip-path")
    if clip:
        shape = named[clip[5:-1]][0]
        canvas.clipPath(_path(canvas, str(shape.get("d"))), stroke=0, fill=0)
    if element.tag == "text":
        _text(canvas, element)
    else:
        _shape(canvas, element)
    canvas.restoreState()


def _number(element: ET.Element, name: str, default: float = 0.0) -> float:
    return float(element.get(name, default))


def _shape(canvas: Any, element: ET.Element) -> None:
    outline = canvas.beginPath()
    if element.tag == "path":
        outline = _path(canvas, str(element.get("d")))
    elif element.tag == "rect":
        x, y, w, h = (_number(element, k) * mm for k in ("x", "y", "width", "height"))
        outline.rect(x, -y - h, w, h)
    elif element.tag == "circle":
        outline.circle(_number(element, "cx") * mm, -_number(element, "cy") * mm,
                       _number(element, "r") * mm)  # fmt: skip
    else:
        raise InternalError(f"A drawing holds <{element.tag}>, which cannot be printed.")
    fill, stroke = element.get("fill", "#000000"), element.get("stroke", "none")
    opacity = _number(element, "opacity", 1.0)
    canvas.setFillAlpha(opacity)
    canvas.setStrokeAlpha(opacity)
    canvas.setLineJoin(1 if element.get("stroke-linejoin") == "round" else 0)
    dashes = element.get("stroke-dasharray")
    canvas.setDash([float(v) * mm for v in dashes.split()] if dashes else [])
    if fill.startswith("url("):
        _hatched(canvas, outline)
        fill = "none"
    if stroke != "none":
        canvas.setStrokeColor(HexColor(_long(stroke)))
        canvas.setLineWidth(_number(element, "stroke-width", 1.0) * mm)
    if fill != "none":
        canvas.setFillColor(HexColor(_long(fill)))
    canvas.drawPath(
        outline,
        stroke=int(stroke != "none"),
        fill=int(fill != "none"),
        fillMode=0 if element.get("fill-rule") == "evenodd" else 1,
    )


def _long(colour: str) -> str:
    return "#" + "".join(2 * c for c in colour[1:]) if len(colour) == 4 else colour


def _hatched(canvas: Any, outline: Any) -> None:
    canvas.saveState()
    canvas.clipPath(outline, stroke=0, fill=0)
    canvas.setDash([])
    canvas.setStrokeColor(HexColor(INK))
    canvas.setLineWidth(0.3 * mm)
    reach = 700
    step = _HATCH_MM * 2**0.5
    for k in range(int(-2 * reach / step), int(2 * reach / step)):
        x = k * step
        canvas.line((x - reach) * mm, -reach * mm, (x + reach) * mm, reach * mm)
    canvas.restoreState()


def _path(canvas: Any, d: str) -> Any:
    """Return a canvas path of M L H V and their relative forms, closed by Z."""
    out = canvas.beginPath()
    tokens = _STEP.findall(d)
    x = y = start_x = start_y = 0.0
    command, k = "M", 0
    while k < len(tokens):
        if tokens[k].isalpha():
            command = tokens[k]
            k += 1
            if command in "Zz":
                out.close()
                x, y = start_x, start_y
                continue
        if command in "HhVv":
            value = float(tokens[k])
            k += 1
            if command in "Hh":
                x = value + (x if command == "h" else 0.0)
            else:
                y = value + (y if command == "v" else 0.0)
        else:
            a, b = float(tokens[k]), float(tokens[k + 1])
            k += 2
            x, y = (x + a, y + b) if command.islower() else (a, b)
        if command in "Mm":
            out.moveTo(x * mm, -y * mm)
            start_x, start_y = x, y
            command = "L" if command == "M" else "l"
        else:
            out.lineTo(x * mm, -y * mm)
    return out


def _text(canvas: Any, element: ET.Element) -> None:
    words = "".join(element.itertext())
    font = BOLD if element.get("font-weight") == "bold" else PLAIN
    size = _number(element, "font-size", 3.2) * mm * 0.92  # the face runs wider than most
    canvas.translate(_number(element, "x") * mm, -_number(element, "y") * mm)
    shift = canvas.stringWidth(words, font, size) * _ANCHORS[element.get("text-anchor", "start")]
    if element.get("stroke"):
        # Kept apart: the way letters are drawn outlasts the text it was set for.
        canvas.saveState()
        _written(canvas, words, font, size, -shift, edge=_number(element, "stroke-width", 0.8))
        canvas.restoreState()
    canvas.setFillColor(HexColor(_long(element.get("fill", INK))))
    _written(canvas, words, font, size, -shift)


def _written(
    canvas: Any, words: str, font: str, size: float, x: float, *, edge: float = 0.0
) -> None:
    text = canvas.beginText(x, 0)
    text.setFont(font, size)
    text.setTextRenderMode(1 if edge else 0)
    if edge:
        canvas.setStrokeColor(HexColor("#ffffff"))
        canvas.setLineWidth(edge * mm)
        canvas.setLineJoin(1)
    text.textOut(words)
    canvas.drawText(text)
