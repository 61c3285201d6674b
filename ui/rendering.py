"""Sheets of marks as SVG, PDF and PNG.

The PNG is the PDF's own marks, rasterised by PDFium over the untouched pixels
of the picture, so that the three formats always show the same.
"""

from __future__ import annotations

import base64
import io
from functools import cache
from typing import Any
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from ui.marks import PAPER, Circle, Mark, Path, Sheet, Words

__all__ = ["FONT", "FONT_BOLD", "draw", "pdf", "png", "register_fonts", "svg"]

FONT, FONT_BOLD = "Vera", "VeraBd"
#: Long side of a PDF page in points (A4).
_PAGE = 842.0
_PLATE_OPACITY = 0.88
#: Twins in width of the faces that the PDF embeds.
_FAMILY = "'Bitstream Vera Sans', 'DejaVu Sans', Verdana, sans-serif"


def svg(sheet: Sheet) -> str:
    """Give the sheet as a stand-alone SVG document with the picture inside."""
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" width="{sheet.width:g}" '
        f'height="{sheet.height:g}" viewBox="0 0 {sheet.width:g} {sheet.height:g}" '
        f'font-family="{_FAMILY}">',
        f"<title>{_xml(sheet.title)}</title>",
        f'<rect width="{sheet.width:g}" height="{sheet.height:g}" fill="{PAPER}"/>',
    ]
    if sheet.picture is not None:
        width, height = sheet.picture_size
        data = base64.b64encode(sheet.picture).decode()
        parts.append(
            f'<image width="{width:g}" height="{height:g}" preserveAspectRatio="none" '
            f'href="data:image/jpeg;base64,{data}"/>'
        )
    parts += [_svg_mark(mark) for mark in sheet.marks]
    return "\n".join([*parts, "</svg>\n"])


def _xml(text: str) -> str:
    """Escape a text; characters that XML cannot hold are left out."""
    return escape("".join(letter for letter in text if letter.isprintable()))


def _svg_mark(mark: Mark) -> str:
    if isinstance(mark, Path):
        return _svg_path(mark)
    if isinstance(mark, Circle):
        x, y = mark.centre
        return (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{mark.radius:.1f}" stroke="{mark.colour}" '
            f'stroke-width="{mark.width:.1f}" fill="{mark.fill or "none"}"/>'
        )
    return _svg_words(mark)


def _svg_path(mark: Path) -> str:
    points = " L".join(f"{x:.1f} {y:.1f}" for x, y in mark.points)
    shape = f"M{points}{' Z' if mark.closed else ''}"
    fill = mark.fill or "none"
    look = 'stroke-linejoin="round" stroke-linecap="butt"'
    text = ""
    if mark.halo:
        text = (
            f'<path d="{shape}" fill="{PAPER if mark.fill else "none"}" stroke="{PAPER}" '
            f'stroke-width="{mark.width + 2 * mark.halo:.1f}" stroke-opacity="0.85" {look}/>'
        )
    dash = f' stroke-dasharray="{mark.dash[0]:.1f} {mark.dash[1]:.1f}"' if mark.dash else ""
    pen = f'stroke="{mark.colour}" stroke-width="{mark.width:.1f}"' if mark.width else ""
    faint = f' opacity="{mark.opacity:g}"' if mark.opacity < 1 else ""
    return f'{text}<path d="{shape}" fill="{fill}" {pen}{dash}{faint} {look}/>'


def _svg_words(mark: Words) -> str:
    x, y = mark.at
    turn = f"rotate({-mark.angle_deg:.2f} {x:.1f} {y:.1f})"
    text = f'<g transform="{turn}">'
    if mark.plate is not None:
        width, height = mark.plate
        edge = f' stroke="{mark.edge}" stroke-width="{0.09 * mark.size:.2f}"' if mark.edge else ""
        text += (
            f'<rect x="{x - width / 2:.1f}" y="{y - height / 2:.1f}" width="{width:.1f}" '
            f'height="{height:.1f}" rx="{0.25 * mark.size:.1f}" fill="{PAPER}" '
            f'fill-opacity="{_PLATE_OPACITY}"{edge}/>'
        )
    weight = ' font-weight="bold"' if mark.bold else ""
    anchor = "start" if mark.start else "middle"
    return text + (
        f'<text x="{x:.1f}" y="{y + 0.36 * mark.size:.1f}" font-size="{mark.size:.1f}" '
        f'text-anchor="{anchor}" fill={quoteattr(mark.colour)}{weight}>'
        f"{_xml(mark.text)}</text></g>"
    )


def pdf(sheet: Sheet) -> bytes:
    """Give the sheet as a PDF page: the picture with vector marks over it."""
    scale = _PAGE / max(sheet.width, sheet.height)
    return _page(sheet, scale, with_picture=True)


