"""Where the entries of a facts file stand in its text, and how lines of it are put in, taken out and reordered.

A document knows only text and YAML nodes; what may be changed, and whether it came out as meant, `edit` decides.
Positions count characters. Line ends are single line feeds here.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from msadraft.facts.written import block_lines, block_scalar, flow_text, key_text, reader_of, scalar_text
from msadraft.facts.yaml_tree import Tree

_COMMENT = re.compile(r" *#")
_LONG_LINE = 120


class CannotEditError(ValueError):
    """The text does not allow the change; says why, as a sentence."""


@dataclass(slots=True)
class Entry:
    """One entry of a group, map or list.

    Attributes:
        key: its key; None in a list.
        start: where its key, its dash, or (in brackets) its value begins.
        end: where the last sign of its value ends.
        node: its value.
        key_end: where its key ends; in a list, the end of the dash.
    """

    key: str | None
    start: int
    end: int
    node: Any
    key_end: int


Step = tuple[Entry | None, Any]
"""An entry on the way to a path, and its node; the whole document has no entry."""


class Document:
    """The text of a facts file, with its nodes, or with those of one entry alone.

    Args:
        part: where the lines of the entry begin and end, and how many keys its path has. The entry stands in block
            style at the beginning of a line; nothing outside it can be changed then. None for the whole file.
    """

    def __init__(self, text: str, part: tuple[int, int, int] | None = None) -> None:
        import yaml

        self.text = text
        self._shift, end, self._depth = part or (0, len(text), 1)
        root = yaml.compose(
            text[self._shift : end].replace("\t", " "), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        )
        self.root: Any = None if root is None or self._is_nothing(root) else root

    # --- where things stand ---

    @staticmethod
    def _is_nothing(node: Any) -> bool:
        return bool(node.id == "scalar" and not node.style and node.value in ("", "~", "null"))

    def start_of(self, node: Any) -> int:
        """Where a node begins."""
        return self._shift + int(node.start_mark.index)

    def _mark_after(self, node: Any) -> int:
        return self._shift + int(node.end_mark.index)

    def end_of(self, node: Any) -> int:
        """Where the last sign of a node ends (the end marks of blocks lie beyond it)."""
        while node.id != "scalar" and not node.flow_style:
            node = node.value[-1]
            node = node[1] if isinstance(node, tuple) else node
        start, end = self.start_of(node), self._mark_after(node)
        if node.id == "scalar" and node.style in ("|", ">"):
            raw = self.text[start:end]
            kept = "+" in raw.split("\n", 1)[0].partition("#")[0]
            return start + len(raw.removesuffix("\n") if kept else raw.rstrip())
        return end

    def entries(self, node: Any) -> list[Entry]:
        """The entries of a group, map or list, in the order of the file."""
        found = []
        if node.id == "mapping":
            for key, value in node.value:
                end = max(self.end_of(value), self._mark_after(key))
                found.append(Entry(key.value, self.start_of(key), end, value, self._mark_after(key)))
        elif node.flow_style:
            for value in node.value:
                start = self.start_of(value)
                found.append(Entry(None, start, self.end_of(value), value, start))
        else:
            dash = self.start_of(node)
            for value in node.value:
                if found:
                    at = self.next_content(self.line_end(found[-1].end))
                    dash = self.text.index("-", at)
                found.append(Entry(None, dash, max(self.end_of(value), dash + 1), value, dash + 1))
        return found

    def line_start(self, at: int) -> int:
        """Where the line of a position begins."""
        return self.text.rfind("\n", 0, at) + 1

    def line_end(self, at: int) -> int:
        """Where the line after the one of a position begins, or the end of the text."""
        found = self.text.find("\n", at)
        return len(self.text) if found < 0 else found + 1

    def column(self, at: int) -> int:
        """How many signs stand before a position on its line."""
        return at - self.line_start(at)

    def next_content(self, at: int) -> int:
        """Where the next line begins, from the beginning of a line on, that is neither blank nor a comment."""
        while at < len(self.text):
            end = self.line_end(at)
            line = self.text[at:end]
            if line.strip() and not _COMMENT.match(line):
                return at
            at = end
        return at

    def is_inline(self, entry: Entry) -> bool:
        """Whether something else stands before the entry on its line: the dash of the list entry that it is in."""
        return bool(self.text[self.line_start(entry.start) : entry.start].strip())

    def first(self, entry: Entry) -> int:
        """Where the entry begins with the comments directly above it; for an entry behind a dash, its key.

        What stands at the head of the file explains the file. A line with one # under lines with ## is a fact that
        was switched off, and belongs to itself.
        """
        if self.is_inline(entry):
            return entry.start
        own = self.line_start(entry.start)
        lead = re.compile(" " * (entry.start - own) + "#(#?)")
        at, kind = own, None
        while at > 0:
            above = self.line_start(at - 1)
            found = lead.match(self.text, above)
            if not found or (kind is not None and found.group(1) != kind):
                break
            at, kind = above, found.group(1)
        return own if at == 0 else at

    def after(self, entry: Entry) -> int:
        """Where the line after the entry begins; comments that are indented deeper belong to it."""
        column = self.column(entry.start)
        at = look = self.line_end(entry.end)
        while look < len(self.text):
            end = self.line_end(look)
            line = self.text[look:end]
            if line.strip():
                if not _COMMENT.match(line) or len(line) - len(line.lstrip(" ")) <= column:
                    break
                at = end
            look = end
        return at

    def chain(self, parts: Sequence[str]) -> list[Step]:
        """The entries on the way to a path, as far as they exist; the first is the whole document.

        What lies around a single entry, if only that was read, is given as the whole document too.
        """
        found: list[Step] = [(None, self.root)] * self._depth
        for part in parts[self._depth - 1 :]:
            node = found[-1][1]
            if node is None or node.id == "scalar":
                break
            if node.id == "sequence":
                inside = self.entries(node)
                if not part.isdecimal() or int(part) >= len(inside):
                    break
                entry = inside[int(part)]
            else:
                pair = next((pair for pair in node.value if pair[0].value == part), None)
                if pair is None:
                    break
                key, value = pair
                end = max(self.end_of(value), self._mark_after(key))
                entry = Entry(part, self.start_of(key), end, value, self._mark_after(key))
            found.append((entry, entry.node))
        return found

    # --- new text ---

    def _joined(self, at: int, lines: Sequence[str], above: bool, below: bool) -> str:
        """The text with whole lines put in at the beginning of a line, set off by blank lines if wished."""
        before, behind = self.text[:at], self.text[at:]
        if before and not before.endswith("\n"):
            before += "\n"
        body = "\n".join(lines) + "\n"
        if above and before.strip() and not before.endswith("\n\n") and before != "\n":
            body = "\n" + body
        if below and behind.strip() and not behind.startswith("\n"):
            body += "\n"
        return before + body + behind

    def _switched_off(self, at: int, column: int, key: str) -> int | None:
        """Where the line after `# key:` begins, if that stands among the comments that follow a position."""
        end = self.next_content(at)
        off = " " * column + "# "
        pattern = f"^{off}{re.escape(key)}:.*\n?(?:{off}  .*\n?)*"
        found = re.compile(pattern, re.MULTILINE).search(self.text, at, end)
        return found.end() if found else None

    def with_value(self, chain: list[Step], value: str | None, path: str) -> str:
        """The text with another single value for the last entry of a chain."""
        entry, node = chain[-1]
        if entry is None or node.id != "scalar":
            raise CannotEditError("There is a group or a list here, not a single value.")
        flow = any(above.flow_style for _, above in chain[:-1])
        start, end = self.start_of(node), entry.end
        old = self.text[start:end]
        style = old[:1] if node.style else ""
        comment = ""
        if style in ("|", ">") and style:
            head = re.search(r"\s+#.*", old.split("\n", 1)[0])
            comment = head.group() if head else ""
        new: list[str] | None = None
        parent = entry.start if entry.key is not None or not chain[-2][1].flow_style else start
        if value is not None and not flow and style != '"':
            column = self.column(parent) + 2
            if "\n" in value:
                new = block_scalar(value, column)
            elif style == ">" and len(value) + column > _LONG_LINE:
                new = block_scalar(value, column, folded=True)
        if new is None:
            new = [scalar_text(value, "" if value is None else style, flow, reader_of(path))]
        behind = self.text[end:]
        if len(new) > 1:
            rest = behind.split("\n", 1)[0]
            if rest.strip():
                comment, behind = rest.rstrip(), behind[len(rest) :]
            elif rest:
                behind = behind[len(rest) :]
        made = "\n".join([new[0] + comment, *new[1:]])
        before = self.text[:start]
        if start == end and made and not before.endswith((" ", "\n")):
            made = " " + made
        if not made:
            before = before.rstrip(" ")
        return before + made + behind

    def with_new(self, chain: list[Step], index: int, key: str | None, value: Tree, path: str) -> str:
        """The text with a new entry in the last node of a chain.

        Args:
            index: before which entry it comes.
            key: its key; None in a list.
            path: of the new entry.
        """
        holder, node = chain[-1]
        head = "-" if key is None else f"{key_text(key)}:"
        if node is None:
            body = block_lines(head, value, 0, path)
            return self._joined(len(self.text), body, True, False)
        in_flow = any(above is not None and above.flow_style for _, above in chain[:-1])
        if node.id == "scalar" or not node.value:
            return self._first_inside(holder, node, in_flow, key, value, path)
        entries = self.entries(node)
        if node.flow_style:
            one = flow_text(value, path)
            one = one if key is None else f"{head} {one}"
            if index:
                at = entries[index - 1].end
                return f"{self.text[:at]}, {one}{self.text[at:]}"
            at = entries[0].start
            return f"{self.text[:at]}{one}, {self.text[at:]}"
        column = self.column(entries[0].start)
        if key is None and isinstance(value, dict) and entries[-1].node.id == "mapping" and entries[-1].node.flow_style:
            lines = [f"{' ' * column}- {flow_text(value, path)}"]
        else:
            lines = block_lines(head, value, column, path)
        if index == 0 and self.is_inline(entries[0]):
            at = entries[0].start
            return self.text[:at] + "\n".join([*lines, ""]).lstrip(" ") + " " * column + self.text[at:]
        apart = holder is None or self._are_apart(entries)
        if index == 0:
            return self._joined(self.first(entries[0]), lines, False, apart)
        at = self.after(entries[index - 1])
        off = None if key is None else self._switched_off(at, column, key)
        if off is not None:
            return self._joined(off, lines, False, False)
        return self._joined(at, lines, apart, apart and index < len(entries))

    def with_more(self, chain: list[Step], more: Sequence[tuple[str | None, Tree]], path: str) -> str:
        """The text with several entries behind the last one of a group or list that holds some already.

        Args:
            more: their keys (None in a list) and what stands in them.
            path: of the group or list.
        """
        node = chain[-1][1]
        entries = self.entries(node)
        shown = [(key, value, f"{path}.{key or '0'}") for key, value in more]
        if node.flow_style or any(above is not None and above.flow_style for _, above in chain[:-1]):
            at = entries[-1].end
            made = (flow_text(v, p) if k is None else f"{key_text(k)}: {flow_text(v, p)}" for k, v, p in shown)
            return self.text[:at] + "".join(f", {one}" for one in made) + self.text[at:]
        column = self.column(entries[0].start)
        apart = self._are_apart(entries)
        lines: list[str] = []
        for key, value, at_path in shown:
            lines += [""] if apart and lines else []
            lines += block_lines("-" if key is None else f"{key_text(key)}:", value, column, at_path)
        return self._joined(self.after(entries[-1]), lines, apart, False)

    def _are_apart(self, entries: Sequence[Entry]) -> bool:
        """Whether blank lines stand between the last two entries."""
        if len(entries) < 2:
            return False
        gap = self.text[self.after(entries[-2]) : self.first(entries[-1])]
        return gap.startswith("\n")

    def _first_inside(
        self, holder: Entry | None, node: Any, in_flow: bool, key: str | None, value: Tree, path: str
    ) -> str:
        """The text with the first entry of a group that holds nothing yet."""
        if node.id == "scalar" and not self._is_nothing(node):
            raise CannotEditError("There is a single value in the place of the group.")
        start, end = self.start_of(node), self._mark_after(node)
        if in_flow or holder is None:
            made = (
                flow_text([value], path.rpartition(".")[0])
                if key is None
                else flow_text({key: value}, path.rpartition(".")[0])
            )
            lead = "" if start < end or self.text[start - 1 : start] in (" ", "") else " "
            return self.text[:start] + lead + made + self.text[end:]
        base = self.column(holder.start)
        if self.text[start:end]:
            # An empty pair of brackets, or a sign for nothing: a group below takes its place.
            text = self.text[:start].rstrip(" ") + self.text[end:]
            end = holder.key_end if holder.key is None else text.index(":", holder.key_end) + 1
        else:
            text = self.text
        head = "-" if key is None else f"{key_text(key)}:"
        if key is None and not isinstance(value, dict | list):
            # A first plain value of a list begins the list on the same line.
            made = f" {flow_text([value], path.rpartition('.')[0])}"
            return text[:end] + made + text[end:]
        lines = block_lines(head, value, base + 2, path)
        if holder.key is None:
            rest = text[end:].split("\n", 1)[0]
            if not rest.strip():
                behind = text[end + len(rest) :]
                return text[:end] + " " + "\n".join(lines).lstrip(" ") + behind
        other = Document("")
        other.text = text
        at = other.line_end(end)
        off = None if key is None else other._switched_off(at, base + 2, key)
        return other._joined(at if off is None else off, lines, False, False)

    def with_list(self, chain: list[Step], values: Sequence[str], path: str) -> str:
        """The text with a list of plain values instead of the last node of a chain: nothing, or another such list."""
        entry, node = chain[-1]
        start, end = self.start_of(node), self.end_of(node)
        if entry is None or node.id == "mapping" or (node.id == "scalar" and not self._is_nothing(node)):
            raise CannotEditError("There is something else than a list here.")
        wanted: Tree = list(values)
        in_flow = any(above.flow_style for _, above in chain[:-1])
        if node.id == "sequence" and not node.flow_style:
            return self._cleared(entry, " []")
        if in_flow or (node.id == "sequence" and node.value) or not values or entry.key is None:
            lead = " " if start == end and self.text[start - 1 : start] != " " else ""
            return self.text[:start] + lead + flow_text(wanted, path) + self.text[end:]
        head = self.text[entry.start : start].rstrip(" ")
        lines = block_lines(head, wanted, self.column(entry.start), path)
        rest = self.text[end:].split("\n", 1)[0]
        first = lines[0].lstrip(" ") + (" " + rest.strip() if rest.strip() else "")
        made = "\n".join([first, *lines[1:]])
        return self.text[: entry.start] + made + self.text[end + len(rest) :]

    def with_nothing(self, chain: list[Step]) -> str:
        """The text with the last entry of a chain emptied: its key stays, with nothing behind the colon."""
        entry, node = chain[-1]
        assert entry is not None
        if node.flow_style or any(above.flow_style for _, above in chain[:-1]):
            start, end = self.start_of(node), self.end_of(node)
            empty = "~" if any(above.flow_style for _, above in chain[:-1]) else ""
            before = self.text[:start] if empty else self.text[:start].rstrip(" ")
            return before + empty + self.text[end:]
        return self._cleared(entry, "")

    def _cleared(self, entry: Entry, value: str) -> str:
        """The text with only the first line of an entry in block style, and a value on it."""
        colon = self.text.index(":", entry.key_end) + 1
        at, end = self.line_end(colon), self.after(entry)
        return self.text[:colon] + value + self.text[colon:at] + self.text[end:]

    # --- taking out, copying, moving ---

    def without(self, chain: list[Step]) -> str:
        """The text without the last entry of a chain, which is not the only one in its group."""
        entry, _ = chain[-1]
        assert entry is not None
        _, node = chain[-2]
        entries = self.entries(node)
        index = next(n for n, other in enumerate(entries) if other.start == entry.start)
        if node.flow_style:
            if len(entries) == 1:
                return self.text[: entry.start] + self.text[entry.end :]
            if index:
                return self.text[: entries[index - 1].end] + self.text[entry.end :]
            return self.text[: entry.start] + self.text[entries[1].start :]
        at, end = self.first(entry), self.after(entry)
        if self.is_inline(entry) and len(entries) > 1:
            following = entries[1].start
            if not self.text[end:following].strip():
                return self.text[:at] + self.text[following:]
            return self.text[:at].rstrip(" ") + "\n" + self.text[end:]
        before, behind = self.text[:at], self.text[end:]
        if before.endswith("\n\n") and (not behind.strip() or behind.startswith("\n")):
            before = before.rstrip("\n") + "\n"
        elif behind.startswith("\n") and (not before.strip() or (index == 0 and chain[-2][0] is not None)):
            behind = behind.lstrip("\n")
        return before + behind

    def with_copy(self, chain: list[Step], key: str | None) -> str:
        """The text with the last entry of a chain written a second time behind it, under another key."""
        entry, _ = chain[-1]
        assert entry is not None
        _, node = chain[-2]
        name = "" if key is None else key_text(key)
        if node.flow_style:
            again = name + self.text[entry.start if key is None else entry.key_end : entry.end]
            return f"{self.text[: entry.end]}, {again}{self.text[entry.end :]}"
        at = self.after(entry)
        rest = self.text[entry.start if key is None else entry.key_end : at].removesuffix("\n")
        lines = [" " * self.column(entry.start) + name + rest]
        entries = self.entries(node)
        apart = chain[-2][0] is None or self._are_apart(entries)
        return self._joined(at, lines, apart, apart)

    def moved(self, chain: list[Step], to: int) -> str:
        """The text with the last entry of a chain in another position among its neighbours."""
        entry, _ = chain[-1]
        assert entry is not None
        _, node = chain[-2]
        entries = self.entries(node)
        index = next(n for n, other in enumerate(entries) if other.start == entry.start)
        order = list(range(len(entries)))
        order.insert(to, order.pop(index))
        if node.flow_style:
            spans = [(other.start, other.end) for other in entries]
        else:
            spans = [(self.first(other), self.after(other)) for other in entries]
        pieces = [self.text[start:end] for start, end in spans]
        prefix = ""
        if not node.flow_style:
            pieces = [piece if piece.endswith("\n") else piece + "\n" for piece in pieces]
            if self.is_inline(entries[0]):
                prefix = " " * self.column(entries[0].start)
                pieces[0] = prefix + pieces[0]
                if pieces[order[0]].lstrip(" ").startswith("#"):
                    raise CannotEditError("A comment stands where the dash of the list entry would have to come.")
        made = [self.text[: spans[0][0]]]
        for n, one in enumerate(order):
            gap_end = spans[n + 1][0] if n + 1 < len(spans) else len(self.text)
            made += [pieces[one].removeprefix(prefix) if n == 0 else pieces[one], self.text[spans[n][1] : gap_end]]
        done = "".join(made)
        return done if self.text.endswith("\n") or node.flow_style else done.removesuffix("\n")

    def renamed(self, chain: list[Step], key: str) -> str:
        """The text with another key for the last entry of a chain."""
        entry, _ = chain[-1]
        assert entry is not None
        return self.text[: entry.start] + key_text(key) + self.text[entry.key_end :]
