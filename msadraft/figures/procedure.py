"""The dates of the procedure, from service to the time after judgment, each as a figure with its counting shown.

Every function takes plain days and gives a `Figure` whose value is the day on which the act is still in time, or
from which it may be done. The days move off weekends and court holidays where the act has to be done with the court
(Code Civ. Proc. § 12a); the end of marital status is no such act and stays where it falls. A local closure of one
court is given by the calendar. All of it is for planning: the court, its local rules and a stipulation can change it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from msadraft.figures.counting import ONE_DAY, STATEWIDE, CountingError, CourtCalendar, add_months, written
from msadraft.figures.deadlines import Counted, deadline, first, off_holiday, period
from msadraft.figures.figure import Figure, Step
from msadraft.law.parameters import law

ServiceMethod = Literal[
    "personal",
    "substituted",
    "mail_acknowledged",
    "mail_outside",
    "publication",
    "posting",
    "appearance",
    "joint_filing",
]
LaterService = Literal[
    "mail_in_state", "mail_other_state", "mail_address_programme", "mail_abroad", "overnight", "fax", "electronic"
]
SetAside = Literal["fraud", "perjury", "duress", "incapacity", "mistake", "disclosure"]

KEPT_ALIVE = (
    "The petition is not dismissed under these sections while an order for support, custody or visitation, or a domestic "
    "violence order, stands, or after an issue was tried apart (Code Civ. Proc. § 583.161). Tolling and a written "
    "extension are not counted here."
)


@dataclass(frozen=True, slots=True)
class _Manner:
    event: str
    waiting: str | None
    source: str


SERVICE: Mapping[str, _Manner] = {
    "personal": _Manner("delivered in person", None, "Code Civ. Proc. § 415.10"),
    "substituted": _Manner("mailed after papers were left", "service_substituted", "Code Civ. Proc. § 415.20(b)"),
    "mail_acknowledged": _Manner("acknowledgment signed", None, "Code Civ. Proc. § 415.30(c)"),
    "mail_outside": _Manner("mailed outside California", "service_mail_outside", "Code Civ. Proc. § 415.40"),
    "publication": _Manner("first published", "service_publication", "Code Civ. Proc. § 415.50(c)"),
    "posting": _Manner("first posted", "service_posting", "Cal. Rules of Court, rule 5.72"),
    "appearance": _Manner("appearance filed", None, "Code Civ. Proc. §§ 410.50, 1014"),
    "joint_filing": _Manner("joint petition filed", None, "Fam. Code § 2331(b)"),
}
"""By manner of service: what happens on the day that counting starts from, the wait after it, and the source."""

_AGAINST: Mapping[str, str] = {
    "fraud": "fraud was or should have been discovered",
    "perjury": "perjury was or should have been discovered",
    "duress": "judgment entered",
    "incapacity": "judgment entered",
    "mistake": "judgment entered",
    "disclosure": "failure to disclose was or should have been discovered",
}


# Service and response


def service_complete(method: ServiceMethod, day: date, facts: tuple[str, ...] = ()) -> Figure:
    """The day on which service is complete.

    `day` is what the method counts from: delivery; the follow-up mailing; signature of the acknowledgment; mailing;
    first publication; first posting; the filing that counts as appearance.

    Raises:
        CountingError: the method is not one of those known.
    """
    manner = SERVICE.get(method)
    if manner is None:
        raise CountingError(f"{method!r} is no manner of service known here; use one of {', '.join(SERVICE)}")
    if manner.waiting is None:
        step = Step("Service is complete", f"on the day: {manner.event}", written(day), manner.source)
        return Figure("service_complete", day, "date", (step,), facts)
    cautions = {
        "mail_outside": (
            "The proof of service has to show that the papers were actually delivered (Code Civ. Proc. § 417.20(a)).",
        ),
        "posting": ("The 28 days of posting are from memory; the court's order says which days count.",),
    }.get(method, ())
    return deadline(manner.waiting, day, manner.event).figure("service_complete", facts, cautions)


def acknowledgment_due(mailed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day to return the acknowledgment without owing the cost of other service (Code Civ. Proc. § 415.30(d))."""
    return deadline("acknowledgment_return", mailed_on, "acknowledgment mailed", calendar).figure(
        "acknowledgment_due", facts
    )


