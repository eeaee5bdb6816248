#!/bin/sh
# Installs what the outside checks need: Debian packages given as package:command or, for a module of Debian's Python, as
# package:python=module; and the npm packages of the witness folders. Installs nothing that is there already. Needs root
# only when a Debian package is missing.
set -eu
missing=""
for pair in "$@"; do
	case "$pair" in
	*:python=*) /usr/bin/python3 -c "import ${pair#*:python=}" >/dev/null 2>&1 ;;
	*) command -v "${pair#*:}" >/dev/null 2>&1 ;;
	esac || missing="$missing ${pair%%:*}"
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
