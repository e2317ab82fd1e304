#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Checks the layout of all sources with clang-format, and with clang-tidy the sources that the last
# commit changed.
#
#   sh tests/style.sh          sources changed by the last commit, and those not committed yet
#   sh tests/style.sh --all    all sources; about 15 minutes on two cores
set -eu

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/tests/setup.sh"
cd "$root"

need_packages style
step "Check the layout (clang-format)" sh -c \
    'git ls-files "*.cpp" "*.hpp" | xargs clang-format --dry-run --Werror'

if [ "${1:-}" = --all ]; then
    sources=$(git ls-files 'src/*.cpp' 'tests/*.cpp')
else
    since=$(git rev-parse --verify --quiet HEAD~1 || git hash-object -t tree /dev/null)
    sources=$(git diff --name-only --diff-filter=d "$since" -- 'src/*.cpp' 'tests/*.cpp')
fi
# Only what the release build compiles can be read: the fuzzer needs clang's own library.
sources=$(printf '%s\n' "$sources" | grep -v -e '^tests/fuzz/job_fuzzer' -e '^tests/bench/' || true)
if [ -z "$sources" ]; then
    say "== No sources for clang-tidy"
    exit 0
fi
configure_tree "$root/build/release" -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=ON
# clang does not know every warning that g++ is asked for.
# shellcheck disable=SC2086 # a list of names
step "Check the code (clang-tidy)" run-clang-tidy -quiet -p "$root/build/release" \
    -j "$(processors)" -extra-arg=-Wno-unknown-warning-option $sources
