//! Instruments, limits and procedures against numbers worked out elsewhere.

use super::*;
use crate::fault::{Fault, Remedy};
use crate::rig::{Kind, Rig, Site, presets};
use crate::scenario::Scenario;
use crate::service::{Bubbles, Joint, LIMITS, Shown, TOLERANCE, bubbles_at};
use crate::sim::Simulation;
use crate::solver::Method;
use crate::units::{inwc_to_pa, pa_to_inwc};
use std::sync::Arc;

fn scenario() -> Scenario {
    let kinds = [
        Kind::Furnace,
        Kind::WaterHeater,
        Kind::Cooktop,
        Kind::OnDemandHeater,
    ];
    let rig = Rig::standard(
        vec![presets::container("30 lb cylinder").expect("a preset")],
        kinds.map(presets::appliance).to_vec(),
    );
    Scenario::at_rest("bench", rig, Site::calm(294.0, 0.0), 0.6, 294.0)
}

fn start(extra: &[(&str, f64)]) -> Simulation {
    let extra: Vec<_> = extra
        .iter()
        .map(|(id, s)| (Fault::named(id).expect("in the catalogue"), *s))
        .collect();
    let prepared = prepare(&scenario(), &extra);
    Simulation::start(Arc::new(prepared), Method::Stiff, TOLERANCE).expect("starts")
}

fn go_on(_: &Progress) -> bool {
    true
}

#[test]
fn healthy_rig_passes_the_whole_visit() {
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let report = run_all(&mut bench).expect("runs");
    for t in &report.tests {
        println!("{t:?}");
    }
    assert_eq!(report.verdict, Verdict::Pass);
    assert_eq!(report.tests.len(), 1 + Test::VISIT.len());
    assert!(report.took_s > 600.0);
}

/// The leak check of a tight rig in falling temperature passes only because it is corrected.
#[test]
fn leak_check_is_corrected_for_cooling() {
    let mut base = scenario();
    base.site.air_k = crate::rig::Ramp {
        from: 294.0,
        to: 290.0,
        start_s: 0.0,
        end_s: 600.0,
    };
    let mut sim =
        Simulation::start(Arc::new(prepare(&base, &[])), Method::Stiff, TOLERANCE).expect("starts");
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let result = run(&mut bench, Test::LeakCheck).expect("runs");
    let figure = |m| result.figure(m).expect("a figure");
    let raw = figure(Measure::End) - figure(Measure::Start);
    assert!(pa_to_inwc(raw) < -0.5, "{result:?}");
    let corrected = pa_to_inwc(result.read(Id::LeakChange).expect("change"));
    assert!(corrected.abs() < 0.15, "{corrected}");
}

