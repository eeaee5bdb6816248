#!/bin/sh
# Installs what the outside checks need: Debian packages given as package:command, and the npm packages of the witness
# folders. Installs nothing that is there already. Needs root only when a Debian package is missing.
set -eu
missing=""
for pair in "$@"; do
	command -v "${pair#*:}" >/dev/null 2>&1 || missing="$missing ${pair%%:*}"
done
if [ -n "$missing" ]; then
	echo "installing$missing"
	if command -v apt-get >/dev/null 2>&1; then
		sudo=""
		[ "$(id -u)" = 0 ] || sudo="sudo"
		$sudo apt-get update -qq
		# shellcheck disable=SC2086
		DEBIAN_FRONTEND=noninteractive $sudo apt-get install -y -qq --no-install-recommends $missing >/dev/null
	else
		echo "no apt-get here: the checks that need$missing will be skipped" >&2
	fi
fi
cd "$(dirname "$0")/.."
for lock in tools/*/package-lock.json; do
	[ -f "$lock" ] || continue
	folder=$(dirname "$lock")
	stamp="$folder/node_modules/.installed"
	if [ ! -f "$stamp" ] || [ "$lock" -nt "$stamp" ]; then
		echo "npm ci in $folder"
		(cd "$folder" && npm ci --ignore-scripts --no-audit --no-fund --silent && touch node_modules/.installed)
	fi
done
