"""The detail map: relief against the scan's own noise, octave by octave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from partline.detail.detail_map import DetailMap
from partline.detail.hard_edges import HardEdges, distance_to, find_hard_edges
from partline.detail.measured import measured
from partline.detail.needless import in_two_planes, without_needless
from partline.detail.octaves import octave_ladder, relief_factor, slope_factor
from partline.detail.spread import OctaveSpread, band_of, octave_spreads
from partline.detail.zones import find_zones
from partline.errors import JobError, ScanError
from partline.geometry.noise import NO_NOISE, random_per_vertex, vertex_noise
from partline.geometry.operators import edge_lengths, vertex_areas
from partline.geometry.surface import Floats, Ints, Surface
from partline.memory import spare
from partline.progress import Progress, silent, span
from partline.side_by_side import side_by_side

# Slopes are root-mean-square gradients [1]; all from trying on real scans, no source.
_FORM = 3.0  # slope of plain form (limbs, a jaw, a wing's bend) in an octave: times scale / width
_PLAIN_TIMES, _FULL_TIMES = 1.0, 5.0  # times plain form: no detail yet; detail on any piece
_SURE = 3.0  # variance over that of noise which chance hardly reaches in any window
_TINY = np.finfo(float).tiny
COARSEST_SHARE = 0.1  # of the part's width: longer waves are form
_WINDOW_SHARE = 0.02  # of the part's width: the least root of t of a window
_EDGES_PER_WAVE = 6.0  # shorter texture cannot be told from noise


def detail_map(
    surface: Surface,
    *,
    made: NDArray[np.bool_] | None = None,
    finest_mm: float = 0.3,
    coarsest_mm: float | None = None,
    band_mm: float | None = None,
    threshold: float = 0.25,
    seed: int = 1,
    progress: Progress = silent,
) -> DetailMap:
    """Measure the detail of a surface at finished size.

    Parameters
    ----------
    surface : Surface
        At finished size; the closed surface of a master, but an open one is borne.
    made : (m,) bool, optional
        Faces that the tool made, not the scan: a trimmed underside, caps, fillings. They have no
        detail, tell nothing of the scan's noise, and where they end in an edge it counts as hard.
    finest_mm : float
        S-filter nesting index of the finest octave: shorter waves are let go [mm].
    coarsest_mm : float, optional
        L-filter nesting index of the coarsest octave: longer waves are form, not detail;
        a tenth of the part's width when left out [mm].
    band_mm : float, optional
        Round a hard edge so much is left out; 2 sqrt(t) of each octave, two edges at least,
        when left out [mm].
    threshold : float
        Weight from which a place belongs to a zone [1].
    seed : int
        Of the random numbers that stand for noise.
    progress : Progress

    Returns
    -------
    DetailMap
        Relief is an estimate: exact for waves on a plane, a few per cent on a curved body.

    Raises
    ------
    JobError
        If a length or the threshold cannot be.
    ScanError
        If the surface has no face with an area.

    References
    ----------
    ISO 25178-2 for S-filter, L-filter, Sq and Sdq (from memory, text not opened; the filters
    here are implicit heat steps on the mesh, not the standard's Gaussian filters on a plane).
    """
    _check(surface, finest_mm, coarsest_mm, band_mm, threshold)
    progress(0.0, "noise of the scan")
    made = np.zeros(len(surface.faces), dtype=bool) if made is None else made
    bare, kept_as = without_needless(surface, span(progress, 0.0, 0.02))
    edge_mm = float(np.median(edge_lengths(bare)))
    _ = bare.ring, surface.face_edges  # made once, before two threads ask for it
    progress(0.02, "noise of the scan")
    (found_noise, edges), mesh = side_by_side(
        partial(_noise_and_edges, surface, made, bare, kept_as, seed),
        partial(measured, bare, seed),
        shares=(0.5, 0.5), progress=span(progress, 0.02, 0.1),
    )  # fmt: skip
    noise_mm = found_noise or 0.0
    joined, areas = mesh.joined[kept_as], mesh.areas_mm2
    width_mm = part_width(mesh.surface, areas)
    octaves = octave_ladder(
        finest_mm, COARSEST_SHARE * width_mm if coarsest_mm is None else coarsest_mm
    )
    limit = band_of(octaves[-1], edge_mm) if band_mm is None else band_mm
    distance = np.full(len(areas), np.inf)
    away = np.where(_made_vertices(surface, made), 0.0, distance_to(surface, edges, limit_mm=limit))
    np.minimum.at(distance, joined, away)
    for other in (surface, bare):
        if mesh.surface is not other:
            spare(other)
    coarsest_mm = octaves[-1].l_mm
    seen_mm = max(finest_mm, _EDGES_PER_WAVE * edge_mm)
    parts = _Sums.empty(len(areas), width_mm, min(seen_mm, coarsest_mm))
    for one in octave_spreads(
        mesh.surface,
        octaves,
        operators=(areas, mesh.laplacian),
        noise_mm=noise_mm,
        edge_mm=edge_mm,
        random=mesh.random,
        edge_distance_mm=distance,
        band_mm=band_mm,
        window_mm=_WINDOW_SHARE * width_mm,
        progress=span(progress, 0.1, 0.97),
    ):
        parts.add(one)
    slope, score = np.sqrt(np.maximum(parts.slope2, 0.0)), np.sqrt(np.maximum(parts.score2, 1.0))
    relief = np.sqrt(np.maximum(parts.relief2, 0.0)) / relief_factor()
    weight = cut_weight(np.sqrt(parts.above2), areas)
    zones = find_zones(
        surface,
        (weight >= threshold)[joined],
        areas_mm2=vertex_areas(surface),
        relief_mm=relief[joined],
        slope=slope[joined],
        finest_mm=parts.finest_mm[joined],
        seen_mm=parts.seen_mm,
        least_mm2=seen_mm**2,
    )
    progress(1.0, "detail")
    return DetailMap(
        relief_mm=relief[joined],
        slope=slope[joined],
        score=score[joined],
        weight=weight[joined],
        noise_mm=found_noise,
        scales_mm=np.array([octave.scale_mm for octave in octaves]),
        finest_mm=seen_mm,
        hard_edges=edges.pairs,
        hard_convex=edges.convex,
        zones=zones,
        words=_words(found_noise, edge_mm, finest_mm, seen_mm, coarsest_mm, len(zones)),
    )


def _made_vertices(surface: Surface, made: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return (n,) the vertices that no scanned face has."""
    scanned = np.zeros(len(surface.vertices), dtype=bool)
    scanned[surface.faces[~made]] = True
    return ~scanned & bool(made.any())


def _noise_and_edges(
    surface: Surface,
    made: NDArray[np.bool_],
    bare: Surface,
    kept_as: Ints,
    seed: int,
    progress: Progress,
) -> tuple[float | None, HardEdges]:
    """Return the scan's noise [mm] if it can be told, and the hard edges that stand out from it.

    Noise is told by the mesh without needless vertices, which stray with their neighbours.
    """
    progress(0.0, "noise of the scan")
    of_scan = np.ones(len(surface.vertices), dtype=bool)
    of_scan[surface.faces[made]] = False
    leaving = np.ones(len(bare.vertices), dtype=bool)
    leaving[kept_as[of_scan]] = False
    leaving |= in_two_planes(bare)
    random = random_per_vertex(bare, seed)
    noise_mm = vertex_noise(bare, random, leaving=leaving, progress=span(progress, 0.0, 0.5))
    edges = find_hard_edges(
        surface, noise_mm=noise_mm or 0.0, edge_mm=float(np.median(edge_lengths(bare))), made=made,
        progress=span(progress, 0.5, 1.0),
    )  # fmt: skip
    return noise_mm, edges


def part_width(surface: Surface, areas_mm2: Floats) -> float:
    """Return twice the root-mean-square distance of the skin from its middle [mm].

    The diameter of a sphere; unlike the bounding box the same however the part is turned.
    """
    middle = np.average(surface.vertices, axis=0, weights=areas_mm2)
    squares = ((surface.vertices - middle) ** 2).sum(axis=1)
    return 2.0 * float(np.sqrt(np.average(squares, weights=areas_mm2)))


def cut_weight(times_form: Floats, areas_mm2: Floats) -> Floats:
    """Return (n,) weights from 0, plain skin, to 1, the finest detail on the piece [1].

    A smooth step from plain form up to the liveliest fiftieth of the skin, but no lower than
    what counts as full detail on any piece: a plain piece stays plain. The fiftieth goes by
    area, so a finer mesh does not move it.

    Parameters
    ----------
    times_form : (n,) float
        Slope above that of noise and of plain form, in units of plain form, in the
        octave where that is most [1].
    areas_mm2 : (n,) float
        Area round each vertex [mm^2].
    """
    order = np.argsort(times_form)
    share = np.cumsum(areas_mm2[order]) / areas_mm2.sum()
    place = min(int(np.searchsorted(share, 0.98)), len(order) - 1)
    top = max(_FULL_TIMES, float(times_form[order[place]]))
    x = np.clip((times_form - _PLAIN_TIMES) / (top - _PLAIN_TIMES), 0.0, 1.0)
    return x * x * (3.0 - 2.0 * x)


@dataclass(eq=False)
class _Sums:
    """Running sums over octaves."""

    width_mm: float
    seen_mm: float
    slope2: Floats
    above2: Floats
    score2: Floats
    relief2: Floats
    peak2: Floats
    finest_mm: Floats

    @classmethod
    def empty(cls, n: int, width_mm: float, seen_mm: float) -> _Sums:
        """Return sums of nothing; what is finer than `seen_mm` [mm] is no finest scale."""
        slope2, above2, score2, relief2, peak2 = np.zeros((5, n))
        finest_mm = np.full(n, np.nan)
        return cls(width_mm, seen_mm, slope2, above2, score2, relief2, peak2, finest_mm)

    def add(self, one: OctaveSpread) -> None:
        """Put an octave to the others.

        Heights and slopes add in squares, noise taken off each. Score and weight go by the octave
        that stands out most from plain form. Of form the slope grows with the scale, and as a long
        wave leaks into all finer octaves in that proportion too, it does not matter to the weight
        how many of them a mesh is fine enough to show. It matters to what is finer, which a
        thinned mesh has lost: to the score the finest octave is less dear, as it grows with the
        root of the scale only.
        """
        scale = one.octave.scale_mm
        factor2 = (slope_factor() / scale) ** 2
        noise = factor2 * one.noise_mm2
        excess = factor2 * one.variance_mm2 - noise
        self.slope2 += excess
        self.relief2 += excess / factor2
        form = (_FORM * scale / self.width_mm) ** 2
        shows = np.maximum(_SURE * noise, form)
        self.above2 = np.maximum(self.above2, np.maximum(excess - shows, 0.0) / form)
        # None of what noise makes, all of what chance hardly reaches.
        sure = np.clip((excess - noise) / np.maximum((_SURE - 1.0) * noise, _TINY), 0.0, 1.0)
        plain = _FORM**2 * scale * COARSEST_SHARE / self.width_mm
        self.score2 = np.maximum(self.score2, 1.0 + sure * np.maximum(excess, 0.0) / plain)
        if one.octave.l_mm > self.seen_mm:
            lively = (excess > shows) & (excess > self.peak2)
            self.peak2[lively] = excess[lively]
            self.finest_mm[lively] = max(scale, self.seen_mm)


def _words(
    noise_mm: float | None,
    edge_mm: float,
    finest_mm: float,
    seen_mm: float,
    coarsest_mm: float,
    zones: int,
) -> tuple[str, ...]:
    said = []
    if seen_mm < coarsest_mm:
        said.append(f"Nothing finer than {seen_mm:.2g} mm can be seen in this scan.")
    if seen_mm > finest_mm:
        said.append(
            f"Its triangles are {edge_mm:.2g} mm wide; texture under six of them cannot be told "
            "from noise."
        )
    if seen_mm >= coarsest_mm:
        said.append(
            "That is coarser than all that counts as detail: marked is where its skin is rougher "
            "than elsewhere, and a finer scan would show what is there."
        )
    said.append(
        f"{_noise_words(noise_mm, edge_mm)}; relief up to {coarsest_mm:.2g} mm across counts as "
        "detail, longer waves as form."
    )
    if not zones:
        said.append("No part of it stands out as detail.")
    return tuple(said)


def _noise_words(noise_mm: float | None, edge_mm: float) -> str:
    if noise_mm is None:
        return "The scan's own noise cannot be told from triangles so few and large"
    if noise_mm < NO_NOISE * edge_mm:
        return "The scan shows no noise of its own"
    return f"The scan's own noise is {noise_mm:.2g} mm (estimate)"


def _check(
    surface: Surface,
    finest_mm: float,
    coarsest_mm: float | None,
    band_mm: float | None,
    threshold: float,
) -> None:
    if not len(surface.faces) or not surface.face_areas.sum() > 0:
        raise ScanError("The surface has no triangle with an area, so it has no detail either.")
    if not (np.isfinite(finest_mm) and finest_mm > 0):
        raise JobError(f"The finest detail must be a length above zero; it is {finest_mm} mm.")
    if coarsest_mm is not None and not coarsest_mm > finest_mm:
        raise JobError(
            f"The coarsest detail ({coarsest_mm} mm) must be longer than the finest "
            f"({finest_mm} mm)."
        )
    if band_mm is not None and not band_mm >= 0:
        raise JobError(f"The band round hard edges cannot be {band_mm} mm wide.")
    if not 0 < threshold <= 1:
        raise JobError(
            f"The threshold must be above 0, which is plain skin, and 1 at most; it is {threshold}."
        )
