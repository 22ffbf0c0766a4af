"""The DOCX writer: real word-processor numbering, live cross-references, and the same bytes for the same input."""

from __future__ import annotations

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement
from msadraft.writers.docx import front, parts, pleading, xml
from msadraft.writers.docx.body import Body
from msadraft.writers.docx.layout import PAGE_HEIGHT, PAGE_WIDTH, PLAIN, PLEADING, Layout
from msadraft.writers.docx.package import pack
from msadraft.writers.stamp import Stamp

__all__ = ["body_of", "document_parts", "layout_of", "write_docx"]


def write_docx(agreement: Agreement, numbering: Numbering, stamp: Stamp) -> bytes:
    """Give the agreement as a DOCX file.

    Raises:
        WriterError: a reference points to nothing in the agreement.
    """
    return pack(document_parts(agreement, numbering, stamp))


def layout_of(agreement: Agreement) -> Layout:
    """Give the layout that the agreement asks for."""
    return PLEADING if agreement.layout == "pleading" else PLAIN


def body_of(agreement: Agreement, numbering: Numbering) -> str:
    """Give the XML of the first page and of all that follows, without the section properties at its end."""
    layout = layout_of(agreement)
    body = Body(agreement, numbering, layout)
    first = pleading.pleading_front(body) if layout.pleading else front.plain_front(body)
    return first + body.xml()


def document_parts(
    agreement: Agreement, numbering: Numbering, stamp: Stamp, body_xml: str | None = None
) -> dict[str, bytes]:
    """Give every part of the package by name. `body_xml` takes the place of the whole body, for a marked-up copy."""
    layout = layout_of(agreement)
    if body_xml is None:
        body_xml = body_of(agreement, numbering)
    texts = {
        "[Content_Types].xml": parts.content_types(),
        "_rels/.rels": parts.package_relations(),
        "customXml/_rels/item1.xml.rels": parts.map_relations(),
        "customXml/item1.xml": parts.map_part(agreement, numbering, stamp),
        "customXml/itemProps1.xml": parts.map_properties(),
        "docProps/core.xml": parts.core_properties(agreement.title, agreement.dated),
        "docProps/custom.xml": parts.custom_properties(stamp),
        "word/_rels/document.xml.rels": parts.document_relations(),
        "word/document.xml": _document(body_xml, layout),
        "word/fontTable.xml": parts.fonts(),
        "word/footer1.xml": (pleading.pleading_footer if layout.pleading else parts.plain_footer)(agreement, stamp),
        "word/header1.xml": pleading.pleading_header(stamp) if layout.pleading else parts.plain_header(stamp),
        "word/numbering.xml": parts.numbering_part(agreement),
        "word/settings.xml": parts.settings(),
        "word/styles.xml": parts.styles(agreement, layout),
    }
    return {name: text.encode() for name, text in texts.items()}


def _document(body_xml: str, layout: Layout) -> str:
    end = pleading.pleading_section() if layout.pleading else _plain_section()
    return f'{xml.DECLARATION}<w:document xmlns:w="{xml.W}" xmlns:r="{xml.R}"><w:body>{body_xml}{end}</w:body></w:document>'


def _plain_section() -> str:
    return (
        f'<w:sectPr><w:headerReference w:type="default" r:id="{parts.HEADER_RELATION}"/>'
        f'<w:footerReference w:type="default" r:id="{parts.FOOTER_RELATION}"/>'
        f'<w:pgSz w:w="{PAGE_WIDTH}" w:h="{PAGE_HEIGHT}"/><w:pgMar w:top="1440" w:right="1440" w:bottom="1440"'
        ' w:left="1440" w:header="600" w:footer="600" w:gutter="0"/></w:sectPr>'
    )
