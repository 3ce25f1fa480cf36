# Two commands for a fresh machine that has Rust and a C++ compiler: `make demo` and `make test`.

CARGO ?= cargo
DEMO = plainsaid-demo

.PHONY: demo test build tools lint unit clean

demo: build
	@mkdir -p $(DEMO) && cp sample-audio/*.ogg $(DEMO)/
	target/release/plainsaid draft $(DEMO)/fairholm-linnet.ogg --market uk --format html,json,md,csv,vtt --out $(DEMO)
	target/release/plainsaid draft $(DEMO)/tolliver-homestead.ogg --market us --format html,json,md,csv,vtt --out $(DEMO)
	@echo
	@echo "Look at $(DEMO)/fairholm-linnet.html and $(DEMO)/tolliver-homestead.html in any browser: each timecode plays the recording from there."

build: tools
	$(CARGO) build --release --locked

# cmake builds the speech recogniser. Installed here where it is missing and that is possible.
tools:
	@sh scripts/install-tools

test: tools lint unit

lint:
	$(CARGO) fmt --check
	$(CARGO) clippy --locked --all-targets --no-default-features -- -D warnings
	$(CARGO) clippy --locked --release --all-targets -- -D warnings

# Everything but hearing needs no C++; hearing is tested in release, where recognising takes seconds. The sample recordings
# are drafted there too (tests/samples.rs) and checked against the findings that they must hold.
unit:
	$(CARGO) test --locked --no-default-features
	@if $(CARGO) nextest --version >/dev/null 2>&1; \
	then $(CARGO) nextest run --locked --release; \
	else $(CARGO) test --locked --release; fi

clean:
	$(CARGO) clean
	rm -rf $(DEMO)
