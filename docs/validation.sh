#!/usr/bin/env bash
# Makes docs/validation.md: runs every test with TWOSTAGE_VALIDATION_DIR set, gathers the rows the
# outside checks leave there, and lets docs/tools/qualification.rs make table and picture of them.
# With --check it compares instead of writing; with --master it makes today's results the master that
# later ones are drawn over. What else is given goes to cargo test (--no-default-features builds
# quicker and gives the same rows).
set -euo pipefail
cd "$(dirname "$0")/.."
compare= renew=
while true; do
    case "${1:-}" in
    --check) compare=yes ;;
    --master) renew=yes ;;
    *) break ;;
    esac
    shift
done
rows=$PWD/target/validation
rm -rf "$rows"
TWOSTAGE_VALIDATION_DIR=$rows cargo test --locked "$@"

if [ -n "$renew" ]; then rm -f docs/qualification/master.tsv; fi
make_table() { # TABLE PICTURE
    QUALIFICATION_DAY=$(date +%F) cargo run --quiet --locked "${options[@]}" --example qualification -- \
        "$rows/rows.tsv" docs/qualification/families.toml docs/qualification/master.tsv \
        docs/qualification/not_validated.md "$1" "$2"
}
options=()
for option in "$@"; do
    if [ "$option" = --no-default-features ]; then options=("$option"); fi
done
if [ -n "$compare" ]; then
    make_table "$rows/validation.md" "$rows/qualification.svg"
    if ! diff -u docs/validation.md "$rows/validation.md"; then
        echo "validation: docs/validation.md is stale; run docs/validation.sh and commit what it writes"
        exit 1
    fi
    echo "validation: docs/validation.md stands"
else
    make_table docs/validation.md docs/pictures/qualification.svg
    echo "validation: docs/validation.md written"
fi
