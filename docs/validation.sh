#!/usr/bin/env bash
# Makes docs/validation.md: runs every test with TWOSTAGE_VALIDATION_DIR set, gathers the rows the
# outside checks leave there, sorts them. With --check it compares instead of writing. What else
# is given goes to cargo test (--no-default-features builds quicker and gives the same rows).
set -euo pipefail
cd "$(dirname "$0")/.."
compare=
if [ "${1:-}" = --check ]; then
    compare=yes
    shift
fi
rows=$PWD/target/validation
table=docs/validation.md
rm -rf "$rows"
TWOSTAGE_VALIDATION_DIR=$rows cargo test --locked "$@"

made=$rows/validation.md
{
    cat <<'HEAD'
# Validation

Every number of ours that is compared with one from outside the project. Made by
`docs/validation.sh` from the tests themselves and compared by the gate, so it cannot go stale.
Where a check stands for many points all must pass, and the worst is shown.

Grades: **published** a named publication or open data set; **code** the text of a code or
standard was read; **derived** an exact result or independent calculation; **practice** common
practice of the trade, no source; **memory** recalled, not re-read.

Values are shown to a tenth of what the tolerance allows, or finer.

| check | what | grade | source | expected | obtained | tolerance | unit |
|---|---|---|---|---|---|---|---|
HEAD
    LC_ALL=C sort -u "$rows"/rows.md
    cat <<'TAIL'

## The long run

`cargo bench --no-default-features --bench soak -- 20000` draws cases from a seed: any container, one or
two, 5 to 100 % full, -40 to 130 °F, sea level to 3000 m, any appliances, up to two faults at any
severity coming at once or slowly, and hands that open, shut, light, bleed, tap, warm and turn as they
like for up to ten minutes. Each must end without a panic or an untold failure, every reading sampled
must be possible (no absolute pressure under zero, no number that is none), and the mass balance must
stand within 1e-6. The first 240 cases are part of `cargo test`. Copied here by hand after a run:

20000 cases from seed 0: 20000 kept every law, 0 ended with a told error, 0 gave a number that cannot
be; worst mass balance 2.8e-9; 299 s on two cores.
TAIL
} >"$made"
if twice=$(LC_ALL=C sort -u "$rows/rows.md" | cut -d'|' -f2 | uniq -d) && [ -n "$twice" ]; then
    echo "validation: more than one check has the name: $twice"
    exit 1
fi
if [ -n "$compare" ]; then
    if ! diff -u "$table" "$made"; then
        echo "validation: $table is stale; run docs/validation.sh and commit what it writes"
        exit 1
    fi
    echo "validation: $table stands, $(wc -l <"$rows/rows.md") checks"
else
    cp "$made" "$table"
    echo "validation: $table written, $(wc -l <"$rows/rows.md") checks"
fi
