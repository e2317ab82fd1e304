#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Runs an example as its reader would and compares all of it: what it prints and its exit code.
#   run_example.sh PROGRAM EXAMPLE-FOLDER [--update]
# A folder holds `command` (lines that start with "feedwright", run from the top of the project),
# `expected.txt` and, where it is not 0, `exit_code` of the last line.
set -eu
program=$1
folder=$2
top=$(cd "$(dirname "$0")/../.." && pwd)
printed=$(mktemp)
trap 'rm -f "$printed"' EXIT
cd "$top"
feedwright() { NO_COLOR=1 "$program" "$@"; }
set +e
. "./$folder/command" > "$printed" 2>&1
code=$?
set -e
if [ "${3-}" = --update ]; then
    cp "$printed" "$folder/expected.txt"
    rm -f "$folder/exit_code"
    [ "$code" = 0 ] || echo "$code" > "$folder/exit_code"
    exit 0
fi
wanted=0
[ ! -f "$folder/exit_code" ] || wanted=$(cat "$folder/exit_code")
[ "$code" = "$wanted" ] || { echo "exit code $code; expected $wanted"; exit 1; }
diff -u "$folder/expected.txt" "$printed"
