"""Layers of a schedule: the strongest layer that covers an instant decides, and the default parent has the rest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from msadraft.facts.scalars import PartyRole


class Stay(NamedTuple):
    """A stretch of time with one parent, from an instant up to another: which layer gives it, by which fact, called what."""

    first: int
    last: int
    parent: PartyRole
    layer: str
    source: str = ""
    label: str = ""


class Clash(NamedTuple):
    """Two stays of one layer that give the same time to different parents. The one that begins first keeps it."""

    first: int
    last: int
    kept: Stay
    lost: Stay


Gap = tuple[int, int]
"""Time that no parent has, from an instant up to another."""


def settle(stays: Iterable[Stay]) -> tuple[list[Stay], list[Clash]]:
    """Put the stays of one layer in order and apart. Where two overlap, the one that begins first keeps the time.

    An overlap of one parent with itself is no clash. Stays that begin together keep the order in which they came.
    """
    out: list[Stay] = []
    clashes: list[Clash] = []
    for stay in sorted(stays, key=lambda s: s.first):
        if out and stay.first < out[-1].last:
            before = out[-1]
            if before.parent != stay.parent:
                clashes.append(Clash(stay.first, min(stay.last, before.last), before, stay))
            if stay.last <= before.last:
                continue
            stay = stay._replace(first=before.last)
        out.append(stay)
    return out, clashes


def cover(first: int, last: int, layers: Sequence[Sequence[Stay]]) -> tuple[list[Stay], list[Gap]]:
    """Lay layers over the time from `first` up to `last`, strongest first; each is in order and without overlaps.

    Gives the stays that remain, in order and without overlaps, and the gaps that no layer covers. Together they are
    exactly the time asked for.
    """
    open_time: list[Gap] = [(first, last)] if first < last else []
    found: list[Stay] = []
    for layer in layers:
        if not layer or not open_time:
            continue
        left: list[Gap] = []
        n = 0
        for start, end in open_time:
            while n < len(layer) and layer[n].last <= start:
                n += 1
            at, m = start, n
            while m < len(layer) and layer[m].first < end:
                stay = layer[m]
                begins, ends = max(at, stay.first), min(end, stay.last)
                if begins < ends:
                    if at < begins:
                        left.append((at, begins))
                    found.append(stay._replace(first=begins, last=ends))
                    at = ends
                if stay.last > end:
                    break
                m += 1
            n = m
            if at < end:
                left.append((at, end))
        open_time = left
    found.sort(key=lambda s: s.first)
    return found, open_time


def joined(stays: Iterable[Stay]) -> list[Stay]:
    """The stays in order, with neighbours of one parent put together. The layer and label are those of the first."""
    out: list[Stay] = []
    for stay in stays:
        if out and out[-1].parent == stay.parent and out[-1].last == stay.first:
            out[-1] = out[-1]._replace(last=stay.last)
        else:
            out.append(stay)
    return out


def clipped(stays: Iterable[Stay], first: int | None, last: int | None) -> list[Stay]:
    """The parts of stays from `first` on and before `last`; None stands for no limit."""
    out = []
    for stay in stays:
        begins = stay.first if first is None else max(stay.first, first)
        ends = stay.last if last is None else min(stay.last, last)
        if begins < ends:
            out.append(stay._replace(first=begins, last=ends))
    return out
