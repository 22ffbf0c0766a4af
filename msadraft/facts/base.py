"""What every record of facts shares: strict keys, and a description, privacy class and unit on every fact."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Privacy = Literal["A", "B", "C", "D"]
"""A may print in the filed paper; B personal, prints only where a clause needs it; C restricted, never printed in
full; D safety-sensitive, never printed."""


class Record(BaseModel):
    """A group of facts. An unknown key is an error, and a record never changes once read."""

    model_config = ConfigDict(extra="forbid", frozen=True, str_strip_whitespace=False, revalidate_instances="never")


def fact(says: str, privacy: Privacy = "A", *, default: Any = None, unit: str = "", title: str = "") -> Any:
    """Describe one fact that may be absent.

    Args:
        says: what the fact means, as it is explained to the person who fills it in.
        privacy: where it may appear, see `Privacy`.
        default: what holds when the fact is not given; None means "not known yet".
        unit: the unit of a bare number ("months", "percent"), if its type does not say it.
        title: what a form calls it, where the words of its key would not do.
    """
    extra: dict[str, Any] = {"privacy": privacy, **({"unit": unit} if unit else {})}
    return Field(default, title=title or None, description=says, json_schema_extra=extra)


def needed(says: str, privacy: Privacy = "A", *, title: str = "") -> Any:
    """Describe one fact without which nothing can be drafted."""
    return Field(..., title=title or None, description=says, json_schema_extra={"privacy": privacy})
