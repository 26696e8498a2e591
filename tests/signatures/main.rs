//! Every fault of the catalogue, at a medium severity, on a visit of the technician: does the rig
//! show what the trade says it shows?
//!
//! The rows are the trade's fault table (grade: practice), in the words lock-up, flow, time and
//! what tells it apart. "High", "low", "normal" are against the healthy rig on the same visit.
//! Where physics says otherwise than the trade, the row holds what physics says and the argument,
//! with numbers, is in docs/faults.md ("Where the model and the trade disagree").

mod remedies;
mod rig;
mod sides;
mod table;
mod times;

use rig::{Signature, visit};
use table::{ROWS, Row, Sees, Way};
use twostage::fault::Fault;

/// Difference of low-side pressure that counts as off \[in w.c.\]: three divisions of a manometer.
const OFF_INWC: f64 = 0.25;
/// Difference of the fall to full load that counts as off: one division.
const OFF_FALL_INWC: f64 = 0.09;
/// Difference of interstage pressure that counts as off \[psi\].
const OFF_PSI: f64 = 0.5;
/// Difference of inlet pressure that counts as off \[psi\].
const OFF_INLET_PSI: f64 = 12.0;

fn way(value: f64, normal: f64, off: f64) -> Way {
    match value - normal {
        d if d > off => Way::High,
        d if d < -off => Way::Low,
        _ => Way::Normal,
    }
}

/// What is wrong with a row, if anything.
fn check(row: &Row, s: &Signature, healthy: &Signature) -> Vec<String> {
    let mut wrong = Vec::new();
    let mut expect = |what: &str, ok: bool, value: f64, normal: f64| {
        if !ok {
            wrong.push(format!(
                "{}: {what}, but {value:.2} against healthy {normal:.2}",
                row.fault
            ));
        }
    };
    for sees in row.sees {
        let what = format!("{sees:?}");
        let mut pressure = |wanted: Way, v: f64, n: f64, off: f64| {
            expect(&what, way(v, n, off) == wanted, v, n);
        };
        match *sees {
            Sees::LockUp(w) => pressure(w, s.lock_up, healthy.lock_up, OFF_INWC),
            Sees::Flow(w) => pressure(w, s.half, healthy.half, OFF_INWC),
            Sees::Rise(w) => pressure(
                w,
                s.lock_up - s.half,
                healthy.lock_up - healthy.half,
                OFF_INWC,
            ),
            Sees::Fall(w) => pressure(w, s.fall, healthy.fall, OFF_FALL_INWC),
            Sees::Manifold(w) => pressure(w, s.manifold, healthy.manifold, OFF_INWC),
            Sees::FirstAtRest(w) => pressure(w, s.first_rest, healthy.first_rest, OFF_PSI),
            Sees::FirstFlowing(w) => pressure(w, s.first_flow, healthy.first_flow, OFF_PSI),
            Sees::InletFlowing(w) => pressure(w, s.inlet_flow, healthy.inlet_flow, OFF_INLET_PSI),
            Sees::InletAtRest(w) => pressure(w, s.inlet_rest, healthy.inlet_rest, OFF_INLET_PSI),
            Sees::Load(w) => pressure(w, s.load, healthy.load, 0.07 * healthy.load),
            Sees::AtRelief => expect(&what, s.lock_up > 18.7, s.lock_up, healthy.lock_up),
            Sees::NearZero => expect(&what, s.lock_up < 4.0, s.lock_up, healthy.lock_up),
            Sees::Creeps => expect(
                &what,
                s.settled_s > 2.0 + healthy.settled_s || s.climb > 0.15,
                s.settled_s,
                healthy.settled_s,
            ),
            Sees::Holds => expect(&what, s.climb < 0.15, s.climb, healthy.climb),
            Sees::TwoLines => expect(&what, s.band > 0.15 + healthy.band, s.band, healthy.band),
            Sees::OneLine => expect(&what, s.band.abs() < 0.25, s.band, healthy.band),
            Sees::Overshoots => expect(
                &what,
                s.peak > healthy.peak + OFF_INWC,
                s.peak,
                healthy.peak,
            ),
            Sees::GasAtSecondVent => expect(&what, s.vents[2].max(s.vents[3]) > 0.0, 0.0, 0.0),
            Sees::GasAtSecondVentFlowing => expect(&what, s.vents[3] > 0.0, s.vents[3], 0.0),
            Sees::GasAtFirstVent => expect(&what, s.vents[0].max(s.vents[1]) > 0.0, 0.0, 0.0),
            Sees::DryVents => expect(&what, s.vents == [0.0; 4], s.vents[2], 0.0),
            Sees::LeakCheckFails => expect(&what, s.leak_fails, s.leak, healthy.leak),
            Sees::LeakCheckHolds => expect(&what, !s.leak_fails, s.leak, healthy.leak),
            Sees::BurnerOut => expect(&what, !s.unlit.is_empty(), 0.0, 0.0),
        }
    }
    wrong
}

#[test]
fn every_fault_has_a_row_or_a_test_of_its_own() {
    for fault in Fault::all() {
        let rows = ROWS.iter().filter(|r| r.fault == fault.id()).count();
        let own = times::OWN.contains(&fault.id());
        assert!(rows == 1 || own, "{} has {rows} rows", fault.id());
    }
    for row in &ROWS {
        assert!(Fault::named(row.fault).is_some(), "{}", row.fault);
    }
}

#[test]
fn the_rig_shows_what_the_trade_says() {
    let mut temperatures: Vec<f64> = ROWS.iter().map(|r| r.air_f).collect();
    temperatures.sort_by(f64::total_cmp);
    temperatures.dedup();
    let healthy: Vec<Signature> = temperatures.iter().map(|t| visit(*t, None)).collect();
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let wrong: Vec<String> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|k| {
                let (healthy, temperatures) = (&healthy, &temperatures);
                scope.spawn(move || {
                    let mut wrong = Vec::new();
                    for row in ROWS.iter().skip(k).step_by(threads) {
                        let s = visit(row.air_f, Some((row.fault, row.severity)));
                        let at = temperatures.iter().position(|t| *t == row.air_f);
                        let base = &healthy[at.expect("every temperature was visited")];
                        wrong.extend(check(row, &s, base));
                    }
                    wrong
                })
            })
            .collect();
        workers
            .into_iter()
            .flat_map(|w| w.join().expect("a visit ran"))
            .collect()
    });
    assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
}

/// docs/faults.md is made by `twostage faults --paper docs`: it must speak of every fault in the
/// catalogue's own words, and have its picture.
#[test]
fn the_page_of_the_faults_stands() {
    let docs = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    let page = std::fs::read_to_string(docs.join("faults.md")).expect("docs/faults.md");
    for fault in Fault::all() {
        let e = fault.entry();
        let heading = format!("### {} (`{}`)", e.name, e.id);
        assert!(page.contains(&heading), "no page of {}", e.id);
        assert!(page.contains(e.words), "other words of {}", e.id);
        assert!(
            page.contains(e.told_apart.trim_end_matches('.')),
            "{}",
            e.id
        );
        let picture = docs.join(format!("pictures/faults/{}.svg", e.id));
        assert!(picture.exists(), "no picture of {}", e.id);
    }
}
