#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The guide shows outputs of examples, whole or their beginning; they must be what the examples
# expect, and so what the program prints.
set -eu
cd "$(dirname "$0")/../.."
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
for name in mixing-sheet mend-a-recipe no-mix what-if quick-plan; do
    # The block of the guide that begins with the first line of the expected output.
    first=$(head -n 1 "examples/$name/expected.txt")
    awk -v first="$first" '
        /^```/ { if (inside) exit; next }
        $0 == first { inside = 1 }
        inside' docs/guide.md > "$scratch/shown"
    [ -s "$scratch/shown" ] || { echo "docs/guide.md does not show examples/$name"; exit 1; }
    case $name in
        what-if) head -n "$(wc -l < "$scratch/shown")" "examples/$name/expected.txt" ;;
        *) cat "examples/$name/expected.txt" ;;
    esac > "$scratch/expected"
    diff -u "$scratch/expected" "$scratch/shown"
done
# Of others it shows pieces, with … where something is left out: every line stands in the output, in this order.
for name in farmers-group-mill; do
    first=$(head -n 1 "examples/$name/expected.txt")
    awk -v first="$first" -v name="$name" '
        NR == FNR { printed[NR] = $0; count = NR; next }
        /^```/ { if (inside) exit; next }
        $0 == first { inside = 1 }
        !inside || $0 == "…" || $0 == "" { next }
        { while (at < count && printed[++at] != $0); if (printed[at] != $0) { print name ": " $0; wrong = 1; exit } }
        END { exit wrong || !inside }' "examples/$name/expected.txt" docs/guide.md
done
