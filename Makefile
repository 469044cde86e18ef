# Solderlast: `make run` and `make test` are all a newcomer needs.

SHELL := /bin/bash
# A newer Node that .ci/install put beside the build comes first, where there is one.
export PATH := $(CURDIR)/target/node/node_modules/.bin:$(PATH)
PROFILE ?= dev
PAGES := ui/dist/index.html
PAGE_SOURCES := $(shell find ui/src ui/public ui/index.html ui/package-lock.json ui/vite.config.ts -type f 2>/dev/null)

.DEFAULT_GOAL := help
.PHONY: help run phone shop page try-page package test check check-form bench android types clean need-run need-test need-page need-package

help: ## What there is
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 12

run: need-run $(PAGES) ## Install what is missing, build, and open the app
	@if [ -n "$$DISPLAY$$WAYLAND_DISPLAY" ]; then \
	  cargo run --profile $(PROFILE) -p solderlast-app; \
	else \
	  echo "No display here: the same pages in a browser on this computer."; \
	  cargo run --profile $(PROFILE) -p solderlast-serve --bin solderlast -- serve; \
	fi

phone: need-run $(PAGES) ## Serve a phone on the same network
	cargo run --profile $(PROFILE) -p solderlast-serve --bin solderlast -- serve --lan

shop: $(PAGES) ## Two benches that meet through a PostgreSQL in a scratch folder, for a try
	@.ci/install shop
	cargo build --profile $(PROFILE) -p solderlast-serve --bin solderlast
	@.ci/shop

page: need-run need-page ## Build the page for a phone with no computer beside it: target/page, for any HTTPS host
	@.ci/page

try-page: page ## Build it, and serve it on this computer for a try
	cargo run --profile $(PROFILE) -p solderlast-serve --bin solderlast -- page

package: need-run need-package $(PAGES) ## Make a Debian package of the app for a desktop, and try it: target/release/bundle/deb
	@.ci/package

# What `cargo clippy -- -D warnings` gives its compiler, for the build of the tests: so each dependency is built once, not
# once to be linted and once to be run. The page for phones is built beside it: a compiler at work on one large crate leaves a
# core idle.
LINTED := RUSTC_WORKSPACE_WRAPPER=clippy-driver CLIPPY_ARGS=-Dwarnings__CLIPPY_HACKERY__

test: begun := $(shell date +%s)
test: need-test $(PAGES) check-form ## Everything that is checked
	@.ci/page test & page=$$!; $(LINTED) cargo build --workspace --all-targets --locked; built=$$?; wait $$page && exit $$built
	@echo "Built after $$(($$(date +%s) - $(begun))) s"
	$(LINTED) RUST_TEST_THREADS=$${RUST_TEST_THREADS:-4} cargo test --workspace --no-fail-fast --locked

check: check-form ## Types, form and lints, without the tests
	cargo clippy --workspace --all-targets --locked -- -D warnings

check-form: $(PAGES)
	npm --prefix ui run check
	npm --prefix ui test
	cargo fmt --all --check

bench: need-test $(PAGES) ## Measure the budgets: writing, asking, a large logbook, the pages on a slow phone
	cargo build --release -p solderlast-serve --bin solderlast
	cargo bench -p solderlast-tests --bench budgets

types: ## Write the pages' types anew from the contract
	SOLDERLAST_WRITE_TYPES=1 cargo test -q --workspace --test core contract

$(PAGES): $(PAGE_SOURCES)
	npm --prefix ui run build
	@touch $@

need-run:
	@.ci/install run

need-test:
	@.ci/install test

need-page:
	@.ci/install page

need-package:
	@.ci/install package

clean: ## Remove what was built
	cargo clean
	rm -rf ui/dist ui/node_modules

android: $(PAGES) ## Type-check the app for Android, where Debian's Rust is there
	@.ci/android
