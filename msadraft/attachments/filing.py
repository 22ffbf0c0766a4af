"""The filing list: which papers go to the court, in how many copies, who signs, in which order and from which day on.

The papers and envelopes are data (`data/packet/`); what the local court adds is the user's own file (`county`). The
days come from the facts and the figures; today is the planned day of signing, never the clock's.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any, Literal, cast

import yaml

from msadraft.attachments.county import CountyProfile, LocalPaper, read_profile
from msadraft.attachments.drafted import Drafted, case_names, packaging_of
from msadraft.attachments.filled import helpers
from msadraft.attachments.form_rules import rulebook
from msadraft.attachments.mail import mail
from msadraft.facts.people import Party
from msadraft.facts.scalars import PartyRole
from msadraft.facts.view import plain
from msadraft.figures.counting import short
from msadraft.figures.figure import Figure
from msadraft.library.environment import holds

Route = Literal["default", "default_with_agreement", "uncontested", "joint", "reserved"]
PaperPlace = Literal["on_file", "file", "attach", "lodge", "serve", "keep"]
Standing = Literal["done", "open", "waits", "overdue", "court"]

ROUTES: Mapping[Route, str] = {
    "default": "Default, without an agreement",
    "default_with_agreement": "Default, with an agreement",
    "uncontested": "Uncontested: both appeared, with an agreement",
    "joint": "Joint petition",
    "reserved": "Judgment on reserved issues, with an agreement",
}
PLACES: Mapping[PaperPlace, str] = {
    "on_file": "In the court file already, or filed with the packet",
    "file": "Filed",
    "attach": "Behind the judgment form",
    "lodge": "Handed in, kept out of the public file",
    "serve": "Served only, not filed",
    "keep": "May be filed; does not have to be",
}
STANDINGS: Mapping[Standing, str] = {
    "done": "Done",
    "open": "Can be done now",
    "waits": "Waits",
    "overdue": "Past its day",
    "court": "By the court",
}
CAUTIONS = (
    "This list is a help, not legal advice. The court's own rules and its clerk prevail; numbers of copies differ.",
    "Standing is as of the day named at the top, from the facts given; nothing here was looked up at the court.",
    "Look at the date at the foot of each form on the day of filing, and use the current printing.",
)
MAIN_PATHS: Mapping[str, Route] = {
    "response_filed": "uncontested",
    "appearance_waiver": "uncontested",
    "default_with_agreement": "default_with_agreement",
    "joint_petition": "joint",
    "reserved_issues": "reserved",
    "default": "default",
}
ROLES: tuple[PartyRole, PartyRole] = ("petitioner", "respondent")


@dataclass(frozen=True, slots=True)
class Paper:
    """One paper. `copies` are made beside the originals; `handed_in` of them go to the clerk with the originals."""

    key: str
    form: str
    title: str
    place: PaperPlace
    originals: int
    copies: int
    handed_in: int
    signers: tuple[str, ...]
    notarized: str
    standing: str
    note: str
    source: str
    local: bool = False

    @property
    def name(self) -> str:
        """Form number and title."""
        return f"{self.form} {self.title}" if self.form else self.title


@dataclass(frozen=True, slots=True)
class Envelope:
    """One stamped envelope. `address` is empty if it has to be written by hand; `why_blank` then says why."""

    key: str
    to: PartyRole
    size: str
    back: str
    purpose: str
    address: tuple[str, ...]
    why_blank: str
    source: str
    local: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step on the way to judgment: not before `earliest`, not after `latest`, done on `done_on`."""

    key: str
    what: str
    done_on: date | None
    earliest: date | None
    latest: date | None
    standing: Standing
    says: str
    counting: str
    source: str


