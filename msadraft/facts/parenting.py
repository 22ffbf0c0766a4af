"""Facts about custody and parenting time."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Clock, Day, Key, Money, PartyRole, Percent, Whole, Words, YesNo

Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
HolidayRule = Literal[
    "petitioner_always",
    "respondent_always",
    "petitioner_even",
    "petitioner_odd",
    "halves",
    "split_day",
    "regular_schedule",
]

NamedDay = Literal[
    "new_years_day", "martin_luther_king_day", "lincoln_day", "presidents_day", "cesar_chavez_day", "mothers_day",
    "memorial_day", "juneteenth", "fathers_day", "independence_day", "labor_day", "native_american_day",
    "indigenous_peoples_day", "halloween", "veterans_day", "thanksgiving", "christmas_eve", "christmas_day",
    "new_years_eve", "easter", "orthodox_easter", "passover", "rosh_hashanah", "yom_kippur", "hanukkah", "purim",
    "lunar_new_year", "ramadan", "eid_al_fitr", "eid_al_adha", "diwali",
]  # fmt: skip


class JointTopic(Record):
    """A decision under joint legal custody (Fam. Code § 3083)."""

    topic: Literal[
        "school",
        "health",
        "mental_health",
        "religion",
        "travel",
        "passport",
        "activity",
        "driving",
        "marriage_or_service",
        "other",
    ] = needed("Kind of decision")
    note: Words | None = fact("What exactly, in a few words; needed for 'other'")
    rule: Literal["both_consent", "notice", "either", "one_decides"] | None = fact(
        "Both must consent; notice first; either may act; or one decides"
    )
    decider: PartyRole | None = fact("Who decides, if one does", title="Who decides")
    reply_days: Whole | None = fact("Days to reply to a request", unit="days")
    if_no_reply: Literal["consent_presumed", "dispute_steps", "proposer_decides"] | None = fact(
        "What a missing reply means"
    )


class TieBreak(Record):
    """Who decides a topic when the parents cannot."""

    topic: Literal["school", "health", "mental_health", "travel", "passport", "activity", "other"] = needed(
        "Kind of decision"
    )
    decider: PartyRole | None = fact("Parent who decides", title="Who decides")
    professional: Words | None = fact("Professional whose advice decides, by role (such as the child's pediatrician)")
    after_days: Whole | None = fact("After how many days", unit="days", title="After")


class Block(Record):
    """A stretch of the repeating cycle, from one day and time to another, with one parent."""

    week: Whole = fact("Week of the cycle, from 1", default=1)
    from_day: Weekday = needed("Day on which it begins")
    from_time: Clock | None = fact("Time at which it begins; the usual hand-over time if left out")
    to_week: Whole | None = fact("Week in which it ends, if not the same")
    to_day: Weekday = needed("Day on which it ends")
    to_time: Clock | None = fact("Time at which it ends; the usual hand-over time if left out")
    parent: PartyRole = needed("With which parent")


class SiblingGroup(Record):
    """A group of children with a schedule of their own."""

    children: tuple[Key, ...] = needed("Children in this group, by short name")
    primary_home: PartyRole | None = fact("Parent with whom this group mainly lives")
    blocks: tuple[Block, ...] = fact("The schedule of this group", default=(), title="Schedule")


class Phase(Record):
    """One phase of a step-up plan."""

    title: Words | None = fact("Name of the phase", title="Name of the phase")
    starts_on: Day | None = fact("Day it begins")
    starts_when: Words | None = fact("Event or age at which it begins, checkable by date or paper")
    starts_at_months: Whole | None = fact(
        "Age of the youngest child in months at which it begins, for the calendar", unit="months", title="Starts at age"
    )
    ends_on: Day | None = fact("Day on which the last phase is complete, if a date completes it")
    blocks: tuple[Block, ...] = fact("Schedule in this phase", default=(), title="Schedule")
    weeks_in_cycle: Whole = fact("Weeks in the cycle of this phase", default=1)
    done_when: Words | None = fact("What completes the phase, checkable by date or paper", title="Complete when")
    fallback_phase: Whole | None = fact("Phase to which the parents go back if it fails, by number from 1")


class SchoolDates(Record):
    """The dates of a break or a term in one school year, from the school's published calendar."""

    school_year: Words | None = fact("School year, such as 2026-27")
    starts_on: Day = needed("Day on which it begins; for a break, the day of the exchange at its beginning")
    ends_on: Day = needed("Day on which it ends; for a break, the day of the exchange at its end")


