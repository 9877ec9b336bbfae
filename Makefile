# Volplane: set-up, demo and checks. Needs Python 3.11 or later, make and git; `make` alone lists the targets.

VENV := .venv
BIN := $(VENV)/bin
PYTHON_IN := $(BIN)/python
PIP := $(PYTHON_IN) -m pip --quiet --disable-pip-version-check install

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.NOTPARALLEL:
.PHONY: help setup pages demo serve test-setup chromium postgresql test long check format bench lock clean

help: ## this list
	@grep -E '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:[^#]*## /\t/' | expand -t 10

$(PYTHON_IN):
	@sh tools/environment.sh $(VENV)

$(VENV)/.installed: requirements.lock pyproject.toml hatch_build.py | $(PYTHON_IN)
	@echo "Installing what Volplane needs (once, some minutes)..."
	@$(PIP) --require-hashes --requirement requirements.lock
	@$(PIP) --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/.installed-for-tests: requirements-dev.lock $(VENV)/.installed
	@$(PIP) --require-hashes --requirement requirements-dev.lock
	@touch $@

# the pages are built again only when their sources changed
pages: $(VENV)/.installed
	@$(PYTHON_IN) hatch_build.py

setup: pages ## everything `.venv/bin/volplane` needs
	@$(PYTHON_IN) tools/warm.py

test-setup: setup $(VENV)/.installed-for-tests chromium postgresql

chromium:
	@sh tools/system_package.sh chromium chromium

# the server's program stands in a folder of its version, not on the path
postgresql:
	@sh tools/system_package.sh "$$(ls /usr/lib/postgresql/*/bin/postgres 2>/dev/null | tail -n 1)" postgresql

demo: setup ## the whole job once, on invented data
	@$(BIN)/volplane demo

serve: setup ## the workbench, on this machine only
	@$(BIN)/volplane serve

test: test-setup ## the test suite
	$(PYTHON_IN) -m pytest

long: test-setup ## what takes longer than a test may
	$(PYTHON_IN) -m pytest -m long

check: setup $(VENV)/.installed-for-tests ## format, lint, types, layers, examples in the documents
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	$(PYTHON_IN) -m pytest --doctest-modules --doctest-glob='*.md' --ignore-glob='*/store/migrations/*' src/volplane docs README.md
	@$(PYTHON_IN) hatch_build.py check

format: $(VENV)/.installed-for-tests ## put the sources into the common format
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

bench: setup $(VENV)/.installed-for-tests ## timings; they are printed, never asserted
	@for script in benchmarks/bench_*.py; do $(PYTHON_IN) "$$script" || exit 1; done

lock: $(PYTHON_IN) ## pin the newest versions that fit pyproject.toml
	@$(PIP) uv
	$(BIN)/uv --no-config pip compile $(LOCK) --extra build pyproject.toml --output-file requirements.lock
	$(BIN)/uv --no-config pip compile $(LOCK) --extra build --extra dev pyproject.toml --output-file requirements-dev.lock
LOCK := --quiet --upgrade --universal --python-version 3.11 --generate-hashes --no-header --no-annotate

clean: ## remove what the targets above made
	rm -rf $(VENV) web/node_modules src/volplane/faces/web/static build dist out .*_cache .hypothesis .benchmarks
