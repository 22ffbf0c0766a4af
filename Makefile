# Everything a person needs to run; each target sets up .venv by itself.
# make demo      draft the middle case, all three rounds, and say where the papers are
# make desk      the same case in the browser, on this computer only
# make test      set up and run the tests
# make check     lint and types
# make office    the tests that ask LibreOffice (needs soffice)
# make browser   the tests that drive the desk in Chromium
# make trust     20,000 random cases, drafted and checked; writes docs/trust.md (trust-sample: a tenth, no page)
# make bench     benchmarks: ratios, side by side
# make pictures  the README's pictures again, from the running desk
# make law-page  docs/figures-set-by-law.md again, from the data
# make lock      the locked dependencies again; read what changed before you commit it
# make sbom      the list of parts of a release (CycloneDX), in dist/
# make accept    record the expected outlines and maps again; read the diff before you commit it

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
TOOLS := .venv-release
PIP := python -m pip install --quiet --disable-pip-version-check
LOCK := uv pip compile --quiet --upgrade --universal --python-version 3.11 --generate-hashes --no-annotate --custom-compile-command "make lock"

.PHONY: demo desk test browser check office trust trust-sample oracle bench pictures law-page lock sbom accept clean

$(READY): pyproject.toml requirements/test.lock
	$(PYTHON) -m venv $(VENV)
	$(BIN)/$(PIP) --require-hashes -r requirements/test.lock
	$(BIN)/$(PIP) --no-deps --no-build-isolation -e .
	touch $(READY)

$(TOOLS)/.ready: requirements/release.lock
	$(PYTHON) -m venv $(TOOLS)
	$(TOOLS)/bin/$(PIP) --require-hashes -r requirements/release.lock
	touch $(TOOLS)/.ready

demo: $(READY)
	$(BIN)/python scenarios/demo.py demo

desk: $(READY)
	test -d desk-demo/dunmarsh || $(BIN)/python scenarios/demo.py --rounds desk-demo
	$(BIN)/msadraft desk desk-demo/dunmarsh

test: $(READY)
	$(BIN)/python -m pytest -m "not office and not slow and not browser" -n 2 --dist worksteal

check: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/msadraft clauses lint

office: $(READY)
	MSADRAFT_OFFICE=required $(BIN)/python -m pytest -m "office and not slow" -n 2 --dist loadfile

browser: $(READY)
	MSADRAFT_BROWSER=required $(BIN)/python -m pytest -m browser -n 2 --dist worksteal

trust: $(READY)
	$(BIN)/python tests/trust/run.py --cases 20000 --jobs 2 --office 40 --write-docs

trust-sample: $(READY)
	$(BIN)/python tests/trust/run.py --cases 2000 --jobs 2

oracle: $(READY)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[oracle]'
	MSADRAFT_THOROUGH=1 $(BIN)/python -m pytest -m slow -n 2

bench: $(READY)
	for file in tests/benchmarks/bench_*.py; do $(BIN)/python $$file || exit 1; done

pictures: $(READY)
	$(BIN)/python tests/desk/record_pictures.py

law-page: $(READY)
	$(BIN)/python -m msadraft.law.page docs/figures-set-by-law.md

lock: $(TOOLS)/.ready
	$(TOOLS)/bin/$(LOCK) pyproject.toml requirements/build.in --extra test -o requirements/test.lock
	$(TOOLS)/bin/$(LOCK) pyproject.toml --extra desk -c requirements/test.lock -o requirements/run.lock
	$(TOOLS)/bin/$(LOCK) requirements/release.in -o requirements/release.lock

sbom: $(TOOLS)/.ready
	$(TOOLS)/bin/python requirements/sbom.py dist/msadraft.cdx.json

accept: $(READY)
	$(BIN)/python tests/scenarios/record.py

clean:
	rm -rf $(VENV) $(TOOLS) demo desk-demo build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
