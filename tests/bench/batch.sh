#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Measures batch against other ways to solve a job for many price lists, in one run on one machine,
# and prints the tables of docs/performance.md.
#   sh tests/bench/batch.sh [LISTS]      20000 lists; 1000 is a quick try
# Needs coinor-libclp-dev, liblpsolve55-dev, libsuitesparse-dev, glpk-utils, python3-scipy and time
# (Debian packages) besides what the build needs.
set -eu
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
. "$root/tests/setup.sh"
need_packages build
build="$root/build/bench"
for target in feedwright batch_solvers; do
    build_tree "$build" $target -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=OFF \
        -D FEEDWRIGHT_BENCH=ON
done
for tool in glpsol /usr/bin/time; do
    command -v "$tool" > /dev/null || { echo "Please install glpk-utils and time." >&2; exit 1; }
done
/usr/bin/python3 -c 'import scipy' || { echo "Please install python3-scipy." >&2; exit 1; }
exec /usr/bin/python3 "$root/tests/bench/batch.py" "$root" "$build" "${1:-20000}"
