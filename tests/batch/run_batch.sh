#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Tries the batch command as a user would: forms of price lists, exit codes, shards, full disks,
# closed pipes, and runs that are killed at any moment and resumed.
#   run_batch.sh PROGRAM [KILLS]      runs to kill and resume (5)
set -eu
program=$1
kills=${2:-5}
top=$(cd "$(dirname "$0")/../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
job=$top/examples/backyard-tilapia/job.json

fail() {
    echo "FAILED: $*"
    exit 1
}

# run CODE ARGUMENTS...: the program must end with CODE; standard output and error are kept.
run() {
    wanted=$1
    shift
    code=0
    "$program" "$@" > out 2> err || code=$?
    [ "$code" = "$wanted" ] || { cat err; fail "exit code $code, expected $wanted: $*"; }
}

# table LISTS: prices between 0.1 and 2.1, from a small generator of its own.
table() {
    awk -v n="$1" 'BEGIN {
        OFS = ","; seed = 42
        print "list", "maize", "soybean-meal-44", "wheat-bran", "rice-bran-full-fat", "duckweed-dried"
        for (i = 1; i <= n; ++i) {
            line = "list " i
            for (j = 0; j < 5; ++j) {
                seed = (seed * 16807) % 2147483647
                line = line sprintf(",%.4f", 0.1 + 2 * seed / 2147483647)
            }
            print line
        }
    }'
}

table 3000 > prices.csv

# A file, standard input, any number of threads: the same lines.
run 0 batch "$job" prices.csv -o whole.jsonl
[ "$(wc -l < whole.jsonl)" = 3000 ] || fail "not a line a list"
grep -q "price lists *3000" err || fail "no summary on standard error"
if grep -q "$(printf '\r')" err; then fail "a progress line where no terminal is"; fi
"$program" batch "$job" - < prices.csv 2> err | cmp - whole.jsonl || fail "standard input"
for threads in 1 2 3 8; do
    run 0 batch "$job" prices.csv --threads $threads -o some.jsonl --summary summary
    cmp some.jsonl whole.jsonl || fail "$threads threads"
    [ ! -s err ] || fail "a summary on standard error beside --summary"
    grep -q "price lists *3000" summary || fail "no summary in its file"
done

# CSV, by the name of the output or by --as; shards join to the same bytes in both forms.
run 0 batch "$job" prices.csv -o whole.csv --columns cost,mix,binding,shadow
run 0 batch "$job" prices.csv --as csv --columns shadow,binding,mix,cost
cmp out whole.csv || fail "--as csv"
for kind in csv jsonl; do
    columns=cost,mix
    [ $kind = jsonl ] || columns=cost,mix,binding,shadow
    : > joined
    for part in 1 2 3 4 5 6 7; do
        run 0 batch "$job" prices.csv --shard $part/7 -o part.$kind --columns $columns
        cat part.$kind >> joined
    done
    cmp joined whole.$kind || fail "shards in $kind"
done

# The recipes of the guide: GNU parallel, here and over "ssh" to this machine, and a job array.
mkdir bin
ln -s "$program" bin/feedwright
PATH=$work/bin:$PATH
cp "$job" job.json
parts=$(seq -f part-%g.jsonl 16)
if command -v parallel > /dev/null; then
    parallel --will-cite feedwright batch job.json prices.csv --shard {}/16 --threads 1 \
        -o part-{}.jsonl --resume ::: $(seq 16) 2> err
    cat $parts | cmp - whole.jsonl || fail "GNU parallel"
    rm part-*
    echo : > hosts
    parallel --will-cite -j1 --sshloginfile hosts --basefile job.json --basefile prices.csv \
        --return part-{}.jsonl \
        feedwright batch job.json prices.csv --shard {}/16 -o part-{}.jsonl ::: $(seq 16) 2> err
    cat $parts | cmp - whole.jsonl || fail "GNU parallel with a list of hosts"
    rm part-*
