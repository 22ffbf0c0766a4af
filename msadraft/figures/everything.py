"""Every figure of a case with its working, in the order of the agreement."""

from __future__ import annotations

from dataclasses import dataclass

from msadraft.facts.model import Facts
from msadraft.figures.compute import Figures
from msadraft.figures.figure import Figure
from msadraft.figures.marriage_length import case_marriage_length


@dataclass(frozen=True, slots=True)
class Group:
    """Figures of one subject."""

    title: str
    figures: tuple[Figure, ...]


def all_figures(facts: Facts, figures: Figures) -> tuple[Group, ...]:
    """Every figure that the facts allow, by subject; a subject without figures is left out."""
    length = case_marriage_length(facts)
    groups = (
        Group("Length of the marriage", (length if isinstance(length, Figure) else length.figure,)),
        Group("Procedural dates", figures.dates.all),
        Group("Parenting time", figures.parenting_time.figures if figures.minor_children.keys else ()),
        Group("Child support", figures.child_support.figures if figures.supported_children.keys else ()),
        Group("Support paid to the petitioner", figures.support_of_petitioner.all),
        Group("Support paid to the respondent", figures.support_of_respondent.all),
        Group("Property and debts", (*_property(figures), figures.ledger.figure)),
        Group("The equalizing note", _note(figures)),
    )
    return tuple(group for group in groups if group.figures)


def _note(figures: Figures) -> tuple[Figure, ...]:
    found = figures.note_or_why_not
    return () if found is None else (found if isinstance(found, Figure) else found.figure,)


def _property(figures: Figures) -> tuple[Figure, ...]:
    """The figures of single assets: character, separate credits, plan shares, option and unit shares."""
    found: list[Figure | None] = []
    for key in figures.facts.assets:
        character, units = figures.characters.get(key), figures.stock_units.get(key)
        credit, plan = figures.contributions.get(key), figures.plan_divisions.get(key)
        found += [
            character.figure if character else None,
            credit.figure if credit else None,
            plan.figure if plan else None,
            units.shares.figure if units and units.shares else None,
        ]
    # A plan that stays whole with its member has a figure that says nothing.
    return tuple(f for f in found if f is not None and (f.value is not None or f.steps or f.cautions))
