"""Rules about the drafted text: where a blank is mended."""

from __future__ import annotations

from review.cases import hits, review

from msadraft.tree import Blank, Paragraph


def test_a_blank_inside_a_record_that_is_not_named_points_to_the_missing_name() -> None:
    """The measuring day of a plan that nobody named is mended by naming the plan: no other fact exists to fill in."""
    blank = Paragraph("general.notices", "general.notices", 1, (Blank("equalization.from_asset.retirement.gains"),))
    again = Paragraph("general.notices/b", "general.notices", 1, (Blank("equalization.from_asset"),))
    found = hits("wording.blank", review(blocks={"article.general": (blank, again)}))
    assert [hit.path for hit in found] == ["equalization.from_asset"]
    figure = Paragraph("general.notices", "general.notices", 1, (Blank("figures.earliest_status_on"),))
    assert [h.path for h in hits("wording.blank", review(blocks={"article.general": (figure,)}))] == [
        "figures.earliest_status_on"
    ]