def png(sheet: Sheet) -> bytes:
    """Give the sheet as a PNG of `width` by `height` pixels, the picture's own pixels below."""
    import pypdfium2
    from PIL import Image

    size = (round(sheet.width), round(sheet.height))
    image = Image.new("RGB", size, PAPER)
    if sheet.picture is not None:
        under = Image.open(io.BytesIO(sheet.picture)).convert("RGB")
        width, height = (round(side) for side in sheet.picture_size)
        image.paste(under if under.size == (width, height) else under.resize((width, height)))
    document = pypdfium2.PdfDocument(_page(sheet, 1.0, with_picture=False))
    # Two steps a pixel in each direction would cost four times the time and show no more.
    bitmap = document[0].render(scale=1.0, fill_color=(0, 0, 0, 0), rev_byteorder=True)
    marks = Image.fromarray(np.array(bitmap.to_numpy()), "RGBA").resize(size)
    document.close()
    image.paste(marks, mask=marks.getchannel("A"))
    buffer = io.BytesIO()
    image.save(buffer, "PNG", compress_level=1)  # a photo hardly shrinks any further
    return buffer.getvalue()


def _page(sheet: Sheet, scale: float, *, with_picture: bool) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    register_fonts()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(sheet.width * scale, sheet.height * scale), invariant=1)
    canvas.setTitle(sheet.title)
    canvas.scale(scale, scale)
    draw(canvas, sheet, with_picture=with_picture)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@cache
def register_fonts() -> None:
    """Make the two faces known to reportlab, which ships them."""
    from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in ((FONT, "Vera.ttf"), (FONT_BOLD, "VeraBd.ttf"), ("VeraIt", "VeraIt.ttf")):
        registerFont(TTFont(name, file))
    registerFontFamily(FONT, FONT, FONT_BOLD, "VeraIt", FONT_BOLD)


def draw(canvas: Any, sheet: Sheet, *, with_picture: bool = True) -> None:
    """Draw a sheet on a reportlab canvas, a point a pixel, its lower left corner at the origin."""
    if with_picture and sheet.picture is not None:
        from reportlab.lib.utils import ImageReader

        width, height = sheet.picture_size
        picture = ImageReader(io.BytesIO(sheet.picture))
        canvas.drawImage(picture, 0, sheet.height - height, width, height)
    canvas.setLineJoin(1)
    for mark in sheet.marks:
        canvas.saveState()
        if isinstance(mark, Path):
            _draw_path(canvas, mark, sheet.height)
        elif isinstance(mark, Circle):
            _draw_circle(canvas, mark, sheet.height)
        else:
            _draw_words(canvas, mark, sheet.height)
        canvas.restoreState()


def _draw_path(canvas: Any, mark: Path, height: float) -> None:
    shape = canvas.beginPath()
    for position, (x, y) in enumerate(mark.points):
        (shape.lineTo if position else shape.moveTo)(x, height - y)
    if mark.closed:
        shape.close()
    if mark.halo:
        canvas.setStrokeColor(_colour(PAPER, 0.85))
        canvas.setLineWidth(mark.width + 2 * mark.halo)
        canvas.drawPath(shape)
    canvas.setStrokeColor(_colour(mark.colour, mark.opacity))
    canvas.setFillColor(_colour(mark.fill or PAPER, mark.opacity))
    canvas.setLineWidth(mark.width)
    if mark.dash:
        canvas.setDash(*mark.dash)
    canvas.drawPath(shape, stroke=int(mark.width > 0), fill=int(mark.fill is not None))


def _draw_circle(canvas: Any, mark: Circle, height: float) -> None:
    canvas.setStrokeColor(_colour(mark.colour))
    canvas.setFillColor(_colour(mark.fill or PAPER))
    canvas.setLineWidth(mark.width)
    x, y = mark.centre
    canvas.circle(x, height - y, mark.radius, stroke=1, fill=int(mark.fill is not None))


def _draw_words(canvas: Any, mark: Words, height: float) -> None:
    canvas.translate(mark.at[0], height - mark.at[1])
    canvas.rotate(mark.angle_deg)
    if mark.plate is not None:
        wide, high = mark.plate
        canvas.setFillColor(_colour(PAPER, _PLATE_OPACITY))
        canvas.setStrokeColor(_colour(mark.edge or PAPER))
        canvas.setLineWidth(0.09 * mark.size)
        canvas.roundRect(
            -wide / 2,
            -high / 2,
            wide,
            high,
            0.25 * mark.size,
            stroke=int(mark.edge is not None),
            fill=1,
        )
    canvas.setFillColor(_colour(mark.colour))
    canvas.setFont(FONT_BOLD if mark.bold else FONT, mark.size)
    write = canvas.drawString if mark.start else canvas.drawCentredString
    write(0, -0.36 * mark.size, mark.text)


def _colour(colour: str, opacity: float = 1.0) -> Any:
    from reportlab.lib.colors import HexColor

    value = HexColor(colour)
    value.alpha = opacity
    return value
