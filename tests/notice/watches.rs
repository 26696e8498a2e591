//! What trips, resets and discharges: the excess-flow valve, both reliefs, what a burst of flow carries off.

use super::house::{PSI_PA, rig};
use twostage::rig::events::{self, Happening, Seat};
use twostage::rig::{Charge, ExcessFlow, Flows, Kind, Modes, Ramp, Rig, RigState, Site, evaluate};

fn standing(rig: &Rig, temperature_k: f64) -> (Modes, RigState) {
    let mut modes = Modes::shut(Site::calm(288.15, 0.0));
    modes.valves[0] = Ramp::fixed(1.0);
    let charge = Charge {
        fill: 0.5,
        temperature_k,
        air_pa: 0.0,
    };
    let state = rig.at_rest(&modes, &[charge]);
    (modes, state)
}

fn watch(rig: &Rig, modes: &Modes, state: &RigState, flows: &Flows, k: usize) -> f64 {
    let mut out = vec![0.0; events::watch_count(rig)];
    events::watches(rig, modes, state, flows, &mut out);
    out[k]
}

#[test]
fn an_excess_flow_valve_shuts_after_its_travel_and_opens_by_even_pressure() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (mut modes, state) = standing(&rig, 288.15);
    let supply = &rig.containers[0].supply;
    let mut flows = evaluate(&rig, &modes, 10.0, &state);
    let (over, again, even) = (4, 5, 6);
    for (share, sign) in [(0.999, 1.0), (1.001, -1.0)] {
        flows.containers[0].vapour_kg_per_s = share * supply.excess_trip_kg_per_s;
        assert_eq!(
            watch(&rig, &modes, &state, &flows, over).signum(),
            sign,
            "{share}"
        );
        assert_eq!(watch(&rig, &modes, &state, &flows, again), 1.0);
        assert_eq!(watch(&rig, &modes, &state, &flows, even), 1.0);
    }
    assert_eq!(events::fire(&rig, &mut modes, 10.0, over), []);
    assert_eq!(modes.excess_flow[0], ExcessFlow::Closing { shuts_s: 10.05 });
    assert_eq!(modes.next_deadline_s(&rig, 10.0), Some(10.05));
    // It turns back where the flow falls 2 % under the limit, and not before.
    for (share, sign) in [(0.981, 1.0), (0.979, -1.0)] {
        flows.containers[0].vapour_kg_per_s = share * supply.excess_trip_kg_per_s;
        assert_eq!(
            watch(&rig, &modes, &state, &flows, again).signum(),
            sign,
            "{share}"
        );
    }
    let mut back = modes;
    assert_eq!(events::fire(&rig, &mut back, 10.01, again), []);
    assert_eq!(back.excess_flow[0], ExcessFlow::Open);

    assert_eq!(events::due(&rig, &mut modes, &state, 10.049), []);
    assert_eq!(
        events::due(&rig, &mut modes, &state, 10.05),
        [Happening::ExcessFlowTrips(0)]
    );
    assert_eq!(modes.excess_flow[0], ExcessFlow::Shut { rests_s: 10.55 });
    assert_eq!(modes.next_deadline_s(&rig, 10.05), Some(10.55));
    assert_eq!(modes.next_deadline_s(&rig, 10.55), None);
    let ambient_pa = flows.ambient_pa;
    let container_pa = flows.containers[0].flash.pressure_pa;
    assert!(container_pa > ambient_pa);
    for (t_s, share, value) in [(10.5, 0.5, 1.0), (10.6, 1.01, 0.01), (10.6, 0.99, -0.01)] {
        flows.t_s = t_s;
        flows.containers[0].pigtail_pa = container_pa - share * supply.excess_reset_pa;
        let seen = watch(&rig, &modes, &state, &flows, even);
        assert!(
            (seen - value).abs() < 1e-6,
            "{t_s} s, {share} of the difference: {seen}"
        );
    }
    // With the service valve all but shut its own bleed evens the pressure.
    flows.containers[0].pigtail_pa = container_pa - 10.0 * supply.excess_reset_pa;
    for (open, sign) in [(0.021, 1.0), (0.0019, -1.0)] {
        flows.containers[0].valve_open = open;
        assert_eq!(
            watch(&rig, &modes, &state, &flows, even).signum(),
            sign,
            "valve {open} open"
        );
    }
    assert_eq!(
        events::fire(&rig, &mut modes, 11.0, even),
        [Happening::ExcessFlowResets(0)]
    );
    assert_eq!(modes.excess_flow[0], ExcessFlow::Open);
}

/// A container's own relief is shut at its start, and wide open a tenth over it.
#[test]
fn a_containers_relief_is_open_a_tenth_over_its_start() {
    let mut rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (modes, state) = standing(&rig, 300.0);
    let stands_pa = evaluate(&rig, &modes, 0.0, &state).containers[0]
        .flash
        .pressure_pa
        - 101_325.0;
    let mut discharges = |over: f64| {
        rig.containers[0].relief_start_pa = stands_pa / (1.0 + over);
        let f = evaluate(&rig, &modes, 0.0, &state);
        f.loss_kg_per_s()
    };
    assert_eq!(discharges(-0.001), 0.0);
    let (half, full, beyond) = (discharges(0.05), discharges(0.1), discharges(0.5));
    assert!(
        half > 0.0 && (half / full - 0.5).abs() < 1e-3,
        "{half} and {full} kg/s"
    );
    assert!(
        (beyond / full - 1.0).abs() < 1e-3,
        "{beyond} and {full} kg/s"
    );
    assert!((rig_of_presets() - 375.0).abs() < 0.01, "psig");
}

fn rig_of_presets() -> f64 {
    rig("30 lb cylinder", &[Kind::Grill]).containers[0].relief_start_pa / PSI_PA
}

