//! Visits in the cold to a rig that was drawn from for hours before: the draw is run in the model as a house makes it, and
//! the visit begins where it ends. Not here: how answers are counted (`main`).

use crate::{looked, readings};
use std::sync::Arc;
use twostage::diagnosis::answer::Answer;
use twostage::diagnosis::library::random::Random;
use twostage::diagnosis::library::unknowns::{Unknowns, World};
use twostage::diagnosis::measure::cases::read;
use twostage::diagnosis::store::Prepared;
use twostage::fault::Fault;
use twostage::rig::Ramp;
use twostage::scenario::{Action, Scenario};
use twostage::service::TOLERANCE;
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::visit::{ALL, Id, LeakCheck, Test, Values, visit_to};

const SEED: u64 = 77_050;

/// A draw before the visit.
#[derive(Debug, Clone, Copy)]
struct Draw {
    air_f: f64,
    fill: f64,
    hours: f64,
    /// How many of the rig's appliances burn all that time, from the first on.
    lit: usize,
}

/// Every draw: air, fill as the hours begin, hours, appliances.
fn draws() -> Vec<Draw> {
    let mut out = Vec::new();
    for air_f in [10.0, 20.0, 35.0] {
        for (fill, hours) in [(0.3, 2.0), (0.45, 4.0), (0.6, 6.0)] {
            for lit in [1, 2] {
                out.push(Draw {
                    air_f,
                    fill,
                    hours,
                    lit,
                });
            }
        }
    }
    out
}

/// Where a draw leaves the rig.
fn drawn(
    base: &Scenario,
    draw: Draw,
    faults: &[(Fault, f64)],
    seed: u64,
) -> Option<(Simulation, Random)> {
    let mut random = Random::new(SEED, seed);
    let mut scenario = base.clone();
    let unknowns = Unknowns::draw(&mut random, false).within(World::MET);
    unknowns.apply(&mut scenario, World::MET, &mut random);
    let air_k = (draw.air_f - 32.0) / 1.8 + 273.15;
    scenario.site.air_k = Ramp::fixed(air_k);
    for c in &mut scenario.charges {
        c.temperature_k = air_k;
        c.fill = draw.fill;
    }
    let scenario = Arc::new(scenario.with_faults(faults.iter().copied()));
    let mut sim = Simulation::start(scenario, Method::Stiff, TOLERANCE).ok()?;
    for (on, until_s) in [
        (true, 3600.0 * draw.hours),
        (false, 3600.0 * draw.hours + 60.0),
    ] {
        for appliance in 0..draw.lit {
            sim.act(&Action::Switch { appliance, on });
        }
        sim.advance(until_s, None, &mut |_| {}).ok()?;
    }
    Some((sim, random))
}

struct Case {
    words: String,
    fault: Option<Fault>,
    read: Values,
}

fn case(p: &Prepared, draw: Draw, fault: Option<(&str, f64)>, seed: u64) -> Option<Case> {
    let fault = fault.map(|(id, s)| (Fault::find(id).expect("a fault"), s));
    let list: Vec<(Fault, f64)> = fault.into_iter().collect();
    let (mut sim, mut random) = drawn(&p.library.base, draw, &list, seed)?;
    let (air_k, state) = ((draw.air_f - 32.0) / 1.8 + 273.15, sim.moment().state);
    let order = if seed.is_multiple_of(2) {
        LeakCheck::First
    } else {
        LeakCheck::Last
    };
    let truth = visit_to(&mut sim, order, &|_| true).ok()?;
    let at = |id: Id| truth[id.index()].unwrap_or(f64::NAN);
    let words = format!(
        "{:2.0} degF, {:2.0} %, {} h, {} lit, {}: {:4.1} K under the air, body {:5.1}, ice {:.2}, container {:5.1} psi, half {:4.1}, full {:4.1} in w.c.",
        draw.air_f,
        100.0 * draw.fill,
        draw.hours,
        draw.lit,
        fault.map_or("healthy".to_owned(), |(f, s)| format!("{f} {s}")),
        air_k - state.containers[0].temperature_k,
        air_k - state.body_k,
        state.ice,
        at(Id::Container) / 6894.757,
        at(Id::HalfOutlet) / 249.089,
        at(Id::FullOutlet) / 249.089,
    );
    Some(Case {
        words,
        fault: fault.map(|f| f.0),
        read: read(&truth, 1.0, &mut random),
    })
}

