"""Blocks: numbers stand out, texts are changed everywhere but in what the user typed."""

from __future__ import annotations

from partline.faces.figures import Said
from partline.faces.paper import Drawing
from partline.faces.sheet_blocks import (
    Big,
    Bold,
    Box,
    Line,
    Own,
    Page,
    Picture,
    Table,
    mapped,
    numbered,
    sentence,
)
from partline.faces.words import american


def test_numbers_stand_out_with_their_units() -> None:
    said = numbered("62 mm tall · 9 oz cup, 2 7/16 in, 20° and 3 places")
    assert [p.words for p in said if isinstance(p, Bold)] == [
        "62 mm", "9 oz", "2 7/16 in", "20°", "3",
    ]  # fmt: skip
    whole = "".join(p if isinstance(p, str) else p.words for p in said)  # type: ignore[union-attr]
    assert whole == "62 mm tall · 9 oz cup, 2 7/16 in, 20° and 3 places"


def test_respelling_reaches_every_text_but_the_users() -> None:
    page = Page("the mould", "1", (
        Line(("grey ", Own("grey mould"), Big(Said("1 mould", "default", "colour")))),
        Box((Table((("moulds",),), (((Bold("mould"),),),), (1.0,), "list"),), "card"),
        Picture("mould", "mould"),
    ))  # fmt: skip
    changed = mapped(page, american)
    line, box, picture = changed.blocks
    assert changed.title == "the mold"
    assert line.text == ("gray ", Own("grey mould"), Big(Said("1 mold", "default", "color")))
    assert box.blocks[0].rows == (((Bold("mold"),),),)
    assert picture == Picture("mould", "mold")  # its name is looked up, not read
    drawing = Drawing("mould", 0, 0, 1, 1, "<text>mould</text>", "mould")
    assert mapped(drawing, american).body == "<text>mold</text>"


def test_sentence() -> None:
    assert sentence(" comes out ") == "Comes out."
    assert sentence("Why?") == "Why?"
    assert sentence("") == "."