def response_due(completed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day to respond: 30 days after service is complete (Fam. Code § 2020)."""
    return deadline("response", completed_on, "service complete", calendar).figure("response_due", facts)


def default_from(completed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The first court day on which default may be requested: after the last day to respond (Code Civ. Proc. § 585)."""
    counted = deadline("response", completed_on, "service complete", calendar)
    after = counted.day + ONE_DAY
    opens = calendar.next_open(after)
    steps = (
        *counted.steps,
        Step("The day after", f"{written(counted.day)} + 1 day", written(after), "Code Civ. Proc. § 585"),
    )
    if opens != after:
        steps = (*steps, off_holiday(after, opens, calendar))
    return Figure(
        "default_from",
        opens,
        "date",
        steps,
        facts,
        tuple(dict.fromkeys((*counted.cautions, *calendar.cautions(opens)))),
    )


def amended_joint_response_due(
    served_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day to answer the amended petition that ends a joint petition (Fam. Code § 2342.5(b)(2))."""
    return deadline("amended_joint_response", served_on, "amended petition served", calendar).figure(
        "amended_joint_response_due", facts
    )


def later_paper(
    name: str,
    start: date,
    event: str,
    manner: LaterService,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """A period after service of a later paper by mail or the like: lengthened for the manner, then off holidays.

    `name` is a period of the law data. Sources: Code Civ. Proc. §§ 1013, 1010.6(a)(3). Not for the response to a summons,
    a notice of appeal, a new trial or vacating (§ 1013(a)).

    Raises:
        CountingError: the manner is unknown, or the period is one that is not lengthened.
    """
    if name.startswith(("appeal", "new_trial")) or name == "response":
        raise CountingError(
            f"the period {name} is not lengthened for the manner of service (Code Civ. Proc. §§ 415.10 and following, 1013(a))"
        )
    rows = {row["manner"]: row for row in law("dates/service_extension", start).rows}
    if manner not in rows:
        raise CountingError(f"{manner!r} is no manner of service of a later paper; use one of {', '.join(rows)}")
    rule, row = period(name, start), rows[manner]
    counted = deadline(name, start, event, calendar)
    length = int(row["length"])
    if row["unit"] == "court_days":
        end = _court_days(counted.counted_on, -length if rule.backward else length, calendar)
    else:
        end = date.fromordinal(counted.counted_on.toordinal() + (-length if rule.backward else length))
    moved = calendar.last_open(end) if rule.backward else calendar.next_open(end)
    unit = "court days" if row["unit"] == "court_days" else "days"
    sign = "-" if rule.backward else "+"
    steps: tuple[Step, ...] = (
        counted.steps[0],
        Step(
            "Longer for the manner of service",
            f"{written(counted.counted_on)} {sign} {length} {unit} ({manner.replace('_', ' ')})",
            written(end),
            row["source"],
        ),
    )
    if moved != end:
        steps = (*steps, off_holiday(end, moved, calendar))
    return Figure(name, moved, "date", steps, facts, calendar.cautions(end, moved))


def _court_days(day: date, number: int, calendar: CourtCalendar) -> date:
    if number >= 0:
        return calendar.add_court_days(day, number)
    for _ in range(-number):
        day = calendar.last_open(day - ONE_DAY)
    return day


# The end of marital status


@dataclass(frozen=True, slots=True)
class RevokedSummary:
    """A joint filing for summary dissolution that was revoked before a regular petition was filed (Fam. Code § 2342)."""

    filed_on: date
    revoked_on: date
    new_petition_on: date


def status_from(
    served_on: date | None = None,
    appeared_on: date | None = None,
    joint_filed_on: date | None = None,
    revoked: RevokedSummary | None = None,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """The first day on which marital status can end: the day after six months from service or appearance.

    Source: Fam. Code § 2339(a); six months have to have expired, so the day after is the first. The day does not move
    off weekends or holidays: nothing has to be done on it. Filing of a joint petition is service and appearance
    (§ 2331(b)) and rules even if the petition becomes a regular one later (§ 2342.5(b)(3)).

    Raises:
        CountingError: no day is given, or the days of a revoked summary filing are out of order.
    """
    events = [
        (day, words)
        for day, words in (
            (joint_filed_on, "joint petition filed"),
            (served_on, "service complete"),
            (appeared_on, "respondent appeared"),
        )
        if day
    ]
    if not events:
        raise CountingError(
            "the end of status needs the day of service, of appearance, or of the joint petition's filing"
        )
    start, event = min(events)
    steps: tuple[Step, ...] = ()
    if len(events) > 1:
        compared = " and ".join(f"{written(day)} ({words})" for day, words in sorted(events))
        steps = (Step("First event", f"the earlier of {compared}", written(start), "Fam. Code § 2339(a)"),)
    counted = deadline("status", start, event)
    opens = counted.day + ONE_DAY
    steps = (
        *steps,
        *counted.steps,
        Step("Six months have expired", f"{written(counted.day)} + 1 day", written(opens), "Fam. Code § 2339(a)"),
    )
    if revoked:
        opens, credit = _summary_credit(opens, revoked, calendar)
        steps = (*steps, credit)
    return Figure("status_from", opens, "date", steps, facts)


def _summary_credit(opens: date, revoked: RevokedSummary, calendar: CourtCalendar) -> tuple[date, Step]:
    if not revoked.filed_on <= revoked.revoked_on <= revoked.new_petition_on:
        raise CountingError(
            "a revoked summary filing needs its filing first, then the revocation, then the new petition"
        )
    last = deadline("summary_revocation_credit", revoked.revoked_on, "revocation filed", calendar).day
    if revoked.new_petition_on > last:
        formula = f"the new petition came after {written(last)}, so nothing is taken off"
        return opens, Step("Revoked summary filing", formula, written(opens), "Fam. Code § 2342")
    days = (revoked.revoked_on - revoked.filed_on).days
    earlier = date.fromordinal(opens.toordinal() - days)
    formula = f"{written(opens)} - {days} days ({written(revoked.filed_on)} to {written(revoked.revoked_on)})"
    return earlier, Step("Revoked summary filing", formula, written(earlier), "Fam. Code § 2342")


def status_ends(opens_on: date, entered_on: date, agreed_on: date | None = None, facts: tuple[str, ...] = ()) -> Figure:
    """The day on which status ends: the latest of the first lawful day, entry of judgment, and a day agreed on."""
    days = [day for day in (opens_on, entered_on, agreed_on) if day]
    shown = ", ".join(written(day) for day in days)
    ends = max(days)
    step = Step("Status ends", f"the latest of {shown}", written(ends), "Fam. Code §§ 2339, 2340, 2343")
    return Figure("status_ends", ends, "date", (step,), facts)


def summary_judgment_from(filed_on: date, facts: tuple[str, ...] = ()) -> Figure:
    """The first day for judgment in a summary dissolution: after six months from the joint filing (Fam. Code § 2403)."""
    counted = deadline("summary_judgment", filed_on, "joint petition filed")
    opens = counted.day + ONE_DAY
    steps = (
        *counted.steps,
        Step("Six months have expired", f"{written(counted.day)} + 1 day", written(opens), "Fam. Code § 2403"),
    )
    return Figure("summary_judgment_from", opens, "date", steps, facts)


def partnership_ends(filed_on: date, facts: tuple[str, ...] = ()) -> Figure:
    """The day on which a notice of termination ends a registered partnership: six months after filing (Fam. Code § 299(b))."""
    return deadline("partnership_termination", filed_on, "notice of termination filed").figure(
        "partnership_ends", facts
    )


# Disclosure


def petitioner_disclosure_due(
    petition_filed_on: date,
    response_filed_on: date | None = None,
    by_publication: bool = False,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """The last day for the petitioner's preliminary declaration of disclosure (Fam. Code § 2104(f)).

    After service by publication or posting it is due 30 days after a response; while there is no response, no day runs,
    and the figure has no value but a caution (§ 2110).
    """
    if not by_publication:
        counted = deadline("preliminary_disclosure_petitioner", petition_filed_on, "petition filed", calendar)
        return counted.figure("petitioner_disclosure_due", facts)
    if response_filed_on is None:
        caution = (
            "After service by publication or posting, the petitioner's preliminary declaration is due only once a response is "
            "filed (Fam. Code §§ 2104, 2110)."
        )
        return Figure("petitioner_disclosure_due", None, "date", (), facts, (caution,))
    counted = deadline("preliminary_disclosure_after_publication", response_filed_on, "response filed", calendar)
    return counted.figure("petitioner_disclosure_due", facts)


def respondent_disclosure_due(
    filed_on: date, joint: bool = False, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day for the respondent's preliminary declaration: 60 days after the response, or a joint petition's filing.

    Sources: Fam. Code §§ 2104(f), 2342.5(g) (that both joint petitioners have 60 days from filing follows from the two).
    """
    event = "joint petition filed" if joint else "response filed"
    return deadline("preliminary_disclosure_respondent", filed_on, event, calendar).figure(
        "respondent_disclosure_due", facts
    )


def final_disclosure_due(trial_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day to serve the final declaration if the case is tried: 45 days before trial (Fam. Code § 2105(a)).

    Where the parties settle, it is due before or when they sign the agreement, or waived together (§ 2105(d)).
    """
    caution = (
        "In a settlement it is due by the signing of the agreement, unless both waive it (Fam. Code § 2105(a), (d))."
    )
    return deadline("final_disclosure", trial_on, "first assigned trial date", calendar).figure(
        "final_disclosure_due", facts, (caution,)
    )


# Dismissal


def serve_by(petition_filed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day to serve the summons: three years after filing (Code Civ. Proc. § 583.210(a))."""
    return deadline("serve_summons", petition_filed_on, "petition filed", calendar).figure(
        "serve_by", facts, (KEPT_ALIVE,)
    )


def proof_of_service_by(
    petition_filed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day to file the proof of service: 60 days after the time to serve has run (Code Civ. Proc. § 583.210(b)).

    Counted from the third anniversary of filing itself, not from a day moved off a holiday: the earlier, safer day.
    """
    served = deadline("serve_summons", petition_filed_on, "petition filed", calendar)
    proof = deadline("proof_of_service", served.counted_on, "time to serve ends", calendar)
    counted = Counted(proof.counted_on, proof.day, (served.steps[0], *proof.steps), proof.cautions)
    return counted.figure("proof_of_service_by", facts, (KEPT_ALIVE,))


def trial_by(petition_filed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day to bring the case to trial: five years after filing (Code Civ. Proc. § 583.310)."""
    return deadline("bring_to_trial", petition_filed_on, "petition filed", calendar).figure(
        "trial_by", facts, (KEPT_ALIVE,)
    )


def may_be_dismissed_from(petition_filed_on: date, served: bool, facts: tuple[str, ...] = ()) -> Figure:
    """The day after which the court may dismiss for delay: two years unserved, three untried (Code Civ. Proc. § 583.420(a))."""
    name = "dismissal_untried" if served else "dismissal_unserved"
    counted = deadline(name, petition_filed_on, "petition filed")
    return Figure("may_be_dismissed_from", counted.counted_on, "date", counted.steps[:1], facts, (KEPT_ALIVE,))


# After judgment


def appeal_by(
    entered_on: date,
    notice_served_on: date | None = None,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """The last day to file a notice of appeal (Cal. Rules of Court, rule 8.104(a)): the earlier of two periods.

    60 days after service of notice of entry or of a file-stamped copy; 180 days after entry. Mailing adds nothing.
    """
    return _after_judgment(
        "appeal", entered_on, notice_served_on, "Cal. Rules of Court, rule 8.104(a)(1)", calendar
    ).figure("appeal_by", facts)


def new_trial_notice_by(
    entered_on: date,
    notice_served_on: date | None = None,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """The last day for notice of intention to move for a new trial or to vacate (Code Civ. Proc. §§ 659, 663a)."""
    return _after_judgment("new_trial", entered_on, notice_served_on, "Code Civ. Proc. §§ 659, 663a", calendar).figure(
        "new_trial_notice_by", facts
    )


def _after_judgment(
    stem: str, entered_on: date, notice_served_on: date | None, source: str, calendar: CourtCalendar
) -> Counted:
    if notice_served_on and notice_served_on < entered_on:
        raise CountingError("notice of entry cannot be served before judgment is entered")
    ends = [deadline(f"{stem}_after_entry", entered_on, "judgment entered", calendar)]
    if notice_served_on:
        ends.insert(0, deadline(f"{stem}_after_notice", notice_served_on, "notice of entry served", calendar))
    return first(tuple(ends), "Earlier of the two", source)


def relief_for_mistake_by(entered_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The outer limit for relief from mistake or excusable neglect: six months (Code Civ. Proc. § 473(b))."""
    caution = "The motion also has to be made within a reasonable time."
    return deadline("relief_for_mistake", entered_on, "judgment entered", calendar).figure(
        "relief_for_mistake_by", facts, (caution,)
    )


def relief_no_notice_by(
    entered_on: date,
    default_notice_served_on: date | None = None,
    calendar: CourtCalendar = STATEWIDE,
    facts: tuple[str, ...] = (),
) -> Figure:
    """The outer limit for relief where a default came without actual notice (Code Civ. Proc. § 473.5(a)).

    The earlier of two years from entry and 180 days from service of a written notice that the default or default judgment was entered.
    """
    ends = [deadline("relief_no_notice_after_entry", entered_on, "default judgment entered", calendar)]
    if default_notice_served_on:
        ends.insert(
            0, deadline("relief_no_notice_after_notice", default_notice_served_on, "written notice served", calendar)
        )
    counted = first(tuple(ends), "Earlier of the two", "Code Civ. Proc. § 473.5(a)")
    return counted.figure("relief_no_notice_by", facts, ("The motion also has to be made within a reasonable time.",))


def set_aside_by(
    ground: SetAside, counted_from: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day to ask that a judgment be set aside on a ground of Fam. Code § 2122.

    `counted_from` is entry of judgment for duress, incapacity and mistake, and discovery (or the day on which it should
    have been discovered) for fraud, perjury and failure to disclose.

    Raises:
        CountingError: the ground is not one of the section's.
    """
    if ground not in _AGAINST:
        raise CountingError(f"{ground!r} is no ground of Fam. Code § 2122; use one of {', '.join(_AGAINST)}")
    return deadline(f"set_aside_{ground}", counted_from, _AGAINST[ground], calendar).figure(
        f"set_aside_{ground}_by", facts
    )


# Other dates


def may_file_from(state_since: date, county_since: date, facts: tuple[str, ...] = ()) -> Figure:
    """The first safe day to file for dissolution, from the day one spouse came to live in the state and in the county.

    Six months in California and three in the county next before filing (Fam. Code § 2320(a)), and one day more so that
    both are full (common practice).
    """
    if county_since < state_since:
        raise CountingError("residence in the county cannot begin before residence in California")
    state = deadline("residence_state", state_since, "lives in California")
    county = deadline("residence_county", county_since, "lives in the county")
    both = max(state.day, county.day)
    safe = both + ONE_DAY
    steps = (
        *state.steps,
        *county.steps,
        Step(
            "Both are met",
            f"the later of {written(state.day)} and {written(county.day)}",
            written(both),
            "Fam. Code § 2320(a)",
        ),
        Step("One day more", f"{written(both)} + 1 day", written(safe), "common practice"),
    )
    return Figure("may_file_from", safe, "date", steps, facts)


def residence_met(state_since: date, county_since: date, filed_on: date) -> bool:
    """Whether six months in the state and three in the county had run on the day of filing (Fam. Code § 2320(a))."""
    state, county = period("residence_state", filed_on), period("residence_county", filed_on)
    return add_months(state_since, state.length) <= filed_on and add_months(county_since, county.length) <= filed_on


def relocation_notice_by(move_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day for notice of a planned move with a child: 45 days before it, if feasible (Fam. Code § 3024)."""
    return deadline("relocation_notice", move_on, "planned move", calendar).figure("relocation_notice_by", facts)


def registration_contest_by(
    served_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day to contest the registration of another state's custody order (Fam. Code § 3445)."""
    return deadline("registration_contest", served_on, "notice of registration served", calendar).figure(
        "registration_contest_by", facts
    )


def mediation_set_by(filed_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()) -> Figure:
    """The last day for which mediation of custody is to be set (Fam. Code § 3173)."""
    return deadline("mediation_set", filed_on, "petition for mediation filed", calendar).figure(
        "mediation_set_by", facts
    )


def registry_information_by(
    ordered_on: date, calendar: CourtCalendar = STATEWIDE, facts: tuple[str, ...] = ()
) -> Figure:
    """The last day to give the child support registry its information after an order or a change (Fam. Code § 4014(b))."""
    return deadline("registry_information", ordered_on, "order made, or information changed", calendar).figure(
        "registry_information_by", facts
    )
