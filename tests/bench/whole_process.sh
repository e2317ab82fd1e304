#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Times the whole program on a job of 40 ingredients against glpsol on the same linear program, in turn within one run,
# and prints the medians of wall time, their ratio and the peak memory.
#   sh tests/bench/whole_process.sh [RUNS]
# Needs glpk-utils, jq and time (Debian packages) besides what the build needs.
set -eu
runs=${1:-200}
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
. "$root/tests/setup.sh"
need_packages build
build="$root/build/bench"
build_tree "$build" write_program -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=OFF -D FEEDWRIGHT_BENCH=ON
build_tree "$build" in_turn -D FEEDWRIGHT_BENCH=ON
build_tree "$build" feedwright -D FEEDWRIGHT_BENCH=ON
for tool in glpsol /usr/bin/time; do
    command -v "$tool" >/dev/null || { echo "Please install glpk-utils and time." >&2; exit 1; }
done
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
job="$root/tests/bench/forty-ingredients.json"
"$build/tests/bench/write_program" mps "$root/data" "$job" > "$work/program.mps"
"$build/tests/bench/write_program" mathprog "$root/data" "$job" > "$work/program.mod"
"$build/tests/bench/in_turn" "$runs" \
    "$build/src/feedwright formulate $job" \
    "glpsol --math $work/program.mod -o $work/answer.txt" \
    "glpsol --freemps $work/program.mps -o $work/answer.txt" \
    "$build/src/feedwright --version"
/usr/bin/time -f 'peak memory of feedwright: %M kB' "$build/src/feedwright" formulate "$job" > /dev/null
