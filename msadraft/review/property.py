"""Rules about property: who receives what, equal division, homes, separate claims, businesses and the release."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from msadraft.facts.money import Equalization
from msadraft.facts.property import Asset, RealProperty
from msadraft.figures.ledger import CENT, NOTHING, Ledger, Line, Settlement, liens
from msadraft.library.wording import join_and, money
from msadraft.review.base import Hit, Review, rule
from msadraft.review.belongings import (
    DOLLAR,
    all_assigned,
    community,
    debt_name,
    debts,
    homes,
    keeper,
    named,
    secured_by,
)
from msadraft.review.common import ROLES, has_attorney, parties
from msadraft.review.debts import collateral
from msadraft.review.own_words import pattern

WAITING = {
    "property.none_claimed": "the items of each party's schedule of assets and debts",
}
"""What cannot be decided yet, and what it waits for."""

UNFIT_PLANS = (("co_own", "sell"), ("sell", "split"), ("deferred_sale", "split"), ("co_own", "split"))
"""Plans for a home beside awards that count or divide it in another way."""

SURVIVORSHIP = ("joint_tenancy", "community_survivorship")


def _plan(asset: Asset, real: RealProperty) -> str | None:
    """What becomes of a home: as stated, or as its award implies."""
    implied = {"petitioner": "keep", "respondent": "keep", "sell": "sell", "co_own": "co_own"}
    return real.plan or implied.get(asset.goes_to or "")


# Who receives what


@rule(
    "property.unassigned",
    "stop",
    message="This item has no owner under the agreement:",
    why="What is not divided stays owned by both, and the court can divide it years later",
    source="Fam. Code §§ 2550, 2556",
    mend="Give goes_to: petitioner, respondent, split, sell, co_own, order or reserved.",
)
def unassigned(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        owned = asset.animal is not None and asset.animal.owner is not None
        if asset.goes_to is None and not owned:
            yield Hit(f"{path}.goes_to", f"{named(asset)}.")


@rule(
    "property.twice",
    "stop",
    message="This item is given away more than once, or in parts that do not fit together.",
    why="Two awards of one thing cannot both be carried out",
    source="logic; Fam. Code § 2550",
    mend="Keep one record and one award, with shares that make up the whole.",
)
def twice(review: Review) -> Iterator[Hit]:
    yield from _listed_twice(review)
    for key, path, asset in community(review):
        yield from _split_twice(path, asset, _line(review, key))
        if asset.animal and asset.animal.owner and asset.goes_to in ROLES and asset.animal.owner != asset.goes_to:
            yield Hit(
                f"{path}.animal.owner",
                f"{named(asset)} goes to {asset.goes_to}, but the owner is {asset.animal.owner}.",
            )
        if asset.real:
            yield from _home_twice(path, asset, asset.real)
        plan = asset.retirement
        if plan and plan.share_percent is not None and plan.share_sum is not None:
            yield Hit(
                f"{path}.retirement.share_sum",
                f"The share of {asset.label} is given both as a percentage and as a sum.",
            )


def _split_twice(path: str, asset: Asset, line: Line | None) -> Iterator[Hit]:
    amount = asset.petitioner_amount
    if amount is None:
        return
    if asset.petitioner_percent is not None:
        yield Hit(f"{path}.petitioner_amount", f"{named(asset)} is split both by percentage and by amount.")
    elif asset.goes_to == "split" and line and amount > line.net >= 0:
        yield Hit(f"{path}.petitioner_amount", f"{money(amount)} of a net value of {money(line.net)}.")


def _home_twice(path: str, asset: Asset, real: RealProperty) -> Iterator[Hit]:
    kept, shared = real.plan in ("buyout", "keep"), real.plan in ("sell", "deferred_sale", "co_own")
    if (kept and asset.goes_to in ("split", "sell", "co_own")) or (shared and asset.goes_to in ROLES):
        yield Hit(f"{path}.real.plan", f"{named(asset)}: goes_to is {asset.goes_to}, but the plan is {real.plan}.")
    one, two = asset.petitioner_percent, real.petitioner_percent_of_proceeds
    if one is not None and two is not None and one != two:
        yield Hit(
            f"{path}.real.petitioner_percent_of_proceeds",
            f"{two} percent of the proceeds, but {one} percent of the property.",
        )


def _listed_twice(review: Review) -> Iterator[Hit]:
    seen: dict[tuple[str, ...], str] = {}
    for key, asset in review.facts.assets.items():
        for mark in _marks(asset):
            if mark in seen and seen[mark] != key:
                yield Hit(f"assets.{key}", f"It seems to be the same as assets.{seen[mark]}.")
                break
            seen[mark] = key
    for key, debt in review.facts.debts.items():
        if debt.creditor and debt.last_four:
            mark = ("debt", debt.creditor.casefold(), debt.last_four)
            if mark in seen:
                yield Hit(f"debts.{key}", f"It seems to be the same as debts.{seen[mark]}.")
            seen[mark] = key


def _marks(asset: Asset) -> Iterator[tuple[str, ...]]:
    """What tells one thing from another."""
    if asset.institution and asset.last_four:
        yield ("account", asset.institution.casefold(), asset.last_four)
    if asset.vehicle and asset.vehicle.vin_last_six:
        yield ("vehicle", asset.vehicle.vin_last_six)
    if asset.real and asset.real.parcel_number:
        yield ("land", asset.real.parcel_number)


def _line(review: Review, key: str) -> Line | None:
    return review.asset_lines.get(key)


# Equal division


def _unvalued(review: Review) -> list[str]:
    """Items that one party receives and that are counted at nothing because their value is not known."""
    return [
        asset.label
        for _, _, asset in community(review)
        if asset.value is None and not asset.outside_equalization and asset.goes_to in (*ROLES, "split")
        and asset.kind not in ("animal", "household")
    ]  # fmt: skip


@rule(
    "property.unequal_unsaid",
    "stop",
    message="The split is not equal, and the agreement does not say so.",
    why="The law divides community property equally unless the parties agree in writing on something else",
    source="Fam. Code § 2550",
    mend="Add an equalizing payment of the amount due, change the awards, or set equalization.unequal: yes with its reason.",
)
def unequal_unsaid(review: Review) -> Iterator[Hit]:
    equal, ledger = review.facts.equalization, review.figures.ledger
    if equal.unequal or equal.mode not in (None, "none") or not all_assigned(review):
        return
    if _apart(ledger):
        unvalued = _unvalued(review)
        unknown = f" Counted at nothing, for want of a value: {join_and(unvalued)}." if unvalued else ""
        yield Hit(
            "equalization.mode",
            f"Petitioner receives {money(ledger.to_petitioner)} and respondent {money(ledger.to_respondent)} net; "
            f"{money(ledger.equalization)} is due from {ledger.equalization_payer}.{unknown}",
        )


@rule(
    "property.equal_sum",
    "stop",
    message="The payment does not make the shares equal.",
    why="The law divides community property equally unless the parties agree in writing on something else",
    source="Fam. Code § 2550",
    mend="Correct the payer or the amounts, or set equalization.unequal: yes with its reason.",
)
def equal_sum(review: Review) -> Iterator[Hit]:
    equal, ledger = review.facts.equalization, review.figures.ledger
    if equal.mode in (None, "none"):
        return
    if equal.amount is not None and equal.payer is not None:
        yield from _parts_of_payment(equal, ledger.settlement)
    # Where debts exceed property no payment follows from the formula.
    if equal.unequal or equal.amount is None or ledger.negative or not all_assigned(review):
        return
    if equal.payer and equal.payer != ledger.equalization_payer and _apart(ledger):
        yield Hit("equalization.payer", f"The payment is due from {ledger.equalization_payer}.")
    elif abs(equal.amount - ledger.equalization) > CENT:
        yield Hit("equalization.amount", f"{money(equal.amount)} is stated; {money(ledger.equalization)} is due.")


def _apart(ledger: Ledger) -> bool:
    """Whether the two sides are more than a dollar apart, with the sums that are set off."""
    return ledger.equalization * 2 > DOLLAR


def _parts_of_payment(equal: Equalization, settled: Settlement) -> Iterator[Hit]:
    principal = equal.note.principal if equal.note else None
    if equal.mode == "note" and principal is not None and principal != settled.amount:
        yield Hit(
            "equalization.note.principal", f"The note is for {money(principal)}, not for {money(settled.amount)}."
        )
    elif equal.mode == "lump_and_note" and settled.at_once + settled.by_note != settled.amount:
        yield Hit(
            "equalization.lump_amount",
            f"The parts add up to {money(settled.at_once + settled.by_note)}, not to {money(settled.amount)}.",
        )


@rule(
    "property.unequal_reason",
    "warn",
    message="The division is unequal on purpose, and no reason is given.",
    why="A spouse who gains may have to show that the other agreed freely and with full knowledge",
    source="Fam. Code §§ 721, 2550 (721 memory)",
    mend="Give equalization.unequal_reason.",
)
def unequal_reason(review: Review) -> Iterator[Hit]:
    if review.facts.equalization.unequal and review.facts.equalization.unequal_reason is None:
        yield Hit("equalization.unequal_reason")


@rule(
    "property.negative",
    "warn",
    message="The debts exceed the property, and the parties bear them unequally.",
    why="No payment follows from a formula then: the excess is assigned as is just, with regard to who can pay",
    source="Fam. Code § 2622(b); In re Marriage of Eastis (1975) 47 Cal.App.3d 459",
    mend="Assign the debts evenly, or set equalization.unequal: yes and say in unequal_reason why they are assigned so.",
)
def negative(review: Review) -> Iterator[Hit]:
    ledger = review.figures.ledger
    if not ledger.negative or ledger.settlement.deliberate or not all_assigned(review):
        return
    settled = ledger.settlement
    if abs(settled.petitioner_after - settled.respondent_after) > DOLLAR:
        yield Hit(
            "equalization.unequal",
            f"The excess is {money(ledger.excess_debt)}; petitioner ends with {money(settled.petitioner_after)} and "
            f"respondent with {money(settled.respondent_after)}.",
        )


@rule(
    "property.offset_value",
    "warn",
    message="The item that takes the place of a payment is not worth the payment.",
    why="The item moves whole, so what it is worth beyond the payment, or short of it, is a gain nobody spoke of",
    source="Fam. Code § 2550",
    mend="Let equalization.amount be the item's net value, pay the difference in money, or set equalization.unequal: yes.",
)
def offset_value(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    asset = review.facts.assets.get(equal.from_asset or "")
    if equal.mode != "other_asset" or asset is None or asset.value is None or equal.amount is None or equal.unequal:
        return
    net = asset.value - liens(equal.from_asset or "", asset, review.facts)
    if abs(net - equal.amount) > DOLLAR:
        yield Hit("equalization.amount", f"{named(asset)}: {money(net)} net; the payment is {money(equal.amount)}.")


@rule(
    "property.sums",
    "warn",
    message="The sums of the division rest on a fact that needs another look.",
    why="A schedule that counts something twice, or leaves it out, makes the payment wrong",
    source="Fam. Code §§ 2550, 2622, 2640, 2641",
    mend="Correct the fact, or record why it is right.",
)
def sums(review: Review) -> Iterator[Hit]:
    told = {hit.path for find in (twice, sp_silent, equal_sum, collateral) for hit in find(review)}
    told |= {path.replace(".petitioner_amount", ".petitioner_percent") for path in told}
    # The rule on claims above the net value names the first claim, the ledger all of them.
    told |= {hit.path.rsplit(".", 2)[0] for hit in sp_over(review)}
    told |= {"equalization.from_asset" for _ in offset_value(review)}
    for caution in review.figures.ledger.cautions:
        if caution.path not in told:
            yield Hit(caution.path, caution.says)


# Whose it is


@rule(
    "property.character_dates",
    "warn",
    message="Whose this item is stated to be does not fit its day and its title.",
    why="What was acquired in the marriage is community property, what came before it or after the separation is separate",
    source="Fam. Code §§ 760, 770, 771, 2581",
    mend="Correct acquired_on, titled or character; or record on what the stated character rests.",
)
def character_dates(review: Review) -> Iterator[Hit]:
    yield from _characters(review, ground_needed=False)


@rule(
    "property.character_ground",
    "note",
    message="This item was acquired in the marriage and is stated as separate property of its owner.",
    why="Only a gift, an inheritance, traced separate money or a written agreement makes it so, and its owner has to prove that",
    source="Fam. Code §§ 760, 770, 850-852",
    mend="Nothing need change if both agree on the ground; otherwise correct character or acquired_on.",
)
def character_ground(review: Review) -> Iterator[Hit]:
    yield from _characters(review, ground_needed=True)


def _characters(review: Review, *, ground_needed: bool) -> Iterator[Hit]:
    for key, found in review.figures.characters.items():
        asset = review.facts.assets[key]
        if asset.acquired_on and found.against and found.ground_needed == ground_needed:
            yield Hit(f"assets.{key}.character", f"{named(asset)}: {found.against}")


@rule(
    "property.plan",
    "warn",
    message="What is planned for this item and to whom it goes do not fit together.",
    why="The sums count an item for the party to whom it goes, so it would count there and be divided again",
    source="Fam. Code § 2550; common practice",
    mend="For a home take goes_to: sell or co_own with a sale, co_own with co-ownership; for a divided plan goes_to: order or split.",
)
def plan_and_award(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        real, plan = asset.real, asset.retirement
        if real and real.plan and asset.goes_to in ("reserved", "order", "child"):
            yield Hit(f"{path}.real.plan", f"{named(asset)}: goes_to is {asset.goes_to}, but the plan is {real.plan}.")
        elif real and (real.plan, asset.goes_to) in UNFIT_PLANS:
            yield Hit(f"{path}.goes_to", f"{named(asset)}: goes_to is {asset.goes_to}, but the plan is {real.plan}.")
        elif plan and plan.member and plan.method not in (None, "keep", "reserved") and asset.goes_to == plan.member:
            yield Hit(f"{path}.goes_to", f"{named(asset)} is divided, but goes_to gives all of it to {plan.member}.")


# Homes and other land


def _on_the_loan(review: Review, key: str, asset: Asset) -> bool:
    """Whether both parties owe a loan on the property; a loan listed with the asset alone counts by its title."""
    return any(d.obligors == "both" for d in secured_by(review, key)) or bool(asset.owing and asset.titled == "both")


@rule(
    "property.refi_date",
    "stop",
    message="One party keeps the home, both owe the loan, and no day is set to refinance or pay it off.",
    why="A lender can collect from, and report, the party who left until the loan is paid or released",
    source="common practice; Fam. Code § 916(a)(1)",
    mend="Give refinance_by.",
)
def refi_date(review: Review) -> Iterator[Hit]:
    for key, path, asset, real in homes(review):
        if keeper(asset) and _on_the_loan(review, key, asset) and real.refinance_by is None:
            yield Hit(f"{path}.refinance_by", f"{named(asset)}.")


@rule(
    "property.refi_fallback",
    "stop",
    message="Nothing says what happens if the refinance fails.",
    why="A lender decides on a refinance, not the parties",
    source="common practice",
    mend="Give fallback: sell, extend (with extend_until) or match.",
)
def refi_fallback(review: Review) -> Iterator[Hit]:
    for key, path, asset, real in homes(review):
        refinanced = _on_the_loan(review, key, asset) or real.refinance_by is not None
        if keeper(asset) and refinanced and real.fallback is None:
            yield Hit(f"{path}.fallback", f"{named(asset)}.")


@rule(
    "property.deed_first",
    "warn",
    message="Title would move before the money.",
    why="A party who has signed the deed away holds only a promise",
    source="common practice",
    mend="Set deed_on: closing or payment, or give equalization.security.",
)
def deed_first(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    for _, path, asset, real in homes(review):
        stays = keeper(asset)
        if asset.outside_equalization:
            owes, paid = bool(real.buyout_price), real.refinance_by
        else:
            owes, paid = equal.payer == stays and bool(equal.amount), _money_due(equal)
        if stays is None or not owes or equal.security is not None:
            continue
        # Without a day of its own a deed is due within 30 days after the agreement takes effect.
        handed_over = asset.transfer_by or review.figures.as_of + timedelta(days=30)
        at_once = real.deed_on is None and (paid is None or paid > handed_over)
        if real.deed_on == "signing" or at_once:
            yield Hit(f"{path}.deed_on", f"{named(asset)}.")


def _money_due(equal: Equalization) -> date | None:
    """The day on which the equalizing payment is due; for a note, its first payment. None if that is not known."""
    if equal.mode in ("note", "lump_and_note"):
        return equal.note.first_payment_on if equal.note else None
    return equal.due_on


@rule(
    "property.sale_rules",
    "warn",
    message="The sale lacks rules that keep the parties out of court.",
    why="List day, broker, price cuts, when an offer must be taken and how the price is paid out are what sellers quarrel about",
    source="common practice",
    mend="Give list_by, broker, price.cuts, price.offer_rule and sale_costs.order_of_payment.",
)
def sale_rules(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        plan = _plan(asset, real)
        if plan not in ("sell", "deferred_sale") and real.fallback not in ("sell", "match"):
            continue
        missing = list(_missing_sale_rules(real, listed_later=plan != "sell"))
        if missing:
            yield Hit(f"{path}.{missing[0][0]}", f"{named(asset)} lacks: {join_and([words for _, words in missing])}.")


def _missing_sale_rules(real: RealProperty, *, listed_later: bool) -> Iterator[tuple[str, str]]:
    """What a sale lacks, with the path under `real`. A later sale is listed when its event comes, not on a fixed day."""
    if real.list_by is None and not listed_later:
        yield "list_by", "a day to list it"
    if real.broker is None or not (real.broker.name or real.broker.pick):
        yield "broker", "a broker, or how one is picked"
    if real.price is None or not real.price.cuts:
        yield "price.cuts", "price cuts"
    if real.price is None or not real.price.offer_rule:
        yield "price.offer_rule", "when an offer must be accepted"
    if real.sale_costs is None or not real.sale_costs.order_of_payment:
        yield "sale_costs.order_of_payment", "the order in which the proceeds are paid out"


@rule(
    "property.defer_end",
    "stop",
    message="The deferral of the sale has no end.",
    why="An order that defers the sale of a home must say how long it lasts",
    source="Fam. Code § 3803",
    mend="Give defer_until, and defer_events that end it sooner.",
)
def defer_end(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        if real.plan == "deferred_sale" and real.defer_until is None and not real.defer_events:
            yield Hit(f"{path}.defer_until", f"{named(asset)}.")


@rule(
    "property.defer_child",
    "warn",
    message="The deferral rests on the law for children, but no child for whom support may be owed lives there.",
    why="The statutory order is for the home of a minor, or of an adult child to whom support is due",
    source="Fam. Code §§ 3800, 3910",
    mend="Set defer_ground: contract; or say with whom the child lives.",
)
def defer_child(review: Review) -> Iterator[Hit]:
    figures, facts = review.figures, review.facts
    keys = dict.fromkeys((*figures.supported_children.keys, *figures.adult_children_in_need.keys))
    for _, path, asset, real in homes(review):
        stays = real.occupant
        there = [k for k in keys if (facts.children[k].lives_with or facts.parenting.primary_home) in (stays, "both")]
        if real.plan == "deferred_sale" and real.defer_ground == "child" and not there:
            yield Hit(f"{path}.defer_ground", f"{named(asset)}.")


@rule(
    "property.defer_3808",
    "note",
    message="On remarriage or changed facts the law presumes that the deferral should end, unless the parties agree otherwise.",
    why="The court may then end it before the day that the parties chose",
    source="Fam. Code §§ 3807, 3808",
    mend="Nothing need change if that is meant; otherwise set changed_facts_rule: presumption_waived.",
)
def defer_3808(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        by_statute = real.plan == "deferred_sale" and real.defer_ground != "contract"
        if by_statute and real.changed_facts_rule != "presumption_waived":
            yield Hit(f"{path}.changed_facts_rule", f"{named(asset)}.")


@rule(
    "property.jt_left",
    "warn",
    message="After the judgment, title would stand in a form that is made for spouses.",
    why="Survivorship between former spouses is in general ended by law, and one of them may rely on it",
    source="Prob. Code § 5042",
    mend="Set title_after: common or sole; or record that both want survivorship.",
)
def jt_left(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        left_as_is = real.title_after is None and real.title_now in SURVIVORSHIP
        stays_joint = left_as_is and _plan(asset, real) in ("deferred_sale", "co_own")
        if real.title_after in SURVIVORSHIP or stays_joint:
            yield Hit(f"{path}.title_after", f"{named(asset)}.")


@rule(
    "property.equity_line",
    "warn",
    message="A joint equity line is open, so that the other party can still draw on the home.",
    why="What is drawn becomes a lien on both shares",
    source="common practice",
    mend="Set equity_line_frozen: yes on the home, and have both write to the lender.",
)
def equity_line(review: Review) -> Iterator[Hit]:
    for key, path, debt in debts(review):
        if debt.kind != "equity_line" or debt.obligors != "both":
            continue
        home = review.facts.assets.get(debt.secured_by or "")
        if home is None or home.real is None:
            if debt.close_by is None:
                yield Hit(f"{path}.close_by", f"{debt_name(key, debt)}.")
        elif not home.real.equity_line_frozen:
            yield Hit(f"assets.{debt.secured_by}.real.equity_line_frozen", f"{debt_name(key, debt)}.")


@rule(
    "property.legal_desc",
    "warn",
    message="Real property is awarded without its legal description.",
    why="The recorder and a title company cannot use the judgment without it",
    source="common practice",
    mend="Copy legal_description from the deed.",
)
def legal_desc(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        if asset.goes_to in (*ROLES, "split", "co_own") and real.legal_description is None:
            yield Hit(f"{path}.legal_description", f"{named(asset)}.")


@rule(
    "property.transfer_recital",
    "note",
    message="The deed must carry a signed statement that it divides property between spouses, to be free of transfer tax.",
    why="The exemption depends on a recital on the deed itself, signed by one of the parties; the agreement cannot replace it",
    source="Rev. & Tax. Code § 11927(b)",
    mend="Nothing need change here; put the recital on the deed, and ask whether the city has a transfer tax of its own.",
)
def transfer_recital(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in homes(review):
        between_parties = _plan(asset, real) in ("buyout", "keep", "deferred_sale", "co_own")
        title_moves = real.title_after is not None and real.title_after != real.title_now
        if between_parties and ("deed" in asset.papers or title_moves):
            yield Hit(f"{path.removesuffix('.real')}.papers", f"{named(asset)}.")


# Separate claims and reimbursements


@rule(
    "property.sp_over",
    "warn",
    message="A claim for separate money put into the property is more than its net value.",
    why="Reimbursement can never be more than the net value at the time of division",
    source="Fam. Code § 2640(b)",
    mend="Lower the amount, or correct the value or what is owed.",
)
def sp_over(review: Review) -> Iterator[Hit]:
    for key, path, asset in community(review):
        claims = [
            (n, claim.amount or NOTHING)
            for n, claim in enumerate(asset.separate_claims)
            if claim.basis == "contribution_2640" and claim.result != "waived"
        ]
        total = sum((amount for _, amount in claims), NOTHING)
        if asset.value is None or not claims:
            continue
        net = asset.value - liens(key, asset, review.facts)
        if total > max(net, NOTHING):
            yield Hit(
                f"{path}.separate_claims.{claims[0][0]}.amount",
                f"{money(total)} is claimed; the net value is {money(net)}.",
            )


@rule(
    "property.sp_silent",
    "stop",
    message="A separate-property claim is recorded, and nothing says what becomes of it.",
    why="The right to be repaid is lost only by a written waiver, so silence leaves it open",
    source="Fam. Code § 2640",
    mend="Give result: paid, offset, waived or reserved.",
)
def sp_silent(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        for n, claim in enumerate(asset.separate_claims):
            if claim.result is None:
                yield Hit(f"{path}.separate_claims.{n}.result", f"{named(asset)}.")


@rule(
    "property.post_sep",
    "warn",
    message="One party pays for or lives in a home, and nothing says whether that gives rise to credits or charges.",
    why="Payments and sole use after separation are the usual reason for a later claim",
    source="In re Marriage of Epstein (1979) 24 Cal.3d 76; In re Marriage of Watts (1985) 171 Cal.App.3d 366 (both memory); Fam. Code § 2626",
    mend="Add a reimbursement of kind post_separation_payments or exclusive_use with its result, even if it is waived.",
)
def post_sep(review: Review) -> Iterator[Hit]:
    claims = {
        k: r for k, r in review.facts.reimbursements.items() if r.kind in ("post_separation_payments", "exclusive_use")
    }
    for key, claim in claims.items():
        if claim.result is None:
            yield Hit(f"reimbursements.{key}.result")
    for key, path, asset, real in homes(review):
        spoken_of = real.credits or any(r.asset in (None, key) for r in claims.values())
        if real.occupant and not spoken_of:
            yield Hit(f"{path}.occupant", f"{named(asset)}.")


# Businesses and other special things


@rule(
    "property.biz_value",
    "warn",
    message="Nothing shows how the business was valued, and a party has no attorney.",
    why="A spouse who cannot test the value cannot tell whether the split is equal",
    source="Fam. Code § 2550; In re Marriage of Burkle (2006) 139 Cal.App.4th 712 (memory)",
    mend="Give the value with business.value_method; or set value_waived: yes, after advice.",
)
def biz_value(review: Review) -> Iterator[Hit]:
    if all(has_attorney(one) for _, one in parties(review.facts)):
        return
    for _, path, asset in community(review):
        business = asset.business
        if asset.kind != "business" or (business and business.value_waived):
            continue
        if asset.value is None:
            yield Hit(f"{path}.value", f"{named(asset)}.")
        elif business is None or business.value_method is None:
            yield Hit(f"{path}.business.value_method", f"{named(asset)}: {money(asset.value)}.")


@rule(
    "property.licence",
    "stop",
    message="A professional practice would stay owned by both spouses.",
    why="Only a licensed person may own a share of a professional corporation",
    source="Corp. Code § 13400 et seq. (memory)",
    mend="Award it to the licensed spouse, with a payment to the other.",
)
def licence(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        if asset.business and asset.business.entity == "professional" and asset.goes_to in ("split", "co_own"):
            yield Hit(f"{path}.goes_to", f"{named(asset)}.")


@rule(
    "property.stock_twice",
    "warn",
    message="The same stock is divided as property and counted as income for support.",
    why="The other party would be paid twice from one grant",
    source="In re Marriage of Hug (1984) 154 Cal.App.3d 780; In re Marriage of Ostler & Smith (1990) 223 Cal.App.3d 33 (both memory)",
    mend="Set stock_plan.counts_as_income: no, or count only the part that is not divided and say so in a special term.",
)
def stock_twice(review: Review) -> Iterator[Hit]:
    for _, path, asset in community(review):
        plan = asset.stock_plan
        if plan and plan.counts_as_income and asset.goes_to == "split" and plan.formula != "all_separate":
            yield Hit(f"{path}.stock_plan.counts_as_income", f"{named(asset)}.")


@rule(
    "property.stock_days",
    "warn",
    message="The community units of this stock cannot be worked out:",
    why="The fraction counts days to each vesting; without them, or with days out of order, nobody can tell the shares",
    source="In re Marriage of Hug (1984) 154 Cal.App.3d 780; In re Marriage of Nelson (1986) 177 Cal.App.3d 150 (both memory)",
    mend="Give hired_on (for the Hug formula), the grants with granted_on, and each vesting with its day and units.",
)
def stock_days(review: Review) -> Iterator[Hit]:
    for key, path, asset in community(review):
        plan, found = asset.stock_plan, review.figures.stock_units.get(key)
        if plan is None or found is None or plan.formula not in ("hug", "nelson", "agreed_percent"):
            continue
        if not plan.grants:
            yield Hit(f"{path}.stock_plan.grants", f"{named(asset)}: no grant is listed.")
        for missing in found.missing:
            if missing.startswith(path):
                yield Hit(
                    missing, f"{named(asset)}: {missing.rsplit('.', 1)[-1]} is missing or comes after the vesting."
                )


_SECRET = pattern(
    r"\b(password|passcode|passphrase|private key|secret key)\b\s*(is|:|=)\s*(?=\S*\d)\S+"
    r"|\b(seed|recovery) (phrase|words)\b\s*(is|are|:|=)\s*([a-z]+[\s,]+){5,}"
    r"|\bxprv\w{20,}|\b[0-9a-f]{64}\b|\b[5KL][1-9A-HJ-NP-Za-km-z]{50,51}\b"
)
"""A word for a secret followed by one, or a key in one of the usual forms (hexadecimal, or base 58 of 51 or 52 signs)."""


@rule(
    "property.secret_key",
    "stop",
    message="A password or the secret of a wallet seems to stand in the facts.",
    why="The agreement becomes part of a public court file",
    source="common practice",
    mend="Take it out, change it, and hand it over by another way.",
)
def secret_key(review: Review) -> Iterator[Hit]:
    for path, text in review.own_words:
        if _SECRET.search(text):
            yield Hit(path)


_UNDISCLOSED = pattern(
    r"\b(not|un|never)[ -]?disclosed\b|\bfailing to disclose\b|\bfailure to disclose\b|\bhidden\b|\bomitted\b"
)


@rule(
    "property.release_gap",
    "stop",
    message="The release makes no exception for what was not disclosed.",
    why="A release must not cover what one party hid from the other",
    source="Fam. Code §§ 2122, 2556",
    mend="Put the exception back into the paragraph on the release.",
)
def release_gap(review: Review) -> Iterator[Hit]:
    release = review.text_of("general.release")
    if release and not _UNDISCLOSED.search(release):
        yield Hit("case.release_scope")


@rule(
    "property.refi_order",
    "stop",
    message="The day of the refinance cannot be kept.",
    why="A duty whose day is past, or later than the sale that follows its failure, cannot be performed",
    source="common practice",
    mend="Set refinance_by after signing and before the day of listing.",
)
def refi_order(review: Review) -> Iterator[Hit]:
    for key, _, asset, home in homes(review):
        if home.refinance_by is None:
            continue
        if home.refinance_by <= review.figures.as_of:
            yield Hit(f"assets.{key}.real.refinance_by", f"{asset.label}: not after the day of signing.")
        elif home.fallback == "sell" and home.list_by and home.list_by < home.refinance_by:
            yield Hit(f"assets.{key}.real.list_by", f"{asset.label}: listed before the refinance is due.")


@rule(
    "property.negative_amount",
    "stop",
    message="A value or balance is negative.",
    why="What is owed on an item belongs under owing or among the debts; a negative value turns the sums around",
    source="common practice",
    mend="Give the value without a sign, and what is owed as a debt. An overdrawn account is a debt.",
)
def negative_amount(review: Review) -> Iterator[Hit]:
    for key, asset in review.facts.assets.items():
        for name, amount in (("value", asset.value), ("owing", asset.owing)):
            if amount is not None and amount < 0:
                yield Hit(f"assets.{key}.{name}", f"{asset.label}.")
    for key, debt in review.facts.debts.items():
        if debt.owing is not None and debt.owing < 0:
            yield Hit(f"debts.{key}.owing", f"{debt_name(key, debt)}.")
