"""The family of errors: each says what is wrong, where, how many, and what to do."""

from __future__ import annotations


class PartlineError(Exception):
    """Root of every error a user can cause or mend; its text is one clear paragraph."""


class Cancelled(PartlineError):
    """Raised by a progress callable to stop long work; nothing has been written."""


class UnitError(PartlineError):
    """A length, mass, volume or the like that cannot be read, or that has no unit."""


class JobError(PartlineError):
    """A job file (or an option) that cannot be used; the text names the key and the line."""


class ScanError(PartlineError):
    """A mesh file that cannot be read: missing, empty, not a mesh, or broken numbers."""


class NotSolid(PartlineError):
    """A mesh whose volume would be a guess; the text names each fault and its place."""


class StandError(PartlineError):
    """The master cannot stand as asked, or the mouth is not where it can be."""


class CavityError(PartlineError):
    """A cavity without an outlet, an open surface, or a direction of no length."""


class NoPath(PartlineError):
    """No cut line leads from the mouth to where it must go; both parts are named."""


class WorkshopError(PartlineError):
    """A container, mix or run that cannot be: too small, negative, above a rating."""


class LogError(PartlineError):
    """A log that belongs to another job, runs backwards or cannot be written; names the line."""


class PlanFileError(PartlineError):
    """A plan folder that cannot be opened or written."""


class PrintError(PartlineError):
    """A printer does not take the pages."""


class MissingExtra(PartlineError):
    """Something optional is not installed; the text names the command that installs it."""


class WorkEnded(PartlineError):
    """A process that did a part of the work ended before it was done."""


class InternalError(PartlineError):
    """A fault of partline itself: a check inside a computation failed."""
