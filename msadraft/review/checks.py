"""The clerk's 94 checks before filing, each decided from the findings, the packet and the filing list, or left to the eye.

What each check asks stands in `attachments/data/packet/prefiling.csv`. A check that rests on findings is open while
one of its findings is there. The rest are decided here, one small function each. What no record can tell (a signature,
a local rule, the petition's own words) is named as "still to look at", with the reason.
"""

from __future__ import annotations

import csv
import functools
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib import resources
from typing import Any, Literal

from msadraft.attachments.drafted import Drafted, Found
from msadraft.attachments.filing import MAIN_PATHS, FilingList, Route, filing_list, packet_names
from msadraft.attachments.packet import Packet, WorksheetLine
from msadraft.figures.counting import short
from msadraft.library.environment import holds
from msadraft.review.filing import COVERED, RULE

Outcome = Literal["open", "clear", "eye", "not_here"]

OUTCOMES: Mapping[Outcome, str] = {
    "open": "Open",
    "clear": "In order",
    "eye": "To look at",
    "not_here": "Does not apply here",
}
ORDER: Mapping[str, int] = {"stop": 0, "warn": 1, "note": 2}

OF_PARTY: Mapping[str, str] = {"JC-20": "petitioner.", "JC-22": "respondent."}
"""Checks that concern one party's facts among the findings of a rule about both."""

