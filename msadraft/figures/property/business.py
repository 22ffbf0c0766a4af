"""Growth of a separate business during the marriage: both approaches side by side.

Pereira gives the separate capital a fair return and the rest to the community, where work was the main cause. Van Camp
pays the community for the work, less what it drew and spent, and leaves the rest separate, where capital or the market
was. The court takes whichever does justice; the program shows both and decides nothing.
Sources: Pereira v. Pereira (1909) 156 Cal. 1; Van Camp v. Van Camp (1921) 53 Cal.App. 17; Beam v. Bank of America
(1971) 6 Cal.3d 12. Dollars; the community part is rounded to the cent, half up, and the separate part is the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from msadraft.figures.figure import Figure, Step
from msadraft.figures.property.interest import rate_on
from msadraft.figures.property.working import (
    DAYS_A_YEAR,
    NOTHING,
    ONE,
    cents,
    days,
    money,
    not_negative,
    number,
    percent,
    places,
    require,
)

PEREIRA = "Pereira v. Pereira (1909) 156 Cal. 1"
VAN_CAMP = "Van Camp v. Van Camp (1921) 53 Cal.App. 17"


@dataclass(frozen=True, slots=True)
class Approach:
    """The result of one approach. `community + separate` is the value."""

    name: str
    community: Decimal
    separate: Decimal
    figure: Figure


@dataclass(frozen=True, slots=True)
class Growth:
    """Both approaches for the same business, and how far apart they are in the community's part."""

    pereira: Approach
    van_camp: Approach
    difference: Decimal


def years_between(start: date, end: date) -> Decimal:
    """Years by actual days over 365."""
    return Decimal(days(start, end)) / DAYS_A_YEAR


def pereira(
    capital: Decimal,
    value: Decimal,
    years: Decimal,
    rate: Decimal,
    *,
    compound: bool = False,
    fair_return: Decimal | None = None,
    expenses_beyond_income: Decimal = NOTHING,
) -> Approach:
    """Separate capital with a fair return; the rest is the community's.

    Args:
        rate: yearly return as a fraction; simple unless `compound` is shown to be right.
        fair_return: the return as a sum, if it was found otherwise; `rate` and `years` are then not used.
        expenses_beyond_income: family expenses already paid out of the growth, which use up the community's part.

    Raises:
        InputError: a negative amount.
    """
    not_negative(
        capital=capital,
        value=value,
        years=years,
        rate=rate,
        fair_return=fair_return,
        expenses_beyond_income=expenses_beyond_income,
    )
    if fair_return is not None:
        earned, formula = fair_return, "as found"
    elif compound:
        earned, formula = (
            capital * (ONE + rate) ** years - capital,
            f"{money(capital)} × ((1 + {percent(rate, 2)}) ^ {number(places(years, 4))} − 1)",
        )
    else:
        earned, formula = (
            capital * rate * years,
            f"{money(capital)} × {percent(rate, 2)} × {number(places(years, 4))} years",
        )
    owner = cents(capital + earned)
    community = min(value, max(NOTHING, value - owner - expenses_beyond_income))
    cautions = (
        ["The value does not reach capital and return, so that nothing is left for the community."]
        if value < owner
        else []
    )
    steps = (
        Step("Fair return", formula, money(earned), "Beam v. Bank of America (1971) 6 Cal.3d 12"),
        Step("Separate capital with its return", f"{money(capital)} + {money(earned)}", money(owner), PEREIRA),
        Step(
            "Community part",
            f"{money(value)} − {money(owner)} − {money(expenses_beyond_income)}, at least nothing",
            money(community),
            PEREIRA,
        ),
    )
    figure = Figure("community part by Pereira", community, "dollars", steps, (), tuple(cautions))
    return Approach("Pereira", community, value - community, figure)


def van_camp(
    value: Decimal, years: Decimal, reasonable_pay: Decimal, drawn: Decimal, family_expenses: Decimal
) -> Approach:
    """Reasonable pay for the work, less what was drawn and spent on the family (yearly sums); the rest is separate.

    Raises:
        InputError: a negative amount.
    """
    not_negative(value=value, years=years, reasonable_pay=reasonable_pay, drawn=drawn, family_expenses=family_expenses)
    owed = cents((reasonable_pay - drawn - family_expenses) * years)
    community = min(value, max(NOTHING, owed))
    steps = (
        Step(
            "Owed to the community",
            f"({money(reasonable_pay)} − {money(drawn)} − {money(family_expenses)}) × {number(places(years, 4))} years",
            money(owed),
            VAN_CAMP,
        ),
        Step("Community part", "at least nothing, at most the value", money(community), VAN_CAMP),
        Step("Separate part", f"{money(value)} − {money(community)}", money(value - community), VAN_CAMP),
    )
    return Approach(
        "Van Camp", community, value - community, Figure("community part by Van Camp", community, "dollars", steps)
    )


def growth(
    capital: Decimal,
    value: Decimal,
    start: date,
    end: date,
    *,
    reasonable_pay: Decimal,
    drawn: Decimal,
    family_expenses: Decimal,
    rate: Decimal | None = None,
    expenses_beyond_income: Decimal = NOTHING,
) -> Growth:
    """Both approaches for the years from `start` to `end`; `rate` defaults to the law's rate on the last day.

    Raises:
        InputError: a negative amount, or an end before the start.
    """
    require(start <= end, f"the end ({end}) lies before the start ({start})")
    years = years_between(start, end)
    first = pereira(
        capital,
        value,
        years,
        rate_on("property/capital_return", end) if rate is None else rate,
        expenses_beyond_income=expenses_beyond_income,
    )
    second = van_camp(value, years, reasonable_pay, drawn, family_expenses)
    return Growth(first, second, first.community - second.community)
