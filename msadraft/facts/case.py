"""Facts about the case itself: court, route to judgment, status, the paper that is drafted."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Day, Key, Money, PartyRole, Whole, Words, YesNo

County = Literal[
    "Alameda", "Alpine", "Amador", "Butte", "Calaveras", "Colusa", "Contra Costa", "Del Norte", "El Dorado", "Fresno",
    "Glenn", "Humboldt", "Imperial", "Inyo", "Kern", "Kings", "Lake", "Lassen", "Los Angeles", "Madera", "Marin",
    "Mariposa", "Mendocino", "Merced", "Modoc", "Mono", "Monterey", "Napa", "Nevada", "Orange", "Placer", "Plumas",
    "Riverside", "Sacramento", "San Benito", "San Bernardino", "San Diego", "San Francisco", "San Joaquin",
    "San Luis Obispo", "San Mateo", "Santa Barbara", "Santa Clara", "Santa Cruz", "Shasta", "Sierra", "Siskiyou",
    "Solano", "Sonoma", "Stanislaus", "Sutter", "Tehama", "Trinity", "Tulare", "Tuolumne", "Ventura", "Yolo", "Yuba",
]  # fmt: skip

Relief = Literal[
    "custody", "visitation", "child_support", "spousal_support_to_petitioner", "spousal_support_to_respondent",
    "end_spousal_support_to_petitioner", "end_spousal_support_to_respondent", "reserve_spousal_support",
    "confirm_separate_property", "divide_property", "fees", "former_name", "other",
]  # fmt: skip

Issue = Literal[
    "custody", "child_support", "spousal_support_to_petitioner", "spousal_support_to_respondent", "property", "debts",
    "fees", "other",
]  # fmt: skip


class Residence(Record):
    """How long each spouse had lived here when the petition was filed (Fam. Code § 2320)."""

    petitioner_months_in_state: Whole | None = fact("Months the petitioner had lived in California at filing", "B")
    petitioner_months_in_county: Whole | None = fact("Months the petitioner had lived in the county at filing", "B")
    respondent_months_in_state: Whole | None = fact("Months the respondent had lived in California at filing", "B")
    respondent_months_in_county: Whole | None = fact("Months the respondent had lived in the county at filing", "B")
    exception: Literal["partnership_registered_here", "marriage_made_here"] | None = fact(
        "Why no residence is needed: the partnership was registered in California (Fam. Code § 299(d)), or the spouses "
        "of the same sex married here and no place where either lives will dissolve the marriage (Fam. Code § 2320(b))",
        "B",
    )


class OtherCase(Record):
    """Another court case about these spouses or their children."""

    kind: Literal["dependency", "guardianship", "parentage", "agency", "other_state", "other"] = needed(
        "What kind of case it is", "B"
    )
    court: Words | None = fact("Court where it is pending", "B")
    number: Words | None = fact("Its case number", "B", title="Case number")


class PriorOrder(Record):
    """A temporary order made in this case."""

    subject: Literal["custody", "child_support", "spousal_support", "property", "fees", "other"] = needed(
        "What the order is about", "B"
    )
    made_on: Day | None = fact("Day the order was made", "B")
    terms: Words | None = fact("What it says, in a line", "B")
    fate: Literal["ends", "merges", "continues"] | None = fact(
        "Whether it ends, merges into the judgment, or continues", "B", title="What becomes of it"
    )


class ProtectiveOrder(Record):
    """A restraining or protective order, in force or past. Details never print; only that an order governs."""

    kind: Literal["domestic_violence", "criminal", "civil", "juvenile"] = needed("Kind of order", "D")
    protected: PartyRole | None = fact("Who is protected", "D", title="Protected person")
    restrained: PartyRole | None = fact("Who is restrained", "D", title="Restrained person")
    issued_on: Day | None = fact("Day it was issued", "D")
    ends_on: Day | None = fact("Day it ends", "D")
    covers_children: YesNo = fact(
        "Whether the children are protected by it", "D", default=False, title="Protects the children"
    )
    peaceful_contact: YesNo = fact(
        "Whether it allows peaceful contact about the children", "D", default=False, title="Allows peaceful contact"
    )
    after_hearing: YesNo = fact(
        "Whether it was made after notice and a hearing, or by stipulation",
        "D",
        default=False,
        title="Made after a hearing",
    )
    number: Words | None = fact("Its case number", "D", title="Case number")


class PreparerBlock(Record):
    """The legal document assistant's details (Bus. & Prof. Code § 6408)."""

    name: Words | None = fact("Name of the document assistant")
    address: Words | None = fact("Business address")
    phone: Words | None = fact("Telephone")
    registration: Words | None = fact("Registration number")
    county: Words | None = fact("County of registration")
    expires_on: Day | None = fact("Day the registration ends")


