//! The rig's own laws where they run: what is held and what becomes of it, forces on a diaphragm, what heats a mass, how
//! liquid boils and bridges, by their formulas worked out a second time; and the books of fuel and heat at the end of a run.

use super::house::{House, kelvin, rig};
use std::f64::consts::PI;
use twostage::physics::fuel::{self, mass_kg};
use twostage::rig::events::{watch_count, watch_reach};
use twostage::rig::{
    Charge, Flows, Kind, Material, Modes, Ramp, Rig, RigState, Section, Site, energy, evaluate,
    presets, rates, stored_kg, wet,
};

/// A rig at rest with its first valve open, its containers half full.
pub fn standing(rig: &Rig) -> (Modes, RigState) {
    let mut modes = Modes::shut(Site::calm(288.15, 0.0));
    modes.valves[0] = Ramp::fixed(1.0);
    let charge = Charge {
        fill: 0.5,
        temperature_k: 288.15,
        air_pa: 0.0,
    };
    let state = rig.at_rest(&modes, &vec![charge; rig.containers.len()]);
    (modes, state)
}

fn near(got: f64, wanted: f64, what: &str) {
    let off = (got - wanted).abs();
    assert!(
        off <= 1e-9 * wanted.abs().max(1e-9),
        "{what}: {got}, {wanted}"
    );
}

#[test]
fn a_ramp_is_a_straight_line() {
    let ramp = Ramp {
        from: 2.0,
        to: 6.0,
        start_s: 10.0,
        end_s: 18.0,
    };
    for (t_s, value) in [
        (0.0, 2.0),
        (10.0, 2.0),
        (13.0, 3.5),
        (17.0, 5.5),
        (20.0, 6.0),
    ] {
        near(ramp.at(t_s), value, "on its way");
    }
}

/// A rig begins with its spring cases at the pressure of the air (101,325 Pa: standard atmosphere at sea level), their air
/// settled, its burners dry, and its line at one pressure.
#[test]
fn a_rig_begins_at_rest() {
    let rig = rig("30 lb cylinder", &[Kind::Furnace, Kind::Cooktop]);
    let (modes, state) = standing(&rig);
    let f = evaluate(&rig, &modes, 0.0, &state);
    for (stage, of) in [(&rig.first, &f.first), (&rig.second, &f.second)] {
        near(of.case_pa, 101_325.0, "a spring case");
        near(1.0 + of.settling_rate, 1.0, "its air");
        assert!(stage.case_wall_m > 0.0, "it would settle");
    }
    near(f.manifold_pa, f.second.chamber_pa, "the line");
    near(1.0 + f.burner_kg_per_s(), 1.0, "the burners");
    assert!(f.first.chamber_pa > f.second.chamber_pa && f.second.chamber_pa > 101_325.0);
}

/// All fuel there is, place by place.
#[test]
fn what_is_stored_is_the_sum_of_its_places() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (_, mut s) = standing(&rig);
    (s.containers[0].pigtail_kg, s.first.gas_kg, s.second.gas_kg) = (0.3, 0.05, 0.07);
    (s.manifold_kg, s.pool_kg, s.low_pool_kg) = (0.011, 0.013, 0.017);
    let wanted = mass_kg(&s.containers[0].moles) + 0.3 + 0.05 + 0.07 + 0.011 + 0.013 + 0.017;
    near(stored_kg(&rig, &s), wanted, "stored");
}

/// Gas under a diaphragm, its spring, the jet on its seat through the lever, water and a thumb: each by its formula and on
/// its side.
#[test]
fn forces_push_where_they_push() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (mut modes, s) = standing(&rig);
    modes.touch[0].press_n = Ramp::fixed(3.0);
    let f = evaluate(&rig, &modes, 0.0, &s);
    let (first, flows) = (&rig.first, &f.first);
    assert!(first.linked);
    let forces = flows.forces;
    let across_pa = flows.chamber_pa - flows.case_pa;
    near(forces.gas_n, across_pa * first.area_m2, "gas");
    let up_pa = f.containers[0].pigtail_pa;
    let bore_m2 = 0.25 * PI * first.bore_m.powi(2);
    let jet_n = (up_pa - flows.chamber_pa) * bore_m2 / first.lever_ratio;
    assert!(jet_n > 0.0);
    near(forces.jet_n, -jet_n, "jet");
    near(forces.hand_n, -3.0, "thumb");
    assert!(forces.spring_n < 0.0 && forces.seat_n <= 0.0);
    let all = [
        forces.gas_n,
        forces.spring_n,
        forces.jet_n,
        forces.seat_n,
        forces.friction_n,
        forces.damping_n,
        forces.stop_n,
        forces.water_n,
        forces.hand_n,
    ];
    near(forces.sum_n(), all.iter().sum(), "sum");
    let d = rates(&rig, &modes, &s, &f);
    near(
        d.first.speed_m_per_s,
        forces.sum_n() / first.mass_kg,
        "acceleration",
    );
    // A gauge reads against the air outside.
    let r = first.readings(&s.first, flows, &f.around_first);
    near(r.case_pa, flows.case_pa - f.ambient_pa, "spring case");
    near(r.chamber_pa, flows.chamber_pa - f.ambient_pa, "chamber");
    near(r.inlet_pa, up_pa - f.ambient_pa, "inlet");
}

