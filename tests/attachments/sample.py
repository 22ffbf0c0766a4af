"""A small agreement for the tests of the paragraph map. All people in it are invented."""

from __future__ import annotations

from typing import Literal

from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Caption,
    Paragraph,
    Plain,
    Reference,
    Row,
    Section,
    Table,
    Text,
)

MARK = "Round 2 · 1f2e3d4c"

ANSWERS = {
    "children.custody": ("custody.legal", "custody.physical"),
    "children.schedule": ("schedule.regular",),
    "support.paid:petitioner": ("spousal-support.petitioner",),
    "support.paid/stay": ("wage-assignment",),
    "property.awards": ("property.awards.petitioner",),
    "property.more": ("property.awards.petitioner",),
    "property.list": ("property.awards.respondent",),
    "names.back": ("name",),
}


def words(text: str) -> tuple[Text, ...]:
    return (Text(text),)


def paragraph(
    node_id: str, text: str, heading: str = "", level: int = 1, children: tuple[Block, ...] = (), clause: str = ""
) -> Paragraph:
    name = clause or node_id.partition("/")[0].partition(":")[0]
    return Paragraph(node_id, name, level, words(text), words(heading) if heading else (), children)


def agreement(
    numbering: Literal["decimal", "continuous"] = "decimal", title: str = "Marital Settlement Agreement"
) -> Agreement:
    caption = Caption(words("Alameda"), (), words("Ona Brisk"), words("Tam Weller"), words("XX-000000"))
    children = Section(
        "article.children",
        "article",
        words("Children"),
        (
            paragraph("children.custody", "The parents share legal custody.", "Legal custody"),
            paragraph(
                "children.schedule",
                "The children are with each parent for one week at a time, and the week begins on Sunday at six o'clock.",
                "Ordinary weeks",
                children=(
                    paragraph("children.schedule/summer", "In summer the weeks are two.", level=2),
                    paragraph("children.schedule/school", "In term the weeks are one.", level=2),
                ),
            ),
            Plain("children.notice", "children.notice", words("Talk to a lawyer."), "notice"),
        ),
    )
    support = Section(
        "article.support",
        "article",
        words("Support"),
        (
            paragraph(
                "support.paid:petitioner",
                "Tam pays Ona support.",
                "Support of Ona",
                children=(
                    paragraph("support.paid:petitioner/stay", "Withholding is stayed.", level=2),
                    paragraph("support.paid:petitioner/stay-2", "The stay ends after 30 days.", level=2),
                    paragraph("support.paid:petitioner/day", "It is due on the first day.", level=2),
                ),
            ),
            paragraph("support.paid:respondent", "Nobody pays Tam support.", "Support of Tam"),
        ),
    )
    property_ = Section(
        "article.property",
        "article",
        words("Property"),
        (
            Paragraph(
                "property.awards",
                "property.awards",
                1,
                (Text("Ona receives the car, as "), Reference("children.custody"), Text(" and "), Blank("property.day"), Text(" say.")),
                words("To Ona"),
            ),
            paragraph("property.awards/second", "Ona receives the piano."),
            paragraph("property.awards/third", "Ona receives the boat."),
            paragraph("names.back", "=Ona takes her earlier name back.", "+Names"),
            paragraph("property.more", "Ona receives the rest."),
        ),
    )  # fmt: skip
    schedule = Section(
        "exhibit.property",
        "exhibit",
        words("Property schedule"),
        (
            Table(
                "property.list/table",
                "property.list",
                words("To Tam"),
                (words("Asset"), words("Value")),
                (Row("property.list/table/row:1", (words("Van"), words("$9,000.00"))),),
                ("left", "right"),
            ),
        ),
    )
    return Agreement(title, caption, (children, support, property_, schedule), numbering)