class HalvesMeet(Record):
    """The day and time at which the first half of a holiday or break ends and the second begins."""

    at: Literal["middle_day", "exact_middle", "month_day", "days_after"] = needed(
        "On the middle day; at the exact middle to the minute; on a day of the year; or some days after the first day",
        title="Where they meet",
    )
    time: Clock | None = fact("Time of the exchange; noon if left out (not for the exact middle)")
    month: Whole | None = fact("Month of that day, 1 to 12, for a day of the year")
    day_of_month: Whole | None = fact("Day of that month, for a day of the year")
    days_after: Whole | None = fact("Days after the first day; 0 for the first day itself", unit="days")


class CalendarWindow(Record):
    """When a holiday, a break or summer is, exactly enough to be computed and printed.

    The day it turns on is given in one of five ways: a named day, a day of the year (month and day_of_month), a
    weekday of a month (nth, weekday and month), a birthday, or dates by school year.
    """

    named_day: NamedDay | None = fact("A day known by name, such as thanksgiving")
    month: Whole | None = fact("Month, 1 to 12, for a day of the year or a weekday of a month")
    day_of_month: Whole | None = fact("Day of the month, for the same day every year")
    nth: Literal["first", "second", "third", "fourth", "last"] | None = fact(
        "Which weekday of the month", title="Which one in the month"
    )
    weekday: Weekday | None = fact("The weekday, for a weekday of a month")
    birthday_of: Key | None = fact("A child's birthday, by short name; the date comes from the birth date, unprinted")
    birthday_of_parent: PartyRole | None = fact("A parent's birthday; the date comes from the birth date, unprinted")
    dates: tuple[SchoolDates, ...] = fact(
        "Dates by school year, for breaks; never computed", default=(), title="Dates by school year"
    )
    starts_days_before: Whole | None = fact("Days before that day on which it begins", unit="days")
    starts_days_after: Whole | None = fact("Days after that day on which it begins", unit="days")
    ends_days_before: Whole | None = fact("Days before that day on which it ends", unit="days")
    ends_days_after: Whole | None = fact("Days after that day on which it ends", unit="days")
    from_time: Clock | None = fact("Time at which it begins; the usual hand-over time if left out")
    to_time: Clock | None = fact("Time at which it ends; the usual hand-over time if left out")
    from_school: YesNo = fact(
        "It begins when school lets out; from_time is the hour on days without school, and for counting", default=False
    )
    to_school: YesNo = fact(
        "It ends when school begins; to_time is the hour on days without school, and for counting", default=False
    )
    halves_meet: HalvesMeet | None = fact("Where its halves meet, for halves and split days")


class Holiday(Record):
    """One holiday or special day. Its key names it."""

    title: Words | None = fact("Name as printed, if the key is not plain enough", title="Name as printed")
    rule: HolidayRule | None = fact(
        "Who has it: a parent every year, a parent in even or odd years (the other parent in the others), halves of a "
        "break, a split day, or as the regular schedule falls"
    )
    even_years: PartyRole | None = fact("Parent in even-numbered years, where the years are given singly")
    odd_years: PartyRole | None = fact("Parent in odd-numbered years, where the years are given singly")
    first_half_even: PartyRole | None = fact(
        "Parent with the first half in even-numbered years (halves and split days)", title="First half in even years"
    )
    starts: Words | None = fact("When it begins: day and time, in words")
    ends: Words | None = fact("When it ends: day and time, in words")
    midpoint: Words | None = fact("Where the halves meet: day and time, in words")
    from_month_day: Words | None = fact("First day for the calendar, as MM-DD, for fixed days", title="First day")
    days: Whole | None = fact("Length in nights, for the calendar", unit="nights", title="Length")
    window: CalendarWindow | None = fact(
        "When it is, exactly; text and calendar are both made from it, and starts, ends and midpoint are then left out",
        title="Exact dates",
    )
    strength: Literal["school_break", "holiday", "special_day"] | None = fact(
        "Which wins where two of these overlap: a special day over a holiday, a holiday over a school break. If left "
        "out: dates by school year make a school break; a birthday, Mother's Day or Father's Day a special day"
    )
    note: Words | None = fact("Anything else")


