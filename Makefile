# Two commands for a fresh machine that has Rust and a C++ compiler: `make demo` and `make test`.

CARGO ?= cargo
DEMO = plainsaid-demo

.PHONY: demo test build tools lint unit samples score bench clean

demo: build
	target/release/plainsaid draft sample-audio/*.flac sample-audio/*.ogg --format html,json,md,csv,vtt --out $(DEMO)
	@cp sample-audio/*.flac sample-audio/*.ogg $(DEMO)/ 2>/dev/null || true
	@echo
	@echo "Look at the pages in $(DEMO)/: open the .html files in any browser; each timecode plays the recording."

build: tools
	$(CARGO) build --release --locked

# cmake builds the speech recogniser. Installed here where it is missing and that is possible.
tools:
	@sh scripts/install-tools

test: tools lint unit samples

lint:
	$(CARGO) fmt --check
	$(CARGO) clippy --locked --all-targets --no-default-features -- -D warnings
	$(CARGO) clippy --locked --release --all-targets -- -D warnings

# Everything but hearing needs no C++; hearing is tested in release, where recognising takes seconds.
unit:
	$(CARGO) test --locked --no-default-features
	@if $(CARGO) nextest --version >/dev/null 2>&1; \
	then $(CARGO) nextest run --locked --release; \
	else $(CARGO) test --locked --release; fi

samples: build
	sh scripts/check-samples target/release/plainsaid

clean:
	$(CARGO) clean
	rm -rf $(DEMO)
