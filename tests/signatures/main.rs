//! Every statement on the page of every fault, run: the rig with the fault at the middling severity, a visit of the
//! technician, the same visit to what it is held against (a healthy rig, a look-alike), after the same act.
//!
//! The statements are data beside the catalogue (`twostage::fault::trade`), the trade's fault table among them (grade:
//! practice). A statement that the model does not show fails here; which of the two is wrong is decided by evidence. Where
//! physics says otherwise than the trade, the page says what physics says and docs/faults.md why ("Where the model and the
//! trade disagree").

mod remedies;
mod rig;
mod sides;
mod times;

use rig::{Signature, go_on, look, scenario, start, start_on_the_reserve};
use std::collections::{BTreeMap, BTreeSet};
use twostage::diagnosis::library::fragile;
use twostage::fault::Fault;
use twostage::fault::trade::{Act, Claim, Figure, MIDDLING, PAGES, Way};
use twostage::sim::Simulation;
use twostage::visit::Item;
use twostage::visit::{Bench, Deed, make_safe, perform};

/// What the trade's instruments tell apart: three divisions of a manometer, one in a fall, half a psi between the stages,
/// two divisions of a high-side gauge, a step of leak fluid.
fn seen(figure: Figure, of: f64) -> f64 {
    match figure {
        Figure::Fall => 0.09,
        Figure::Band | Figure::Climb => 0.15,
        Figure::HalfLoad
        | Figure::FullLoad
        | Figure::Rise
        | Figure::Manifold
        | Figure::LockUp
        | Figure::Peak => 0.25,
        Figure::Settling => 2.0,
        Figure::InletAtRest | Figure::InletFlowing => 12.0,
        Figure::Input => 0.07 * of.abs(),
        Figure::Fill => 0.05,
        Figure::FirstAtRest
        | Figure::FirstFlowing
        | Figure::BurnersOut
        | Figure::FirstVent
        | Figure::SecondVent
        | Figure::SecondVentFlowing
        | Figure::LeakCheck => 0.5,
    }
}

fn holds(way: Way, value: f64, base: f64, seen: f64) -> bool {
    match way {
        Way::Higher => value - base > seen,
        Way::Lower => value - base < -seen,
        Way::Same => (value - base).abs() <= seen,
        Way::AtRelief => value > 18.7,
        Way::NearZero => value < 4.0,
    }
}

/// A rig to visit: a fault or none, after an act.
type Visit = (Option<&'static str>, &'static str);

fn act_name(act: Act) -> &'static str {
    match act {
        Act::AsFound => "as found",
        Act::InFrost => "in frost",
        Act::AfterFlush => "flush",
        Act::AfterClearing => "clear",
        Act::AfterNewHose => "hose",
        Act::OnTwin => "twin",
        Act::OnReserve => "reserve",
    }
}

fn visit((fault, act): Visit, severity: f64) -> Signature {
    let air_f = if act == "in frost" { 20.0 } else { 70.0 };
    let faults: Vec<_> = fault.iter().map(|f| (*f, severity)).collect();
    let mut sim = match act {
        "twin" => start(&scenario(air_f, 2), &faults),
        "reserve" => start_on_the_reserve(&scenario(air_f, 2), &faults),
        _ => start(&scenario(air_f, 1), &faults),
    };
    let deed = match act {
        "flush" => Some(Deed::Flush),
        "clear" => Some(Deed::ClearVents),
        "hose" => Some(Deed::SwapHose),
        _ => None,
    };
    do_all(&mut sim, deed.as_slice());
    look(&mut sim)
}

/// Does deeds; for a part that comes off the rig is made safe first, and opened again after.
fn do_all(sim: &mut Simulation, deeds: &[Deed]) {
    for deed in deeds {
        let mut listener = go_on;
        let mut bench = Bench::new(sim, &mut listener);
        let part = [
            Deed::SwapHose,
            Deed::SwapRegulator,
            Deed::NewContainers,
            Deed::MendLine,
            Deed::MendAppliances,
        ]
        .contains(deed);
        let open = if part {
            make_safe(&mut bench).expect("safe")
        } else {
            Vec::new()
        };
        perform(&mut bench, *deed).expect("done");
        for container in open {
            let slowly = true;
            perform(&mut bench, Deed::OpenValve { container, slowly }).expect("open");
        }
    }
}

/// All these visits, on every core.
fn visits(wanted: &BTreeSet<Visit>, severity: f64) -> BTreeMap<Visit, Signature> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads)
            .map(|k| {
                let mine = wanted.iter().skip(k).step_by(threads);
                scope.spawn(move || mine.map(|v| (*v, visit(*v, severity))).collect::<Vec<_>>())
            })
            .collect();
        let done = workers.into_iter();
        done.flat_map(|w| w.join().expect("a visit ran")).collect()
    })
}

fn all_claims() -> impl Iterator<Item = (&'static str, &'static Claim)> {
    PAGES
        .iter()
        .flat_map(|p| p.claims.iter().map(move |c| (p.fault, c)))
}