@dataclass(frozen=True, slots=True)
class FilingList:
    """Everything that is filed, served and signed for one case, in order."""

    route: Route
    as_of: date
    papers: tuple[Paper, ...]
    envelopes: tuple[Envelope, ...]
    steps: tuple[Step, ...]
    profile: CountyProfile | None
    cautions: tuple[str, ...]

    @property
    def forms(self) -> tuple[str, ...]:
        """The court forms of the list, each once."""
        return tuple(dict.fromkeys(paper.form for paper in self.papers if paper.form))

    def paper(self, key: str) -> Paper | None:
        """The paper with that key, if it is in the list."""
        return next((paper for paper in self.papers if paper.key == key), None)

    def step(self, key: str) -> Step | None:
        """The step with that key, if the route has it."""
        return next((step for step in self.steps if step.key == key), None)

    @property
    def standing(self) -> str:
        """Where the case stands, in a sentence."""
        done = sum(step.standing == "done" for step in self.steps)
        nexts = [step.what for step in self.steps if step.standing in ("open", "overdue")]
        said = f"As of {short(self.as_of)}, {done} of {len(self.steps)} steps are done."
        return f"{said} Next: {'; '.join(nexts)}." if nexts else said


def filing_list(draft: Drafted, route: Route | None = None) -> FilingList:
    """Give the filing list of a case.

    Args:
        draft: the drafted case.
        route: another route than the one of the case; "default" leaves the agreement out.

    Raises:
        FactsError: the county profile that the case names cannot be used.
    """
    facts, figures = draft.case.facts, draft.figures
    taken = route or MAIN_PATHS[facts.case.path]
    profile = None
    if facts.case.county_profile:
        profile = read_profile(draft.case.path.parent / Path(facts.case.county_profile), facts.case.county)
    names = packet_names(draft, taken)
    notary = _notarized(draft, taken, profile)
    papers = [_paper(entry, draft, names, notary) for entry in _data("papers.yaml") if holds(str(entry["when"]), names)]
    envelopes = [_envelope(entry, draft) for entry in _data("envelopes.yaml") if holds(str(entry["when"]), names)]
    if profile:
        papers = _localized(papers, profile)
        envelopes += [
            replace(
                _envelope({"key": f"local_{n}", "source": profile.source or "", **entry.model_dump()}, draft),
                local=True,
            )
            for n, entry in enumerate(profile.envelopes, 1)
        ]
    return FilingList(
        taken,
        figures.as_of,
        tuple(papers),
        tuple(envelopes),
        tuple(_steps(draft, taken)),
        profile,
        (*CAUTIONS, *_more_cautions(draft, taken, profile)),
    )


def packet_names(draft: Drafted, route: Route) -> dict[str, Any]:
    """The names that conditions of the packet can use."""
    facts = draft.case.facts
    both_waive = all(one.disclosure.final_waived for one in (facts.petitioner, facts.respondent))
    support = facts.child_support
    ordered = support.mode in ("guideline", "above", "below") and bool(support.amount)
    way = packaging(draft) if route != "default" else "forms_only"
    base = case_names(draft)
    decided = {topic for row in draft.map("").rows for topic in row.topics}
    names: dict[str, Any] = {
        **base,
        **helpers(base),
        "topic": lambda *topics: any(topic in decided for topic in topics),
        "worksheet": lambda form: holds(rulebook(route).joins(form), names),
        "route": route,
        "agreed": way != "forms_only",
        "packaging": way,
        "waived": both_waive,
        "orders_support": bool(draft.figures.supported_children.keys) and ordered,
    }
    return names


def packaging(draft: Drafted) -> str:
    """How the terms reach the judgment: agreement_only, hybrid or forms_only."""
    return packaging_of(draft.case.facts.case)


@functools.cache
def _data(name: str) -> tuple[Mapping[str, Any], ...]:
    text = resources.files("msadraft.attachments").joinpath("data", "packet", name).read_text(encoding="utf-8")
    return tuple(yaml.safe_load(text))


# Papers


def _paper(entry: Mapping[str, Any], draft: Drafted, names: Mapping[str, Any], notary: tuple[PartyRole, ...]) -> Paper:
    place = cast(PaperPlace, entry["place"])
    copies = int(entry.get("copies", 2))
    signers = tuple(_signers(entry["signs"], draft))
    agreement = entry["key"] in ("agreement", "agreement_unfiled")
    notarized = f"before a notary: {' and '.join(notary)}" if agreement and notary else ""
    done = [_day(path, names) for path in entry.get("done", ())]
    return Paper(
        str(entry["key"]),
        str(entry.get("form", "")),
        str(entry["title"]),
        place,
        int(entry.get("originals", 1)),
        copies,
        int(entry.get("handed_in", copies)),
        signers,
        notarized,
        _standing_words(place, done, agreement, draft),
        str(entry.get("note", "")),
        str(entry["source"]),
    )


