#!/usr/bin/env bash
# Work against precision, with peers: makes docs/pictures/work_precision.svg and target/work_precision.tsv, whose numbers
# stand in docs/performance.md. The peers are SciPy's; they come into an environment of their own under target/ and are
# no part of the program.
# Usage: docs/work_precision.sh [HOURS]   of the night, one where it is left out (a quarter of an hour of work)
set -euo pipefail
cd "$(dirname "$0")/.."
hours=${1:-1}
peers=$PWD/target/peers
if [ ! -x "$peers/bin/python" ]; then python3 -m venv "$peers"; fi
"$peers/bin/python" -c 'import scipy' 2>/dev/null || "$peers/bin/pip" install --quiet scipy==1.17.1
program=$(cargo bench --no-default-features --locked --bench work_precision --no-run --message-format=json |
    "$peers/bin/python" -c '
import json, sys
built = [json.loads(line) for line in sys.stdin]
print(next(b["executable"] for b in built if b.get("executable") and b["target"]["name"] == "work_precision"))')
"$peers/bin/python" docs/tools/peers.py "$program" "$hours" target/work_precision.tsv docs/pictures/work_precision.svg
