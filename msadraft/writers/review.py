"""The findings as a page to read: Markdown for the round folder, plain lines for the screen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from msadraft.facts.problems import Place
from msadraft.review.base import Finding

TITLES = {"stop": "Stops signing", "warn": "Needs a recorded reason", "note": "Worth knowing"}
CAUTION = (
    "This is a drafting aid, not legal advice. Local rules and the current official forms prevail. "
    "Support amounts are not a certified computation (Cal. Rules of Court, rule 5.275)."
)


def write_review(findings: Sequence[Finding], place: Callable[[str], Place], mark: str) -> str:
    """Give the review as Markdown, sorted by what stops signing."""
    lines = ["# Review", "", mark, "", _summary(findings), ""]
    for severity, title in TITLES.items():
        found = [f for f in findings if f.severity == severity]
        if not found:
            continue
        lines += [f"## {title} ({len(found)})", ""]
        for f in found:
            where = place(f.path)
            lines += [
                f"- **{f.message}** `{f.id}`",
                f"  - where: `{where.file}` line {where.line}, `{f.path}`",
                f"  - why: {f.why} ({f.source})",
                f"  - mend: {f.mend}",
            ]
        lines.append("")
    return "\n".join([*lines, CAUTION, ""])


def screen_lines(findings: Sequence[Finding], place: Callable[[str], Place]) -> list[str]:
    """Give the findings as lines for a terminal."""
    lines: list[str] = []
    for f in findings:
        where = place(f.path)
        lines += [
            f"{f.severity:<4}  {where.file}:{where.line}  {f.path}",
            f"      {f.message}",
            f"      why:  {f.why} ({f.source})",
            f"      mend: {f.mend}",
            f"      [{f.id}]",
            "",
        ]
    return [*lines, _summary(findings)]


def review_data(findings: Sequence[Finding], place: Callable[[str], Place]) -> list[dict[str, Any]]:
    """Give the findings as plain data, each with its file and line."""
    return [
        {
            "id": f.id,
            "severity": f.severity,
            "path": f.path,
            "file": place(f.path).file,
            "line": place(f.path).line,
            "message": f.message,
            "why": f.why,
            "source": f.source,
            "mend": f.mend,
        }
        for f in findings
    ]


def _summary(findings: Sequence[Finding]) -> str:
    counts = {severity: sum(f.severity == severity for f in findings) for severity in TITLES}
    if not findings:
        return "Nothing found."
    return f"{counts['stop']} stop, {counts['warn']} warn, {counts['note']} note."