/// What heats a mass and what it loses, and what the body takes of sun, air and cold.
#[test]
fn heat_goes_where_it_goes() {
    let rig = rig("20 lb cylinder", &[Kind::Furnace]);
    let (mut modes, mut s) = standing(&rig);
    modes.site.sun_w_per_m2 = Ramp::fixed(600.0);
    let load = rig.appliances[0].thermal.expect("it heats a cabin");
    (s.thermal_k[0], s.body_k, s.case_k) = (280.0, 270.0, 275.0);
    let mut f = evaluate(&rig, &modes, 0.0, &s);
    f.appliances[0].heat_w = 5000.0;
    f.chill_w = 7.0;
    let d = rates(&rig, &modes, &s, &f);
    let gains_w = load.loss_w_per_k * (f.air_k - 280.0) + load.efficiency * 5000.0
        - modes.appliances[0].draw_w.at(0.0);
    near(d.thermal_k[0], gains_w / load.heat_j_per_k, "a heated mass");
    let body = &rig.body;
    near(
        d.body_k,
        (body.loss_w_per_k * (f.air_k - 270.0) - 7.0) / body.heat_j_per_k,
        "body",
    );
    let case_k = f.air_k + body.sun_k_m2_per_w * 600.0 - 275.0;
    near(d.case_k, case_k / body.case_tau_s, "spring case in the sun");
    near(
        d.taken_in_j,
        f.containers[0].heat_w + body.loss_w_per_k * (f.air_k - 270.0) - 7.0,
        "taken in",
    );
}

/// Ice settles where the gas is colder than freezing and carries more water than it can hold, and melts where it is warm.
#[test]
fn ice_grows_in_the_cold_and_melts_in_the_warm() {
    let body = presets::body();
    let at = |ice: f64, nozzle_k: f64, water: f64| {
        body.ice_per_s(ice, 1e-3, water, (nozzle_k, 3e5), 0.0441)
    };
    assert!(at(0.0, 255.0, 2e-3) > 0.0);
    assert_eq!(at(0.0, 300.0, 2e-3), 0.0);
    assert!(at(0.5, 300.0, 0.0) < 0.0);
    assert!(
        at(0.5, 310.0, 0.0) < at(0.5, 300.0, 0.0),
        "the warmer the faster"
    );
}

/// A passage between the stages is bridged while the pool stands over it and until the gas blows through: at rest at both
/// ends in between.
#[test]
fn a_slug_begins_at_the_passage_and_lasts() {
    let body = presets::body();
    let on_kg = body.pool_overflow_kg;
    let rate = |share: f64, slug: f64| wet::slug_rate(&body, share * on_kg, slug);
    assert_eq!(rate(0.95, 0.0), 0.0, "not yet");
    assert!(rate(1.05, 0.0) > 0.0, "it begins");
    assert!(rate(0.95, 1.0).abs() < 1e-9, "it lasts");
    assert!(rate(0.69, 1.0) < 0.0, "it has left");
    assert_eq!(wet::at_the_second_seat(0.29), 0.0);
    near(wet::at_the_second_seat(0.9), 0.8, "froth");
    // Behind the first chamber it comes to the second seat, and passes it as liquid.
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (modes, mut s) = standing(&rig);
    (s.pool_kg, s.slug, s.second.rise_m) = (1.2 * on_kg, 1.0, 0.5 * s.second.rise_m);
    let f = evaluate(&rig, &modes, 0.0, &s);
    assert!(f.second.seat_liquid_kg_per_s > 0.0);
}

