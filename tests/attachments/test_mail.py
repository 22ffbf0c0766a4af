"""Where post for a spouse goes, and what of an address for notices post can use."""

from __future__ import annotations

from typing import Any

import pytest

from attachments.changed import kept, redraft
from msadraft.attachments.drafted import case_names
from msadraft.attachments.mail import HIDDEN, UNKNOWN, Mail, mail, postal_part


@pytest.mark.parametrize(
    ("given", "post"),
    [
        ("Post Office Box 118, Eureka, California 95502", "Post Office Box 118, Eureka, California 95502"),
        ("ann@barrow.example", ""),
        ("email: ann@barrow.example", ""),
        ("PO Box 7, Oakland; email ann@barrow.example", "PO Box 7, Oakland"),
        ("ann@barrow.example or 3 Elm Street, Oakland", "3 Elm Street, Oakland"),
    ],
)
def test_an_email_address_is_no_place_for_post(given: str, post: str) -> None:
    assert postal_part(given) == post  # common practice


def found(*changes: tuple[str, Any], attorney: bool = True) -> Mail:
    names = case_names(kept("dunmarsh", 3, ("notices.addresses", None), *changes))
    return mail(names, names["petitioner"], attorney)


def test_the_attorney_of_record_comes_first() -> None:
    # Code Civ. Proc. § 1015: papers go to the attorney of a party who has one
    assert found().lines == (
        "Maribel Quillon",
        "Quillon Family Law",
        "Attorney for petitioner",
        "240 Saltgrass Court, Suite 9, Hayward, California 94541",
    )


def test_without_an_attorney_of_record_it_is_the_home() -> None:
    home = found(attorney=False)
    assert home.lines[0] == "Philippa Dunmarsh"
    assert len(home.lines) == 3
    assert found(("petitioner.representation", "limited_scope")) == home  # Cal. Rules of Court, rule 5.425 (memory)


def test_a_hidden_home_is_never_shown_and_an_email_address_does_not_help() -> None:
    own = ("petitioner.representation", "none")
    hidden = ("petitioner.address_hidden", True)
    email = ("notices", {"methods": ("email",), "addresses": {"to_petitioner": "pd@dunmarsh.example"}})
    names = case_names(redraft("dunmarsh", 3, own, hidden, email))
    assert mail(names, names["petitioner"]) == Mail((), HIDDEN)


def test_an_unknown_address_says_so() -> None:
    assert found(("petitioner.representation", "none"), ("petitioner.address", None)) == Mail((), UNKNOWN)
