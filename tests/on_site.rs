//! A technician's visit on site keeps to the rules of safety, whatever is wrong with the rig.

use std::sync::Arc;
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::service::{Bubbles, Joint, LIMITS, Sound, TOLERANCE, bubbles_at, escapes_aloud};
use twostage::sim::Simulation;
use twostage::solver::Method;
use twostage::units::{inwc_to_pa, psi_to_pa};
use twostage::visit::{
    Against, Bench, Follows, Hindrance, Id, Judged, Left, Measure, OffFor, Progress, Step, Test,
    TestResult, TracePoint, Verdict, VisitReport, prepare, run, run_all,
};

/// What comes at once has come by then [s].
const COMES_S: f64 = 1.0;
const ONE: &str = include_str!("../scenarios/quiet_evening.toml");
const TWIN: &str = include_str!("../scenarios/changeover.toml");

fn start(base: &str, faults: &[(Fault, f64)]) -> Simulation {
    let base = Scenario::parse("rig", base).expect("a scenario");
    let prepared = Arc::new(prepare(&base, faults));
    let mut sim = Simulation::start(prepared, Method::Stiff, TOLERANCE).expect("starts");
    let come = sim.advance(COMES_S, None, &mut |_| {});
    come.expect("it comes");
    sim
}

fn visit_of(base: &str, faults: &[(&str, f64)]) -> VisitReport {
    let faults: Vec<(Fault, f64)> = faults
        .iter()
        .map(|(id, s)| (Fault::find(id).expect("a fault"), *s))
        .collect();
    let mut sim = start(base, &faults);
    let mut go_on = |_: &Progress| true;
    run_all(&mut Bench::new(&mut sim, &mut go_on)).expect("a visit")
}

fn made(report: &VisitReport) -> Vec<Test> {
    report.tests.iter().map(|t| t.test).collect()
}

fn lit(test: &TestResult, appliance: Option<usize>) -> bool {
    let is = |s: &Step| matches!(s, Step::Lit(i) if appliance.is_none_or(|a| a == *i));
    test.steps.iter().any(is)
}

/// Longest stretch of a record over a limit \[s\].
fn longest_over(test: &TestResult, limit_pa: f64) -> f64 {
    let (mut longest, mut since) = (0.0_f64, None);
    for p in &test.trace {
        if p.outlet_pa > limit_pa {
            longest = longest.max(p.time_s - *since.get_or_insert(p.time_s));
        } else {
            since = None;
        }
    }
    longest
}

/// Whatever is wrong with a rig, a visit keeps to the rules (common practice, own numbers): it does not pass beside gas that is
/// seen or heard to come out, no gauge stands past what shuts the container while it looks on, nothing that was found far over its
/// plate is lit again, and where it ends in "shut the container" the container is shut.
#[test]
fn every_fault_is_met_by_the_rules() {
    for (base, severity) in [(ONE, 0.7), (TWIN, 1.0)] {
        let rig = Scenario::parse("rig", base).expect("a scenario").rig;
        for fault in Fault::all_in(&rig) {
            let name = format!("{} on {}", fault.id(), rig.containers.len());
            let mut sim = start(base, &[(fault, severity)]);
            let mut go_on = |_: &Progress| true;
            let visited = run_all(&mut Bench::new(&mut sim, &mut go_on));
            let report = visited.unwrap_or_else(|e| panic!("{name}: {e}"));
            if report.verdict == Verdict::Pass {
                for joint in [Joint::Pigtail, Joint::LowSide] {
                    let seen = bubbles_at(joint, &sim);
                    assert!(seen < Bubbles::Steady, "{name}: passes beside {seen:?}");
                }
                assert_eq!(escapes_aloud(&sim), None, "{name}");
            }
            if report.follows() == Follows::ShutOff {
                let open = sim.moment().modes.supply_open(sim.time_s());
                assert!(!open && report.left == Left::ShutOff, "{name}");
            }
            let halted = report.tests.iter().any(|t| t.halted.is_some());
            assert!(!halted || report.left == Left::ShutOff, "{name}");
            let mut off: Vec<usize> = Vec::new();
            for t in &report.tests {
                let over_s = longest_over(t, LIMITS.far_over.high);
                assert!(over_s < 6.0, "{name}: {:?} watched {over_s} s", t.test);
                if matches!(t.test, Test::LockUp | Test::Creep | Test::FirstStage) {
                    let over = |p: &&TracePoint| LIMITS.first_danger.is_passed_by(p.first_stage_pa);
                    let n = t.trace.iter().filter(over).count();
                    assert!(n < 3, "{name}: {:?} watched {n} looks", t.test);
                }
                assert!(
                    !off.iter().any(|i| lit(t, Some(*i))),
                    "{name}: {:?}",
                    t.test
                );
                off.clone_from(&t.left_off);
            }
        }
    }
}

