#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# The coverage tables of docs/data.md are what the library holds now.
#   coverage.sh PROGRAM SOURCE-FOLDER [--update]
set -eu
program=$1
export FEEDWRIGHT_DATA="$2/data"
page=$2/docs/data.md
first='<!-- feedwright list coverage -->'
last='<!-- end of coverage -->'
printed=$(mktemp)
written=$(mktemp)
trap 'rm -f "$printed" "$written"' EXIT
# The title of the page's own section stands in for the title of the list.
"$program" list coverage --as markdown | sed '1,2d' > "$printed"
if [ "${3-}" = --update ]; then
    awk -v first="$first" -v last="$last" -v file="$printed" '
        $0 == first { print; while ((getline line < file) > 0) print line; skip = 1; next }
        $0 == last { skip = 0 }
        !skip' "$page" > "$written"
    cat "$written" > "$page"
    exit 0
fi
awk -v first="$first" -v last="$last" '$0 == last { inside = 0 } inside { print } $0 == first { inside = 1 }' \
    "$page" > "$written"
diff -u "$written" "$printed" || {
    echo "docs/data.md is behind the library; refresh it with: $0 $1 $2 --update"
    exit 1
}
