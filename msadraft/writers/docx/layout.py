"""Measures of the two page layouts: plain paper, and paper with numbered lines.

All measures are twips. On numbered paper every vertical measure is a whole multiple of 240, half of the pitch of
its line numbers, so that type stays level with them (Cal. Rules of Court, rule 2.108).
"""

from __future__ import annotations

from dataclasses import dataclass

from msadraft.writers.docx import xml

FONT = "Times New Roman"
PAGE_WIDTH, PAGE_HEIGHT = 12240, 15840
TEXT_WIDTH = 9360
LINES = 28
PITCH = 480
HALF = 240

# Left edge of the text and width of the number, by level; level 0 is a heading.
LEVELS = {0: (720, 720), 1: (720, 720), 2: (1296, 576), 3: (1944, 648)}
EXHIBIT_HEADING = 1368


@dataclass(frozen=True, slots=True)
class Layout:
    """One of the two layouts. `pleading` is paper with numbered lines."""

    pleading: bool

    def space(self, before: int = 0, after: int = 120, *, single: bool = False) -> str:
        """Give the line spacing of a style: its own spaces on plain paper, whole lines on numbered paper."""
        if self.pleading:
            return xml.spacing(0, 0, HALF if single else PITCH, "exact")
        return xml.spacing(before, after, 240 if single else 264)

    def text_left(self, level: int) -> int:
        """Give the left edge of unnumbered text that belongs to a paragraph of `level` (0: to a section)."""
        return LEVELS[level][0] if level else 0


PLAIN = Layout(pleading=False)
PLEADING = Layout(pleading=True)
