#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Installs what is missing, builds Feedwright without its tests and prints a first mix.
set -eu

root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/tests/setup.sh"

need_packages build
build_tree "$root/build/first" all -D CMAKE_BUILD_TYPE=Release -D FEEDWRIGHT_TESTS=OFF
exec "$root/build/first/src/feedwright" formulate "$root/examples/backyard-tilapia/job.json"
