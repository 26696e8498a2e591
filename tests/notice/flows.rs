//! What flows where: each flow by itself leaves one place and comes to another, kilogram by kilogram and joule by joule;
//! what is lost unburned; liquid that boils as it comes; gas shared by a pilot and its burner.

use super::books::standing;
use super::house::rig;
use twostage::physics::fuel::{self, Species, mass_kg};
use twostage::rig::{
    Cloth, Contents, Flows, Kind, Modes, Ramp, Rig, RigState, Wet, energy, evaluate, events, rates,
    wet,
};

fn near(got: f64, wanted: f64, within: f64, what: &str) {
    let off = (got - wanted).abs();
    assert!(
        off <= within * wanted.abs().max(1.0),
        "{what}: {got}, {wanted}"
    );
}

/// What a place gains in the order of [`PLACES`].
fn gains(d: &RigState) -> [f64; 8] {
    [
        mass_kg(&d.containers[0].moles),
        d.containers[0].pigtail_kg,
        d.first.gas_kg,
        d.second.gas_kg,
        d.manifold_kg,
        d.pool_kg,
        d.low_pool_kg,
        d.lost_kg + d.burned_kg,
    ]
}

/// Places of fuel.
const PLACES: [&str; 8] = [
    "container",
    "pigtail",
    "first",
    "second",
    "manifold",
    "pool",
    "low pool",
    "gone",
];