class Summer(Record):
    """A summer schedule of its own."""

    starts: Words | None = fact("When summer begins, in words")
    ends: Words | None = fact("When summer ends, in words")
    rule: Words | None = fact("How summer differs, in a sentence")
    blocks: tuple[Block, ...] = fact("Schedule in summer, if it repeats", default=(), title="Schedule in summer")
    window: CalendarWindow | None = fact("When summer is, exactly, for the calendar", title="Exact dates")


class VacationDates(Record):
    """A vacation whose dates are already chosen."""

    parent: PartyRole = needed("Whose vacation it is")
    starts_on: Day = needed("Day on which it begins")
    from_time: Clock | None = fact("Time at which it begins; the usual hand-over time if left out")
    ends_on: Day = needed("Day on which it ends")
    to_time: Clock | None = fact("Time at which it ends; the usual hand-over time if left out")


class Vacation(Record):
    """Vacation time of each parent."""

    weeks_each: Whole | None = fact("Weeks for each parent in a year", unit="weeks", title="Weeks for each parent")
    longest_block_days: Whole | None = fact("Longest single stretch", unit="days")
    notice_days: Whole | None = fact("Days of written notice of the dates chosen", unit="days")
    pick_by: Words | None = fact("Yearly date by which dates are picked, such as April 1")
    first_pick_even: PartyRole | None = fact(
        "Who picks first in even-numbered years; the other in odd-numbered years", title="First pick in even years"
    )
    blackouts: tuple[Words, ...] = fact("Days no vacation may cover", default=(), title="Days without vacation")
    chosen: tuple[VacationDates, ...] = fact(
        "Vacations whose dates are chosen, for the calendar", default=(), title="Vacations chosen"
    )


class SchoolTime(Record):
    """Who is credited with the hours in which the children are at school or in day care."""

    credit: Literal["calendar_parent", "primary_parent", "excluded"] = fact(
        "The parent whose time it is in the calendar; the parent whose home counts for school; or neither",
        default="calendar_parent",
    )
    from_time: Clock | None = fact("Time at which school or day care begins")
    to_time: Clock | None = fact("Time at which it ends")
    days: tuple[Weekday, ...] = fact(
        "Days of the week", default=("monday", "tuesday", "wednesday", "thursday", "friday")
    )
    terms: tuple[SchoolDates, ...] = fact(
        "Terms by date; the whole year, less breaks and summer, if left out", default=()
    )


class SwapRules(Record):
    """Trades and missed time."""

    in_writing: YesNo = fact("Whether a trade must be in writing", default=True, title="Trades in writing")
    make_up: Literal["none", "by_agreement", "days"] | None = fact(
        "Whether missed time is made up", title="Missed time is made up"
    )
    make_up_days: Whole | None = fact("Within how many days", unit="days", title="Made up within")
    grace_minutes: Whole | None = fact(
        "Wait at an exchange before the time is lost", unit="minutes", title="Wait at an exchange"
    )


class Exchange(Record):
    """A place where the child changes hands."""

    place_kind: Literal["school", "curbside", "public", "third_person", "provider"] = needed("Kind of place")
    place: Words | None = fact("Which place")
    used_when: Words | None = fact("When this place is used, such as school days")
    person: Words | None = fact("Who helps, by role and name", "B", title="Who helps")


class Transport(Record):
    """Who drives and who pays."""

    rule: Literal["receiving", "delivering", "midpoint", "split", "one"] | None = fact("Who drives")
    driver: PartyRole | None = fact("Who drives, if always the same parent")
    midpoint: Words | None = fact("The midpoint")
    petitioner_percent: Percent | None = fact(
        "Petitioner's share of travel cost", unit="percent", title="Petitioner's share"
    )
    flight_rules: Words | None = fact("Rules for flights: age, escort, connection")
    ticket_days: Whole | None = fact("Days before travel by which tickets are bought", unit="days")
    ticket_buyer: PartyRole | None = fact("Who buys the tickets")


