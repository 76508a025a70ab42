from __future__ import annotations

import numpy as np
import trimesh

from partline.scan.draft import Draft
from partline.scan.edges import shells
from partline.scan.joining import seams_joined
from partline.scan.untangling import paired, untangled


def cubes(*shifts: tuple[float, float, float]) -> Draft:
    """Unit cubes at the given places, with vertices at one place joined."""
    box = trimesh.creation.box((1, 1, 1))
    points = np.vstack([np.array(box.vertices) + shift for shift in shifts])
    faces = np.vstack([np.array(box.faces) + 8 * k for k in range(len(shifts))])
    return seams_joined(Draft(points, faces, np.arange(len(faces))))[0]


def test_cubes_that_share_an_edge_are_two_bodies():
    draft = cubes((0, 0, 0), (1, 1, 0))
    assert (draft.table.counts == 4).sum() == 1
    parted, found = untangled(draft)
    assert found[0].kind == "crowded edge"
    assert parted.table.is_closed
    assert shells(parted.table.twins).max() + 1 == 2
    assert np.isclose(parted.face_volumes().sum(), 2.0)


def test_cubes_that_share_a_vertex_are_parted():
    parted, found = untangled(cubes((0, 0, 0), (1, 1, 1)))
    assert [(f.kind, f.count) for f in found] == [("pinch", 1)]
    assert len(parted.vertices) == 16
    assert parted.table.is_closed


def test_a_ring_of_cubes_joined_at_an_edge_gets_a_middle_vertex():
    """A solid that touches itself along one edge, where both ends are on one fan.

    Three cubes of a 2 x 2 block would be plain; here two opposite ones are joined by a roof
    and a floor, so the edge between them cannot be parted at its ends.
    """
    grid = np.ones((2, 2, 3), dtype=bool)
    grid[0, 0, 1] = grid[1, 1, 1] = False
    draft = seams_joined(_voxels(grid))[0]
    assert (draft.table.counts > 2).sum() == 1
    parted, _ = untangled(draft)
    assert parted.table.is_closed
    assert np.isclose(parted.face_volumes().sum(), 10.0)


def _voxels(grid: np.ndarray) -> Draft:
    """The outside of filled cells: two triangles where a filled cell meets an empty one."""
    box = trimesh.creation.box((1, 1, 1))
    normals = np.round(box.face_normals).astype(int)
    points, faces = [], []
    filled = np.argwhere(grid)
    for cell in filled:
        for face, normal in zip(box.faces, normals, strict=True):
            other = cell + normal
            inside = ((other >= 0) & (other < grid.shape)).all()
            if inside and grid[tuple(other)]:
                continue
            faces.append(np.arange(3) + 3 * len(faces))
            points.append(np.array(box.vertices)[face] + cell)
    return Draft(np.vstack(points), np.array(faces), np.arange(len(faces)))


def test_a_fin_is_cut_off_and_leaves_the_body_closed(ball):
    a, b, _ = ball.faces[0]
    tip = ball.vertices[a] * 1.3
    faces = np.vstack([ball.faces, [[a, b, len(ball.vertices)]]])
    draft = Draft(np.vstack([ball.vertices, tip]), faces, np.arange(len(faces)))
    parted, found = untangled(draft)
    assert found[0].count == 1
    assert (parted.table.counts <= 2).all()
    assert (parted.table.counts == 1).sum() >= 3
    label = shells(parted.table.twins)
    body = label == np.bincount(label).argmax()
    assert parted.kept(body).table.is_closed
    np.testing.assert_array_equal(parted.kept(body).file_faces, ball.file_faces)


def test_nothing_stays_nothing():
    empty = Draft(np.zeros((3, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64))
    parted, found = untangled(empty)
    assert not len(parted.faces)
    assert found == []


def _thinnest_first(angle: np.ndarray, ahead: np.ndarray) -> set[tuple[int, int]]:
    """All wedges sorted, the thinnest taken first: what the pairing is to give."""
    wedges = sorted(
        ((angle[i] - angle[j]) % (2 * np.pi), i, j)
        for i in np.flatnonzero(ahead).tolist()
        for j in np.flatnonzero(~ahead).tolist()
    )
    taken: set[int] = set()
    pairs = set()
    for _, i, j in wedges:
        if not {i, j} & taken:
            taken |= {i, j}
            pairs.add((i, j))
    return pairs


def test_pages_of_a_book_are_paired_across_the_thinnest_wedge_first():
    rng = np.random.default_rng(5)
    for count in (3, 4, 7, 20, 41):
        angle = rng.uniform(0, 2 * np.pi, count)
        ahead = rng.random(count) < 0.5
        tips = np.column_stack([np.cos(angle), np.sin(angle), np.full(count, 0.5)])
        points = np.vstack([[[0.0, 0, 0], [0, 0, 1]], tips])
        faces = np.column_stack([np.zeros(count), np.ones(count), 2 + np.arange(count)]).astype(int)
        faces[~ahead] = faces[~ahead][:, [1, 0, 2]]
        draft = Draft(points, faces, np.arange(count))
        twins = paired(draft, draft.table, np.flatnonzero(draft.table.counts > 2))
        spine = np.flatnonzero(twins >= 0)
        found = {(int(h // 3), int(twins[h] // 3)) for h in spine if ahead[h // 3]}
        assert found == _thinnest_first(angle, ahead)
