"""The parts of the DOCX package around the body: styles, lists, settings, header, footer, properties, the map."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

from msadraft.agreement.numbering import Numbering
from msadraft.tree import Agreement, Table, walk
from msadraft.writers.docx import xml
from msadraft.writers.docx.layout import EXHIBIT_HEADING, FONT, LEVELS, PITCH, TEXT_WIDTH, Layout
from msadraft.writers.inline import node_text, plain, row_text, text_hash
from msadraft.writers.stamp import Stamp

MAP_NAMESPACE = "urn:msadraft:paragraph-map:1"
MARK_PROPERTY = "msadraft.mark"
_MAP_STORE = "{6B1D2A0E-5C43-4E7A-9D0B-2F64C1A8E5D7}"
_NO_DAY = "1980-01-01"
_HAIRLINE = "A6A6A6"
_BANNER = "9B1C1C"
_SCHEMAS = "http://schemas.openxmlformats.org"
_MAIN = "application/vnd.openxmlformats-officedocument.wordprocessingml"

CONTENT_TYPES = {
    "/customXml/itemProps1.xml": "application/vnd.openxmlformats-officedocument.customXmlProperties+xml",
    "/docProps/core.xml": "application/vnd.openxmlformats-package.core-properties+xml",
    "/docProps/custom.xml": "application/vnd.openxmlformats-officedocument.custom-properties+xml",
    "/word/document.xml": f"{_MAIN}.document.main+xml",
    "/word/fontTable.xml": f"{_MAIN}.fontTable+xml",
    "/word/footer1.xml": f"{_MAIN}.footer+xml",
    "/word/header1.xml": f"{_MAIN}.header+xml",
    "/word/numbering.xml": f"{_MAIN}.numbering+xml",
    "/word/settings.xml": f"{_MAIN}.settings+xml",
    "/word/styles.xml": f"{_MAIN}.styles+xml",
}
_DOCUMENT_RELATIONS = (
    ("styles", "styles.xml"),
    ("numbering", "numbering.xml"),
    ("settings", "settings.xml"),
    ("fontTable", "fontTable.xml"),
    ("header", "header1.xml"),
    ("footer", "footer1.xml"),
    ("customXml", "../customXml/item1.xml"),
)
HEADER_RELATION, FOOTER_RELATION = "rId5", "rId6"


def content_types(without: Collection[str] = ()) -> str:
    """Give [Content_Types].xml; a paper that lacks some of the parts names them."""
    overrides = "".join(
        f'<Override PartName="{name}" ContentType="{kind}"/>'
        for name, kind in CONTENT_TYPES.items()
        if name not in without
    )
    return (
        f'{xml.DECLARATION}<Types xmlns="{_SCHEMAS}/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Default Extension="xml" ContentType="application/xml"/>{overrides}</Types>'
    )


def relations(entries: Iterable[tuple[str, str]]) -> str:
    """Give a part of relations from (kind, target); their ids count up from rId1."""
    inner = "".join(
        f'<Relationship Id="rId{n}" Type="{kind}" Target="{target}"/>' for n, (kind, target) in enumerate(entries, 1)
    )
    return f'{xml.DECLARATION}<Relationships xmlns="{_SCHEMAS}/package/2006/relationships">{inner}</Relationships>'


def package_relations(custom: bool = True) -> str:
    """Give _rels/.rels; a paper without a mark among its properties has no `custom` ones."""
    entries = [
        (f"{_SCHEMAS}/officeDocument/2006/relationships/officeDocument", "word/document.xml"),
        (f"{_SCHEMAS}/package/2006/relationships/metadata/core-properties", "docProps/core.xml"),
    ]
    if custom:
        entries.append((f"{_SCHEMAS}/officeDocument/2006/relationships/custom-properties", "docProps/custom.xml"))
    return relations(entries)


def document_relations(without: Collection[str] = ()) -> str:
    """Give word/_rels/document.xml.rels; a paper without a map lacks "customXml", the last of them."""
    return relations((f"{xml.R}/{kind}", target) for kind, target in _DOCUMENT_RELATIONS if kind not in without)


def core_properties(title: str, dated: str) -> str:
    """Give docProps/core.xml. Its dates are the day that the facts give, never the clock's."""
    day = dated if re.fullmatch(r"\d{4}-\d{2}-\d{2}", dated) else _NO_DAY
    when = f'xsi:type="dcterms:W3CDTF">{day}T00:00:00Z'
    return (
        f'{xml.DECLARATION}<cp:coreProperties xmlns:cp="{_SCHEMAS}/package/2006/metadata/core-properties"'
        ' xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:dcterms="http://purl.org/dc/terms/"'
        ' xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">'
        f"<dc:title>{xml.escape(title)}</dc:title><dc:creator>msadraft</dc:creator>"
        "<cp:lastModifiedBy>msadraft</cp:lastModifiedBy><cp:revision>1</cp:revision>"
        f"<dcterms:created {when}</dcterms:created><dcterms:modified {when}</dcterms:modified>"
        "<dc:language>en-US</dc:language></cp:coreProperties>"
    )


