"""List the parts of a release as CycloneDX JSON: `python requirements/sbom.py dist/msadraft.cdx.json`.

Takes the locked parts that the program runs with, each with its hashes, and adds what is copied into the package. Needs
the tools of `requirements/release.lock`. The same lock gives the same bytes.
"""

from __future__ import annotations

import hashlib
import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
HTMX = ROOT / "msadraft" / "desk" / "static" / "htmx.min.js"


def locked() -> dict[str, Any]:
    """The list as made from the lock."""
    words = [sys.executable, "-m", "cyclonedx_py", "requirements", str(ROOT / "requirements" / "run.lock")]
    words += ["--pyproject", str(ROOT / "pyproject.toml"), "--mc-type", "application", "--output-reproducible"]
    done = subprocess.run([*words, "--of", "JSON"], check=True, capture_output=True, text=True)  # noqa: S603  (fixed words, no shell)
    listed: dict[str, Any] = json.loads(done.stdout)
    return listed


def copied(script: bytes) -> dict[str, Any]:
    """The entry of the script that is copied into the package.

    Raises:
        ValueError: it does not say its version.
    """
    version = re.search(rb'version:"(\d+\.\d+\.\d+)"', script)
    if not version:
        raise ValueError(f"{HTMX.relative_to(ROOT)} does not say its version; give it here")
    found = version[1].decode()
    return {
        "bom-ref": "copied-htmx",
        "type": "library",
        "name": "htmx.org",
        "version": found,
        "purl": f"pkg:npm/htmx.org@{found}",
        "licenses": [{"license": {"id": "0BSD"}}],
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256(script).hexdigest()}],
        "description": f"copied into the package as {HTMX.relative_to(ROOT).as_posix()}",
    }


def main(out: Path) -> None:
    """Write the list."""
    listed = locked()
    listed["components"].append(copied(HTMX.read_bytes()))
    out.parent.mkdir(parents=True, exist_ok=True)
    out.write_text(json.dumps(listed, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"{out}  {len(listed['components'])} parts")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("say which file to write: python requirements/sbom.py dist/msadraft.cdx.json")
    main(Path(sys.argv[1]))