#[test]
fn low_side_leak_fails_the_leak_check_with_dry_vents() {
    let mut sim = start(&[("low_side_leak", 0.5)]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let result = run(&mut bench, Test::LeakCheck).expect("runs");
    assert_eq!(result.verdict, Verdict::Fail);
    assert!(result.read(Id::LeakChange).expect("change") < -inwc_to_pa(1.0));
    assert_eq!(bubbles_at(Joint::SecondVent, bench.sim), Bubbles::None);
    assert!(bubbles_at(Joint::LowSide, bench.sim) > Bubbles::None);
}

/// Where gas comes out of a vent with everything off, the test of the vents lights nothing to look again; a dry vent is
/// looked at both ways.
#[test]
fn no_burner_is_lit_beside_a_vent_that_bubbles_at_rest() {
    for (fault, lights) in [
        (None, true),
        (Some(("second_vent_blocked", 0.5)), true),
        (Some(("diaphragm_torn", 0.5)), false),
        (Some(("first_diaphragm_torn", 0.5)), false),
        (Some(("relief_weeping", 0.5)), false),
    ] {
        let faults: Vec<(&str, f64)> = fault.into_iter().collect();
        let mut sim = start(&faults);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let result = run(&mut bench, Test::Vent).expect("runs");
        let rest = [Id::FirstVentRest, Id::SecondVentRest].map(|id| result.read(id));
        let gas = rest.iter().any(|seen| seen.is_some_and(|word| word > 0.0));
        assert_eq!(gas, !lights, "{fault:?}: {rest:?}");
        let flowing = result.read(Id::SecondVentFlowing).is_some();
        let appliances = &bench.sim.moment().modes.appliances;
        assert_eq!(
            (flowing, appliances.iter().any(|m| m.lit)),
            (lights, lights),
            "{fault:?}"
        );
        assert_eq!(result.verdict == Verdict::Fail, !lights, "{fault:?}");
    }
}

#[test]
fn lock_up_with_a_burner_lit_is_explained() {
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    run(&mut bench, Test::FlowPressure).expect("runs");
    let err = run(&mut bench, Test::LockUp).expect_err("a burner is lit");
    assert!(matches!(err, VisitError::Forbidden { .. }));
    assert!(err.to_string().contains("burns gas"), "{err}");
}

/// A flow test needs its load: with a thermostat satisfied its burner stays off, and a pressure read
/// then would say nothing.
#[test]
fn a_flow_test_without_its_load_cannot_be_made() {
    let mut warm = prepare(&scenario(), &[]);
    for a in &mut warm.rig.appliances {
        if let Some(load) = &mut a.thermal {
            // Far on the satisfied side.
            load.set_k -= 120.0 * load.efficiency.signum();
        }
    }
    let start =
        || Simulation::start(Arc::new(warm.clone()), Method::Stiff, TOLERANCE).expect("starts");
    for test in [Test::FlowPressure, Test::FullLoad, Test::LoadUpDown] {
        let mut sim = start();
        let mut listener = go_on;
        let error = run(&mut Bench::new(&mut sim, &mut listener), test).expect_err("no load");
        let text = error.to_string();
        assert!(text.contains("must wait"), "{text}");
        assert!(text.contains("thermostat"), "{text}");
    }
    // A visit makes what can be made and tells the rest; it does not pass.
    let mut sim = start();
    let mut listener = go_on;
    let report = run_all(&mut Bench::new(&mut sim, &mut listener)).expect("runs");
    let missed: Vec<Test> = report.not_made.iter().map(|n| n.test).collect();
    assert!(missed.contains(&Test::FullLoad), "{missed:?}");
    assert!(report.test(Test::LockUp).is_some());
    assert_eq!(report.tests.len() + missed.len(), 1 + Test::VISIT.len());
    // Not made is no finding: what was made passed, and that is said.
    assert_eq!(report.follows(), Follows::NotAllMade(missed.len()));
    assert_eq!(report.verdict, Verdict::Caution);
}

#[test]
fn every_order_is_read_and_followed() {
    let mut sim = start(&[]);
    let rig = sim.rig().clone();
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let orders = [
        "read outlet",
        "read outlet with manometer for 2 s",
        "read first stage with dial 15 psi",
        "read inlet with dial 300 psi",
        "read container 1",
        "read furnace",
        "thermometer air",
        "thermometer container",
        "fluid second vent",
        "fluid pigtail",
        "fluid cooktop",
        "look",
        "listen",
        "light cooktop",
        "reset furnace",
        "light half",
        "off all",
        "test lock-up",
        "shut fast",
        "open",
        "shut 1",
        "open fast 1",
        "tap",
        "flush",
        "clear vents",
        "warm",
        "screw second -30",
        "weigh",
        // Parts come off a safe rig only.
        "off all",
        "shut",
        "bleed",
        "new hose",
        "new regulator",
        "new containers",
        "mend line",
        "mend appliances",
        "open",
        "wait 10 s",
    ];
    for text in orders {
        for order in Act::parse(text, &rig).unwrap_or_else(|e| panic!("{text}: {e}")) {
            order
                .follow(&mut bench)
                .unwrap_or_else(|e| panic!("{text}: {e}"));
            // What an act is called is read back as that act.
            let again = Act::parse_one(&order.words(&rig), &rig);
            assert_eq!(again.as_ref(), Ok(&order), "{text}");
        }
    }
    assert_eq!(
        Act::parse("visit", &rig).expect("a visit").len(),
        Test::VISIT.len()
    );
    let verbs = GRAMMAR.map(|w| w.words.split(' ').next().expect("a verb"));
    for verb in verbs {
        assert!(
            verb == "visit" || orders.iter().any(|o| o.split(' ').next() == Some(verb)),
            "{verb} was not tried"
        );
    }
    // A manometer cannot stand 10 psi; it says so.
    let order = &Act::parse("read first stage with manometer", &rig).expect("an order")[0];
    let reply = order.follow(&mut bench).expect("read");
    let over = matches!(
        reply,
        Reply::Told(Told::Gauge {
            shown: Shown::OverRange,
            ..
        })
    );
    assert!(over, "{reply:?}");
}

#[test]
fn orders_that_cannot_be_are_told_with_the_nearest() {
    let rig = scenario().rig;
    for (text, words) in [
        ("red outlet", "read POINT"),
        ("read manifolt", "did you mean `manifold`"),
        ("read container 2", "no container 2: it has 1"),
        ("read outlet with barometer", "dial 35 inwc"),
        ("fluid secnd vent", "did you mean `second vent`"),
        ("thermometer bodi", "did you mean `body`"),
        ("thermometer container 2", "no container 2"),
        ("test lockup", "did you mean `test lock-up`"),
        ("weigh 0", "a number from 1 to 1"),
        ("light stove", "there are: furnace"),
        ("light", "`light` alone says too little"),
        ("fluid", "first vent, second vent"),
        ("screw third 5", "needs a stage"),
        ("screw second 9999", "needs degrees"),
        ("wait 9 days", "at most"),
        ("read outlet for -3 s", "over 0"),
        ("", "is not something to do"),
    ] {
        let error = Act::parse(text, &rig).expect_err(text).to_string();
        assert!(error.contains(words), "{text}: {error}");
    }
}

#[test]
fn a_visit_can_be_stopped() {
    let mut sim = start(&[]);
    let mut calls = 0;
    let mut listener = |_: &Progress| {
        calls += 1;
        calls < 3
    };
    let mut bench = Bench::new(&mut sim, &mut listener);
    let err = run_all(&mut bench).expect_err("stopped");
    assert!(matches!(err, VisitError::Cancelled));
}

/// After a leak check that lost gas, wherever it went, nothing is lit and nothing stands under gas: leak fluid and a gauge at
/// rest find where it comes out. One that is asked for the rest goes on and says that a person does not (common practice).
#[test]
fn no_burner_is_lit_after_a_leak_check_that_lost() {
    for (faults, loses) in [
        (vec![], false),
        (vec![("low_side_leak", 0.5)], true),
        (vec![("diaphragm_torn", 0.6)], true),
        (vec![("pigtail_leak", 0.8)], true),
        (vec![("second_seat_set", 0.9)], false),
    ] {
        let visit = |through: bool| {
            let mut sim = start(&faults);
            let mut listener = go_on;
            let mut bench = Bench::new(&mut sim, &mut listener);
            let run = if through { run_through } else { run_all };
            run(&mut bench).expect("runs")
        };
        let (report, shown) = (visit(false), visit(true));
        assert_eq!(shown.conclusion().lit_beside_a_leak, loses, "{faults:?}");
        assert_eq!(shown.tests.len(), Test::VISIT.len(), "{faults:?}");
        assert!(!report.conclusion().lit_beside_a_leak, "{faults:?}");
        let lost = |n: &crate::visit::NotMade| n.why == crate::visit::Hindrance::GasLost;
        assert_eq!(report.not_made.iter().any(lost), loses, "{faults:?}");
        assert_eq!(report.test(Test::Joints).is_some(), loses, "{faults:?}");
        assert!(report.test(Test::Vent).is_some(), "{faults:?}");
        let lit = |t: &crate::visit::TestResult| {
            t.steps
                .iter()
                .any(|s| matches!(s, crate::visit::Step::Lit(_)))
        };
        assert_eq!(!report.tests.iter().any(lit), loses, "{faults:?}");
        if loses {
            let made: Vec<Test> = report.tests.iter().map(|t| t.test).collect();
            let at_rest = [
                Test::Container,
                Test::Fill,
                Test::LeakCheck,
                Test::Look,
                Test::Vent,
                Test::FirstStage,
                Test::Joints,
            ];
            assert_eq!(made, at_rest);
            assert_eq!(report.follows(), Follows::ShutOff);
            let fluid = report.tests.iter().flat_map(|t| &t.figures);
            let bubbles = |f: &crate::visit::Figure| match f.measure {
                Measure::Read(id) => {
                    id.item().choices() == Some(crate::visit::item::BUBBLES) && f.value > 0.0
                }
                _ => false,
            };
            assert!(fluid.into_iter().any(bubbles), "{faults:?}: it is found");
        }
    }
}

/// Beside an outlet far over 14 in w.c. at rest no burner is lit (common practice: the container is shut before anything else is
/// done): the container is shut as the gauge is read, and left shut. One that is asked for the rest goes on.
#[test]
fn no_burner_is_lit_beside_an_outlet_far_over() {
    for (faults, far) in [
        (vec![], false),
        (vec![("second_screw_high", 0.1)], false),
        (vec![("second_seat_disc_lost", 1.0)], true),
        (
            vec![("second_seat_disc_lost", 1.0), ("relief_stuck_shut", 1.0)],
            true,
        ),
    ] {
        let visit = |through: bool| {
            let mut sim = start(&faults);
            let mut listener = go_on;
            let mut bench = Bench::new(&mut sim, &mut listener);
            let run = if through { run_through } else { run_all };
            run(&mut bench).expect("runs")
        };
        let (report, shown) = (visit(false), visit(true));
        assert_eq!(shown.tests.len(), Test::VISIT.len(), "{faults:?}");
        let over = |n: &crate::visit::NotMade| n.why == crate::visit::Hindrance::FarOver;
        assert_eq!(report.not_made.iter().any(over), far, "{faults:?}");
        let lit = |t: &crate::visit::TestResult| {
            let mut steps = t.steps.iter();
            steps.any(|s| matches!(s, crate::visit::Step::Lit(_)))
        };
        assert_eq!(!report.tests.iter().any(lit), far, "{faults:?}");
        if far {
            let made: Vec<Test> = report.tests.iter().map(|t| t.test).collect();
            assert_eq!(made, [Test::LockUp, Test::Fill, Test::Look], "{faults:?}");
            let rest_pa = report.figure(Test::LockUp, Measure::Peak);
            assert!(rest_pa.is_some_and(|pa| LIMITS.far_over.is_passed_by(pa)));
            assert_eq!(report.follows(), Follows::ShutOff);
        }
    }
}

/// A leak check proves the way up to the container valve only while every seat is open: with the screw so low that the
/// regulator locks up under where it began, the low side alone was held, and that is no pass (code: below the set pressure).
#[test]
fn a_leak_check_over_the_lock_up_proves_the_low_side_alone() {
    for (severity, open, verdict) in [
        (0.0, true, Verdict::Pass),
        (0.3, false, Verdict::Caution),
        (0.6, false, Verdict::Caution),
        (1.0, false, Verdict::Caution),
    ] {
        let mut sim = start(&[("second_screw_low", severity)]);
        let mut listener = go_on;
        let report = run_all(&mut Bench::new(&mut sim, &mut listener)).expect("runs");
        let check = report.test(Test::LeakCheck).expect("made");
        let lock_up = report.figure(Test::LockUp, Measure::LockUp).expect("read");
        assert_eq!(check.seats == Seats::Open, open, "{severity}: {check:?}");
        assert_eq!(check.verdict, verdict, "{severity}: {check:?}");
        if !open {
            let lock_up_pa = lock_up;
            assert_eq!(check.seats, Seats::Shut { lock_up_pa });
        }
    }
    // Nobody knows where the seat stood before a lock-up was read.
    let mut sim = start(&[]);
    let mut listener = go_on;
    let alone = run(&mut Bench::new(&mut sim, &mut listener), Test::LeakCheck).expect("runs");
    assert_eq!((alone.seats, alone.verdict), (Seats::Untold, Verdict::Pass));
}

/// What a leak check writes down adds up on paper: what it counts from, what is left at the end and what warmth did.
#[test]
fn the_numbers_of_a_leak_check_add_up() {
    for (fault, severity, before) in [
        ("second_screw_low", 0.0, false),
        ("low_side_leak", 0.5, false),
        ("diaphragm_torn", 0.3, true),
        ("diaphragm_torn", 1.0, true),
    ] {
        let mut sim = start(&[(fault, severity)]);
        let mut listener = go_on;
        let check = run(&mut Bench::new(&mut sim, &mut listener), Test::LeakCheck).expect("runs");
        let of = |m| check.figure(m);
        assert_eq!(of(Measure::From).is_some(), before, "{fault} {severity}");
        let from = of(Measure::From).or(of(Measure::Start)).expect("a start");
        let (end, warmth) = (of(Measure::End), of(Measure::Correction));
        let adds_up = end.expect("an end") - from - warmth.expect("a correction");
        let change = check.read(Id::LeakChange).expect("a change");
        // The change is kept to a tenth of a column (its item), the others as read.
        assert!(
            (change - adds_up).abs() < 0.051 * inwc_to_pa(1.0),
            "{check:?}"
        );
    }
}

/// A line that cannot be held at the start has lost all of it, however little stood there: a rip is no pinhole.
#[test]
fn a_rip_loses_all_that_a_leak_check_begins_at() {
    let change = |severity: f64| {
        let mut sim = start(&[("diaphragm_torn", severity)]);
        let mut listener = go_on;
        let check = run(&mut Bench::new(&mut sim, &mut listener), Test::LeakCheck).expect("runs");
        pa_to_inwc(check.read(Id::LeakChange).expect("a change"))
    };
    for severity in [0.5, 0.75, 0.85, 1.0] {
        assert!(change(severity) < -8.5, "{severity}: {}", change(severity));
    }
}

#[test]
fn new_piping_holds_air_unless_it_leaks() {
    for (faults, verdict) in [
        (vec![], Verdict::Pass),
        (vec![("low_side_leak", 0.5)], Verdict::Fail),
    ] {
        let mut sim = start(&faults);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let result = run(&mut bench, Test::NewPiping).expect("runs");
        assert_eq!(result.verdict, verdict, "{result:?}");
        // Looked at as it begins and fifteen times, evenly, over the quarter of an hour that it is held.
        let times: Vec<f64> = result.trace.iter().map(|p| p.time_s).collect();
        assert_eq!(times.len(), 16);
        assert!(
            times.windows(2).all(|w| (w[1] - w[0] - 60.0).abs() < 1e-6),
            "{times:?}"
        );
    }
}

#[test]
fn grit_goes_with_a_flush_and_a_nick_stays() {
    for (fault, after) in [
        ("second_seat_grit", Verdict::Pass),
        ("second_seat_nick", Verdict::Fail),
    ] {
        let mut sim = start(&[(fault, 1.0)]);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let before = run(&mut bench, Test::LockUp).expect("runs");
        assert_eq!(before.verdict, Verdict::Fail, "{fault}: {before:?}");
        perform(&mut bench, Deed::Flush).expect("flushes");
        let again = run(&mut bench, Test::LockUp).expect("runs");
        assert_eq!(again.verdict, after, "{fault}: {again:?}");
    }
}

/// In free play the refusal teaches: each says what stands in the way, and the rig is as before.
#[test]
fn parts_come_off_a_safe_rig_only() {
    for deed in [Deed::SwapHose, Deed::SwapRegulator, Deed::NewContainers] {
        let mut sim = start(&[]);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        let refused = |bench: &mut Bench<'_>, deed: Deed, word: &str| {
            let before = bench.sim.time_s();
            let why = perform(bench, deed).expect_err("refused").to_string();
            assert!(why.contains(word) && bench.sim.time_s() == before, "{why}");
        };
        perform(&mut bench, Deed::Light { appliance: 2 }).expect("lit");
        bench.wait(30.0, 1.0).expect("runs");
        refused(&mut bench, deed, "the container valve is open");
        refused(&mut bench, Deed::BleedDown, "shut it first");
        perform(&mut bench, Deed::ShutValve { container: 0 }).expect("shut");
        refused(&mut bench, deed, "shut every burner");
        perform(&mut bench, Deed::ShutOff { appliance: 2 }).expect("off");
        refused(&mut bench, deed, "bleed it first");
        perform(&mut bench, Deed::BleedDown).expect("bled");
        perform(&mut bench, deed).expect("a safe rig");
    }
}

