"""Drawings as a PDF to be printed."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import TYPE_CHECKING, BinaryIO

from journal.drawing.letters import CAPITAL, font_file
from journal.drawing.model import Circle, Drawing, Line, Part, Pen, Words
from journal.drawing.sheets import Page, pages

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

#: Points to a millimetre.
POINT = 72.0 / 25.4
#: Width of a line [mm] and its dashes [mm], by what it is for.
PENS: dict[Pen, tuple[float, tuple[float, ...]]] = {
    Pen.CUT: (0.35, ()),
    Pen.THIN: (0.15, ()),
    Pen.FOLD: (0.2, (3.0, 2.0)),
    Pen.CENTRE: (0.15, (6.0, 1.5, 1.0, 1.5)),
    Pen.MARK: (0.2, ()),
}
_FONT = "DejaVuSans"


def write_pdf(drawings: Iterable[Drawing], stream: BinaryIO, paper: str) -> None:
    """Write drawings as sheets of one kind of paper, each at true size unless it is to be fitted on one sheet.

    Parameters
    ----------
    drawings : iterable of Drawing
        In order.
    stream : file
        Where to.
    paper : str
        One of :data:`journal.drawing.sheets.PAPERS`.
    """
    from reportlab.pdfgen.canvas import Canvas

    _register_font()
    drawings = tuple(drawings)
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(drawings[0].title if drawings else "")
    # A reader that follows this does not fit the page to the paper by itself.
    canvas.setViewerPreference("PrintScaling", "None")
    for drawing in drawings:
        for page in pages(drawing, paper):
            _write_page(canvas, page)
    canvas.save()


@cache
def _register_font() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    pdfmetrics.registerFont(TTFont(_FONT, str(font_file())))


def _write_page(canvas: Canvas, page: Page) -> None:
    canvas.setPageSize((page.width * POINT, page.height * POINT))
    canvas.setLineCap(0)
    canvas.setLineJoin(0)
    for layer in page.layers:
        canvas.saveState()
        if layer.window is not None:
            clip = canvas.beginPath()
            of = layer.window
            clip.rect(of.left * POINT, of.bottom * POINT, of.width * POINT, of.height * POINT)
            canvas.clipPath(clip, stroke=0, fill=0)
        for part in layer.parts:
            _write_part(canvas, part)
        canvas.restoreState()
    canvas.showPage()


def _write_part(canvas: Canvas, part: Part) -> None:
    if isinstance(part, Words):
        _write_words(canvas, part)
        return
    width, dashes = PENS[part.pen]
    canvas.setLineWidth(width * POINT)
    canvas.setDash([d * POINT for d in dashes])
    if isinstance(part, Circle):
        (x, y), r = part.centre, part.radius
        canvas.circle(x * POINT, y * POINT, r * POINT, stroke=1, fill=0)
        return
    canvas.drawPath(_path(canvas, part), stroke=1, fill=0)


def _path(canvas: Canvas, line: Line) -> object:
    path = canvas.beginPath()
    for i, (x, y) in enumerate(line.points):
        (path.lineTo if i else path.moveTo)(x * POINT, y * POINT)
    if line.closed:
        path.close()
    return path


def _write_words(canvas: Canvas, words: Words) -> None:
    canvas.saveState()
    canvas.translate(words.at[0] * POINT, words.at[1] * POINT)
    canvas.rotate(words.turn)
    canvas.setFont(_FONT, words.height / CAPITAL * POINT)
    write = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    write[words.anchor](0, 0, words.text)
    canvas.restoreState()
