#!/bin/sh
# Makes the pictures of the papers with the program itself, on a virtual display (xvfb).
# Usage: docs/pictures.sh [PROGRAM], from the top of the project.
set -eu
program=${1:-target/release/twostage}
picture() {
    name=$1
    shift
    xvfb-run -a -s '-screen 0 1400x900x24' "$program" "$@" --size 1400 900 --shot "docs/$name.png"
}
picture window --at 14 --span 20
picture window-dark scenarios/sealed_at_dusk.toml --at 600 --dark
picture window-hands --at 14 --span 20 --page hands --forces 1
