//! What the trade says of faults behind the regulator: piping and appliances.

use super::claim::{
    Figure::{HalfLoad, InletAtRest, Input, LeakCheck, LockUp, Manifold, SecondVent},
    Way::{Higher, Lower, Same},
    apart, shows,
};
use super::{PRACTICE, Page, TOLD_DERIVED, page_of};

/// Pages of these families.
pub(super) static PAGES: [Page; 12] = [
    page_of(
        "line_crushed",
        "Replace the crushed length, and leak-test the piping before gas is used",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(Manifold, Lower),
            apart("overloaded", Input, Lower),
        ],
        &["line_too_small", "low_point_liquid"],
    ),
    page_of(
        "line_too_small",
        "Run the line in the size that the table gives for its length and load, and leak-test it",
        TOLD_DERIVED,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(Manifold, Lower),
            apart("overloaded", Input, Lower),
        ],
        &[],
    ),
    page_of(
        "low_point_liquid",
        "Drain the low point with the gas off, lay the line so that it drains, and look where the liquid came from",
        PRACTICE,
        &[shows(HalfLoad, Same), shows(Manifold, Lower)],
        &[],
    ),
    page_of(
        "low_side_leak",
        "Shut the container; renew the joint, and repeat the leak check until it holds",
        PRACTICE,
        &[
            shows(HalfLoad, Same),
            shows(LeakCheck, Higher),
            shows(SecondVent, Same),
        ],
        &[],
    ),
    page_of(
        "spud_clogged",
        "Clean the orifice with air or replace it by one of the same stamp; look for the spider",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(Input, Lower),
            shows(LeakCheck, Same),
            apart("spud_oversize", Input, Lower),
            apart("air_in_container", InletAtRest, Lower),
        ],
        &["gas_valve_sticks"],
    ),
    page_of(
        "spud_oversize",
        "Replace the orifice by the one for this appliance and fuel, and check the burner for soot and carbon monoxide",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(Input, Higher),
        ],
        &[],
    ),
    page_of(
        "gas_valve_leaks",
        "Shut the appliance's hand valve and replace its gas valve",
        PRACTICE,
        &[
            shows(HalfLoad, Same),
            shows(LeakCheck, Higher),
            shows(SecondVent, Same),
        ],
        &["low_side_leak"],
    ),
    page_of(
        "gas_valve_sticks",
        "Replace the gas valve, and keep the appliance off until then",
        PRACTICE,
        &[
            shows(LockUp, Same),
            shows(HalfLoad, Same),
            shows(Input, Lower),
        ],
        &[],
    ),
    page_of(
        "thermocouple_dead",
        "Clean the pilot, tighten the connection, replace the thermocouple; prove that it shuts the gas",
        PRACTICE,
        &[],
        &[],
    ),
    page_of(
        "igniter_dead",
        "Check the gap, the lead and the supply; replace the igniter",
        PRACTICE,
        &[apart("air_in_container", InletAtRest, Lower)],
        &["thermocouple_dead"],
    ),
    page_of(
        "flame_sensor_dead",
        "Clean the rod and its earth; replace one that is cracked; prove that it shuts the gas",
        PRACTICE,
        &[],
        &["igniter_dead", "thermocouple_dead"],
    ),
    page_of(
        "overloaded",
        "Take load off, or have regulator and piping sized for all the plates together",
        PRACTICE,
        &[shows(LockUp, Same), shows(Manifold, Lower)],
        &["spud_oversize"],
    ),
];
