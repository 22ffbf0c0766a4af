"""Facts about child support and spousal support."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Day, Key, Money, PartyRole, Percent, Whole, Words, YesNo

DueRule = Literal["first", "first_and_fifteenth", "fifteenth", "custom"]


class IncomeBand(Record):
    """A band of extra income and the percentage due from it."""

    over: Money = needed("Extra income over this amount")
    up_to: Money | None = fact("and up to this amount; leave out for the last band")
    percent: Percent = needed("Percentage due")


class ExtraIncome(Record):
    """Support from bonus or other irregular income."""

    kinds: tuple[Words, ...] = fact("Which income counts, such as yearly bonus", default=())
    bands: tuple[IncomeBand, ...] = fact("Percentages by band", default=(), title="Percentages by band")
    yearly_cap: Money | None = fact("Most that is due in a year", unit="dollars a year")
    pay_within_days: Whole | None = fact("Days after receipt by which it is paid", unit="days", title="Paid within")
    proof: Words | None = fact("Proof to be given")
    measure: Literal["gross", "net"] | None = fact("Whether the percentages apply to gross or net extra income")
    settled: Literal["each_payment", "quarterly", "yearly"] | None = fact(
        "When it is worked out: with each payment received, for each quarter, or once a year",
        title="When it is worked out",
    )
    both_parents: YesNo = fact(
        "Whether the other party's extra income is counted in the same way",
        default=False,
        title="Both parents' extra income",
    )


class ChildAmount(Record):
    """The part of the support that belongs to one child."""

    child: Key = needed("Child, by short name")
    amount: Money = needed("Dollars a month", "A")


class GuidelineInputs(Record):
    """What the guideline run was fed with."""

    petitioner_net: Money | None = fact(
        "Petitioner's net disposable income", "B", unit="dollars a month", title="Petitioner's net income"
    )
    respondent_net: Money | None = fact(
        "Respondent's net disposable income", "B", unit="dollars a month", title="Respondent's net income"
    )
    petitioner_gross: Money | None = fact(
        "Petitioner's gross income", "B", unit="dollars a month", title="Petitioner's gross income"
    )
    respondent_gross: Money | None = fact(
        "Respondent's gross income", "B", unit="dollars a month", title="Respondent's gross income"
    )
    petitioner_time_percent: Percent | None = fact(
        "Children's time with the petitioner", "B", unit="percent", title="Petitioner's time"
    )
    respondent_time_percent: Percent | None = fact(
        "Children's time with the respondent", "B", unit="percent", title="Respondent's time"
    )
    alimony_deductible: YesNo = fact(
        "Whether the run treats new spousal support as deductible",
        "B",
        default=False,
        title="Spousal support deductible",
    )
    low_income_adjustment: YesNo = fact("Whether the low-income adjustment was taken", "B", default=False)
    hardship: Money | None = fact("Hardship deduction taken", "B", unit="dollars a month")


class AddOn(Record):
    """An additional cost of the children (Fam. Code §§ 4061, 4062)."""

    kind: Literal["child_care", "health", "education", "special_needs", "travel", "activity", "private_school"] = (
        needed("Kind of cost")
    )
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")
    basis: Literal["net_income", "equal", "agreed"] | None = fact(
        "How the shares were set: by net income, equal, or otherwise agreed"
    )
    yearly_cap: Money | None = fact("Most that is shared in a year", unit="dollars a year")
    consent_needed: YesNo = fact("Whether both must consent to the cost first", default=False)
    claim_days: Whole | None = fact("Days to send the bill", unit="days", title="Time to send the bill")
    pay_days: Whole | None = fact("Days to pay after the bill", unit="days", title="Time to pay the bill")
    monthly_cost: Money | None = fact("Present cost", unit="dollars a month")
    note: Words | None = fact("What it covers")


class ChildInsurance(Record):
    """Health insurance for the children."""

    provider: Literal["petitioner", "respondent", "both", "neither"] = needed("Who provides it")
    plan_kind: Words | None = fact("Kind of plan", "B")
    child_premium: Money | None = fact("Children's part of the premium", "B", unit="dollars a month")
    when_available: YesNo = fact("Only once available at reasonable cost", default=False)
    dental: YesNo | None = fact("Dental")
    vision: YesNo | None = fact("Vision")


class SupportEnd(Record):
    """When support for a child ends."""

    kind: Literal["statutory", "extended"] = fact(
        "As the law says (Fam. Code § 3901), or longer by agreement", default="statutory", title="Rule"
    )
    until: Words | None = fact("If longer: until what")


class WithholdingStay(Record):
    """A stay of the earnings assignment (Fam. Code § 5260)."""

    wanted: YesNo = fact("Whether a stay is asked for", default=False, title="Stay asked for")
    reason: Words | None = fact("Reason that the law accepts")
    account: Words | None = fact("Where payments go meanwhile, by description", "B")
    late_days: Whole | None = fact("Days late after which the stay ends", unit="days", title="Ends when late by")


class SupportSecurity(Record):
    """Security for support."""

    kind: Literal["insurance", "bond", "lien", "deposit"] = needed("Kind of security")
    amount: Money | None = fact("Amount")
    policy: Key | None = fact("Insurance policy, by the asset's short name")
    declining: YesNo = fact("Whether the cover falls with what is unpaid", default=True)
    until: Words | None = fact("Until when")
    detail: Words | None = fact("What it is, for a lien or deposit")
    trustee: Words | None = fact("Who holds insurance money for the children, if not the parent who receives support")


class Arrears(Record):
    """Unpaid support."""

    as_of: Day | None = fact("As of", "B")
    principal: Money | None = fact("Principal", "B")
    interest: Money | None = fact("Interest to that day", "B")
    fate: Literal["pay", "waive", "reserve"] | None = fact(
        "Paid, waived, or left open", "B", title="What becomes of them"
    )
    plan: Words | None = fact("How it is paid", "B", title="How they are paid")


class Declarations(Record):
    """The five declarations of Fam. Code § 4065(a), by both parents."""

    informed: YesNo = fact("Fully informed of their rights under the guideline law", default=False)
    no_coercion: YesNo = fact("Agreed without coercion or duress", default=False)
    best_interests: YesNo = fact("In the best interests of the children", default=False)
    needs_met: YesNo = fact("The children's needs will be met", default=False)
    not_assigned: YesNo = fact("Right to support not assigned to the county, no application pending", default=False)


class AdultChildSupport(Record):
    """Support for an adult child who cannot earn (Fam. Code § 3910)."""

    child: Key = needed("Child, by short name", "C")
    payer: PartyRole | None = fact("Who pays", "C")
    amount: Money | None = fact("Amount", "C", unit="dollars a month")
    to_trust: YesNo | None = fact("Paid to a special needs trust", "C")
    trust_name: Words | None = fact("Name of the trust", "C")
    starts_on: Day | None = fact("First payment", "C")
    until: Words | None = fact("Until when", "C")
    review: Words | None = fact("How often it is reviewed", "C")


class CollegeSupport(Record):
    """A promise to pay for college (contract beyond the duty of support)."""

    child: Key = needed("Child, by short name")
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")
    respondent_percent: Percent | None = fact("Respondent's share", unit="percent", title="Respondent's share")
    yearly_cap: Money | None = fact("Most that is due in a year", unit="dollars a year")
    measured_by: Words | None = fact("School by which cost is measured")
    ends: Words | None = fact("When it ends")
    grade_rule: Words | None = fact("Grades or load to be kept")
    enforceable_as: Literal["order", "contract"] | None = fact("Enforceable as an order or as a contract only")
    modifiable: YesNo | None = fact("Whether a court may change it")


class ChildSupport(Record):
    """Child support."""

    mode: Literal["guideline", "above", "below", "zero", "reserved"] | None = fact(
        "Guideline, above it, below it, none, or left open", title="Amount compared with guideline"
    )
    payer: PartyRole | None = fact("Who pays")
    amount: Money | None = fact("Base support", unit="dollars a month")
    per_child: tuple[ChildAmount, ...] = fact("The part of each child; adds up to the amount", default=())
    guideline_amount: Money | None = fact("Amount of the guideline run", unit="dollars a month")
    guideline_payer: PartyRole | None = fact("Who would pay it")
    guideline_on: Day | None = fact("Day of the guideline run")
    guideline_inputs: GuidelineInputs | None = fact(
        "What the run was fed with", "B", title="Inputs of the guideline run"
    )
    deviation_reason: Literal["agreement", "equal_time", "income_high", "special_costs", "other"] | None = fact(
        "Why the amount departs from guideline (Fam. Code § 4057)"
    )
    deviation_note: Words | None = fact("The reason in a sentence")
    above_includes: tuple[Literal["rounding", "add_ons", "extra_income"], ...] = fact(
        "What an amount above guideline already covers", default=()
    )
    paid_instead: Words | None = fact(
        "Costs that the payer pays directly because the amount is below guideline", title="Costs paid instead"
    )
    low_income_reason: Words | None = fact(
        "Why the low-income adjustment was not taken, if it was open (Fam. Code § 4055(b)(7))",
        title="Why no low-income adjustment",
    )
    seasonal: Words | None = fact(
        "How the amount follows seasonal income, in a sentence (Fam. Code § 4064)", title="Seasonal income"
    )
    starts_on: Day | None = fact("First payment")
    due: DueRule | None = fact("Days of the month on which it is due", title="Due days")
    due_note: Words | None = fact("Days of the month, if custom", title="Due days, if custom")
    retroactive_from: Day | None = fact("Back to which day")
    extra_income: ExtraIncome | None = fact("Support from bonus income")
    add_ons: tuple[AddOn, ...] = fact("Additional costs", default=(), title="Added costs")
    insurance: ChildInsurance | None = fact("Health insurance for the children", "B")
    end: SupportEnd = fact("When it ends", default=SupportEnd(), title="When it ends")
    method: Literal["withholding", "disbursement_unit", "transfer", "direct"] | None = fact(
        "How it is paid", title="How it is paid"
    )
    withholding_stay: WithholdingStay | None = fact("Stay of the earnings assignment")
    security: tuple[SupportSecurity, ...] = fact("Security", default=())
    arrears: Arrears | None = fact("Unpaid support", "B")
    change_triggers: tuple[Literal["job_loss", "income_change", "time_change", "child_ends", "move", "other"], ...] = (
        fact("Events after which it is looked at again", default=(), title="Events for a new look")
    )
    income_change_percent: Percent | None = fact("Change of income that counts", unit="percent")
    time_change_percent: Percent | None = fact("Change of time that counts", unit="percent")
    declarations: Declarations | None = fact(
        "The declarations of Fam. Code § 4065(a)", title="Declarations of both parents"
    )
    adult: tuple[AdultChildSupport, ...] = fact(
        "Support for adult children who cannot earn", "C", default=(), title="Adult children who cannot earn"
    )
    college: tuple[CollegeSupport, ...] = fact("College", default=())
    social_security_credit: YesNo | None = fact("Whether a derivative benefit counts toward support", "B")
    review_on: Day | None = fact("Day of review")


class SupportStep(Record):
    """One step of stepped support."""

    from_day: Day = needed("First day of the step")
    to_day: Day = needed("Last day of the step")
    amount: Money = needed("Dollars a month")


class LumpSum(Record):
    """Spousal support in one sum or instalments."""

    amount: Money | None = fact("Amount")
    due_on: Day | None = fact("Due on")
    instalments: Words | None = fact("Instalments, if any")
    survives: tuple[Literal["death_of_payer", "death_of_payee", "remarriage"], ...] = fact(
        "What it survives", default=()
    )


class BuyOut(Record):
    """A payment or trade that takes the place of support."""

    value: Money | None = fact("Value given", title="Value given")
    rate: Percent | None = fact("Discount rate used", unit="percent a year", title="Discount rate")
    trade: Words | None = fact("What is given", title="What is given")
    due_on: Day | None = fact("Paid by", title="Paid by")


class ThirdPartyPayment(Record):
    """A payment to somebody else for the supported party."""

    to: Words = needed("To whom")
    amount: Money | None = fact("Amount", unit="dollars a month")
    counts_as_support: YesNo | None = fact("Whether it counts as support")
    until: Words | None = fact("Until when")


class HealthCover(Record):
    """Health cover of the supported party after status ends."""

    kind: Words | None = fact("Kind of cover")
    paid_by: PartyRole | None = fact("Who pays")
    until: Words | None = fact("Until when")


class SelfSupport(Record):
    """The self-support notice (Fam. Code § 4330(b))."""

    notice: YesNo = fact("Whether the notice is given", default=False, title="Notice given")
    goal_on: Day | None = fact("Goal date", title="Goal date")


class SpousalSupport(Record):
    """Support for one spouse."""

    outcome: Literal["payable", "nominal", "reserved", "terminated", "waived"] | None = fact(
        "Payable, a nominal sum, left open, ended, or given up", default=None
    )
    ends_power_words: YesNo | None = fact(
        "Whether the parties want plain words that end the court's power over this support (ended or given up)",
        title="Plain words that end the court's power",
    )
    amount: Money | None = fact("Amount", unit="dollars a month")
    starts_on: Day | None = fact("First payment")
    due: DueRule | None = fact("Days of the month on which it is due", title="Due days")
    due_note: Words | None = fact("Days of the month, if custom", title="Due days, if custom")
    ends_on: Day | None = fact("Last day of the term")
    end_events: tuple[
        Literal[
            "death_of_payer", "death_of_payee", "remarriage", "partnership", "cohabitation", "date", "order", "event"
        ],
        ...,
    ] = fact("Events that end it (Fam. Code § 4337)", default=())
    end_event_note: Words | None = fact("The event, if a special one")
    end_events_waived: tuple[Literal["death_of_payer", "death_of_payee", "remarriage", "partnership"], ...] = fact(
        "Statutory events that do not end it, on purpose", default=()
    )
    end_events_waived_initialed: YesNo | None = fact("Whether both initialed that", title="Waived events initialed")
    steps: tuple[SupportStep, ...] = fact("Stepped amounts, without gaps", default=(), title="Stepped amounts")
    extra_income: ExtraIncome | None = fact("Support from bonus income")
    lump_sum: LumpSum | None = fact("One sum")
    buy_out: BuyOut | None = fact("A trade in place of support")
    power_after_term: Literal["ends", "extendable_by_motion", "kept"] | None = fact(
        "The court's power when the term ends", title="Court's power after the term"
    )
    amount_may_change: Literal["modifiable", "nonmodifiable", "floor", "ceiling", "floor_and_ceiling"] | None = fact(
        "Whether a court may change the amount (Fam. Code § 3591)"
    )
    term_may_change: Literal["modifiable", "nonmodifiable"] | None = fact("Whether a court may change the length")
    floor: Money | None = fact("Least amount", unit="dollars a month", title="Least amount")
    ceiling: Money | None = fact("Greatest amount", unit="dollars a month", title="Greatest amount")
    hardship_exception: YesNo | None = fact("Whether disability or job loss is an exception to a fixed amount")
    findings: tuple[Literal["standard_of_living", "factors", "health", "waived"], ...] = fact(
        "Findings stated", default=()
    )
    self_support: SelfSupport | None = fact("Self-support notice", title="Self-support notice")
    after_child_support: Literal["no_change", "step", "review", "statute"] | None = fact(
        "What happens when child support ends"
    )
    after_child_support_amount: Money | None = fact(
        "New amount when child support ends, if it changes by itself", unit="dollars a month"
    )
    cohabitation: Literal["statute", "ends", "suspends", "no_effect"] = fact(
        "Effect of living with a new partner (Fam. Code § 4323)", default="statute"
    )
    security: tuple[SupportSecurity, ...] = fact("Security", default=())
    method: Literal["withholding", "transfer", "direct"] | None = fact("How it is paid", title="How it is paid")
    withholding_stay: WithholdingStay | None = fact("Stay of the earnings assignment")
    third_party: tuple[ThirdPartyPayment, ...] = fact("Payments to others", default=(), title="Payments to others")
    health_cover: HealthCover | None = fact("Health cover")
    arrears: Arrears | None = fact("Unpaid support", "B")
    waiver_reason: Words | None = fact("Why it is given up", "B")
    tax_rule: Literal["current", "earlier_order_kept", "earlier_order_new_rule"] = fact(
        "Tax rule: that of the signing date; or, for a changed older order, the old rule kept or the new one chosen",
        default="current",
    )
    term_reason: Words | None = fact("Why the length differs from the usual guide", "B")
    conviction_rule: Literal["applied", "rebutted", "waived"] | None = fact(
        "If this party was convicted: the bar is applied, the presumption is overcome by agreed facts, or the injured "
        "spouse gives up its benefit after advice (Fam. Code §§ 4324.5, 4325)",
        "C",
    )


class SpousalSupportBothWays(Record):
    """Support decided in both directions."""

    to_petitioner: SpousalSupport = fact("Support paid to the petitioner", default=SpousalSupport())
    to_respondent: SpousalSupport = fact("Support paid to the respondent", default=SpousalSupport())