/// A hose of a twin set that is blown open: the changeover's check valve hides it from the leak check's gauge, so leak fluid is put on
/// before anything is lit, and the gas is heard.
#[test]
fn a_twin_set_is_looked_at_with_leak_fluid_and_on_its_reserve() {
    let report = visit_of(TWIN, &[("pigtail_leak.left", 1.0)]);
    assert!(!report.tests.iter().any(|t| lit(t, None)));
    let joints = report.test(Test::Joints).expect("made");
    assert_eq!(joints.read(Id::FluidPigtail), Some(3.0));
    assert_eq!(report.follows(), Follows::ShutOff);
    let sound = visit_of(TWIN, &[]);
    // Its service side is nearly empty, and nothing else is to be said of it.
    assert_eq!(sound.follows(), Follows::Refill, "{:?}", sound.tests);
    assert!(made(&sound).contains(&Test::Joints) && made(&sound).contains(&Test::Reserve));
}

/// 92 psig through a hole is heard by anybody on site; what diagnosis and drills learned from hears the regulator alone.
#[test]
fn gas_out_of_a_hose_is_heard_on_site() {
    let leak = Fault::find("pigtail_leak").expect("a fault");
    let mut sim = start(TWIN, &[(leak, 1.0)]);
    let mut bench = Bench::on(&mut sim);
    assert_eq!(bench.listens().expect("runs"), Sound::Quiet);
    bench.on_site = true;
    let heard = bench.listens().expect("runs");
    assert_eq!(heard, Sound::Escapes(Joint::Pigtail));
    assert_eq!(bench.forbids_a_flame(), Some(Hindrance::GasEscapes));
}

/// A runaway outlet, as it is met and as it comes on while the container is opened again: the container is shut at that moment.
#[test]
fn a_runaway_outlet_stops_everything() {
    let report = visit_of(
        ONE,
        &[("relief_stuck_shut", 1.0), ("second_seat_disc_lost", 0.5)],
    );
    assert_eq!(made(&report)[0], Test::LockUp);
    assert!(report.tests[0].halted == Some(Hindrance::FarOver));
    assert!(!made(&report).contains(&Test::LeakCheck) && !made(&report).contains(&Test::Vent));
    assert_eq!(report.left, Left::ShutOff);
}

/// Hands that do anything else than a test are not stopped: only what a test would read is.
#[test]
fn what_is_no_test_goes_on() {
    let faults = [("relief_stuck_shut", 1.0), ("second_seat_disc_lost", 0.5)];
    let faults = faults.map(|(id, s)| (Fault::find(id).expect("a fault"), s));
    let mut sim = start(ONE, &faults);
    let mut bench = Bench::on(&mut sim);
    bench.on_site = true;
    for act in ["wait 1 min", "shut", "open", "listen"] {
        bench.follow(act).expect("done");
    }
}

/// The trade lets no more than 14 in w.c. into a vehicle's piping (`LIMITS.lock_up_caution`, its source there).
#[test]
fn nothing_is_lit_from_a_lock_up_over_fourteen() {
    let report = visit_of(ONE, &[("second_screw_high", 0.5)]);
    assert!(!report.tests.iter().any(|t| lit(t, None)));
    let lock_up = report.figure(Test::LockUp, Measure::LockUp).expect("read");
    assert!((inwc_to_pa(14.0)..inwc_to_pa(18.0)).contains(&lock_up));
    let left_out = report
        .not_made
        .iter()
        .all(|n| n.why == Hindrance::OverAtRest);
    assert!(left_out && !report.not_made.is_empty());
}

/// What takes twice its plate is off while everything else burns at full load.
#[test]
fn what_was_forbidden_is_not_lit_again() {
    let report = visit_of(ONE, &[("spud_oversize", 0.7)]);
    let full = report.test(Test::FullLoad).expect("made");
    assert_eq!(full.left_off, [0]);
    assert!(!lit(full, Some(0)));
    assert!(matches!(
        report.stay_off()[0],
        Some(OffFor::Overfired { .. })
    ));
}

