# Witnessmark. `make demo` shows the main job end to end, `make test` proves it. Both set up what they need.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
WORKERS ?= 2
# Physics and reasoning: every branch.
REASONED := */witnessmark/refrigerants/*,*/witnessmark/calculations/*,*/witnessmark/diagnosis/*,*/witnessmark/cleanup/*,*/witnessmark/restart/*

.PHONY: demo serve guide test check lint types unit contract fuzz golden curves surfaces knowledge notes-model evaluation mutants fuzz-deep bill operators image-test soak cluster lock bench clean
demo: guide
	$(BIN)/witnessmark demo

serve: guide
	$(BIN)/witnessmark serve

# What the service shows at /guide: its pages stand in docs/guide/pages, those of the knowledge are made from the data.
guide: $(VENV)/.run
	$(BIN)/python -m docs.guide.build

test: lint types unit contract

$(VENV)/.run: requirements/demo.txt pyproject.toml docs/guide/hatch_build.py clients/python/pyproject.toml
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/demo.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps -e . -e clients/python
	touch $@

$(VENV)/.test: requirements/test.txt $(VENV)/.run
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/test.txt
	touch $@

lint: $(VENV)/.test
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/lint-imports

types: $(VENV)/.test
	$(BIN)/mypy service/witnessmark clients/python/witnessmark_client docs/guide/build.py docs/guide/hatch_build.py tests

unit: $(VENV)/.test
	$(BIN)/coverage erase
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 $(BIN)/coverage run -m pytest -n $(WORKERS) --dist loadfile --no-loadscope-reorder tests
	$(BIN)/coverage combine --quiet
	$(BIN)/coverage report --fail-under=99
	$(BIN)/coverage report --fail-under=100 --include='$(REASONED)'

contract: $(VENV)/.test
	$(BIN)/python -m tests.contract

# As `make contract` fuzzes, with a hundred times the examples, an operation after the other: hours of a core. What came
# through is kept in tests/contract/fuzzed.toml, so a stopped run goes on; `make fuzz FUZZED=--help` tells the rest.
fuzz: $(VENV)/.test
	$(BIN)/python -m tests.contract.thorough $(FUZZED)

golden: $(VENV)/.test
	$(BIN)/python -m tests.contract golden

# Saturation curves from the equation of state (hours for all; `make curves REFRIGERANTS="R-32 R-454B"`), then the surfaces of gas and
# liquid on them (some ten minutes of a core for all); each has `--check`, which holds what is shipped against the equation.
curves: $(VENV)/.run
	$(BIN)/python -m witnessmark.refrigerants.build_curves $(REFRIGERANTS)

surfaces: $(VENV)/.run
	OPENBLAS_NUM_THREADS=1 $(BIN)/python -m witnessmark.refrigerants.surfaces.build $(REFRIGERANTS)

knowledge: $(VENV)/.test
	$(BIN)/witnessmark check-knowledge
	$(BIN)/python -m witnessmark.diagnosis.case_page
	$(BIN)/python -m tests.evaluation --age

# Trains the learned reader of notes anew from tests/notes_model/corpus (some twenty-five minutes of one core).
# torch makes its network and is needed by nothing else, so it stands in no list of requirements.
notes-model: $(VENV)/.test
	$(BIN)/python -m pip install --quiet --disable-pip-version-check torch==2.13.0
	OPENBLAS_NUM_THREADS=1 nice -n 10 $(BIN)/python -m tests.notes_model

evaluation: $(VENV)/.test
	$(BIN)/python -m tests.evaluation
	$(BIN)/python -m tests.evaluation.next_checks

# Sampled, seeded, bounded in time; `make mutants MUTANTS="--help"` tells what else it can do.
mutants: $(VENV)/.test
	nice -n 10 $(BIN)/python -m tests.mutation --workers $(WORKERS) $(MUTANTS)

# Guided by coverage, a minute a target; the corpus stays in build/fuzz, so a further run goes on. `make fuzz-deep FUZZ="--help"`.
fuzz-deep: $(VENV)/.test requirements/fuzz.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/fuzz.txt
	nice -n 10 $(BIN)/python -m tests.mutation.fuzz $(FUZZ)

# What the image holds: build/witnessmark.cdx.json (CycloneDX) and build/NOTICES.txt, from the lock in a folder of its own.
BILL := $(VENV)/bill
bill: requirements/bill.txt requirements/run.txt
	mkdir -p build
	$(PYTHON) -m venv --clear $(BILL)/tool
	$(BILL)/tool/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/bill.txt
	$(PYTHON) -m venv --clear --without-pip $(BILL)/run
	$(BILL)/tool/bin/python -m pip --python $(BILL)/run/bin/python install --quiet --disable-pip-version-check \
	  --require-hashes -r requirements/run.txt
	$(BILL)/tool/bin/cyclonedx-py environment --output-reproducible --of JSON -o build/witnessmark.cdx.json $(BILL)/run/bin/python
	$(PYTHON) -m tests.bench.notices build/witnessmark.cdx.json requirements/run.txt $(BILL)/run/lib/python3.*/site-packages build/NOTICES.txt

# Dockerfile, manifests, alert rules, dashboard and proxy, each by the checker of its format; promtool and nginx where they are installed.
operators: $(VENV)/.test requirements/operations.txt
	$(PYTHON) -m venv --clear $(VENV)/operations
	$(VENV)/operations/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/operations.txt
	$(BIN)/python -m tests.bench.operators $(VENV)/operations/bin

# Builds the image from what is committed and runs it hardened; needs podman and the base image of the Dockerfile.
# On a busy machine give it more time: `make image-test MINUTES=90`.
MINUTES ?= 30
image-test: $(VENV)/.test
	WITNESSMARK_CONTAINER=1 WITNESSMARK_CONTAINER_MINUTES=$(MINUTES) $(BIN)/python -m pytest -q -rs tests/test_container.py

# An hour at 70 % of what it can answer, which is measured first; `make soak SOAK="--minutes 20 --rate 3"` for less.
SOAK ?= --minutes 60 --share 70
soak: $(VENV)/.test
	$(BIN)/python -m tests.bench.soak $(SOAK)

# Dask, Spark and Ray on this machine, their answers held against one process; needs Java and 2 GB for their packages.
cluster: $(VENV)-cluster/.run
	@command -v java > /dev/null || { echo "Spark needs Java (Debian: default-jre-headless)"; exit 1; }
	$(VENV)-cluster/bin/python -m tests.bench.clusters $(ENGINES)

$(VENV)-cluster/.run: requirements/cluster.in requirements/demo.txt pyproject.toml
	test -x $(VENV)-cluster/bin/python || $(PYTHON) -m venv $(VENV)-cluster
	$(VENV)-cluster/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/demo.txt
	$(VENV)-cluster/bin/python -m pip install --quiet --disable-pip-version-check -r requirements/cluster.in
	$(VENV)-cluster/bin/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps -e . -e clients/python
	touch $@

lock: $(VENV)/.test
	for set in run demo test fuzz bill operations; do uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header \
	  requirements/$$set.in -o requirements/$$set.txt; done

clean:
	rm -rf $(VENV) $(VENV)-cluster .mypy_cache .ruff_cache .pytest_cache .hypothesis