else
    echo "GNU parallel is not installed: its recipes were not tried"
fi
sed -n '/^    #!\/bin\/sh$/,/--resume$/s/^    //p' "$top/docs/guide.md" > part.sh
grep -q SLURM_ARRAY_TASK_ID part.sh || fail "the guide has no job array"
for task in $(seq 16); do
    SLURM_ARRAY_TASK_ID=$task SLURM_CPUS_PER_TASK=2 sh part.sh 2> err
done
cat $parts | cmp - whole.jsonl || fail "a job array"

# One bad cell costs one line.
sed '5s/,[0-9.]*/,abc/' prices.csv > bad.csv
run 5 batch "$job" bad.csv -o bad.jsonl
grep -q "with an error *1" err || fail "the error is not counted"
sed -n 4p bad.jsonl | grep -q '"status":"error","reason":"bad.csv: line 5, column maize: found' ||
    fail "the error has no line"
sed 4d bad.jsonl > bad.rest
sed 4d whole.jsonl | cmp - bad.rest || fail "an error changed other lines"

# Names that come from other people's files: no control characters, and no formulas for a spreadsheet.
printf 'list,maize\nred\033[31m\007 \302\233,0.2\n=1+1,0.2\n+1,0.2\n@x,0.2\n-2+3,0.2\n#no,0.2\n-5,0.2\n' > hostile.csv
cp "$job" "@job.json"
run 0 batch @job.json "$top/examples/hen-ration/job.json" hostile.csv --as csv
if LC_ALL=C grep -q "$(printf '[\001-\010\013-\037\177]')" out; then fail "a control character in CSV"; fi
if LC_ALL=C grep -q "$(printf '\302\233')" out; then fail "a C1 control character in CSV"; fi
if grep -Eq '(^|,)[=+@]' out; then fail "a formula in CSV"; fi
if grep -q '^#' out; then fail "a line of CSV that reads as a comment"; fi
for name in "'=1+1" "'+1" "'@x" "'-2+3" "-5"; do
    cut -d, -f2 out | grep -qxF -e "$name" || fail "no list named $name"
done
cut -d, -f1 out | grep -qxF "'@job.json" || fail "a job's name as a formula"

# A folder, several jobs, a grid, a job alone, recipes.
mkdir lists
printf 'ingredient,price\nmaize,0.2\n' > lists/a.csv
printf 'ingredient,price,unit\nmaize,8,40 kg\n' > lists/b.csv
run 0 batch "$job" lists
sed 's/"list":"[ab]"//' out | uniq | wc -l | grep -qx '1' || fail "equal lists differ"
run 0 batch "$job" "$top/examples/hen-ration/job.json" lists
[ "$(wc -l < out)" = 4 ] || fail "two jobs, two lists"
run 0 batch "$job" --grid maize.price=0.1:0.5:0.1 --grid wheat-bran.price=0.1:0.2:0.05
[ "$(wc -l < out)" = 15 ] || fail "a grid of 15"
run 0 batch "$job"
[ "$(wc -l < out)" = 1 ] || fail "a job alone"
mkdir recipes
cp "$top/examples/farmers-recipe/recipe.csv" recipes/short.csv
echo nonsense > recipes/wrong.csv
run 5 batch --recipes recipes --for nile-tilapia/grow-out
[ "$(wc -l < out)" = 2 ] || fail "two recipes"
rm recipes/wrong.csv
run 4 batch --recipes recipes --for nile-tilapia/grow-out

# What is wrong with the command line, and with files.
run 2 batch
run 2 batch "$job" prices.csv --columns cost,mixx
run 2 batch "$job" prices.csv --threads 0
run 2 batch "$job" prices.csv --shard 4/3
run 2 batch "$job" prices.csv --resume
run 2 batch "$job" - --shard 1/2
run 2 batch "$job" --grid maize=1:2:1
run 2 batch "$job" prices.csv --grid maize.price=1:2:1
run 1 batch "$job" missing.csv
echo "list,maise" > wrong.csv
echo untouched > kept
run 1 batch "$job" wrong.csv -o kept
[ "$(cat kept)" = untouched ] || fail "a wrong table cost the old output"

