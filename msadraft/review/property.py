"""Rules about property, retirement plans, notes and debts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

from msadraft.facts.money import Equalization, Note
from msadraft.facts.property import Asset, Debt, RealProperty, Retirement
from msadraft.facts.scalars import PartyRole
from msadraft.figures.ledger import CENT, NOTHING, Line, liens
from msadraft.library.wording import join_and, money
from msadraft.review.base import Hit, Review, rule
from msadraft.review.common import ROLES, has_attorney, other, parties
from msadraft.review.own_words import denies, own_terms, own_words, pattern, speaks_of

WAITING = {
    "property.none_claimed": "the items of each party's schedule of assets and debts",
    "retirement.sbp": "the day of the order that calls for survivor cover, from which the one year runs; "
    "until then only the duty to send the request is checked",
}
"""What cannot be decided yet, wholly or in part, and what it waits for."""

DOLLAR = Decimal("1.00")
LARGE_NOTE = Decimal("10000.00")
"""From this principal on, a note without security is remarked upon (our own bound)."""

ACCOUNT_PLANS = ("401k", "403b", "457b", "tsp", "profit_sharing")
INDIVIDUAL_ACCOUNTS = ("ira", "roth_ira", "sep_ira")
PENSIONS = ("pension_private", "calpers", "calstrs", "county_1937", "uc", "federal_civil", "judges")
JOINED_PLANS = ("calpers", "calstrs", "county_1937", "uc", "judges")
"""Plans of the state and of local bodies, which must be joined (form FL-318-INFO)."""

SEPARATE = ("separate_petitioner", "separate_respondent")
SURVIVORSHIP = ("joint_tenancy", "community_survivorship")


def _community(review: Review) -> Iterator[tuple[str, str, Asset]]:
    """Assets that are not one party's separate property: short name, path, facts."""
    return ((k, f"assets.{k}", a) for k, a in review.facts.assets.items() if a.character not in SEPARATE)


def _homes(review: Review) -> Iterator[tuple[str, str, Asset, RealProperty]]:
    """Community land and homes with their own record; a lease has no title to divide."""
    for key, path, asset in _community(review):
        if asset.real is not None and asset.real.use != "lease":
            yield key, f"{path}.real", asset, asset.real


def _plan(asset: Asset, real: RealProperty) -> str | None:
    """What becomes of a home: as stated, or as its award implies."""
    implied = {"petitioner": "keep", "respondent": "keep", "sell": "sell", "co_own": "co_own"}
    return real.plan or implied.get(asset.goes_to or "")


def _keeper(asset: Asset) -> PartyRole | None:
    """The one party who receives an asset."""
    if asset.goes_to == "petitioner":
        return "petitioner"
    return "respondent" if asset.goes_to == "respondent" else None


def _debts(review: Review) -> Iterator[tuple[str, str, Debt]]:
    """Debts that are not one party's separate debts."""
    return ((k, f"debts.{k}", d) for k, d in review.facts.debts.items() if d.character not in SEPARATE)


def _secured_by(review: Review, key: str) -> list[Debt]:
    return [debt for debt in review.facts.debts.values() if debt.secured_by == key]


def _named(asset: Asset) -> str:
    """The name of an asset, as a sentence begins."""
    return asset.label[0].upper() + asset.label[1:]


def _debt_name(key: str, debt: Debt) -> str:
    """The name of a debt, as a sentence begins."""
    name = debt.label or debt.creditor or key
    return name[0].upper() + name[1:]


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
    for _, path, asset in _community(review):
        owned = asset.animal is not None and asset.animal.owner is not None
        if asset.goes_to is None and not owned:
            yield Hit(f"{path}.goes_to", f"{_named(asset)}.")


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
    for key, path, asset in _community(review):
        line = _line(review, key)
        if asset.petitioner_percent is not None and asset.petitioner_amount is not None:
            yield Hit(f"{path}.petitioner_amount", f"{_named(asset)} is split both by percentage and by amount.")
        elif asset.goes_to == "split" and asset.petitioner_amount is not None and line and asset.petitioner_amount > line.net >= 0:
            yield Hit(f"{path}.petitioner_amount", f"{money(asset.petitioner_amount)} of a net value of {money(line.net)}.")
        if asset.animal and asset.animal.owner and asset.goes_to in ROLES and asset.animal.owner != asset.goes_to:
            yield Hit(f"{path}.animal.owner", f"{_named(asset)} goes to {asset.goes_to}, but the owner is {asset.animal.owner}.")
        if asset.real:
            yield from _home_twice(path, asset, asset.real)
        plan = asset.retirement
        if plan and plan.share_percent is not None and plan.share_sum is not None:
            yield Hit(f"{path}.retirement.share_sum", f"The share of {asset.label} is given both as a percentage and as a sum.")


