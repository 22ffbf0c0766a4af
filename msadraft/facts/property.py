"""Facts about assets, debts and reimbursements."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Clock, Day, Key, LastFour, Money, PartyRole, Percent, Quantity, Whole, Words, YesNo


class SeparateClaim(Record):
    """A separate-property claim in an asset."""

    by: PartyRole = needed("Who claims it", "B", title="Claimed by")
    amount: Money | None = fact("Amount claimed", "B")
    basis: Literal["contribution_2640", "premarital_payments", "business_growth", "tracing"] = needed(
        "On what ground", "B", title="Ground"
    )
    result: Literal["paid", "offset", "waived", "reserved"] | None = fact(
        "What becomes of it", "B", title="What becomes of it"
    )
    note: Words | None = fact("How it arose", "B", title="How it arose")


class BrokerRule(Record):
    """The broker who sells the home."""

    name: Words | None = fact("Broker, if agreed")
    pick: Words | None = fact("How one is picked", title="How the broker is picked")
    fee_percent: Percent | None = fact("Highest commission", unit="percent", title="Highest commission")


class PriceRule(Record):
    """The price at which the home is listed and sold."""

    first_price: Money | None = fact("First list price")
    cuts: tuple[Words, ...] = fact("Price cuts, in order", default=(), title="Price cuts")
    lowest_price: Money | None = fact("Lowest price that must be accepted")
    offer_rule: Words | None = fact("When an offer must be accepted")


class SaleCosts(Record):
    """Cost of the sale."""

    petitioner_percent: Percent | None = fact(
        "Petitioner's share of preparing for sale", unit="percent", title="Petitioner's share"
    )
    cap: Money | None = fact("Most spent on repairs without both agreeing", title="Most spent on repairs")
    order_of_payment: tuple[Words, ...] = fact("Order in which the proceeds are paid out", default=())


class CarryCosts(Record):
    """Who pays for the home meanwhile."""

    mortgage: Literal["petitioner", "respondent", "half"] | None = fact("Loan payments")
    taxes: Literal["petitioner", "respondent", "half"] | None = fact("Property tax")
    insurance: Literal["petitioner", "respondent", "half"] | None = fact("Insurance")
    utilities: Literal["petitioner", "respondent", "half"] | None = fact("Utilities")
    repair_limit: Money | None = fact("Repairs up to this amount are the occupant's; above it they are split")


class PropertyCredit(Record):
    """A credit between owners of a home."""

    kind: Words = needed("What for", title="Credit for")
    to: PartyRole = needed("To whom")
    formula: Words | None = fact("How it is figured", title="How it is figured")


class RealProperty(Record):
    """A home or other land."""

    address: Words | None = fact("Address in one line")
    parcel_number: Words | None = fact("Assessor's parcel number")
    legal_description: Words | None = fact("Legal description, as in the deed")
    use: Literal["family_home", "second_home", "rental", "lease", "land", "timeshare", "business"] = fact(
        "Use", default="family_home"
    )
    plan: Literal["buyout", "sell", "deferred_sale", "co_own", "keep"] | None = fact(
        "What becomes of it", title="What becomes of it"
    )
    title_now: Literal["joint_tenancy", "community", "community_survivorship", "common", "sole", "trust"] | None = fact(
        "How title stands now"
    )
    title_after: Literal["common", "joint_tenancy", "community_survivorship", "sole", "trust"] | None = fact(
        "How title stands afterwards"
    )
    refinance_by: Day | None = fact("Day by which the loan is refinanced or paid off")
    buyout_price: Money | None = fact("Price of the buy-out")
    fallback: Literal["sell", "extend", "match"] | None = fact(
        "What happens if the refinance fails", title="If the refinance fails"
    )
    extend_until: Day | None = fact("New date, if the fallback is more time", title="More time until")
    deed_on: Literal["closing", "payment", "signing"] | None = fact("When the deed is released", title="Deed released")
    list_by: Day | None = fact("Day by which it is listed for sale")
    broker: BrokerRule | None = fact("Broker")
    price: PriceRule | None = fact("Price")
    sale_costs: SaleCosts | None = fact("Cost of sale")
    petitioner_percent_of_proceeds: Percent | None = fact("Petitioner's share of the net proceeds", unit="percent")
    occupant: PartyRole | None = fact("Who lives there meanwhile")
    occupancy_until: Words | None = fact("Until when")
    carry_costs: CarryCosts | None = fact("Who pays meanwhile", title="Costs meanwhile")
    defer_until: Day | None = fact("Last day of the deferral", title="Sale deferred until")
    defer_events: tuple[Literal["child_ends", "remarriage", "cohabitation", "default", "move", "sale"], ...] = fact(
        "Events that end it sooner", default=(), title="Events that end the deferral"
    )
    defer_ground: Literal["child", "contract"] | None = fact(
        "Deferral for a child (Fam. Code § 3800) or by contract", title="Ground of the deferral"
    )
    changed_facts_rule: Literal["presumption_kept", "presumption_waived"] | None = fact(
        "Whether remarriage or changed facts end the deferral, as the law presumes (Fam. Code § 3808)",
        title="Remarriage or changed facts",
    )
    equity_line_frozen: YesNo | None = fact("Whether a joint equity line is frozen")
    credits: tuple[PropertyCredit, ...] = fact("Credits between the owners", default=())
    tax_basis_note: Words | None = fact("What the parties know of its tax basis", "B")
    insurance_by: Day | None = fact("Day by which insurance is put in the owner's name", title="Insurance moved by")
    use_attribution: YesNo | None = fact(
        "Whether the absent owner's tax use is preserved by this instrument (I.R.C. § 121(d)(3)(B))",
        title="Tax use of the absent owner",
    )
    monthly_rent: Money | None = fact("Rent, for a lease", unit="dollars a month")
    deposit: Money | None = fact("Security deposit, for a lease")


class Vehicle(Record):
    """A car or other vehicle."""

    description: Words | None = fact("Year, make, model")
    vin_last_six: Words | None = fact("Last six of the identification number", "C", title="VIN, last six")
    loan: Key | None = fact("Its loan, by the debt's short name")
    title_by: Day | None = fact("Day by which title is transferred")
    insure_by: Day | None = fact("Day by which it is insured apart")


class Account(Record):
    """A bank or investment account."""

    type: Literal["checking", "savings", "brokerage", "certificate", "529", "custodial", "deposit", "other"] | None = (
        fact("Kind of account")
    )
    as_of: Day | None = fact("Day of the balance", title="Balance as of")
    close_by: Day | None = fact("Day by which a joint account is closed")
    for_child: Key | None = fact("Child whose account it is, by short name")
    custodian: PartyRole | None = fact("Who keeps a child's account as custodian")


class SurvivorTerms(Record):
    """What happens to a plan share when somebody dies (Fam. Code § 2610(a))."""

    before_benefits: Literal["treated_as_surviving_spouse", "none"] | None = fact(
        "If the member dies before benefits begin", title="Death before benefits begin"
    )
    after_benefits: Literal["joint_and_survivor", "none"] | None = fact(
        "If the member dies after benefits begin", title="Death after benefits begin"
    )
    cost_petitioner_percent: Percent | None = fact(
        "Petitioner's share of the cost of survivor cover", unit="percent", title="Petitioner's share of the cost"
    )
    nonmember_share_to: Literal["estate", "member", "named"] | None = fact(
        "Where the other party's share goes if they die first", title="If the other party dies first"
    )


class SurvivorBenefitPlan(Record):
    """Military survivor cover."""

    elected: YesNo | None = fact("Whether former-spouse cover is elected", title="Former-spouse cover elected")
    base: Literal["full", "other"] | None = fact("Base amount")
    base_amount: Money | None = fact("Base amount, if not full", unit="dollars a month")
    premium_petitioner_percent: Percent | None = fact(
        "Petitioner's share of the premium", unit="percent", title="Petitioner's share of the premium"
    )
    deemed_election_by: PartyRole | None = fact("Who sends the deemed election, within one year")


class MilitaryPay(Record):
    """Pay data that the pay center asks for (10 U.S.C. § 1408)."""

    high_three: Money | None = fact("High-3 pay at divorce", "B", unit="dollars a month", title="High-3 pay")
    years: Quantity | None = fact("Creditable years", "B", title="Creditable years")
    branch: Words | None = fact("Branch", "B", title="Branch of service")
    retired: YesNo | None = fact("Whether retired", "B")
    overlap_years: Quantity | None = fact("Years of marriage during service", "B")


class Retirement(Record):
    """A retirement plan or account."""

    plan_name: Words | None = fact("Exact name of the plan")
    type: (
        Literal[
            "401k", "403b", "457b", "tsp", "profit_sharing", "pension_private", "calpers", "calstrs", "county_1937", "uc",
            "federal_civil", "judges", "military", "ira", "roth_ira", "sep_ira", "nonqualified",
        ]
        | None
    ) = fact("Kind of plan")  # fmt: skip
    member: PartyRole | None = fact("Whose plan it is", title="Plan member")
    pay_status: Literal["accruing", "deferred", "in_pay"] | None = fact(
        "Whether benefits accrue, are deferred, or are paid"
    )
    balance_on: Day | None = fact("Day as of which the share is measured")
    premarital_balance: Money | None = fact("Separate part of the balance")
    loan: Money | None = fact("Plan loan outstanding")
    loan_added_back: YesNo | None = fact("Whether the loan is added back to the balance before the share is taken")
    service_from: Day | None = fact("First day of service")
    community_service_months: Quantity | None = fact("Months of service during the marriage", unit="months")
    total_service_months: Quantity | None = fact("Months of service in all, at retirement or today", unit="months")
    method: (
        Literal["split_percent", "split_sum", "time_rule", "separate_account", "separate_interest", "keep", "reserved"]
        | None
    ) = fact("How it is divided", title="How it is divided")
    share_percent: Percent | None = fact("Other party's percentage of the community part", unit="percent")
    share_sum: Money | None = fact("Other party's share as a sum")
    gains: Literal["with", "without"] | None = fact(
        "Whether the share moves with the market until paid out", title="Gains and losses"
    )
    early_payment: Literal["reserved", "waived", "claimed"] | None = fact(
        "Other party's right to be paid once the member could retire: kept for later, given up, or claimed "
        "(In re Marriage of Gillmore (1981) 29 Cal.3d 418)",
        title="Payment once the member could retire",
    )
    past_payments: Literal["paid", "waived", "reserved"] | None = fact(
        "Other party's share of benefits paid since separation, for a plan in pay"
    )
    survivor: SurvivorTerms | None = fact("On death", title="Death of a party")
    preparer: Words | None = fact("Who prepares the order")
    order_cost_petitioner_percent: Percent | None = fact(
        "Petitioner's share of its cost", unit="percent", title="Petitioner's share of the order's cost"
    )
    order_by: Day | None = fact("Day by which the order is sent", title="Order sent by")
    order_status: Literal["none", "draft", "sent", "qualified", "filed"] | None = fact("Where the order stands")
    death_gap: Literal["none", "hold_order", "insurance", "estate_charge"] | None = fact(
        "Protection if the member dies before the order is accepted", title="Death before the order"
    )
    joined: YesNo | None = fact("Whether the plan has been joined to the case", title="Plan joined to the case")
    beneficiary_by_days: Whole | None = fact(
        "Days after entry within which a kept plan's beneficiary is changed",
        unit="days",
        title="Beneficiary changed within",
    )
    military: MilitaryPay | None = fact("Military pay data", "B")
    survivor_benefit_plan: SurvivorBenefitPlan | None = fact("Military survivor cover")
    disability_risk_noted: YesNo | None = fact("Whether the parties know that disability pay may replace retired pay")


class Guaranty(Record):
    """A personal guaranty of business debt."""

    creditor: Words = needed("Creditor")
    by: Literal["petitioner", "respondent", "both"] = needed("Who gave it", title="Given by")
    release_by: Day | None = fact("Day by which a release is sought")


class NonCompete(Record):
    """A limited promise not to compete, given with the sale of a business (Bus. & Prof. Code § 16601)."""

    area: Words | None = fact("Area")
    term_months: Whole | None = fact("Term", unit="months")


class Business(Record):
    """A business interest."""

    name: Words | None = fact("Name")
    entity: Literal["sole", "partnership", "llc", "s_corporation", "c_corporation", "professional"] | None = fact(
        "Form", title="Form of business"
    )
    owned_percent: Percent | None = fact("Percentage owned", unit="percent", title="Part owned")
    value_method: Literal["appraised", "agreed", "book", "excess_earnings"] | None = fact("How it was valued")
    value_waived: YesNo | None = fact(
        "Whether both gave up an appraisal, knowing what that means", title="Appraisal given up"
    )
    guaranties: tuple[Guaranty, ...] = fact("Personal guaranties", default=())
    tax_note: Words | None = fact("Tax terms, such as pass-through income of the last joint year")
    noncompete: NonCompete | None = fact("Promise not to compete")
    license: Words | None = fact("Professional license, if the law asks for one")
    other_works_there_until: Day | None = fact("Last day on which the other spouse works there")


class Vesting(Record):
    """One vesting date."""

    on: Day = needed("Day of vesting", title="Vests on")
    units: Quantity = needed("Units")


class Grant(Record):
    """One grant of options or units."""

    granted_on: Day = needed("Day of grant")
    kind: Literal["option", "restricted_unit", "performance_unit"] = needed("Kind")
    units: Quantity | None = fact("Units granted")
    vests: tuple[Vesting, ...] = fact("Vesting", default=())
    strike_price: Money | None = fact("Strike price")
    community_percent: Percent | None = fact("Community part, if agreed", unit="percent")


class StockPlan(Record):
    """Stock options or units from an employer."""

    employer: Words | None = fact("Employer")
    holder: PartyRole | None = fact("Who holds them")
    hired_on: Day | None = fact("First day of work for the employer, from which the Hug formula counts")
    grants: dict[Key, Grant] = fact("Grants, by short name", default={})
    formula: Literal["hug", "nelson", "agreed_percent", "all_community", "all_separate"] | None = fact(
        "Formula for the community part"
    )
    tax_rule: Words | None = fact("How tax is set aside", title="How tax is set aside")
    duties: Words | None = fact("What the holder must do, and by when")
    counts_as_income: YesNo | None = fact("Whether the same stock is also counted as income for support")


class Crypto(Record):
    """A digital asset held by key."""

    kind: Words | None = fact("Which asset", title="Which asset")
    quantity: Quantity | None = fact("Quantity")
    as_of: Day | None = fact("Day of the quantity", title="Quantity as of")
    as_of_hour: Clock | None = fact("Hour of the quantity", title="Hour of the quantity")
    custody: Literal["exchange", "self"] | None = fact(
        "Held by an exchange or by the owner", "C", title="How it is held"
    )
    transfer_rule: Words | None = fact("How it is transferred, without any secret", title="How it is transferred")


class Work(Record):
    """A copyright, patent, book, or similar."""

    title: Words | None = fact("What it is", title="What it is")
    registration: Words | None = fact("Registration")
    petitioner_percent_of_income: Percent | None = fact(
        "Petitioner's share of the income", unit="percent", title="Petitioner's share of the income"
    )
    controlled_by: PartyRole | None = fact("Who decides on its use")


class Animal(Record):
    """A pet (Fam. Code § 2605)."""

    name: Words | None = fact("Name")
    species: Words | None = fact("Species")
    chip: Words | None = fact("Chip number, last part only", "C", title="Chip number, last part")
    owner: Literal["petitioner", "respondent", "both"] | None = fact("Who owns it")
    times: Words | None = fact("When the other spends time with it", title="Time with the other party")
    petitioner_cost_percent: Percent | None = fact(
        "Petitioner's share of the cost", unit="percent", title="Petitioner's share of the cost"
    )


class Policy(Record):
    """A life insurance policy."""

    insurer: Words | None = fact("Insurer")
    type: Literal["term", "whole", "group", "veterans", "federal_employee"] | None = fact("Kind")
    face: Money | None = fact("Face amount", title="Face amount")
    owner: PartyRole | None = fact("Owner")
    insured: PartyRole | None = fact("Insured")
    beneficiary: Words | None = fact("Beneficiary named now")
    secures: tuple[Literal["child_support", "spousal_support", "note", "adult_child_trust"], ...] = fact(
        "What it secures", default=()
    )
    until: Words | None = fact("Kept until when", title="Kept until")


class Claim(Record):
    """A claim or lawsuit."""

    description: Words | None = fact("What it is", "B")
    status: Literal["pending", "settled", "potential"] | None = fact("Where it stands")
    petitioner_percent: Percent | None = fact("Petitioner's share", unit="percent", title="Petitioner's share")
    personal_injury: YesNo = fact("Whether for personal injury (Fam. Code § 2603)", default=False)
    injured: PartyRole | None = fact("Who was hurt", "B")


class Asset(Record):
    """One asset. The record for its kind, if any, stands inside it."""

    kind: Literal[
        "real", "vehicle", "account", "retirement", "business", "stock_plan", "crypto", "work", "animal", "household", "digital",
        "policy", "claim", "other",
    ] = needed("Kind of asset")  # fmt: skip
    label: Words = needed(
        "What it is called in a sentence of the agreement, such as the joint checking account",
        title="Name in the agreement",
    )
    titled: Literal["petitioner", "respondent", "both", "other"] | None = fact(
        "In whose name", "B", title="Title held by"
    )
    acquired_on: Day | None = fact("Day acquired", "B")
    character: Literal[
        "community", "quasi_community", "separate_petitioner", "separate_respondent", "mixed", "disputed"
    ] = fact("Community, separate, or mixed", default="community")
    value: Money | None = fact("Gross value or balance")
    value_on: Day | None = fact("Day of the value", title="Value as of")
    value_basis: Literal["appraisal", "statement", "agreed", "tax_roll", "none"] | None = fact(
        "How the value is known", title="How the value is known"
    )
    owing: Money | None = fact("What is owed on it, if its loan is not listed among the debts", title="Amount owed")
    separate_claims: tuple[SeparateClaim, ...] = fact("Separate-property claims in it", "B", default=())
    goes_to: Literal["petitioner", "respondent", "split", "sell", "co_own", "order", "reserved", "child"] | None = fact(
        "Who receives it"
    )
    petitioner_percent: Percent | None = fact(
        "Petitioner's percentage, if split", unit="percent", title="Petitioner's percentage"
    )
    petitioner_amount: Money | None = fact(
        "Petitioner's amount, if split by amount; the rest is the respondent's", title="Petitioner's amount"
    )
    outside_equalization: YesNo = fact(
        "Divided in kind, and left out of the equalization", default=False, title="Divided in kind"
    )
    transfer_by: Day | None = fact("Day by which it is handed over")
    transfer_days: Whole | None = fact(
        "Days after the agreement takes effect by which it is handed over", unit="days", title="Transfer within"
    )
    papers: tuple[Literal["deed", "title", "assignment", "plan_order", "notice", "deed_of_trust", "other"], ...] = fact(
        "Papers needed", default=()
    )
    last_four: LastFour | None = fact("Last four of the account number", "C", title="Account number, last four")
    institution: Words | None = fact("Bank or firm", "B")
    unrealized_gain_noted: YesNo | None = fact("Whether the parties have noted its untaxed gain", "B")
    real: RealProperty | None = fact("For a home or land", title="Home or land")
    vehicle: Vehicle | None = fact("For a vehicle")
    account: Account | None = fact("For an account")
    retirement: Retirement | None = fact("For a retirement plan")
    business: Business | None = fact("For a business")
    stock_plan: StockPlan | None = fact("For options or units")
    crypto: Crypto | None = fact("For a digital asset held by key", title="Digital asset")
    work: Work | None = fact("For a copyright or patent", title="Copyright or patent")
    animal: Animal | None = fact("For a pet", title="Pet")
    policy: Policy | None = fact("For life insurance", title="Life insurance")
    claim: Claim | None = fact("For a claim", title="Claim or lawsuit")


class GoodsList(Record):
    """Household goods for one party."""

    to: PartyRole = needed("To whom")
    items: tuple[Words, ...] = fact("Items", default=())


class Firearm(Record):
    """A firearm and its lawful transfer."""

    description: Words = needed("Description", "C")
    to: PartyRole | None = fact("To whom", "C")
    through_dealer: YesNo | None = fact("Through a licensed dealer", "C")


class DigitalItem(Record):
    """Digital property: photos, accounts, domain names."""

    what: Words = needed("What", "B")
    to: Literal["petitioner", "respondent", "both"] | None = fact("To whom", "B")


class Household(Record):
    """Household goods."""

    lists: tuple[GoodsList, ...] = fact("Lists of goods", default=(), title="Lists of goods")
    divided_already: YesNo | None = fact("Whether the goods are already divided to both parties' satisfaction")
    pick_up_by: Day | None = fact("Day by which goods are picked up")
    firearms: tuple[Firearm, ...] = fact("Firearms", "C", default=())
    digital: tuple[DigitalItem, ...] = fact("Digital property", "B", default=(), title="Digital property")


class Debt(Record):
    """One debt."""

    kind: Literal[
        "mortgage",
        "equity_line",
        "auto",
        "card",
        "student_loan",
        "tax",
        "medical",
        "family",
        "guaranty",
        "judgment",
        "other",
    ] = needed("Kind of debt")
    creditor: Words | None = fact("Creditor")
    label: Words | None = fact(
        "What it is called in the agreement, if not the creditor's name", title="Name in the agreement"
    )
    last_four: LastFour | None = fact("Last four of the account number", "C", title="Account number, last four")
    owing: Money | None = fact("Balance owed", title="Balance owed")
    as_of: Day | None = fact("Day of the balance", title="Balance as of")
    incurred_on: Day | None = fact("Day incurred")
    character: Literal["community", "separate_petitioner", "separate_respondent", "mixed"] = fact(
        "Community or separate", default="community"
    )
    obligors: Literal["petitioner", "respondent", "both"] | None = fact("Who owes it to the creditor", title="Owed by")
    assigned_to: Literal["petitioner", "respondent", "split", "from_sale"] | None = fact("Who pays it", title="Paid by")
    petitioner_percent: Percent | None = fact(
        "Petitioner's percentage, if split", unit="percent", title="Petitioner's percentage"
    )
    secured_by: Key | None = fact("Asset that secures it, by short name")
    pay_by: Day | None = fact("Day by which it is paid", title="To be paid by")
    pay_rule: Words | None = fact("How it is paid, if not by one date")
    close_by: Day | None = fact("Day by which a joint account is closed or frozen")
    education_of: PartyRole | None = fact("Whose education it paid for (Fam. Code §§ 2627, 2641)", title="Education of")
    education_of_child: Key | None = fact("Child whose education it paid for, by short name, for a parent's loan")


class Reimbursement(Record):
    """A reimbursement claim between the spouses or the estates."""

    kind: Literal[
        "post_separation_payments", "exclusive_use", "contribution_2640", "education_2641", "separate_debt", "other"
    ] = needed("Kind")
    claimant: PartyRole | None = fact("Who claims")
    amount: Money | None = fact("Amount")
    result: Literal["paid", "offset", "waived", "reserved"] | None = fact(
        "What becomes of it", title="What becomes of it"
    )
    asset: Key | None = fact("Asset it concerns, by short name")
    note: Words | None = fact("How it arose", title="How it arose")
