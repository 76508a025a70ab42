"""Rims rounded over a few edges are hard edges; grooves side by side, limbs and noise are not."""

import numpy as np
import pytest
from bodies import grooved, random_sphere, roughened, rounded_block, torus
from skimage.measure import marching_cubes

from partline.detail.face_patches import two_sides
from partline.detail.hard_edges import find_hard_edges
from partline.detail.relief import detail_map
from partline.detail.rounded_rims import rounded_rims
from partline.geometry.operators import edge_lengths
from partline.geometry.surface import Surface

SIZE, STEP = (40.0, 30.0, 16.0), 0.5


def _found(surface: Surface, noise: float = 0.0):
    return find_hard_edges(surface, noise_mm=noise, edge_mm=float(np.median(edge_lengths(surface))))


def _length(surface: Surface, pairs) -> float:
    ends = surface.vertices[pairs]
    return float(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).sum())


@pytest.mark.parametrize("radius", [0.25, 0.5, 1.0])
@pytest.mark.parametrize("noise", [0.0, 0.01])
def test_rims_of_a_rounded_block_are_found_where_they_are(radius, noise):
    body = roughened(rounded_block(SIZE, radius, STEP), noise)
    found = _found(body, noise)
    assert found.convex.all()
    # Closed form: twelve rims run straight between the rounded corners; a line along the edges of
    # triangles goes to and fro.
    straight = 4 * (sum(SIZE) - 6 * radius)
    assert straight < _length(body, found.pairs) < 1.35 * straight
    # Of each of its places two coordinates are within the rounding, or an edge of it.
    inside = np.array(SIZE) / 2 - np.abs(body.vertices[found.pairs])
    assert (np.sort(inside, axis=-1)[..., 1] < radius + STEP).all()


@pytest.mark.parametrize("radius", [0.25, 0.5, 1.0])
def test_nothing_of_a_rounded_block_is_detail(radius):
    # Truth: six plain sides, askew to the grid of cubes that its triangles are cut out of.
    half = np.array(SIZE)[:, None, None, None] / 2
    x, y, z = np.meshgrid(*[np.arange(-n, n + STEP, STEP) for n in (26, 26, 9)], indexing="ij")
    beyond = np.abs([0.96 * x + 0.28 * y, 0.96 * y - 0.28 * x, z]) - (half - radius)
    away = np.linalg.norm(np.maximum(beyond, 0), axis=0) + np.minimum(beyond.max(axis=0), 0)
    points, faces, *_ = marching_cubes(away - radius, 0.0, spacing=(STEP,) * 3)
    points, number = np.unique(points, axis=0, return_inverse=True)
    faces = number.reshape(-1)[faces]
    faces = faces[(faces != np.roll(faces, 1, axis=1)).all(axis=1)]
    found = detail_map(Surface(points, faces))
    assert found.hard_convex.all()
    assert found.weight.max() < 0.01
    assert found.zones == ()


def test_an_inner_rim_goes_in():
    block = rounded_block(SIZE, 0.5, STEP)
    found = _found(Surface(block.vertices, block.faces[:, ::-1]))
    assert len(found.pairs) > 100
    assert not found.convex.any()


def test_a_crumbled_rim_of_a_flat_base_is_found():
    # A rough ball, its triangles cut by no plane, pressed flat: the rim turns by 53 degrees.
    ball = random_sphere(20_000, 15.0)
    low = ball.vertices[:, 2] < -9.0
    rough = roughened(ball, 0.02).vertices
    flat = np.column_stack([rough[:, :2], np.full(len(rough), -9.0)])
    body = Surface(np.where(low[:, None], flat, rough), ball.faces)
    assert _length(body, _found(body, 0.02).pairs) == pytest.approx(2 * np.pi * 12, rel=0.2)
    assert detail_map(body).weight.max() < 0.01


@pytest.mark.parametrize("wave", [2.0, 2.4])
def test_grooves_in_parallel_stay_detail(wave):
    # The longest wave that counts as detail on this plate is 2.4 mm.
    body = grooved(wave, 0.25)
    # The outermost have no other beyond them.
    assert _length(body, _found(body).pairs) <= 2 * 30 + 1e-6
    x, y, _ = body.vertices.T
    inner = (np.abs(x - 15) < 10) & (np.abs(y - 15) < 10)
    assert np.median(detail_map(body).weight[inner]) > 0.3


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.05])
@pytest.mark.parametrize("small", [8.0, 2.5, 1.5])
def test_limbs_however_thin_have_none(small, noise):
    assert len(_found(roughened(torus(20, small, 0.5), noise), noise).pairs) == 0


@pytest.mark.parametrize("seed", range(3))
def test_noise_on_slivers_makes_none(seed):
    # Truth: a smooth capsule. Cut out of a grid of cubes, it has triangles far flatter than most:
    # noise folds them, outward and inward by turns.
    x, y, z = np.meshgrid(*[np.arange(-n, n + 0.5, 0.5) for n in (8, 8, 16)], indexing="ij")
    away = np.sqrt(x**2 + y**2 + np.maximum(np.abs(z) - 8, 0) ** 2) - 7
    points, faces, *_ = marching_cubes(away, 0.0, spacing=(0.5,) * 3)
    body = roughened(Surface(points, faces), 0.03, seed=seed)
    assert len(_found(body, 0.03).pairs) == 0


def test_what_is_known_to_be_sharp_is_not_told_again():
    body = rounded_block(SIZE, 0.5, STEP)
    sides = two_sides(body)
    asked = dict(edge_mm=STEP, finer=1.0, least_turn_rad=0.7, sides_rad=0.42)
    none = np.empty(0, dtype=np.int32)
    edges, convex = rounded_rims(body, sides, none, np.empty(0, dtype=bool), **asked)
    assert len(edges) > 500
    again, _ = rounded_rims(body, sides, edges, convex, **asked)
    assert not np.isin(again, edges).any()
