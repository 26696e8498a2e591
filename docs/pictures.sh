#!/usr/bin/env bash
# Makes the pictures of the papers: the window takes them of itself, on a virtual display where
# there is none. Run it after a change that shows, and look at what it made before committing.
set -euo pipefail
cd "$(dirname "$0")/.."
cargo build --release --locked
mkdir -p docs/pictures target

if [ -z "${DISPLAY:-}" ]; then
    Xvfb -displayfd 3 -screen 0 1600x1000x24 -nolisten tcp 3>target/pictures.display 2>/dev/null &
    xvfb=$!
    trap 'kill "$xvfb"' EXIT
    for _ in $(seq 100); do
        [ -s target/pictures.display ] && break
        sleep 0.1
    done
    DISPLAY=:$(head -n 1 target/pictures.display)
    export DISPLAY LIBGL_ALWAYS_SOFTWARE=1
fi

shot() {
    rm -f target/pictures.png
    env -u WAYLAND_DISPLAY target/release/twostage "${@:2}" --shot target/pictures.png
    mv target/pictures.png "docs/pictures/$1.png"
    echo "docs/pictures/$1.png"
}
# Supper is on, the furnace and both burners have just come in; the forces on the second diaphragm.
shot window --at 20 --forces 2
# A drill under way, and the same gone through afterwards, at the moment of a reading.
acts="look; listen; fluid second vent; note second_seat_nick 60 %; shut 1"
shot drill --at 0 --page drills --begin "1: $acts"
shot debrief --at 0 --page drills --begin "1: $acts; answer second_seat_nick replace shut off; show 3"
# The walks of docs/guide.md: a step of the tour, a branch beside the run it left, a test on the bench, a curve, the
# window in front of a room.
shot guide_tour --at 0 --begin "tour"
shot guide_branch scenarios/sealed_at_dusk.toml --at 2600 --span 3000 --begin "branch 600"
shot guide_bench --at 20 --page bench --begin "lock-up"
shot guide_curve --at 20 --page curves --begin "outlet against load"
shot guide_room --at 20 --size 1280 720 --begin "present"
# A lesson that was predicted and watched.
shot lesson --at 0 --page lessons --begin "lock_up answered"
