"""Paper with numbered lines, for a stipulated judgment that stands alone (Cal. Rules of Court, rules 2.100 to 2.119).

Rule 2.108 asks for at least three line numbers an inch, each level with a line of type: 28 numbers, 24 points
apart, from one inch below the top. Line 8 then starts 3 1/3 inches down, where rule 2.111 puts the court's name.
Local rules may add to this. Measures are twips.
"""

from __future__ import annotations

from msadraft.tree import Agreement
from msadraft.writers.docx import xml
from msadraft.writers.docx.body import Body
from msadraft.writers.docx.front import case_line, filers
from msadraft.writers.docx.layout import HALF, LINES, PAGE_HEIGHT, PAGE_WIDTH, PITCH, TEXT_WIDTH
from msadraft.writers.docx.parts import (
    FOOTER_RELATION,
    HEADER_RELATION,
    banner,
    footer,
    header,
    initials,
    page_of_pages,
)
from msadraft.writers.inline import caption_case, plain
from msadraft.writers.stamp import Stamp

_TOP, _LEFT, _RIGHT = 1440, 2160, 720
_CLERK_LINES = 7
_FILER_WIDTH = 5040
_FILER_LETTERS = 40
_TITLE_LETTERS = 80


def pleading_header(stamp: Stamp) -> str:
    """Give the header: the column of line numbers in a frame at the left edge, and the banner above the text."""
    frame = (
        f'<w:framePr w:w="500" w:h="{LINES * PITCH}" w:hRule="exact" w:hSpace="0" w:wrap="around" w:vAnchor="page"'
        f' w:hAnchor="page" w:x="1300" w:y="{_TOP}"/>'
    )
    properties = xml.paragraph_properties(
        style="Header", frame=frame, plain_lines=True, spacing=xml.spacing(0, 0, PITCH, "exact"), align="right"
    )
    numbers = "".join(xml.paragraph(properties, xml.run(str(n))) for n in range(1, LINES + 1))
    tiny = xml.paragraph(xml.paragraph_properties(style="Header", spacing=xml.spacing(0, 0, 20, "exact")), "")
    return header(numbers + (banner(stamp) or tiny))


def pleading_footer(agreement: Agreement, stamp: Stamp) -> str:
    """Give the footer: mark, page number and initials, a rule, and the title below it (rules 2.109 and 2.110)."""
    first = xml.paragraph_properties(
        style="Footer", borders=xml.border("bottom", 6, 1), spacing=xml.spacing(0, 0, HALF, "exact")
    )
    line = xml.run(f"{stamp.mark}\t") + page_of_pages() + xml.run(f"\t{initials(agreement)}")
    second = xml.paragraph_properties(style="Footer", spacing=xml.spacing(0, 0, HALF, "exact"), align="center")
    return footer(xml.paragraph(first, line) + xml.paragraph(second, xml.run(_short(agreement.title))))


def _short(title: str) -> str:
    """Give a clear abbreviation of a long title (rule 2.110 allows one)."""
    if len(title) <= _TITLE_LETTERS:
        return title
    return title[:_TITLE_LETTERS].rsplit(" ", 1)[0] + " …"


def pleading_front(body: Body) -> str:
    """Give the first page: filer, space for the clerk, the court on line 8, parties at left, number and title at right."""
    caption = body.agreement.caption
    clerk_space = (TEXT_WIDTH - _FILER_WIDTH,)
    corner = "".join(filers(body)) or xml.paragraph(xml.paragraph_properties(style="Filer"), "")
    empty = xml.paragraph(xml.paragraph_properties(style="Filer"), "")
    height, rule = _corner_height(body)
    top = xml.table(
        xml.row(xml.cell(_FILER_WIDTH, corner) + xml.cell(clerk_space[0], empty), height=height, rule=rule),
        (_FILER_WIDTH, *clerk_space),
        style="PageGrid",
    )
    out = [top]
    court = xml.paragraph_properties(style="Court")
    out.append(xml.paragraph(court, xml.run(caption_case(caption.county, body.numbering))))
    branch = plain(caption.branch, body.numbering).strip()
    out.append(xml.paragraph(court, xml.run(branch or "FAMILY LAW")))
    half = TEXT_WIDTH // 2
    left = (
        case_line(body, "Petitioner:", caption.petitioner)
        + xml.paragraph(xml.paragraph_properties(style="CaseLine"), xml.run("and"))
        + case_line(body, "Respondent:", caption.respondent)
        # A leader draws the rule: unlike a border it adds nothing to the height of the lines.
        + xml.paragraph(
            xml.paragraph_properties(
                style="CaseLine", tabs=xml.tab_stops(("clear", 1872, ""), ("left", half - 60, "underscore"))
            ),
            xml.run("\t"),
        )
    )
    title = xml.paragraph(
        xml.paragraph_properties(style="CaseLine", indent=xml.indent(200)),
        xml.run(body.agreement.title, xml.run_properties(bold=True)),
    )
    number = xml.paragraph(
        xml.paragraph_properties(style="CaseLine", indent=xml.indent(200)),
        xml.run("Case No. ") + body.runs(caption.case_number),
    )
    row = xml.row(
        xml.cell(half, left, borders=xml.border("right", 4)) + xml.cell(TEXT_WIDTH - half, number + title),
        height=4 * PITCH,
    )
    out.append(xml.table(row, (half, TEXT_WIDTH - half), style="PageGrid"))
    out.append(body.contents())
    return "".join(out)


def _corner_height(body: Body) -> tuple[int, str]:
    """Give the height of the corner in whole lines; lines 1 to 7 at least, so that the court stands on line 8."""
    halves = max(0, len(body.agreement.caption.filers) - 1)  # a line stands free between two filers
    for filer in body.agreement.caption.filers:
        lines = [plain(line, body.numbering) for line in filer.lines] + [filer.for_whom]
        halves += sum(1 + len(line) // _FILER_LETTERS for line in lines if line)
    lines_needed = max(_CLERK_LINES, -(-halves // 2))
    return lines_needed * PITCH, "exact" if lines_needed == _CLERK_LINES else "atLeast"


def pleading_section() -> str:
    """Give the section properties: margins of rule 2.107, a double rule at left and a single one at right."""
    rules = xml.border("left", 4, 8, kind="double") + xml.border("right", 4, 4)
    bottom = PAGE_HEIGHT - _TOP - LINES * PITCH
    return (
        f'<w:sectPr><w:headerReference w:type="default" r:id="{HEADER_RELATION}"/>'
        f'<w:footerReference w:type="default" r:id="{FOOTER_RELATION}"/>'
        f'<w:pgSz w:w="{PAGE_WIDTH}" w:h="{PAGE_HEIGHT}"/><w:pgMar w:top="{_TOP}" w:right="{_RIGHT}" w:bottom="{bottom}"'
        f' w:left="{_LEFT}" w:header="360" w:footer="300" w:gutter="0"/>'
        f'<w:pgBorders w:display="allPages" w:offsetFrom="text">{rules}</w:pgBorders></w:sectPr>'
    )
