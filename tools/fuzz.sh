#!/bin/sh
# Runs every fuzz target of the tree for the time given (default 10s), one after the other.
set -eu
time=${1:-10s}
cd "$(dirname "$0")/.."
grep -rlE '^func Fuzz' --include='*_test.go' . | while read -r file; do
	package=$(dirname "$file")
	sed -nE 's/^func (Fuzz[A-Za-z0-9_]*)\(.*/\1/p' "$file" | while read -r target; do
		echo "$package $target"
		go test "$package" -run '^$' -fuzz "^$target\$" -fuzztime "$time"
	done
done
