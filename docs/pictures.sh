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
picture window scenarios/light_off.toml --at 84 --span 80
picture window-dark scenarios/sealed_at_dusk.toml --at 36000 --span 40000 --dark
picture window-hands scenarios/light_off.toml --at 84 --span 80 --page hands --forces 1
