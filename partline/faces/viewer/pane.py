"""The 3D pane: shows a scene, turns with the mouse, and says which face was clicked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

import numpy as np
from pyvistaqt import QtInteractor
from qtpy.QtCore import QEvent, QObject, QPointF, Qt, QTimer
from qtpy.QtWidgets import QFrame, QVBoxLayout, QWidget

from partline.faces.actor import Actor
from partline.faces.drawing import aim, draw, paper
from partline.faces.framing import frame, look_at, word_room
from partline.geometry.rays import Rays
from partline.geometry.surface import Floats, Surface

Eye = tuple[float, float, float]

# A press that moves further than this before it is let go turns the piece, and picks nothing.
_CLICK_PX = 4.0
# In window points: the view itself knows how many dots of a fine screen make one.
_TEXT_PX = 15

# Arrow keys turn the piece in steps, plus and minus bring it nearer: (round, over, nearer).
_TURNS = {
    Qt.Key_Left: (-10.0, 0.0, 1.0), Qt.Key_Right: (10.0, 0.0, 1.0), Qt.Key_Up: (0.0, 10.0, 1.0),
    Qt.Key_Down: (0.0, -10.0, 1.0), Qt.Key_Plus: (0.0, 0.0, 0.9), Qt.Key_Minus: (0.0, 0.0, 1.1),
    Qt.Key_Equal: (0.0, 0.0, 0.9),
}  # fmt: skip


class Pane(QFrame):
    """A pyvista view that draws actors and asks again for them when the eye has moved.

    Parameters
    ----------
    turned : callable
        Called with the new eye after the mouse has turned the piece.
    picked : callable
        Called with a face number (-1: beside the piece) and the (3,) shares of its corners
        after a click, while there is a surface to pick on.
    """

    def __init__(
        self, turned: Callable[[Eye], None], picked: Callable[[int, Floats], None],
        parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._turned, self._picked = turned, picked
        self._pressed: QPointF | None = None
        self.grab: Callable[[str, float, float], bool] | None = None
        self._holding = False
        self._surface: Surface | None = None
        # The tree of rays takes half a second on a big scan: made beside the window, once.
        self._rays: Future[Rays] | None = None
        self._beside = ThreadPoolExecutor(max_workers=1)
        self.shown: Sequence[Actor] = ()
        self._picks, self._leads = False, False
        self._invites = False
        self.view: Any = QtInteractor(self, auto_update=False)
        # The window takes dropped files; the view would only add them to the picture.
        self.view.setAcceptDrops(False)
        self.view.installEventFilter(self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.view)
        # Else the first look at the camera draws everything twice before it is aimed.
        self.view.renderer.camera.is_set = True
        self.view.enable_parallel_projection()
        self.view.enable_terrain_style(mouse_wheel_zooms=True)
        # Many changes in a row become one drawing.
        self._later = QTimer(self, singleShot=True, interval=0)
        self._later.timeout.connect(self.view.update)
        self._settled = QTimer(self, singleShot=True, interval=60)
        self._settled.timeout.connect(self._tell_eye)
        self.ground()

    def ground(self) -> None:
        """Take the ground's colour from the platform: light or dark."""
        paper(self.view, dark=self.palette().window().color().lightness() < 128)
        draw(self.shown, self.view, text_px=_TEXT_PX)
        self._later.start()

    def show_actors(self, shown: Sequence[Actor], *, eye: Eye | None = None) -> None:
        """Draw a scene; with an eye, also look at all of it from there."""
        self._invite(not shown)
        self.shown = shown
        draw(shown, self.view, text_px=_TEXT_PX)
        if eye is not None and shown:
            aspect = max(self.width(), 1) / max(self.height(), 1)
            aim(self.view, look_at(shown, eye, aspect=aspect))
        self.view.renderer.ResetCameraClippingRange()
        self._later.start()

    def holds(self, shown: Sequence[Actor]) -> bool:
        """Tell whether all of a scene and its words lies in the picture as it is looked at now."""
        if not shown:
            return True
        camera = self.view.camera
        along, up = np.array(camera.GetDirectionOfProjection()), np.array(camera.GetViewUp())
        right = np.cross(along, up) / np.linalg.norm(np.cross(along, up))
        axes = (right, np.cross(right, along), -along)
        middle, half = frame(shown, axes)
        off = np.abs(middle[:2] - np.array(axes[:2]) @ np.array(camera.GetFocalPoint()))
        high = camera.GetParallelScale()
        wide = high * (max(self.width(), 1) / max(self.height(), 1) - word_room(shown))
        return bool((off + half[:2] <= (wide, high)).all())

    def _invite(self, empty: bool) -> None:
        """Say in the empty picture what can be dropped there."""
        if empty == self._invites:
            return
        self._invites = empty
        if not empty:
            self.view.remove_actor("invitation", render=False)
            return
        words = self.view.add_text("Drop a scan here", position=(0.5, 0.5), viewport=True,
                                   color="grey", font_size=16, name="invitation",
                                   render=False)  # fmt: skip
        words.GetTextProperty().SetJustificationToCentered()

    def pick_on(self, surface: Surface | None, *, leads: bool = False) -> None:
        """Report clicks on this surface from now on; None to report none.

        Parameters
        ----------
        leads : bool
            Only a drag that begins on something to drag is reported; anything else turns.
        """
        # What was picked on last is kept: to ready it again takes longer than a drawing.
        if surface is not None and surface is not self._surface:
            self._surface, self._rays = surface, self._beside.submit(Rays, surface)
        self._picks = surface is not None and not leads
        self._leads = leads
        self.point_with(Qt.CrossCursor if self._picks else Qt.ArrowCursor)

    def point_with(self, cursor: Any) -> None:
        """Show the pointer as this over the picture."""
        if self.view.cursor().shape() != cursor:
            self.view.setCursor(cursor)

    def per_point(self) -> float:
        """Return what a window point of the picture is on the piece [mm]."""
        return 2.0 * float(self.view.camera.GetParallelScale()) / max(self.view.height(), 1)

    def eye(self) -> Eye:
        """Return the direction from the piece toward the eye, unit length."""
        toward = -np.array(self.view.camera.GetDirectionOfProjection())
        x, y, z = (float(v) for v in toward)
        return x, y, z

    def face_at(self, x: float, y: float) -> tuple[int, Floats]:
        """Return the face under a point of the pane, or -1, and the shares of its corners there.

        Parameters
        ----------
        x, y : float
            From the upper left corner [window points].
        """
        if self._surface is None or self._rays is None:
            return -1, np.full(3, 1 / 3)
        origin, direction = self.ray(x, y)
        distance, faces = self._rays.result().first(origin, direction)
        face = int(faces[0])
        if face < 0:
            return -1, np.full(3, 1 / 3)
        corners = self._surface.vertices[self._surface.faces[face]]
        place = origin + distance[0] * direction
        # Least squares, for a thin face too: the shares that come nearest and add up to one.
        sides = np.column_stack([corners[1] - corners[0], corners[2] - corners[0]])
        first, second = np.linalg.lstsq(sides, place - corners[0], rcond=None)[0]
        return face, np.array([1 - first - second, first, second])

    def ray(self, x: float, y: float) -> tuple[Floats, Floats]:
        """Return the line of sight through a point of the pane: a point before all, and along."""
        camera = self.view.camera
        along = np.array(camera.GetDirectionOfProjection())
        up = np.array(camera.GetViewUp())
        right = np.cross(along, up)
        right /= np.linalg.norm(right)
        up = np.cross(right, along)
        per_point = self.per_point()
        middle = np.array(camera.GetFocalPoint())
        across = (x - self.view.width() / 2) * per_point
        above = (self.view.height() / 2 - y) * per_point
        far = 4.0 * (np.linalg.norm(self._surface.extents) if self._surface else 1.0)
        far += float(np.linalg.norm(middle))
        return middle + across * right + above * up - far * along, along

    def shut(self) -> None:
        """Stop the timers and let go of the view; before the window closes."""
        self._later.stop()
        self._settled.stop()
        self._beside.shutdown(cancel_futures=True)
        self.view.removeEventFilter(self)
        self.view.close()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Tell clicks from turning; the view still gets every event."""
        if watched is self.view and event.type() in (QEvent.KeyPress, QEvent.KeyRelease):
            # The view's own letters (wire frame, quit, ...) are not this program's.
            if event.type() == QEvent.KeyPress and event.key() in _TURNS:
                self._turn_by(*_TURNS[event.key()])
                return True
            event.ignore()
            return True
        if watched is self.view and self.grab is not None and self._grabbed(event):
            return True
        if watched is self.view and event.type() == QEvent.MouseButtonPress:
            left = event.button() == Qt.LeftButton
            self._pressed = event.position() if left else None
        elif watched is self.view and event.type() == QEvent.MouseButtonRelease:
            self._settled.start()
            start, self._pressed = self._pressed, None
            if start is not None and self._picks:
                moved = event.position() - start
                if abs(moved.x()) + abs(moved.y()) <= _CLICK_PX:
                    self._picked(*self.face_at(start.x(), start.y()))
        return False

    def _turn_by(self, around: float, over: float, nearer: float) -> None:
        camera = self.view.camera
        camera.Azimuth(around)
        # Not over the pole, where left and right would change places.
        if abs(self.eye()[2] + np.sin(np.radians(over))) < 0.98:
            camera.Elevation(over)
        camera.OrthogonalizeViewUp()
        camera.SetParallelScale(camera.GetParallelScale() * nearer)
        self.view.renderer.ResetCameraClippingRange()
        self._later.start()
        self._settled.start()

    def _grabbed(self, event: QEvent) -> bool:
        """Hand a drag with the left button to whoever has grabbed it; True if it was one."""
        kinds = {QEvent.MouseButtonPress: "press", QEvent.MouseMove: "move",
                 QEvent.MouseButtonRelease: "release"}  # fmt: skip
        kind = kinds.get(event.type())
        if kind is None or self.grab is None:
            return False
        at = event.position().x(), event.position().y()
        if kind == "move" and not event.buttons():
            if self._leads:
                over = self.grab("hover", *at)
                self.point_with(Qt.OpenHandCursor if over else Qt.ArrowCursor)
            return False
        buttons = event.buttons() if kind == "move" else event.button()
        moves = kind == "press" and event.modifiers() & Qt.ShiftModifier
        if moves or not buttons & Qt.LeftButton:
            return False
        if kind == "press":
            self._holding = self.grab(kind, *at)
            return self._holding
        taken, self._holding = self._holding, self._holding and kind != "release"
        if taken:
            self.grab(kind, *at)
        return taken

    def place_at(self, x: float, y: float) -> Floats | None:
        """Return the (3,) place on the surface to pick on under a point of the pane, or None."""
        face, shares = self.face_at(x, y)
        if face < 0 or self._surface is None:
            return None
        return shares @ self._surface.vertices[self._surface.faces[face]]

    def _tell_eye(self) -> None:
        self._turned(self.eye())
