#!/usr/bin/env bash
# Measures the audit of a large inventory as a whole process, against an SQL engine that does one join of near and
# far ends and two comparisons. Needs a release build; uses hyperfine where it is installed.
#   benches/inventory.sh FOLDER [ROWS]
set -euo pipefail
cd "$(dirname "$0")/.."
folder=${1:?expected FOLDER [ROWS]}
rows=${2:-1000000}

cargo build --release --bin spanwright --example generate_inventory
[ -f "$folder/ports.csv" ] || target/release/examples/generate_inventory "$folder" "$rows"
audit="target/release/spanwright audit $folder/ports.csv"
peer="python3 benches/peer/inventory_sql.py $folder/ports.csv"

# Exit code 1 says that faults were found: that is what the file is for.
if command -v hyperfine >/dev/null 2>&1; then
    hyperfine --ignore-failure --warmup 1 --runs 5 "$audit" "$peer"
else
    for command in "$audit" "$audit" "$audit" "$peer"; do
        /usr/bin/time -f "%es, %U s user, %S s system, %M kB: $command" $command >/dev/null || true
    done
fi
