"""Facts about the two spouses, their marriage, their disclosures and their children."""

from typing import Literal

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.scalars import Day, Key, LastFour, Money, PartyRole, Words, YesNo


class PersonName(Record):
    """A legal name, as in the petition, letter for letter."""

    first: Words = needed("First name", title="First name")
    middle: Words | None = fact("Middle name or names", title="Middle names")
    last: Words = needed("Last name", title="Last name")
    suffix: Words | None = fact("Suffix, like Jr.")

    @property
    def full(self) -> str:
        """The whole name in one line."""
        return " ".join(part for part in (self.first, self.middle, self.last, self.suffix) if part)


class Address(Record):
    """A postal address."""

    street: Words | None = fact("Street and number", "B")
    city: Words | None = fact("City", "B")
    state: Words | None = fact("State", "B")
    post_code: Words | None = fact("Post code", "B")


class Attorney(Record):
    """The party's attorney, as the caption needs it (Cal. Rules of Court, rule 2.111)."""

    name: Words | None = fact("Attorney's name")
    bar_number: Words | None = fact("State Bar number")
    firm: Words | None = fact("Firm")
    address: Words | None = fact("Address in one line")
    phone: Words | None = fact("Telephone")
    email: Words | None = fact("E-mail")


class IndependentAdvice(Record):
    """Whether this party had legal advice of their own about the agreement."""

    had: YesNo | None = fact("Whether independent advice was given", "B", title="Advice was given")
    by: Words | None = fact("Who gave it", "B", title="Given by")
    on: Day | None = fact("When", "B", title="Given on")


class Interpreter(Record):
    """The interpreter who read the agreement to a party."""

    name: Words | None = fact("Interpreter's name", "B")
    language: Words | None = fact("Language", "B")
    mode: Literal["oral", "written"] | None = fact("Read aloud, or translated in writing", "B", title="How it was read")
    certified: YesNo | None = fact("Whether certified", "B")


class IncomeLine(Record):
    """One source of income."""

    source: Words = needed("Where the money comes from", "B")
    kind: Words | None = fact("Kind: salary, bonus, rent, and so on", "B")
    amount: Money | None = fact("Amount", "B")
    frequency: Words | None = fact("How often", "B")


class CapacityIssue(Record):
    """A sign that a party may need a guardian or counsel before signing."""

    kind: Literal["guardian", "conservator", "custody", "hospital"] = needed("What it is", "C")
    note: Words | None = fact("A line about it", "C")


class ViolenceConviction(Record):
    """A conviction that bears on support or custody (Fam. Code §§ 4324.5, 4325)."""

    level: Literal["misdemeanor", "felony"] = needed("Level of the offense", "D")
    convicted_on: Day | None = fact("Day of conviction", "D")
    court: Words | None = fact("Court", "D")
    against: PartyRole | None = fact("Which spouse was hurt", "D")


class SponsorAffidavit(Record):
    """An immigration affidavit of support, which outlives a waiver of spousal support."""

    sponsor: PartyRole = needed("Who signed as sponsor", "C")
    form: Words | None = fact("Which form", "C")
    signed_on: Day | None = fact("When", "C")


class Bankruptcy(Record):
    """A bankruptcy case of one party."""

    chapter: Literal["7", "11", "12", "13"] | None = fact("Chapter", "B")
    filed_on: Day | None = fact("Day filed", "B")
    stay: YesNo | None = fact("Whether the automatic stay is in force", "B")
    discharged_on: Day | None = fact("Day of discharge", "B")


class EstateDocument(Record):
    """A will, trust, power of attorney or health directive."""

    kind: Literal["will", "trust", "power_of_attorney", "directive"] = needed("Kind of document", "B")
    signed_on: Day | None = fact("Day it was signed", "B")


class FinalWaiver(Record):
    """The joint waiver of final disclosure (Fam. Code § 2105(d))."""

    signed_on: Day | None = fact("Day this party signed the waiver")
    under_penalty_of_perjury: YesNo | None = fact("Whether signed under penalty of perjury")


