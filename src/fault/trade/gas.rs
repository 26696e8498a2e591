//! What the trade says of faults of the fuel, the container and the way to the regulator.

use super::claim::{
    Act::{AfterNewHose, OnReserve, OnTwin},
    Figure::{
        BurnersOut, Climb, Fill, FirstAtRest, FirstFlowing, HalfLoad, InletAtRest, InletFlowing,
        Input, LeakCheck, LockUp,
    },
    Way::{Higher, Lower, Same},
    apart, shows,
};
use super::{ADVICE_MEMORY, PRACTICE, Page, page_of};

/// Pages of these families.
pub(super) static PAGES: [Page; 16] = [
    page_of(
        "liquid_carry_over",
        "Shut the container, stand it right, check its fill, and replace the regulator and what liquid has reached; then leak check, flow pressure, lock-up and creep",
        PRACTICE,
        &[shows(LockUp, Higher), shows(FirstAtRest, Higher)],
        &[],
    ),
    page_of(
        "container_overfilled",
        "Shut it; a supplier bleeds it down outside to 80 % of the volume; a regulator that saw liquid is replaced whole",
        PRACTICE,
        &[
            shows(LockUp, Higher),
            shows(FirstAtRest, Higher),
            shows(Fill, Higher),
            apart("liquid_carry_over", Fill, Higher),
        ],
        &[],
    ),
    page_of(
        "oily_residue",
        "Replace the regulator whole and the hose that gave the oil; mount it above the container valve so that oil runs back",
        PRACTICE,
        &[
            shows(LockUp, Higher),
            shows(Climb, Higher),
            shows(HalfLoad, Same),
            apart("second_seat_grit", LockUp, Lower),
            apart("second_seat_nick", LockUp, Lower),
            apart("first_seat_nick", FirstAtRest, Lower),
        ],
        &[],
    ),
    page_of(
        "water_in_fuel",
        "Thaw with a warm wet cloth; a supplier dries the container, with the methanol that is made for it or by refilling with dry fuel",
        PRACTICE,
        &[],
        &[],
    ),
    page_of(
        "butane_rich",
        "A supplier refills it with the blend of the season",
        PRACTICE,
        &[apart("container_low", Fill, Higher)],
        &[],
    ),
    page_of(
        "air_in_container",
        "A supplier purges and refills it",
        PRACTICE,
        &[
            shows(InletAtRest, Higher),
            shows(Input, Lower),
            shows(BurnersOut, Higher),
        ],
        &[],
    ),
    page_of(
        "container_cold",
        "Draw less and let it recover; a larger or fuller container, clear of snow and cover",
        PRACTICE,
        &[
            apart("container_low", Fill, Higher),
            apart("water_in_fuel", InletAtRest, Lower),
        ],
        &["butane_rich"],
    ),
    page_of(
        "container_low",
        "Refill it",
        PRACTICE,
        &[
            apart("excess_flow_tripped", InletFlowing, Higher),
            apart("changeover_stuck", Fill, Lower).under(OnTwin),
        ],
        &[],
    )
    .relighting(),
    page_of(
        "service_valve_part_open",
        "Open it fully, slowly; one whose stem is broken is replaced by the supplier, with the container emptied",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(InletFlowing, Lower),
            shows(InletAtRest, Same),
            apart("changeover_early", InletFlowing, Lower).under(OnTwin),
        ],
        &[],
    ),
    page_of(
        "excess_flow_tripped",
        "Look for a broken line first; shut, wait, open slowly; one that trips at a normal load is replaced",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(BurnersOut, Higher),
            apart("service_valve_part_open", FirstFlowing, Lower),
            apart("second_spring_broken", LockUp, Higher),
        ],
        &[],
    ),
    page_of(
        "hose_bored_down",
        "Replace the hose, and look into the regulator's inlet for crumbs of its lining: if there are any, replace that too. A pigtail or hose goes when it is cracked, stiff, swollen or soft, or by its maker's date",
        ADVICE_MEMORY,
        &[
            shows(LockUp, Same),
            shows(InletAtRest, Same),
            shows(InletFlowing, Lower),
            apart("service_valve_part_open", InletFlowing, Higher).under(AfterNewHose),
            apart("first_stage_clogged", InletFlowing, Lower),
            apart("water_in_fuel", InletFlowing, Lower),
            apart("changeover_early", InletFlowing, Lower).under(OnTwin),
        ],
        &["hose_kinked"],
    ),
    page_of(
        "hose_kinked",
        "Replace the hose and lay the new one in a wide bend",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(InletAtRest, Same),
            shows(InletFlowing, Lower),
            apart("service_valve_part_open", InletFlowing, Higher).under(AfterNewHose),
            apart("changeover_early", InletFlowing, Lower).under(OnTwin),
        ],
        &[],
    ),
    page_of(
        "pigtail_leak",
        "Shut the container; tighten or renew the connection, or replace a hose that leaks along its length; leak fluid again",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(LeakCheck, Higher),
        ],
        &[],
    ),
    page_of(
        "first_stage_clogged",
        "Replace the regulator whole and the hose the dirt came from",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(InletFlowing, Same),
            shows(FirstFlowing, Lower),
            apart("water_in_fuel", FirstFlowing, Lower),
            apart("first_screw_low", FirstAtRest, Higher),
            apart("first_spring_weak", FirstAtRest, Higher),
            apart("first_spring_broken", FirstAtRest, Higher),
        ],
        &[],
    ),
    page_of(
        "changeover_stuck",
        "Replace the regulator whole; turn the knob to the full side meanwhile",
        PRACTICE,
        &[
            shows(FirstFlowing, Same).under(OnTwin).derived(),
            shows(LockUp, Same).under(OnReserve).derived(),
            shows(FirstFlowing, Lower).under(OnReserve),
            shows(BurnersOut, Higher).under(OnReserve),
            apart("container_low", BurnersOut, Higher).under(OnReserve),
        ],
        &[],
    ),
    page_of(
        "changeover_early",
        "Replace the regulator whole",
        PRACTICE,
        &[
            shows(FirstAtRest, Same).under(OnTwin).derived(),
            shows(FirstAtRest, Higher).under(OnReserve).derived(),
            shows(FirstFlowing, Higher).under(OnReserve).derived(),
            apart("hose_kinked", FirstAtRest, Higher)
                .under(OnReserve)
                .derived(),
            apart("hose_bored_down", FirstAtRest, Higher)
                .under(OnReserve)
                .derived(),
            apart("service_valve_part_open", FirstAtRest, Higher)
                .under(OnReserve)
                .derived(),
        ],
        &[],
    ),
];
