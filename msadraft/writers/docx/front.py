"""The first page of plain paper: who files it, the court, the parties, the title, the contents."""

from __future__ import annotations

from msadraft.tree import Inline
from msadraft.writers.docx import xml
from msadraft.writers.docx.body import Body
from msadraft.writers.docx.layout import HALF
from msadraft.writers.inline import caption_case, plain


def filers(body: Body) -> list[str]:
    """Give the paragraphs of the upper left corner: the lines of each filer, one paragraph a filer."""
    out = []
    for place, filer in enumerate(body.agreement.caption.filers):
        lines = [body.runs(line) for line in filer.lines]
        if filer.for_whom:
            lines.append(xml.run(filer.for_whom))
        runs = "<w:r><w:br/></w:r>".join(line for line in lines if line)
        apart = f'<w:spacing w:before="{HALF}"/>' if place else ""
        out.append(xml.paragraph(xml.paragraph_properties(style="Filer", spacing=apart), runs))
    return out


def case_line(body: Body, label: str, content: tuple[Inline, ...]) -> str:
    """Give one line of the caption: what it is, then what it says."""
    return xml.paragraph(xml.paragraph_properties(style="CaseLine"), xml.run(f"{label}\t") + body.runs(content))


def plain_front(body: Body) -> str:
    """Give the first page of plain paper."""
    caption = body.agreement.caption
    out = filers(body)
    court = caption_case(caption.county, body.numbering)
    out.append(xml.paragraph(xml.paragraph_properties(style="Court"), xml.run(court)))
    if plain(caption.branch, body.numbering).strip():
        out.append(case_line(body, "Branch", caption.branch))
    out.append(case_line(body, "Petitioner", caption.petitioner))
    out.append(case_line(body, "Respondent", caption.respondent))
    out.append(case_line(body, "Case number", caption.case_number))
    out.append(xml.paragraph(xml.paragraph_properties(style="Title"), xml.run(body.agreement.title)))
    out.append(body.contents())
    return "".join(out)
