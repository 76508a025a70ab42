from __future__ import annotations

import numpy as np
import pytest
import scenes

from partline.errors import ScanError
from partline.scan import threemf
from partline.scan.threemf import read_3mf

PART = '<object id="2"><components><component {}/></components></object>'
OTHER = PART.format('objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 0 0"')
PATH = PART.format('p:path="/3D/o.model" objectid="1"')


def test_a_box_built_by_hand():
    """3MF Core Specification 1.3, chapters 3 and 4."""
    draft, unit, _ = read_3mf(scenes.threemf(), "a.3mf")
    assert unit == "mm"
    assert draft.face_volumes().sum() == pytest.approx(scenes.VOLUME)


@pytest.mark.parametrize(
    ("name", "unit"),
    [("micron", "um"), ("centimeter", "cm"), ("inch", "in"), ("foot", "ft"), ("meter", "m")],
)
def test_units(name, unit):
    assert read_3mf(scenes.threemf(unit=f' unit="{name}"'), "a.3mf")[1] == unit


def test_millimetres_where_no_unit_is_named():
    """3MF Core Specification 1.3, 3.4: the default is millimeter."""
    assert read_3mf(scenes.threemf(unit=""), "a.3mf")[1] == "mm"


def test_parts_are_placed_by_rows():
    """Points are rows, multiplied from the left (chapter 3.3): the last row shifts."""
    text = scenes.threemf(
        more=OTHER,
        items='<item objectid="2" transform="1 0 0 0 1 0 0 0 -1 0 0 100"/>',
    )
    draft, _, _ = read_3mf(text, "a.3mf")
    # x turns to y, y to -x; then shifted by 10 along x; then mirrored in z and raised.
    np.testing.assert_allclose(draft.vertices.min(axis=0), [7, 0, 96])
    np.testing.assert_allclose(draft.vertices.max(axis=0), [10, 2, 100])
    assert draft.face_volumes().sum() == pytest.approx(scenes.VOLUME)  # a mirror turns faces


def test_parts_in_another_model_of_the_same_file():
    files = {
        "3D/3dmodel.model": scenes.model('<item objectid="2"/>', more=PATH),
        "3D/o.model": scenes.model(),
    }
    draft, _, _ = read_3mf(scenes.threemf(files), "a.3mf")
    assert draft.face_volumes().sum() == pytest.approx(scenes.VOLUME)


@pytest.mark.parametrize("kind", ["support", "solidsupport", "surface", "other"])
def test_what_is_no_model_is_left_out_and_said(kind):
    """3MF Core Specification 1.3, 4.1: types of objects, model where none is named."""
    box = scenes.model().split("<resources>")[1].split("</resources>")[0]
    beside = box.replace('id="1" type="model"', f'id="3" type="{kind}"')
    assert kind in beside
    items = '<item objectid="1"/><item objectid="3" transform="1 0 0 0 1 0 0 0 1 20 0 0"/>'
    draft, _, left_out = read_3mf(scenes.threemf(items=items, more=beside), "a.3mf")
    assert len(draft.faces) == 12
    assert draft.face_volumes().sum() == pytest.approx(scenes.VOLUME)
    assert left_out.startswith(f"1 object is no model by what the file itself says ({kind})")
    assert "12 triangles" in left_out
    # So is a part of the piece that is of such a type, and a model that is part of one.
    for part, whole in (("model", kind), (kind, "model")):
        named = f'id="2" type="{whole}"'
        of_part = beside.replace(f'type="{kind}"', f'type="{part}"')
        both = of_part + PART.replace('id="2"', named).format('objectid="3"')
        items = '<item objectid="1"/><item objectid="2"/>'
        draft, _, left_out = read_3mf(scenes.threemf(items=items, more=both), "a.3mf")
        assert len(draft.faces) == 12
        assert f"({kind})" in left_out


def test_models_alone_have_nothing_left_out_and_what_is_alone_is_read():
    assert read_3mf(scenes.threemf(), "a.3mf")[2] == ""
    text = scenes.model().replace('type="model"', 'type="surface"')
    draft, _, left_out = read_3mf(scenes.threemf({"3D/3dmodel.model": text}), "a.3mf")
    assert (len(draft.faces), left_out) == (12, "")
    text = scenes.model().replace(' type="model"', "")
    assert len(read_3mf(scenes.threemf({"3D/3dmodel.model": text}), "a.3mf")[0].faces) == 12


LAUGHS = '<!DOCTYPE m [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE m [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
CYCLE = PART.format('objectid="2"')


def changed(old: str, new: str) -> bytes:
    return scenes.threemf({"3D/3dmodel.model": scenes.model().replace(old, new)})


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"PK\x03\x04 no zip", "not a 3MF file"),
        (scenes.threemf()[:200], "not a 3MF file"),
        (scenes.threemf({"a.txt": "hello"}), "no 3D model"),
        (scenes.threemf({"3D/3dmodel.model": "<model"}), "not XML"),
        (scenes.threemf({"3D/3dmodel.model": "\x00\x01"}), "not XML"),
        (scenes.threemf(head=LAUGHS), "document type"),
        (scenes.threemf(head=OUTSIDE), "document type"),
        (scenes.threemf(items='<item objectid="7"/>'), "no object '7'"),
        (scenes.threemf(items="<item/>"), "makes no sense"),
        (scenes.threemf(items='<item objectid="1" transform="1 0 0"/>'), "makes no sense"),
        (scenes.threemf(unit=' unit="league"'), "makes no sense"),
        (scenes.threemf(more=CYCLE, items='<item objectid="2"/>'), "parts within parts"),
        (scenes.threemf(items='<item objectid="1" p:path="/../../x"/>'), r"no '/\.\./\.\./x' in"),
        (changed('v3="3"', 'v3="99"'), "faces name"),
        (changed('x="2"', 'x="two"'), "makes no sense"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told(text, words):
    with pytest.raises(ScanError, match=words):
        read_3mf(text, "a.3mf")


def test_a_bomb_is_not_unpacked_whole(monkeypatch):
    monkeypatch.setattr(threemf, "LARGEST_BYTES", 1 << 20)
    bomb = scenes.threemf({"3D/3dmodel.model": scenes.model() + " " * (8 << 20)})
    assert len(bomb) < 20_000
    with pytest.raises(ScanError, match="unpacks to more than 1 MB"):
        read_3mf(bomb, "a.3mf")


def test_a_bomb_that_lies_about_its_size(monkeypatch):
    """The size in the zip's list says little; what comes out is counted too."""
    monkeypatch.setattr(threemf, "LARGEST_BYTES", 1 << 20)
    text = bytearray(scenes.threemf({"3D/3dmodel.model": scenes.model() + " " * (8 << 20)}))
    at = text.index(b"PK\x01\x02") + 24
    text[at : at + 4] = (5000).to_bytes(4, "little")
    with pytest.raises(ScanError, match=r"unpacked|unpacks|not XML"):
        read_3mf(bytes(text), "a.3mf")