/// Liquid at rest in the body boils by what the body is over its boiling point: the vapour carries its latent heat and what
/// the liquid had, the body pays the difference to the liquid that stood there.
#[test]
fn what_boils_pays_for_itself() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (modes, mut s) = standing(&rig);
    (s.pool_kg, s.low_pool_kg) = (5.0 * rig.body.pool_wet_kg, 0.04);
    let f = evaluate(&rig, &modes, 0.0, &s);
    let propane = fuel::Species::Propane;
    let latent = |k: f64| fuel::latent_heat_j_per_mol(propane, k) / propane.molar_mass_kg_per_mol();
    let chamber_k = fuel::saturation_temperature_k(propane, f.first.chamber_pa);
    let vapour_j = |k: f64| wet::liquid_j_per_kg(k) + latent(k);
    let each_j = vapour_j(chamber_k) - wet::liquid_j_per_kg(s.body_k);
    let first_w = rig.body.pool_w_per_k * (s.body_k - chamber_k);
    let off = |got: f64, wanted: f64| (got / wanted - 1.0).abs();
    assert!(off(f.wet.first_kg_per_s, first_w / each_j) < 0.01);
    // On the low side at the boiling point under the outlet's pressure; the chamber is the wider, and the line takes from the air.
    let outlet_k = fuel::saturation_temperature_k(propane, f.second.chamber_pa);
    let low = latent(wet::LOW_SIDE_K);
    let wider = rig.second.area_m2 / rig.first.area_m2;
    let second_w = wider * rig.body.pool_w_per_k * (s.body_k - outlet_k);
    assert!(off(f.wet.second_kg_per_s, second_w / low) < 0.01);
    assert!(f.wet.line_w > 0.0);
    assert!(off(f.wet.line_kg_per_s, f.wet.line_w / low) < 1e-9);
    let paid_w = f.wet.first_kg_per_s * each_j + f.wet.second_kg_per_s * low;
    assert!(off(f.wet.body_w, paid_w) < 1e-9, "{} W", f.wet.body_w);
    let carried_w = f.wet.first_kg_per_s * vapour_j(chamber_k)
        + (f.wet.second_kg_per_s + f.wet.line_kg_per_s) * vapour_j(wet::LOW_SIDE_K);
    assert!(off(f.wet.carried_w, carried_w) < 1e-9);
}

/// Energy held: what stands in the body counts by its own warmth, steel by its heat, counted from freezing.
#[test]
fn heat_held_is_counted_from_freezing() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let (modes, mut s) = standing(&rig);
    let held = |s: &RigState| {
        let f: Flows = evaluate(&rig, &modes, 0.0, s);
        energy::held_j(&rig, s, &f)
    };
    let dry_j = held(&s);
    let (body_k, freezing_k) = (s.body_k, 273.15);
    s.body_k = body_k + 4.0;
    near(
        held(&s) - dry_j,
        4.0 * rig.body.heat_j_per_k,
        "a warmer body",
    );
    s.body_k = body_k;
    s.pool_kg = 0.02;
    near(
        held(&s) - dry_j,
        0.02 * wet::liquid_j_per_kg(body_k),
        "liquid in the body",
    );
    near(
        wet::liquid_j_per_kg(freezing_k),
        0.0,
        "counted from freezing",
    );
    s.pool_kg = 0.0;
    let f = evaluate(&rig, &modes, 0.0, &s);
    let c = &rig.containers[0];
    let inner_j = f.containers[0]
        .flash
        .inner_energy_j(mass_kg(&s.containers[0].moles), c.volume_m3);
    let steel_j = c.steel_j_per_k * (s.containers[0].temperature_k - freezing_k);
    near(
        held(&s),
        inner_j + steel_j + rig.body.heat_j_per_k * (body_k - freezing_k),
        "all of it",
    );
}

/// The books of fuel and heat at the end of a run: gas alone, and a container of which half of what comes is liquid.
#[test]
fn the_books_balance() {
    for liquid_share in [0.0, 0.5] {
        let mut rig = rig("20 lb cylinder", &[Kind::Grill, Kind::Cooktop]);
        rig.containers[0].liquid_share = liquid_share;
        let mut house = House::start(rig, 93.0, kelvin(60.0));
        house.switch([0, 1], true).wait(600.0);
        let r = house.read();
        assert!(
            r.burned_kg > 0.05 && r.carried_off_j.abs() > 1e4,
            "nothing to balance: {r:?}"
        );
        assert!(r.balance_error < 1e-6, "fuel: {}", r.balance_error);
        assert!(r.energy_error < 1e-3, "heat: {}", r.energy_error);
        assert_eq!(r.pool_kg > 1e-4, liquid_share > 0.0, "{} kg", r.pool_kg);
    }
}