def _day(path: str, names: Mapping[str, Any]) -> date | None:
    value = names[path.split(".")[0]]
    for part in path.split(".")[1:]:
        value = getattr(value, part)
    found = plain(value)
    return found if isinstance(found, date) else None


def _standing_words(place: PaperPlace, done: list[date | None], agreement: bool, draft: Drafted) -> str:
    if agreement:
        unsigned = [role for role in ROLES if not _party(draft, role).signed_on]
        if not unsigned:
            return f"Signed; last on {short(max(day for day in done if day))}"
        return f"Not yet signed by the {' and the '.join(unsigned)}"
    if done and all(done):
        days = " and ".join(dict.fromkeys(short(day) for day in done if day))
        return f"{'Served' if place == 'serve' else 'On file, as of' if place == 'file' else 'Filed'} {days}"
    if place == "serve":
        return "Service is not recorded for every party"
    if place == "on_file":
        return "Filing is not recorded: confirm, or file it with the packet"
    return "To prepare" if place in ("file", "attach", "lodge") else ""


def _signers(given: Iterable[str], draft: Drafted) -> Iterable[str]:
    for who in given:
        if who == "both":
            yield from ROLES
        elif who == "attorneys":
            yield from (f"{role}'s attorney" for role in ROLES if _party(draft, role).representation == "attorney")
        elif who == "counsel":
            advised = ("attorney", "limited_scope")
            yield from (f"{role}'s attorney" for role in ROLES if _party(draft, role).representation in advised)
        elif who == "agency":
            if draft.case.facts.case.child_support_agency and draft.figures.supported_children.keys:
                yield "local child support agency"
        elif who != "nobody":
            yield who


def _notarized(draft: Drafted, route: Route, profile: CountyProfile | None) -> tuple[PartyRole, ...]:
    """Whose signature on the agreement is acknowledged before a notary (Fam. Code § 2338.5(a); local rules)."""
    local = profile.signatures_notarized if profile else None
    if local == "both" or "notary" in draft.case.facts.case.local_requirements:
        return ROLES
    return ("respondent",) if local == "respondent" or route == "default_with_agreement" else ()


def _localized(papers: list[Paper], profile: CountyProfile) -> list[Paper]:
    changed = [
        _as_local(paper, profile.papers[paper.key], profile) if paper.key in profile.papers else paper
        for paper in papers
        if not (paper.key in profile.papers and profile.papers[paper.key].not_needed)
    ]
    known = {str(entry["key"]) for entry in _data("papers.yaml")}
    for key, local in profile.papers.items():
        if key not in known and not local.not_needed:
            blank = Paper(key, "", key.replace("_", " "), "file", 1, 2, 2, (), "", "To prepare", "", "", True)
            changed.append(_as_local(blank, local, profile))
    return changed


def _as_local(paper: Paper, local: LocalPaper, profile: CountyProfile) -> Paper:
    copies = paper.copies if local.copies is None else local.copies
    if local.handed_in is not None:
        handed = local.handed_in
    else:
        handed = copies if local.copies is not None else paper.handed_in
    return replace(
        paper,
        title=local.title or paper.title,
        form=local.form or paper.form,
        place=local.place or paper.place,
        originals=paper.originals if local.originals is None else local.originals,
        copies=copies,
        handed_in=min(handed, copies),
        note=local.note or paper.note,
        source=local.source or profile.source or f"local rules of {profile.county}, as the user read them",
        local=True,
    )


# Envelopes


def _envelope(entry: Mapping[str, Any], draft: Drafted) -> Envelope:
    role = cast(PartyRole, entry["to"])
    names = case_names(draft)
    address = mail(names, names[role])
    back = "The clerk of the court" if entry["back"] == "clerk" else "The sender"
    return Envelope(
        str(entry["key"]),
        role,
        str(entry["size"]),
        back,
        str(entry["purpose"]),
        address.lines,
        address.why_blank,
        str(entry["source"] or ""),
    )


def _party(draft: Drafted, role: PartyRole) -> Party:
    facts = draft.case.facts
    return facts.petitioner if role == "petitioner" else facts.respondent


# Steps


