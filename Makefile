# Short names for the everyday commands; CMakePresets.json and the scripts hold the substance.
.PHONY: all check fmt tidy asan tsan bench approve demo-recording clean

all: ## dev build and the tests that are not slow
	@tools/setup.sh build test
	@cmake --preset dev
	@cmake --build --preset dev
	@ctest --preset fast -j "$$(nproc)" --output-junit "$(CURDIR)/build/dev/tests.xml"
	@tools/skipped_tests.sh build/dev/tests.xml | sed '$$s/$$/ tests skipped/'

check: ## what must hold before a change goes in
	@.ci/run

fmt: ## lay out the C++ files
	@tools/setup.sh format
	@tools/format.sh

tidy: ## clang-tidy over src/ (FILES="a.cc b.cc" for some)
	@tools/setup.sh build test lint
	@cmake --preset dev
	@cmake --build --preset dev
	@tools/tidy.sh build/dev $(FILES)

asan: ## every test with the address and undefined-behaviour sanitizers
	@CW_PRESET=asan ./test.sh

tsan: ## every test with the thread sanitizer
	@CW_PRESET=tsan ./test.sh

bench: ## build and run the benchmarks
	@tools/setup.sh build bench
	@cmake --preset bench
	@cmake --build --preset bench
	@for b in build/bench/bench/*_bench; do echo "== $$b"; "$$b" || exit 1; done

approve: ## rewrite the expectations of the golden tests that match T=...; then look at git diff
	@cmake --preset dev
	@cmake --build --preset dev
	@CW_APPROVE=1 ctest --preset dev -L golden $(if $(T),-R "$(T)") --output-on-failure
	@git status --short tests

demo-recording: ## simulate the demo recording anew and keep it packed in data/demo; then look at the tests
	@cmake --preset release
	@cmake --build --preset release --target coilwright
	@build/release/coilwright simulate data/scenarios/demo_winter.toml -o build/release/demo_winter --force
	@for f in outdoor indoor; do gzip -9nc build/release/demo_winter/$$f.csv >data/demo/$$f.csv.gz; done

clean:
	@rm -rf build