def _home_twice(path: str, asset: Asset, real: RealProperty) -> Iterator[Hit]:
    kept, shared = real.plan in ("buyout", "keep"), real.plan in ("sell", "deferred_sale", "co_own")
    if (kept and asset.goes_to in ("split", "sell", "co_own")) or (shared and asset.goes_to in ROLES):
        yield Hit(f"{path}.real.plan", f"{_named(asset)}: goes_to is {asset.goes_to}, but the plan is {real.plan}.")
    one, two = asset.petitioner_percent, real.petitioner_percent_of_proceeds
    if one is not None and two is not None and one != two:
        yield Hit(f"{path}.real.petitioner_percent_of_proceeds", f"{two} percent of the proceeds, but {one} percent of the property.")


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
    return next((line for line in review.figures.ledger.lines if line.kind == "asset" and line.key == key), None)


# Equal division


def _all_assigned(review: Review) -> bool:
    return all(a.goes_to is not None or a.animal for _, _, a in _community(review)) and all(
        d.assigned_to is not None for _, _, d in _debts(review)
    )


def _unvalued(review: Review) -> list[str]:
    """Items that one party receives and that are counted at nothing because their value is not known."""
    return [
        asset.label
        for _, _, asset in _community(review)
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
    if equal.unequal or equal.mode not in (None, "none") or not _all_assigned(review):
        return
    if abs(ledger.to_petitioner - ledger.to_respondent) > DOLLAR:
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
    yield from _parts_of_payment(equal)
    if equal.unequal or equal.amount is None or not _all_assigned(review):
        return
    if equal.payer and equal.payer != ledger.equalization_payer and abs(ledger.to_petitioner - ledger.to_respondent) > DOLLAR:
        yield Hit("equalization.payer", f"The payment is due from {ledger.equalization_payer}.")
    elif abs(equal.amount - ledger.equalization) > CENT:
        yield Hit("equalization.amount", f"{money(equal.amount)} is stated; {money(ledger.equalization)} is due.")


def _parts_of_payment(equal: Equalization) -> Iterator[Hit]:
    principal = equal.note.principal if equal.note else None
    if equal.amount is None or principal is None or equal.mode not in ("note", "lump_and_note"):
        return
    first = (equal.lump_amount or NOTHING) if equal.mode == "lump_and_note" else NOTHING
    if first + principal != equal.amount:
        yield Hit("equalization.note.principal", f"The parts add up to {money(first + principal)}, not to {money(equal.amount)}.")


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


# Homes and other land


def _on_the_loan(review: Review, key: str, asset: Asset) -> bool:
    """Whether both parties owe a loan on the property; a loan listed with the asset alone counts by its title."""
    return any(d.obligors == "both" for d in _secured_by(review, key)) or bool(asset.owing and asset.titled == "both")


@rule(
    "property.refi_date",
    "stop",
    message="One party keeps the home, both owe the loan, and no day is set to refinance or pay it off.",
    why="A lender can collect from, and report, the party who left until the loan is paid or released",
    source="common practice; Fam. Code § 916(a)(1)",
    mend="Give refinance_by.",
)
def refi_date(review: Review) -> Iterator[Hit]:
    for key, path, asset, real in _homes(review):
        if _keeper(asset) and _on_the_loan(review, key, asset) and real.refinance_by is None:
            yield Hit(f"{path}.refinance_by", f"{_named(asset)}.")


@rule(
    "property.refi_fallback",
    "stop",
    message="Nothing says what happens if the refinance fails.",
    why="A lender decides on a refinance, not the parties",
    source="common practice",
    mend="Give fallback: sell, extend (with extend_until) or match.",
)
def refi_fallback(review: Review) -> Iterator[Hit]:
    for key, path, asset, real in _homes(review):
        refinanced = _on_the_loan(review, key, asset) or real.refinance_by is not None
        if _keeper(asset) and refinanced and real.fallback is None:
            yield Hit(f"{path}.fallback", f"{_named(asset)}.")


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
    for _, path, asset, real in _homes(review):
        keeper = _keeper(asset)
        owes = equal.payer == keeper and bool(equal.amount) if not asset.outside_equalization else bool(real.buyout_price)
        if keeper is None or not owes or equal.security is not None:
            continue
        handed_over = asset.transfer_by or review.figures.as_of + timedelta(days=30)
        paid = _money_due(equal) if not asset.outside_equalization else real.refinance_by
        at_once = real.deed_on is None and (paid is None or paid > handed_over)
        if real.deed_on == "signing" or at_once:
            yield Hit(f"{path}.deed_on", f"{_named(asset)}.")


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
    for _, path, asset, real in _homes(review):
        plan = _plan(asset, real)
        if plan not in ("sell", "deferred_sale") and real.fallback not in ("sell", "match"):
            continue
        missing = list(_missing_sale_rules(real, listed_later=plan != "sell"))
        if missing:
            yield Hit(f"{path}.{missing[0][0]}", f"{_named(asset)} lacks: {join_and([words for _, words in missing])}.")


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
    for _, path, asset, real in _homes(review):
        if real.plan == "deferred_sale" and real.defer_until is None and not real.defer_events:
            yield Hit(f"{path}.defer_until", f"{_named(asset)}.")


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
    for _, path, asset, real in _homes(review):
        stays = real.occupant
        there = [k for k in keys if (facts.children[k].lives_with or facts.parenting.primary_home) in (stays, "both")]
        if real.plan == "deferred_sale" and real.defer_ground == "child" and not there:
            yield Hit(f"{path}.defer_ground", f"{_named(asset)}.")


@rule(
    "property.defer_3808",
    "note",
    message="On remarriage or changed facts the law presumes that the deferral should end, unless the parties agree otherwise.",
    why="The court may then end it before the day that the parties chose",
    source="Fam. Code §§ 3807, 3808",
    mend="Nothing need change if that is meant; otherwise set changed_facts_rule: presumption_waived.",
)
def defer_3808(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in _homes(review):
        by_statute = real.plan == "deferred_sale" and real.defer_ground != "contract"
        if by_statute and real.changed_facts_rule != "presumption_waived":
            yield Hit(f"{path}.changed_facts_rule", f"{_named(asset)}.")


@rule(
    "property.jt_left",
    "warn",
    message="After the judgment, title would stand in a form that is made for spouses.",
    why="Survivorship between former spouses is in general ended by law, and one of them may rely on it",
    source="Prob. Code § 5042",
    mend="Set title_after: common or sole; or record that both want survivorship.",
)
def jt_left(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in _homes(review):
        left_as_is = real.title_after is None and real.title_now in SURVIVORSHIP
        stays_joint = left_as_is and _plan(asset, real) in ("deferred_sale", "co_own")
        if real.title_after in SURVIVORSHIP or stays_joint:
            yield Hit(f"{path}.title_after", f"{_named(asset)}.")


@rule(
    "property.equity_line",
    "warn",
    message="A joint equity line is open, so that the other party can still draw on the home.",
    why="What is drawn becomes a lien on both shares",
    source="common practice",
    mend="Set equity_line_frozen: yes on the home, and have both write to the lender.",
)
def equity_line(review: Review) -> Iterator[Hit]:
    for key, path, debt in _debts(review):
        if debt.kind != "equity_line" or debt.obligors != "both":
            continue
        home = review.facts.assets.get(debt.secured_by or "")
        if home is None or home.real is None:
            if debt.close_by is None:
                yield Hit(f"{path}.close_by", f"{_debt_name(key, debt)}.")
        elif not home.real.equity_line_frozen:
            yield Hit(f"assets.{debt.secured_by}.real.equity_line_frozen", f"{_debt_name(key, debt)}.")


@rule(
    "property.legal_desc",
    "warn",
    message="Real property is awarded without its legal description.",
    why="The recorder and a title company cannot use the judgment without it",
    source="common practice",
    mend="Copy legal_description from the deed.",
)
def legal_desc(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in _homes(review):
        if asset.goes_to in (*ROLES, "split", "co_own") and real.legal_description is None:
            yield Hit(f"{path}.legal_description", f"{_named(asset)}.")


@rule(
    "property.transfer_recital",
    "note",
    message="The deed must carry a signed statement that it divides property between spouses, to be free of transfer tax.",
    why="The exemption depends on a recital on the deed itself, signed by one of the parties; the agreement cannot replace it",
    source="Rev. & Tax. Code § 11927(b)",
    mend="Nothing need change here; put the recital on the deed, and ask whether the city has a transfer tax of its own.",
)
def transfer_recital(review: Review) -> Iterator[Hit]:
    for _, path, asset, real in _homes(review):
        between_parties = _plan(asset, real) in ("buyout", "keep", "deferred_sale", "co_own")
        title_moves = real.title_after is not None and real.title_after != real.title_now
        if between_parties and ("deed" in asset.papers or title_moves):
            yield Hit(f"{path.removesuffix('.real')}.papers", f"{_named(asset)}.")


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
    for key, path, asset in _community(review):
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
            yield Hit(f"{path}.separate_claims.{claims[0][0]}.amount", f"{money(total)} is claimed; the net value is {money(net)}.")


@rule(
    "property.sp_silent",
    "stop",
    message="A separate-property claim is recorded, and nothing says what becomes of it.",
    why="The right to be repaid is lost only by a written waiver, so silence leaves it open",
    source="Fam. Code § 2640",
    mend="Give result: paid, offset, waived or reserved.",
)
def sp_silent(review: Review) -> Iterator[Hit]:
    for _, path, asset in _community(review):
        for n, claim in enumerate(asset.separate_claims):
            if claim.result is None:
                yield Hit(f"{path}.separate_claims.{n}.result", f"{_named(asset)}.")


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
    for key, path, asset, real in _homes(review):
        spoken_of = real.credits or any(r.asset in (None, key) for r in claims.values())
        if real.occupant and not spoken_of:
            yield Hit(f"{path}.occupant", f"{_named(asset)}.")


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
    for _, path, asset in _community(review):
        business = asset.business
        if asset.kind != "business" or (business and business.value_waived):
            continue
        if asset.value is None:
            yield Hit(f"{path}.value", f"{_named(asset)}.")
        elif business is None or business.value_method is None:
            yield Hit(f"{path}.business.value_method", f"{_named(asset)}: {money(asset.value)}.")


@rule(
    "property.licence",
    "stop",
    message="A professional practice would stay owned by both spouses.",
    why="Only a licensed person may own a share of a professional corporation",
    source="Corp. Code § 13400 et seq. (memory)",
    mend="Award it to the licensed spouse, with a payment to the other.",
)
def licence(review: Review) -> Iterator[Hit]:
    for _, path, asset in _community(review):
        if asset.business and asset.business.entity == "professional" and asset.goes_to in ("split", "co_own"):
            yield Hit(f"{path}.goes_to", f"{_named(asset)}.")


@rule(
    "property.stock_twice",
    "warn",
    message="The same stock is divided as property and counted as income for support.",
    why="The other party would be paid twice from one grant",
    source="In re Marriage of Hug (1984) 154 Cal.App.3d 780; In re Marriage of Ostler & Smith (1990) 223 Cal.App.3d 33 (both memory)",
    mend="Set stock_plan.counts_as_income: no, or count only the part that is not divided and say so in a special term.",
)
def stock_twice(review: Review) -> Iterator[Hit]:
    for _, path, asset in _community(review):
        plan = asset.stock_plan
        if plan and plan.counts_as_income and asset.goes_to == "split" and plan.formula != "all_separate":
            yield Hit(f"{path}.stock_plan.counts_as_income", f"{_named(asset)}.")


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
    for path, text in own_words(review.facts):
        if _SECRET.search(text):
            yield Hit(path)


_UNDISCLOSED = pattern(r"\b(not|un|never)[ -]?disclosed\b|\bfailing to disclose\b|\bfailure to disclose\b|\bhidden\b|\bomitted\b")


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


# Notes


@rule(
    "note.terms",
    "stop",
    message="The note is incomplete.",
    why="Without rate, first payment, length and a rule for default a note cannot be collected as it was meant",
    source="common practice",
    mend="Give note.rate, first_payment_on, months and due_at_once with default among its events.",
)
def note_terms(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    if equal.mode not in ("note", "lump_and_note"):
        return
    if equal.note is None:
        yield Hit("equalization.note", "It has no terms at all.")
        return
    for name, words in _missing_of_note(equal.note):
        yield Hit(f"equalization.note.{name}", f"It lacks {words}.")


def _missing_of_note(note: Note) -> Iterator[tuple[str, str]]:
    if note.principal is None:
        yield "principal", "the principal"
    if note.rate is None:
        yield "rate", "the interest"
    if note.first_payment_on is None:
        yield "first_payment_on", "the day of the first payment"
    if note.months is None:
        yield "months", "its length"
    if "default" not in note.due_at_once:
        yield "due_at_once", "a rule for default"


@rule(
    "note.unsecured",
    "warn",
    message="A note of this size has no security.",
    why="A judgment on an unsecured note may be hard to collect, and bankruptcy may touch it",
    source="common practice",
    mend="Give equalization.security, or record that the risk is accepted.",
)
def note_unsecured(review: Review) -> Iterator[Hit]:
    equal = review.facts.equalization
    principal = equal.note.principal if equal.note and equal.mode in ("note", "lump_and_note") else None
    if principal is not None and principal > LARGE_NOTE and equal.security is None:
        yield Hit("equalization.security", f"The principal is {money(principal)}.")


# Retirement plans


def _divided(review: Review) -> Iterator[tuple[str, str, Asset, Retirement]]:
    for key in review.figures.divided_plans.keys:
        asset = review.facts.assets[key]
        if asset.retirement:
            yield key, f"assets.{key}.retirement", asset, asset.retirement


@rule(
    "retirement.no_order",
    "stop",
    message="A divided plan needs an order, and the terms for it are missing.",
    why="A plan does not pay on the agreement alone",
    source="Fam. Code § 2610; 26 U.S.C. § 414(p) (memory)",
    mend="Give preparer and order_by; the court's power to make the order is kept by the paragraph on its continuing power.",
)
def no_order(review: Review) -> Iterator[Hit]:
    power_lost = bool(review.agreement.sections) and "general.enforcement_reserve" not in review.present
    for _, path, asset, plan in _divided(review):
        if plan.type in (*INDIVIDUAL_ACCOUNTS, "nonqualified") or plan.order_status in ("qualified", "filed"):
            continue
        missing = []
        if plan.preparer is None:
            missing.append(("preparer", "who prepares it"))
        if plan.order_by is None:
            missing.append(("order_by", "by when"))
        if power_lost:
            missing.append(("order_by", "the court's kept power"))
        if missing:
            yield Hit(f"{path}.{missing[0][0]}", f"{_named(asset)} lacks: {join_and([words for _, words in missing])}.")


@rule(
    "retirement.partial_no_order",
    "stop",
    message="A plan is awarded away from its member, in part or in whole, and no order is named that carries this out.",
    why="A plan pays anybody but its member only on an order or transfer that it accepts",
    source="Fam. Code § 2610",
    mend="Give retirement.method and its share; or let the plan stay with its member.",
)
def partial_no_order(review: Review) -> Iterator[Hit]:
    for _, path, asset in _community(review):
        plan = asset.retirement
        if plan is None or plan.method not in (None, "keep"):
            continue
        moved = plan.member is not None and asset.goes_to == other(plan.member)
        if moved or asset.goes_to in ("split", "order"):
            yield Hit(f"{path}.retirement.method", f"{_named(asset)}: goes_to is {asset.goes_to}.")


@rule(
    "retirement.gains",
    "warn",
    message="Nothing says whether the share moves with the market until it is paid out.",
    why="Months pass between the day of measurement and the transfer",
    source="common practice",
    mend="Set gains: with or without.",
)
def gains(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type in (*ACCOUNT_PLANS, *INDIVIDUAL_ACCOUNTS) and plan.gains is None:
            yield Hit(f"{path}.gains", f"{_named(asset)}.")


@rule(
    "retirement.date",
    "stop",
    message="The day on which the share is measured is missing.",
    why="The balance of an account changes every day; an order without a day is refused",
    source="Fam. Code § 2552; common practice",
    mend="Give balance_on.",
)
def balance_date(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type in (*ACCOUNT_PLANS, *INDIVIDUAL_ACCOUNTS) and plan.balance_on is None:
            yield Hit(f"{path}.balance_on", f"{_named(asset)}.")


@rule(
    "retirement.service",
    "stop",
    message="The time rule needs the service of the member.",
    why="The community part of a pension is the service during the marriage over all service",
    source="In re Marriage of Brown (1976) 15 Cal.3d 838; In re Marriage of Judd (1977) 68 Cal.App.3d 515 (both memory)",
    mend="Give service_from and community_service_months from the plan's statement.",
)
def service(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        if plan.type not in (*PENSIONS, "military") or plan.method == "split_sum":
            continue
        if plan.service_from is None and plan.type != "military":
            yield Hit(f"{path}.service_from", f"{_named(asset)}.")
        if plan.community_service_months is None:
            yield Hit(f"{path}.community_service_months", f"{_named(asset)}.")


@rule(
    "retirement.survivor",
    "stop",
    message="Nothing says what becomes of the share if either party dies first.",
    why="Silence on death lets one party take all",
    source="Fam. Code § 2610(a)",
    mend="Give survivor with before_benefits, after_benefits and nonmember_share_to (for military pay: survivor_benefit_plan.elected).",
)
def survivor(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        missing = _missing_survivor_terms(plan)
        if missing:
            yield Hit(f"{path}.{missing[0]}", f"{_named(asset)}.")


def _missing_survivor_terms(plan: Retirement) -> list[str]:
    """Paths under the plan of what is not said about death. Individual accounts are moved at once and need nothing."""
    if plan.type in INDIVIDUAL_ACCOUNTS:
        return []
    if plan.type == "military":
        chosen = plan.survivor_benefit_plan is not None and plan.survivor_benefit_plan.elected is not None
        return [] if chosen else ["survivor_benefit_plan.elected"]
    if plan.survivor is None:
        return ["survivor"]
    asked: dict[str, str | None] = {"nonmember_share_to": plan.survivor.nonmember_share_to}
    if plan.pay_status != "in_pay":
        asked["before_benefits"] = plan.survivor.before_benefits
    if plan.type not in ACCOUNT_PLANS:
        asked["after_benefits"] = plan.survivor.after_benefits
    return [f"survivor.{name}" for name, given in asked.items() if given is None]


_QUALIFIED_ORDER = pattern(r"\bQDRO\b|\bqualified domestic relations order\b")


@rule(
    "retirement.wrong_order",
    "warn",
    message="This plan is divided by another kind of paper than the facts name.",
    why="An individual account moves by its custodian's transfer, and a public plan has an order of its own kind; a wrong name is refused",
    source="26 U.S.C. § 408(d)(6) (memory); Fam. Code § 2610(a)(3)",
    mend="For an individual account take plan_order out of papers; for a public plan do not call the order a qualified one.",
)
def wrong_order(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        individual = plan.type in INDIVIDUAL_ACCOUNTS
        if individual and "plan_order" in asset.papers:
            yield Hit(f"{path.removesuffix('.retirement')}.papers", f"{_named(asset)}.")
        elif (individual or plan.type in (*JOINED_PLANS, "federal_civil", "military", "tsp")) and _QUALIFIED_ORDER.search(
            plan.preparer or ""
        ):
            yield Hit(f"{path}.preparer", f"{_named(asset)}.")


@rule(
    "retirement.joinder",
    "warn",
    message="A public plan is divided and has not been joined to the case.",
    why="Until it is joined, an order does not bind it, and after status ends the share may be unprotected",
    source="Fam. Code § 2060 (memory); forms FL-318-INFO, FL-348",
    mend="Join the plan and name it in case.joined_plans, or set retirement.joined: yes.",
)
def joinder(review: Review) -> Iterator[Hit]:
    case = review.facts.case
    for key, path, asset, plan in _divided(review):
        joined = plan.joined or key in case.joined_plans
        if plan.type in JOINED_PLANS and not joined and case.status_mode != "not_ended":
            yield Hit(f"{path}.joined", f"{_named(asset)}.")


@rule(
    "retirement.military_data",
    "stop",
    message="Military retired pay is divided before retirement, and pay data are missing.",
    why="The pay center refuses an order without them",
    source="10 U.S.C. § 1408 (memory)",
    mend="Give military.high_three and military.years as of the judgment; or military.retired: yes.",
)
def military_data(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        pay = plan.military
        if plan.type != "military" or (pay and pay.retired):
            continue
        if pay is None or pay.high_three is None:
            yield Hit(f"{path}.military.high_three", f"{_named(asset)}.")
        if pay is None or pay.years is None:
            yield Hit(f"{path}.military.years", f"{_named(asset)}.")


@rule(
    "retirement.sbp",
    "stop",
    message="Survivor cover is chosen, and nobody has the duty to ask for it within the year.",
    why="The request must reach the pay center within one year after the order that calls for it",
    source="10 U.S.C. § 1450(f)(3)",
    mend="Give survivor_benefit_plan.deemed_election_by.",
)
def sbp(review: Review) -> Iterator[Hit]:
    for _, path, asset, plan in _divided(review):
        cover = plan.survivor_benefit_plan
        if cover and cover.elected and cover.deemed_election_by is None:
            yield Hit(f"{path}.survivor_benefit_plan.deemed_election_by", f"{_named(asset)}.")


_MAKE_WHOLE = pattern(r"\bindemnif|\bhold\w* .*harmless\b|\breimburs|\bcompensat|\bmake\w* (up|good|whole)\b|\bmakes? .* whole\b")
_DISABILITY = pattern(r"\bdisab|\bveterans\b|\bVA\b")
_RETIRED_PAY = pattern(r"\bretire|\bmilitary\b|\bpension\b|\bwaive")


@rule(
    "retirement.va_indemnity",
    "stop",
    message="A term promises to make up for retired pay that is given up for disability pay.",
    why="A state court cannot enforce such a promise",
    source="Howell v. Howell (2017) 581 U.S. 214 (memory)",
    mend="Take the term out; weigh the risk in the amount of support or the division instead.",
)
def va_indemnity(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _MAKE_WHOLE, _DISABILITY, _RETIRED_PAY) and not denies(sentence):
            yield Hit(path)


@rule(
    "retirement.beneficiary",
    "warn",
    message="A party keeps a plan, and no day is set to change its beneficiary.",
    why="A waiver in the agreement does not change the plan's form; the plan pays whoever is named there",
    source="Kennedy v. Plan Administrator for DuPont Savings and Investment Plan (2009) 555 U.S. 285",
    mend="Give beneficiary_by_days; or list the designation in estate.kept_designations.",
)
def beneficiary(review: Review) -> Iterator[Hit]:
    kept_on_purpose = {kept.asset for kept in review.facts.estate.kept_designations}
    for key in review.figures.kept_plans.keys:
        asset = review.facts.assets[key]
        if asset.retirement and asset.retirement.beneficiary_by_days is None and key not in kept_on_purpose:
            yield Hit(f"assets.{key}.retirement.beneficiary_by_days", f"{_named(asset)}.")


@rule(
    "retirement.pretax",
    "note",
    message="Money before tax in this plan is set against other property at face.",
    why="It is taxed when it is paid out, so equal numbers are not equal after tax",
    source="In re Marriage of Fonstein (1976) 17 Cal.3d 738 (memory)",
    mend="Nothing need change if both know it; a tax adviser can say what the difference is.",
)
def pretax(review: Review) -> Iterator[Hit]:
    lines = [line for line in review.figures.ledger.counted if line.kind == "asset" and _is_pretax(review.facts.assets[line.key])]
    petitioner = sum((line.to_petitioner for line in lines), NOTHING)
    respondent = sum((line.to_respondent for line in lines), NOTHING)
    if abs(petitioner - respondent) <= DOLLAR:
        return
    for line in lines:
        received = line.to_petitioner if petitioner > respondent else line.to_respondent
        if received > 0:
            asset = review.facts.assets[line.key]
            yield Hit(f"assets.{line.key}.value", f"{_named(asset)}: {money(received)}.")


def _is_pretax(asset: Asset) -> bool:
    return asset.retirement is not None and asset.retirement.type != "roth_ira"


# Debts


@rule(
    "debt.unassigned",
    "stop",
    message="This debt has no payer:",
    why="The court must confirm or assign every debt of the community",
    source="Fam. Code § 2551",
    mend="Give assigned_to: petitioner, respondent, split or from_sale.",
)
def debt_unassigned(review: Review) -> Iterator[Hit]:
    for key, path, debt in _debts(review):
        if debt.assigned_to is None:
            yield Hit(f"{path}.assigned_to", f"{_debt_name(key, debt)}.")


@rule(
    "debt.collateral",
    "warn",
    message="The party who pays this debt does not receive the property that secures it.",
    why="If the payments stop, the other party loses the property",
    source="common practice; Fam. Code § 916(a)(2)",
    mend="Assign the debt to the party who receives the property, or give security.",
)
def collateral(review: Review) -> Iterator[Hit]:
    for key, path, debt in _debts(review):
        held = review.facts.assets.get(debt.secured_by or "")
        if held and debt.assigned_to in ROLES and _keeper(held) not in (None, debt.assigned_to):
            yield Hit(f"{path}.assigned_to", f"{_debt_name(key, debt)}; {held.label} goes to {held.goes_to}.")


@rule(
    "debt.open_joint",
    "warn",
    message="A joint card stays open, and new charges can still be made.",
    why="Both owe every new charge to the creditor, whoever makes it",
    source="common practice",
    mend="Give close_by.",
)
def open_joint(review: Review) -> Iterator[Hit]:
    for key, path, debt in _debts(review):
        if debt.kind == "card" and debt.obligors == "both" and debt.close_by is None:
            yield Hit(f"{path}.close_by", f"{_debt_name(key, debt)}.")


_SET_OFF = pattern(r"\bset[- ]?off\b|\boffset\b|\bdeduct\w* from\b|\btake\w* off\b|\bcredited against\b|\bwithhold\w* from\b")
_CHILD_SUPPORT = pattern(r"\bchild support\b")


@rule(
    "debt.set_off",
    "stop",
    message="A term lets a debt be set off against child support.",
    why="Child support belongs to the children's needs and cannot be reduced in this way",
    source="common practice; Fam. Code § 4065",
    mend="Take it out, or let the set-off reach property payments only.",
)
def set_off(review: Review) -> Iterator[Hit]:
    for path, sentence in own_terms(review.facts):
        if speaks_of(sentence, _SET_OFF, _CHILD_SUPPORT) and not denies(sentence):
            yield Hit(path)


_CREDITORS = pattern(r"\bcreditors?\b[^.]*\bnot bound\b|\bnot bind\b[^.]*\bcreditors?\b")


@rule(
    "debt.creditor",
    "note",
    message="The creditor is not bound by this agreement, and the other party goes on owing this debt to the creditor.",
    why="A spouse who signed for a debt stays liable to the creditor after the other takes it over",
    source="Fam. Code § 916(a)(1) (memory)",
    mend="Nothing need change if both know it; payment or a refinance at signing, or the creditor's written release, is safer.",
)
def creditor(review: Review) -> Iterator[Hit]:
    warned = _CREDITORS.search(review.text_of("debt.assigned")) is not None
    for key, path, debt in _debts(review):
        if debt.obligors == "both" and debt.assigned_to in ROLES and (not warned or _bound_without_the_property(review, debt)):
            yield Hit(f"{path}.obligors", f"{_debt_name(key, debt)}.")


def _bound_without_the_property(review: Review, debt: Debt) -> bool:
    """Whether the other party keeps owing the debt for property that is no longer theirs, or with no day on which it ends."""
    held = review.facts.assets.get(debt.secured_by or "")
    if held:
        return _keeper(held) == debt.assigned_to
    return debt.pay_by is None and debt.close_by is None
