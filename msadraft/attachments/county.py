"""What the local court asks for beyond the statewide rules: a YAML file that the user writes and names in the case.

    county: Sacramento                   # must be the county of the case
    read_on: 2026-05-01                  # when the local rules were read
    source: where they were read
    signatures_notarized: both           # both, respondent, or none
    status_date_proposed: yes            # whether the parties propose the day on which status ends
    parent_class: yes                    # whether a certificate of a class for parents is filed
    papers:                              # a paper of the statewide list, changed; or one more
      judgment: {copies: 3, handed_in: 3}
      cover_sheet: {title: Cover sheet, place: file, originals: 1, copies: 2, note: On top, source: local form}
    envelopes:                           # one more envelope
      - {to: petitioner, purpose: The request to enter default, size: ordinary, back: clerk}
    remarks: [Two-hole punched at the top.]

None is delivered with the program: local rules change, and the user's reading of them is the newest.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from msadraft.facts.case import County
from msadraft.facts.problems import FactsError, Place, Problem, nearest_place
from msadraft.facts.scalars import Day, Key, PartyRole, Whole, Words, YesNo
from msadraft.facts.yaml_tree import read_tree

MOST_BYTES = 200_000
PLACES = Literal["on_file", "file", "attach", "lodge", "serve", "keep"]


class _Part(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class LocalPaper(_Part):
    """A paper of the statewide list as the local court wants it, or one more paper."""

    title: Words | None = None
    form: Words | None = None
    place: PLACES | None = None
    originals: Whole | None = None
    copies: Whole | None = None
    handed_in: Whole | None = None
    not_needed: YesNo = False
    note: Words | None = None
    source: Words | None = None


class LocalEnvelope(_Part):
    """One more envelope."""

    to: PartyRole
    purpose: Words
    size: Literal["large", "ordinary"] = "ordinary"
    back: Literal["sender", "clerk"] = "sender"
    source: Words | None = None


class CountyProfile(_Part):
    """What one court asks for beyond the statewide rules, as the user read it."""

    county: County
    read_on: Day | None = None
    source: Words | None = None
    signatures_notarized: Literal["both", "respondent", "none"] | None = None
    status_date_proposed: YesNo | None = None
    parent_class: YesNo | None = None
    papers: dict[Key, LocalPaper] = Field(default_factory=dict)
    envelopes: tuple[LocalEnvelope, ...] = ()
    remarks: tuple[Words, ...] = ()


def read_profile(file: Path, county: str) -> CountyProfile:
    """Read the profile in `file` for a case in `county`.

    Raises:
        FactsError: it cannot be read or used, or is of another county; each problem names file, line and key.
    """
    text = _text_of(file)
    reading = read_tree(text, file.name)
    problems = list(reading.problems)
    if reading.whole and not problems and not isinstance(reading.tree, dict):
        problems.append(
            _problem(file, "The file should hold keys.", f"Known keys: {', '.join(CountyProfile.model_fields)}.")
        )
    if problems:
        raise FactsError(problems)
    try:
        profile = CountyProfile.model_validate(reading.tree)
    except ValidationError as error:
        raise FactsError(
            [_objection(one["loc"], one["msg"], reading.places, file.name) for one in error.errors(include_url=False)]
        ) from None
    if profile.county != county:
        place = nearest_place(reading.places, "county", file.name)
        raise FactsError(
            [
                Problem(
                    place,
                    "county",
                    f"This profile is of {profile.county}, but the case is in {county}.",
                    "Name another file in case.county_profile, or correct the county.",
                )
            ]
        )
    return profile


def _text_of(file: Path) -> str:
    try:
        if not file.is_file() or os.path.getsize(file) > MOST_BYTES:
            raise FactsError([_problem(file, f"{str(file)!r} is no file of ordinary size.", _CHECK)])
        return file.read_bytes().decode("utf-8-sig")
    except (OSError, ValueError):
        raise FactsError([_problem(file, f"The file {str(file)!r} cannot be read.", _CHECK)]) from None


_CHECK = "case.county_profile names a YAML file, seen from the case folder: check its name."


def _problem(file: Path, what: str, mend: str) -> Problem:
    return Problem(Place(file.name or str(file), 0, 0), "case.county_profile", what, mend)


def _objection(location: tuple[int | str, ...], says: str, places: dict[str, Place], name: str) -> Problem:
    path = ".".join(str(part) for part in location)
    known = sorted(LocalPaper.model_fields if location[:1] == ("papers",) else CountyProfile.model_fields)
    mend = f"Known keys here: {', '.join(known)}." if "Extra inputs" in says else "Correct or delete it."
    what = "This key is not known." if "Extra inputs" in says else f"{says.removeprefix('Value error, ').rstrip('.')}."
    return Problem(nearest_place(places, path, name), path, what[0].upper() + what[1:], mend)