def custom_properties(stamp: Stamp) -> str:
    """Give docProps/custom.xml with the mark, by which a file is recognised without reading its body."""
    return (
        f'{xml.DECLARATION}<Properties xmlns="{_SCHEMAS}/officeDocument/2006/custom-properties"'
        f' xmlns:vt="{_SCHEMAS}/officeDocument/2006/docPropsVTypes">'
        f'<property fmtid="{{D5CDD505-2E9C-101B-9397-08002B2CF9AE}}" pid="2" name="{MARK_PROPERTY}">'
        f"<vt:lpwstr>{xml.escape(stamp.mark)}</vt:lpwstr></property></Properties>"
    )


def map_relations() -> str:
    """Give customXml/_rels/item1.xml.rels."""
    return relations(((f"{xml.R}/customXmlProps", "itemProps1.xml"),))


def map_properties() -> str:
    """Give customXml/itemProps1.xml."""
    return (
        f'{xml.DECLARATION}<ds:datastoreItem ds:itemID="{_MAP_STORE}"'
        f' xmlns:ds="{_SCHEMAS}/officeDocument/2006/customXml"><ds:schemaRefs>'
        f'<ds:schemaRef ds:uri="{MAP_NAMESPACE}"/></ds:schemaRefs></ds:datastoreItem>'
    )


def map_part(agreement: Agreement, numbering: Numbering, stamp: Stamp) -> str:
    """Give customXml/item1.xml: id, clause, bookmark, level, number and text hash of every node, in document order.

    It survives a save in an office suite, and lets an edited copy be read back paragraph by paragraph.
    """
    nodes: list[str] = []

    def add(kind: str, node_id: str, clause: str, text: str) -> None:
        entry = numbering[node_id]
        nodes.append(
            f'<node kind="{kind}" id="{xml.attribute(node_id)}" clause="{xml.attribute(clause)}"'
            f' bookmark="{entry.bookmark}" level="{entry.level}" label="{entry.label}" number="{entry.full}"'
            f' hash="{text_hash(text)}"/>'
        )

    for section in agreement.sections:
        add(section.kind, section.id, "", plain(section.heading, numbering))
        for block in walk(section.blocks):
            add(type(block).__name__.lower(), block.id, block.clause, node_text(block, numbering))
            if isinstance(block, Table):
                for row in (*block.rows, *((block.total,) if block.total else ())):
                    if row.id:
                        add("row", row.id, block.clause, row_text(row, numbering))
    return (
        f'{xml.DECLARATION}<map xmlns="{MAP_NAMESPACE}" mark="{xml.attribute(stamp.mark)}"'
        f' title="{xml.attribute(agreement.title)}" numbering="{agreement.numbering}">{"".join(nodes)}</map>'
    )


