"""What the calendar calls the parents and children."""

from __future__ import annotations

from dataclasses import dataclass

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole

OF_THE_SCHEDULE = {
    "regular": "Regular schedule",
    "default": "Regular schedule",
    "summer": "Summer schedule",
    "vacation": "Vacation",
    "holidays": "Holiday",
}


@dataclass(frozen=True, slots=True)
class Names:
    """The names of both parents as the agreement calls them, and of the children together ("Caspian and Wren")."""

    petitioner: str
    respondent: str
    children: str = "the children"

    @classmethod
    def from_facts(cls, facts: Facts, children: tuple[str, ...]) -> Names:
        """The names of a case; `children` are the short names of those whose calendar it is."""
        roles = facts.case.party_labels == "roles"
        first = [facts.children[key].name.first for key in children]
        together = " and ".join([", ".join(first[:-1]), first[-1]] if len(first) > 1 else first) or "the children"
        return cls(
            "Petitioner" if roles else facts.petitioner.name.first,
            "Respondent" if roles else facts.respondent.name.first,
            together,
        )

    def of(self, parent: PartyRole | None) -> str:
        """A parent's name; "nobody" for none."""
        return {"petitioner": self.petitioner, "respondent": self.respondent, None: "nobody"}[parent]

    def letter(self, parent: PartyRole | None) -> str:
        """One letter for a parent: the initial, or P and R if both have the same; a question mark for nobody."""
        one, two = self.petitioner[:1].upper(), self.respondent[:1].upper()
        if one == two or not one or not two:
            one, two = "P", "R"
        return {"petitioner": one, "respondent": two, None: "?"}[parent]
