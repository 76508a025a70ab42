"""What the sculptor says: the answer to each question, by button, by click or typed."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from partline.errors import JobError, PartlineError
from partline.faces.keeping_cut import kept_cut, unkept_cut
from partline.faces.poses import side_name, tipped
from partline.faces.sizing import LARGE_MM, SMALL_MM, front_toward, scale_measured, tall_as
from partline.faces.vent_places import vents_freed
from partline.faces.view import View
from partline.faces.viewer.pane import Pane
from partline.faces.viewer.prompt import Prompt
from partline.faces.viewer.rows import Notice
from partline.faces.workbench import Workbench, drawn_anew
from partline.geometry.surface import Floats
from partline.job import MouthPart
from partline.units import length_mm


class Answers:
    """Takes answers to a workbench's questions, and says what is wrong with one."""

    def __init__(self, bench: Workbench, prompt: Prompt, pane: Pane, notice: Notice) -> None:
        self._bench, self._prompt, self._pane, self._notice = bench, prompt, pane, notice

    def height(self) -> None:
        """Take the height, or the distance of two points, that was typed."""
        bench, words = self._bench, self._prompt.height_words()
        try:
            height = length_mm(words)
        except PartlineError as fault:
            self._wrong(str(fault) if words else "Type a length first, for example 62 mm.")
            return
        if height <= 0:
            self._wrong(f'"{words}" cannot be: a length must be more than nothing.')
            return
        scale = None
        if bench.measured is not None:
            try:
                scale = scale_measured(bench, height)
            except JobError as fault:
                self._wrong(str(fault))
                return
            height = scale * tall_as(bench, bench.up)
        if not 0.5 <= height <= 5000.0:
            self._wrong("A piece can be from half a millimetre to 5 metres tall. Check the unit.")
            return
        self._notice.hide()
        if not SMALL_MM <= height <= LARGE_MM:
            size = "less than 5 mm" if height < SMALL_MM else "more than a metre"
            self._notice.say(f"That is {size} tall. Is the unit right?", trouble=False)
        bench.change(height_mm=height, measured=None, scale=scale)

    def front_is_seen(self) -> None:
        """Take the side that looks at the viewer as the front."""
        bench = self._bench
        seen = bench.turn().T @ self._pane.eye()
        bench.change(front=side_name(seen, square_to=bench.up), front_said=True, view=View())

    def mouth_is_base(self) -> None:
        """Fill it through the base."""
        self._bench.change(mouth=None, mouth_said=True, base=self._filled_through_base())

    def ask_mouth(self) -> None:
        """Ask again where the resin goes in."""
        self._bench.change(mouth=None, mouth_said=False, base=self._filled_through_base())

    def _filled_through_base(self) -> Any:
        base = self._bench.base
        if base is None or base.stand.mouth == MouthPart():
            return base
        stand = base.stand.model_copy(update={"mouth": MouthPart()})
        return base.model_copy(update={"stand": stand})

    def clicked(self, face: int, shares: Floats) -> None:
        """Take a click on the piece as the answer to the question that is open."""
        bench = self._bench
        if face < 0:
            self._notice.say("That was beside the piece. Click on the piece itself.", trouble=False)
            return
        pick = bench.pointed_at(face, shares)
        if bench.measured is not None:
            bench.change(measured=(*bench.measured, pick))
        elif bench.question() == "front":
            bench.change(front=front_toward(bench, pick), front_said=True, view=View())
            self._notice.say(
                "The piece now looks at you with its front. If that is not the front, press "
                "“Change the front…”.", trouble=False,
            )  # fmt: skip
        elif bench.question() == "mouth":
            bench.change(mouth=pick, mouth_said=True)
            self._notice.say(
                "The mouth is marked in green on the piece. If that is not the place, press "
                "“Change the mouth…”.", trouble=False,
            )  # fmt: skip

    def tip(self, way: Any) -> None:
        """Lay the piece over, or turn it round, by a quarter."""
        bench = self._bench
        up, front = tipped(bench.up, bench.front, way)
        # A typed height is the height as it stands; a measured size stays what it is.
        scale, height = bench.scale, bench.height_mm
        if scale is not None:
            height = scale * tall_as(bench, up)
        bench.change(up=up, front=front, height_mm=height, mouth=None, mouth_said=False,
                     base=self._filled_through_base(), view=View())  # fmt: skip

    def cuts(self, number: object) -> None:
        """Ask for another number of cuts."""
        base = self._bench.base
        if base is not None and base.cut.cuts != number:
            cut = base.cut.model_copy(update={"cuts": number, "sides": ()})
            self._bench.change(base=base.model_copy(update={"cut": cut}))

    def beside_piece(self, way: str) -> None:
        """Have the knife go smooth or jagged next to the piece."""
        base = self._bench.base
        if base is not None and base.cut.next_to_piece != way:
            cut = base.cut.model_copy(update={"next_to_piece": way})
            self._bench.change(base=base.model_copy(update={"cut": cut}))

    def keep_cut(self, which: int) -> None:
        """Keep an alternative of the plan's cut."""
        bench = self._bench
        if bench.plan is not None and bench.base is not None:
            view = replace(bench.view, choice=None)
            bench.change(base=kept_cut(bench.plan, bench.base, which), view=view)

    def free_cut(self) -> None:
        """Let the lines run where the plan finds best."""
        if self._bench.base is not None:
            self._bench.change(base=unkept_cut(self._bench.base))

    def free_vents(self) -> None:
        """Put the vents where the plan finds best."""
        if self._bench.base is not None:
            self._bench.change(base=vents_freed(self._bench.base))

    def draw_anew(self, cell_mm: float) -> None:
        """Draw the new surface round the scan with cells of a size [mm]."""
        if self._bench.base is not None:
            self._bench.change(base=drawn_anew(self._bench.base, cell_mm))

    def _wrong(self, words: str) -> None:
        self._notice.say(words, trouble=True)
