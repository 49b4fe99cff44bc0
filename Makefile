# The commands of the project. `make demo` and `make test` do all set-up from a fresh clone.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
OUT ?= site_demo/published

.PHONY: demo test unit check bench chromium open-tables axe minisearch wheel clean

demo: $(READY)
	$(BIN)/gramwright publish site_demo --out $(OUT)
	@echo "open $(abspath $(OUT))/index.html"

test: $(READY) chromium open-tables axe
	$(BIN)/pytest -n auto --dist loadfile --no-loadscope-reorder

unit: $(READY)
	$(BIN)/pytest -m "not browser and not long"

check: $(READY)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check generator tests bench
	$(BIN)/mypy
	$(BIN)/pytest -q tests/test_rooms.py

bench: $(READY) chromium minisearch
	$(BIN)/python bench/publish_bench.py
	$(BIN)/python bench/import_bench.py
	$(BIN)/python bench/find_bench.py --library bench/output/minisearch/package/dist/umd/index.js

chromium:
	@sh .ci/chromium

open-tables:
	@sh .ci/open-tables

axe:
	@sh .ci/axe

minisearch:
	@sh .ci/minisearch

wheel: $(READY)
	$(BIN)/python -m hatchling build -t wheel

clean:
	rm -rf $(VENV) dist site_demo/published site_demo/.gramwright tests/output

$(READY): pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; set PYTHON=/path/to/python3.11"; exit 1; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e '.[dev]'
	touch $(READY)
