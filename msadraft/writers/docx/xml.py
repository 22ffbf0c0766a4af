"""Elements of WordprocessingML, each written by one function that keeps the order of the schema.

The order of children is that of ECMA-376 Part 1 (transitional): a word processor refuses some files whose
children are out of order. Measures are twips (twentieths of a point) unless a name says otherwise; font sizes
are half-points; border widths are eighths of a point.
"""

from __future__ import annotations

from functools import lru_cache

from msadraft.writers.inline import clean

W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
R = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
DECLARATION = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


def escape(text: str) -> str:
    """Escape text for element content; characters that XML forbids are left out."""
    text = clean(text)
    if "&" in text or "<" in text or ">" in text:
        text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text


@lru_cache(maxsize=4096)  # mostly ids of clauses, which come again in every case
def attribute(text: str) -> str:
    """Escape text for an attribute value in double quotes."""
    return escape(text).replace('"', "&quot;").replace("\n", " ").replace("\t", " ")


def words(text: str) -> str:
    """Give the children of a run for `text`: newlines become breaks, tabs become tabs."""
    text = escape(text)
    if "\n" not in text and "\t" not in text:
        return f'<w:t xml:space="preserve">{text}</w:t>'
    lines = []
    for line in text.split("\n"):
        parts = (f'<w:t xml:space="preserve">{part}</w:t>' if part else "" for part in line.split("\t"))
        lines.append("<w:tab/>".join(parts))
    return "<w:br/>".join(lines)


def run_properties(
    *,
    style: str = "",
    font: str = "",
    bold: bool = False,
    italic: bool = False,
    capitals: bool = False,
    color: str = "",
    tracking: int = 0,
    size: int = 0,
    shade: str = "",
) -> str:
    """Give `w:rPr`, or "" when nothing is set."""
    out = []
    if style:
        out.append(f'<w:rStyle w:val="{style}"/>')
    if font:
        out.append(f'<w:rFonts w:ascii="{font}" w:hAnsi="{font}" w:eastAsia="{font}" w:cs="{font}"/>')
    if bold:
        out.append("<w:b/><w:bCs/>")
    if italic:
        out.append("<w:i/><w:iCs/>")
    if capitals:
        out.append("<w:caps/>")
    if color:
        out.append(f'<w:color w:val="{color}"/>')
    if tracking:
        out.append(f'<w:spacing w:val="{tracking}"/>')
    if size:
        out.append(f'<w:sz w:val="{size}"/><w:szCs w:val="{size}"/>')
    if shade:
        out.append(f'<w:shd w:val="clear" w:color="auto" w:fill="{shade}"/>')
    return f"<w:rPr>{''.join(out)}</w:rPr>" if out else ""


@lru_cache(maxsize=8192)  # most of a paper is the wording of the clauses, which comes again in every case
def run(text: str, properties: str = "") -> str:
    """Give one run of text."""
    return f"<w:r>{properties}{words(text)}</w:r>"


def field(instruction: str, result: str, properties: str = "") -> str:
    """Give a complex field with its result already in place."""
    return (
        '<w:r><w:fldChar w:fldCharType="begin"/></w:r>'
        f'<w:r><w:instrText xml:space="preserve"> {escape(instruction)} </w:instrText></w:r>'
        '<w:r><w:fldChar w:fldCharType="separate"/></w:r>'
        f"<w:r>{properties}{words(result)}</w:r>"
        '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
    )


def number_of(bookmark: str, shown: str, properties: str = "") -> str:
    """Give a field that shows the own number of the paragraph at `bookmark`, linked to it."""
    return field(f"REF {bookmark} \\n \\h", shown, properties)


def bookmarked(name: str, number: int, content: str) -> str:
    """Give `content` between the two ends of a bookmark; `number` is unique in the part."""
    return f'<w:bookmarkStart w:id="{number}" w:name="{name}"/>{content}<w:bookmarkEnd w:id="{number}"/>'


def link(anchor: str, content: str) -> str:
    """Give a link to a bookmark of the same document."""
    return f'<w:hyperlink w:anchor="{anchor}" w:history="1">{content}</w:hyperlink>'


