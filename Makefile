# Pithline: set up, run, test. `make` alone lists the targets.
# PYTHON names the Python to use, VENV the folder to set up: both can be given,
# as in `make test PYTHON=python3.13 VENV=.venv-3.13`.

PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin

.PHONY: help demo test setup setup-dev check lint types layers dead spelling locks pytest \
	bench validation pictures lock clean

help:
	@echo "make demo        set up from nothing, then run the whole job on an invented yard"
	@echo "make test        set up from nothing, then run every check and every test"
	@echo "make bench       print how fast and how large it is"
	@echo "make validation  write docs/validation.md again from the tests"
	@echo "make pictures    draw the pictures of the docs again"
	@echo "make lock        write the lock files again (UPGRADE=1 takes newer versions)"
	@echo "make clean       remove what was set up or made"

# --- set-up ------------------------------------------------------------------

setup setup-dev:
	@command -v $(PYTHON) >/dev/null || { \
	  echo "No Python found under the name $(PYTHON): on Debian and its kin, run \`apt-get install python3 python3-venv\` as root."; exit 1; }
	@$(PYTHON) tools/setup_venv.py $(if $(filter setup,$@),run,dev) $(VENV)

# --- the two commands --------------------------------------------------------

demo: setup
	$(BIN)/pithline demo demo-out

# The tests come last, so that their summary is the last thing printed.
test: check
	@$(MAKE) --no-print-directory pytest

check: lint types layers dead spelling locks

lint: setup-dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: setup-dev
	$(BIN)/mypy --strict src

layers: setup-dev
	$(BIN)/lint-imports

dead: setup-dev
	$(BIN)/vulture

spelling: setup-dev
	$(BIN)/typos

locks: setup-dev
	$(BIN)/python tools/lock.py check

pytest: setup-dev
	$(BIN)/python -m pytest

# --- now and then ------------------------------------------------------------

bench: setup-dev
	@set -e; for script in bench/[a-z]*.py; do $(BIN)/python $$script; done

validation: setup-dev
	$(BIN)/python -m pytest tests/validation --write-validation

pictures: setup-dev
	$(BIN)/python tools/make_pictures.py

# The locker lives apart: it must run when the locks are missing or wrong.
lock:
	$(PYTHON) -m venv .venv-lock
	.venv-lock/bin/python -m pip install --quiet --disable-pip-version-check uv
	.venv-lock/bin/python tools/lock.py write $(if $(UPGRADE),--upgrade)

clean:
	rm -rf $(VENV) .venv-lock demo-out build dist .hypothesis .import_linter_cache .mypy_cache .pytest_cache .ruff_cache
	find src tests tools bench -name __pycache__ -type d -prune -exec rm -rf {} + 2>/dev/null || true