class Disclosure(Record):
    """Declarations of disclosure of one party (Fam. Code §§ 2104, 2105)."""

    preliminary_served_on: Day | None = fact("Day the preliminary declaration was served")
    final_served_on: Day | None = fact("Day the final declaration was served")
    final_waived: FinalWaiver | None = fact("Waiver of final disclosure")
    income_declaration_on: Day | None = fact("Date of the current income and expense declaration")
    tax_returns_given: YesNo | None = fact("Whether two years of tax returns were given")
    updated_through: Day | None = fact("Day through which the disclosure is up to date")
    preliminary_excused_on: Day | None = fact(
        "Day of a court order that excuses this party's preliminary declaration (Fam. Code § 2107)"
    )
    final_excused_on: Day | None = fact(
        "Day of a court order that excuses this party's final declaration (Fam. Code § 2107)"
    )


class Party(Record):
    """One spouse."""

    name: PersonName = needed("Legal name as in the petition")
    also_known_as: tuple[Words, ...] = fact("Other names, for title papers", default=(), title="Other names")
    born_on: Day | None = fact("Date of birth; only the age is used", "C", title="Date of birth")
    address: Address | None = fact("Residence address", "B")
    address_hidden: YesNo = fact("Keep the address out of every paper (address program, or safety)", "D", default=False)
    county: Words | None = fact("County of residence")
    state: Words | None = fact("State of residence", default="California")
    email: Words | None = fact("E-mail", "B")
    phone: Words | None = fact("Telephone", "B")
    employer: Words | None = fact("Employer", "B")
    occupation: Words | None = fact("Occupation", "B")
    gross_monthly_income: Money | None = fact(
        "Gross income from all sources, dollars a month", "B", unit="dollars a month"
    )
    net_monthly_income: Money | None = fact(
        "Net disposable income for guideline support, dollars a month", "B", unit="dollars a month"
    )
    income: tuple[IncomeLine, ...] = fact("Income by source", "B", default=())
    health_note: Words | None = fact("Health fact that support rests on; as little as will do", "C")
    representation: Literal["attorney", "limited_scope", "none"] | None = fact(
        "Attorney of record, limited-scope attorney, or none"
    )
    attorney: Attorney | None = fact("The attorney")
    independent_advice: IndependentAdvice | None = fact("Advice of their own about this agreement", "B")
    language: Words = fact("Language this party reads", "B", default="English")
    interpreter: Interpreter | None = fact("Interpreter or translator", "B")
    restore_name: Words | None = fact(
        "Former name to be restored, in full (Fam. Code § 2080)", title="Former name to restore"
    )
    capacity_issue: CapacityIssue | None = fact("A sign that this party may need a guardian or counsel", "C")
    military: Literal["none", "active", "reserve", "retired"] = fact("Military service", default="none")
    violence_conviction: ViolenceConviction | None = fact("Conviction for violence in the family", "D")
    sponsor_affidavit: SponsorAffidavit | None = fact(
        "Immigration affidavit of support", "C", title="Immigration affidavit of support"
    )
    benefits: tuple[Literal["ssi", "ssdi", "calworks", "medi_cal", "calfresh", "va", "other"], ...] = fact(
        "Public benefits received", "C", default=()
    )
    bankruptcy: Bankruptcy | None = fact("Bankruptcy case", "B")
    estate_documents: tuple[EstateDocument, ...] = fact("Estate documents signed earlier", "B", default=())
    disclosure: Disclosure = fact("Declarations of disclosure", default=Disclosure())
    signed_on: Day | None = fact("Day this party signed")
    sign_method: Literal["ink", "electronic"] | None = fact("How this party signs", title="How this party signs")
    notarized: YesNo | None = fact("Whether the signature is acknowledged before a notary")
    notary_state: Words | None = fact("State of the notary")
    tax_id_last_four: LastFour | None = fact(
        "Last four of the tax number, for plan orders only", "D", title="Tax number, last four"
    )


class PriorSeparation(Record):
    """An earlier separation that ended in reconciliation."""

    from_day: Day | None = fact("From", "B", title="From")
    to_day: Day | None = fact("To", "B", title="To")


class EarlierAgreement(Record):
    """A premarital, postnuptial or partial agreement."""

    signed_on: Day | None = fact("Day it was signed", "B")
    title: Words | None = fact("What it is called", "B", title="Title of the agreement")
    fate: Literal["keep", "supersede", "compromise", "keep_for_named_assets"] | None = fact(
        "Carried out, superseded, disputed and compromised, or kept for named assets only",
        "B",
        title="What became of it",
    )
    terms: Words | None = fact("What matters of it, in a line", "B")


