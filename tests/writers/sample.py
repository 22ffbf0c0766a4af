"""A made-up agreement with every kind of node, for the tests of the writers. All people in it are invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from msadraft.tree import (
    Agreement,
    Blank,
    Block,
    Caption,
    Filer,
    Inline,
    Paragraph,
    Plain,
    Reference,
    Row,
    Section,
    Signature,
    Table,
    Text,
)
from msadraft.writers.stamp import Stamp

STAMP = Stamp(mark="Round 3 · 7f3a91c2", ready=True)
DRAFT = Stamp(mark="Round 3 · 7f3a91c2", ready=False)

Parts = str | Inline | tuple[Inline, ...]


def words(*parts: Parts) -> tuple[Inline, ...]:
    """Build content from strings and inlines."""
    out: list[Inline] = []
    for part in parts:
        if isinstance(part, str):
            out.append(Text(part))
        elif isinstance(part, tuple):
            out.extend(part)
        else:
            out.append(part)
    return tuple(out)


def paragraph(
    node_id: str, heading: str, *content: Parts, level: int = 1, children: tuple[Block, ...] = ()
) -> Paragraph:
    """Build a numbered paragraph whose clause is its id."""
    return Paragraph(node_id, node_id, level, words(*content), words(heading) if heading else (), children)


def row(node_id: str, *cells: Parts) -> Row:
    """Build a table row."""
    return Row(node_id, tuple(words(cell) for cell in cells))


MONEY = Text("$1,250.00", source="child_support.amount")


def caption() -> Caption:
    """Build the heading of an invented case."""
    return Caption(
        county=words("Alameda"),
        branch=words("Hayward Hall of Justice"),
        petitioner=(Text("Maribel Quintero Ashworth", source="parties.petitioner.name"),),
        respondent=(Text("Desmond Ashworth", source="parties.respondent.name"),),
        case_number=(Text("HF00-000000", source="case.number"),),
        filers=(
            Filer(
                lines=(
                    words("Ottoline Brandt (SBN 000000)"),
                    words("14 Example Street, Suite 9"),
                    words("Hayward, California 94541"),
                    words("Telephone 510-555-0100"),
                    words("o.brandt@example.org"),
                ),
                for_whom="Attorney for Petitioner",
            ),
        ),
    )


def _articles() -> tuple[Section, ...]:
    background = Section(
        "article.background",
        "article",
        words("Background"),
        (
            paragraph(
                "background.parties",
                "Parties",
                "This agreement is between ",
                Text("Maribel Quintero Ashworth", source="parties.petitioner.name"),
                " and ",
                Text("Desmond Ashworth", source="parties.respondent.name"),
                ". They married on ",
                Text("June 14, 2008", source="marriage.date"),
                " and separated on ",
                Blank("separation.date"),
                ".",
            ),
            paragraph(
                "background.purpose",
                "What this agreement does",
                "It settles every question of the marriage that the parties can settle between themselves. Property is "
                "divided in paragraph ",
                Reference("property.division"),
                ", and support is set in article ",
                Reference("article.support"),
                ". The schedule is ",
                Reference("exhibit.schedule"),
                ".",
            ),
            Plain(
                "background.notice",
                "background.notice",
                words(
                    "Each party may ask a lawyer of that party's own choice before signing. Signing without one is a decision "
                    "with lasting results."
                ),
                kind="notice",
            ),
        ),
    )
    support = Section(
        "article.support",
        "article",
        words("Child support"),
        (
            paragraph(
                "support.amount",
                "Amount",
                "Respondent will pay Petitioner ",
                MONEY,
                " a month for the children, from ",
                Text("October 1, 2026", source="child_support.start"),
                " on, in the way that paragraph ",
                Reference("support.payment.day"),
                " says.",
                children=(
                    paragraph(
                        "support.payment",
                        "",
                        "Payment is made as follows:",
                        level=2,
                        children=(
                            paragraph(
                                "support.payment.day",
                                "",
                                "half on the first and half on the fifteenth day of each month;",
                                level=3,
                            ),
                            paragraph(
                                "support.payment.way",
                                "",
                                "by transfer to the account that Petitioner names in writing, unless a wage "
                                "assignment is in force;",
                                level=3,
                            ),
                        ),
                    ),
                    paragraph(
                        "support.end",
                        "",
                        "Support for a child ends when the law ends it, or when paragraph ",
                        Reference("support.payment"),
                        " is replaced by a court order.",
                        level=2,
                    ),
                    Plain(
                        "support.note",
                        "support.amount",
                        words("The working behind this amount is attached to the judgment."),
                    ),
                ),
            ),
            paragraph("support.figures", "Figures", "The amount rests on these figures:"),
            Table(
                "support.table",
                "support.figures",
                words("Monthly income used"),
                (words("Party"), words("Gross income"), words("Net disposable income")),
                (
                    row(
                        "support.table:petitioner",
                        "Petitioner",
                        Text("$6,200.00", source="income.petitioner.gross"),
                        "$4,815.00",
                    ),
                    row(
                        "support.table:respondent",
                        "Respondent",
                        Text("$8,900.00", source="income.respondent.gross"),
                        "$6,420.00",
                    ),
                ),
                ("left", "right", "right"),
                row("support.table:total", "Both", "$15,100.00", "$11,235.00"),
            ),
            paragraph(
                "support.changes",
                "Changes of income",
                "A party whose gross income changes by more than ten percent tells the other "
                "within thirty days, with the two latest pay records. See the figures under paragraph ",
                Reference("support.table"),
                ".",
            ),
        ),
    )
    property_ = Section(
        "article.property",
        "article",
        words("Property and debts"),
        (
            paragraph(
                "property.division",
                "Division",
                "Each party takes, as that party's own property, what ",
                Reference("exhibit.schedule"),
                " lists in that party's column, and pays the debts listed there.",
                children=tuple(
                    paragraph(f"property.item:{key}", "", text, level=2)
                    for key, text in (
                        ("home", "The house at 22 Invented Lane is sold, and the net proceeds are shared equally."),
                        ("car", "Petitioner keeps the 2019 wagon and its loan."),
                        ("pension", "The pension is divided by a separate order, which the court keeps power to make."),
                    )
                ),
            ),
            paragraph(
                "property.equalize",
                "Equalizing payment",
                "To make the division equal, Respondent pays Petitioner ",
                Text("$18,437.50", source="figures.equalization"),
                " by ",
                Blank("equalization.due"),
                ". Any part not paid then bears interest at the legal rate. ",
                Text("This payment is not support.", italic=True),
            ),
        ),
    )
    general = Section(
        "article.general",
        "article",
        words("General terms"),
        tuple(
            paragraph(f"general.{n}", heading, text)
            for n, (heading, text) in enumerate(
                (
                    (
                        "Whole agreement",
                        "This paper is the whole agreement of the parties on its subjects. What was said or written before it "
                        "does not add to it or change it.",
                    ),
                    (
                        "Changes",
                        "A change is good only in writing, signed by both parties, and, where the law asks for it, approved by the court.",
                    ),
                    (
                        "Further papers",
                        "Each party signs, within ten days after the other asks, every paper that is needed to carry this out.",
                    ),
                    (
                        "Fees",
                        "If one of the parties has to go to court to enforce this agreement, the court may award fees as the law allows.",
                    ),
                    ("Severed terms", "If a court finds one term without effect, the rest stands."),
                    ("Copies", "The parties may sign separate copies. Together the copies are one agreement."),
                )
            )
        ),
    )
    signing = Section(
        "article.signatures",
        "article",
        words("Signatures"),
        (
            paragraph(
                "signatures.read",
                "Read before signing",
                "Each party has read all of this agreement and signs it freely.",
            ),
            Signature(
                "sign.petitioner",
                "signatures",
                words(Text("Maribel Quintero Ashworth", source="parties.petitioner.name")),
                words("Petitioner"),
            ),
            Signature(
                "sign.respondent",
                "signatures",
                words(Text("Desmond Ashworth", source="parties.respondent.name")),
                words("Respondent"),
            ),
            Signature(
                "sign.attorney",
                "signatures",
                words("Ottoline Brandt"),
                words("Attorney for Petitioner"),
                statement=words("Approved as to form:"),
                lines=("Date", "State Bar number"),
            ),
            Plain(
                "sign.notary",
                "signatures",
                words("A notary's certificate of acknowledgment for Respondent's signature belongs here."),
                kind="place",
            ),
        ),
    )
    return background, support, property_, general, signing


def _exhibits(rows: int) -> tuple[Section, ...]:
    schedule = Section(
        "exhibit.schedule",
        "exhibit",
        words("Property and debts schedule"),
        (
            paragraph(
                "schedule.reading", "How to read it", "A value is the net value to the party who takes the thing."
            ),
            Table(
                "schedule.table",
                "schedule",
                words("Community property and debts"),
                (words("Thing or debt"), words("How it was valued"), words("To Petitioner"), words("To Respondent")),
                tuple(
                    row(
                        f"asset:{n}",
                        f"Item {n}, a savings account ending in {n:04d}",
                        "statement of June 30, 2026",
                        f"${n * 125:,}.00",
                        "",
                    )
                    for n in range(1, rows + 1)
                ),
                ("left", "left", "right", "right"),
                row("schedule.total", "Total", "", f"${125 * rows * (rows + 1) // 2:,}.00", "$0.00"),
            ),
        ),
    )
    holidays = Section(
        "exhibit.holidays",
        "exhibit",
        words("Holidays"),
        (
            Table(
                "holidays.table",
                "holidays",
                words("Holidays shared"),
                (words("Holiday"), words("Even years"), words("Odd years")),
                (
                    row("holiday:spring", "Spring break", "Petitioner", "Respondent"),
                    row("holiday:winter", "Winter break, first half", "Respondent", "Petitioner"),
                ),
                ("left", "left", "left"),
            ),
            paragraph(
                "holidays.rule",
                "",
                "A holiday named here goes before the weekly plan; see paragraph ",
                Reference("schedule.reading"),
                ".",
                children=(paragraph("holidays.hours", "", "It starts at nine in the morning.", level=2),),
            ),
        ),
    )
    return schedule, holidays


def agreement(
    numbering: Literal["decimal", "continuous"] = "decimal",
    layout: Literal["plain", "pleading"] = "plain",
    rows: int = 40,
) -> Agreement:
    """Build the sample, with `rows` rows in its longest table."""
    return Agreement(
        title="Marital Settlement Agreement",
        caption=caption(),
        sections=(*_articles(), *_exhibits(rows)),
        numbering=numbering,
        layout=layout,
        initials=("MA", "DA"),
        dated="2026-09-15",
    )


def with_text(text: str) -> Agreement:
    """Build the sample with `text` in a paragraph, a heading, a table cell, a name and the title."""
    base = agreement(rows=2)
    filled = Text(text, source="hostile.text")
    extra = Section(
        "article.extra",
        "article",
        (filled,),
        (
            Paragraph("extra.paragraph", "extra", 1, (Text("before "), filled, Text(" after")), (filled,)),
            Table("extra.table", "extra", (filled,), ((filled,),), (Row("extra:row", ((filled,),)),), ("left",)),
            Plain("extra.notice", "extra", (filled,), "notice"),
            Signature("extra.sign", "extra", (filled,), (filled,), (filled,)),
        ),
    )
    return replace(base, sections=(*base.sections, extra), title=f"Title {text}")