def _steps(draft: Drafted, route: Route) -> Iterable[Step]:
    """The steps in the order of the procedure, each with what it waits for."""
    facts, figures = draft.case.facts, draft.figures
    case, dates, as_of = facts.case, figures.dates, figures.as_of
    petitioner, respondent = facts.petitioner, facts.respondent
    joint, default = route == "joint", route in ("default", "default_with_agreement")
    filed: dict[str, Step] = {}

    def step(
        key: str,
        what: str,
        source: str,
        done: date | None = None,
        *,
        after: tuple[str, ...] = (),
        from_figure: Figure | None = None,
        by_figure: Figure | None = None,
        court: bool = False,
        says: str = "",
    ) -> Step:
        earliest, latest = _value(from_figure), _value(by_figure)
        waiting = [filed[name].what for name in after if name in filed and filed[name].standing != "done"]
        standing, words = _standing(as_of, done, earliest, latest, waiting, court)
        made = Step(
            key, what, done, earliest, latest, standing, f"{words} {says}".strip(),
            _counting(from_figure or (None if done else by_figure)),
            source,
        )  # fmt: skip
        filed[key] = made
        return made

    yield step(
        "petition", "File the joint petition" if joint else "File the petition", "Fam. Code § 2330",
        case.petition_filed_on,
    )  # fmt: skip
    if not joint:
        yield step(
            "service", "Serve the respondent and file the proof of service", "Code Civ. Proc. §§ 412.20, 417.10",
            case.served_on or figures.jurisdiction_on, after=("petition",), by_figure=dates.serve_by,
        )  # fmt: skip
    one_sided = route == "default"
    excused = petitioner.disclosure.preliminary_excused_on
    yield step(
        "first_disclosure_petitioner", "Petitioner serves preliminary disclosure", "Fam. Code § 2104(f)",
        petitioner.disclosure.preliminary_served_on or excused, after=("petition",),
        by_figure=dates.petitioner_disclosure_due, says="The court excused it." if excused else "",
    )  # fmt: skip
    if not one_sided:
        excused = respondent.disclosure.preliminary_excused_on
        yield step(
            "first_disclosure_respondent", "Respondent serves preliminary disclosure", "Fam. Code §§ 2104(f), 2110",
            respondent.disclosure.preliminary_served_on or excused, after=("petition",),
            by_figure=dates.respondent_disclosure_due, says="The court excused it." if excused else "",
        )  # fmt: skip
    if default:
        yield step(
            "response_time", "Let the time to respond run out (30 days after service)", "Fam. Code § 2020",
            _passed(dates.response_due, as_of), after=("service",), from_figure=dates.response_due,
        )  # fmt: skip
        yield step(
            "default", "Ask the clerk to enter default (FL-165)", "Code Civ. Proc. § 585", case.default_entered_on,
            after=("service", "response_time"), from_figure=dates.default_from,
        )  # fmt: skip
    elif route == "uncontested":
        yield step(
            "appearance", "Respondent appears: response (FL-120) or appearance and waivers (FL-130)",
            "Fam. Code § 2020; form FL-182 item 3b", _first(case.response_filed_on, case.appearance_on),
            after=("service",), by_figure=dates.response_due if case.served_on else None,
        )  # fmt: skip
    if not one_sided:
        final = _final_disclosure(draft)
        yield step(
            "final_disclosure", "Both serve final disclosure, or both waive it", "Fam. Code §§ 2105, 2106", final,
            after=("first_disclosure_petitioner", "first_disclosure_respondent"),
        )  # fmt: skip
        signed = petitioner.signed_on and respondent.signed_on and max(petitioner.signed_on, respondent.signed_on)
        notary = " (the respondent before a notary)" if route == "default_with_agreement" else ""
        yield step(
            "signing", f"Both sign the agreement{notary}",
            "Fam. Code § 2338.5(a); Code Civ. Proc. § 664.6" if notary else "Code Civ. Proc. § 664.6",
            signed or None, after=("first_disclosure_petitioner", "first_disclosure_respondent", "final_disclosure"),
        )  # fmt: skip
    before = {
        "default": ("first_disclosure_petitioner", "default"),
        "default_with_agreement": ("signing", "response_time"),
        "uncontested": ("appearance", "signing"),
    }.get(route, ("signing",))
    yield step(
        "packet", "File the packet", "Fam. Code § 2336; Cal. Rules of Court, rule 5.407", None, after=before,
        from_figure=dates.default_from if default else None,
        says="It need not wait for the six months." if case.proceeding == "dissolution" else "",
    )  # fmt: skip
    yield step(
        "judgment", "The court checks the packet and enters judgment", "Cal. Rules of Court, rules 5.407, 5.409", None,
        court=True, says="A packet sent back comes with a list of every defect.",
    )  # fmt: skip
    yield step(
        "notice", "The clerk mails the notice of entry (FL-190)", "Fam. Code § 2338.5(c)", None, court=True,
        says="The times to appeal and to set aside run from here.",
    )  # fmt: skip
    if figures.supported_children.keys:
        yield step(
            "registry", "Each parent hands in FL-191", "Fam. Code § 4014(b)", None, court=False, after=("judgment",),
            says="Ten days after the order.",
        )  # fmt: skip
    if case.proceeding == "dissolution":
        ended = case.status_ended_on
        yield step(
            "status", "Marital status ends, six months at the least after service or first appearance",
            "Fam. Code § 2339", ended, from_figure=dates.status_from, court=not ended,
            says="" if ended else "With the entry of judgment, if that is later.",
        )  # fmt: skip


