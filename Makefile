# make test    everything that must be true: formatting, vet, staticcheck, build, every test (the README's test command)
# make build   the binary, bin/wirewright
# make bench   the benchmarks, with their outside peers
# make fuzz    every fuzz target for FUZZTIME each
# make golden  rewrite every golden file, to be reviewed as a difference

GO ?= go
FUZZTIME ?= 10s
# Debian packages that the outside checks use, each as package:command, or package:python=module. A test whose program is
# missing is skipped, so that a part can be tested anywhere; here all of them are installed.
OUTSIDE = glpk-utils:glpsol coinor-cbc:cbc ngspice:ngspice poppler-utils:pdftotext mosquitto:mosquitto mosquitto-clients:mosquitto_sub \
          chromium:chromium libreoffice-calc:soffice dnsmasq-base:dnsmasq fish:fish zsh:zsh python3-ezdxf:python=ezdxf python3-networkx:python=networkx zbar-tools:zbarimg

.PHONY: test build lint bench fuzz golden outside

test: outside lint
	CGO_ENABLED=0 $(GO) build ./...
	$(GO) test -timeout 20m ./...
	$(GO) test -race -short -timeout 20m $$($(GO) list ./... | grep -E '/(store|site|virtual|workbench|job|prove)(/|$$)')

build:
	CGO_ENABLED=0 $(GO) build -trimpath -o bin/wirewright ./cmd/wirewright

lint:
	@test -z "$$(gofmt -l . | tee /dev/stderr)" || { echo "run gofmt -w on the files above" >&2; exit 1; }
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

outside:
	@sh tools/outside.sh $(OUTSIDE)

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

fuzz:
	@sh tools/fuzz.sh $(FUZZTIME)

golden:
	@sh tools/golden.sh
