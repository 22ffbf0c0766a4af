"""The whole of a case's facts, and the one check that needs more than one record: short names must exist."""

from msadraft.facts.base import Record, fact, needed
from msadraft.facts.case import Case
from msadraft.facts.money import Confidentiality, Disputes, Equalization, Estate, Fees, Negotiation, Notices, Taxes
from msadraft.facts.parenting import Parenting
from msadraft.facts.people import Child, Marriage, Party
from msadraft.facts.property import Asset, Debt, Household, Reimbursement
from msadraft.facts.scalars import Key, Words
from msadraft.facts.support import ChildSupport, SpousalSupportBothWays


class Facts(Record):
    """Everything that the parties told us. No computing, no wording."""

    case: Case = needed("The court case")
    petitioner: Party = needed("The petitioner, or first joint petitioner")
    respondent: Party = needed("The respondent, or second joint petitioner")
    marriage: Marriage = needed("The marriage or partnership")
    children: dict[Key, Child] = fact("Children of either spouse, by short name", default={})
    parenting: Parenting = fact("Custody and parenting time", default=Parenting())
    child_support: ChildSupport = fact("Child support", default=ChildSupport())
    spousal_support: SpousalSupportBothWays = fact(
        "Spousal support, in both directions", default=SpousalSupportBothWays()
    )
    assets: dict[Key, Asset] = fact("Assets, by short name", default={})
    household: Household = fact("Household goods", default=Household())
    debts: dict[Key, Debt] = fact("Debts, by short name", default={})
    reimbursements: dict[Key, Reimbursement] = fact("Reimbursement claims, by short name", default={})
    equalization: Equalization = fact("The equalizing payment", default=Equalization())
    taxes: Taxes = fact("Taxes", default=Taxes())
    fees: Fees = fact("Attorney fees and costs", default=Fees())
    estate: Estate = fact("Estates and beneficiaries", default=Estate())
    notices: Notices = fact("Notices", default=Notices())
    disputes: Disputes = fact("Disputes outside parenting", default=Disputes())
    confidentiality: Confidentiality = fact("Privacy of the agreement", default=Confidentiality())
    clauses: tuple[Words, ...] = fact("Folders of the firm's own clauses, seen from the case folder", "B", default=())
    negotiation: Negotiation = fact("The negotiation", "B", default=Negotiation())