def spacing(before: int, after: int, line: int, rule: str = "auto") -> str:
    """Give `w:spacing`. With rule "auto" a line of 240 is single; with "exact" it is twips."""
    return f'<w:spacing w:before="{before}" w:after="{after}" w:line="{line}" w:lineRule="{rule}"/>'


def indent(left: int, right: int = 0, hanging: int = 0) -> str:
    """Give `w:ind`."""
    return f'<w:ind w:left="{left}" w:right="{right}" w:hanging="{hanging}"/>'


def tab_stops(*stops: tuple[str, int, str]) -> str:
    """Give `w:tabs` from (kind, position, leader); a leader of "" is none."""
    inner = "".join(
        f'<w:tab w:val="{kind}"{f" w:leader={chr(34)}{leader}{chr(34)}" if leader else ""} w:pos="{position}"/>'
        for kind, position, leader in stops
    )
    return f"<w:tabs>{inner}</w:tabs>"


def border(side: str, width: int, space: int = 0, color: str = "auto", kind: str = "single") -> str:
    """Give one border of a paragraph, cell, table or page; `space` is in points."""
    return f'<w:{side} w:val="{kind}" w:sz="{width}" w:space="{space}" w:color="{color}"/>'


@lru_cache(maxsize=512)
def paragraph_properties(
    *,
    style: str = "",
    keep_next: bool = False,
    keep_lines: bool = False,
    page_break_before: bool = False,
    frame: str = "",
    widow_control: bool | None = None,
    list_id: int | None = None,
    list_level: int = 0,
    plain_lines: bool = False,
    borders: str = "",
    shade: str = "",
    tabs: str = "",
    spacing: str = "",
    indent: str = "",
    contextual: bool = False,
    align: str = "",
    outline: int | None = None,
) -> str:
    """Give `w:pPr`, or "" when nothing is set. `frame`, `tabs`, `spacing` and `indent` are ready elements."""
    out = []
    if style:
        out.append(f'<w:pStyle w:val="{style}"/>')
    if keep_next:
        out.append("<w:keepNext/>")
    if keep_lines:
        out.append("<w:keepLines/>")
    if page_break_before:
        out.append("<w:pageBreakBefore/>")
    out.append(frame)
    if widow_control is not None:
        out.append("<w:widowControl/>" if widow_control else '<w:widowControl w:val="0"/>')
    if list_id is not None:
        level = f'<w:ilvl w:val="{list_level}"/>' if list_level else ""
        out.append(f'<w:numPr>{level}<w:numId w:val="{list_id}"/></w:numPr>')
    if plain_lines:
        out.append("<w:suppressLineNumbers/>")
    if borders:
        out.append(f"<w:pBdr>{borders}</w:pBdr>")
    if shade:
        out.append(f'<w:shd w:val="clear" w:color="auto" w:fill="{shade}"/>')
    out += [tabs, spacing, indent]
    if contextual:
        out.append("<w:contextualSpacing/>")
    if align:
        out.append(f'<w:jc w:val="{align}"/>')
    if outline is not None:
        out.append(f'<w:outlineLvl w:val="{outline}"/>')
    inner = "".join(out)
    return f"<w:pPr>{inner}</w:pPr>" if inner else ""


def paragraph(properties: str, content: str) -> str:
    """Give one paragraph."""
    return f"<w:p>{properties}{content}</w:p>"


def cell(width: int, content: str, *, borders: str = "", shade: str = "", valign: str = "") -> str:
    """Give one table cell; `content` ends with a paragraph."""
    return (
        f'<w:tc><w:tcPr><w:tcW w:w="{width}" w:type="dxa"/>'
        + (f"<w:tcBorders>{borders}</w:tcBorders>" if borders else "")
        + (f'<w:shd w:val="clear" w:color="auto" w:fill="{shade}"/>' if shade else "")
        + (f'<w:vAlign w:val="{valign}"/>' if valign else "")
        + f"</w:tcPr>{content}</w:tc>"
    )


