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