# What is read is never written over, by whatever name: a job, a table, a file of a folder, standard input, prices,
# a library of one's own, a recipe. Nor is one output written over the other.
mkdir safe safe/lists safe/jobs safe/recipes
cp "$job" safe/job.json
cp "$job" safe/jobs/a.json
cp prices.csv safe/l.csv
printf 'ingredient,price\nmaize,0.2\n' > safe/lists/1.csv
cp safe/lists/1.csv safe/lists/2.csv
cp safe/lists/1.csv safe/p.csv
cp "$top/examples/farmers-recipe/recipe.csv" safe/recipes/r.csv
cp "$top/examples/own-numbers/my-library.json" safe/own.json
ln safe/l.csv safe/hard.csv
ln -s l.csv safe/soft.csv
read_files="safe/job.json safe/jobs/a.json safe/l.csv safe/lists/1.csv safe/lists/2.csv safe/p.csv
    safe/recipes/r.csv safe/own.json"
before=$(cat $read_files | cksum)
while read -r words; do
    code=0
    # A program that reads what it writes is stopped before it fills the disk.
    (ulimit -f 40000; eval "timeout 20 \"$program\" batch $words" > out 2> err) || code=$?
    [ "$code" = 2 ] || { cat err; fail "exit code $code, expected 2: batch $words"; }
    grep -q "found a file that is read\|found the file of -o" err || fail "no word of what is read: batch $words"
    [ "$(cat $read_files | cksum)" = "$before" ] || fail "an input was written over: batch $words"
    [ -z "$(find . -name '*.unfinished*')" ] || fail "an unfinished file stays: batch $words"
done << 'CASES'
safe/job.json safe/l.csv -o safe/l.csv
safe/job.json safe/l.csv -o safe/hard.csv
safe/job.json safe/l.csv -o safe/soft.csv
safe/job.json safe/soft.csv -o ./safe/../safe/l.csv
safe/job.json safe/l.csv >> safe/l.csv
safe/job.json - < safe/l.csv -o safe/l.csv
safe/job.json - < safe/hard.csv -o safe/l.csv
safe/job.json -o safe/job.json
safe/job.json safe/l.csv -o result --summary safe/job.json
safe/job.json safe/l.csv -o result --summary safe/hard.csv
safe/job.json safe/l.csv -o result --summary result
safe/job.json safe/l.csv -o result --summary ./result
safe/job.json safe/lists -o safe/lists/2.csv
safe/job.json safe/lists -o safe/lists/new.csv
safe/job.json safe/lists -o result --summary safe/lists/1.csv
safe/jobs safe/l.csv -o safe/jobs/a.json
safe/jobs safe/l.csv -o safe/jobs/new.json
safe/job.json --prices safe/p.csv safe/lists -o safe/p.csv
safe/job.json safe/lists -o safe/own.json --library safe/own.json
--recipes safe/recipes/r.csv --for nile-tilapia/fry -o safe/recipes/r.csv
--recipes safe/recipes --for nile-tilapia/fry -o safe/recipes/r.csv
--recipes safe/recipes --for nile-tilapia/fry -o safe/recipes/new.json
--recipes safe/recipes --for nile-tilapia/fry --library safe/own.json -o safe/own.json
CASES
[ ! -e result ] || fail "a refused command wrote its output"
run 0 batch safe/job.json safe/lists -o safe/lists/fine.jsonl

# A file has its name only when it is whole; until then what stood there, an earlier result, stays.
old='{"list":"0","status":"optimal"}'
if [ "$(id -u)" != 0 ]; then
    echo "$old" > locked
    chmod a-w locked
    run 1 batch "$job" prices.csv -o locked
