"""Change facts in the text of case.yaml and leave every other byte of it as it is: comments, order, quotes, blank lines."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from typing import Any

from msadraft.agreement.negotiated import quoted
from msadraft.facts.load import CaseFile
from msadraft.facts.problems import FactsError, Problem
from msadraft.facts.yaml_tree import read_tree

_PLAIN = re.compile(r"[A-Za-z0-9$(][\w $.,%/()’'-]*")


def changed_facts(case: CaseFile, changes: Mapping[str, str]) -> str:
    """Give the text of the facts file with some facts changed. `changes` maps the path of a fact to its new value.

    A fact that is not in the file yet is put first in its group.

    Raises:
        FactsError: a place of the file cannot take the value; the file would not say what was meant.
    """
    text = case.text
    for path, written in changes.items():
        text = _changed(case, text, path, written)
    return text


def _changed(case: CaseFile, text: str, path: str, written: str) -> str:
    import yaml

    parts = path.split(".")
    before = read_tree(text, case.path.name).tree
    wanted = copy.deepcopy(before)
    try:
        _set(wanted, parts, written)
        root = yaml.compose(text.replace("\t", " "), Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
        made = _splice(text, root, parts, written)
    except (KeyError, IndexError, TypeError, ValueError):
        raise _problem(case, path) from None
    if read_tree(made, case.path.name).tree != wanted:
        raise _problem(case, path)
    return made


def _problem(case: CaseFile, path: str) -> FactsError:
    return FactsError(
        [Problem(case.place(path), path, "This fact cannot be changed here by itself.", "Change it by hand.")]
    )


def _set(tree: Any, parts: list[str], written: str) -> None:
    for n, part in enumerate(parts[:-1]):
        if isinstance(tree, list):
            tree = tree[int(part)]
            continue
        if tree.get(part) is None:
            if parts[n + 1].isdecimal():
                raise KeyError(part)
            tree[part] = {}
        tree = tree[part]
    if isinstance(tree, list):
        tree[int(parts[-1])] = written
    else:
        tree[parts[-1]] = written


def _splice(text: str, root: Any, parts: list[str], written: str) -> str:
    starts = [0]
    for found in re.finditer(r"\r\n|\n|\r", text):
        starts.append(found.end())

    def offset(mark: Any) -> int:
        return min(len(text), starts[min(int(mark.line), len(starts) - 1)] + int(mark.column))

    node, flow = root, False
    for n, part in enumerate(parts):
        if node.id == "sequence":
            flow = flow or node.flow_style
            node = node.value[int(part)]
            continue
        if node.id != "mapping":
            raise TypeError(part)
        flow = flow or node.flow_style
        found_node = next((v for k, v in node.value if k.value == part), None)
        if found_node is None:
            return _inserted(text, node, parts[n:], written, flow, offset)
        if found_node.id == "scalar" and n < len(parts) - 1:
            at = offset(found_node.start_mark)
            key = next(k for k, _ in node.value if k.value == part)
            if found_node.value not in ("", "~", "null"):
                raise TypeError(part)
            end = offset(found_node.end_mark)
            return text[:at] + " " + _flow_group(parts[n + 1 :], written) + text[end:] if key else text
        node = found_node
    if node.id != "scalar":
        raise TypeError(parts[-1])
    at, end = offset(node.start_mark), offset(node.end_mark)
    old = text[at:end]
    tail = old[len(old.rstrip()) :] if old[:1] in "|>" else ""
    lead = " " if at == end and text[at - 1 : at] == ":" else ""
    return text[:at] + lead + _scalar(written, old[:1], flow) + tail + text[end:]


def _inserted(text: str, node: Any, parts: list[str], written: str, flow: bool, offset: Any) -> str:
    if not node.value:
        at = offset(node.start_mark) + 1
        return text[:at] + f"{parts[0]}: {_rest(parts[1:], written, True)}" + text[at:]
    first = node.value[0][0]
    at = offset(first.start_mark)
    entry = f"{parts[0]}: {_rest(parts[1:], written, flow)}"
    if flow:
        return f"{text[:at]}{entry}, {text[at:]}"
    ending = "\r\n" if "\r\n" in text else "\n"
    return f"{text[:at]}{entry}{ending}{' ' * first.start_mark.column}{text[at:]}"


def _rest(parts: list[str], written: str, flow: bool) -> str:
    return _flow_group(parts, written) if parts else _scalar(written, "", flow)


def _flow_group(parts: list[str], written: str) -> str:
    if not parts:
        return _scalar(written, "", True)
    return f"{{{parts[0]}: {_flow_group(parts[1:], written)}}}"


def _scalar(written: str, style: str, flow: bool) -> str:
    """A value as it was written before: plain or in its quotes; in quotes where it would not be safe without."""
    if style == "'" and written.isprintable():
        return "'" + written.replace("'", "''") + "'"
    plain = _PLAIN.fullmatch(written) and written == written.strip() and not (flow and "," in written)
    if style == '"' or not plain or written in ("null", "~"):
        return quoted(written)
    return written
