#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The output shown in README.md is what the example prints: its beginning, to the letter.
set -eu
cd "$(dirname "$0")/../.."
shown=$(mktemp)
trap 'rm -f "$shown"' EXIT
sed -n '/<!-- first-mix -->/,/<!-- \/first-mix -->/p' README.md | sed '1,2d' | sed '/^```$/,$d' > "$shown"
[ -s "$shown" ] || { echo "README.md shows no output between its first-mix marks"; exit 1; }
head -n "$(wc -l < "$shown")" examples/backyard-tilapia/expected.txt | diff -u - "$shown"