fi
echo "what somebody else wrote" > others
run 2 batch "$job" prices.csv -o others
run 0 batch "$job" prices.csv -o others --force
mkdir real
echo "$old" > real/target
chmod 640 real/target
ln -s real/target link
ln -s real/none dangling
run 0 batch "$job" prices.csv -o link
run 0 batch "$job" prices.csv -o dangling
{ [ -L link ] && [ -L dangling ]; } || fail "a link was replaced"
cmp link dangling || fail "the file behind a dangling link"
[ "$(stat -c %a real/target)" = 640 ] || fail "the file's mode changed"
echo "$old" > kept
table 60000 > some.csv
(ulimit -f 2000; run 1 batch "$job" some.csv -o kept) || fail "a file that may grow no further"
[ "$(cat kept)" = "$old" ] || fail "a full disk cost the old output"
grep -q "kept.unfinished: the same command with --resume" err || { cat err; fail "no word of what is left"; }
[ "$(head -c 100 kept.unfinished | wc -c)" = 100 ] || fail "nothing is left to go on with"
run 0 batch "$job" some.csv -o kept --resume
[ ! -e kept.unfinished ] || fail "the unfinished file stays"
run 0 batch "$job" some.csv -o other
cmp kept other || fail "resumed after a full disk"
# The first list again at the end is an error of the whole table, found when most is written.
awk 'BEGIN { print "list,ingredient,price"; for (i = 1; i <= 60000; ++i) print i ",maize,0.2"; print "1,maize,0.2" }' > apart.csv
echo "$old" > kept
run 1 batch "$job" apart.csv -o kept
[ "$(cat kept)" = "$old" ] || fail "a wrong table cost the old output"
[ ! -e kept.unfinished ] || fail "an unfinished file stays that nothing can go on with"
{ cat prices.csv; sleep 20; } 2> /dev/null | "$program" batch "$job" - -o kept 2> /dev/null &
pid=$!
for again in $(seq 150); do
    [ ! -e kept.unfinished ] || break
    sleep 0.1
done
run 1 batch "$job" prices.csv -o kept
grep -q "another run is writing it" err || fail "two runs write one file"
kill $pid
wait $pid 2> /dev/null || true
rm -f kept.unfinished

# How a stream arrives changes nothing: the head of this table is cut in two after 4096 bytes.
{
    printf 'Prices '
    head -c 4083 /dev/zero | tr '\0' x
    printf '\nweek,maize,wheat-bran\na,0.3,0.2\n'
} > long-title.csv
run 0 batch "$job" long-title.csv -o whole.jsonl
{
    head -c 4096 long-title.csv
    sleep 0.5
    tail -c +4097 long-title.csv
} | run 0 batch "$job" - -o streamed.jsonl
cmp whole.jsonl streamed.jsonl || fail "a stream in two parts"

# A full disk and a reader that goes away are told of.
run 1 batch "$job" prices.csv -o /dev/full
grep -q "/dev/full: cannot write" err || fail "a full disk"
{
    code=0
    "$program" batch "$job" prices.csv 2> err || code=$?
    echo $code > code
} | head -n 1 > out
[ "$(cat code)" = 1 ] || fail "a closed pipe ends with exit code $(cat code)"
grep -q "standard output: the program that reads it has ended" err || fail "a closed pipe"

# Cut off at any byte and resumed, the output is what it would have been.
size=$(wc -c < whole.csv)
for cut in 0 1 100 2000 $((size / 3)) $((size - 1)) "$size"; do
    head -c "$cut" whole.csv > cut.csv
    run 0 batch "$job" prices.csv -o cut.csv --columns cost,mix,binding,shadow --resume
    cmp cut.csv whole.csv || fail "resumed after $cut bytes"