def row(cells: str, *, height: int = 0, rule: str = "atLeast", header: bool = False) -> str:
    """Give one table row that never splits over two pages."""
    tall = f'<w:trHeight w:val="{height}" w:hRule="{rule}"/>' if height else ""
    return f"<w:tr><w:trPr><w:cantSplit/>{tall}{'<w:tblHeader/>' if header else ''}</w:trPr>{cells}</w:tr>"


def table(
    rows: str,
    widths: tuple[int, ...],
    *,
    style: str,
    left: int = 0,
    caption: str = "",
    first_row: bool = False,
    last_row: bool = False,
) -> str:
    """Give a table of fixed column widths. `caption` is its name for a screen reader."""
    flags = (0x20 if first_row else 0) | (0x40 if last_row else 0) | 0x600
    grid = "".join(f'<w:gridCol w:w="{width}"/>' for width in widths)
    return (
        f'<w:tbl><w:tblPr><w:tblStyle w:val="{style}"/><w:tblW w:w="{sum(widths)}" w:type="dxa"/>'
        f'<w:tblInd w:w="{left}" w:type="dxa"/><w:tblLayout w:type="fixed"/>'
        f'<w:tblLook w:val="{flags:04X}" w:firstRow="{int(first_row)}" w:lastRow="{int(last_row)}" w:firstColumn="0"'
        ' w:lastColumn="0" w:noHBand="1" w:noVBand="1"/>'
        + (f'<w:tblCaption w:val="{attribute(caption)}"/>' if caption else "")
        + f"</w:tblPr><w:tblGrid>{grid}</w:tblGrid>{rows}</w:tbl>"
    )


def style(
    kind: str,
    name: str,
    *,
    based_on: str = "",
    next_style: str = "",
    priority: int = 0,
    quick: bool = False,
    custom: bool = True,
    default: bool = False,
    paragraph: str = "",
    run: str = "",
    rest: str = "",
    style_id: str = "",
) -> str:
    """Give one style. Its id is the name without spaces, because an office suite may rebuild ids from names."""
    identity = style_id or name.replace(" ", "")
    return (
        f'<w:style w:type="{kind}"'
        + (' w:default="1"' if default else "")
        + (' w:customStyle="1"' if custom else "")
        + f' w:styleId="{identity}"><w:name w:val="{name}"/>'
        + (f'<w:basedOn w:val="{based_on}"/>' if based_on else "")
        + (f'<w:next w:val="{next_style}"/>' if next_style else "")
        + (f'<w:uiPriority w:val="{priority}"/>' if priority else "")
        + ("<w:qFormat/>" if quick else "")
        + f"{paragraph}{run}{rest}</w:style>"
    )


def level(
    depth: int, kind: str, text: str, *, style: str = "", left: int = 0, hanging: int = 0, bold: bool = False
) -> str:
    """Give one level of a list; `text` is the pattern of its number, for example "%1.%2"."""
    return (
        f'<w:lvl w:ilvl="{depth}"><w:start w:val="1"/><w:numFmt w:val="{kind}"/>'
        + (f'<w:pStyle w:val="{style}"/>' if style else "")
        + f'<w:suff w:val="tab"/><w:lvlText w:val="{text}"/><w:lvlJc w:val="left"/>'
        + f"<w:pPr>{tab_stops(('num', left, ''))}{indent(left, 0, hanging)}</w:pPr>"
        + (run_properties(bold=True) if bold else '<w:rPr><w:b w:val="0"/><w:bCs w:val="0"/></w:rPr>')
        + "</w:lvl>"
    )


def abstract_list(number: int, levels: str, kind: str = "multilevel") -> str:
    """Give the definition of a list. Its two identifiers are fixed, so that the same input gives the same bytes."""
    return (
        f'<w:abstractNum w:abstractNumId="{number}"><w:nsid w:val="{0x51A7C000 + number:08X}"/>'
        f'<w:multiLevelType w:val="{kind}"/><w:tmpl w:val="{0x3B9E4000 + number:08X}"/>{levels}</w:abstractNum>'
    )