class ReservedIssue(Record):
    """An issue that the paper leaves for later."""

    issue: Issue = needed("Which issue stays open")
    until: Words | None = fact("Until what event or date")
    note: Words | None = fact("Why, in a line", "B")


class SpecialTerm(Record):
    """A term of this couple's own, printed as a paragraph of the part named."""

    part: Literal[
        "custody", "child_support", "spousal_support", "property", "debts", "taxes", "fees", "estate", "general"
    ] = needed("Part of the agreement where it belongs", "B")
    heading: Words = needed("Heading of the paragraph", "B")
    body: Words = needed("Full text of the term", "B")
    author: PartyRole | None = fact("Who asked for it", "B", title="Asked for by")


class Trade(Record):
    """Two promises given for each other, so that one does not outlive the other."""

    given: Words = needed("One side of the trade, such as the transfer of the cabin to Ana", "B", title="Promise")
    in_return_for: Words = needed("What is given for it, such as the end of Ana's claim to the pension", "B")


class FormRevision(Record):
    """A printing of a court form that is used instead of the latest known one."""

    form: Words = needed("Form, such as FL-341")
    revision: Words = needed("Its printing as the paragraph map names it, such as 2016-07-01")


class PetitionTerms(Record):
    """What the petition asked for in so many words (Code Civ. Proc. § 580); what is left out had no term of its own."""

    legal_custody: Literal["joint", "petitioner", "respondent"] | None = fact("Legal custody that it asked for")
    physical_custody: Literal["joint", "petitioner", "respondent"] | None = fact("Physical custody that it asked for")
    child_support_amount: Money | None = fact(
        "Child support that it named; leave out if it asked for the guideline", unit="dollars a month"
    )
    support_to_petitioner_amount: Money | None = fact(
        "Spousal support for the petitioner that it named", unit="dollars a month", title="Support for the petitioner"
    )
    fees_payer: PartyRole | None = fact("Who it asked to pay fees and costs", title="Who pays fees")
    fees_amount: Money | None = fact("Fees and costs that it named", title="Amount of fees")
    assets_to_petitioner: tuple[Key, ...] = fact("Assets that it proposed for the petitioner alone", "B", default=())
    assets_to_respondent: tuple[Key, ...] = fact("Assets that it proposed for the respondent alone", "B", default=())
    debts_to_petitioner: tuple[Key, ...] = fact("Debts that it proposed for the petitioner alone", "B", default=())
    debts_to_respondent: tuple[Key, ...] = fact("Debts that it proposed for the respondent alone", "B", default=())


