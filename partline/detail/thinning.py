"""A mesh of a quarter of the triangles.

The library keeps its working memory, a quarter of a kilobyte a triangle, until its process ends:
of a large mesh the work is done in a process of its own.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np

from partline.apart import run_apart
from partline.errors import InternalError
from partline.geometry.surface import Floats, Ints
from partline.memory import LARGE
from partline.progress import Progress, silent, span

# How fast the library lets dearer edges go: the slowest that halves a rough scan, too.
_PATIENT = 5
_USUAL_S = 10.0


def quartered(
    points: Floats, faces: Ints, *, progress: Progress = silent, words: str = ""
) -> tuple[Floats, Ints, Ints]:
    """Return points and faces of a mesh of a quarter of the triangles, and where vertices went.

    Parameters
    ----------
    points : (n, 3) float64
        In edges: the library's thresholds are lengths without a unit [1].
    faces : (m, 3) int32
    progress : Progress
    words : str
        What it is told.

    Returns
    -------
    points : (k, 3) float64
    faces : (l, 3) int32
    into : (n,) int32
        The vertex of the new mesh that took in each of the old.

    Raises
    ------
    InternalError
        If the other process ends without an answer.
    """
    work = _here if len(points) < LARGE else _elsewhere
    return work(points, faces, progress, words)


def _here(points: Floats, faces: Ints, progress: Progress, words: str) -> tuple[Floats, Ints, Ints]:
    into = np.arange(len(points), dtype=np.int32)
    for half in range(2):
        points, faces, taken = _halved(points, faces, span(progress, half / 2, 1.0), words)
        into = taken[into]
    return points, faces, into


def _halved(
    points: Floats, faces: Ints, progress: Progress, words: str
) -> tuple[Floats, Ints, Ints]:
    """Return points and faces of a mesh of half the triangles, and what each vertex went into."""
    import fast_simplification

    progress(0.0, words)
    _, _, collapses = fast_simplification.simplify(
        points, faces, target_reduction=0.5, agg=_PATIENT, return_collapses=True
    )
    progress(0.25, words)
    points, faces, into = fast_simplification.replay_simplification(points, faces, collapses)
    return points, faces, np.asarray(into, dtype=np.int32)


def _elsewhere(
    points: Floats, faces: Ints, progress: Progress, words: str
) -> tuple[Floats, Ints, Ints]:
    with tempfile.TemporaryDirectory(prefix="partline-") as folder:
        task, answer = Path(folder) / "task.npz", Path(folder) / "answer.npz"
        np.savez(task, points=points, faces=faces)
        command = [sys.executable, "-m", "partline.detail.thinning", str(task), str(answer)]
        status, last = run_apart(command, progress=progress, words=words, usual_s=_USUAL_S)
        if status != 0:
            raise InternalError(
                f"Thinning the mesh for the coarse octaves ended early ({last or 'no reason'}). "
                "There may be too little memory; close other programs and try again."
            )
        with np.load(answer) as found:
            return found["points"], found["faces"], found["into"]


def main(task: str, answer: str) -> None:
    """Thin the mesh of a task and write the answer."""
    with np.load(task) as given:
        points, faces = given["points"], given["faces"]
    points, faces, into = _here(points, faces, silent, "")
    np.savez(answer, points=points, faces=faces, into=into)


if __name__ == "__main__":
    main(*sys.argv[1:])
