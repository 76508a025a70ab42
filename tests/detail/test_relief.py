"""The detail map: slope, bare skin, plain bodies, other meshes of the same part, invariances."""

import numpy as np
import pytest
import trimesh
from bodies import cylinder, plate, random_sphere, roughened, torus
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from partline.detail.relief import cut_weight, detail_map, part_width
from partline.errors import Cancelled, JobError, ScanError
from partline.geometry.surface import Surface
from partline.scan.reading import read_master


def _patch(u, v, period=2.4):
    """Waves on the half of a torus round u = 0, crossed: 1 / sqrt(2) of the period long."""
    there = 0.5 * (1 + np.tanh((np.cos(u / 20) - 0.2) * 6))
    waves = np.cos(2 * np.pi * u / period) * np.cos(2 * np.pi * v / period)
    return there * 0.05 * period * waves


def test_slope_is_that_of_the_wave():
    # Sdq of a cos(kx) is a k / sqrt(2) (ISO 25178-2, from memory). What lies beyond both ends of
    # the ladder is missing, and what the window's mean follows: always below, by a tenth here.
    body = plate(24, 12, 0.1, lambda x, _: 0.03 * np.cos(2 * np.pi * x / 1.6))
    found = detail_map(body, finest_mm=0.1, coarsest_mm=6.4)
    middle = (np.abs(body.vertices[:, :2] - [12, 6]) < 3).all(axis=1)
    sdq = 0.03 * 2 * np.pi / 1.6 / np.sqrt(2)
    assert 0.88 * sdq < np.sqrt((found.slope[middle] ** 2).mean()) < sdq


@pytest.mark.parametrize("noise", [0.010, 0.030])
@pytest.mark.parametrize(
    "body", [torus(20, 8, 0.4), random_sphere(20_000, 15.0)], ids=["torus", "uneven sphere"]
)
def test_bare_noisy_skin_scores_one(body, noise):
    found = detail_map(roughened(body, noise))
    assert found.noise_mm == pytest.approx(noise, rel=0.05)
    assert found.score.mean() == pytest.approx(1.0, abs=0.1)
    assert (np.abs(found.score - 1.0) < 0.1).mean() > 0.99
    assert found.weight.max() == 0
    assert found.zones == ()


def test_bare_noise_of_a_mesh_fine_here_and_coarse_there_scores_one():
    # Eight times as many vertices on one half of a ball; score had reached 3.5, weight 0.65.
    points = np.random.default_rng(3).normal(size=(60_000, 3))
    points /= np.linalg.norm(points, axis=1, keepdims=True)
    thin = (points[:, 2] > 0) | (np.arange(len(points)) % 8 == 0)
    ball = random_sphere(0, 15.0, points=points[thin])
    found = detail_map(roughened(ball, 0.03))
    assert found.score.max() < 2.0
    assert (np.abs(found.score - 1.0) < 0.1).mean() > 0.99
    assert (found.weight > 0).mean() < 0.001
    assert found.zones == ()


@pytest.mark.parametrize(
    "body",
    [
        torus(20, 8, 0.4),
        random_sphere(20_000, 15.0),
        cylinder(12, 30, 0.4),
        cylinder(4, 40, 0.4),
        Surface(torus(20, 8, 0.4).vertices * [1.0, 0.7, 1.3], torus(20, 8, 0.4).faces),
    ],
    ids=["torus", "sphere", "cylinder", "limb with clean rims", "uneven torus"],
)
def test_plain_bodies_are_plain(body):
    found = detail_map(body)
    assert found.weight.max() < 0.01
    assert found.zones == ()
    assert any("No part" in words for words in found.words)


def test_dome_on_a_plate_is_plain():
    # A gentle dome, 20 mm wide and 2 mm high: form, not detail.
    def dome(x, y):
        inside = np.maximum(1 - ((x - 20) ** 2 + (y - 20) ** 2) / 100, 0)
        return 2 * inside**2

    found = detail_map(plate(40, 40, 0.4, dome), coarsest_mm=4.8)
    assert found.weight.max() < 0.01


