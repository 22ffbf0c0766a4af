# Everything a person needs to run; each target sets up .venv by itself.
# make demo      draft the middle case, all three rounds, and say where the papers are
# make desk      the same case in the browser, on this computer only
# make test      set up and run the tests
# make check     lint and types
# make office    the tests that ask LibreOffice (needs soffice)
# make browser   the tests that drive the desk in Chromium
# make bench     benchmarks: ratios, side by side
# make pictures  the README's pictures again, from the running desk
# make accept    record the expected outlines and maps again; read the diff before you commit it

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready

.PHONY: demo desk test browser check office oracle bench pictures accept clean

$(READY): pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[test]'
	touch $(READY)

demo: $(READY)
	$(BIN)/python scenarios/demo.py demo

desk: $(READY)
	test -d desk-demo/dunmarsh || $(BIN)/python scenarios/demo.py --rounds desk-demo
	$(BIN)/msadraft desk desk-demo/dunmarsh

test: $(READY)
	$(BIN)/python -m pytest -m "not office and not slow and not browser" -n 2

check: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/msadraft clauses lint

office: $(READY)
	MSADRAFT_OFFICE=required $(BIN)/python -m pytest -m office

browser: $(READY)
	MSADRAFT_BROWSER=required $(BIN)/python -m pytest -m browser -n 2

oracle: $(READY)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[oracle]'
	MSADRAFT_THOROUGH=1 $(BIN)/python -m pytest -m slow -n 2

bench: $(READY)
	for file in tests/benchmarks/bench_*.py; do $(BIN)/python $$file || exit 1; done

pictures: $(READY)
	$(BIN)/python tests/desk/record_pictures.py

accept: $(READY)
	$(BIN)/python tests/scenarios/record.py

clean:
	rm -rf $(VENV) demo desk-demo build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