class Travel(Record):
    """Travel with the children."""

    in_state: Literal["free", "notice", "consent", "no"] | None = fact("Travel within California")
    out_of_state: Literal["free", "notice", "consent", "no"] | None = fact("Travel in other states")
    abroad: Literal["free", "notice", "consent", "no"] | None = fact("Travel outside the United States")
    notice_days: Whole | None = fact("Days of notice or request", unit="days")
    reply_days: Whole | None = fact("Days to answer a request for consent", unit="days")
    treaty_countries_only: YesNo = fact("Only to partner countries of the Hague abduction treaty", default=False)
    itinerary: tuple[Literal["dates", "places", "flights", "lodging", "phone", "companions"], ...] = fact(
        "What the itinerary says", default=()
    )


class PassportRules(Record):
    """The children's passports."""

    holder: PartyRole | None = fact("Who keeps them", "B")
    hand_over_days: Whole | None = fact("Days before travel by which they are handed over", "B", unit="days")
    return_days: Whole | None = fact("Days after travel by which they come back", "B", unit="days")
    renewal: Literal["both_sign", "holder_alone"] | None = fact("Who renews", "B")


class ChildContact(Record):
    """Calls with the absent parent."""

    window: Words | None = fact("Time window, such as between 6:30 and 7:30 p.m.", title="Time of day")
    days: Words | None = fact("Which days")
    kind: Words | None = fact("Calls, video, messages")
    private: YesNo = fact("In private, without recording", default=True)


class MoveLimits(Record):
    """Limits on moving."""

    radius_miles: Whole | None = fact("Radius", unit="miles", title="Radius")
    from_place: Words | None = fact("Measured from where", title="Measured from")
    standard: Words | None = fact("Agreed standard for a contested move")


class DisputeStep(Record):
    """One step before court."""

    step: Literal["propose", "meet", "mediate", "court"] = needed("The step")
    days: Whole | None = fact("Days it may take", unit="days")
    petitioner_percent: Percent | None = fact(
        "Petitioner's share of its cost", unit="percent", title="Petitioner's share"
    )


class Coordinator(Record):
    """A parenting coordinator, by consent."""

    name: Words | None = fact("Name")
    method: Words | None = fact("How one is named")
    topics: tuple[Words, ...] = fact("Topics; never a change of custody", default=())
    term_months: Whole | None = fact("Term", unit="months")
    petitioner_percent: Percent | None = fact(
        "Petitioner's share of the cost", unit="percent", title="Petitioner's share"
    )


class Substance(Record):
    """Testing agreed by the parents."""

    who: Literal["petitioner", "respondent", "both"] = needed("Who is tested", "C", title="Who is tested")
    test_kind: Words | None = fact("Kind of test and laboratory, by description", "C")
    schedule: Words | None = fact("When", "C", title="When")
    paid_by: Literal["petitioner", "respondent", "tested", "half"] | None = fact("Who pays", "C")
    a_miss_means: Words | None = fact("What a missed or positive test means", "C")


class Supervision(Record):
    """Supervised time or exchanges."""

    who: PartyRole = needed("Whose time is supervised", "B", title="Whose time is supervised")
    kind: Literal["professional", "nonprofessional", "therapeutic", "exchange"] = needed("Kind of supervision", "B")
    provider: Words | None = fact("Provider, or how one is chosen", "B")
    hours: Words | None = fact("Days and hours", "B")
    petitioner_percent: Percent | None = fact(
        "Petitioner's share of the cost", "B", unit="percent", title="Petitioner's share"
    )
    review_on: Day | None = fact("Day of review", "B")
    exit: Words | None = fact("What ends supervision", "B", title="What ends it")


