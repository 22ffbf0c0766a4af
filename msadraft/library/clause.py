"""One clause: its front matter, strictly read, and its body."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

CLAUSE_ID = r"[a-z][a-z0-9_]*(?:\.[a-z0-9_]+)+"


def _listed(value: object) -> object:
    return (value,) if isinstance(value, str) else value


Texts = Annotated[tuple[str, ...], BeforeValidator(_listed)]


class Clause(BaseModel):
    """One paragraph or group of paragraphs of the library, with the rule that says when it belongs in the paper."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str = Field(pattern=f"^{CLAUSE_ID}$", description="Permanent dotted name")
    heading: str = Field(
        min_length=1, description="Heading that runs in at the first paragraph; a template like the body"
    )
    purpose: str = Field(min_length=1, description="What the clause is for, in one line")
    when: str = Field("always", description="Expression over facts and figures; always = in every paper")
    for_each: str | None = Field(None, description="NAME in EXPRESSION: one instance for each record")
    one_of: str | None = Field(None, description="Group of which exactly one clause applies in every valid case")
    scope: str = Field("always", description="Expression: where the one_of group is decided at all")
    law: Texts = Field((), description="Authority, each with (memory) if it was not re-read")
    answers: Texts = Field(
        (), description="Topics of the court forms that this clause answers; LABEL: TOPIC for one paragraph"
    )
    caution: str = Field("", description="What to tell the user before the clause is accepted")
    after: str | None = Field(None, description="For a firm's own clause: the id that it follows")
    kind: Literal["clause", "signature"] = Field("clause", description="signature: never split over pages")
    body: str = ""
    file: str = ""
    body_line: int = 1

    @property
    def item_name(self) -> str:
        """The loop variable of `for_each`, or ""."""
        return self.for_each.split(" in ", 1)[0].strip() if self.for_each else ""

    @property
    def item_expression(self) -> str:
        """The expression that `for_each` runs over, or ""."""
        return self.for_each.split(" in ", 1)[1].strip() if self.for_each else ""


class Section(BaseModel):
    """One article or exhibit of the outline, and the clauses that may stand in it, in order."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    section: str = Field(pattern=r"^(article|exhibit)\.[a-z_]+$")
    heading: str
    clauses: tuple[str, ...]

    @property
    def kind(self) -> Literal["article", "exhibit"]:
        """An exhibit stands after the signatures and is lettered."""
        return "exhibit" if self.section.startswith("exhibit.") else "article"


FOR_EACH = re.compile(r"[a-z_]+ in \S.*")
