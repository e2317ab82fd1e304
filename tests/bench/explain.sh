#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Times explanations within one process: what a full explanation adds to the answer of a job of 40
# ingredients, simple and degenerate, and how long it takes to explain a conflict of 40 limits with
# the search of the library for ingredients that would help. Then the whole program on the same two jobs, in turn.
#   sh tests/bench/explain.sh [RUNS]
set -eu
runs=${1:-200}
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
. "$root/tests/setup.sh"
need_packages build
build="$root/build/bench"
for target in explain_time in_turn feedwright; do
    build_tree "$build" $target -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=OFF \
        -D FEEDWRIGHT_BENCH=ON
done
job="$root/tests/bench/forty-ingredients.json"
conflict="$root/tests/bench/forty-in-conflict.json"
"$build/tests/bench/explain_time" "$runs" "$root/data" "$job" \
    "$root/tests/bench/forty-degenerate.json" "$conflict"
"$build/tests/bench/in_turn" "$runs" \
    "$build/src/feedwright formulate $job" \
    "$build/src/feedwright formulate $conflict"