/// A pick at the vent opens what clogs it, and does not empty a case that holds rain or scrape paint from inside (common
/// practice: a regulator that held water is replaced).
#[test]
fn clearing_vents_mends_what_an_answer_may_clear() {
    for fault in Fault::all() {
        let does = cure(Deed::ClearVents, fault) == Cure::Yes;
        let may = fault.entry().remedies.contains(&Remedy::Clear);
        assert!(
            !does || may,
            "{} is cleared, and no answer may say so",
            fault.id()
        );
    }
    let cures = |id| cure(Deed::ClearVents, Fault::named(id).expect("a fault"));
    assert_eq!(cures("vent_turned_up"), Cure::No);
    assert_eq!(cures("vent_screen_painted"), Cure::No);
    assert_eq!(cures("second_vent_blocked"), Cure::Yes);
    assert_eq!(cures("second_vent_iced"), Cure::Yes);
}

#[test]
fn deeds_mend_what_they_should() {
    let cases = [
        ("second_vent_blocked", 1.0, Deed::ClearVents),
        ("hose_bored_down", 0.5, Deed::SwapHose),
        ("diaphragm_torn", 0.5, Deed::SwapRegulator),
        ("oily_residue", 0.5, Deed::SwapRegulator),
        ("butane_rich", 0.5, Deed::NewContainers),
        ("line_crushed", 0.5, Deed::MendLine),
        ("spud_clogged", 0.5, Deed::MendAppliances),
    ];
    for (fault, severity, deed) in cases {
        let mut sim = start(&[(fault, severity)]);
        let mut listener = go_on;
        let mut bench = Bench::new(&mut sim, &mut listener);
        assert_eq!(bench.sim.moment().faults.len(), 1);
        make_safe(&mut bench).expect("safe");
        perform(&mut bench, deed).expect("done");
        assert!(
            bench.sim.moment().faults.is_empty(),
            "{fault} after {deed:?}"
        );
        assert_eq!(bench.sim.moment().state.residue_kg, 0.0);
    }
    let mut sim = start(&[]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let err = perform(&mut bench, Deed::Weigh { container: 5 }).expect_err("one container");
    assert!(err.to_string().contains("no container 6"), "{err}");
}

/// A furnace that is half of the load and does not light: what stands is no flow pressure, nothing else is wrong, and only
/// the appliance stays off.
#[test]
fn where_nothing_burns_no_flow_pressure_is_judged() {
    let fault = Fault::named("igniter_dead").expect("in the catalogue");
    let mut two = scenario();
    two.rig
        .appliances
        .retain(|a| matches!(a.name.as_str(), "furnace" | "water heater"));
    two.on_at_start.truncate(two.rig.appliances.len());
    let prepared = Arc::new(prepare(&two, &[(fault, 1.0)]));
    let mut sim = Simulation::start(prepared, Method::Stiff, TOLERANCE).expect("starts");
    let half = crate::visit::sight::half_load(sim.rig());
    assert_eq!(half, vec![0], "the furnace alone");
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let report = run_all(&mut bench).expect("runs");
    let flow = report.test(Test::FlowPressure).expect("made");
    assert!(flow.spoiled && flow.observations.is_empty(), "{flow:?}");
    let against: Vec<Against> = flow.judged.iter().map(|j| j.against).collect();
    assert_eq!(against, [Against::Unlit]);
    assert_eq!(report.follows(), Follows::ApplianceOff);
    assert_eq!(report.left, Left::AsItStands);
    // With another one lit there is a flow pressure.
    assert!(!report.test(Test::FullLoad).expect("made").spoiled);
}

/// What is allowed and watched tells the limit that it is over, not the one that it keeps.
#[test]
fn a_caution_tells_the_limit_that_is_broken() {
    let mut sim = start(&[("second_seat_set", 0.9)]);
    let mut listener = go_on;
    let mut bench = Bench::new(&mut sim, &mut listener);
    let result = run(&mut bench, Test::LockUp).expect("runs");
    assert_eq!(result.verdict, Verdict::Caution);
    let limit = result.decided().and_then(|j| j.limit).expect("a limit");
    assert!((limit.high - inwc_to_pa(13.2)).abs() < 0.01, "{limit:?}");
}

/// Of two burners the starved one is seen by its plate, and one that does not light by the other.
#[test]
fn of_two_burners_the_odd_one_is_seen() {
    let mut two = scenario();
    two.rig.appliances.truncate(2);
    for (fault, severity, word) in [
        ("spud_clogged", 0.6, 1.0),
        ("igniter_dead", 1.0, 3.0),
        ("line_crushed", 0.4, 0.0),
    ] {
        let fault = Fault::named(fault).unwrap_or_else(|| panic!("no {fault}"));
        let prepared = prepare(&two, &[(fault, severity)]);
        let mut sim =
            Simulation::start(Arc::new(prepared), Method::Stiff, TOLERANCE).expect("starts");
        let mut listener = go_on;
        let result = run(&mut Bench::new(&mut sim, &mut listener), Test::Look).expect("runs");
        let seen = result.observations.iter().find(|o| o.item == Id::OddOne);
        assert_eq!(seen.map(|o| o.value), Some(word), "{}", fault.id());
    }
}

/// Gas is let out, and a container opened, with nothing lit and no tap open.
#[test]
fn a_burst_and_an_opening_wait_until_nothing_is_lit() {
    use deeds::Deed;
    let slowly = true;
    let open = Deed::OpenValve {
        container: 0,
        slowly,
    };
    for deed in [Deed::Flush, open] {
        let mut sim = start(&[]);
        let mut bench = Bench::on(&mut sim);
        let make = |bench: &mut Bench<'_>, deed| hands::perform(bench, deed);
        make(&mut bench, Deed::Light { appliance: 2 }).expect("lights");
        bench.wait(5.0, 1.0).expect("runs");
        if deed == open {
            make(&mut bench, Deed::ShutValve { container: 0 }).expect("shuts");
        }
        let error = make(&mut bench, deed).expect_err("a tap is open");
        assert!(error.to_string().contains("shut every burner"), "{error}");
        make(&mut bench, Deed::ShutOff { appliance: 2 }).expect("shuts");
        make(&mut bench, deed).expect("is done with nothing lit");
    }
}