def settings() -> str:
    """Give word/settings.xml. Fields are not updated on opening: their results are right as written."""
    return (
        f'{xml.DECLARATION}<w:settings xmlns:w="{xml.W}"><w:defaultTabStop w:val="720"/>'
        '<w:compat><w:compatSetting w:name="compatibilityMode" w:uri="http://schemas.microsoft.com/office/word"'
        ' w:val="15"/></w:compat><w:themeFontLang w:val="en-US"/><w:decimalSymbol w:val="."/>'
        '<w:listSeparator w:val=","/></w:settings>'
    )


def fonts() -> str:
    """Give word/fontTable.xml: one typeface, essentially that of rule 2.105."""
    return (
        f'{xml.DECLARATION}<w:fonts xmlns:w="{xml.W}"><w:font w:name="{FONT}"><w:charset w:val="00"/>'
        '<w:family w:val="roman"/><w:pitch w:val="variable"/></w:font></w:fonts>'
    )


def levels(top: tuple[str, ...]) -> str:
    """Give the nine levels of a list, the first of them as given."""
    spare = (
        xml.level(depth, "decimal", f"%{depth + 1}.", left=2520 + 360 * depth, hanging=360)
        for depth in range(len(top), 9)
    )
    return "".join((*top, *spare))


def _body_levels(first: int, pattern: str, kind: str, prefix: str) -> tuple[str, ...]:
    """Give the three paragraph levels of a list, from list level `first` on."""
    shapes = (("", pattern, kind), ("", f"(%{first + 2})", "lowerLetter"), ("", f"(%{first + 3})", "lowerRoman"))
    return tuple(
        xml.level(first + n, form, text, style=f"{prefix}{n + 1}", left=LEVELS[n + 1][0], hanging=LEVELS[n + 1][1])
        for n, (_, text, form) in enumerate(shapes)
    )


def numbering_part(agreement: Agreement) -> str:
    """Give word/numbering.xml.

    Decimal style: one list for articles and their paragraphs. Continuous style: two, because a list whose
    paragraphs must not restart under a heading is not read alike by all word processors. Exhibits have their own.
    """
    head = ("decimal", "%1.") if agreement.numbering == "decimal" else ("upperLetter", "%1.")
    heading = xml.level(0, head[0], head[1], style="Heading1", left=LEVELS[0][0], hanging=LEVELS[0][1], bold=True)
    exhibit = xml.level(
        0, "upperLetter", "Exhibit %1", style="ExhibitHeading", left=EXHIBIT_HEADING, hanging=EXHIBIT_HEADING, bold=True
    )
    if agreement.numbering == "decimal":
        lists = [levels((heading, *_body_levels(1, "%1.%2", "decimal", "Para")))]
    else:
        lists = [levels((heading,)), levels(_body_levels(0, "%1.", "decimal", "Para"))]
    lists.append(levels((exhibit, *_body_levels(1, "%1-%2", "decimal", "ExhibitPara"))))
    definitions = "".join(xml.abstract_list(n, levels) for n, levels in enumerate(lists, 1))
    uses = "".join(f'<w:num w:numId="{n}"><w:abstractNumId w:val="{n}"/></w:num>' for n in range(1, len(lists) + 1))
    return f'{xml.DECLARATION}<w:numbering xmlns:w="{xml.W}">{definitions}{uses}</w:numbering>'


def plain_table_style(gap: int = 0) -> str:
    """Give the style of a table that has no look of its own; `gap` (twips) keeps the words of a cell off the next one."""
    return xml.style(
        "table",
        "Normal Table",
        custom=False,
        default=True,
        priority=99,
        style_id="TableNormal",
        rest='<w:tblPr><w:tblInd w:w="0" w:type="dxa"/><w:tblCellMar><w:top w:w="0" w:type="dxa"/>'
        '<w:left w:w="0" w:type="dxa"/><w:bottom w:w="0" w:type="dxa"/>'
        f'<w:right w:w="{gap}" w:type="dxa"/></w:tblCellMar></w:tblPr>',
    )