class Case(Record):
    """The court case and the kind of paper drafted."""

    county: County = needed("County of the superior court where the case is filed")
    branch: Words | None = fact("Courthouse or branch", title="Courthouse")
    court_address: Words | None = fact("Street and mailing address of the courthouse")
    number: Words | None = fact("Case number, once the court has given one", title="Case number")
    proceeding: Literal["dissolution", "legal_separation", "nullity"] = fact(
        "Kind of proceeding", default="dissolution"
    )
    relationship: Literal["marriage", "partnership", "both"] = fact(
        "Marriage, registered domestic partnership, or both between the same two people", default="marriage"
    )
    path: Literal[
        "response_filed", "appearance_waiver", "default_with_agreement", "joint_petition", "reserved_issues", "default"
    ] = needed(
        "Route to judgment: a response was filed; the respondent appeared by waiver; no response but an agreement; "
        "a joint petition; only reserved issues remain; or default, with no response and no agreement",
        title="Route to judgment",
    )
    petition_filed_on: Day | None = fact("Day the petition was filed")
    served_on: Day | None = fact("Day service on the respondent was complete")
    service_method: (
        Literal["personal", "substituted", "mail_acknowledged", "publication", "posting", "appearance", "joint_filing"]
        | None
    ) = fact("How the respondent was brought into the case")
    response_filed_on: Day | None = fact("Day the response was filed")
    appearance_on: Day | None = fact(
        "Day the respondent's appearance and waivers were filed", title="Appearance filed on"
    )
    default_entered_on: Day | None = fact("Day default was entered")
    grounds: Literal["irreconcilable", "permanent_incapacity"] = fact(
        "Ground for the judgment (Fam. Code § 2310)", default="irreconcilable"
    )
    residence: Residence | None = fact("Length of residence at filing", "B")
    status_mode: Literal["on_entry", "on_date", "earliest", "already_ended", "not_ended"] = fact(
        "When marital status ends: on entry of judgment, on a named date, on the earliest date the law allows, "
        "already ended, or not by this judgment",
        default="on_entry",
        title="When marital status ends",
    )
    status_on: Day | None = fact("Day status ends, if a date is named", title="Status ends on")
    status_ended_on: Day | None = fact("Day status already ended, if it has")
    bifurcation_terms: tuple[
        Literal[
            "tax_indemnity", "health_cover", "probate_homestead", "family_allowance", "retirement", "insurance",
            "social_security", "trust", "other",
        ],
        ...,
    ] = fact("Conditions that protect the spouses when status ends first (Fam. Code § 2337)", default=())  # fmt: skip
    petition_relief: tuple[Relief, ...] = fact(
        "What the petition asked for", default=(), title="Relief asked for in the petition"
    )
    petition_assets_listed: tuple[Key, ...] = fact(
        "Assets that the petition papers listed, by short name", "B", default=(), title="Assets listed in the petition"
    )
    petition_debts_listed: tuple[Key, ...] = fact(
        "Debts that the petition papers listed, by short name", "B", default=(), title="Debts listed in the petition"
    )
    petition_terms: PetitionTerms | None = fact(
        "What the petition asked for in so many words, for a default", title="Terms asked for in the petition"
    )
    agreement_kind: Literal["settlement_agreement", "stipulated_judgment"] = fact(
        "A marital settlement agreement, or the attachment to a stipulated judgment",
        default="settlement_agreement",
        title="Kind of agreement",
    )
    packaging: Literal["agreement_only", "hybrid", "forms_only"] = fact(
        "How the packet is made up: the agreement alone behind the judgment form, the agreement with the attachment forms "
        "that point to it, or the forms filled in with no agreement attached",
        default="agreement_only",
        title="How the packet is made up",
    )
    form_revisions: tuple[FormRevision, ...] = fact("Printings of forms other than the latest known", default=())
    numbering: Literal["decimal", "continuous"] = fact(
        "decimal: 1, 1.1, (a); continuous: paragraphs 1 to N straight through, articles lettered", default="decimal"
    )
    layout: Literal["plain", "pleading"] = fact("Plain paper, or pleading paper with numbered lines", default="plain")
    party_labels: Literal["given_names", "roles"] = fact(
        "How the agreement calls the spouses: by given name, or Petitioner and Respondent", default="given_names"
    )
    merger: Literal["merge_all", "incorporate_no_merge", "support_merges_only"] | None = fact(
        "Whether the agreement merges into the judgment", title="Merger into the judgment"
    )
    effective_rule: Literal["last_signature", "entry", "fixed_date", "split"] | None = fact(
        "When duties begin: last signature, entry of judgment, a fixed date, or property on signature and support on entry",
        title="When duties begin",
    )
    effective_on: Day | None = fact(
        "The fixed date on which duties begin, if that rule is chosen", title="Duties begin on"
    )
    other_cases: tuple[OtherCase, ...] = fact(
        "Other court cases about the family", "B", default=(), title="Other court cases"
    )
    prior_orders: tuple[PriorOrder, ...] = fact("Temporary orders made in this case", "B", default=())
    protective_orders: tuple[ProtectiveOrder, ...] = fact("Restraining or protective orders", "D", default=())
    child_support_agency: YesNo | None = fact("Whether the local child support agency has opened a case", "B")
    public_assistance: Literal["none", "pending", "receiving", "past"] | None = fact(
        "Public assistance for the children", "B"
    )
    joined_plans: tuple[Key, ...] = fact("Retirement plans joined to the case, by the asset's short name", default=())
    local_requirements: tuple[Literal["notary", "cover_sheet", "order_size", "local_forms"], ...] = fact(
        "What the county asks beyond the statewide rules; check the local rules", default=()
    )
    county_profile: Words | None = fact(
        "File of what the local court asks for, as you read it in its rules; seen from the case folder", "B"
    )
    signing_on: Day | None = fact(
        "Day on which signing is planned; ages and default dates are worked out for this day",
        title="Planned day of signing",
    )
    mediated: YesNo | None = fact("Whether a mediator helped")
    mediator: Words | None = fact("The mediator's name", "B")
    mediation_admissible: YesNo | None = fact(
        "Whether both want the agreement admissible and binding (Evid. Code § 1123)",
        title="Agreement admissible after mediation",
    )
    drafted_by: (
        Literal["petitioner_counsel", "respondent_counsel", "neutral", "document_assistant", "clinic", "party"] | None
    ) = fact("Who prepares the paper")
    preparer_block: PreparerBlock | None = fact("Details of a legal document assistant", title="Document assistant")
    reserved_issues: tuple[ReservedIssue, ...] = fact("Issues left open on purpose", default=())
    traded_terms: tuple[Trade, ...] = fact(
        "Promises given for each other, beside those the program knows", "B", default=()
    )
    release_scope: Literal["marital_claims", "property_only"] = fact(
        "What the mutual release covers: all claims from the marriage, or claims to property and reimbursement alone",
        default="marital_claims",
    )
    release_unknown_claims: YesNo = fact(
        "Whether the release reaches claims that a party does not know of (Civ. Code § 1542)", default=False
    )
    review_days: Whole | None = fact(
        "Days that each party had the final text before signing", unit="days", title="Days with the final text"
    )
    special_terms: tuple[SpecialTerm, ...] = fact("Terms of this couple's own", "B", default=())