type Flow = (&'static str, fn(&mut Flows), Option<usize>, Option<usize>);

/// Every flow, where it comes from and where it goes to, by their places; none where the other flow of the pair stands for it.
const FLOWS: [Flow; 22] = [
    (
        "vapour out of the container",
        |f| f.containers[0].vapour_kg_per_s += 1.0,
        Some(0),
        Some(1),
    ),
    (
        "liquid out of the container",
        |f| f.containers[0].liquid_kg_per_s += 1.0,
        Some(0),
        None,
    ),
    (
        "relief of the container",
        |f| f.containers[0].relief_kg_per_s += 1.0,
        Some(0),
        Some(7),
    ),
    (
        "out of the pigtail",
        |f| f.containers[0].feed_kg_per_s += 1.0,
        Some(1),
        None,
    ),
    (
        "leak of the pigtail",
        |f| f.containers[0].leak_kg_per_s += 1.0,
        Some(1),
        Some(7),
    ),
    (
        "vapour through the first seat",
        |f| f.first.seat_vapour_kg_per_s += 1.0,
        None,
        Some(2),
    ),
    (
        "liquid through the first seat",
        |f| f.first.seat_liquid_kg_per_s += 1.0,
        None,
        Some(5),
    ),
    (
        "vapour through the reserve seat",
        |f| f.reserve_kg_per_s += 1.0,
        None,
        Some(2),
    ),
    (
        "liquid through the reserve seat",
        |f| f.reserve_liquid_kg_per_s += 1.0,
        None,
        Some(5),
    ),
    (
        "boiled in the first",
        |f| f.wet.first_kg_per_s += 1.0,
        Some(5),
        Some(2),
    ),
    (
        "tear of the first",
        |f| f.first.tear_kg_per_s += 1.0,
        Some(2),
        Some(7),
    ),
    (
        "relief of the first",
        |f| f.first.relief_kg_per_s += 1.0,
        Some(2),
        Some(7),
    ),
    (
        "vapour through the second seat",
        |f| f.second.seat_vapour_kg_per_s += 1.0,
        Some(2),
        Some(3),
    ),
    (
        "liquid through the second seat",
        |f| f.second.seat_liquid_kg_per_s += 1.0,
        Some(5),
        Some(6),
    ),
    (
        "boiled in the second",
        |f| f.wet.second_kg_per_s += 1.0,
        Some(6),
        Some(3),
    ),
    (
        "boiled in the line",
        |f| f.wet.line_kg_per_s += 1.0,
        Some(6),
        Some(4),
    ),
    (
        "tear of the second",
        |f| f.second.tear_kg_per_s += 1.0,
        Some(3),
        Some(7),
    ),
    (
        "relief of the second",
        |f| f.second.relief_kg_per_s += 1.0,
        Some(3),
        Some(7),
    ),
    ("main line", |f| f.main_kg_per_s += 1.0, Some(3), Some(4)),
    (
        "leak of the low side",
        |f| f.leak_kg_per_s += 1.0,
        Some(4),
        Some(7),
    ),
    (
        "burner",
        |f| f.appliances[0].main_kg_per_s += 1.0,
        Some(4),
        Some(7),
    ),
    (
        "pilot",
        |f| f.appliances[0].pilot_kg_per_s += 1.0,
        Some(4),
        Some(7),
    ),
];

fn at_rest() -> (Rig, Modes, RigState, Flows) {
    let rig = rig("20 lb cylinder", &[Kind::WaterHeater]);
    let (modes, state) = standing(&rig);
    let flows = evaluate(&rig, &modes, 0.0, &state);
    (rig, modes, state, flows)
}

/// A kilogram a second of any flow is one less where it comes from and one more where it goes, and nothing anywhere else.
#[test]
fn every_flow_leaves_one_place_and_comes_to_another() {
    let (rig, modes, state, flows) = at_rest();
    let before = gains(&rates(&rig, &modes, &state, &flows));
    for (what, add, from, to) in FLOWS {
        let mut more = flows;
        add(&mut more);
        let after = gains(&rates(&rig, &modes, &state, &more));
        for (k, place) in PLACES.iter().enumerate() {
            let wanted = f64::from(to == Some(k)) - f64::from(from == Some(k));
            near(
                after[k] - before[k],
                wanted,
                1e-9,
                &format!("{what}: {place}"),
            );
        }
    }
    // What does not burn is gone too, but not burned.
    let mut unlit = flows;
    unlit.appliances[0].main_kg_per_s += 3.0;
    unlit.appliances[0].unburned_kg_per_s += 2.0;
    let (a, b) = (
        rates(&rig, &modes, &state, &flows),
        rates(&rig, &modes, &state, &unlit),
    );
    near(b.burned_kg - a.burned_kg, 1.0, 1e-9, "burned");
    near(b.lost_kg - a.lost_kg, 2.0, 1e-9, "lost");
}

/// All that leaves unburned, each by itself: powers of two, so that none can stand for another.
#[test]
fn what_is_lost_is_the_sum_of_its_ways() {
    let mut f = Flows::default();
    (
        f.containers[0].leak_kg_per_s,
        f.containers[1].relief_kg_per_s,
    ) = (1.0, 2.0);
    (
        f.appliances[0].unburned_kg_per_s,
        f.appliances[2].unburned_kg_per_s,
    ) = (4.0, 8.0);
    f.leak_kg_per_s = 16.0;
    (f.first.tear_kg_per_s, f.first.relief_kg_per_s) = (32.0, 64.0);
    (f.second.tear_kg_per_s, f.second.relief_kg_per_s) = (128.0, 256.0);
    assert_eq!(f.loss_kg_per_s(), 511.0);
    (
        f.appliances[0].main_kg_per_s,
        f.appliances[1].pilot_kg_per_s,
    ) = (3.0, 7.0);
    assert_eq!(f.burner_kg_per_s(), 10.0);
}

/// Heat taken in and carried off, each by itself; a warm cloth gives what it is over the body by a time constant of 15 s, and
/// warms the spring case by the same.
#[test]
fn heat_is_the_sum_of_its_ways() {
    let (rig, mut modes, mut state, flows) = at_rest();
    state.body_k = flows.air_k;
    let taken = |f: &Flows, m: &Modes| energy::taken_in_w(&rig, m, &state, f);
    let dry = taken(&flows, &modes);
    let more = |add: fn(&mut Flows)| {
        let mut f = flows;
        add(&mut f);
        taken(&f, &modes) - dry
    };
    near(more(|f| f.containers[0].heat_w += 5.0), 5.0, 1e-9, "wall");
    near(more(|f| f.wet.line_w += 5.0), 5.0, 1e-9, "line");
    near(more(|f| f.chill_w += 5.0), -5.0, 1e-9, "cold");
    near(
        more(|f| f.air_k += 2.0),
        2.0 * rig.body.loss_w_per_k,
        1e-9,
        "air",
    );
    modes.cloth = Some(Cloth {
        warm_k: state.body_k + 30.0,
        end_s: 60.0,
    });
    let cloth_w = 30.0 * rig.body.heat_j_per_k / 15.0;
    near(taken(&flows, &modes) - dry, cloth_w, 1e-9, "cloth");
    let (with, mut without) = (rates(&rig, &modes, &state, &flows), modes);
    without.cloth = None;
    let bare = rates(&rig, &without, &state, &flows);
    near(with.body_k - bare.body_k, 2.0, 1e-9, "it warms the body");
    near(
        with.case_k - bare.case_k,
        (state.body_k + 30.0 - state.case_k) / 15.0,
        1e-9,
        "it warms the spring case",
    );
    modes.cloth = Some(Cloth {
        warm_k: state.body_k - 5.0,
        end_s: 60.0,
    });
    near(
        taken(&flows, &modes) - dry,
        0.0,
        1e-9,
        "a cold cloth does nothing",
    );

    let carried = |f: &Flows| energy::carried_off_w(&rig, f);
    let each_j = flows.containers[0].flash.vapour_j_per_kg;
    let mut f = flows;
    f.wet.carried_w += 3.0;
    f.containers[0].vapour_kg_per_s += 1.0;
    f.containers[0].relief_kg_per_s += 2.0;
    near(
        carried(&f) - carried(&flows),
        3.0 + 3.0 * each_j,
        1e-9,
        "carried off",
    );
    // Liquid that stands counts by its warmth, on the low side by its boiling point's.
    let held = |s: &RigState| energy::held_j(&rig, s, &flows);
    let empty = held(&state);
    let cold_j = wet::liquid_j_per_kg(wet::LOW_SIDE_K);
    state.low_pool_kg = 0.5;
    near(held(&state) - empty, 0.5 * cold_j, 1e-9, "low pool");
    assert!(cold_j < 0.0);
    state.pool_kg = 0.25;
    near(
        held(&state) - empty,
        0.5 * cold_j + 0.25 * wet::liquid_j_per_kg(state.body_k),
        1e-9,
        "pool",
    );
    let heat = energy::body_j_per_k(&rig.body, &state) - rig.body.heat_j_per_k;
    near(
        heat,
        0.25 * wet::liquid_j_per_kg_k(state.body_k),
        1e-9,
        "what stands in the body is warmed with it",
    );
}

/// Liquid that comes past a seat boils at once by the heat that it brings over its boiling point: a share of `(h(T) - h(T_b)) / h_fg`,
/// and what comes, what boils and what stays balance (published: the flash of any throttled liquid).
#[test]
fn what_comes_boils_by_what_it_brings() {
    let (rig, _, mut s, _) = at_rest();
    let propane = Species::Propane;
    let latent = |k: f64| fuel::latent_heat_j_per_mol(propane, k) / propane.molar_mass_kg_per_mol();
    (s.pool_kg, s.low_pool_kg, s.body_k) = (0.0, 0.0, 285.0);
    let mut first = Wet::default();
    first.in_the_first(&rig.body, &s, 0.01, 290.0, 170_000.0);
    let boiling_k = fuel::saturation_temperature_k(propane, 170_000.0);
    let h = wet::liquid_j_per_kg;
    let share = (h(290.0) - h(boiling_k)) / latent(boiling_k);
    assert!((0.2..0.4).contains(&share));
    near(first.first_kg_per_s, 0.01 * share, 1e-5, "first");
    let vapour_j = h(boiling_k) + latent(boiling_k);
    near(
        first.carried_w,
        first.first_kg_per_s * vapour_j,
        1e-9,
        "carried",
    );
    let stays_w = (0.01 - first.first_kg_per_s) * h(285.0);
    near(
        0.01 * h(290.0) + first.body_w,
        first.carried_w + stays_w,
        1e-9,
        "balance of the first",
    );

    let mut low = Wet::default();
    low.on_the_low_side(&rig, &s, 0.01, 104_000.0, 290.0);
    let cold_k = wet::LOW_SIDE_K;
    let share = (h(285.0) - h(cold_k)) / latent(cold_k);
    near(low.second_kg_per_s, 0.01 * share, 1e-5, "second");
    assert_eq!((low.line_kg_per_s, low.line_w), (0.0, 0.0));
    let stays_w = (0.01 - low.second_kg_per_s) * h(cold_k);
    near(
        0.01 * h(285.0) + low.body_w,
        low.carried_w + stays_w,
        1e-9,
        "balance of the low side",
    );
    // A line that is wet all over takes ten watts a square metre and kelvin of its inner wall from the air.
    s.low_pool_kg = 1.0;
    let mut wetted = Wet::default();
    wetted.on_the_low_side(&rig, &s, 0.0, 104_000.0, 290.0);
    let pipes = [&rig.piping.main, &rig.appliances[0].branch];
    let wall_m2: f64 = pipes
        .iter()
        .map(|p| std::f64::consts::PI * p.bore_m * p.length_m)
        .sum();
    let over_k = 290.0 - fuel::saturation_temperature_k(propane, 104_000.0);
    near(wetted.line_w, 10.0 * wall_m2 * over_k, 1e-3, "line");
    near(
        wetted.line_kg_per_s,
        wetted.line_w / latent(cold_k),
        1e-9,
        "line boils",
    );
    // Nothing there and nothing coming: nothing boils.
    s.low_pool_kg = 0.0;
    let mut none = Wet::default();
    none.on_the_low_side(&rig, &s, 0.0, 104_000.0, 290.0);
    assert_eq!(none, Wet::default());
}

/// A slug forms and breaks in 30 ms: with the passage dry and the pool well over it, it is all there after that; bridged and
/// the pool gone, it breaks as fast; the level between counts 30 % of the pool.
#[test]
fn a_slug_forms_as_fast_as_it_breaks() {
    let body = rig("20 lb cylinder", &[Kind::Grill]).body;
    let on_kg = body.pool_overflow_kg;
    let rate = |pool: f64, slug: f64| wet::slug_rate(&body, pool, slug) * 0.03;
    near(rate(2.0 * on_kg, 0.0), 1.0, 1e-9, "forms");
    near(rate(0.0, 1.0), -1.0, 1e-9, "breaks");
    // A tenth of the fall over the passage is half of the rounding.
    near(rate(on_kg * 1.03, 0.0), 0.5, 1e-6, "half-way");
    near(
        rate(on_kg * (1.0 - 0.3 * 0.5), 0.5 + 0.1) + 0.6,
        0.5,
        1e-6,
        "half-way, bridged",
    );
}

/// A pilot and its burner share what comes by their areas: valve and spud in series, 1/√(1/v² + 1/s²), beside the pilot's; what
/// is not lit does not burn.
#[test]
fn a_pilot_and_its_burner_share_by_their_areas() {
    let (rig, mut modes, mut state, _) = at_rest();
    let a = &rig.appliances[0];
    state.manifold_kg =
        (101_325.0 + 2740.0) * rig.piping.manifold_m3 / (state.line_gas_j_per_kg_k * 288.15);
    let am = &mut modes.appliances[0];
    (am.pilot_open, am.pilot_lit, am.valve) = (true, true, Ramp::fixed(0.5));
    let f = evaluate(&rig, &modes, 0.0, &state);
    let of = &f.appliances[0];
    let (valve, spud) = (0.5 * a.valve_m2 + a.valve_leak_m2, a.spud_m2);
    let series = 1.0 / (valve.powi(-2) + spud.powi(-2)).sqrt();
    assert!(a.pilot_m2 > 0.0);
    near(
        of.main_kg_per_s / of.pilot_kg_per_s,
        series / a.pilot_m2,
        1e-9,
        "shares",
    );
    near(
        of.unburned_kg_per_s / of.main_kg_per_s,
        1.0,
        1e-9,
        "the pilot alone burns",
    );
    near(
        of.heat_w,
        of.pilot_kg_per_s * f.gas.heating_value_j_per_kg,
        1e-9,
        "heat",
    );
    // Through the orifice to the open air: dp = w²/(2 ρ A²).
    let density = f.manifold_pa / (state.line_gas_j_per_kg_k * f.air_k);
    let total = of.main_kg_per_s + of.pilot_kg_per_s;
    near(
        of.inlet_pa,
        total * total / (2.0 * density * (series + a.pilot_m2).powi(2)),
        1e-9,
        "inlet",
    );
    assert!(
        of.inlet_pa < 2740.0 && of.inlet_pa > 2500.0,
        "{}",
        of.inlet_pa
    );
}

/// What the containers hold is taken as it was found last, though nothing else has changed since.
#[test]
fn what_is_found_anew_is_taken_anew() {
    let (rig, modes, state, fresh) = at_rest();
    let mut warm = state;
    warm.containers[0].temperature_k += 20.0;
    let (mut held, mut flows) = (Contents::default(), Flows::default());
    held.update(&rig, &warm);
    flows.update(&rig, &modes, 0.0, &state, &held);
    assert!(flows.containers[0].flash.pressure_pa > 1.2 * fresh.containers[0].flash.pressure_pa);
    held.update(&rig, &state);
    flows.update(&rig, &modes, 0.0, &state, &held);
    assert_eq!(
        flows.containers[0].flash.pressure_pa,
        fresh.containers[0].flash.pressure_pa
    );
    assert_eq!(
        flows.containers[0].vapour_kg_per_s,
        fresh.containers[0].vapour_kg_per_s
    );
}

/// A thermostat exactly at its setting does not call, a hair on the cold side it does; what cools calls on the warm side.
#[test]
fn a_thermostat_at_its_setting_is_satisfied() {
    for kind in [Kind::Furnace, Kind::Refrigerator] {
        let rig = rig("20 lb cylinder", &[kind]);
        let load = rig.appliances[0].thermal.expect("it has one");
        let wants = load.efficiency.signum();
        for (off_k, calls) in [(0.0, false), (-1e-9, true), (1e-9, false)] {
            let (mut modes, mut state) = standing(&rig);
            state.thermal_k[0] = load.set_k + wants * off_k;
            events::switch(&rig, &mut modes, &state, 0.0, 0, true);
            assert_eq!(modes.appliances[0].calling, calls, "{kind:?} {off_k}");
        }
    }
}

/// Vapour carries liquid over from nine tenths full on, nine tenths of it liquid at 99 %; laid down a container gives its share;
/// an empty one gives none (own numbers).
#[test]
fn a_full_container_carries_over() {
    let mut c = rig("20 lb cylinder", &[Kind::Grill]).containers[0];
    c.liquid_share = 0.0;
    let of = |c: &twostage::rig::Container, fill: f64| c.carry_over(fill);
    for (fill, share) in [
        (0.0, 0.0),
        (0.5, 0.0),
        (0.9, 0.0),
        (0.945, 0.45),
        (0.99, 0.9),
        (1.0, 0.9),
    ] {
        near(of(&c, fill), share, 1e-9, "upright");
    }
    c.liquid_share = 0.4;
    for (fill, share) in [
        (0.0, 0.0),
        (0.005, 0.2),
        (0.5, 0.4),
        (0.99, 1.0 - 0.6 * 0.1),
    ] {
        near(of(&c, fill), share, 1e-9, "laid down");
    }
}