done
head -c $((size / 2)) whole.csv > cut.csv
cp cut.csv before.csv
run 1 batch "$job" bad.csv -o cut.csv --columns cost,mix --resume
cmp cut.csv before.csv || fail "resuming with other columns changed the file"
sed 's/,0/,1/g' prices.csv > other.csv
run 1 batch "$job" other.csv -o cut.csv --columns cost,mix,binding,shadow --resume
cmp cut.csv before.csv || fail "resuming with other prices changed the file"
run 0 batch "$job" "$top/examples/hen-ration/job.json" prices.csv -o two.jsonl
size=$(wc -c < two.jsonl)
for cut in 200 $((size / 2)); do
    head -c "$cut" two.jsonl > cut.jsonl
    run 0 batch "$job" "$top/examples/hen-ration/job.json" prices.csv -o cut.jsonl --resume
    cmp cut.jsonl two.jsonl || fail "two jobs resumed after $cut bytes"
done

# Killed at any moment, twice a round, and resumed.
table 100000 > many.csv
run 0 batch "$job" many.csv -o whole.jsonl
killed=0
round=0
while [ "$killed" -lt "$kills" ]; do
    round=$((round + 1))
    [ "$round" -le $((10 * kills)) ] || fail "runs end before they can be killed"
    rm -f killed.jsonl
    for again in 1 2; do
        "$program" batch "$job" many.csv -o killed.jsonl --resume 2> /dev/null &
        pid=$!
        sleep "$(awk -v s="$round$again" 'BEGIN { srand(s); printf "%.3f", 0.12 * rand() }')"
        kill -9 $pid 2> /dev/null || true
        code=0
        wait $pid 2> /dev/null || code=$?
        [ $code -ne 137 ] || killed=$((killed + 1))
    done
    run 0 batch "$job" many.csv -o killed.jsonl --resume
    cmp killed.jsonl whole.jsonl || fail "round $round of killing and resuming"
done
signal_number() {
    case $1 in HUP) echo 1 ;; INT) echo 2 ;; KILL) echo 9 ;; TERM) echo 15 ;; esac
}
# Stopped by a signal, the old output is as it was, and the same command goes on.
for signal in INT TERM HUP KILL; do
    echo "$old" > stopped.jsonl
    rm -f stopped.jsonl.unfinished
    { cat many.csv; sleep 20; } 2> /dev/null |
        env --default-signal=INT "$program" batch "$job" - -o stopped.jsonl 2> err &
    pid=$!
    for again in $(seq 150); do
        [ ! -s stopped.jsonl.unfinished ] || break
        sleep 0.1
    done
    sleep 0.3
    kill -s $signal $pid
    code=0
    wait $pid 2> /dev/null || code=$?
    [ $code = $((128 + $(signal_number $signal))) ] || fail "SIG$signal: exit code $code"
    [ "$(cat stopped.jsonl)" = "$old" ] || fail "SIG$signal cost the old output"
    [ -s stopped.jsonl.unfinished ] || fail "SIG$signal: nothing to go on with"
    [ $signal = KILL ] || grep -q "stopped.jsonl.unfinished: the same command with --resume" err ||
        fail "SIG$signal: no word of what is left"
done
# Before there is any result, nothing is left.
rm -f stopped.csv.unfinished
echo "$old" > stopped.csv
{ head -n 1 many.csv; sleep 20; } 2> /dev/null | "$program" batch "$job" - -o stopped.csv 2> err &
pid=$!
for again in $(seq 150); do
    [ ! -s stopped.csv.unfinished ] || break
    sleep 0.1
done
sleep 0.3
kill -s TERM $pid
wait $pid 2> /dev/null || true
[ "$(cat stopped.csv)" = "$old" ] || fail "SIGTERM at the start cost the old output"
[ ! -e stopped.csv.unfinished ] || fail "an unfinished file stays without a result"
kept=$(grep -c . stopped.jsonl.unfinished)
run 0 batch "$job" many.csv -o stopped.jsonl --resume
cmp stopped.jsonl whole.jsonl || fail "resumed after a signal"
grep -q "Resumed: " err || fail "begun anew after $kept lines"
echo "passed; $killed runs killed in $round rounds"