def test_texture_is_found_where_it_is():
    body = roughened(torus(20, 6, 0.25, _patch), 0.005)
    found = detail_map(body)
    textured = body.vertices[:, 0] > 12
    bare = body.vertices[:, 0] < -8
    assert np.median(found.weight[textured]) > 0.1
    assert found.weight[bare].max() == 0
    assert found.score[bare].mean() == pytest.approx(1.0, abs=0.1)
    assert len(found.zones) == 1
    assert (body.vertices[found.zones[0].vertices, 0] > -2).all()
    # Truth: Sq of 0.12 mm cos cos is half of its height, and a bit of form is among the greatest.
    assert np.median(found.relief_mm[textured]) == pytest.approx(0.12 / 2, rel=0.05)
    assert found.zones[0].relief_mm == pytest.approx(0.12 / 2, rel=0.2)
    # Waves of 1.7 mm: the octave of 1.2 to 2.4 mm.
    assert found.zones[0].finest_mm == pytest.approx(1.7, abs=0.05)


@pytest.mark.slow
@pytest.mark.parametrize("noise", [0.0, 0.01])
def test_four_times_fewer_triangles_change_little(noise):
    # Waves of 2.5 mm: six edges of the thinned mesh, the fewest that can be told from noise.
    simplification = pytest.importorskip("fast_simplification")
    fine = roughened(torus(20, 6, 0.2, lambda u, v: _patch(u, v, 3.6)), noise)
    thinned = Surface(
        *simplification.simplify(
            np.array(fine.vertices), np.array(fine.faces), target_count=len(fine.faces) // 4, agg=7
        )
    )
    assert len(thinned.faces) <= 0.251 * len(fine.faces)
    one, other = detail_map(fine), detail_map(thinned)
    _, nearest = cKDTree(thinned.vertices).query(fine.vertices)
    textured = fine.vertices[:, 0] > 12
    for name, median, most in (
        ("score", 0.03, 0.03),
        ("slope", 0.03, 0.06),
        ("relief_mm", 0.06, 0.09),
    ):
        a, b = getattr(one, name)[textured], getattr(other, name)[nearest][textured]
        assert np.median(b / a) == pytest.approx(1.0, abs=median)
        assert np.percentile(np.abs(b / a - 1), 90) < most
    bare = fine.vertices[:, 0] < -8
    assert other.score[nearest][bare].mean() == pytest.approx(one.score[bare].mean(), rel=0.03)


def test_another_triangulation_changes_little():
    # The same formula meshed at random: no vertex in common, mean edge the same.
    def mesh(seed):
        rough = random_sphere(30_000, 15.0, seed)
        out = rough.vertices / 15.0
        wave = 0.1 * np.cos(2.6 * rough.vertices[:, 0]) * np.cos(2.6 * rough.vertices[:, 1])
        return Surface(rough.vertices + (wave * (out[:, 2] > 0.5))[:, None] * out, rough.faces)

    a, b = mesh(0), mesh(1)
    one, other = detail_map(a), detail_map(b)
    _, nearest = cKDTree(b.vertices).query(a.vertices)
    there = a.vertices[:, 2] > 10
    for name in ("score", "slope", "relief_mm"):
        first, second = getattr(one, name)[there], getattr(other, name)[nearest][there]
        assert np.median(second) == pytest.approx(np.median(first), rel=0.03)


def test_turned_moved_renumbered_scaled():
    body = roughened(torus(16, 6, 0.4, _patch), 0.01)
    found = detail_map(body)
    order = np.random.default_rng(0).permutation(len(body.vertices))
    turn = Rotation.from_euler("xyz", [20, 50, 80], degrees=True).as_matrix()
    moved = detail_map(
        Surface(body.vertices[order] @ turn.T + [40, -7, 3], np.argsort(order)[body.faces])
    )
    scaled = detail_map(Surface(2.5 * body.vertices, body.faces), finest_mm=0.75)
    for name in ("score", "weight", "slope"):
        mine = getattr(found, name)
        assert np.abs(getattr(scaled, name) - mine).max() < 1e-3 * max(1, mine.max())
        # The solver's tolerance is what is left.
        assert np.abs(getattr(moved, name) - mine[order]).max() < 2e-2 * max(1, mine.max())
    np.testing.assert_allclose(scaled.relief_mm, 2.5 * found.relief_mm, atol=1e-3)


