"""The HTML page: one file, accessible, every link lands, every value knows its fact, nothing but text gets in."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from lxml import html
from writers import sample
from writers.strategies import agreements

from msadraft.agreement.numbering import number
from msadraft.tree import Agreement
from msadraft.writers.html import write_html
from msadraft.writers.stamp import Stamp


def _page(agreement: Agreement, stamp: Stamp = sample.STAMP) -> html.HtmlElement:
    return html.document_fromstring(write_html(agreement, number(agreement), stamp))


def test_page_names_its_language_title_and_start() -> None:
    page = _page(sample.agreement())
    assert page.get("lang") == "en-US"
    assert page.findtext(".//title") == "Marital Settlement Agreement"
    assert [h.text_content() for h in page.iter("h1")] == ["Marital Settlement Agreement"]
    first = next(page.iter("a"))
    assert first.get("href") == "#agreement"
    assert page.get_element_by_id("agreement").tag == "main"


def test_page_loads_and_runs_nothing() -> None:
    source = write_html(sample.agreement(), number(sample.agreement()), sample.STAMP)
    assert "<script" not in source
    assert not re.search(r"\bon[a-z]+=", source)
    assert not re.search(r"""(?:src|href)=["'](?!#)""", source)
    assert "@import" not in source
    assert "url(" not in source


@given(agreements())
@settings(max_examples=30, deadline=None)
def test_every_link_lands_and_no_id_stands_twice(agreement: Agreement) -> None:
    page = _page(agreement)
    ids = [element.get("id") for element in page.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    targets = [link.get("href", "")[1:] for link in page.iter("a")]
    assert set(targets) <= set(ids)
    assert {entry.bookmark for entry in number(agreement).by_id.values()} <= set(ids)


def test_reference_shows_and_reaches_its_paragraph() -> None:
    agreement = sample.agreement()
    numbering = number(agreement)
    page = _page(agreement)
    link = page.get_element_by_id(numbering["support.amount"].bookmark).find(".//a")
    assert link is not None
    assert link.text_content() == "2.1(a)(i)"
    assert link.get("href") == f"#{numbering['support.payment.day'].bookmark}"


def test_headings_have_an_order_without_gaps() -> None:
    levels = [int(element.tag[1]) for element in _page(sample.agreement()).iter("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert set(levels) == {1, 2}


def test_tables_have_captions_and_scoped_headers() -> None:
    tables = list(_page(sample.agreement(rows=3)).iter("table"))
    assert len(tables) == 3
    for table in tables:
        assert table.findtext("caption")
        assert {th.get("scope") for th in table.iter("th")} == {"col", "row"}
        assert all(th.get("scope") == "col" for th in table.find("thead").iter("th"))
    assert [c.text_content() for c in tables[0].find("tfoot").iter("th", "td")] == ["Both", "$15,100.00", "$11,235.00"]


def test_filled_values_carry_the_path_of_their_fact() -> None:
    found = {
        span.get("data-source"): span.text_content()
        for span in _page(sample.agreement()).iter("span")
        if span.get("data-source")
    }
    assert found["child_support.amount"] == "$1,250.00"
    assert found["figures.equalization"] == "$18,437.50"
    assert set(found["separation.date"]) == {"_"}


def test_banner_shows_only_while_not_ready_and_the_mark_always() -> None:
    draft, ready = _page(sample.agreement(), sample.DRAFT), _page(sample.agreement(), sample.STAMP)
    assert "not ready to sign" in draft.find_class("banner")[0].text_content()
    assert ready.find_class("banner") == []
    assert all("Round 3 · 7f3a91c2" in page.find(".//footer").text_content() for page in (draft, ready))


@pytest.mark.parametrize(
    "text",
    ["<script>alert(1)</script>", "\"><img src=x onerror='y'>", "a & b &amp; c", "</style></title>", "שלום 王小明"],
)
def test_hostile_text_is_only_text(text: str) -> None:
    agreement = sample.with_text(text)
    page = _page(agreement)
    assert list(page.iter("script", "img")) == []
    assert len(list(page.iter("style"))) == 1
    shown = page.get_element_by_id(number(agreement)["extra.paragraph"].bookmark).text_content()
    assert f"before {text} after" in shown
    assert page.findtext(".//title") == f"Title {text}"


def test_page_has_print_and_dark_styles() -> None:
    style = _page(sample.agreement()).findtext(".//style") or ""
    assert "@media print" in style
    assert "prefers-color-scheme: dark" in style


def _colours(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6})", block))


def _contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.2, section 1.4.3 (relative luminance of its glossary)."""

    def luminance(colour: str) -> float:
        parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_colours_are_readable(scheme: str) -> None:
    style = _page(sample.agreement()).findtext(".//style") or ""
    light, rest = style.split("@media (prefers-color-scheme: dark)", 1)
    colours = _colours(light) if scheme == "light" else _colours(rest.split("* {", 1)[0])
    for ink in ("ink", "quiet", "alarm", "link"):
        assert _contrast(colours[ink], colours["paper"]) >= 4.5
    for ground in ("shade", "fact"):
        assert _contrast(colours["ink"], colours[ground]) >= 4.5