def _standing(
    as_of: date, done: date | None, earliest: date | None, latest: date | None, waiting: list[str], court: bool
) -> tuple[Standing, str]:
    if done:
        early = f" That is before {short(earliest)}, the first day on which it can be done." if (
            earliest and done < earliest
        ) else ""  # fmt: skip
        return "done", early.strip() if done <= as_of else f"Planned for {short(done)}.{early}"
    if court:
        return "court", f"Not before {short(earliest)}." if earliest else ""
    if waiting:
        return "waits", f"Waits for: {'; '.join(waiting)}."
    if earliest and earliest > as_of:
        return "waits", f"Not before {short(earliest)}."
    if latest and latest < as_of:
        return "overdue", f"Was due by {short(latest)}."
    if latest:
        return "open", f"By {short(latest)}."
    return "open", f"Possible since {short(earliest)}." if earliest else ""


def _value(figure: Figure | None) -> date | None:
    return figure.value if figure and isinstance(figure.value, date) else None


def _passed(figure: Figure | None, as_of: date) -> date | None:
    day = _value(figure)
    return day if day and day < as_of else None


def _first(*days: date | None) -> date | None:
    return min((day for day in days if day), default=None)


def _final_disclosure(draft: Drafted) -> date | None:
    """The day on which the later party served final disclosure, was excused from it, or signed the waiver."""
    days = []
    for role in ROLES:
        given = _party(draft, role).disclosure
        waived = given.final_waived.signed_on if given.final_waived else None
        days.append(given.final_served_on or given.final_excused_on or waived)
    known = [day for day in days if day]
    return max(known) if len(known) == len(ROLES) else None


def _counting(figure: Figure | None) -> str:
    if figure is None:
        return ""
    steps = [f"{step.formula} = {step.result}" for step in figure.steps]
    said = f"{'; '.join(steps)}." if steps else ""
    return " ".join([said[:1].upper() + said[1:], *figure.cautions]).strip()


def _more_cautions(draft: Drafted, route: Route, profile: CountyProfile | None) -> Iterable[str]:
    facts, figures = draft.case.facts, draft.figures
    if profile is None:
        yield (
            f"No profile of {facts.case.county} County is named: copies, envelopes, notary and local forms are the"
            " statewide ones. Ask the clerk, or name a file in case.county_profile."
        )
    elif profile.read_on:
        yield f"The local rules of {profile.county} were read on {short(profile.read_on)}; look again before filing."
    if not facts.case.signing_on:
        yield f"No day of signing is planned, so the list stands as of the last dated event, {short(figures.as_of)}."
    if route == "joint":
        yield "The forms of the joint petition were not read; a few of the forms here may have a joint version."
    if route in ("default", "default_with_agreement") and (facts.case.response_filed_on or facts.case.appearance_on):
        yield "The respondent has come into the case, so default is closed (form FL-165 item 1)."
    if route == "default":
        yield "Without an agreement the court can grant only what the petition asked for (Code Civ. Proc. § 580)."
    if profile and profile.remarks:
        yield from profile.remarks