def styles(agreement: Agreement, layout: Layout) -> str:
    """Give word/styles.xml."""
    continuous = agreement.numbering == "continuous"
    paragraphs, first = (2, 0) if continuous else (1, 1)
    exhibits = 3 if continuous else 2
    space, p, r = layout.space, xml.paragraph_properties, xml.run_properties

    def body(name: str, *, based_on: str = "Normal", nxt: str = "", paragraph: str = "", run: str = "") -> str:
        return xml.style("paragraph", name, based_on=based_on, next_style=nxt, quick=True, paragraph=paragraph, run=run)

    def built_in(name: str, style_id: str, nxt: str, priority: int, paragraph: str, run: str = "") -> str:
        return xml.style(
            "paragraph",
            name,
            based_on="Normal",
            next_style=nxt,
            priority=priority,
            quick=True,
            custom=False,
            paragraph=paragraph,
            run=run,
            style_id=style_id,
        )

    big = 24 if layout.pleading else 26
    out = [
        xml.style(
            "paragraph",
            "Normal",
            custom=False,
            default=True,
            quick=True,
            paragraph=p(widow_control=not layout.pleading, spacing=space()),
        ),
        xml.style("character", "Default Paragraph Font", custom=False, default=True, priority=1),
        plain_table_style(),
        xml.style("numbering", "No List", custom=False, default=True, priority=99),
        built_in(
            "Title",
            "Title",
            "Unnumbered",
            10,
            p(keep_next=True, keep_lines=True, spacing=space(360, 240), align="center"),
            r(bold=True, size=32),
        ),
        built_in(
            "heading 1",
            "Heading1",
            "Para1",
            9,
            p(keep_next=True, keep_lines=True, list_id=1, spacing=space(320, 120), outline=0),
            r(bold=True, size=big),
        ),
    ]
    for n in (1, 2, 3):
        out.append(
            body(
                f"Para{n}",
                paragraph=p(list_id=paragraphs, list_level=first + n - 1, spacing=space(0, 120 if n == 1 else 100)),
            )
        )
    out.append(
        body(
            "Exhibit Heading",
            nxt="ExhibitPara1",
            run=r(bold=True, size=big + 2),
            paragraph=p(
                keep_next=True,
                keep_lines=True,
                page_break_before=True,
                list_id=exhibits,
                spacing=space(0, 200),
                outline=0,
            ),
        )
    )
    for n in (1, 2, 3):
        out.append(
            body(
                f"Exhibit Para{n}",
                paragraph=p(list_id=exhibits, list_level=n, spacing=space(0, 120 if n == 1 else 100)),
            )
        )
    return styles_document("".join(out) + _other_styles(layout))


