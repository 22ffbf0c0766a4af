"""The desk: time to the first page, and from a changed fact to the answer that holds the new paper.

Side by side in one run: a bare import of the server's libraries, the same draft without a desk, and the desk's answer.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from starlette.testclient import TestClient

from msadraft.desk.open_case import OpenCase
from msadraft.desk.pages import desk_app
from msadraft.draft import draft

ROOT = Path(__file__).resolve().parents[2]
LARGEST = ROOT / "scenarios" / "dunmarsh" / "round-3.yaml"
ORIGIN = "http://127.0.0.1:8000"


def _first_page(folder: Path) -> float:
    """Seconds from the command to the first page that answers, in a process of its own."""
    began = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "msadraft.cli", "desk", str(folder), "--no-browser"],
        stdout=subprocess.PIPE, text=True, env={"PYTHONUNBUFFERED": "1", "PATH": "/usr/bin", "HOME": str(Path.home())},
    )  # fmt: skip
    assert process.stdout is not None
    address = next(
        word for line in process.stdout if "http" in line for word in line.split() if word.startswith("http")
    )
    subprocess.run(
        [sys.executable, "-c",
         "import sys, urllib.request as u, http.cookiejar as c\n"
         "o = u.build_opener(u.HTTPCookieProcessor(c.CookieJar()))\n"
         "assert b'Case' in o.open(sys.argv[1]).read()", address],
        check=True,
    )  # fmt: skip
    took = time.perf_counter() - began
    process.terminate()
    process.wait()
    return took


def _client(folder: Path) -> tuple[OpenCase, TestClient]:
    case = OpenCase(folder)
    client = TestClient(desk_app(case, "t", 8000), base_url=ORIGIN, headers={"origin": ORIGIN})
    client.get("/open?token=t")
    return case, client


def _changes(folder: Path, path: str, values: list[str]) -> float:
    """Median milliseconds from a changed fact to the answer with the new pieces of the paper."""
    case, client = _client(folder)
    topic = path.split(".")[0]
    view = client.get(f"/facts/{topic}").text.split('data-view="')[1].split('"')[0]
    took = []
    for value in values:
        was = case.shown(path)
        began = time.perf_counter()
        answer = client.post("/put", data={"path": path, "value": value, "was": was, "page": topic, "view": view})
        took.append(time.perf_counter() - began)
        assert answer.headers["x-saved"] == "yes"
        assert "changed" in answer.text
    return statistics.median(took) * 1000


def main() -> None:
    """Print the ratios."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copy(LARGEST, folder / "case.yaml")
        days = [f"2025-0{month}-{day:02d}" for month in (2, 3) for day in range(1, 26)]
        ours = _changes(folder, "marriage.separated_on", days)
        draft(LARGEST)
        bare = []
        for _ in range(10):
            began = time.perf_counter()
            draft(LARGEST)
            bare.append(time.perf_counter() - began)
        alone = statistics.median(bare) * 1000
        print(
            f"change to answer: {ours:.0f} ms, median of {len(days)}; a draft alone {alone:.0f} ms; ratio {ours / alone:.2f}"
        )
        first = min(_first_page(folder) for _ in range(3))
        print(f"command to first page: {first * 1000:.0f} ms")
        text = (folder / "case.yaml").read_text(encoding="utf-8")
        rows = "".join(
            f"  extra_{n}:\n    kind: account\n    label: account {n}\n    value: {n + 1}.00\n    goes_to: petitioner\n"
            for n in range(2000)
        )
        (folder / "case.yaml").write_text(text.replace("\nassets:\n", f"\nassets:\n{rows}", 1), encoding="utf-8")
        many = _changes(folder, "marriage.place", [f"Place {n}" for n in range(6)])
        case, client = _client(folder)
        began = time.perf_counter()
        size = len(client.get("/facts/assets").text)
        listed = (time.perf_counter() - began) * 1000
        print(
            f"2,000 assets: change to answer {many:.0f} ms; list page {listed:.0f} ms, {size / 1e6:.1f} MB; {len(case.problems)} problems"
        )


if __name__ == "__main__":
    main()