class ViolenceTerms(Record):
    """Safety terms where there is domestic violence."""

    no_contact: YesNo = fact("No contact between the parents", "D", default=False)
    channel: Words | None = fact("Only channel allowed", "D")
    exchange: Literal["school", "public", "third_person", "provider"] | None = fact("Only place for exchanges", "D")
    records_limited: YesNo = fact("School and health records must not show the address", "D", default=False)
    rebuttal_facts: Words | None = fact("Facts that overcome the presumption of Fam. Code § 3044, for the judge", "D")


class SpecialNeeds(Record):
    """Care of a child with special needs."""

    providers: Words | None = fact("Care providers, by role", "C")
    education_plan: Words | None = fact("Education plan and who attends", "C")
    equipment: Words | None = fact("Equipment that travels with the child", "C")
    respite: Words | None = fact("Respite care", "C")


class HealthAndSchool(Record):
    """School, health care, activities."""

    school: Words | None = fact("School, or how one is chosen")
    doctor: Words | None = fact("Doctor, by role")
    records: Literal["both", "limited"] = fact("Access to records", default="both")
    counseling: Words | None = fact("Counseling, by role and purpose")
    activities: Words | None = fact("Activities and how they are chosen")


class Deployment(Record):
    """Absence for service."""

    delegate: Words | None = fact("Who may exercise the time meanwhile")
    notice_days: Whole | None = fact("Days of notice", unit="days")
    return_days: Whole | None = fact("Days after return within which the schedule resumes", unit="days")