/// A regulator's cause beside the draw, or ice that has come with it.
const BESIDE: [(&str, f64); 6] = [
    ("water_in_fuel", 0.7),
    ("second_vent_blocked", 0.7),
    ("first_screw_low", 0.6),
    ("second_seat_nick", 0.5),
    ("first_stage_clogged", 0.6),
    ("second_screw_low", 0.6),
];

pub fn winter(p: &Prepared) {
    let mut jobs: Vec<(Draw, Option<(&str, f64)>)> =
        draws().into_iter().map(|d| (d, None)).collect();
    for (k, beside) in BESIDE.into_iter().enumerate() {
        let cold = draws().into_iter().skip(k % 2).step_by(5);
        jobs.extend(cold.map(|d| (d, Some(beside))));
    }
    for air_f in [25.0, 32.0, 38.0] {
        for hours in [0.2, 0.5] {
            let fill = 0.6;
            jobs.push((
                Draw {
                    air_f,
                    fill,
                    hours,
                    lit: 2,
                },
                Some(("water_in_fuel", 0.8)),
            ));
        }
    }
    let warm = draws().into_iter().take(6);
    jobs.extend(warm.map(|d| (Draw { air_f: 80.0, ..d }, None)));
    let cases = crate::over(&jobs, |k, &(draw, fault)| case(p, draw, fault, k as u64));
    let cases: Vec<Case> = cases.into_iter().flatten().collect();
    let asked: Vec<_> = cases.iter().map(|c| readings(c.read)).collect();
    counted("all items", &cases, looked(p, &asked));
    let asked: Vec<_> = cases.iter().map(|c| readings(of_visit(&c.read))).collect();
    counted("what a visit reads", &cases, looked(p, &asked));
}

/// What the tests of a visit and a thermometer read.
fn of_visit(read: &Values) -> Values {
    std::array::from_fn(|i| {
        let made = Test::VISIT.contains(&ALL[i].test) || ALL[i].test == Test::Air;
        read[i].filter(|_| made)
    })
}

fn counted(what: &str, cases: &[Case], answers: Vec<Answer>) {
    let mut counts: Vec<(String, [usize; 4])> = Vec::new();
    for (case, a) in cases.iter().zip(answers) {
        let mut rows: Vec<(f64, Vec<String>)> = a
            .groups
            .iter()
            .map(|g| (g.probability, g.causes.clone()))
            .collect();
        rows.extend(
            a.pairs
                .iter()
                .map(|x| (x.probability, x.faults.map(|f| f.id().to_owned()).to_vec())),
        );
        rows.push((a.none_of_these, vec!["none".into()]));
        rows.sort_by(|a, b| b.0.total_cmp(&a.0));
        let name = case.fault.map_or("healthy", |f| f.id());
        let right = |r: &(f64, Vec<String>)| {
            r.1.iter()
                .any(|n| n == name || (name == "healthy" && n == "container_cold"))
        };
        let at = match counts.iter().position(|c| c.0 == name) {
            Some(at) => at,
            None => {
                counts.push((name.to_owned(), [0; 4]));
                counts.len() - 1
            }
        };
        let c = &mut counts[at].1;
        c[0] += 1;
        c[1] += usize::from(right(&rows[0]));
        c[2] += usize::from(rows.iter().take(3).any(right));
        c[3] += usize::from(a.none_of_these > 0.5);
        let told: Vec<String> = rows
            .iter()
            .take(3)
            .map(|r| format!("{:.2} {}", r.0, r.1.join("+")))
            .collect();
        println!(
            "    {} | {} | starved {}",
            case.words,
            told.join(", "),
            a.starved.is_some()
        );
    }
    for (name, c) in counts {
        println!(
            "winter, {what}, {name}: {} visits, right first {}, in three {}, none over 50 % {}",
            c[0], c[1], c[2], c[3]
        );
    }
}
