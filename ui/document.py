"""A document of headings, lines, tables and figures, as Markdown and as PDF."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape

from ui.marks import Sheet
from ui.rendering import FONT, FONT_BOLD, draw, register_fonts, svg

__all__ = ["Block", "Break", "Figures", "Heading", "Lines", "Table", "Text", "markdown", "to_pdf"]


@dataclass(frozen=True)
class Heading:
    """A heading of level 1 (the title) to 3."""

    text: str
    level: int = 2


@dataclass(frozen=True)
class Text:
    """A paragraph; a caution stands out."""

    text: str
    caution: bool = False


@dataclass(frozen=True)
class Lines:
    """Lines of working, kept as they are."""

    lines: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """A table with its header."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Figures:
    """Figures side by side, each with its file name for Markdown and its width on the page.

    `width` is the part of the page's width that they take together.
    """

    sheets: tuple[Sheet, ...]
    names: tuple[str, ...]
    width: float = 1.0


@dataclass(frozen=True)
class Break:
    """A new page begins here."""


Block = Break | Heading | Text | Lines | Table | Figures


def markdown(blocks: Sequence[Block], folder: str = "") -> tuple[str, dict[str, str]]:
    """Give the document as Markdown, and the SVG figures that it looks for in `folder`."""
    parts: list[str] = []
    figures: dict[str, str] = {}
    for block in blocks:
        if isinstance(block, Break):
            parts.append("---")
        elif isinstance(block, Heading):
            parts.append(f"{'#' * block.level} {block.text}")
        elif isinstance(block, Text):
            parts.append(f"> {block.text}" if block.caution else block.text)
        elif isinstance(block, Lines):
            parts.append("\n".join(["```text", *block.lines, "```"]))
        elif isinstance(block, Table):
            rows = [block.header, tuple("---" for _ in block.header), *block.rows]
            parts.append("\n".join(f"| {' | '.join(row)} |" for row in rows))
        else:
            for sheet, name in zip(block.sheets, block.names, strict=True):
                figures[f"{name}.svg"] = svg(sheet)
            pairs = zip(block.sheets, block.names, strict=True)
            parts.append(
                "\n".join(f"![{sheet.title}]({folder}{name}.svg)" for sheet, name in pairs)
            )
    return "\n\n".join(parts) + "\n", figures


def to_pdf(blocks: Sequence[Block], *, title: str, footer: str) -> bytes:
    """Give the document as an A4 PDF with page numbers and a footer on every page."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.units import mm
    from reportlab.platypus import KeepTogether, PageBreak, SimpleDocTemplate

    register_fonts()
    buffer = io.BytesIO()
    page = SimpleDocTemplate(
        buffer,
        pagesize=A4,
        leftMargin=18 * mm,
        rightMargin=18 * mm,
        topMargin=16 * mm,
        bottomMargin=22 * mm,
        title=title,
        author="Inkstrut",
        invariant=1,
    )
    story: list[Any] = []
    group: list[Any] = []
    for block in blocks:
        # A heading never stands alone at the foot of a page.
        if isinstance(block, Heading | Break) and group:
            story.append(KeepTogether(group))
            group = []
        if isinstance(block, Break):
            story.append(PageBreak())
            continue
        group += _flowables(block, page.width)
    story.append(KeepTogether(group))

    def finish(canvas: Any, document: Any) -> None:
        canvas.setFont(FONT, 7)
        lines = _broken(footer, page.width - 20 * mm)
        for row, line in enumerate(lines):
            canvas.drawString(18 * mm, 14 * mm - 8.5 * row, line)
        canvas.drawRightString(A4[0] - 18 * mm, 14 * mm, f"Page {document.page}")

    page.build(story, onFirstPage=finish, onLaterPages=finish)
    return buffer.getvalue()


def _broken(text: str, width: float) -> list[str]:
    from reportlab.lib.utils import simpleSplit

    return list(simpleSplit(text, FONT, 7, width))


def _flowables(block: Heading | Text | Lines | Table | Figures, width: float) -> list[Any]:
    from reportlab.lib.colors import HexColor
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph, Spacer

    if isinstance(block, Heading):
        size = {1: 17.0, 2: 12.5, 3: 10.5}[block.level]
        style = ParagraphStyle(
            "heading",
            fontName=FONT_BOLD,
            fontSize=size,
            leading=1.25 * size,
            spaceBefore=0.7 * size,
            spaceAfter=0.35 * size,
            keepWithNext=1,
        )
        return [Paragraph(escape(block.text), style)]
    if isinstance(block, Text):
        style = ParagraphStyle("text", fontName=FONT, fontSize=9, leading=12.5, spaceAfter=5)
        if block.caution:
            style.borderColor, style.borderWidth = HexColor("#D55E00"), 0.8
            style.borderPadding, style.spaceBefore, style.spaceAfter = 5, 8, 10
        return [Paragraph(escape(block.text), style)]
    if isinstance(block, Lines):
        style = ParagraphStyle(
            "lines", fontName=FONT, fontSize=9, leading=13, leftIndent=10, bulletIndent=0
        )
        # What follows is set in from the equation above it.
        inset = ParagraphStyle("so", parent=style, leftIndent=26, fontName=FONT)
        return [
            *(
                Paragraph(escape(ln), inset if ln.startswith(("so ", "or ")) else style)
                for ln in block.lines
            ),
            Spacer(1, 5),
        ]
    if isinstance(block, Table):
        return [_table(block, width), Spacer(1, 6)]
    return [_Row(block, width), Spacer(1, 4)]


def _table(block: Table, width: float) -> Any:
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Table as PageTable
    from reportlab.platypus import TableStyle

    style = TableStyle(
        [
            ("FONT", (0, 0), (-1, 0), FONT_BOLD, 8),
            ("FONT", (0, 1), (-1, -1), FONT, 8.5),
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, HexColor("#16181D")),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, HexColor("#BBBBBB")),
            ("TOPPADDING", (0, 0), (-1, -1), 2.5),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
        ]
    )
    return PageTable([block.header, *block.rows], style=style, repeatRows=1, hAlign="LEFT")


def _Row(block: Figures, width: float) -> Any:  # noqa: N802 - made like a class of reportlab
    """Figures side by side as one flowable."""
    from reportlab.platypus import Flowable

    total = sum(sheet.width for sheet in block.sheets)
    scale = block.width * width / total
    # A tall figure is made narrower rather than pushed over the end of the page.
    scale = min(scale, 400.0 / max(sheet.height for sheet in block.sheets))
    high = scale * max(sheet.height for sheet in block.sheets)

    class Row(Flowable):  # type: ignore[misc]
        def wrap(self, *_: float) -> tuple[float, float]:
            return scale * total, high

        def draw(self) -> None:
            left = 0.0
            for sheet in block.sheets:
                self.canv.saveState()
                self.canv.translate(left, high - scale * sheet.height)
                self.canv.scale(scale, scale)
                draw(self.canv, sheet)
                self.canv.restoreState()
                left += scale * sheet.width

    return Row()
