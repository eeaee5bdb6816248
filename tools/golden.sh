#!/bin/sh
# Rewrites every golden file: runs the tests of each package that declares the -rewrite flag with it.
set -eu
cd "$(dirname "$0")/.."
grep -rlE 'flag\.Bool\("rewrite"' --include='*_test.go' . | xargs -n1 dirname | sort -u | while read -r package; do
	go test "$package" -rewrite
done
git status --short
