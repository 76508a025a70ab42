"""What is printed keeps its size: a bar of 100 mm on the sheet is one of 100 mm on the paper.

A printer that writes a PDF stands in for one with ink; pdfium draws what it wrote.
"""

from __future__ import annotations

import io

import numpy as np
import pypdfium2 as pdfium
import pytest
from qtpy.QtGui import QPageSize
from qtpy.QtPrintSupport import QPrinter
from qtpy.QtWidgets import QDialog
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from partline.errors import Cancelled, PrintError
from partline.faces.sheet_pdf import sheet_pdf
from partline.faces.viewer import printing
from partline.faces.workbench import planned_job

pytestmark = pytest.mark.screen
_DPI = 300


def _ruled(pages: int = 2, size_mm=(210, 297)) -> bytes:
    """Return pages with a bar of 100 mm both ways, 30 mm from the left and 40 from the foot.

    The two do not meet, or the width of one would add to the length of the other.
    """
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(size_mm[0] * mm, size_mm[1] * mm))
    for _ in range(pages):
        canvas.setLineWidth(0.3 * mm)
        canvas.line(30 * mm, 40 * mm, 130 * mm, 40 * mm)
        canvas.line(30 * mm, 50 * mm, 30 * mm, 150 * mm)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _printer(path, paper=QPageSize.A4) -> QPrinter:
    printer = QPrinter(QPrinter.HighResolution)
    printer.setResolution(_DPI)
    printer.setOutputFormat(QPrinter.PdfFormat)
    printer.setOutputFileName(str(path))
    printer.setPageSize(QPageSize(paper))
    return printer


def _dark(path, page: int = 0) -> np.ndarray:
    drawn = pdfium.PdfDocument(path)[page].render(scale=_DPI / 72, grayscale=True)
    return drawn.to_numpy().reshape(drawn.height, drawn.width) < 128


def _run(rows: np.ndarray) -> int:
    """Return the longest run of dark dots in any row."""
    padded = np.pad(rows, ((0, 0), (1, 1))).astype(int)
    return max(
        (int((np.flatnonzero(d == -1) - np.flatnonzero(d == 1)).max(initial=0))
         for d in np.diff(padded, axis=1)), default=0)  # fmt: skip


@pytest.mark.parametrize("paper", [QPageSize.A4, QPageSize.Letter])
def test_a_hundred_millimetres_stay_a_hundred_and_stay_in_their_place(qapp, tmp_path, paper):
    wide, high = QPageSize(paper).size(QPageSize.Millimeter).toTuple()
    target = tmp_path / "printed.pdf"
    assert printing.print_pages([_ruled(1, (wide, high))], _printer(target, paper)) == 1
    dark = _dark(target)
    # 100 mm at 300 dpi = 1181.1 dots (25.4 mm to the inch).
    assert _run(dark) == pytest.approx(1181.1, abs=2.5)
    assert _run(dark.T) == pytest.approx(1181.1, abs=2.5)
    rows, columns = np.nonzero(dark)
    assert columns.min() * 25.4 / _DPI == pytest.approx(30.0, abs=0.4)
    assert (dark.shape[0] - rows.max()) * 25.4 / _DPI == pytest.approx(40.0, abs=0.4)


def test_the_pages_of_a_range_and_pages_that_lie_across(qapp, tmp_path):
    printer = _printer(tmp_path / "some.pdf")
    printer.setFromTo(2, 3)
    across = _ruled(1, (297, 210))
    assert printing.print_pages([_ruled(2), across], printer) == 2
    sizes = [page.get_size() for page in pdfium.PdfDocument(tmp_path / "some.pdf")]
    assert sizes[0][0] < sizes[0][1]
    assert sizes[1][0] > sizes[1][1]
    assert _run(_dark(tmp_path / "some.pdf", 1)) == pytest.approx(1181.1, abs=2.5)


def test_a_range_beyond_the_end_and_a_printer_that_refuses(qapp, tmp_path):
    printer = _printer(tmp_path / "none.pdf")
    printer.setFromTo(7, 9)
    with pytest.raises(PrintError, match="only 2 pages"):
        printing.print_pages([_ruled(2)], printer)
    with pytest.raises(PrintError, match="does not take"):
        printing.print_pages([_ruled(2)], _printer(tmp_path / "nowhere" / "none.pdf"))


def test_a_stopped_print_stops(qapp, tmp_path):
    def stop(fraction, words):
        if "page 2" in words:
            raise Cancelled("Stopped.")

    with pytest.raises(Cancelled):
        printing.print_pages([_ruled(3)], _printer(tmp_path / "half.pdf"), stop)


def test_the_paper_is_the_one_in_the_printer(qapp, tmp_path):
    assert printing.paper_of(_printer(tmp_path / "a.pdf")) == "A4"
    assert printing.paper_of(_printer(tmp_path / "b.pdf", QPageSize.Letter)) == "Letter"
    assert printing.paper_of(_printer(tmp_path / "c.pdf", QPageSize.A5)) == "Letter"


def test_the_menu_prints_the_sheet_in_the_background(window, plan, qtbot, monkeypatch, tmp_path):
    target = tmp_path / "sheet.pdf"
    window.print_sheet()
    assert "no plan yet" in window.notice.words.text()
    window.bench.opened(tmp_path / "knob.ply", plan.master)
    window.bench.change(height_mm=50.0, front_said=True, mouth_said=True, asked=())
    window.bench.change(plan=plan, planned=planned_job(window.bench))
    monkeypatch.setattr(printing, "stills", lambda _: {})

    class Dialog(printing.QPrintDialog):
        def __init__(self, printer, parent):
            super().__init__(printer, parent)
            printer.setOutputFormat(QPrinter.PdfFormat)
            printer.setOutputFileName(str(target))

        def exec(self):
            return QDialog.Accepted

    monkeypatch.setattr(printing, "QPrintDialog", Dialog)
    window.print_sheet()
    qtbot.waitUntil(lambda: "went to" in window.notice.words.text(), timeout=30000)
    assert str(target) in window.notice.words.text()
    pages = len(pdfium.PdfDocument(target))
    assert pages == len(pdfium.PdfDocument(sheet_pdf(plan))) > 5
    assert window.notice.words.text().startswith(f"{pages} pages")
    qtbot.waitUntil(lambda: not window.jobs.working(), timeout=3000)