/// A main line laid of two sections holds their gas, and takes what both take of the narrower bore: lengths by the fifth
/// power of the bores, bends by the fourth.
#[test]
fn a_line_laid_in_sections_holds_and_takes_what_they_do() {
    let usual = presets::piping();
    let material = Material::Copper;
    let sections = [
        Section::new(material, 0, 2.0),
        Section::new(material, 1, 3.0),
    ];
    let mut piping = usual;
    piping.lay(&[]);
    assert_eq!(piping, usual, "nothing laid");
    piping.lay(&sections);
    let bores = sections.each_ref().map(Section::bore_m);
    let hold_m3: f64 = sections
        .iter()
        .map(|s| 0.25 * PI * s.bore_m().powi(2) * s.length_m)
        .sum();
    let usual_m3 = 0.25 * PI * usual.main.bore_m.powi(2) * usual.main.length_m;
    near(
        piping.manifold_m3,
        usual.manifold_m3 - usual_m3 + hold_m3,
        "gas",
    );
    let (on_m, main) = (piping.main.bore_m, piping.main);
    assert!(bores.contains(&on_m));
    let sum = |of: [f64; 2], power: i32| -> f64 {
        let each = of.iter().zip(&bores);
        each.map(|(v, bore)| v * (on_m / bore).powi(power)).sum()
    };
    near(main.length_m, sum([2.0, 3.0], 5), "length");
    near(main.minor_loss, sum([1.5, 1.5], 4), "bends");
}

/// A container with no liquid in it gives what it has, and stays a number.
#[test]
fn the_last_of_a_container_is_vapour() {
    let rig = rig("20 lb cylinder", &[Kind::Grill]);
    let c = &rig.containers[0];
    let state = c.filled(0.0, &rig.fuel.fractions, 288.15, 0.0);
    let mut dry = state;
    for moles in &mut dry.moles {
        *moles *= 0.2;
    }
    let flash = c.flash(&dry);
    assert_eq!(flash.liquid_mol, 0.0);
    let drawn = c.drawn(&flash, 1e-3, 1e-3, 0.0);
    let kg_per_s = mass_kg(&drawn.moles);
    near(kg_per_s, -2e-3, "what is drawn is gone");
    assert!(drawn.temperature_k < 0.0);
}

/// Containers by the trade's sizes: water capacity in lb, outer diameter in inches (common practice).
#[test]
fn containers_have_their_sizes() {
    for (name, water_lb, inches) in [
        ("20 lb cylinder", 47.6, 12.2),
        ("30 lb cylinder", 71.0, 12.2),
        ("40 lb cylinder", 95.0, 12.2),
        ("100 lb cylinder", 239.0, 15.0),
    ] {
        let c = presets::container(name).expect("a preset");
        let m3 = water_lb * 0.453_592_37e-3;
        assert!((c.volume_m3 / m3 - 1.0).abs() < 1e-6, "{name}");
        let round_m2 = PI * inches * 0.0254 * 0.5;
        assert!(c.shape.wetted_area_m2(0.5 * m3) > round_m2 * 0.25, "{name}");
    }
    // A tank of 14 in across and 46 in long, lying: a cylinder, half its wall wet when half full.
    let tank = presets::container("horizontal tank").expect("a preset");
    let (across_m, long_m) = (14.0 * 0.0254, 46.0 * 0.0254);
    near(
        tank.volume_m3,
        0.25 * PI * across_m * across_m * long_m,
        "tank",
    );
    let wet_m2 = tank.shape.wetted_area_m2(0.5 * tank.volume_m3);
    assert!(
        (wet_m2 / (0.5 * PI * across_m * long_m) - 1.0).abs() < 0.2,
        "{wet_m2}"
    );
    // Steel by its weight, some 480 J/(kg K) (published).
    let steel = [
        "20 lb cylinder",
        "30 lb cylinder",
        "40 lb cylinder",
        "100 lb cylinder",
        "horizontal tank",
    ]
    .map(|name| presets::container(name).expect("a preset").steel_j_per_k / 480.0);
    for (kg, wanted) in steel.into_iter().zip([8.0, 11.0, 13.5, 31.0, 45.0]) {
        near(kg, wanted, "steel");
    }
    assert!(presets::container("no such thing").is_none());
}

