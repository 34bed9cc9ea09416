# Each of build, demo and test works alone on a fresh machine with Go, a C and C++ compiler and npm.
# What they leave behind is git-ignored: bin/, demo/, and the chart bundle with its packages under reports/charts/runtime;
# make readers and make browser leave packages under testdata/readers and testdata/browser.

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:

VERSION := $(shell git describe --tags --always --dirty 2>/dev/null || echo development)
RUNTIME := reports/charts/runtime
BUNDLE := $(RUNTIME)/dist/charts.js
SOURCES := cmd pipeline queries reports
TAGS := crosscheck,recompute,kill,public,readers,bench,browser

# Tested with the race detector: packages that are pure Go, charts, and intake's work on files side by side. All else runs
# statements in DuckDB, whose threads the detector does not see; it makes them several times slower.
RACED := ./pipeline/records ./pipeline/units ./queries/stats ./reports/charts
RACED_NAMES := /(records|units|stats|charts)$$

.PHONY: help build charts demo test style recompute crosscheck kill public readers browser fuzz bench clean

help: ## what can be made
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "make %-11s %s\n", $$1, $$2 }' Makefile

build: charts ## leaves bin/tripwake
	go build -buildvcs=false -ldflags "-X main.version=$(VERSION)" -o bin/tripwake ./cmd/tripwake

charts: $(BUNDLE) ## the chart bundle that reports need, from npm

$(BUNDLE): $(addprefix $(RUNTIME)/,package.json package-lock.json entry.js live.js build.mjs)
	cd reports/charts/runtime && npm ci --ignore-scripts --no-audit --no-fund && npm run --silent build

demo: build ## invents records, loads them and writes the reports into demo/
	bin/tripwake demo

test: charts style ## every check and test that needs no other language
	go test -buildvcs=false -timeout 20m $$(go list ./... | grep -vE '$(RACED_NAMES)')
	go test -buildvcs=false -timeout 20m -race $(RACED)
	go test -buildvcs=false -timeout 20m -race -run 'InspectEach|NumberEach' ./pipeline/intake

style: ## gofmt, go vet, staticcheck
	@unformatted=$$(gofmt -l $(SOURCES)); \
	if [ -n "$$unformatted" ]; then echo "not formatted; run gofmt -w on:" >&2; echo "$$unformatted" >&2; exit 1; fi
	go vet -tags $(TAGS) ./...
	go tool staticcheck -tags $(TAGS) ./...

recompute: ## ledger and measures against the second implementation, in Python 3.11 or later
	@command -v python3 >/dev/null || { echo "make recompute needs python3 (3.11 or later) and found none; install it, for instance: apt-get install python3" >&2; exit 1; }
	python3 testdata/recompute/recompute.py --self-test
	python3 testdata/recompute/test_edges.py
	python3 testdata/recompute/make_case.py --check
	python3 -B testdata/exports/make.py --check
	go test -buildvcs=false -tags recompute -run Recompute -v ./cmd/tripwake

crosscheck: ## statistics against R (survival) and Python (scipy, statsmodels)
	@command -v Rscript >/dev/null && test -x /usr/bin/python3 || { echo "make crosscheck needs Rscript and /usr/bin/python3; install them, for instance: apt-get install r-base-core r-cran-survival python3-scipy python3-statsmodels" >&2; exit 1; }
	go test -buildvcs=false -tags crosscheck -v ./queries/stats/crosscheck

kill: charts ## 200 loads killed at any moment: the store is as before or as after, opens, and takes the load again
	go test -buildvcs=false -tags kill -run TestKilledLoads -v ./cmd/tripwake

public: ## loads public tables of other fields, fetched from npm, through the door of exports
	cd testdata/public && npm ci --ignore-scripts --no-audit --no-fund
	go test -buildvcs=false -tags public -run Public -v ./cmd/tripwake

# How often each target is tried: about half a minute. Go's fuzzing may call its own end of time a failure ("context deadline exceeded"),
# which a count has not.
FUZZED := pipeline/intake:FuzzDialect:15000 pipeline/layout:FuzzLayout:200000 pipeline/normalise:FuzzNumbers:150000 \
	pipeline/normalise:FuzzTimes:150000 pipeline/normalise:FuzzFolds:300000 pipeline/units:FuzzUnits:1000000

fuzz: ## random exports, layouts, numbers, times and units, about half a minute for each target; FUZZTIME=10m for longer
	@for target in $(FUZZED); do echo "== $$target"; name=$${target#*:}; \
	go test -buildvcs=false -run '^$$' -fuzz "^$${name%:*}$$" -fuzztime $(or $(FUZZTIME),$${name#*:}x) ./$${target%%:*} || exit 1; done

READERS := testdata/readers

readers: ## extracts against other readers of Parquet and Arrow, from npm
	cd $(READERS) && npm ci --ignore-scripts --no-audit --no-fund
	go test -buildvcs=false -tags readers -run 'OtherReaders|EngineReads' -v ./reports/extract

BROWSER := testdata/browser

browser: charts ## every report in a browser, on three screens and two papers, and axe-core, from npm, beside it
	@command -v chromium >/dev/null && command -v pdftotext >/dev/null && fc-match Arial 2>/dev/null | grep -qiE 'arial|liberation' || { echo "make browser needs chromium, poppler and a font of Arial's widths; install them, for instance: apt-get install chromium poppler-utils fontconfig fonts-liberation" >&2; exit 1; }
	cd $(BROWSER) && npm ci --ignore-scripts --no-audit --no-fund
	go test -buildvcs=false -tags browser -timeout 40m -run 'InABrowser|PlantedFaults' -v ./cmd/tripwake

BENCH_SIZES ?= 1000 10000

bench: build ## times loads and measures against the bare engine, pandas and data.table; BENCH_SIZES="1000 10000" transports
	@/usr/bin/python3 -c 'import pandas' 2>/dev/null || { echo "make bench needs pandas for Debian's python3; install it, for instance: apt-get install python3-pandas" >&2; exit 1; }
	@Rscript -e 'library(data.table)' >/dev/null 2>&1 || { echo "make bench needs R with data.table; install it, for instance: apt-get install r-cran-data.table" >&2; exit 1; }
	BENCH_SIZES="$(BENCH_SIZES)" go test -buildvcs=false -tags bench -count 1 -timeout 3h -run '^TestBench$$' -v ./cmd/tripwake
	go test -buildvcs=false -run '^$$' -bench 'LoadReadings|LoadWide' -benchtime 1x ./pipeline

clean: ## removes all that was made
	rm -rf bin demo testdata/public/node_modules $(READERS)/node_modules $(BROWSER)/node_modules $(RUNTIME)/node_modules $(RUNTIME)/dist/*.js
