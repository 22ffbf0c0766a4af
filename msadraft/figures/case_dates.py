"""The procedural dates of one case, worked out from its facts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from msadraft.facts.model import Facts
from msadraft.figures import procedure
from msadraft.figures.counting import STATEWIDE, CountingError, CourtCalendar
from msadraft.figures.figure import Figure
from msadraft.law.parameters import LawNotKnownError

FILED, SERVED = "case.petition_filed_on", "case.served_on"
RESPONDED, APPEARED = "case.response_filed_on", "case.appearance_on"


@dataclass(frozen=True, slots=True)
class CaseDates:
    """The dates that follow from the case's own days. A date that the facts do not allow yet is None.

    A figure without a value says in its cautions why there is none.
    """

    response_due: Figure | None
    default_from: Figure | None
    status_from: Figure | None
    petitioner_disclosure_due: Figure | None
    respondent_disclosure_due: Figure | None
    serve_by: Figure | None
    proof_of_service_by: Figure | None
    trial_by: Figure | None

    @property
    def all(self) -> tuple[Figure, ...]:
        """Every date there is, in the order of the procedure."""
        found = (getattr(self, name) for name in self.__dataclass_fields__)
        return tuple(figure for figure in found if figure is not None)


def case_dates(facts: Facts, calendar: CourtCalendar = STATEWIDE) -> CaseDates:
    """Work out the procedural dates of a case. A joint petition needs no service, response or default (Fam. Code § 2331(b))."""
    case = facts.case
    joint, filed, served = case.path == "joint_petition", case.petition_filed_on, case.served_on
    appeared = min((day for day in (case.response_filed_on, case.appearance_on) if day), default=None)
    published = case.service_method in ("publication", "posting")
    counts_from_service = served is not None and not joint and case.service_method not in ("appearance", "joint_filing")

    response = default = status = petitioner = respondent = serve = proof = trial = None
    if counts_from_service and served:
        response = _safe("response_due", (SERVED,), lambda: procedure.response_due(served, calendar, (SERVED,)))
        default = _safe("default_from", (SERVED,), lambda: procedure.default_from(served, calendar, (SERVED,)))
    ends_status = case.proceeding == "dissolution"
    if ends_status and joint and filed:
        status = _safe("status_from", (FILED,), lambda: procedure.status_from(joint_filed_on=filed, facts=(FILED,)))
    elif ends_status and not joint and (served or appeared):
        used = tuple(
            path
            for path, day in ((SERVED, served), (RESPONDED, case.response_filed_on), (APPEARED, case.appearance_on))
            if day
        )
        status = _safe("status_from", used, lambda: procedure.status_from(served, appeared, facts=used))
    if filed:
        paths = (FILED, RESPONDED) if published else (FILED,)
        petitioner = _safe(
            "petitioner_disclosure_due",
            paths,
            lambda: procedure.petitioner_disclosure_due(
                filed, case.response_filed_on, published and not joint, calendar, paths
            ),
        )
        trial = _safe("trial_by", (FILED,), lambda: procedure.trial_by(filed, calendar, (FILED,)))
        if not joint:
            serve = _safe("serve_by", (FILED,), lambda: procedure.serve_by(filed, calendar, (FILED,)))
            proof = _safe(
                "proof_of_service_by", (FILED,), lambda: procedure.proof_of_service_by(filed, calendar, (FILED,))
            )
    answered, path = (filed, FILED) if joint else (case.response_filed_on, RESPONDED)
    if answered:
        respondent = _safe(
            "respondent_disclosure_due",
            (path,),
            lambda: procedure.respondent_disclosure_due(answered, joint, calendar, (path,)),
        )
    return CaseDates(response, default, status, petitioner, respondent, serve, proof, trial)


def _safe(name: str, paths: tuple[str, ...], work: Callable[[], Figure]) -> Figure:
    """The figure, or one without a value that says why: the law of so early a day is not known, or the days do not fit."""
    try:
        return work()
    except (CountingError, LawNotKnownError) as error:
        return Figure(name, None, "date", (), paths, (f"{error}.",))
