"""Whole journeys through the desk in Chromium: a newcomer types a case; a crash; two windows; many edits; accessibility."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from playwright.sync_api import expect
from support.desk import SCENARIOS, RunningDesk, saved
from support.effort import examples

from msadraft.desk.asks import anchor
from msadraft.desk.open_case import OpenCase
from msadraft.facts.load import read_case
from msadraft.facts.paths import field_at
from msadraft.facts.yaml_tree import read_tree

pytestmark = pytest.mark.browser

NEEDED = {
    "case": {"county": "Napa", "path": "response_filed"},
    "petitioner": {"name": {"first": "Ada", "last": "Quill"}},
    "respondent": {"name": {"first": "Bo", "last": "Quill"}},
    "marriage": {"married_on": "2010-05-01", "separated_on": "2024-05-01"},
}


class Person:
    """Somebody who types into the desk, one field after the other, as the pages offer them."""

    def __init__(self, page: Any, desk: RunningDesk) -> None:
        self.page, self.desk = page, desk

    def go(self, path: str) -> None:
        self.settled()
        there = f"{self.desk.base}/facts/{path}"
        if self.page.url.partition("#")[0].partition("?")[0] != there:
            self.page.goto(there)
        every = self.page.locator("#show-all")
        if every.count() and every.get_attribute("aria-pressed") != "true":
            every.click()

    def settled(self) -> None:
        """Wait until everything typed has been answered."""
        if self.page.url.startswith(self.desk.base):
            saved(self.page)

    def type(self, path: str, value: Any) -> None:
        """Fill in one field."""
        shape = field_at(path).shape
        field = self.page.locator(f"[data-fact='{path}']")
        if isinstance(value, list):
            if shape.item is not None and shape.item.choices:
                for one in value:
                    field.locator(f"input[value='{one}']").check()
            else:
                field.fill("\n".join(value))
        elif shape.choices or shape.reader == "yes_no":
            field.select_option(value.lower() if shape.reader == "yes_no" else value)
        else:
            field.fill(value)

    def fill(self, path: str, value: Any) -> None:
        """Fill in everything of one page, then the pages of its entries."""
        self.go(path)
        later: list[tuple[str, Any]] = []
        self._fill(path, value, later)
        self.settled()
        for at, entries in later:
            self._entries(at, entries)

    def _fill(self, path: str, value: Any, later: list[tuple[str, Any]]) -> None:
        shape = field_at(path).shape
        is_list = shape.form in ("map", "list") and shape.item is not None and shape.item.form != "value"
        if is_list:
            later.append((path, value))
        elif isinstance(value, dict):
            for name, inner in value.items():
                self._fill(f"{path}.{name}", inner, later)
        elif value is not None:
            self.type(path, value)

    def _entries(self, path: str, entries: Any) -> None:
        first = len(self.desk.case.value(path) or ())
        pairs = (
            entries.items() if isinstance(entries, dict) else ((str(n), one) for n, one in enumerate(entries, first))
        )
        for key, entry in pairs:
            group = path.rpartition(".")[0]
            self.go(_page_of(path) if group else path)
            section = self.page.locator(f"section.entries[data-path='{path}']")
            form = section.locator("form.add")
            if isinstance(entries, dict):
                form.locator("input[name='key']").fill(key)
            else:
                asked = form.locator("input[name='first']").input_value()
                box = form.locator("[name='value']")
                if box.evaluate("e => e.tagName") == "SELECT":
                    box.select_option(entry[asked])
                else:
                    box.fill(entry[asked])
            with self.page.expect_navigation():
                form.locator("button").click()
            self.fill(f"{path}.{key}", entry)


def _page_of(path: str) -> str:
    """The page on which a list stands: that of the entry around it, or the topic."""
    parts = path.split(".")
    at = parts[0]
    for n in range(1, len(parts) - 1):
        shape = field_at(".".join(parts[:n])).shape
        if shape.form in ("map", "list"):
            at = ".".join(parts[: n + 1])
    return at


def _plain(tree: Any) -> Any:
    """A tree with yes and no as the desk writes them."""
    if isinstance(tree, dict):
        return {key: _plain(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_plain(value) for value in tree]
    return {"true": "yes", "false": "no"}.get(tree, tree) if isinstance(tree, str) else tree


def _tree(folder: Path) -> Any:
    return read_tree((folder / "case.yaml").read_text(encoding="utf-8"), "case.yaml").tree


def _kinds(value: Any, kind: str) -> set[str]:
    """The kinds of facts in a part of a case: their paths, with a star for the key of an entry."""
    shape = field_at(kind.replace("*", "0")).shape
    if shape.form in ("map", "list") and shape.item is not None and shape.item.form != "value":
        entries = value.values() if isinstance(value, dict) else value
        return set().union(*(_kinds(entry, f"{kind}.*") for entry in entries))
    if isinstance(value, dict):
        return set().union(*(_kinds(inner, f"{kind}.{name}") for name, inner in value.items()))
    return set() if value is None else {kind}


def _shared_out(path: str, value: Any) -> tuple[Any, Any]:
    """What of a part of a case is typed, and what stands in the file: entries that show no further kind of fact."""
    shape = field_at(path).shape
    if not (shape.form in ("map", "list") and shape.item is not None and shape.item.form != "value"):
        if not isinstance(value, dict):
            return value, None
        shares = {name: _shared_out(f"{path}.{name}", inner) for name, inner in value.items()}
        typed, standing = ({name: share[n] for name, share in shares.items() if share[n] is not None} for n in (0, 1))
        return typed, standing or None
    seen: set[str] = set()
    if isinstance(value, dict):
        typed, standing = {}, {}
        for key, entry in value.items():
            kinds = _kinds(entry, f"{path}.*")
            (standing if kinds <= seen else typed)[key] = entry
            seen |= kinds
        return typed, standing or None
    n = len(value)  # what is typed comes behind what stands
    while not _kinds(value, path) <= seen:
        n -= 1
        seen |= _kinds(value[n], f"{path}.*")
    return value[n:], value[:n] or None


def test_a_newcomer_types_the_middle_case_from_nothing_to_the_packet(desks: Any, browse: Any, tmp_path: Path) -> None:
    """Every kind of fact of the case is typed once; further entries of the same kinds stand in the file already.

    With MSADRAFT_THOROUGH=1 everything is typed, into a file that holds nothing.
    """
    source = SCENARIOS / "dunmarsh" / "round-1.yaml"
    wanted = read_tree(source.read_text(encoding="utf-8"), source.name).tree
    assert isinstance(wanted, dict)
    shares = {topic: (wanted[topic], None) if examples(0, 1) else _shared_out(topic, wanted[topic]) for topic in wanted}
    assert all(_kinds(typed, topic) == _kinds(wanted[topic], topic) for topic, (typed, _) in shares.items())
    standing = {topic: left for topic, (_, left) in shares.items() if left is not None}
    told = yaml.safe_dump(standing, allow_unicode=True, sort_keys=False) if standing else ""
    (tmp_path / "case.yaml").write_text("# a new case\n" + told, encoding="utf-8")
    desk = desks(tmp_path)
    page = browse(desk)
    person = Person(page, desk)
    # what other facts refer to by short name comes first, as it would in an interview
    for topic in sorted(wanted, key=lambda topic: topic not in ("children", "assets", "debts")):
        person.fill(topic, shares[topic][0])
    person.settled()
    assert desk.case.unfinished == {}
    assert _plain(_tree(tmp_path)) == _plain(wanted)
    assert read_case(tmp_path).facts == read_case(source).facts
    page.goto(f"{desk.base}/packet")
    assert "FL-180" in page.locator("main").inner_text()
    # drafting the round from the page leaves what the command would leave
    page.goto(f"{desk.base}/rounds")
    page.get_by_role("button", name="Draft").first.click()
    expect(page.locator("a[href='/rounds/1/agreement.docx']").first).to_be_attached()
    assert (tmp_path / "rounds" / "01" / "agreement.docx").exists()


def test_the_file_a_newcomer_types_is_the_file_a_person_would_write(desks: Any, browse: Any, tmp_path: Path) -> None:
    (tmp_path / "case.yaml").write_text("")
    desk = desks(tmp_path)
    person = Person(browse(desk), desk)
    for topic, value in NEEDED.items():
        person.fill(topic, value)
    person.fill(
        "assets", {"boat": {"kind": "vehicle", "label": "the boat: a sloop", "titled": "both", "value": "12,000"}}
    )
    person.fill("case", {"petition_relief": ["divide_property", "fees"]})
    person.settled()
    assert (tmp_path / "case.yaml").read_text() == (
        "case:\n  county: Napa\n  path: response_filed\n  petition_relief: [divide_property, fees]\n\n"
        "petitioner:\n  name:\n    first: Ada\n    last: Quill\n\n"
        "respondent:\n  name:\n    first: Bo\n    last: Quill\n\n"
        "marriage:\n  married_on: 2010-05-01\n  separated_on: 2024-05-01\n\n"
        'assets:\n  boat:\n    kind: vehicle\n    label: "the boat: a sloop"\n    titled: both\n    value: 12,000\n'
    )


def test_a_change_shows_in_the_paper_and_says_what_moved_and_why(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    field = page.locator("[data-fact='marriage.separated_on']")
    field.fill("2025-02-15")
    field.press("Tab")
    page.wait_for_selector("#moved h2")
    assert "February\u00a015, 2025" in page.locator("#sheet .changed").first.inner_text()
    assert "Date of separation" in page.locator("#moved").inner_text()
    page.locator("#sheet [data-source='marriage.separated_on']").first.click()
    page.wait_for_url("**/facts/marriage#*")
    assert page.evaluate("document.activeElement.id") == anchor("marriage.separated_on")
    page.locator("#sheet .unit", has_text="Dates of the marriage").locator(".number").first.click()
    page.wait_for_selector("#why h2")
    assert "recital.marriage_dates" in page.locator("#why").inner_text()


def test_an_unreadable_value_is_kept_and_explained_beside_its_field(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    page.locator("[data-fact='marriage.separated_on']").fill("2025-02-31")
    page.wait_for_selector(".unread")
    assert "There is no day 2025-02-31" in page.locator(f"#note-{anchor('marriage.separated_on')}").inner_text()
    page.reload()
    assert page.locator("[data-fact='marriage.separated_on']").input_value() == "2025-02-31"


def test_what_was_typed_before_a_crash_is_there_after_it(desks: Any, browse: Any, chromium: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    page.locator("[data-fact='marriage.place']").press_sequentially("Big Sur, Calif", delay=40)
    saved(page)
    typed = page.locator("[data-fact='marriage.place']").input_value()
    # the page and the program are gone at once: a new program sees what was there
    assert OpenCase(middle).shown("marriage.place") == typed
    page.locator("[data-fact='marriage.place']").press("End")
    page.locator("[data-fact='marriage.place']").press_sequentially("ornia")
    page.close(run_before_unload=False)
    # what the last pause had not sent yet is lost at most; nothing else is
    assert OpenCase(middle).shown("marriage.place").startswith(typed)


def test_two_windows_on_one_case_lose_no_update(desks: Any, browse: Any, chromium: Any, middle: Path) -> None:
    desk = desks(middle)
    context = chromium.new_context()
    one, other = browse(desk, context), browse(desk, context)
    for page in (one, other):
        page.goto(f"{desk.base}/facts/marriage")
    one.locator("[data-fact='marriage.place']").fill("Fresno, California")
    saved(one)
    other.locator("[data-fact='marriage.place']").fill("Napa, California")
    other.wait_for_selector("#told .keep")
    assert desk.case.value("marriage.place") == "Fresno, California"
    assert "Fresno" in other.locator("#told").inner_text()
    other.locator("[data-fact='marriage.separated_on']").fill("2025-02-15")
    saved(other)
    assert desk.case.value("marriage.place") == "Fresno, California"
    assert desk.case.value("marriage.separated_on") == "2025-02-15"
    context.close()


def _holidays(tree: Any) -> Iterator[tuple[str, str]]:
    for key, holiday in tree["parenting"]["holidays"].items():
        for name, value in holiday.items():
            if isinstance(value, str):
                yield f"parenting.holidays.{key}", name


def test_many_edits_of_the_holidays_all_arrive_and_all_can_be_undone(desks: Any, browse: Any, middle: Path) -> None:
    """Each choice is made twice; with MSADRAFT_THOROUGH=1 there are sixty edits."""
    desk = desks(middle)
    page = browse(desk)
    person = Person(page, desk)
    before = desk.case.text
    places = [(entry, name) for entry, name in _holidays(desk.case.tree) if field_at(f"{entry}.{name}").shape.choices]
    edits = examples(2 * len(places), 60)
    done = 0
    at = ""
    while done < edits:
        for entry, name in places:
            if entry != at:
                person.go(entry)
                at = entry
            field = page.locator(f"[data-fact='{entry}.{name}']")
            choices = [c for c in field_at(f"{entry}.{name}").shape.choices if c != field.input_value()]
            wanted = choices[done % len(choices)]
            field.select_option(wanted)
            expect(field).to_have_attribute("data-was", wanted)
            assert desk.case.shown(f"{entry}.{name}") == wanted
            done += 1
            if done == edits:
                break
    assert done == edits > 10
    assert desk.case.text != before
    while desk.case.undo() is not None:
        pass
    assert desk.case.text == before


PAGES = ["/facts/case", "/facts/parenting", "/facts/assets", "/facts/assets.home", "/findings", "/agreement", "/balance", "/calendar", "/support", "/rounds", "/takein", "/packet", "/changes", "/rounds/1/read/agreement.html"]  # fmt: skip


WAYS = [(1280, "light"), (820, "dark"), (820, "light"), (1280, "dark")]
RULES = {
    "runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "resultTypes": ["violations"],  # what passes is not described element by element, which takes most of the time
}


def judged(way: int) -> list[str]:
    """The pages that axe-core reads in one way to look at them: all of them in the first, else every third in turn.

    With MSADRAFT_THOROUGH=1 all of them in each way.
    """
    return PAGES if way == 0 else PAGES[examples(way - 1, 0) :: examples(3, 1)]


@pytest.mark.parametrize("way", range(len(WAYS)), ids=[f"{width}-{scheme}" for width, scheme in WAYS])
def test_no_page_has_a_serious_accessibility_fault(browse: Any, looked_at: RunningDesk, way: int) -> None:
    """By axe-core, the rules of WCAG 2.2 A and AA, contrast among them; nothing reaches beyond the window.

    In the light scheme at the wide width axe-core reads every page; the three other ways share the pages among
    them, so that each page is read in two. Whether a page fits into the window is asked of every page in every way.
    """
    from axe_playwright_python.sync_playwright import Axe

    width, scheme = WAYS[way]
    page = browse(looked_at)
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 1000})
    found = []
    for path in PAGES:
        page.goto(looked_at.base + path)
        if path in judged(way):
            result = Axe().run(page, options=RULES)
            assert result.response["passes"], path
            for fault in result.response["violations"]:
                if fault["impact"] in ("serious", "critical"):
                    found.append((path, fault["id"], fault["nodes"][0]["html"][:160], len(fault["nodes"])))
        beyond = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        if beyond > 0:
            found.append((path, "wider than the window", str(beyond), 1))
    assert found == []


def test_between_them_the_ways_have_every_page_judged_twice() -> None:
    shares = [judged(way) for way in range(1, len(WAYS))]
    assert judged(0) == PAGES
    assert {path for share in shares for path in share} == set(PAGES)
    assert all(any(path.startswith("/facts/") for path in share) for share in shares)


CONTRAST = """() => {
  const number = (c) => c.match(/[\\d.]+/g).map(Number);
  const light = ([r, g, b]) => [r, g, b].map((v) => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    .reduce((sum, v, n) => sum + v * [0.2126, 0.7152, 0.0722][n], 0);
  const ground = (e) => { for (; e; e = e.parentElement) { const c = number(getComputedStyle(e).backgroundColor);
    if (c.length < 4 || c[3] > 0) return c; } return [255, 255, 255]; };
  const poor = [];
  for (const e of document.querySelectorAll("main *, .papers *")) {
    if (![...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || !e.checkVisibility() || e.closest("svg")) continue;
    const [a, b] = [light(number(getComputedStyle(e).color)), light(ground(e))].sort((x, y) => y - x);
    if ((a + 0.05) / (b + 0.05) < 4.5 && !e.disabled) poor.push(e.outerHTML.slice(0, 80));
  }
  return [poor.length, poor.slice(0, 3), light(number(getComputedStyle(document.body).backgroundColor))];
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_page_prints_dark_on_white(browse: Any, looked_at: RunningDesk, scheme: str) -> None:
    """Whatever scheme the screen has; contrast by the formula of WCAG 2.2, at least 4.5 to 1."""
    page = browse(looked_at)
    page.emulate_media(media="print", color_scheme=scheme)
    page.set_viewport_size({"width": 816, "height": 1056})
    found = []
    for path in PAGES:
        page.goto(looked_at.base + path)
        count, some, ground = page.evaluate(CONTRAST)
        if count or ground < 0.99:
            found.append((path, count, some, ground))
        assert not page.locator("header.top").is_visible()
    assert found == []


def test_the_keyboard_alone_fills_in_a_fact_and_undoes_it(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/marriage")
    place = f"#{anchor('marriage.place')}"
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == anchor("marriage.place"):
            break
    page.keyboard.press("Control+A")
    page.keyboard.type("Fresno")
    page.keyboard.press("Tab")
    saved(page)
    assert desk.case.value("marriage.place") == "Fresno"
    page.evaluate("document.activeElement.blur()")
    with page.expect_navigation():
        page.keyboard.press("Control+Z")
    assert page.locator(place).input_value() == "Carmel Valley, California"


def test_rows_of_a_spreadsheet_become_assets(desks: Any, browse: Any, middle: Path) -> None:
    desk = desks(middle)
    page = browse(desk)
    page.goto(f"{desk.base}/facts/assets")
    page.locator("details.paste summary").first.click()
    page.locator("details.paste textarea").first.fill(
        "Short name\tKind\tLabel\tValue\nboat\tvehicle\tthe boat\t12,000\n\tvehicle\tthe kayak\tlots\n"
    )
    with page.expect_navigation():
        page.get_by_role("button", name="Add these rows").first.click()
    assert desk.case.value("assets.boat.label") == "the boat"
    assert desk.case.unfinished == {"assets.kayak.value": "lots"}


def test_the_copy_of_a_case_is_left_alone(desks: Any, browse: Any, middle: Path, tmp_path_factory: Any) -> None:
    """Looking at every page writes nothing."""
    desk = desks(middle)
    page = browse(desk)
    before = {p.name: p.read_bytes() for p in middle.iterdir() if p.is_file()}
    for path in PAGES:
        page.goto(desk.base + path)
    assert {p.name: p.read_bytes() for p in middle.iterdir() if p.is_file()} == before
