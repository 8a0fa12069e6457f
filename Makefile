# Two commands: `make demo` shows the invented studio, `make test` checks everything.
# Both set up what they need first; a second run starts in a few seconds.

PY = .venv/bin/python
SETUP = .venv/.set-up

.PHONY: demo test test-postgres lint bench torture load setup lock pictures format

# In a database of its own. Another port: make demo PORT=8001; anew, edits lost: make demo FRESH=1.
demo: setup
	@DATABASE_URL=sqlite:///$(CURDIR)/.run/demo.sqlite3 \
	  $(if $(PORT),SITE_URL=http://127.0.0.1:$(PORT)) $(PY) manage.py demo \
	  $(if $(PORT),--port $(PORT)) $(if $(FRESH),--fresh)

test: setup browser lint
	@$(PY) -m pytest

# What depends on the database, again on PostgreSQL; loud where there is none.
test-postgres: setup
	@sh .ci/with_postgres $(PY) -m pytest -q tests/studio; status=$$?; \
	  if [ $$status = 69 ]; then exit 0; else exit $$status; fi

lint: setup
	@.venv/bin/ruff check .
	@.venv/bin/ruff format --check .
	@find templates -name '*.html' | xargs .venv/bin/djade --target-version 5.2 --check
	@.venv/bin/lint-imports --no-cache >.venv/import-linter.log || (cat .venv/import-linter.log; false)
	@$(PY) manage.py makemigrations --check --dry-run >/dev/null || (echo "A model has no migration: run manage.py makemigrations."; false)

bench: setup
	@$(PY) -m tests.bench

# The server killed a hundred times under writing load; a busy day on SQLite and on PostgreSQL.
torture: setup
	@$(PY) -m tests.torture

load: setup
	@$(PY) -m tests.load
	@DURABLE=1 sh .ci/with_postgres $(PY) -m tests.load

pictures: setup browser
	@command -v pdftoppm >/dev/null || sh .ci/install poppler-utils
	@$(PY) -m tests.browser.pictures

format: setup
	@.venv/bin/ruff check --fix -q . ; .venv/bin/ruff format -q .
	@find templates -name '*.html' | xargs .venv/bin/djade --target-version 5.2

setup: $(SETUP) pango

# The lock names hashes, no place to fetch from. Without uv, pip alone does it more slowly.
$(SETUP): requirements.txt
	@python3 -m venv .venv
	@$(PY) -m pip install --quiet --disable-pip-version-check uv 2>/dev/null || true
	@if [ -x .venv/bin/uv ]; then .venv/bin/uv pip install --quiet --python $(PY) --require-hashes -r requirements.txt; \
	  else $(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.txt; fi
	@touch $(SETUP)

lock:
	@.venv/bin/uv pip compile pyproject.toml --extra dev --generate-hashes --universal --no-header -q -o requirements.txt
	@.venv/bin/uv pip compile pyproject.toml -c requirements.txt --generate-hashes --universal --no-header -q \
	  -o studio/running/deploy/requirements.txt

# PDFs need Pango, browser tests need chromium: Debian packages, installed where the machine allows it.
.PHONY: pango browser
pango:
	@ldconfig -p 2>/dev/null | grep -q libpangoft2 && ldconfig -p 2>/dev/null | grep -q libharfbuzz-subset || sh .ci/install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0

browser:
	@command -v chromium >/dev/null || sh .ci/install chromium
