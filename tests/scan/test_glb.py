from __future__ import annotations

import json

import numpy as np
import pytest
import scenes
import trimesh

from partline.errors import ScanError
from partline.scan.glb import read_glb


def test_a_box_built_by_hand():
    """glTF 2.0 specification, chapters 3.6 and 4: container, accessors, buffer views."""
    draft = read_glb(scenes.glb(), "a.glb")
    assert draft.face_volumes().sum() == pytest.approx(scenes.VOLUME)
    np.testing.assert_array_equal(draft.file_faces, np.arange(12))


def test_a_scene_of_another_library_with_turned_and_mirrored_parts():
    """Reference: trimesh's own GLB, its parts placed by its own scene graph."""
    ball = trimesh.creation.icosphere(2, radius=0.03)
    scene = trimesh.Scene()
    turn = trimesh.transformations.rotation_matrix(0.7, [1, 2, 3], [0, 0.1, 0])
    scene.add_geometry(ball, transform=turn)
    scene.add_geometry(trimesh.creation.box((0.01, 0.02, 0.03)), transform=np.diag([-2.0, 1, 1, 1]))
    draft = read_glb(scene.export(file_type="glb"), "b.glb")
    assert draft.face_volumes().sum() == pytest.approx(ball.volume + 2 * 6e-6, rel=1e-5)
    np.testing.assert_allclose(
        [draft.vertices.min(axis=0), draft.vertices.max(axis=0)], scene.bounds, atol=1e-8
    )


def test_parts_are_placed_by_turn_scale_and_shift():
    """A quarter turn about z, then doubled, then shifted; within a part shifted again."""
    half = np.sqrt(0.5)
    nodes = [
        {"children": [1], "translation": [0, 0, 10]},
        {"mesh": 0, "rotation": [0, 0, half, half], "scale": [2, 2, 2], "translation": [1, 0, 0]},
    ]
    draft = read_glb(scenes.glb(nodes=nodes), "a.glb")
    np.testing.assert_allclose(draft.vertices.min(axis=0), [-5, 0, 10], atol=1e-6)
    np.testing.assert_allclose(draft.vertices.max(axis=0), [1, 4, 18], atol=1e-6)
    assert draft.face_volumes().sum() == pytest.approx(8 * scenes.VOLUME)


def test_strips_and_fans():
    """A strip's every other triangle runs the other way (glTF 2.0, 3.7.2.1)."""
    square = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0]], dtype="<f4")
    for mode, order in ((5, [0, 1, 2, 3]), (6, [0, 1, 3, 2])):
        primitive = {"attributes": {"POSITION": 0}, "indices": 1, "mode": mode}
        text = scenes.glb(square, np.array(order), meshes=[{"primitives": [primitive]}])
        draft = read_glb(text, "a.glb")
        np.testing.assert_allclose(draft.face_vectors(), [[0, 0, 1], [0, 0, 1]])


def test_lines_and_points_are_left_out():
    primitive = {"attributes": {"POSITION": 0}, "indices": 1}
    both = [{"primitives": [primitive, primitive | {"mode": 1}]}]
    assert len(read_glb(scenes.glb(meshes=both), "a.glb").faces) == 12


def accessor(**changes: object) -> list[dict[str, object]]:
    plain = {"bufferView": 0, "componentType": 5126, "count": 8, "type": "VEC3"}
    corners = {"bufferView": 1, "componentType": 5123, "count": 36, "type": "SCALAR"}
    return [plain | changes, corners]


CYCLE = [{"mesh": 0, "children": [0]}]
WIDE = [{"children": [1] * 300}, {"children": [2] * 300}, {}]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"glTF", "not a GLB file"),
        (scenes.glb()[:60], "cut short"),
        (b"glTF\x01" + scenes.glb()[5:], "version 1"),
        (scenes.glb(buffers=[{"uri": "http://example.org/a.bin"}]), "leans on another file"),
        (scenes.glb(buffers=[{"uri": "/etc/passwd"}]), "leans on another file"),
        (scenes.glb(extensionsRequired=["KHR_draco_mesh_compression"]), "without compression"),
        (scenes.glb(accessors=accessor(count=2**31)), "promises 2147483648 entries"),
        (scenes.glb(accessors=accessor(count=-1)), "count is -1"),
        (scenes.glb(accessors=accessor(count=True)), "count is True"),
        (scenes.glb(accessors=accessor(byteOffset=2**39)), "cut short"),
        (scenes.glb(accessors=accessor(componentType=9)), "unknown kind"),
        (scenes.glb(accessors=accessor(sparse={"count": 1})), "not read"),
        (scenes.glb(accessors=7), "no entry 1 of accessors"),
        (scenes.glb(nodes=CYCLE), "parts within parts"),
        (scenes.glb(nodes=WIDE), "parts within parts"),
        (scenes.glb(nodes=[{"mesh": 0, "scale": [1, 2]}]), "scale of a part"),
        (scenes.glb(nodes=[{"mesh": 0, "scale": [1, 2, 10**400]}]), "scale of a part"),
        (scenes.glb(scenes=[]), "no scene"),
        (scenes.glb(faces=np.full((12, 3), 99)), "12 of 12 faces name a vertex"),
        (scenes.packed(b"[" * 200_000, b""), "makes no sense"),
        (scenes.packed(b"\xff\xfe", b""), "makes no sense"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told(text, words):
    with pytest.raises(ScanError, match=words):
        read_glb(text, "a.glb")


def test_a_part_named_over_and_over_is_stopped_before_memory_is_asked_for():
    many = np.tile(scenes.BOX, (400, 1))
    nodes = [{"children": [1] * 1000}, {"mesh": 0}]
    with pytest.raises(ScanError, match="repeats its parts"):
        read_glb(scenes.glb(faces=many, nodes=nodes), "a.glb")


def test_a_huge_header_is_not_parsed():
    text = json.dumps({"nodes": [{}] * 10}).encode() + b" " * (17 << 20)
    with pytest.raises(ScanError, match="header of 18 MB"):
        read_glb(scenes.packed(text, b""), "a.glb")
