"""Noise: known noise is found on curved, textured and uneven bodies."""

import numpy as np
import pytest
from bodies import random_sphere, roughened, torus

from partline.geometry.noise import random_per_vertex, vertex_noise
from partline.geometry.surface import Surface

STEP = 0.4


def _found(surface: Surface) -> float:
    return vertex_noise(surface, random_per_vertex(surface, 1))


def _texture(u, v):
    wave = 2 * np.pi / (8 * STEP)
    return 0.05 * np.cos(wave * u) * np.cos(wave * v)


@pytest.mark.parametrize("noise", [0.010, 0.030])
@pytest.mark.parametrize("texture", [None, _texture], ids=["bare", "eight-edge texture"])
def test_noise_is_found_to_five_per_cent_on_a_curved_body(noise, texture):
    # Truth: the noise that was put on. Torus, tube 8 mm in radius.
    assert _found(roughened(torus(20, 8, STEP, texture), noise)) == pytest.approx(noise, rel=0.05)


@pytest.mark.parametrize("noise", [0.010, 0.030])
def test_an_uneven_mesh_does_not_matter(noise):
    assert _found(roughened(random_sphere(20_000, 15.0), noise)) == pytest.approx(noise, rel=0.05)


@pytest.mark.parametrize(
    "body",
    [torus(20, 8, STEP), random_sphere(20_000, 15.0), random_sphere(2_000, 5.0)],
    ids=["even", "uneven", "coarse and uneven"],
)
def test_a_clean_body_has_none(body):
    # Edges up to a tenth of the body's radius; plain neighbour means make 0.002 to 0.009 of it.
    assert _found(body) < 1e-4


def test_texture_of_six_edges_begins_to_read_as_noise():
    def short(u, v):
        wave = 2 * np.pi / (6 * STEP)
        return 0.05 * np.cos(wave * u) * np.cos(wave * v)

    # Truth: none of either. A hundredth of the height passes for noise at eight edges, a
    # twentieth at six.
    assert _found(torus(20, 8, STEP, _texture)) < 0.0006
    assert 0.001 < _found(torus(20, 8, STEP, short)) < 0.004


def test_of_too_small_a_mesh_nothing_is_said():
    assert _found(Surface([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2]])) is None


def test_of_a_part_of_few_large_triangles_nothing_is_said():
    # A plate with ribs as it is drawn: corners only, each ring reaches round several of them.
    box = np.array([[x, y, z] for x in (0.0, 1) for y in (0, 1) for z in (0, 1)])
    faces = np.array([[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1],
                      [2, 3, 7], [2, 7, 6], [0, 2, 6], [0, 6, 4], [1, 5, 7],
                      [1, 7, 3]])  # fmt: skip
    body = Surface(box, faces)
    for _ in range(2):
        middle = body.vertices[body.edges].mean(axis=1)
        a, b, c = body.faces.T
        ab, bc, ca = (len(body.vertices) + body.face_edges).T
        body = Surface(np.vstack([body.vertices, middle]), np.vstack([
            np.column_stack(f) for f in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))
        ]))  # fmt: skip
    rng = np.random.default_rng(0)
    drawn = Surface(body.vertices * [20, 12, 3] + rng.uniform(-0.5, 0.5, body.vertices.shape),
                    body.faces)  # fmt: skip
    assert len(drawn.vertices) > 90
    assert _found(drawn) is None


def test_vertices_that_are_none_of_the_scan_s_are_left_out():
    # Half of the body was made up, smooth as a made-up base is.
    body = torus(20, 8, STEP)
    made = body.vertices[:, 0] < 0
    rough = roughened(body, 0.02)
    half = Surface(np.where(made[:, None], body.vertices, rough.vertices), body.faces)
    numbers = random_per_vertex(half, 1)
    near = made | (body.vertices[:, 0] < 2.0)
    assert vertex_noise(half, numbers, leaving=near) == pytest.approx(0.02, rel=0.05)
    assert _found(half) < 0.012


def test_noise_grows_with_the_part_and_not_with_numbering():
    body = roughened(torus(20, 8, 0.8), 0.02)
    noise = _found(body)
    assert _found(Surface(3 * body.vertices, body.faces)) == pytest.approx(3 * noise, rel=1e-9)
    order = np.random.default_rng(0).permutation(len(body.vertices))
    back = np.argsort(order)
    assert _found(Surface(body.vertices[order], back[body.faces])) == pytest.approx(noise, rel=0.01)
