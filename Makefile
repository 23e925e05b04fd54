# One command for each thing: make run, make demo, make test, make check, make bench, make screenshots.

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help

BASE_PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
DEMO := demo_shop
DEMO_READY := $(DEMO)/.ready
DEMO_SOURCES := $(shell find demo_data catalog app/ledger -name '*.csv' -o -name '*.toml' -o -name '*.sql' -o -path 'catalog/*.py')
PORT ?= 8501
# Tests share the cores, but no more than these: a container may see more than it is given.
WORKERS ?= auto
FAST := -n $(WORKERS) --maxprocesses=8 -m "not browser and not bench"
# They wait for a page a third of their time, so that one more than the cores has room.
BROWSER := -n 3 -m "browser and not bench"

.PHONY: help run demo test test-fast test-browser check bench screenshots clean tools

help:
	@echo "make run          the page on http://127.0.0.1:$(PORT), with the invented demo shop"
	@echo "make demo         quote a demo visit in the terminal and write its PDF"
	@echo "make test         set up and run every test"
	@echo "make check        lint, types, import rules"
	@echo "make bench        measure speed and memory as ratios"
	@echo "make screenshots  take the README's pictures again"

$(READY): pyproject.toml constraints.txt
	@$(BASE_PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
		{ echo "Python 3.11 or newer is needed; name one with make BASE_PYTHON=python3.12 ..."; exit 2; }
	$(BASE_PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --retries 10 --disable-pip-version-check -c constraints.txt -e '.[dev]'
	@touch $@

$(DEMO_READY): $(READY) $(DEMO_SOURCES)
	$(BIN)/heater setup --demo --shop $(DEMO)
	@touch $@

run: $(DEMO_READY)
	HEATER_SHOP=$(DEMO) $(BIN)/streamlit run app/serve.py --server.port $(PORT)

demo: $(DEMO_READY)
	@mkdir -p out
	$(BIN)/heater quote demo_data/visits/worn_element.toml --shop $(DEMO) --pdf out/quote.pdf

test: test-fast test-browser

test-fast: $(READY) tools
	$(BIN)/python -m pytest -q $(FAST)

test-browser: $(READY) tools
	$(BIN)/python -m pytest -q $(BROWSER) tests/browser

tools:
	@bash tests/bring_tools.sh

check: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(READY) tools
	$(BIN)/python -m pytest -q -s -m bench tests

screenshots: $(DEMO_READY) tools
	$(BIN)/python tests/browser/take_screenshots.py docs

clean:
	rm -rf $(VENV) $(DEMO) out
