"""Print the bench sheet and the cutting card: the very pages of the PDFs, at true size.

The pages are drawn from the PDF by pdfium and laid on the paper millimetre for millimetre; a
printer's own margin only hides what lies in it, and never shrinks the page.
"""

from __future__ import annotations

from collections.abc import Sequence

import pypdfium2 as pdfium
from qtpy.QtCore import QRectF
from qtpy.QtGui import QImage, QPageLayout, QPageSize, QPainter
from qtpy.QtPrintSupport import QPrintDialog, QPrinter
from qtpy.QtWidgets import QDialog, QWidget

from partline.errors import Cancelled, MissingExtra, PrintError
from partline.faces.card_pdf import card_pdf
from partline.faces.figures import System
from partline.faces.paper import PAPERS, PaperName
from partline.faces.picture import stills
from partline.faces.sheet_pdf import sheet_pdf
from partline.faces.viewer.jobs import Jobs
from partline.faces.viewer.rows import Notice
from partline.plan import Plan
from partline.progress import Progress, silent, span

# Fine lines and small type stay sharp; twice as many dots would fill a computer's memory.
_MOST_DPI = 300.0


def pages_to_print(
    plan: Plan, progress: Progress = silent, *, paper: PaperName = "A4", system: System = "mm"
) -> tuple[bytes, ...]:
    """Return the PDFs that are printed: the sheet, and the cutting card where there is one."""
    progress(0.1, "drawing the pictures")
    try:
        drawn = stills(plan)
    except MissingExtra:
        drawn = {}
    progress(0.7, "setting the sheet")
    sheet = sheet_pdf(plan, pictures=drawn, paper=paper, system=system)
    progress(0.9, "drawing the cutting card")
    return (sheet,) if plan.card is None else (sheet, card_pdf(plan, paper=paper))


def print_pages(pdfs: Sequence[bytes], printer: QPrinter, progress: Progress = silent) -> int:
    """Print the pages of some PDFs at true size and return how many.

    Parameters
    ----------
    printer : QPrinter
        With its page range and copies as chosen; a range counts through all the PDFs.

    Raises
    ------
    PrintError
        If the printer does not take them.
    Cancelled
        If `progress` says so; what has not left for the printer yet never does.
    """
    documents = [pdfium.PdfDocument(data) for data in pdfs]
    pages = [document[k] for document in documents for k in range(len(document))]
    first, last = printer.fromPage() or 1, printer.toPage() or len(pages)
    chosen = pages[first - 1 : last]
    if not printer.supportsMultipleCopies():
        chosen = chosen * printer.copyCount()
    if not chosen:
        raise PrintError(f"There are only {len(pages)} pages, none of them from {first} on.")
    printer.setFullPage(True)
    _turn(printer, chosen[0])
    painter = QPainter()
    if not painter.begin(printer):
        raise PrintError(
            f"The printer {printer.printerName() or printer.outputFileName()} does not take the "
            "pages. Is it switched on, or the file open elsewhere?"
        )
    try:
        for k, page in enumerate(chosen):
            progress(k / len(chosen), f"printing page {k + 1} of {len(chosen)}")
            if k:
                _turn(printer, page)
                printer.newPage()
            _lay(page, painter, float(printer.resolution()))
    except Cancelled:
        printer.abort()
        raise
    finally:
        painter.end()
    return len(chosen)


def _turn(printer: QPrinter, page: pdfium.PdfPage) -> None:
    wide, high = page.get_size()
    upright = QPageLayout.Portrait if high >= wide else QPageLayout.Landscape
    printer.setPageOrientation(upright)


def _lay(page: pdfium.PdfPage, painter: QPainter, dpi: float) -> None:
    """Lay a page on the paper's corner, a millimetre for a millimetre."""
    wide, high = page.get_size()
    drawn = page.render(scale=min(dpi, _MOST_DPI) / 72.0, rev_byteorder=True)
    data = drawn.buffer
    kind = QImage.Format_RGB888 if drawn.n_channels == 3 else QImage.Format_RGBX8888
    image = QImage(bytes(data), drawn.width, drawn.height, drawn.stride, kind)
    painter.drawImage(QRectF(0.0, 0.0, wide * dpi / 72.0, high * dpi / 72.0), image)


def paper_of(printer: QPrinter) -> PaperName:
    """Return the paper the pages are set for: the one nearest to what lies in the printer."""
    size = printer.pageLayout().pageSize().size(QPageSize.Millimeter)
    return min(PAPERS, key=lambda name: abs(PAPERS[name][0] - size.width())
               + abs(PAPERS[name][1] - size.height()))  # fmt: skip


class PrintJob:
    """Asks which printer, and prints in the background."""

    def __init__(self, plan: Plan, jobs: Jobs, notice: Notice, window: QWidget) -> None:
        self._plan, self._jobs, self._notice, self._window = plan, jobs, notice, window

    def ask(self, system: System) -> None:
        """Show the platform's print dialog, and print when it says so."""
        printer = QPrinter(QPrinter.HighResolution)
        printer.setResolution(round(_MOST_DPI))
        printer.setDocName(self._plan.job.name)
        dialog = QPrintDialog(printer, self._window)
        dialog.setOption(QPrintDialog.PrintPageRange, True)
        if dialog.exec() == QDialog.Accepted:
            self._print(printer, system)

    def _print(self, printer: QPrinter, system: System) -> None:
        plan = self._plan

        def work(progress: Progress) -> int:
            setting, laying = span(progress, 0.0, 0.5), span(progress, 0.5, 1.0)
            pdfs = pages_to_print(plan, setting, paper=paper_of(printer), system=system)
            return print_pages(pdfs, printer, laying)

        def told(count: int) -> None:
            where = printer.outputFileName() or printer.printerName()
            self._notice.say(
                f"{count} pages went to {where}, at true size. Lay a rule on the bar of 100 mm "
                "before you trust a drawing.", trouble=False,
            )  # fmt: skip

        self._notice.hide()
        self._jobs.start(work, told)
