"""The log: what each pull gave, kept as plain text beside the job."""

from __future__ import annotations

import datetime
from dataclasses import dataclass


@dataclass(frozen=True)
class Pull:
    """One casting as it came out.

    Attributes
    ----------
    line : int
        Where it stands in the log, from 1; 0 while it is not written yet.
    date : datetime.date
    mould : int
        Which mould, from 1.
    good : bool
    voids : tuple of int or None
        Numbers of the places where air had stayed, as the sheet numbers them; 0 for a place
        that has no number; empty where none was seen, None where nobody looked.
    length_mm : float or None
        The measured length [mm].
    pigment_g : float or None
        Pigment per 100 g of resin [g].
    note : str
    places : str
        Mark of the numbering that the voids follow; empty where the log does not say.
    """

    line: int
    date: datetime.date
    mould: int
    good: bool
    voids: tuple[int, ...] | None = None
    length_mm: float | None = None
    pigment_g: float | None = None
    note: str = ""
    places: str = ""


@dataclass(frozen=True)
class Fault:
    """A line of the log that could not be read; all the others were.

    Attributes
    ----------
    line : int
        From 1.
    text : str
        What stands there, cut short.
    words : str
        What is wrong, and what to do.
    """

    line: int
    text: str
    words: str


@dataclass(frozen=True)
class Log:
    """All pulls of a job so far.

    Attributes
    ----------
    name : str
        Of the file.
    job : str
        The job it belongs to.
    pulls : tuple of Pull
        In the order of the file.
    faults : tuple of Fault
    """

    name: str
    job: str
    pulls: tuple[Pull, ...]
    faults: tuple[Fault, ...]