def _other_styles(layout: Layout) -> str:
    space, p, r = layout.space, xml.paragraph_properties, xml.run_properties

    def body(name: str, *, based_on: str = "Normal", nxt: str = "", paragraph: str = "", run: str = "") -> str:
        return xml.style("paragraph", name, based_on=based_on, next_style=nxt, quick=True, paragraph=paragraph, run=run)

    def built_in(name: str, style_id: str, priority: int, paragraph: str, run: str = "") -> str:
        return xml.style(
            "paragraph",
            name,
            based_on="Normal",
            priority=priority,
            custom=False,
            paragraph=paragraph,
            run=run,
            style_id=style_id,
        )

    rule = xml.border("bottom", 6, 6)
    if layout.pleading:
        # A border above or below would add to the height of the lines; the sides do not.
        box = xml.border("left", 12, 6) + xml.border("right", 12, 6)
    else:
        box = "".join(xml.border(side, 6, 6) for side in ("top", "left", "bottom", "right"))
    head_rule = "" if layout.pleading else xml.border("bottom", 6, 0)
    return "".join(
        (
            body("Unnumbered", paragraph=p(spacing=space())),
            body(
                "Notice",
                nxt="Unnumbered",
                paragraph=p(
                    keep_lines=True,
                    borders=box,
                    shade="" if layout.pleading else "F7F7F7",
                    spacing=space(160, 200),
                    indent=xml.indent(144, 144),
                ),
            ),
            body("Place", nxt="Unnumbered", paragraph=p(keep_next=True, keep_lines=True, spacing=space(200, 80))),
            body("Place Inside", paragraph=p(spacing=space(40, 0, single=True)), run=r(italic=True, size=20)),
            built_in(
                "caption", "Caption", 35, p(keep_next=True, keep_lines=True, spacing=space(160, 80)), r(bold=True)
            ),
            body("Table Text", paragraph=p(spacing=space(0, 0, single=True))),
            body("Table Head", based_on="TableText", paragraph=p(keep_next=True), run=r(bold=True)),
            body("Schedule Text", based_on="TableText", run=r(size=21)),
            body("Schedule Head", based_on="ScheduleText", paragraph=p(keep_next=True), run=r(bold=True)),
            body("Filer", paragraph=p(spacing=space(0, 0, single=True))),
            body(
                "Court",
                paragraph=p(
                    keep_next=True,
                    keep_lines=True,
                    borders="" if layout.pleading else rule,
                    spacing=space(240, 60),
                    align="center" if layout.pleading else "",
                ),
                run=r(bold=True),
            ),
            body(
                "Case Line",
                paragraph=p(
                    keep_lines=True,
                    tabs=xml.tab_stops(("left", 1872, "")),
                    spacing=space(60, 0, single=not layout.pleading),
                    indent="" if layout.pleading else xml.indent(1872, 0, 1872),
                ),
            ),
            built_in(
                "TOC Heading",
                "TOCHeading",
                39,
                p(keep_next=True, keep_lines=True, spacing=space(120, 80)),
                r(bold=True),
            ),
            built_in(
                "toc 1",
                "TOC1",
                39,
                p(
                    tabs=xml.tab_stops(("left", LEVELS[0][0], "")),
                    spacing=space(0, 30, single=True),
                    indent=xml.indent(LEVELS[0][0], 0, LEVELS[0][1]),
                ),
            ),
            body(
                "Signature Text",
                nxt="SignatureLine",
                paragraph=p(keep_next=True, keep_lines=True, spacing=space(200, 0)),
            ),
            body(
                "Signature Line",
                nxt="SignatureName",
                paragraph=p(
                    keep_next=True,
                    keep_lines=True,
                    spacing=xml.spacing(PITCH, 0, PITCH, "exact") if layout.pleading else space(520, 20),
                    tabs=xml.tab_stops(
                        ("left", 2880, "underscore"), ("left", 3888, ""), ("right", TEXT_WIDTH, "underscore")
                    ),
                ),
            ),
            body(
                "Signature Name",
                paragraph=p(
                    keep_lines=True,
                    spacing=space(0, 0, single=True),
                    indent=xml.indent(3888),
                    tabs=xml.tab_stops(("right", TEXT_WIDTH, "underscore")),
                ),
            ),
            built_in("header", "Header", 99, p(spacing=xml.spacing(0, 0, 240))),
            built_in(
                "footer",
                "Footer",
                99,
                p(
                    tabs=xml.tab_stops(("center", TEXT_WIDTH // 2, ""), ("right", TEXT_WIDTH, "")),
                    spacing=xml.spacing(0, 0, 240, "exact" if layout.pleading else "auto"),
                ),
                r(size=20),
            ),
            body(
                "Banner",
                based_on="Header",
                paragraph=p(keep_lines=True, align="center"),
                run=r(bold=True, color=_BANNER, size=20),
            ),
            body(
                "Closing Line",
                paragraph=p(keep_lines=True, spacing=space(240, 0, single=not layout.pleading), align="center"),
                run=r(italic=True, size=20),
            ),
            xml.style("character", "Blank", run=r(shade="EDEDED")),
            xml.style(
                "table",
                "Schedule",
                based_on="TableNormal",
                rest="<w:tblPr><w:tblBorders>"
                + (
                    xml.border("top", 8) + xml.border("bottom", 8) + xml.border("insideH", 4, 0, _HAIRLINE)
                    if not layout.pleading
                    else ""
                )
                + "</w:tblBorders><w:tblCellMar>"
                + "".join(
                    f'<w:{side} w:w="{width}" w:type="dxa"/>'
                    for side, width in (
                        ("top", 0 if layout.pleading else 40),
                        ("left", 70),
                        ("bottom", 0 if layout.pleading else 40),
                        ("right", 70),
                    )
                )
                + "</w:tblCellMar></w:tblPr>"
                + f'<w:tblStylePr w:type="firstRow">{r(bold=True)}<w:tcPr>'
                + (f"<w:tcBorders>{head_rule}</w:tcBorders>" if head_rule else "")
                + '<w:shd w:val="clear" w:color="auto" w:fill="EFEFEF"/></w:tcPr></w:tblStylePr>',
            ),
            xml.style("table", "Page Grid", based_on="TableNormal"),
        )
    )


def styles_document(inner: str) -> str:
    """Give word/styles.xml that holds the given styles over one typeface."""
    return (
        f'{xml.DECLARATION}<w:styles xmlns:w="{xml.W}"><w:docDefaults><w:rPrDefault><w:rPr>'
        f'<w:rFonts w:ascii="{FONT}" w:hAnsi="{FONT}" w:eastAsia="{FONT}" w:cs="{FONT}"/>'
        '<w:sz w:val="24"/><w:szCs w:val="24"/><w:lang w:val="en-US" w:eastAsia="en-US" w:bidi="ar-SA"/></w:rPr>'
        f"</w:rPrDefault><w:pPrDefault/></w:docDefaults>{inner}</w:styles>"
    )


def banner(stamp: Stamp) -> str:
    """Give the paragraph that says on every page that the paper is not ready, or "" when it is."""
    if stamp.ready:
        return ""
    sides = "".join(xml.border(side, 8, 3, _BANNER) for side in ("top", "left", "bottom", "right"))
    return xml.paragraph(
        xml.paragraph_properties(style="Banner", borders=sides, indent=xml.indent(144, 144)),
        xml.run(stamp.not_ready_text),
    )


def initials(agreement: Agreement) -> str:
    """Give the places for both parties' initials."""
    labels = [f"{label} ______" if label else "______" for label in agreement.initials]
    return f"Initials:  {'   '.join(labels)}"


def page_of_pages() -> str:
    """Give "Page X of Y" as fields that every word processor works out itself."""
    return xml.run("Page ") + xml.field("PAGE", "1") + xml.run(" of ") + xml.field("NUMPAGES", "1")


def header(content: str) -> str:
    """Give word/header1.xml."""
    return f'{xml.DECLARATION}<w:hdr xmlns:w="{xml.W}">{content}</w:hdr>'


def footer(content: str) -> str:
    """Give word/footer1.xml."""
    return f'{xml.DECLARATION}<w:ftr xmlns:w="{xml.W}">{content}</w:ftr>'


def plain_header(stamp: Stamp) -> str:
    """Give the header of plain paper: the banner while the paper is not ready, otherwise nothing to see."""
    return header(banner(stamp) or xml.paragraph(xml.paragraph_properties(style="Header"), ""))


def plain_footer(agreement: Agreement, stamp: Stamp) -> str:
    """Give the footer of plain paper: a rule, the page, the initials, and the mark below."""
    first = xml.paragraph_properties(style="Footer", borders=xml.border("top", 4, 6))
    return footer(
        xml.paragraph(first, page_of_pages() + xml.run(f"\t\t{initials(agreement)}"))
        + xml.paragraph(xml.paragraph_properties(style="Footer"), xml.run(stamp.mark))
    )
