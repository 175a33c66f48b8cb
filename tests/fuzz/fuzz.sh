# Sourced by tests/run.sh and tests/long/fuzz.sh: builds the fuzzers with clang into a folder, and runs them.
source cases/setup.sh

fuzz_targets=(case csv readings balance)

fuzz_folder=build-fuzz

# build_fuzzers [CMAKE OPTION...]
build_fuzzers() {
    install_missing $build_packages $test_packages $clang_packages
    configure $fuzz_folder Debug -DCMAKE_CXX_COMPILER=clang++-14 -DEVENHEAD_TESTS=ON -DEVENHEAD_SANITIZE=ON \
        -DEVENHEAD_FUZZ=ON "$@"
    compile $fuzz_folder "${fuzz_targets[@]/#/fuzz_}"
}

# fuzz TARGET SECONDS NEW_FOLDER [OPTION...]: from the corpus and all that was found before; what is new goes to
# NEW_FOLDER. Prints the end of the log; where something was found, all of it, and fails.
fuzz() {
    local target=$1 seconds=$2 new=$3 status=0 longest=8192 scratch from
    shift 3
    [ "$target" = balance ] && longest=512   # some 40 points
    mkdir -p $fuzz_folder/finds
    from=("tests/fuzz/corpus/$target")
    [ -d "tests/regressions/$target" ] && from+=("tests/regressions/$target")
    # In memory where there is some: a file written anew and anew waits for the disk each time.
    scratch=$(mktemp -d -p /dev/shm 2>/dev/null || mktemp -d)
    TMPDIR=$scratch nice "$fuzz_folder/tests/fuzz/fuzz_$target" -max_total_time="$seconds" -timeout=60 \
        -rss_limit_mb=2048 -max_len="$longest" -dict=tests/fuzz/case.dict -artifact_prefix="$fuzz_folder/finds/$target-" \
        "$@" "$new" "${from[@]}" >"$scratch/log" 2>&1 || status=$?
    if [ $status = 0 ]; then
        grep -E '^(Done|stat::)|DONE' "$scratch/log" | sed "s/^/$target: /"
    else
        tail -n 60 "$scratch/log"
    fi
    rm -rf "$scratch"
    return $status
}