class Marriage(Record):
    """The marriage or partnership and its dates."""

    married_on: Day = needed("Date of marriage, or of registration for a partnership alone")
    place: Words | None = fact("City and state, or country, of the marriage")
    partnership_registered_on: Day | None = fact("Day the domestic partnership was registered")
    separated_on: Day = needed("Date of separation (Fam. Code § 70)")
    separation_basis: Literal["agreed", "compromised", "property_only"] = fact(
        "Date agreed; disputed and settled for all purposes; or settled for property and reserved for support",
        default="agreed",
    )
    prior_separations: tuple[PriorSeparation, ...] = fact("Earlier separations", "B", default=())
    premarital_agreement: EarlierAgreement | None = fact("Premarital agreement", "B")
    other_agreements: tuple[EarlierAgreement, ...] = fact("Other agreements between the spouses", "B", default=())
    living_standard: Words | None = fact(
        "The standard of living during the marriage, in a sentence (Fam. Code § 4332)", "B"
    )


class Incapacity(Record):
    """An incapacity that may carry support past majority (Fam. Code § 3910)."""

    since: Day | None = fact("Since when", "C")
    means: Words | None = fact("Means of the child's own, in a line", "C", title="Means of their own")


class PastResidence(Record):
    """Where a child lived in the last five years (Fam. Code § 3429)."""

    from_day: Day | None = fact("From", "C", title="From")
    to_day: Day | None = fact("To", "C", title="To")
    place: Words | None = fact("City and state", "C")
    with_whom: Words | None = fact("With whom", "C")


class Passport(Record):
    """A child's passport."""

    country: Words = needed("Issuing country", "C")
    held_by: PartyRole | None = fact("Which parent holds it", "C")
    expires_on: Day | None = fact("Day it expires", "C")


class School(Record):
    """The child's school."""

    name: Words | None = fact("School", "B")
    district: Words | None = fact("School district, whose calendar counts", "B")


class CollegePlan(Record):
    """What is known of the child's college."""

    school: Words | None = fact("College", "B")
    starts_on: Day | None = fact("Start", "B")
    yearly_cost: Money | None = fact("Estimated cost, dollars a year", "B", unit="dollars a year")


class Child(Record):
    """One child."""

    name: PersonName = needed("The child's name")
    born_on: Day | None = fact("Date of birth; leave out for a child not yet born", "C", title="Date of birth")
    due_on: Day | None = fact("Expected date of birth of a child not yet born", "C", title="Expected on")
    of_both: YesNo = fact("Whether both spouses are the parents", default=True, title="Child of both spouses")
    parentage: Literal["marital", "declaration", "adoption", "judgment", "to_establish"] = fact(
        "How parentage is established", "B", default="marital"
    )
    before_marriage: YesNo = fact("Born before the marriage", default=False, title="Born before the marriage")
    lives_with: Literal["petitioner", "respondent", "both", "other"] | None = fact("With whom the child lives", "B")
    graduates_on: Day | None = fact("Expected end of 12th grade", "B")
    full_time_student: YesNo = fact("In high school full-time, if 18 (or medically excused)", "B", default=True)
    married_or_emancipated: YesNo = fact("Married, in active service, or emancipated", default=False)
    incapacity: Incapacity | None = fact("Unable to earn a living and without means (Fam. Code § 3910)", "C")
    needs: Words | None = fact("Special needs, in neutral words", "C")
    benefits: tuple[Literal["ssi", "regional_center", "other"], ...] = fact("Benefits for the child", "C", default=())
    residence_five_years: tuple[PastResidence, ...] = fact(
        "Where the child lived in the last five years", "C", default=(), title="Residence in the last five years"
    )
    habitual_country: Words | None = fact("Country where the child habitually lives (Fam. Code § 3048(a)(5))")
    passports: tuple[Passport, ...] = fact("Passports", "C", default=())
    school: School | None = fact("School", "B")
    college: CollegePlan | None = fact("College", "B")
    accounts: tuple[Key, ...] = fact("Accounts held for the child, by the asset's short name", "B", default=())