NO_PACKET = "The worksheets were not made, so this was not looked at."


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One check. `says` is why it stands as it does; `eye` is what a person still has to look at."""

    id: str
    area: str
    what: str
    severity: str
    outcome: Outcome
    says: str
    eye: str
    findings: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class _Check:
    id: str
    area: str
    what: str
    severity: str
    routes: tuple[str, ...]
    when: str
    eye: str
    source: str


Decision = tuple[Outcome, str]


class _Working:
    """One case while its checks are decided."""

    def __init__(self, draft: Drafted, packet: Packet | None, filing: FilingList) -> None:
        self.draft, self.packet, self.filing = draft, packet, filing
        self.facts, self.figures = draft.case.facts, draft.figures

    @cached_property
    def by_rule(self) -> Mapping[str, tuple[Found, ...]]:
        found: dict[str, list[Found]] = {}
        for finding in self.draft.findings:
            found.setdefault(finding.id, []).append(finding)
        return {name: tuple(group) for name, group in found.items()}

    def line(self, form: str, item: str) -> WorksheetLine | None:
        return self.packet.line(form, item) if self.packet else None

    def marked(self, form: str, item: str) -> bool:
        line = self.line(form, item)
        return line is not None and line.box in ("check", "write")

    def has(self, form: str) -> bool:
        return form in self.filing.forms or bool(self.packet and form in self.packet.forms)


def check_table(draft: Drafted, packet: Packet | None = None, route: Route | None = None) -> tuple[CheckLine, ...]:
    """Give all 94 checks for a case, in order.

    Args:
        draft: the drafted case.
        packet: its worksheets; without them the checks that need them are left to the eye.
        route: another route than the one of the case.

    Raises:
        FactsError: the county profile that the case names cannot be used.
    """
    taken = route or MAIN_PATHS[draft.case.facts.case.path]
    working = _Working(draft, packet, filing_list(draft, taken))
    names = packet_names(draft, taken)
    return tuple(_decided(check, working, names) for check in _checks())


@functools.cache
def _checks() -> tuple[_Check, ...]:
    file = resources.files("msadraft.attachments").joinpath("data", "packet", "prefiling.csv")
    rows = csv.DictReader(file.read_text(encoding="utf-8").splitlines(), strict=True)
    return tuple(
        _Check(
            row["id"], row["area"], row["what"], row["severity"], tuple(row["routes"].split()), row["when"],
            row["eye"], row["source"],
        )
        for row in rows
    )  # fmt: skip


def _decided(check: _Check, working: _Working, names: dict[str, Any]) -> CheckLine:
    def line(outcome: Outcome, says: str, eye: str = "", findings: Iterable[Found] = ()) -> CheckLine:
        kept = tuple(findings)
        gravest = min((f.severity for f in kept), key=lambda s: ORDER[s], default=check.severity)
        return CheckLine(
            check.id, check.area, check.what, gravest, outcome, says, eye, tuple(f.id for f in kept), check.source
        )

    if check.routes != ("any",) and working.filing.route not in check.routes:
        return line("not_here", "Not on this route.")
    if not holds(check.when, names):
        return line("not_here", "Nothing in this case calls for it.")
    rules = (*RULE.get(check.id, ()), *COVERED.get(check.id, ()))
    prefix = OF_PARTY.get(check.id, "")
    found = [f for rule in rules for f in working.by_rule.get(rule, ()) if f.path.startswith(prefix)]
    if found:
        says = " ".join(dict.fromkeys(f.message for f in found))
        return line("open", says, check.eye, found)
    if check.id in DECIDERS:
        outcome, says = DECIDERS[check.id](working)
        return line(outcome, says, check.eye if outcome != "eye" else check.eye or says)
    if check.id in EYE:
        return line("eye", "", check.eye)
    return line("clear", "The review found nothing.", check.eye)


# The checks that rest on the packet and the filing list


def _jurisdiction(w: _Working) -> Decision:
    day, case = w.figures.jurisdiction_on, w.facts.case
    if day is None:
        return "open", "No day of service or appearance is known."
    served = day == case.served_on and case.service_method != "appearance"
    if w.packet is None:
        return "eye", NO_PACKET
    right, wrong = ("3a", "3b") if served else ("3b", "3a")
    if not w.marked("FL-180", right) or w.marked("FL-180", wrong):
        return "open", f"The worksheet of FL-180 does not mark {right} alone."
    return "clear", f"{short(day)}, {'service' if served else 'appearance'}: box {right}."


def _why_no_forms(w: _Working) -> Decision:
    if w.filing.route == "default":
        named = [form for form in ("FL-150", "FL-160") if w.has(form)]
        return (
            "eye",
            f"Without an agreement the forms are attached, or the reason is marked: {', '.join(named) or 'none is listed'}.",
        )
    if w.packet is None:
        return "eye", NO_PACKET
    if w.marked("FL-165", "2-reasons"):
        return "clear", "The worksheet of FL-165 marks the written agreement."
    return "open", "The worksheet of FL-165 marks no reason."


def _status_days(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    items = (("FL-180", "title-e"), ("FL-180", "4a(1)"), ("FL-190", "status-box"))
    lines = [line for line in (w.line(*item) for item in items) if line is not None]
    dated = [line.item for line in lines if any(str(year) in line.answer for year in range(2000, 2100))]
    if not dated:
        asked = w.filing.profile is not None and w.filing.profile.status_date_proposed
        return ("open" if asked else "clear"), (
            "The county asks for a proposed day, and the worksheets leave it blank."
            if asked
            else "The worksheets leave the day to the court everywhere."
        )
    if len(dated) < len(lines):
        return "open", f"A day stands in item {', '.join(dated)} and is left out elsewhere."
    return "clear", "The worksheets give one day everywhere."


def _kind(w: _Working) -> Decision:
    return "clear", f"All forms are made for one kind: {w.facts.case.proceeding.replace('_', ' ')}."


def _disclosure_box(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    marked = [item for item in ("5a", "5b", "5c", "5d") if w.marked("FL-170", item)]
    if len(marked) != 1:
        return "open", f"The worksheet of FL-170 marks {' and '.join(marked) or 'no box'} in item 5."
    both_waive = all(one.disclosure.final_waived for one in (w.facts.petitioner, w.facts.respondent))
    published = w.facts.case.service_method in ("publication", "posting")
    alone = "5c" if published else "5b"
    wanted = alone if w.filing.route == "default" else "5d" if both_waive else "5a"
    if marked != [wanted]:
        return "open", f"The worksheet of FL-170 marks {marked[0]}; this route calls for {wanted}."
    return "clear", f"The worksheet of FL-170 marks {wanted}."


def _no_sole_waiver(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    marked = [who for who in ("petitioner", "respondent") if w.marked(f"FL-141, {who}", "4c")]
    return ("open", "The worksheet of FL-141 marks 4c.") if marked else ("clear", "FL-141 item 4c is left alone.")


def _not_filed(w: _Working) -> Decision:
    filed = [p.name for p in w.filing.papers if p.form in ("FL-140", "FL-142") and p.place != "serve"]
    return ("open", f"Listed for filing: {'; '.join(filed)}.") if filed else ("clear", "The list serves them only.")


def _pointers(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    lines = [(s, line) for s in w.packet.worksheets for line in s.lines if line.ids]
    lost = [f"{s.name} {line.item}" for s, line in lines if not all(i in w.draft.numbering for i in line.ids)]
    if lost:
        return "open", f"Pointers that lead nowhere: {', '.join(lost)}."
    if w.packet.uncovered:
        return "open", f"Decided in the agreement, and on no form: {', '.join(w.packet.uncovered)}."
    return "clear", f"{len(lines)} pointers, each to a paragraph on its topic."


def _same_values(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    stops = [f"{s.name}{f' item {line.item}' if line else ''}: {r.says}" for s, line, r in w.packet.stops]
    if stops:
        return "open", " ".join(stops)
    if w.figures.true_default:
        return "clear", "All worksheets are filled in from the same facts."
    return "clear", "All worksheets are filled in from the facts that the agreement was made from."


def _pages(w: _Working) -> Decision:
    line = w.line("FL-180", "5")
    if line is None:
        return "eye", NO_PACKET
    said = line.answer.replace("\n", "; ")
    return ("clear", said) if line.answer.startswith("In all") else ("eye", f"{said or 'Not counted'}.")


def _judge_place(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    stipulated, marked = w.facts.case.agreement_kind == "stipulated_judgment", w.marked("FL-180", "sig-1")
    if stipulated != marked:
        return "open", "The box for a signature on the last attachment does not fit the paper."
    return "clear", "The judge signs on the last attachment." if stipulated else "The judge signs on FL-180."


def _left_for_violence(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    if not w.has("FL-341"):
        return "clear", "FL-341 is not in the packet."
    marked = [item for item in ("7", "9b") if w.marked("FL-341", item)]
    return ("open", f"Marked: {', '.join(marked)}.") if marked else ("clear", "Both are left alone.")


def _custody_pages(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    if not w.has("FL-341"):
        return "clear", "FL-341 is not in the packet."
    for item, page in (("5", "FL-341(B)"), ("9a", "FL-341(A)")):
        if w.marked("FL-341", item) != (page in w.packet.forms):
            return "open", f"FL-341 item {item} and {page} do not go together."
    return "clear", "Box and page go together."


def _parent_class(w: _Working) -> Decision:
    asked = w.filing.profile.parent_class if w.filing.profile else None
    if asked is None:
        return "eye", ""
    return ("eye", "The profile says that the county asks for it.") if asked else ("clear", "The county does not ask.")


def _listed(key: str, says: str) -> Callable[[_Working], Decision]:
    def decide(w: _Working) -> Decision:
        paper = w.filing.paper(key)
        return ("clear", says) if paper else ("open", "It is not in the filing list.")

    return decide


def _registry(w: _Working) -> Decision:
    paper = w.filing.paper("registry")
    if paper is None or paper.originals < 2 or paper.place != "lodge":
        return "open", "The filing list does not hand in one form of each parent outside the public file."
    return "clear", "The list has one for each parent, kept out of the public file."


def _orders_support(w: _Working) -> bool:
    support = w.facts.child_support
    return bool(support.amount) and support.mode in ("guideline", "above", "below")


def _withholding(w: _Working) -> Decision:
    if not _orders_support(w):
        return "clear", "No sum is ordered, so there is nothing to withhold."
    return _listed("wage_order", "It is in the list.")(w)


def _one_vehicle(w: _Working) -> Decision:
    if w.has("FL-350"):
        return "open", "FL-350 is in the packet beside the agreement."
    where = "the attachments" if w.figures.true_default else "the agreement and its attachments"
    return "clear", f"Support stands in {where}."


def _support_forms(w: _Working) -> Decision:
    missing = [k for k in ("support_declaration", "income_declaration") if not w.filing.paper(k)]
    relief = w.facts.case.petition_relief
    asked = {"spousal_support_to_petitioner", "end_spousal_support_to_respondent"} & set(relief)
    if not asked and not w.figures.long_marriage:
        return "clear", "No support is asked for, none is to end, and the marriage was short."
    return ("open", "FL-157 or FL-150 is not in the list.") if missing else ("clear", "FL-157 and FL-150 are listed.")


def _judgment_item(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    if not w.has("FL-343"):
        return "clear", "FL-343 is not in the packet."
    marked = [s for s in ("1", "1a", "1b") if w.marked("FL-343", s)]
    return ("open", "Item 1 is marked.") if marked else ("clear", "Item 1 is left alone.")


def _support_vehicle(w: _Working) -> Decision:
    forms = [p.form for p in (w.filing.paper("wage_order"), w.filing.paper("spousal_wage_order")) if p]
    if w.packet:
        sheets = [form for form in ("FL-195", "FL-435") if form in w.packet.forms]
        if sheets != forms:
            return (
                "open",
                f"The list has {' and '.join(forms) or 'none'}, the worksheets {' and '.join(sheets) or 'none'}.",
            )
    if len(forms) == 2:
        return "clear", "Both forms are listed, because each spouse pays the other something."
    return "clear", f"The list has {forms[0]}." if forms else "No withholding order is needed."


def _no_temporary(w: _Working) -> Decision:
    return ("open", "FL-344 is in the packet.") if w.has("FL-344") else ("clear", "It is not there.")


def _copies(w: _Working) -> Decision:
    judgment, agreement = w.filing.paper("judgment"), w.filing.paper("agreement")
    said = f"Judgment: original and {judgment.handed_in} copies." if judgment else ""
    if agreement:
        said += (
            f" Agreement: signed original and {agreement.copies} copies, of which the original and"
            f" {agreement.handed_in} are filed."
        )
    local = [paper for paper in (judgment, agreement) if paper and paper.local]
    return ("clear" if local else "eye"), f"{said} {'As the county profile says.' if local else ''}".strip()


def _envelopes(w: _Working) -> Decision:
    large = [e for e in w.filing.envelopes if e.size == "large"]
    blank = [f"{e.to}: {e.why_blank}" for e in large if not e.address]
    if {e.to for e in large} != {"petitioner", "respondent"}:
        return "open", "The list does not have one for each spouse."
    if blank:
        return "open", f"No address yet. {' '.join(blank)}"
    return "clear", "Two are listed, each with its address."


def _default_envelope(w: _Working) -> Decision:
    if w.facts.case.default_entered_on:
        return "clear", "Default was entered already."
    found = [e for e in w.filing.envelopes if e.key == "default_respondent"]
    if not found:
        return "open", "It is not in the list."
    return ("clear", "It is in the list.") if found[0].address else ("open", f"No address yet. {found[0].why_blank}")


def _printings(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    shown = "; ".join(f"{form} {revision}" for form, revision in _revisions(w.packet))
    counts = Counter(line.confidence for s in w.packet.worksheets for line in s.lines)
    sure = ", ".join(f"{counts[name]} {name}" for name in ("confirmed", "single", "memory"))
    return "eye", f"Printings used: {shown}. Lines: {sure}."


def _revisions(packet: Packet) -> Iterable[tuple[str, str]]:
    return dict.fromkeys((sheet.form, sheet.revision) for sheet in packet.worksheets)


def _local_forms(w: _Working) -> Decision:
    if w.filing.profile is None:
        return "eye", ""
    local = [paper.name for paper in w.filing.papers if paper.local]
    return "clear", f"The county profile adds or changes: {', '.join(local) or 'nothing'}."


def _no_hearing(w: _Working) -> Decision:
    if w.packet is None:
        return "eye", NO_PACKET
    if w.marked("FL-180", "2-decl"):
        return "clear", "The worksheet of FL-180 asks for judgment on declarations."
    return "open", "The worksheet of FL-180 does not mark judgment on declarations."


def _addresses_of_notice(w: _Working) -> Decision:
    if w.packet is None:
        return "clear", "The review found nothing."
    date_line = w.line("FL-190", "entry-date")
    if date_line is not None and date_line.box in ("check", "write"):
        return "open", "The worksheet of FL-190 fills in the day of entry."
    return "clear", "Both addresses are known, and the day of entry stays blank."


def _no_blank(w: _Working) -> Decision:
    if not w.figures.true_default:
        return "clear", "The review found nothing."
    if w.packet is None:
        return "eye", NO_PACKET
    blank = [f"{s.name} {line.item}" for s in w.packet.worksheets for line in s.lines if line.missing]
    return ("open", f"Not known yet: {', '.join(blank)}.") if blank else ("clear", "No worksheet has a blank.")


def _agreement_day(w: _Working) -> Decision:
    return "clear", "The forms take the day from the same fact as the agreement."


DECIDERS: Mapping[str, Callable[[_Working], Decision]] = {
    "JC-06": _jurisdiction,
    "JC-13": _why_no_forms,
    "JC-17": _status_days,
    "JC-19": _kind,
    "JC-25": _disclosure_box,
    "JC-26": _no_sole_waiver,
    "JC-28": _not_filed,
    "JC-36": _no_blank,
    "JC-37": _pointers,
    "JC-38": _same_values,
    "JC-41": _pages,
    "JC-42": _judge_place,
    "JC-43": _agreement_day,
    "JC-49": _left_for_violence,
    "JC-50": _custody_pages,
    "JC-52": _parent_class,
    "JC-61": _listed("support_notice", "It is in the list, behind the judgment."),
    "JC-62": _registry,
    "JC-63": _withholding,
    "JC-64": _one_vehicle,
    "JC-69": _support_forms,
    "JC-72": _judgment_item,
    "JC-73": _support_vehicle,
    "JC-83": _no_temporary,
    "JC-86": _addresses_of_notice,
    "JC-87": _copies,
    "JC-88": _envelopes,
    "JC-89": _default_envelope,
    "JC-90": _printings,
    "JC-91": _local_forms,
    "JC-93": _no_hearing,
}
"""Checks that the packet and the filing list decide, after the findings had their say."""

EYE = ("JC-04", "JC-07", "JC-10", "JC-44", "JC-85", "JC-92", "JC-94")
"""Checks that no record can decide."""


def counts(lines: Iterable[CheckLine]) -> Mapping[Outcome, int]:
    """How many checks stand in each way."""
    found = Counter(line.outcome for line in lines)
    return {outcome: found[outcome] for outcome in OUTCOMES}