def test_words_say_what_cannot_be_seen():
    found = detail_map(torus(20, 8, 0.6))
    assert found.finest_mm == pytest.approx(6 * 0.6, rel=0.15)
    assert (
        found.words[0] == f"Nothing finer than {found.finest_mm:.2g} mm can be seen in this scan."
    )
    assert "six" in found.words[1]


def test_words_of_a_scan_too_coarse_for_detail_do_not_contradict_each_other():
    found = detail_map(roughened(torus(20, 8, 0.9, _patch), 0.01))
    coarsest = 4.8  # what is told as detail at most
    assert found.finest_mm > coarsest
    said = " ".join(found.words)
    assert "relief up to 4.8 mm across counts as detail" in said
    assert "Nothing finer" not in said
    assert "coarser than all that counts as detail" in said
    assert found.zones
    assert all(zone.finest_mm <= coarsest for zone in found.zones)


def test_what_the_tool_made_has_no_detail_and_its_rim_is_none():
    # A rough pear on a small flat foot made up: its rim is too short to be found as a hard edge.
    ball = random_sphere(20_000, 15.0)
    up = np.clip((ball.vertices[:, 2] + 10.0) / 16.0, 0.0, 1.0)
    taper = 0.3 + 0.7 * up**2 * (3.0 - 2.0 * up)
    ball = Surface(ball.vertices * np.column_stack([taper, taper, 0 * taper + 1]), ball.faces)
    rough = roughened(ball, 0.02).vertices
    low = ball.vertices[:, 2] < -9.0
    body = Surface(np.where(low[:, None], np.column_stack([rough[:, :2], 0 * low - 9.0]), rough),
                   ball.faces)  # fmt: skip
    made = low[body.faces].all(axis=1)
    blind, found = detail_map(body), detail_map(body, made=made)
    assert blind.weight.max() > 0.05
    assert found.weight.max() == 0
    assert found.zones == ()
    assert found.noise_mm == pytest.approx(0.02, rel=0.05)
    assert found.score[low].max() == pytest.approx(1.0)


def test_a_smooth_filling_takes_no_band_of_the_detail_round_it():
    body = roughened(torus(20, 6, 0.25, _patch), 0.005)
    made = (np.linalg.norm(body.vertices - [26, 0, 0], axis=1) < 2.0)[body.faces].all(axis=1)
    blind, found = detail_map(body), detail_map(body, made=made)
    filled = np.unique(body.faces[made])
    inner = np.setdiff1d(filled, body.faces[~made])
    assert found.weight[inner].max() == 0
    away = np.linalg.norm(body.vertices - [26, 0, 0], axis=1)
    beside = (away > 3.0) & (away < 5.0)
    ratio = found.weight[beside].mean() / blind.weight[beside].mean()
    assert blind.weight[beside].mean() > 0.1
    assert ratio == pytest.approx(1.0, abs=0.1)


def test_of_a_part_of_few_large_triangles_no_noise_is_told():
    corners = np.array([[0, 0, 0], [20, 0, 0], [20, 12, 0], [0, 12, 0]], dtype=float)
    above = corners + np.array([0.0, 0.0, 5.0])
    box = Surface(np.vstack([corners, above]), [
        [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4],
        [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7],
    ])  # fmt: skip
    found = detail_map(box)
    assert found.noise_mm is None
    assert "cannot be told" in " ".join(found.words)


def test_weight_is_even_and_never_lifts_a_plain_piece():
    times = np.linspace(0, 3, 100)
    weight = cut_weight(times, np.ones(100))
    assert (np.diff(weight) >= 0).all()
    assert weight[times <= 1].max() == 0
    assert weight.max() < 0.6
    lively = cut_weight(20 * times, np.ones(100))
    assert lively.max() == 1
    assert lively[50] < 1