/// A place among two containers that is not there changes nothing.
#[test]
fn the_first_container_is_the_side_that_is_asked_for() {
    let one = |name: &str| presets::container(name).expect("a preset");
    let both = || Rig::standard(vec![one("20 lb cylinder"), one("30 lb cylinder")], vec![]);
    let first = |side: usize| both().with_first(side).containers[0].volume_m3;
    let small = both().containers[0].volume_m3;
    assert_eq!((first(0), first(2)), (small, small));
    assert_eq!(first(1), both().containers[1].volume_m3);
}

/// Each value of the state has a name of its own, and is told by whose it is.
#[test]
fn values_of_the_state_have_names() {
    let rig = rig("20 lb cylinder", &[Kind::Grill, Kind::Furnace]);
    let names: Vec<String> = (0..RigState::dim(&rig))
        .map(|i| RigState::name(&rig, i))
        .collect();
    let heated = format!("temperature of {}", rig.appliances[1].name);
    assert_eq!(names.last(), Some(&heated));
    let of_the_container = names.iter().filter(|n| n.ends_with(" 1")).count();
    assert_eq!(
        of_the_container, 7,
        "five fuels, warmth, pigtail: {names:?}"
    );
    for (i, name) in names.iter().enumerate() {
        assert!(!names[..i].contains(name), "{name} twice");
    }
    // Bristles and speeds are kept more loosely than their scale, a heated mass and a slug more closely.
    let (scales, errors) = (RigState::scales(&rig), RigState::error_scales(&rig));
    let at = |name: &str| names.iter().position(|n| n == name).expect("a name");
    for (name, looser) in [
        ("first-stage friction bristle", 100.0),
        ("second-stage speed", 5.0),
        ("slug between the stages", 0.01),
        ("manifold gas", 1.0),
    ] {
        let i = at(name);
        near(errors[i] / scales[i], looser, name);
    }
    let last = names.len() - 1;
    assert!(errors[last] < scales[last]);
}

/// What a thermostat reads is watched to a hundredth of a kelvin, what rings to a seventh of its limit.
#[test]
fn what_rings_is_watched_from_further() {
    let rig = rig("20 lb cylinder", &[Kind::Grill, Kind::Furnace]);
    let reach: Vec<f64> = (0..watch_count(&rig))
        .map(|i| watch_reach(&rig, i))
        .collect();
    assert_eq!(reach[..8], [0.15, 0.15, 0.01, 0.01].repeat(2)[..]);
    assert!(reach[8..].iter().all(|r| *r == 0.15));
}

/// Under the air's pressure an open burner draws air in, which is no fuel: the line stands at the air's pressure, and the
/// container gets air and no more butane.
#[test]
fn what_is_drawn_in_is_air() {
    let mut rig = rig("20 lb cylinder", &[Kind::Furnace]);
    rig.fuel.fractions = [0.0, 0.0, 1.0, 0.0, 0.0];
    let (mut modes, mut state) = standing(&rig);
    state.containers[0].temperature_k = kelvin(20.0);
    modes.site.air_k = Ramp::fixed(kelvin(20.0));
    let charge = fuel::charge(
        rig.containers[0].volume_m3,
        0.5,
        &rig.fuel.fractions,
        kelvin(20.0),
        0.0,
    );
    state.containers[0].moles = charge;
    // A pigtail that stands under the air's pressure and over the container's.
    let f = evaluate(&rig, &modes, 0.0, &state);
    let held_pa = f.containers[0].flash.pressure_pa;
    assert!(held_pa < f.ambient_pa);
    state.containers[0].pigtail_kg *= 0.5 * (held_pa + f.ambient_pa) / f.containers[0].pigtail_pa;
    let f = evaluate(&rig, &modes, 0.0, &state);
    assert!(f.containers[0].vapour_kg_per_s < 0.0);
    let d = rates(&rig, &modes, &state, &f);
    let air = fuel::Species::Air.index();
    let butane = fuel::Species::NButane.index();
    assert_eq!(d.containers[0].moles[butane].max(0.0), 0.0);
    let molar = fuel::Species::Air.molar_mass_kg_per_mol();
    near(
        d.containers[0].moles[air] * molar,
        -f.containers[0].vapour_kg_per_s,
        "all of it air",
    );
    // A line under the air's pressure takes air in at an open burner.
    modes.appliances[0].valve = Ramp::fixed(1.0);
    state.manifold_kg *= 0.98;
    let f = evaluate(&rig, &modes, 0.0, &state);
    assert!(f.appliances[0].main_kg_per_s < 0.0 && f.appliances[0].heat_w == 0.0);
}
