#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# What `import` and `--library` do to files and exit codes.   import_test.sh PROGRAM SOURCE-FOLDER
set -u
export FEEDWRIGHT_LIBRARY=
program=$1
export FEEDWRIGHT_DATA="$2/data"
report=$2/examples/own-numbers/lab-report.csv
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
failed=0

# expect CODE WORD ARGUMENTS...: the exit code, and a word that is printed (to either stream).
expect() {
    wanted=$1
    word=$2
    shift 2
    printed=$("$program" "$@" 2>&1)
    code=$?
    if [ "$code" != "$wanted" ]; then
        echo "feedwright $*: exit code $code, expected $wanted: $printed"
        failed=1
    fi
    case $printed in
        *"$word"*) ;;
        *) echo "feedwright $*: printed no \"$word\": $printed"; failed=1 ;;
    esac
}
must() {
    "$@" || { echo "not so: $*"; failed=1; }
}

expect 2 'found no -o FILE' import "$report" --id my-meal
expect 0 'my.json is written' import "$report" --id my-meal --category fish-meal -o my.json
cp my.json before.json
expect 1 'already exists' import "$report" --id other -o my.json
must cmp -s my.json before.json
expect 0 'my.json is written' import "$report" --id other --force -o my.json
printf 'id,ash,foo\nx,abc,1\n' > bad.csv
expect 1 'foo' import bad.csv -o new.json
must [ ! -e new.json ]
expect 1 'Did you mean' import "$report" --id my-meal --extend fish-meal-66 -o new.json
must [ ! -e new.json ]
expect 1 'no-such.csv' import no-such.csv -o new.json
expect 2 'as_fed' import "$report" --id x --basis wet -o new.json
expect 0 '"format": "feedwright-import/1"' import "$report" --id x -o x.json --as json
expect 0 'crude protein' show other --library my.json
expect 2 'expected an ingredient, species' show my-other --library my.json
expect 0 'my-meal' list ingredients my-meal --library before.json --library my.json
printf '{ "format": "feedwright-job/1" }' > job.json
expect 1 'feedwright-library/1' show maize --library job.json
printf '{ "format": "feedwright-library/1", "ingredients": [ { "id": "salt", "extend": "salt", "name": "sea salt" } ] }' > salt.json
expect 0 'sea salt' show salt --library salt.json

# A library of one's own, which no command has to name.
unset FEEDWRIGHT_LIBRARY
export XDG_DATA_HOME="$folder/data"
expect 0 'library/my-feeds.json' import "$report" --id my-meal --save-as my-feeds
must [ -f "$XDG_DATA_HOME/feedwright/library/my-feeds.json" ]
expect 1 'already exists' import "$report" --id my-meal --save-as my-feeds
expect 0 'my-feeds.json' list ingredients my-meal
expect 0 'the library' list ingredients meal
expect 2 'a name of small letters' import "$report" --id x --save-as ../x
expect 2 'found -o and --save-as' import "$report" --id x --save-as x -o y.json
FEEDWRIGHT_LIBRARY= expect 2 'my-meal' list ingredients my-meal
FEEDWRIGHT_LIBRARY="$folder/salt.json" expect 0 'sea salt' show salt
FEEDWRIGHT_LIBRARY="$folder/none.json" expect 1 'not there' show salt
# A file of a command lies over it.
expect 0 'before.json' list ingredients my-meal --library before.json
exit $failed
