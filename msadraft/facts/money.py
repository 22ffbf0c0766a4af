"""Facts about equalization, taxes, fees, estates, notices, disputes and the negotiation."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Day, Key, Money, PartyRole, Percent, Whole, Words, YesNo


class Note(Record):
    """A promissory note for the equalizing payment."""

    principal: Money | None = fact("Principal")
    rate: Percent | None = fact("Interest", unit="percent a year", title="Interest")
    first_payment_on: Day | None = fact("First payment")
    months: Whole | None = fact("Number of monthly payments", unit="months", title="Number of payments")
    payment: Money | None = fact("Monthly payment", unit="dollars a month", title="Monthly payment")
    balloon: Money | None = fact("Final balloon payment", title="Final balloon payment")
    late_fee: Money | None = fact("Late charge")
    late_after_days: Whole | None = fact("Days after which a payment is late", unit="days", title="Late after")
    due_at_once: tuple[Literal["default", "sale", "refinance", "bankruptcy", "death"], ...] = fact(
        "Events that make the whole balance due", default=()
    )
    prepayment: Literal["allowed", "not_allowed"] | None = fact("Whether it may be paid early")


class Security(Record):
    """Security for the equalizing payment."""

    kind: Literal["deed_of_trust", "account_pledge", "insurance", "other"] = needed("Kind")
    asset: Key | None = fact("Asset, by short name")
    insurance: Words | None = fact("Insurance on it")
    detail: Words | None = fact("What it is, if another kind")


class Equalization(Record):
    """The payment that makes the division equal."""

    mode: Literal["none", "lump", "note", "lump_and_note", "retirement", "other_asset"] | None = fact(
        "How it is paid; none if none is due", title="How it is paid"
    )
    payer: PartyRole | None = fact("Who pays")
    amount: Money | None = fact("Amount")
    lump_amount: Money | None = fact("Part paid at once, if the rest is a note", title="Part paid at once")
    due_on: Day | None = fact("Day on which a lump is due")
    due_event: Words | None = fact("Event on which a lump is due, such as closing of the refinance")
    note: Note | None = fact("The note", title="Promissory note")
    security: Security | None = fact("Security")
    from_asset: Key | None = fact("Plan or asset that pays it, by short name", title="Paid out of")
    unequal: YesNo = fact(
        "Whether the parties mean the division to be unequal", default=False, title="Division meant to be unequal"
    )
    unequal_reason: Words | None = fact("Why", title="Why unequal")


class FilingYear(Record):
    """Filing status in one tax year."""

    year: Whole = needed("Tax year", "B")
    status: Literal["joint", "separate"] | None = fact("Joint or separate", "B")
    preparer: Words | None = fact("Who prepares a joint return", "B")
    preparer_cost_petitioner_percent: Percent | None = fact(
        "Petitioner's share of the preparer's bill",
        "B",
        unit="percent",
        title="Petitioner's share of the preparer's bill",
    )


class RefundShare(Record):
    """How a refund or a balance due is shared."""

    year: Whole = needed("Tax year")
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")


class DependentClaim(Record):
    """Who claims a child."""

    child: Key = needed("Child, by short name")
    claimant: PartyRole | None = fact("Who claims")
    years: Literal["every", "even", "odd"] = fact("In which years", default="every")
    from_year: Whole | None = fact("From which tax year")


class FormRelease(Record):
    """The release by the parent with more nights (I.R.C. § 152(e))."""

    by: Words | None = fact("Day of the year by which it is signed, such as February 15", title="Signed by")
    only_if_current: YesNo | None = fact("Only if support is current at year's end")


class TaxItem(Record):
    """An estimated payment or carryover."""

    what: Words = needed("What it is")
    year: Whole | None = fact("Tax year")
    amount: Money | None = fact("Amount")
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")


class Taxes(Record):
    """Taxes."""

    filing: tuple[FilingYear, ...] = fact("Filing status by year", "B", default=(), title="Filing status")
    refunds: tuple[RefundShare, ...] = fact("Refunds and balances due", default=())
    joint_years: tuple[Whole, ...] = fact("Earlier years filed jointly", default=())
    audit_rule: Literal["who_caused", "equal", "owner", "split"] | None = fact("Who pays if an earlier year is audited")
    audit_petitioner_percent: Percent | None = fact(
        "Petitioner's share, if split", unit="percent", title="Petitioner's share of an audit"
    )
    dependents: tuple[DependentClaim, ...] = fact("Who claims the children", default=())
    tie_break: Words | None = fact("Which parent claims when nights are equal", title="If nights are equal")
    head_of_household: Literal["petitioner", "respondent", "both"] | None = fact(
        "Which parent may file as head of household for a child of both, if the law's test is met"
    )
    form_release: FormRelease | None = fact("Release of the claim", title="Release of the claim")
    estimates: tuple[TaxItem, ...] = fact("Estimated payments", default=(), title="Estimated payments")
    carryovers: tuple[TaxItem, ...] = fact("Carryovers", default=())


class ExpertFee(Record):
    """An expert's bill."""

    who: Words = needed("Who, by role")
    amount: Money | None = fact("Amount")
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")