def test_width_of_a_sphere_is_its_diameter():
    ball = random_sphere(5_000, 15.0)
    assert part_width(ball, np.ones(5_000)) == pytest.approx(30.0, rel=0.02)


def test_bad_questions_are_answered_in_words():
    body = plate(4, 4, 1, lambda x, _: 0 * x)
    with pytest.raises(JobError, match="finest detail"):
        detail_map(body, finest_mm=0.0)
    with pytest.raises(JobError, match="coarsest"):
        detail_map(body, finest_mm=2.0, coarsest_mm=1.0)
    with pytest.raises(JobError, match="threshold"):
        detail_map(body, threshold=1.5)
    with pytest.raises(JobError, match="band"):
        detail_map(body, band_mm=-1.0)
    with pytest.raises(ScanError, match="no triangle"):
        detail_map(Surface(np.zeros((3, 3)), [[0, 1, 2]]))


def test_cancel_is_passed_on_and_progress_grows():
    heard = []
    detail_map(torus(20, 8, 0.8), progress=lambda fraction, _: heard.append(fraction))
    assert heard == sorted(heard)
    assert heard[-1] == 1.0

    def cancel(fraction, words):
        raise Cancelled("stop")

    with pytest.raises(Cancelled):
        detail_map(torus(20, 8, 0.8), progress=cancel)


def test_a_quantised_scan_does_not_read_as_detail():
    # Scans unpacked from a coarse grid: steps of 6e-5 of the height, here on a plain body.
    # Unevenly meshed, as a scan is: on even rows all vertices would be rounded alike.
    body = random_sphere(20_000, 75.0)
    height = 150.0
    step = 6e-5 * height
    grid = Surface(np.round(body.vertices / step) * step, body.faces)
    found = detail_map(grid)
    # Even steps of that size are a deviation of step / sqrt(12).
    assert found.noise_mm == pytest.approx(step / np.sqrt(12), rel=0.25)
    assert found.weight.max() < 0.01
    assert found.zones == ()


def test_short_edges_of_a_trimmed_base_change_nothing():
    # One vertex in fifty gets a twin a thousandth of an edge away.
    body = torus(16, 6, 0.4, _patch)
    n = len(body.vertices)
    split = np.arange(0, len(body.faces), 100)
    corner = body.faces[split]
    near = body.vertices[corner[:, 0]] * 0.998 + 0.001 * body.vertices[corner[:, 1:]].sum(axis=1)
    new = n + np.arange(len(split))
    a, b, c = corner.T
    faces = np.vstack([
        np.delete(body.faces, split, axis=0),
        np.column_stack([a, b, new]), np.column_stack([b, c, new]), np.column_stack([c, a, new]),
    ])  # fmt: skip
    found = detail_map(body)
    other = detail_map(Surface(np.vstack([body.vertices, near]), faces))
    for name in ("score", "slope", "relief_mm"):
        mine, theirs = getattr(found, name), getattr(other, name)[:n]
        assert np.abs(theirs - mine).max() < 0.03 * mine.max()
    np.testing.assert_array_equal(other.relief_mm[new], other.relief_mm[a])


def test_colours_of_a_mesh_change_nothing(tmp_path):
    """The same texture with a bold checker painted on it in the file, and without."""
    body = torus(8, 3, 0.25, _patch)
    painted = np.where((body.vertices[:, :1] // 2 + body.vertices[:, 1:2] // 2) % 2 == 0,
                       [255, 0, 0], [0, 0, 60]).astype(np.uint8)  # fmt: skip
    maps = []
    for name, colours in (("plain.ply", None), ("painted.ply", painted)):
        mesh = trimesh.Trimesh(body.vertices, body.faces, vertex_colors=colours, process=False)
        mesh.export(tmp_path / name)
        read = read_master(tmp_path / name, units="mm", up="+z", front="-y")
        maps.append(detail_map(read.surface))
    one, other = maps
    assert b"red" in (tmp_path / "painted.ply").read_bytes()[:400]
    assert b"red" not in (tmp_path / "plain.ply").read_bytes()[:400]
    assert one.weight.max() > 0.2  # there is something to change
    for name in ("relief_mm", "score", "weight"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name))
