"""The bench sheet's pages in the order of the work: one source for HTML and PDF."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from partline.faces.drawings import ghosts
from partline.faces.figures import System, unbroken
from partline.faces.page_after import after_page
from partline.faces.page_card import card_page
from partline.faces.page_cut import cut_page, demould_page
from partline.faces.page_pieces import Desk
from partline.faces.page_resin import resin_page
from partline.faces.page_rubber import rubber_page
from partline.faces.page_sources import front_page, origin, sources_page
from partline.faces.page_stand import stand_page
from partline.faces.paper import PaperName
from partline.faces.run_parts import run_page
from partline.faces.sheet_blocks import Sheet, mapped
from partline.faces.words import american
from partline.plan import Plan
from partline.workshop.materials import defaults

Spelling = Literal["British", "US"]

PAGES = (front_page, stand_page, rubber_page, cut_page, demould_page, resin_page, after_page,
         card_page, run_page, sources_page)  # fmt: skip


@lru_cache(maxsize=1)
def bench_sheet(
    plan: Plan,
    *,
    paper: PaperName = "A4",
    system: System = "mm",
    spelling: Spelling = "British",
) -> Sheet:
    """Return the bench sheet of a plan; whatever draws it adds no word of its own.

    Kept, as it is drawn for a browser and as a PDF.

    Parameters
    ----------
    plan : Plan
    paper : {"A4", "Letter"}
        Drawings of true size are laid out for it.
    system : {"mm", "inches", "both"}
    spelling : {"British", "US"}
        What the user named stays as it is.
    """
    desk = Desk(plan, system, paper, ghosts(plan), defaults(plan.job.shop.defaults))
    pages = mapped(tuple(page(desk) for page in PAGES), unbroken)
    if spelling == "US":
        pages = mapped(pages, american)
    return Sheet(plan.job.name, origin(plan), pages)