/// A first seat that leaks is watched to 25 psig and not beyond.
#[test]
fn a_first_stage_is_watched_no_further_than_its_danger() {
    let report = visit_of(ONE, &[("first_seat_nick", 0.5)]);
    let last = report.test(Test::LockUp).expect("made");
    assert_eq!(last.halted, Some(Hindrance::FirstOver));
    let highest = last
        .trace
        .iter()
        .map(|p| p.first_stage_pa)
        .fold(0.0, f64::max);
    assert!(highest < psi_to_pa(27.0), "{highest}");
    assert_eq!(report.left, Left::ShutOff);
}

fn alone(base: &str, fault: &str, severity: f64, test: Test) -> TestResult {
    let fault = Fault::find(fault).expect("a fault");
    let mut sim = start(base, &[(fault, severity)]);
    let mut bench = Bench::on(&mut sim);
    bench.on_site = true;
    run(&mut bench, test).expect("made")
}

/// A starved rig has an inlet that falls and a manifold that starves (derived limits beside `LIMITS.manifold`).
#[test]
fn inlet_and_manifold_are_judged_by_both() {
    let starved = alone(ONE, "service_valve_part_open", 0.6, Test::Along);
    assert_eq!(starved.verdict, Verdict::Fail, "{:?}", starved.judged);
    let sound = alone(ONE, "service_valve_part_open", 0.0, Test::Along);
    assert_eq!(sound.verdict, Verdict::Pass, "{:?}", sound.judged);
}

/// Propane at 58 °F gives some 95 psig (published vapour pressure): 40 psig is another fuel, a cold or a nearly empty container.
#[test]
fn a_container_is_held_against_the_weather() {
    for (fault, severity, verdict) in [
        ("butane_rich", 0.7, Verdict::Caution),
        ("container_cold", 1.0, Verdict::Caution),
        ("container_cold", 0.0, Verdict::Pass),
    ] {
        let result = alone(ONE, fault, severity, Test::Container);
        assert_eq!(
            result.verdict, verdict,
            "{fault} {severity}: {:?}",
            result.judged
        );
    }
}

/// Leak fluid where nothing stands behind it is no pass.
#[test]
fn leak_fluid_without_pressure_tells_nothing() {
    // The excess-flow valve shuts as the container is opened again after the leak check.
    let report = visit_of(ONE, &[("diaphragm_torn", 0.7)]);
    let result = report.test(Test::Joints).expect("made");
    assert_eq!(result.verdict, Verdict::Caution, "{result:?}");
    let empty = |j: &&Judged| matches!(j.against, Against::NoPressureHigh | Against::NoPressureLow);
    assert!(result.judged.iter().any(|j| empty(&j)));
}

/// A vent that is shut makes no bubbles, and is no vent: it is seen.
#[test]
fn a_sealed_vent_is_no_pass() {
    for fault in ["second_vent_blocked", "vent_screen_painted"] {
        assert_eq!(
            alone(ONE, fault, 1.0, Test::Vent).verdict,
            Verdict::Fail,
            "{fault}"
        );
    }
}

/// What a diaphragm breathes while it falls is air: a starved rig's vents do not fail.
#[test]
fn a_breath_is_no_gas() {
    for (fault, severity) in [
        ("service_valve_part_open", 0.8),
        ("hose_bored_down", 0.9),
        ("excess_flow_tripped", 0.62),
    ] {
        let report = visit_of(ONE, &[(fault, severity)]);
        let vent = report.test(Test::Vent).expect("made");
        let gas = |j: &&Judged| j.verdict == Verdict::Fail;
        assert_eq!(vent.judged.iter().find(gas), None, "{fault}");
    }
}

/// A low pressure alone shuts no container, an empty one is to be refilled, a valve hardly open to be opened.
#[test]
fn what_follows_is_as_grave_as_what_was_read() {
    let valve = visit_of(ONE, &[("service_valve_part_open", 0.8)]);
    assert!(valve.conclusion().hardly_open);
    let spud = visit_of(ONE, &[("spud_clogged", 0.7)]);
    assert!(matches!(spud.stay_off()[0], Some(OffFor::Starved { under }) if under > 0.3));
    let weak = visit_of(ONE, &[("second_screw_low", 0.3)]);
    assert_ne!(weak.follows(), Follows::ShutOff, "{:?}", weak.tests);
    let first = visit_of(ONE, &[("first_screw_low", 0.6)]);
    let watched = |j: &Judged| j.limit == Some(LIMITS.first_weak);
    assert!(first.tests.iter().flat_map(|t| &t.judged).any(watched));
}
