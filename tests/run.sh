#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs what is missing, builds Feedwright and runs its tests.
#
#   sh tests/run.sh              an optimised build, all tests
#   sh tests/run.sh --debug      the same, not optimised, for a debugger
#   sh tests/run.sh --clang      the same, by clang
#   sh tests/run.sh --sanitize   all tests under the address, leak and undefined-behaviour sanitizers
#   sh tests/run.sh --thread     the tests labelled threads under the thread sanitizer
#
# Further arguments go to ctest: sh tests/run.sh -R unit_base
set -eu

kind=release
case ${1:-} in
    --debug | --clang | --sanitize | --thread)
        kind=${1#--}
        shift
        ;;
esac
[ "$kind" != clang ] || export CXX=clang++

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/tests/setup.sh"

need_packages test
# A library of the user's own would change what the tests see.
export FEEDWRIGHT_LIBRARY=
build="$root/build/$kind"
# With sanitizers the usual -O2 -g takes more than twice as long to compile.
quick="-DCMAKE_CXX_FLAGS_RELWITHDEBINFO=-O1 -g1 -DNDEBUG"
case $kind in
    debug)
        build_tree "$build" all -D CMAKE_BUILD_TYPE=Debug -D FEEDWRIGHT_TESTS=ON
        ;;
    release | clang)
        build_tree "$build" all -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=ON
        ;;
    sanitize)
        build_tree "$build" all -D CMAKE_BUILD_TYPE=RelWithDebInfo "$quick" \
            -D FEEDWRIGHT_TESTS=ON -D FEEDWRIGHT_SANITIZE=address,undefined
        export ASAN_OPTIONS="${ASAN_OPTIONS:-detect_leaks=1:strict_string_checks=1}"
        export UBSAN_OPTIONS="${UBSAN_OPTIONS:-print_stacktrace=1}"
        ;;
    thread)
        build_tree "$build" threads_tests -D CMAKE_BUILD_TYPE=RelWithDebInfo "$quick" \
            -D FEEDWRIGHT_TESTS=ON -D FEEDWRIGHT_SANITIZE=thread
        set -- -L '^threads$' "$@"
        ;;
esac

say "== Test $build"
exec ctest --test-dir "$build" --output-on-failure --no-tests=error --parallel "$(processors)" "$@"