#[test]
fn every_fault_has_a_page_and_statements_or_a_test_of_its_own() {
    for fault in Fault::all() {
        let pages: Vec<_> = PAGES.iter().filter(|p| p.fault == fault.id()).collect();
        assert_eq!(pages.len(), 1, "pages of {}", fault.id());
        let own = times::OWN.contains(&fault.id());
        let said = pages[0].claims.iter().any(|c| c.versus.is_none());
        assert!(said || own, "{}: nothing to run", fault.id());
        assert!(!pages[0].advice.is_empty(), "{}", fault.id());
    }
    for page in PAGES.iter() {
        let fault = Fault::named(page.fault);
        let e = fault.expect("a page of a fault").entry();
        let others = page.claims.iter().filter_map(|c| c.versus);
        for other in others.chain(page.otherwise.iter().copied()) {
            assert!(e.look_alikes.contains(&other), "{}: {other}", e.id);
        }
    }
}

/// Two faults that look alike are told apart by a reading on either page, or one of the pages says that none does.
#[test]
fn every_pair_of_look_alikes_is_told_apart_or_owned_to() {
    let mut open = Vec::new();
    for fault in Fault::all() {
        let e = fault.entry();
        for other in e.look_alikes.iter().filter(|o| **o > e.id) {
            let there = Fault::named(other).expect("a fault").entry();
            let parts = |a: &twostage::fault::Entry, b: &str| {
                let page = a.page();
                let said = page.claims.iter().any(|c| c.versus == Some(b));
                let owned = page.otherwise.contains(&b);
                assert!(!(said && owned), "{} and {b}: both", a.id);
                said || owned
            };
            if !parts(e, other) && !parts(there, e.id) {
                open.push(format!("{} and {other}", e.id));
            }
        }
    }
    assert!(open.is_empty(), "\n{}", open.join("\n"));
}

/// Statements that a rig at this severity contradicts, by how a reading stands to the other rig's.
fn contradicted(
    severity: f64,
    claims: &[(&'static str, &'static Claim)],
    holds: impl Fn(&Claim, f64, f64) -> bool,
) -> Vec<String> {
    let wanted = claims.iter().flat_map(|(fault, c)| {
        let act = act_name(c.under);
        [(Some(*fault), act), (c.versus, act)]
    });
    let seen_on = visits(&wanted.collect(), severity);
    let wrong = claims.iter().filter_map(|(fault, c)| {
        let of = |who| seen_on[&(who, act_name(c.under))].of(c.figure);
        let (value, base) = (of(Some(fault)), of(c.versus));
        let against = c.versus.unwrap_or("healthy");
        (!holds(c, value, base)).then(|| {
            format!(
                "{fault} at {severity}: {}, but {value:.2} against {base:.2} {against}",
                c.words()
            )
        })
    });
    wrong.collect()
}

#[test]
fn the_rig_shows_what_the_pages_say() {
    let mut severities: Vec<f64> = all_claims().map(|(_, c)| c.severity).collect();
    severities.sort_by(f64::total_cmp);
    severities.dedup();
    for severity in severities {
        let claims: Vec<_> = all_claims()
            .filter(|(_, c)| c.severity.total_cmp(&severity).is_eq())
            .collect();
        let wrong = contradicted(severity, &claims, |c, value, base| {
            holds(c.way, value, base, seen(c.figure, base))
        });
        assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    }
}

/// A milder or worse case may show less of a sign, never its opposite.
#[test]
fn no_severity_shows_the_opposite_of_what_the_pages_say() {
    let of_healthy: Vec<_> = all_claims()
        .filter(|(_, c)| c.versus.is_none() && c.severity.total_cmp(&MIDDLING).is_eq())
        .collect();
    for severity in [0.1, 0.25, 0.75] {
        let wrong = contradicted(severity, &of_healthy, |c, value, base| {
            let seen = seen(c.figure, base);
            match c.way {
                Way::Higher => value >= base - seen,
                Way::Lower => value <= base + seen,
                Way::Same | Way::AtRelief | Way::NearZero => true,
            }
        });
        assert!(wrong.is_empty(), "\n{}", wrong.join("\n"));
    }
}

/// The item of a visit that a figure is read from, where one is.
fn item_of(figure: Figure) -> Option<(&'static str, &'static str)> {
    Some(match figure {
        Figure::HalfLoad => ("half_load", "outlet"),
        Figure::FullLoad => ("full_load", "outlet"),
        Figure::Manifold => ("full_load", "manifold"),
        Figure::InletFlowing => ("full_load", "inlet"),
        Figure::LockUp => ("lock_up", "after_minute"),
        Figure::Peak => ("lock_up", "at_once"),
        Figure::FirstAtRest => ("first_stage", "at_rest"),
        Figure::FirstFlowing => ("first_stage", "full_load"),
        Figure::LeakCheck => ("leak_check", "change"),
        Figure::SecondVentFlowing => ("vent", "second_flowing"),
        _ => return None,
    })
}

/// What flips with a number that nobody measured tells no faults apart (docs/sensitivity.md).
#[test]
fn no_page_tells_faults_apart_by_what_hangs_on_the_make() {
    let leans: Vec<String> = all_claims()
        .filter(|(_, c)| c.versus.is_some())
        .filter(|(fault, c)| {
            let at = item_of(c.figure).and_then(|(table, key)| Item::find(table, key));
            at.is_some_and(|i| fragile::of(Fault::named(fault))[i])
        })
        .map(|(fault, c)| format!("{fault}: {} against {:?}", c.words(), c.versus))
        .collect();
    assert!(leans.is_empty(), "\n{}", leans.join("\n"));
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
