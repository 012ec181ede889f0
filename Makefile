# The same few words everywhere: setup, site, check, test, fix, bench, deep.
PYTHON ?= python3
VENV   := .venv
RUN    := $(VENV)/bin
OUT    := out

help:            ## what the words do
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## */\t/' | expand -t 12

$(VENV)/.ready: pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || { echo "This needs Python 3.11 or newer. On Debian: apt-get install python3 python3-venv"; exit 1; }
	@$(PYTHON) -c 'import venv, ensurepip' 2>/dev/null || { echo "Python's venv is missing. On Debian: apt-get install python3-venv"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(RUN)/python -m pip install --quiet --disable-pip-version-check --upgrade pip
	$(RUN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/.dev: $(VENV)/.ready
	$(RUN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@

setup: $(VENV)/.ready   ## a virtual environment with the package in it

site: $(VENV)/.ready   ## check the shipped package, export everything, build the site, say where it is
	$(RUN)/materia check
	$(RUN)/materia export --all --out $(OUT)
	@echo "The site: open $(CURDIR)/$(OUT)/site/index.html"

check: $(VENV)/.ready   ## check the shipped package, notes too
	$(RUN)/materia check --notes

test: $(VENV)/.dev tools/browser.sh   ## what CI runs: bare help, style, types, tests, the wheel from an empty folder
	tools/browser.sh
	$(RUN)/python tools/players.py
	$(RUN)/materia --help >/dev/null
	$(RUN)/ruff check .
	$(RUN)/mypy
	$(RUN)/python tools/generate.py check
	$(RUN)/python tools/agreement.py check
	$(RUN)/python tools/certainty.py check
	$(RUN)/python tools/witness.py check
	$(RUN)/frictionless validate datapackage/datapackage.json >/dev/null
	$(RUN)/python -m pytest -n 2

fix: $(VENV)/.dev      ## tidy the data, regenerate files, mend style
	$(RUN)/materia tidy --data datapackage
	$(RUN)/python tools/generate.py write
	$(RUN)/python tools/agreement.py write
	$(RUN)/python tools/certainty.py write
	$(RUN)/python tools/witness.py write
	$(RUN)/ruff check --fix .

generate: $(VENV)/.dev   ## regenerate what the schemas give
	$(RUN)/python tools/generate.py write
	$(RUN)/python tools/agreement.py write
	$(RUN)/python tools/certainty.py write
	$(RUN)/python tools/witness.py write

bench: $(VENV)/.dev    ## time check, load and export against their yardsticks, at size 1 and 100
	$(RUN)/python benchmarks/bench.py

deep: $(VENV)/.dev     ## every seeded mutation, kill and edit; the result is committed under benchmarks/
	MATERIA_DEEP=1 $(RUN)/python -m pytest -n 2 -p no:cacheprovider tests 2>&1 | $(RUN)/python benchmarks/deep.py

clean:           ## remove what the other words made
	rm -rf $(VENV) $(OUT) dist build

.PHONY: help setup site check test fix generate bench deep clean
