# make demo    loads the invented shop, prints its answers, serves its pages (SERVE=0: stops before serving)
# make test    everything that must hold: style, types, layers, tests
BIN := .venv/bin
WORKERS ?= 2

.PHONY: setup ready-to-test demo serve test lint types lint-and-warm warm quick browser bench

setup:
	@./setup.sh

ready-to-test:
	@./setup.sh test

demo: setup
	@$(BIN)/floatbowl demo $(if $(filter 0 no,$(SERVE)),--no-serve,--serve)

serve: setup
	@$(BIN)/floatbowl serve

lint: ready-to-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports

types: ready-to-test
	$(BIN)/mypy

# On two cores: types are checked on one while the other compiles what all tests use, then the tests have both.
test: ready-to-test
	$(MAKE) --no-print-directory --jobs 2 types lint-and-warm
	$(MAKE) --no-print-directory quick
	$(MAKE) --no-print-directory browser

lint-and-warm: lint warm

# The demo from nothing, and a plan for its shelf: between them they run every compiled sum once.
warm: ready-to-test
	@rm -f .venv/warm.sqlite3*
	$(BIN)/floatbowl demo --no-serve --database .venv/warm.sqlite3 >/dev/null
	$(BIN)/floatbowl shelf build --database .venv/warm.sqlite3 >/dev/null

# A file's tests stay in one process, so that what a file sets up once is set up once. Tests that drive a browser run apart:
# the driver keeps an event loop, beside which the database may not be used.
quick: ready-to-test
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder --ignore tests/browser

browser: ready-to-test
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder tests/browser

bench: ready-to-test
	$(BIN)/python -m benchmarks