/// The second stage's relief is told when its plate leaves the stem, and seated again 7 % of a millimetre below.
#[test]
fn the_relief_is_told_open_and_seated() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (mut modes, state) = standing(&rig, 288.15);
    let mut flows = evaluate(&rig, &modes, 0.0, &state);
    let (opens, seats) = (7, 8);
    for (past_m, sign) in [(-1e-9, 1.0), (1e-9, -1.0)] {
        flows.second.relief_past_m = past_m;
        assert_eq!(watch(&rig, &modes, &state, &flows, opens).signum(), sign);
        assert_eq!(watch(&rig, &modes, &state, &flows, seats), 1.0);
    }
    assert_eq!(
        events::fire(&rig, &mut modes, 0.0, opens),
        [Happening::ReliefOpens]
    );
    assert!(modes.relief_open);
    for (past_m, sign) in [(-69e-6, 1.0), (-71e-6, -1.0)] {
        flows.second.relief_past_m = past_m;
        assert_eq!(watch(&rig, &modes, &state, &flows, seats).signum(), sign);
        assert_eq!(watch(&rig, &modes, &state, &flows, opens), 1.0);
    }
    assert_eq!(
        events::fire(&rig, &mut modes, 0.0, seats),
        [Happening::ReliefSeats]
    );
    assert!(!modes.relief_open);
}

#[test]
fn a_burst_of_flow_carries_off_what_is_loose() {
    let mut rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (mut modes, state) = standing(&rig, 288.15);
    let flows = evaluate(&rig, &modes, 0.0, &state);
    for (k, seat) in [(9, Seat::First), (10, Seat::Second)] {
        assert_eq!(
            watch(&rig, &modes, &state, &flows, k),
            1.0,
            "nothing is loose"
        );
        assert_eq!(
            events::fire(&rig, &mut modes, 0.0, k),
            [Happening::GritCarriedOff(seat)]
        );
    }
    let flow = 1e-4;
    rig.first.loose_at_kg_per_s = Some(flow);
    rig.second.loose_at_kg_per_s = Some(flow);
    let mut flows = flows;
    for (share, sign) in [(0.99, 1.0), (1.01, -1.0)] {
        flows.first.seat_vapour_kg_per_s = share * flow;
        flows.second.seat_vapour_kg_per_s = share * flow;
        assert_eq!(watch(&rig, &modes, &state, &flows, 9).signum(), sign);
        assert_eq!(watch(&rig, &modes, &state, &flows, 10).signum(), sign);
    }
}

/// The indicator of a changeover, and where its reserve begins to feed.
#[test]
fn a_changeover_feeds_and_shows_where_it_is_set() {
    use twostage::rig::presets;
    let two = || presets::container("20 lb cylinder").expect("a preset");
    let rig = Rig::standard(vec![two(), two()], Vec::new());
    let change = rig.changeover.expect("two containers");
    let psi = |v: f64| v * PSI_PA;
    assert_eq!(change.area_m2(psi(7.001)), 0.0);
    assert!(change.area_m2(psi(6.99)) > 0.0);
    assert!((change.area_m2(psi(5.5)) / change.reserve_m2 - 0.5).abs() < 1e-3);
    assert!((change.area_m2(psi(4.0)) / change.reserve_m2 - 1.0).abs() < 1e-3);
    assert!((change.area_m2(psi(0.0)) / change.reserve_m2 - 1.0).abs() < 1e-9);
    assert_eq!(change.red(change.green_pa + 1.0), 0.0);
    assert_eq!(change.red(change.red_pa - 1.0), 1.0);
    assert!((change.red(0.5 * (change.green_pa + change.red_pa)) - 0.5).abs() < 1e-9);
}

/// The one correction of the leak check, against its formula where it runs: what a shut-in gas gains per kelvin, and the share of
/// it that is left while the second diaphragm floats.
#[test]
fn trapped_gas_is_corrected_by_its_law() {
    use super::house::INWC_PA;
    use twostage::service::{rigid_share, trapped_gas_pa_per_k};
    let (gauge_pa, ambient_pa, air_k) = (9.0 * INWC_PA, 101_325.0, 288.706);
    let per_f = trapped_gas_pa_per_k(gauge_pa, ambient_pa, air_k) / 1.8 / INWC_PA;
    assert!((per_f - 0.80).abs() < 0.005, "{per_f} in w.c. per degree");
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let stage = &rig.second;
    let (area_m2, rate) = (
        stage.area_m2,
        stage.spring_n_per_m + stage.rubber_rate_n_per_m(air_k),
    );
    let gas_m3 = rig.piping.manifold_m3
        + stage.chamber_m3
        + rig.first.chamber_m3
        + rig.containers[0].supply.pigtail_volume_m3;
    // Between what holds the plate down and what holds it up it floats.
    let down_pa = stage.spring_force_n(0.0, air_k) / area_m2;
    let up_pa = stage.spring_force_n(stage.touch_rise_m, air_k) / area_m2;
    for (pressure_pa, floats) in [
        (down_pa - 1.0, false),
        (down_pa + 1.0, true),
        (up_pa - 1.0, true),
        (up_pa + 1.0, false),
    ] {
        let gives_m3 = (pressure_pa + ambient_pa) * area_m2 * area_m2 / rate;
        let wanted = if floats {
            gas_m3 / (gas_m3 + gives_m3)
        } else {
            1.0
        };
        let share = rigid_share(&rig, pressure_pa, ambient_pa, air_k);
        assert!(
            (share - wanted).abs() < 1e-12,
            "{pressure_pa} Pa: {share}, {wanted}"
        );
        assert!(!floats || share < 0.9, "{share}");
    }
}
