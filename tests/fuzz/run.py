"""Run damaged and hostile input through the program, and say what came of it as JSON.

    python tests/fuzz/run.py                          everything in full
    python tests/fuzz/run.py --kind facts --count 500
    python tests/fuzz/run.py --kind facts --case 17   one case, with its traceback; --show prints it, --save FILE keeps it

The same number is the same case on every machine. Exit code 1: something came out as it may not.
"""

from __future__ import annotations

import argparse
import importlib
import json
import sys
import time
from pathlib import Path
from types import ModuleType
from typing import Any

sys.path[:] = [
    str(Path(__file__).resolve().parents[1]),
    *(p for p in sys.path if Path(p).resolve() != Path(__file__).resolve().parent),
]

KINDS = {"facts": "facts_files", "documents": "documents", "clauses": "clause_folders", "printed": "printed"}


def module_of(kind: str) -> ModuleType:
    """The module that makes and judges the cases of a kind."""
    return importlib.import_module(f"fuzz.{KINDS[kind]}")


def run(kind: str, numbers: range, said: bool = False) -> dict[str, Any]:
    """Judge some cases of one kind, and give the counts."""
    from fuzz.measure import Count

    module = module_of(kind)
    count = Count(kind, module.MOST_SECONDS, module.MOST_MB)
    start = time.perf_counter()
    for number in numbers:
        failed = len(count.failures)
        count.run(number, module.judge)
        if said:
            for failure in count.failures[failed:]:
                print(f"{kind} {failure['case']}: {failure['what']}\n    {failure['where']}", file=sys.stderr)
            if count.tried % 500 == 0:
                print(
                    f"{kind}: {count.tried} in {time.perf_counter() - start:.0f} s, {len(count.failures)} failures",
                    file=sys.stderr,
                )
    return {**count.data(), "seconds": round(time.perf_counter() - start, 1)}


def _keep_the_machine_alive() -> None:
    """Let a case that asks for endless memory fail by itself."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (3 * 2**30, resource.getrlimit(resource.RLIMIT_AS)[1]))


def main() -> int:
    """Run as asked, print the counts, give the exit code."""
    _keep_the_machine_alive()
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kind", choices=KINDS, action="append", help="may be given again; all if left out")
    parser.add_argument("--count", type=int, help="how many cases of each kind; the full number if left out")
    parser.add_argument("--first", type=int, default=0, help="number of the first case")
    parser.add_argument("--case", type=int, help="this one case alone; an error comes with its traceback")
    parser.add_argument("--show", action="store_true", help="print the case")
    parser.add_argument("--save", type=Path, help="write the case to a file")
    parser.add_argument("--keep", action="store_true", help="keep the counts for docs/trust.md")
    asked = parser.parse_args()
    kinds = asked.kind or list(KINDS)
    if asked.case is not None:
        from fuzz.measure import Count

        module = module_of(kinds[0])
        made = module.made(asked.case)
        data = made if isinstance(made, bytes) else getattr(made, "data", None) or repr(made).encode()
        if asked.show:
            sys.stdout.buffer.write(data + b"\n")
        if asked.save:
            asked.save.write_bytes(data)
        print(module.judge(asked.case, Count(kinds[0], module.MOST_SECONDS, module.MOST_MB)))
        return 0
    results = [
        run(kind, range(asked.first, asked.first + (asked.count or module_of(kind).FULL)), said=True) for kind in kinds
    ]
    print(json.dumps({"runs": results}, indent=2, ensure_ascii=False))
    if asked.keep:
        from trust.page import refresh
        from trust.results import FUZZING, keep

        keep(FUZZING, "kind", results)
        refresh()
    return 1 if any(result["failures"] for result in results) else 0


if __name__ == "__main__":
    sys.exit(main())
