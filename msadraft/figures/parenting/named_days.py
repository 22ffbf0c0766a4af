"""Days known by name: what each is called in a sentence, and the rule by which it is found.

Sources: state holidays, Gov. Code § 6700 (from memory); federal holidays, 5 U.S.C. § 6103(a); the rest by custom.
"""

from __future__ import annotations

from msadraft.figures.parenting.holidays import Feast, FixedDay, WeekdayOfMonth

NAMED_DAYS: dict[str, tuple[str, FixedDay | WeekdayOfMonth | Feast]] = {
    "new_years_day": ("New Year's Day", FixedDay(1, 1)),
    "martin_luther_king_day": ("Martin Luther King Jr. Day", WeekdayOfMonth(1, 0, 3)),
    "lincoln_day": ("Lincoln's Birthday", FixedDay(2, 12)),
    "presidents_day": ("Presidents' Day", WeekdayOfMonth(2, 0, 3)),
    "cesar_chavez_day": ("Cesar Chavez Day", FixedDay(3, 31)),
    "mothers_day": ("Mother's Day", WeekdayOfMonth(5, 6, 2)),
    "memorial_day": ("Memorial Day", WeekdayOfMonth(5, 0, -1)),
    "juneteenth": ("Juneteenth", FixedDay(6, 19)),
    "fathers_day": ("Father's Day", WeekdayOfMonth(6, 6, 3)),
    "independence_day": ("Independence Day", FixedDay(7, 4)),
    "labor_day": ("Labor Day", WeekdayOfMonth(9, 0, 1)),
    "native_american_day": ("Native American Day", WeekdayOfMonth(9, 4, 4)),
    "indigenous_peoples_day": ("Indigenous Peoples' Day (Columbus Day)", WeekdayOfMonth(10, 0, 2)),
    "halloween": ("Halloween", FixedDay(10, 31)),
    "veterans_day": ("Veterans Day", FixedDay(11, 11)),
    "thanksgiving": ("Thanksgiving Day", WeekdayOfMonth(11, 3, 4)),
    "christmas_eve": ("Christmas Eve", FixedDay(12, 24)),
    "christmas_day": ("Christmas Day", FixedDay(12, 25)),
    "new_years_eve": ("New Year's Eve", FixedDay(12, 31)),
    "easter": ("Easter Sunday", Feast("easter")),
    "orthodox_easter": ("Orthodox Easter Sunday", Feast("orthodox_easter")),
    "passover": ("the first day of Passover", Feast("passover")),
    "rosh_hashanah": ("the first day of Rosh Hashanah", Feast("rosh_hashanah")),
    "yom_kippur": ("Yom Kippur", Feast("yom_kippur")),
    "hanukkah": ("the first day of Hanukkah", Feast("hanukkah")),
    "purim": ("Purim", Feast("purim")),
    "lunar_new_year": ("Lunar New Year's Day", Feast("lunar_new_year")),
    "ramadan": ("the first day of Ramadan", Feast("ramadan")),
    "eid_al_fitr": ("Eid al-Fitr", Feast("eid_al_fitr")),
    "eid_al_adha": ("Eid al-Adha", Feast("eid_al_adha")),
    "diwali": ("Diwali", Feast("diwali")),
}