class Parenting(Record):
    """The parenting plan."""

    legal_custody: Literal["joint", "joint_tiebreak", "sole_petitioner", "sole_respondent"] | None = fact(
        "Legal custody"
    )
    joint_topics: tuple[JointTopic, ...] = fact("Decisions under joint legal custody", default=())
    tie_breaks: tuple[TieBreak, ...] = fact("Tie-breaks by topic", default=())
    sole_rights: tuple[Literal["information", "veto_passport", "veto_move_abroad"], ...] = fact(
        "Rights that the other parent keeps under sole legal custody", default=()
    )
    physical_custody: Literal["joint", "sole_petitioner", "sole_respondent", "per_group", "nesting"] | None = fact(
        "Physical custody"
    )
    primary_home: PartyRole | None = fact("Parent whose home counts for school")
    groups: tuple[SiblingGroup, ...] = fact(
        "Groups of children with schedules of their own", default=(), title="Groups of children"
    )
    pattern: (
        Literal[
            "alternate_weeks", "2255", "223", "custom_equal", "alternate_weekends", "numbered_weekends", "custom_grid",
            "long_distance", "stepup", "by_agreement",
        ]
        | None
    ) = fact("Regular pattern of parenting time")  # fmt: skip
    weeks_in_cycle: Whole | None = fact("Weeks after which the regular schedule repeats", unit="weeks")
    cycle_start: Day | None = fact("Monday on which week 1 of the cycle begins")
    handover_time: Clock | None = fact("Usual time of an exchange")
    blocks: tuple[Block, ...] = fact(
        "The regular schedule, block by block; every minute of the cycle to one parent",
        default=(),
        title="Regular schedule",
    )
    weekend_numbers: tuple[Whole, ...] = fact("Weekends of the month, for numbered weekends", default=())
    weekend_parent: PartyRole | None = fact("Parent whose weekends these are")
    weekend_counts_from: Literal["first_friday", "first_saturday"] | None = fact(
        "What makes a weekend the first of the month"
    )
    phases: tuple[Phase, ...] = fact("Phases of a step-up plan", default=())
    distance_miles: Whole | None = fact("Distance between the homes", "B", unit="miles")
    summer: Summer | None = fact("Summer schedule")
    holidays: dict[Key, Holiday] = fact("Holidays and special days, by short name", default={})
    order_of_precedence: tuple[Literal["holidays", "vacation", "summer", "regular"], ...] = fact(
        "Which schedule wins when they collide, strongest first", default=()
    )
    monday_holidays: Literal["weekend_parent", "regular_schedule"] = fact(
        "An unlisted Monday or Friday without school: to the parent with the weekend beside it, or as the regular schedule falls",
        default="weekend_parent",
    )
    days_without_school: tuple[NamedDay, ...] = fact(
        "Days without school that are not listed as holidays and count where they fall on a Monday or Friday",
        default=(),
    )
    dates_without_school: tuple[Day, ...] = fact("Other Mondays and Fridays without school, by date", default=())
    school_time: SchoolTime | None = fact("Hours at school or in day care, and who is credited with them")
    time_measure: Literal["hours", "overnights", "days"] = fact(
        "Measure of parenting time that child support uses", default="hours"
    )
    time_zone: Words = fact(
        "Time zone of the schedule, by its name in the zone database", default="America/Los_Angeles"
    )
    vacation: Vacation | None = fact("Vacation")
    swaps: SwapRules | None = fact("Trades and missed time", title="Trades and missed time")
    first_option_hours: Whole | None = fact(
        "Absence after which the other parent is asked first", unit="hours", title="First option to care after"
    )
    exchanges: tuple[Exchange, ...] = fact("Places of exchange", "A", default=())
    transport: Transport | None = fact("Driving and its cost")
    travel: Travel | None = fact("Travel with the children")
    passports: PassportRules | None = fact("Passports", "B")
    abduction_risk: tuple[
        Literal[
            "prior_taking",
            "threat",
            "no_local_ties",
            "ties_abroad",
            "no_finances_here",
            "moved_assets",
            "documents",
            "history",
            "records",
        ],
        ...,
    ] = fact("Facts that point to a risk of abduction (Fam. Code § 3048(b))", "D", default=())
    abduction_steps: tuple[
        Literal[
            "supervised",
            "bond",
            "no_passport",
            "mirror_order",
            "register_order",
            "notify_consulate",
            "travel_ban",
            "other",
        ],
        ...,
    ] = fact("Measures against it", "B", default=(), title="Measures against abduction")
    bond_amount: Money | None = fact("Amount of the bond, if one is a measure", "B")
    abduction_note: Words | None = fact("The other measure in a full sentence, if 'other' is one", "B")
    child_contact: ChildContact | None = fact("Calls with the absent parent", title="Calls with the absent parent")
    parent_channel: Literal["email", "message_log", "text", "phone", "through_counsel", "none"] | None = fact(
        "How the parents exchange information", title="How the parents communicate"
    )
    reply_hours: Whole | None = fact("Hours to reply to an ordinary message", unit="hours")
    move_notice_days: Whole = fact("Days of notice before a move (Fam. Code § 3024)", default=45, unit="days")
    move_limits: MoveLimits | None = fact("Limits on moving")
    finality: Literal["final", "not_final"] | None = fact(
        "Whether this is meant as a final custody determination", title="Final custody determination"
    )
    dispute_steps: tuple[DisputeStep, ...] = fact(
        "Steps before court in parenting disputes", default=(), title="Steps before court"
    )
    coordinator: Coordinator | None = fact("Parenting coordinator")
    conduct: tuple[
        Literal[
            "no_disparagement", "no_messages_through_child", "sober_hours", "guests", "photos", "named_person", "other"
        ],
        ...,
    ] = fact("Rules of conduct", default=())
    conduct_note: Words | None = fact("The other rule in a full sentence, if 'other' is one")
    sober_hours: Whole | None = fact(
        "Hours before and during parenting time without alcohol or drugs", unit="hours", title="Sober before and during"
    )
    excluded_person: Words | None = fact("Person who may not be present", "B")
    substance: Substance | None = fact("Testing", "C", title="Testing for alcohol or drugs")
    supervision: Supervision | None = fact("Supervision", "B")
    violence_terms: ViolenceTerms | None = fact("Safety terms", "D")
    special_needs: SpecialNeeds | None = fact("Special needs", "C")
    health_and_school: HealthAndSchool | None = fact("School and health", title="School and health")
    deployment: Deployment | None = fact("Absence for service", title="Absence for service")
    jurisdiction_basis: Literal["home_state", "significant_connection", "continuing", "no_other_state"] | None = fact(
        "Basis of custody jurisdiction (Fam. Code § 3421)"
    )
    notice_basis: Literal["appeared", "served", "agreed", "joint_filing"] | None = fact(
        "How notice and a chance to be heard were given"
    )
    review_on: Day | None = fact("Day on which the plan is reviewed")
