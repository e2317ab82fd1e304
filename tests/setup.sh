# SPDX-License-Identifier: GPL-3.0-or-later
# shellcheck shell=sh
# Read by examples/first-mix.sh and tests/run.sh, which set `root` to the top of the source tree:
# installs what is missing, configures and builds. Everything is said on standard error, so that a
# script's own output stays clean.
: "${root:?}"

say() {
    printf '%s\n' "$*" >&2
}

# step NAME COMMAND...: runs a command; a failure ends the script and names the step.
step() {
    step_name=$1
    shift
    say "== $step_name"
    if ! "$@" >&2; then
        say "FAILED: $step_name"
        exit 1
    fi
}

has_command() {
    command -v "$1" >/dev/null 2>&1
}

# The compiler that CMake will take.
compiler=${CXX:-c++}

has_header() {
    if has_command "$compiler"; then
        printf '#if !__has_include(<%s>)\n#error missing\n#endif\n' "$1" |
            "$compiler" -E -x c++ - >/dev/null 2>&1
    else
        [ -e "/usr/include/$1" ]
    fi
}

# missing_packages build|test|style: names the Debian packages of what is not there. It looks for the thing
# itself, not for the package, so that another system or a library built from source will do as well.
missing_packages() {
    has_command "$compiler" || { [ "$compiler" = clang++ ] && printf 'clang ' || printf 'g++ '; }
    has_command cmake || printf 'cmake '
    has_command ninja || has_command make || printf 'ninja-build '
    has_header CLI/CLI.hpp || printf 'libcli11-dev '
    has_header boost/math/distributions/students_t.hpp || printf 'libboost-dev '
    has_header fmt/format.h || printf 'libfmt-dev '
    has_header glpk.h || printf 'libglpk-dev '
    has_header nlohmann/json.hpp || printf 'nlohmann-json3-dev '
    if [ "$1" = style ]; then
        has_command clang-format || printf 'clang-format '
        has_command run-clang-tidy || printf 'clang-tidy '
    fi
    [ "$1" != build ] || return 0
    has_header catch2/catch.hpp || printf 'catch2 '
    { has_command python3 && python3 -c 'import jsonschema' 2>/dev/null; } || printf 'python3-jsonschema '
    has_header coin/Cbc_C_Interface.h || printf 'coinor-libcbc-dev '
    has_header coin/ClpSimplex.hpp || printf 'coinor-libclp-dev '
}

# as_root COMMAND...: directly or through sudo, where that needs no password.
as_root() {
    if [ "$(id -u)" -eq 0 ]; then
        "$@"
    else
        sudo -n "$@"
    fi
}

# need_packages build|test|style: installs what is missing, or says what to install and ends the script.
need_packages() {
    packages=$(missing_packages "$1")
    packages=${packages% }
    [ -n "$packages" ] || return 0
    if ! has_command apt-get || ! as_root true >/dev/null 2>&1; then
        say "These packages are missing (Debian names): $packages"
        say "Please install them and start again. On Debian or Ubuntu, as root:"
        say "    apt-get install $packages"
        exit 1
    fi
    # Package lists may be old, or absent on a fresh machine; a mirror that fails is found out below.
    say "== Bring the package lists up to date"
    as_root apt-get update -qq >&2 || true
    # shellcheck disable=SC2086 # a list of names
    step "Install $packages" as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -qq -y --no-install-recommends $packages
    packages=$(missing_packages "$1")
    if [ -n "$packages" ]; then
        say "FAILED: still missing after the installation: $packages"
        exit 1
    fi
}

processors() {
    nproc 2>/dev/null || getconf _NPROCESSORS_ONLN 2>/dev/null || printf '1\n'
}

# configure_tree DIRECTORY CMAKE-ARGUMENT...: configures the project there.
configure_tree() {
    build=$1
    shift
    # A tree keeps the generator it began with.
    if [ ! -e "$build/CMakeCache.txt" ] && [ -z "${CMAKE_GENERATOR:-}" ] && has_command ninja; then
        set -- -G Ninja "$@"
    fi
    if [ -z "${CMAKE_CXX_COMPILER_LAUNCHER:-}" ] && has_command ccache; then
        set -- -D CMAKE_CXX_COMPILER_LAUNCHER=ccache "$@"
    fi
    step "Configure $build" cmake -S "$root" -B "$build" --log-level=WARNING "$@"
}

# build_tree DIRECTORY TARGET CMAKE-ARGUMENT...: configures the project there and builds a target.
build_tree() {
    tree=$1
    target=$2
    shift 2
    configure_tree "$tree" "$@"
    step "Build $tree" cmake --build "$tree" --target "$target" --parallel "$(processors)"
}
