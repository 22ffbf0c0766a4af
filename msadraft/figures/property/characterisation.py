"""Whose an asset or a debt is: ordered tests by agreement, dates, title and source, each with its section.

The first test that answers decides. The tests after it are not asked, but cautions that belong to the answer are
given. A person can always decide otherwise; the result then keeps both answers and the reason.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from msadraft.facts.model import Facts
from msadraft.facts.scalars import PartyRole
from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.working import InputError, require
from msadraft.law.parameters import law

Character = Literal[
    "community", "quasi_community", "separate_petitioner", "separate_respondent", "separate_of_both", "mixed"
]
Source = Literal[
    "earnings", "purchase", "gift", "inheritance", "separate_income", "injury_damages", "exchange_of_separate"
]
Title = Literal["petitioner", "respondent", "joint", "other"]
Method = Literal[
    "confirm", "equal_division", "principal_apportionment", "contributions", "time_rule", "account_tracing",
    "unit_fraction", "business_growth", "tracing",
]  # fmt: skip

SEPARATE: dict[PartyRole, Character] = {"petitioner": "separate_petitioner", "respondent": "separate_respondent"}
WORDS = {
    "community": "community property",
    "quasi_community": "quasi-community property",
    "separate_petitioner": "the petitioner's separate property",
    "separate_respondent": "the respondent's separate property",
    "separate_of_both": "separate shares of both",
}


@dataclass(frozen=True, slots=True)
class WrittenAgreement:
    """A premarital agreement, or a writing that changed the character of an asset.

    `loser_joined`: the spouse whose interest it harms made it, joined in it, or accepted it (Fam. Code § 852(a)).
    """

    makes_it: Character
    signed_on: date
    kind: Literal["premarital", "transmutation"]
    express: bool = True
    loser_joined: bool = True


@dataclass(frozen=True, slots=True)
class Acquisition:
    """How one asset came to be held. A fact that is None is not known.

    Attributes:
        acquired_on: day of acquisition; for earnings and accounts the day they were earned.
        by: the spouse who acquired it; None if both did.
        title_statement: the title itself says that it is separate (Fam. Code § 2581(a)).
        joint_title_on: day on which it was put in joint form, if later than acquisition.
        commingled: damages for an injury were mixed with other community money (Fam. Code § 2603(a)).
        kind: kind of asset, which decides the method for a mixed one.
        traced_to: the spouse whose separate money is shown by records to have bought it.
    """

    acquired_on: date | None
    source: Source | None = None
    by: PartyRole | None = None
    title: Title | None = None
    title_statement: bool = False
    joint_title_on: date | None = None
    agreement: WrittenAgreement | None = None
    in_california: bool = True
    traced_to: PartyRole | None = None
    commingled: bool = False
    against_other_spouse: bool = False
    community_money_or_effort: bool = False
    kind: str = "other"


@dataclass(frozen=True, slots=True)
class MarriageDays:
    """The days that decide: marriage, separation (Fam. Code § 70), legal separation, end of status."""

    married_on: date
    separated_on: date | None = None
    legally_separated_on: date | None = None
    ended_on: date | None = None

    def __post_init__(self) -> None:
        for what, day in (
            ("separation", self.separated_on),
            ("legal separation", self.legally_separated_on),
            ("end of the marriage", self.ended_on),
        ):
            if day is not None and day < self.married_on:
                raise InputError(
                    f"the {what} ({day}) lies before the marriage ({self.married_on}); correct one of the two days"
                )


@dataclass(frozen=True, slots=True)
class Test:
    """One question that was asked: what, under which section, and the answer in words."""

    question: str
    answer: str
    source: str
    decides: bool = False


@dataclass(frozen=True, slots=True)
class Characterised:
    """The result: character (None: it cannot be said yet), the method that follows, the tests in order, cautions.

    `decided_by_hand` holds the reason if a person set the character against or without the tests.
    """

    character: Character | None
    method: Method | None
    tests: tuple[Test, ...]
    cautions: tuple[str, ...]
    by_the_tests: Character | None
    decided_by_hand: str = ""

    def figure(self, label: str, facts: tuple[str, ...] = ()) -> Figure:
        """The result with its working."""
        steps = tuple(Step(t.question, t.answer, "decides" if t.decides else "goes on", t.source) for t in self.tests)
        return Figure(f"character of {label}", self.character, "", steps, facts, self.cautions)


class _Asking:
    """Collects the tests as they are asked."""

    def __init__(self) -> None:
        self.tests: list[Test] = []
        self.cautions: list[str] = []

    def no(self, question: str, answer: str, source: str) -> None:
        self.tests.append(Test(question, answer, source))

    def yes(self, question: str, answer: str, source: str) -> None:
        self.tests.append(Test(question, answer, source, decides=True))


def characterise(
    asset: Acquisition, days: MarriageDays, by_hand: Character | None = None, reason: str = ""
) -> Characterised:
    """Ask the tests in order and give the first answer.

    Args:
        by_hand: a character that a person decided on instead; needs a reason.

    Raises:
        InputError: a decision by hand without a reason; a joint title before the acquisition.
    """
    require(by_hand is None or bool(reason.strip()), "a character set by hand needs a reason")
    if asset.joint_title_on and asset.acquired_on:
        require(
            asset.joint_title_on >= asset.acquired_on,
            "the joint title lies before the acquisition; correct one of the two days",
        )
    asking = _Asking()
    character = _first_answer(asset, days, asking)
    method = _method(asset, character, days) if character else None
    found = Characterised(character, method, tuple(asking.tests), tuple(asking.cautions), character)
    if by_hand is None:
        return found
    return replace(found, character=by_hand, method=_method(asset, by_hand, days), decided_by_hand=reason.strip())


def _first_answer(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    for ask in (
        _agreement,
        _injury,
        _joint_title,
        _before_marriage,
        _gift,
        _from_separate,
        _after_separation,
        _old_writing,
    ):
        character = ask(asset, days, asking)
        if character:
            return character
    return _general_rule(asset, days, asking)


def _rule_day(rule: str) -> date:
    rows = law("property/title_rules", date.max).rows
    day: date = next(row["day"] for row in rows if row["rule"] == rule)
    return day


def _agreement(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Does a premarital agreement, or a writing between the spouses, settle it?"
    writing = asset.agreement
    if writing is None:
        asking.no(question, "no writing is recorded", "Fam. Code §§ 850, 852, 1500")
        return None
    if writing.kind == "premarital":
        require(
            writing.signed_on <= days.married_on,
            "a premarital agreement was signed after the marriage; record it as a transmutation",
        )
        asking.yes(question, f"yes, the premarital agreement of {writing.signed_on}", "Fam. Code §§ 1500, 1610")
        asking.cautions.append(
            "Have an attorney check that the premarital agreement is enforceable (Fam. Code § 1615)."
        )
        return writing.makes_it
    if writing.signed_on < _rule_day("express_declaration"):
        asking.yes(
            question,
            f"yes, a change of {writing.signed_on}, before the rule on express declarations",
            "Fam. Code § 852(e)",
        )
        asking.cautions.append(
            "A change made before 1985 may rest on words or conduct alone; have an attorney look at the proof."
        )
        return writing.makes_it
    if writing.express and writing.loser_joined:
        asking.yes(question, f"yes, the writing of {writing.signed_on} declares the change", "Fam. Code §§ 850, 852(a)")
        asking.cautions.append(
            "A change that favors one spouse is presumed to come from undue influence (Fam. Code § 721; Haines, from memory)."
        )
        return writing.makes_it
    why = "does not declare the change" if not writing.express else "was not joined by the spouse who loses by it"
    asking.no(question, f"the writing of {writing.signed_on} {why}, so it changes nothing", "Fam. Code § 852(a)")
    return None


def _injury(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    if asset.source != "injury_damages":
        return None
    question = "Damages for an injury: when did the claim arise, and against whom?"
    require(asset.by is not None, "damages for an injury need the spouse who was hurt")
    assert asset.by is not None
    own = SEPARATE[asset.by]
    if asset.against_other_spouse:
        asking.yes(question, "against the other spouse", "Fam. Code § 781(c)")
        return own
    if asset.acquired_on is None:
        asking.no(question, "the day on which the claim arose is not known", "Fam. Code §§ 780, 781")
        return None
    if asset.acquired_on < days.married_on:
        asking.yes(question, "before the marriage", "Fam. Code § 770(a)(1)")
        return own
    apart = [day for day in (days.separated_on, days.legally_separated_on, days.ended_on) if day]
    if apart and asset.acquired_on > min(apart):
        asking.yes(question, "while the spouses lived apart, or after judgment", "Fam. Code § 781(a)")
        asking.cautions.append(
            "What community or the other spouse's money paid for the injury comes back out of it (Fam. Code § 781(b))."
        )
        return own
    asking.yes(question, "during the marriage", "Fam. Code §§ 780, 2603")
    asking.cautions.append(
        "Mixed with other community money, the damages lose their special rule (Fam. Code § 2603(a))."
        if asset.commingled
        else "The injured spouse receives them, unless justice asks otherwise, and at least half (Fam. Code § 2603(b))."
    )
    return "community"


def _joint_title(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Was it put in joint form during the marriage?"
    since = asset.joint_title_on or (asset.acquired_on if asset.title == "joint" else None)
    if asset.title != "joint" or since is None:
        asking.no(
            question,
            "no joint title is recorded" if asset.title != "joint" else "the day of the joint title is not known",
            "Fam. Code § 2581",
        )
        return None
    if since < days.married_on:
        asking.yes(
            question,
            "joint title stood before the marriage: each owns a separate share",
            "Fam. Code §§ 750, 770(a)(1), 2650",
        )
        asking.cautions.append("The court may divide separate shares held in joint form, if asked (Fam. Code § 2650).")
        return "separate_of_both"
    if days.ended_on and since > days.ended_on:
        asking.no(question, "joint title was taken after the marriage ended", "Fam. Code § 2581")
        return None
    if asset.title_statement:
        asking.yes(question, "yes, but the title itself says that it is separate", "Fam. Code § 2581(a)")
        return SEPARATE[asset.by] if asset.by else "separate_of_both"
    asking.yes(question, f"yes, since {since}: community; tracing alone does not rebut that", "Fam. Code § 2581")
    if since < _rule_day("joint_title"):
        asking.cautions.append(
            "Joint title from before 1984: the rule may not reach back (Fabian (1986) 41 Cal.3d 440; Heikes, from memory)."
        )
    asking.cautions.append(
        "Separate money that went into it is repaid first, unless given up in writing (Fam. Code § 2640)."
    )
    return "community"


def _before_marriage(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Was it owned before the marriage?"
    if asset.acquired_on is None:
        asking.no(question, "the day of acquisition is not known", "Fam. Code § 770(a)(1)")
        return None
    if asset.acquired_on >= days.married_on:
        asking.no(question, f"no: acquired {asset.acquired_on}, married {days.married_on}", "Fam. Code § 770(a)(1)")
        return None
    owner = asset.by or (asset.title if asset.title in ("petitioner", "respondent") else None)
    if owner is None:
        asking.no(question, "yes, but it is not recorded by whom", "Fam. Code § 770(a)(1)")
        asking.cautions.append("Record which spouse owned it before the marriage.")
        return None
    asking.yes(question, f"yes, by the {owner}", "Fam. Code § 770(a)(1)")
    return "mixed" if _community_put_in(asset, asking) else SEPARATE[owner]


def _gift(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Was it a gift or an inheritance?"
    if asset.source not in ("gift", "inheritance"):
        asking.no(question, "no" if asset.source else "the source is not known", "Fam. Code § 770(a)(2)")
        return None
    if asset.by is None:
        asking.no(question, "it was given to both spouses, or it is not recorded to whom", "Fam. Code § 770(a)(2)")
        asking.cautions.append("A gift to both spouses needs a look at what the giver meant.")
        return None
    asking.yes(question, f"yes, to the {asset.by}", "Fam. Code § 770(a)(2)")
    return "mixed" if _community_put_in(asset, asking) else SEPARATE[asset.by]


def _from_separate(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Is it income from separate property, or bought with separate money?"
    if asset.traced_to is not None:
        asking.yes(question, f"yes, traced to separate money of the {asset.traced_to}", "Fam. Code §§ 760, 770(a)(3)")
        asking.cautions.append("The spouse who claims it has to prove the tracing by records.")
        return "mixed" if _community_put_in(asset, asking) else SEPARATE[asset.traced_to]
    if asset.source in ("separate_income", "exchange_of_separate") and asset.by is not None:
        asking.yes(question, f"yes, of the {asset.by}", "Fam. Code § 770(a)(3)")
        return "mixed" if _community_put_in(asset, asking) else SEPARATE[asset.by]
    asking.no(question, "no tracing is recorded", "Fam. Code § 770(a)(3)")
    return None


def _after_separation(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Was it earned or acquired after the separation?"
    apart = [day for day in (days.separated_on, days.legally_separated_on) if day]
    if asset.acquired_on is None or not apart:
        asking.no(
            question,
            "the day is not known" if asset.acquired_on is None else "there is no separation",
            "Fam. Code §§ 771, 772",
        )
        return None
    line = min(apart)
    if asset.acquired_on == line:
        asking.cautions.append(
            "Acquired on the very day of separation; look at the hour and the source (Fam. Code § 771)."
        )
    if asset.acquired_on <= line:
        asking.no(question, f"no: acquired {asset.acquired_on}, separated {line}", "Fam. Code §§ 771, 772")
        return None
    owner = asset.by or (asset.title if asset.title in ("petitioner", "respondent") else None)
    if owner is None:
        asking.no(question, "yes, but it is not recorded by whom", "Fam. Code § 771")
        asking.cautions.append("Record which spouse acquired it after the separation.")
        return None
    asking.yes(question, f"yes, by the {owner}", "Fam. Code § 771" if line == days.separated_on else "Fam. Code § 772")
    asking.cautions.append(
        "If community money or work from before the separation bought it, it is community to that part."
    )
    return SEPARATE[owner]


def _old_writing(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    limit = _rule_day("married_woman_writing_until")
    if (
        asset.acquired_on is not None
        and days.married_on <= asset.acquired_on < limit
        and asset.title in ("petitioner", "respondent")
    ):
        asking.no(
            "Was it acquired by a married woman in writing before 1975?", "the rule may apply; ask", "Fam. Code § 803"
        )
        asking.cautions.append(
            "A writing before 1975 that names a married woman alone is presumed her separate property (Fam. Code § 803)."
        )
    return None


def _general_rule(asset: Acquisition, days: MarriageDays, asking: _Asking) -> Character | None:
    question = "Was it acquired during the marriage?"
    if asset.acquired_on is None:
        asking.no(question, "the day of acquisition is not known", "Fam. Code § 760")
        asking.cautions.append("Enter the day of acquisition; without it nothing can be said.")
        return None
    if asset.acquired_on < days.married_on or any(
        d and asset.acquired_on > d for d in (days.separated_on, days.legally_separated_on, days.ended_on)
    ):
        asking.no(question, "no, and the owner is not recorded", "Fam. Code §§ 760, 770, 771")
        return None
    if not asset.in_california:
        asking.yes(question, "yes, while living in another state", "Fam. Code § 125")
        return "quasi_community"
    asking.yes(question, "yes, while living in California", "Fam. Code § 760")
    return "community"


def _community_put_in(asset: Acquisition, asking: _Asking) -> bool:
    if asset.community_money_or_effort:
        asking.no(
            "Did community money or work go into it?", "yes, so that the community has a part", "Fam. Code §§ 760, 770"
        )
    return asset.community_money_or_effort


def _method(asset: Acquisition, character: Character, days: MarriageDays) -> Method:
    """Which computation fits (one method an asset)."""
    if character in ("separate_petitioner", "separate_respondent", "separate_of_both"):
        return "confirm"
    if character == "mixed":
        return {
            "real": "principal_apportionment", "retirement": "time_rule", "account": "account_tracing", "stock_plan": "unit_fraction",
            "business": "business_growth",
        }.get(asset.kind, "tracing")  # type: ignore[return-value]  # fmt: skip
    return "contributions" if asset.title == "joint" else "equal_division"


@dataclass(frozen=True, slots=True)
class DebtIncurred:
    """How a debt arose (Fam. Code §§ 902, 903). None: not known."""

    incurred_on: date | None
    by: PartyRole | None
    for_community: bool = True
    necessaries: bool = False
    education_of: PartyRole | None = None
    judgment_on: date | None = None


@dataclass(frozen=True, slots=True)
class DebtRule:
    """Who bears a debt: its character, the party it is assigned to (None: divided or by need), the section."""

    character: Literal["community", "separate_petitioner", "separate_respondent"] | None
    assigned_to: PartyRole | None
    rule: str
    source: str


def debt_rule(debt: DebtIncurred, days: MarriageDays) -> DebtRule:
    """Apply the rules on debts in order. Source: Fam. Code §§ 2621 to 2627."""

    def to(party: PartyRole, rule: str, source: str) -> DebtRule:
        return DebtRule("separate_petitioner" if party == "petitioner" else "separate_respondent", party, rule, source)

    if debt.education_of is not None:
        return to(
            debt.education_of,
            "a loan for education goes to the spouse who was educated, without offset",
            "Fam. Code §§ 2627, 2641(b)(2)",
        )
    if debt.incurred_on is None:
        return DebtRule(None, None, "the day on which the debt arose is not known", "Fam. Code § 903")
    if debt.by is None and (debt.incurred_on < days.married_on or not debt.for_community):
        return DebtRule(None, None, "it is not recorded who incurred the debt", "Fam. Code §§ 2621, 2625")
    if debt.by is not None and debt.incurred_on < days.married_on:
        return to(
            debt.by,
            "a debt from before the marriage goes to the spouse who incurred it, without offset",
            "Fam. Code § 2621",
        )
    if debt.by is not None and not debt.for_community:
        return to(
            debt.by,
            "a debt that did not benefit the community goes to the spouse who incurred it, without offset",
            "Fam. Code § 2625",
        )
    if days.separated_on is None or debt.incurred_on < days.separated_on:
        return DebtRule("community", None, "a community debt is divided like an asset", "Fam. Code § 2622(a)")
    if debt.judgment_on is not None and debt.incurred_on > debt.judgment_on and debt.by is not None:
        return to(debt.by, "a debt after judgment goes to the spouse who incurred it", "Fam. Code § 2624")
    if debt.necessaries:
        return DebtRule(
            None, None, "necessaries after separation are shared by need and ability to pay", "Fam. Code § 2623(a)"
        )
    if debt.by is None:
        return DebtRule(None, None, "it is not recorded who incurred the debt after the separation", "Fam. Code § 2623")
    return to(
        debt.by,
        "a debt after separation that is no necessary goes to the spouse who incurred it",
        "Fam. Code § 2623(b)",
    )


def marriage_days(facts: Facts) -> MarriageDays | None:
    """The days of the marriage from the facts; None if the separation lies before the marriage (a finding elsewhere)."""
    registered = facts.marriage.partnership_registered_on
    started = min(facts.marriage.married_on, registered) if registered else facts.marriage.married_on
    separated = facts.marriage.separated_on
    ended = facts.case.status_ended_on
    if (separated and separated < started) or (ended and ended < started):
        return None
    return MarriageDays(started, separated, None, ended)


@dataclass(frozen=True, slots=True)
class AssetCharacter:
    """What day, title and kind of one asset say, beside the character that is stated.

    Attributes:
        character: by the tests; None if they do not decide.
        stated: as the facts state it.
        against: why day or title speak against the stated character; empty if they do not.
        ground_needed: True if only a ground that the facts do not record, such as a gift, can explain the stated
            character; title agrees with it.
    """

    character: Character | None
    stated: str
    against: str
    ground_needed: bool
    figure: Figure


def asset_character(facts: Facts, key: str) -> AssetCharacter | None:
    """What the tests say about an asset as far as the facts go: day, title and kind. None if the marriage's days contradict.

    The facts do not record source or agreements, so the answer is a check on the stated character, not a decision.
    """
    asset, days = facts.assets[key], marriage_days(facts)
    if days is None:
        return None
    title: Title | None = {
        "both": "joint",
        "petitioner": "petitioner",
        "respondent": "respondent",
        "other": "other",
    }.get(asset.titled or "")  # type: ignore[assignment]
    by: PartyRole | None = asset.titled if asset.titled in ("petitioner", "respondent") else None
    found = characterise(Acquisition(asset.acquired_on, by=by, title=title, kind=asset.kind), days)
    paths = tuple(
        f"assets.{key}.{name}"
        for name, value in (("acquired_on", asset.acquired_on), ("titled", asset.titled))
        if value is not None
    )
    against = _against_stated(found, asset.character, asset.acquired_on, days)
    figure = found.figure(asset.label, (*paths, "marriage.married_on", "marriage.separated_on"))
    if against:
        figure = replace(figure, cautions=(*figure.cautions, against))
    owner = {"separate_petitioner": "petitioner", "separate_respondent": "respondent"}.get(asset.character)
    ground = bool(against) and found.character == "community" and owner is not None and owner == asset.titled
    return AssetCharacter(found.character, asset.character, against, ground, figure)


def _against_stated(found: Characterised, stated: str, acquired_on: date | None, days: MarriageDays) -> str:
    """What speaks against the stated character; empty if nothing does."""
    if stated in ("mixed", "disputed") or found.character == stated:
        return ""
    if found.character == "community" and stated == "quasi_community":
        return ""
    if found.character is not None:
        return (
            f"Day and title alone would make it {WORDS[found.character]}, but it is stated as {WORDS[stated]}; "
            "note on what that rests."
        )
    if acquired_on is None or stated not in ("community", "quasi_community"):
        return ""
    if acquired_on < days.married_on:
        return f"It was acquired before the marriage, but it is stated as {WORDS[stated]}; say who owned it, or correct the day."
    if days.separated_on and acquired_on > days.separated_on:
        return f"It was acquired after the separation, but it is stated as {WORDS[stated]}; say who acquired it, or correct the day."
    return ""