class Fees(Record):
    """Attorney fees and costs."""

    plan: Literal["own", "contribution", "from_joint", "reserved"] | None = fact(
        "Each pays their own, a contribution, from joint funds, or open", title="Who pays the fees"
    )
    payer: PartyRole | None = fact("Who contributes")
    amount: Money | None = fact("Amount")
    due_on: Day | None = fact("Due on")
    from_asset: Key | None = fact("Joint account that pays, by short name", title="Paid out of")
    paid_to: Literal["party", "attorney"] | None = fact(
        "Whether a contribution goes to the other party or to that party's attorney"
    )
    instalments: Words | None = fact("Instalments of a contribution, if not one sum")
    experts: tuple[ExpertFee, ...] = fact("Experts", default=())
    enforcement_rule: Literal["need_based", "prevailing_party"] = fact(
        "Fees of a later dispute: as the law provides by need and conduct, or to the party who wins on money and "
        "property terms",
        default="need_based",
    )
    cure_days: Whole = fact(
        "Days to mend a breach after written notice, before fees are due",
        default=10,
        unit="days",
        title="Time to mend a breach",
    )
    late_interest_rate: Percent | None = fact(
        "Interest on late property payments, if not the legal rate on judgments", unit="percent a year"
    )


class KeptDesignation(Record):
    """A beneficiary designation kept on purpose."""

    asset: Key = needed("Policy or plan, by short name", "B")
    beneficiary: Words | None = fact("Beneficiary", "B")
    until: Words | None = fact("Until when", "B")


class Estate(Record):
    """Estate and beneficiary matters."""

    waiver: Literal["mutual", "one_way", "none"] | None = fact(
        "Whether rights in each other's estate are given up", title="Estate rights given up"
    )
    waiving_party: PartyRole | None = fact("Who gives them up, if only one does")
    kept_designations: tuple[KeptDesignation, ...] = fact("Designations kept", "B", default=())
    change_list_given: YesNo | None = fact("Whether a list of what to change was given")


class NoticeAddress(Record):
    """Where notices to one party go."""

    to_petitioner: Words | None = fact("Petitioner's address for notices", "B")
    to_respondent: Words | None = fact("Respondent's address for notices", "B")


class Notices(Record):
    """Notices between the parties."""

    methods: tuple[Literal["mail", "email", "personal"], ...] = fact("How notice is given", default=())
    addresses: NoticeAddress | None = fact("Addresses for notices", "B")


class GeneralDisputeStep(Record):
    """One step before court."""

    step: Literal["notice", "meet", "mediate", "arbitrate", "private_judge", "court"] = needed("The step")
    days: Whole | None = fact("Days it may take", unit="days")
    petitioner_percent: Percent | None = fact(
        "Petitioner's share of its cost", unit="percent", title="Petitioner's share"
    )


class Disputes(Record):
    """How disputes outside parenting are settled."""

    steps: tuple[GeneralDisputeStep, ...] = fact("Steps, in order", default=(), title="Steps before court")


class Confidentiality(Record):
    """A promise of privacy about the agreement."""

    wanted: YesNo = fact("Whether the parties want one", default=False, title="Privacy wanted")
    covers: Words | None = fact("What is kept private", "B", title="What is private")
    unredacted_copy: Literal["parties", "attorneys"] = fact(
        "Who keeps the schedules with full account numbers: each party, or the attorneys", default="parties"
    )


class Change(Record):
    """One change in the negotiation."""

    path: Words = needed("Fact that changes, such as child_support.amount", "B", title="Fact that changes")
    old: Words | None = fact("Old value", "B", title="Old value")
    new: Words | None = fact("New value", "B", title="New value")
    by: PartyRole | None = fact("Who offered it", "B", title="Offered by")
    round: Whole | None = fact("Round in which it was offered", "B")
    status: Literal["offered", "accepted", "refused"] = fact("Where it stands", "B", default="offered")
    on: Day | None = fact("When", "B", title="Offered on")
    note: Words | None = fact("A line about it", "B")


class Negotiation(Record):
    """Where the negotiation stands."""

    round: Whole | None = fact("Number of the round", "B")
    changes: tuple[Change, ...] = fact("Changes since the last round", "B", default=())
