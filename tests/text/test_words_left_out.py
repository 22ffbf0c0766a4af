"""A paragraph whose only words may not be printed is left out whole."""

from __future__ import annotations

from typing import Any

import pytest
from review.cases import CHILD
from text.test_property_figures_in_text import Paper

TRIPS: dict[str, Any] = {"parenting.travel": {"out_of_state": "notice", "notice_days": "20", "itinerary": ["lodging"]}}
SAFETY: dict[str, Any] = {"parenting.violence_terms": {"channel": "e-mail"}}


@pytest.mark.parametrize(("also", "there"), [({}, True), (SAFETY, False)])
def test_an_itinerary_of_addresses_alone_is_left_out_where_there_was_violence(
    also: dict[str, Any], there: bool
) -> None:
    """Addresses are not told then, and nothing else is asked for: "shall give the other ," would be left."""
    paper = Paper(CHILD, TRIPS, also)
    assert ("custody.travel/itinerary" in paper.ids()) is there
