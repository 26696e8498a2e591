//! From readings to causes, as the command line and the window use it.
//!
//! The readings typed here are the trade's own textbook cases (practice: the table of symptoms that
//! technicians share), not made by this program's simulation.

use std::sync::atomic::AtomicBool;
use twostage::diagnosis::answer::Answer;
use twostage::diagnosis::files::readings::Readings;
use twostage::diagnosis::inference::safety::{Danger, NoGas, Reason};
use twostage::diagnosis::library::collection::{Library, draw_unknowns};
use twostage::diagnosis::library::fingerprint::differing;
use twostage::diagnosis::library::random::Random;
use twostage::diagnosis::library::sample::sample_visit;
use twostage::diagnosis::library::standard::rig_of;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::diagnosis::library::unknowns::World;
use twostage::diagnosis::measure::cases::read;
use twostage::diagnosis::store::{Diagnosis, Prepared, built_in};
use twostage::fault::Fault;
use twostage::scenario::{SHIPPED, Scenario};
use twostage::units::System;
use twostage::visit::{ALL, Id, Item, Scale, Test, Values, prepare};

/// The built-in library, which must belong to the model as it stands.
fn prepared() -> Prepared {
    let library = built_in(&standard_rig()).expect(
        "the built-in library is of an older model; make it anew with `cargo run --release -- library make src/diagnosis/standard.lib`",
    );
    Prepared::from_library(library).expect("a likelihood")
}

fn readings(text: &str) -> Readings {
    Readings::parse("case.toml", text).unwrap_or_else(|e| panic!("{e}"))
}

/// A healthy rig at 60 °F (practice: 11.0 ± 0.5 in w.c. at half load, fall 0.5 to 1, lock-up 0.5 to
/// 1.5 above, first stage about 10 psig), with lines of `changes` in place of its own.
fn case(changes: &[(&str, &str, &str)]) -> Readings {
    let mut rows = vec![
        ("site", "air", "60 degF"),
        ("container", "pressure", "102 psi"),
        ("container", "fill", "55 %"),
        ("half_load", "outlet", "11.1 inwc"),
        ("full_load", "outlet", "10.8 inwc"),
        ("full_load", "manifold", "10.4 inwc"),
        ("lock_up", "after_minute", "12.0 inwc"),
        ("lock_up", "after_creep", "12.0 inwc"),
        ("first_stage", "full_load", "9.9 psi"),
        ("first_stage", "at_rest", "10.2 psi"),
        ("vent", "second_flowing", "none"),
        ("vent", "second_at_rest", "none"),
        ("seen", "vent_looks", "clear"),
        ("seen", "odd_one", "none"),
        ("seen", "flames", "normal"),
    ];
    for change in changes {
        match rows.iter_mut().find(|r| (r.0, r.1) == (change.0, change.1)) {
            Some(row) => row.2 = change.2,
            None => rows.push(*change),
        }
    }
    let mut text = String::new();
    let mut tables: Vec<&str> = rows.iter().map(|r| r.0).collect();
    tables.sort_unstable();
    tables.dedup();
    for table in tables {
        text += "[";
        text += table;
        text += "]\n";
        for row in rows.iter().filter(|r| r.0 == table) {
            for part in [row.1, " = \"", row.2, "\"\n"] {
                text += part;
            }
        }
    }
    readings(&text)
}

fn first_group(answer: &Answer) -> Vec<&str> {
    let causes = &answer.groups[0].causes;
    causes.iter().map(String::as_str).collect()
}

#[test]
fn textbook_cases_are_named() {
    type Change = (&'static str, &'static str, &'static str);
    let p = prepared();
    let cases: [(&[Change], &[&str]); 7] = [
        (&[], &["healthy"]),
        (
            // Both alike: spring or screw.
            &[
                ("half_load", "outlet", "8.5 inwc"),
                ("full_load", "outlet", "8.2 inwc"),
                ("full_load", "manifold", "7.9 inwc"),
                ("lock_up", "after_minute", "9.3 inwc"),
                ("lock_up", "after_creep", "9.3 inwc"),
            ],
            &[
                "second_screw_low",
                "second_spring_weak",
                "second_spring_broken",
            ],
        ),
        (
            // Lock-up wrong, flow right, mended by a flush: grit.
            &[
                ("lock_up", "after_minute", "19.5 inwc"),
                ("lock_up", "after_creep", "19.5 inwc"),
                ("vent", "second_at_rest", "steady"),
                ("after_flush", "lock_up", "12.0 inwc"),
            ],
            &["second_seat_grit"],
        ),
        (
            // Interstage over 13 psig at rest and climbing, second stage a little higher.
            &[
                ("first_stage", "at_rest", "60 psi"),
                ("first_stage", "after_creep", "95 psi"),
                ("lock_up", "after_minute", "12.5 inwc"),
                ("lock_up", "after_creep", "12.8 inwc"),
                ("after_flush", "first_stage", "10.2 psi"),
            ],
            &["first_seat_grit"],
        ),
        (
            // Two gauges: right at the regulator's tap, low at the manifold with load.
            &[("full_load", "manifold", "7.5 inwc")],
            &["line_crushed"],
        ),
        (
            // Leak check fails, vent dry, bubbles at a joint.
            &[
                ("leak_check", "change", "-5 inwc"),
                ("leak_fluid", "low_side", "steady"),
            ],
            &["low_side_leak"],
        ),
        (
            // One appliance only, pressure right at its inlet.
            &[("seen", "odd_one", "one small")],
            &["spud_clogged"],
        ),
    ];
    for (changes, named) in cases {
        let answer = p.answer(&case(changes));
        // What the trade names, against the likeliest group of what it does not.
        let (mut right, mut wrong) = (0.0, answer.none_of_these);
        for g in &answer.groups {
            if g.causes.iter().any(|c| named.contains(&c.as_str())) {
                right += g.probability;
            } else {
                wrong = g.probability.max(wrong);
            }
        }
        let list: Vec<_> = answer
            .groups
            .iter()
            .map(|g| (&g.name, g.probability))
            .collect();
        assert!(right > wrong, "{named:?}: {list:?}, none {wrong:.2}");
    }
}

#[test]
fn probabilities_add_up_and_repeat() {
    let p = prepared();
    let r = case(&[("lock_up", "after_minute", "13.4 inwc")]);
    let a = p.answer(&r);
    let all = p.model.causes.len();
    assert!(a.causes.len() <= all);
    let listed: f64 = a.groups.iter().map(|g| g.probability).sum();
    assert!(listed + a.none_of_these <= 1.0 + 1e-9 && listed + a.none_of_these > 0.9);
    let json = |a: &Answer| serde_json::to_string(a).expect("plain data");
    assert_eq!(json(&a), json(&p.answer(&r)));
}

#[test]
fn what_nothing_explains_names_no_culprit() {
    let p = prepared();
    // Flow far too high with lock-up far too low, a vent that is dry, and a tight leak check.
    let r = case(&[
        ("half_load", "outlet", "16 inwc"),
        ("full_load", "outlet", "6 inwc"),
        ("full_load", "manifold", "2 inwc"),
        ("lock_up", "after_minute", "5 inwc"),
        ("lock_up", "after_creep", "11 inwc"),
        ("first_stage", "full_load", "24 psi"),
        ("first_stage", "at_rest", "3 psi"),
    ]);
    let a = p.answer(&r);
    assert!(
        a.none_of_these > 0.9,
        "{} {:?}",
        a.none_of_these,
        first_group(&a)
    );
}

#[test]
fn two_faults_are_found_where_one_does_not_do() {
    let p = prepared();
    // A screw set low and a crushed line: both alike low, and a fall to the manifold besides,
    // with a container that is nearly empty of nothing else.
    let r = case(&[
        ("half_load", "outlet", "8.5 inwc"),
        ("full_load", "outlet", "8.2 inwc"),
        ("full_load", "manifold", "4.5 inwc"),
        ("lock_up", "after_minute", "9.3 inwc"),
        ("lock_up", "after_creep", "9.3 inwc"),
        ("leak_fluid", "pigtail", "steady"),
    ]);
    let a = p.answer_with_pairs(&r, &AtomicBool::new(false));
    assert!(!a.pairs.is_empty(), "none {:.3}", a.none_of_these);
    let all: f64 = a.pairs.iter().map(|x| x.probability).sum();
    assert!((0.0..=1.0 + 1e-9).contains(&all));
}

/// What the answer lists, likeliest first, as names of faults.
fn ranked(answer: &Answer) -> Vec<Vec<String>> {
    let singles = answer.groups.iter().map(|g| {
        let names = g.causes.clone();
        (g.probability, names)
    });
    let pairs = answer.pairs.iter().map(|p| {
        let names = p.faults.map(|f| f.id().to_owned());
        (p.probability, Vec::from(names))
    });
    let mut all: Vec<(f64, Vec<String>)> = singles.chain(pairs).collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, names)| names).collect()
}

/// A whole visit to the standard rig with faults in it, other parts and noise than any in the library.
fn visited(p: &Prepared, faults: &[(&str, f64)], stream: u64) -> Readings {
    let mut random = Random::new(4242, stream);
    let truth = true_visit(p, faults, &mut random);
    reading_of(&truth, &mut random)
}

fn reading_of(truth: &Values, random: &mut Random) -> Readings {
    Readings {
        values: read(truth, 1.0, random),
        ..Readings::default()
    }
}

/// What instruments without errors would read.
fn true_visit(p: &Prepared, faults: &[(&str, f64)], random: &mut Random) -> Values {
    let unknowns = draw_unknowns(None, random);
    let faults: Vec<(Fault, f64)> = faults
        .iter()
        .map(|(id, severity)| (Fault::named(id).expect("a fault"), *severity))
        .collect();
    sample_visit(&p.library.base, &faults, &unknowns, World::NOMINAL, random).expect("runs")
}

/// Sister faults over a range of severities: where an answer calls some of them one group on this rig, reading all
/// instruments again does not part them either (derived: new noise on the same true values).
#[test]
fn what_no_test_would_part_here_is_not_parted_by_reading_again() {
    let p = prepared();
    let sisters = [
        "second_spring_weak",
        "second_screw_low",
        "lever_bent",
        "first_spring_broken",
        "first_screw_low",
        "hose_bored_down",
        "excess_flow_tripped",
        "diaphragm_torn",
    ];
    let (mut joined, mut parted) = (0, Vec::new());
    for (k, id) in sisters.iter().enumerate() {
        // Each severity on four rigs: which are one group hangs on the draw of parts and noise.
        for step in 4..=15 {
            let mut random = Random::new(4243, (20 * k + step) as u64);
            let truth = true_visit(&p, &[(id, 0.2 * (step / 4) as f64)], &mut random);
            let answer = p.answer(&reading_of(&truth, &mut random));
            let of_healthy = answer
                .groups
                .iter()
                .find(|g| g.causes.iter().any(|c| c == "healthy"));
            assert!(of_healthy.is_none_or(|g| g.causes.len() == 1), "{id}");
            for group in answer
                .alike_here()
                .filter(|g| g.causes.iter().any(|c| c == id))
            {
                joined += 1;
                for _ in 0..4 {
                    let again = p.answer(&reading_of(&truth, &mut random));
                    let chance = |id: &str| {
                        let cause = again.causes.iter().find(|c| c.id == id);
                        cause.map_or(0.0, |c| c.probability)
                    };
                    let all: f64 = group.causes.iter().map(|c| chance(c)).sum();
                    parted.push(chance(id) / all.max(1e-9) * group.causes.len() as f64);
                }
            }
        }
    }
    let mean = parted.iter().sum::<f64>() / parted.len() as f64;
    println!("{joined} of 96 are one group here; the true one weighs {mean:.2} of its even share");
    // Few are one group here, 3 in 24 once and in 48 since mild cases are told by kernels of their own width; with fewer
    // than six groups, read again four times each, the mean says nothing.
    assert!(joined >= 6, "{joined}");
    assert!(mean < 1.5, "{mean}");
}

#[test]
fn clear_pairs_are_among_the_first_three() {
    let p = prepared();
    let pairs = [
        [("second_screw_high", 0.5), ("low_side_leak", 0.4)],
        [("second_seat_nick", 0.5), ("pigtail_leak", 0.5)],
        // Not found since bench and library agree: a painted screen with a dead thermocouple (known, to be mended).
        [("first_screw_high", 0.6), ("line_crushed", 0.7)],
    ];
    for (k, pair) in pairs.iter().enumerate() {
        let readings = visited(&p, pair, 1 + k as u64);
        let answer = p.answer_with_pairs(&readings, &AtomicBool::new(false));
        let list = ranked(&answer);
        let both = |names: &Vec<String>| pair.iter().all(|(id, _)| names.iter().any(|n| n == id));
        assert!(list.iter().take(3).any(both), "{pair:?}: {list:?}");
        assert!(answer.none_of_these < 0.1, "{pair:?}");
    }
}

#[test]
fn one_fault_alone_is_not_called_two() {
    let p = prepared();
    for (k, fault) in [
        "second_screw_high",
        "pigtail_leak",
        "second_seat_nick",
        "thermocouple_dead",
    ]
    .iter()
    .enumerate()
    {
        let readings = visited(&p, &[(fault, 0.5)], 11 + k as u64);
        let answer = p.answer_with_pairs(&readings, &AtomicBool::new(false));
        let list = ranked(&answer);
        assert!(list[0].iter().any(|n| n == fault), "{fault}: {list:?}");
        let pairs: f64 = answer.pairs.iter().map(|x| x.probability).sum();
        assert!(pairs < 0.5, "{fault}: {pairs}");
    }
}

#[test]
fn danger_forbids_flames_and_refers() {
    let p = prepared();
    let a = p.answer(&case(&[("lock_up", "after_minute", "15 inwc")]));
    assert_eq!(a.danger, Danger::NoFlame);
    assert!(!a.refer.is_empty());
    for next in &a.next_tests {
        assert!(a.danger.allows(next.test), "{:?}", next.test);
        assert!(!matches!(
            next.test,
            Test::FullLoad | Test::FlowPressure | Test::Warm | Test::Flush
        ));
    }
    // A likely slip of the unit is told with the danger, not in its place.
    let a = p.answer(&readings("[half_load]\noutlet = \"11 psi\"\n"));
    assert_eq!(a.danger, Danger::ShutOff);
    assert_eq!(a.refer[0], Reason::OverRelief(Id::HalfOutlet));
    let a = p.answer(&readings("[heard]\nat_rest = \"roar\"\n"));
    assert_eq!(a.danger, Danger::ShutOff);
}

#[test]
fn the_next_test_separates_what_is_left() {
    let p = prepared();
    let a = p.answer(&readings(include_str!("readings/high_lock_up.toml")));
    let first = &a.next_tests[0];
    assert!(first.bits > 0.1 && first.minutes > 0.0, "{first:?}");
    assert!(first.parts.is_some(), "it would tell two causes apart");
    let per_minute: Vec<f64> = a.next_tests.iter().map(|t| t.bits / t.minutes).collect();
    assert!(per_minute.windows(2).all(|w| w[0] >= w[1]));
}

fn mistake(text: &str) -> String {
    Readings::parse("bad.toml", text)
        .expect_err("has a mistake")
        .to_string()
}

#[test]
fn bad_readings_are_explained() {
    let e = mistake("[full_load]\noutlet = \"12 psi\"\n[first_stage]\nfull_load = \"10 psi\"\n");
    assert!(e.contains("gas flows from high to low"), "{e}");
    assert!(e.contains("`full_load.outlet = \"12.0 inwc\"`"), "{e}");
    let e = mistake("[half_load]\noutlet = \"-2 inwc\"\n");
    assert!(e.contains("`outlet` is -2"), "{e}");
    let e = mistake("[half_load]\noutlet = \"11 degF\"\n");
    assert!(e.contains("degF"), "{e}");
    let e = mistake("[half_load]\noutlett = \"11 inwc\"\n");
    assert!(e.contains("`outlet`"), "{e}");
    let e = mistake("[seen]\nflames = \"purple\"\n");
    assert!(e.contains("knows no `purple`"), "{e}");
    let e = mistake("[site]\nair = \"60 degF\"\n[prior]\nsecond_seat_gritt = 2\n");
    assert!(e.contains("`second_seat_grit`"), "{e}");
    let e = mistake("[site]\nair = \"60 degF\"\n[half_load]\noutlet_uncertainty = \"0.1 inwc\"\n");
    assert!(e.contains("stands without `outlet`"), "{e}");
    let e = mistake("[half_load]\noutlet = 11\n");
    assert!(
        e.contains("needs a unit") && !e.contains("no reading"),
        "{e}"
    );
    let e = mistake("[container]\npressure = \"20 psi\"\n[full_load]\ninlet = \"60 psi\"\n");
    assert!(e.contains("`container.pressure` with 20.0 psig"), "{e}");
    let e = mistake("[lock_up]\nafter_minute = \"15 psi\"\n[first_stage]\nat_rest = \"9 psi\"\n");
    assert!(
        e.contains("over `first_stage.at_rest` with 9.0 psig"),
        "{e}"
    );
    let e = mistake("[pilots]\noutlet = \"20 psi\"\n[container]\npressure = \"5 psi\"\n");
    assert!(e.contains("over `container.pressure`"), "{e}");
    let e = mistake("title = \"empty\"\n");
    assert!(e.contains("holds no reading"), "{e}");
}

/// What is refused as impossible must not be what some fault does: visits of every cause are
/// written as files and read back. Butane in deep cold stands under the atmosphere, where an
/// ordinary gauge rests on its pin: that is read as nothing.
#[test]
fn no_simulated_visit_is_called_impossible() {
    let library = prepared().library;
    for sample in library.samples.iter().step_by(17) {
        let mut values = sample.values();
        for (item, value) in ALL.iter().zip(&mut values) {
            if item.kind != Scale::Change && item.kind != Scale::Air {
                *value = value.map(|v| v.max(0.0));
            }
        }
        let readings = Readings {
            values,
            ..Readings::default()
        };
        let text = readings.to_toml(System::Us);
        if let Err(e) = Readings::parse("visit.toml", &text) {
            panic!("{:?} {}: {e}", sample.fault, sample.severity);
        }
    }
}

#[test]
fn readings_are_written_and_read_back() {
    let mut r = case(&[("lock_up", "after_minute", "13.4 inwc")]);
    let half = Item::find("half_load", "outlet").expect("an item");
    r.uncertainties[half] = Some(50.0);
    r.priors = vec![(None, 3.0), (Fault::named("oily_residue"), 7.5)];
    let back = readings(&r.to_toml(System::Us));
    for (a, b) in r.values.iter().zip(&back.values) {
        match (a, b) {
            (Some(a), Some(b)) => assert!((a - b).abs() <= 1e-6 * a.abs().max(1.0)),
            (a, b) => assert_eq!(a, b),
        }
    }
    assert_eq!(back.priors, r.priors);
    let one = back.uncertainties[half].expect("written");
    assert!((one - 50.0).abs() < 0.01, "{one}");
}

/// A rig with everything a file can say about it that its presets do not, two faults in its events.
const ODD_RIG: &str = r#"
title = "Two cylinders, the second seat nicked"
summary = "The seat was nicked by grit"
[site]
air = "41 degF"
elevation = "3000 ft"
[[container]]
kind = "20 lb cylinder"
fill = "43 %"
[[container]]
kind = "30 lb cylinder"
fill = "70 %"
valve = "shut"
[regulator.second]
bore = "3.1 mm"
[piping]
length = "31 ft"
[[appliance]]
kind = "furnace"
name = "Mother's \"old\" furnace"
rating = "23 kBtu/h"
[[appliance]]
kind = "refrigerator"
[run]
duration = "30 min"
sample = "1 s"
[[event]]
at = "0 s"
inject = "second_seat_nick"
severity = 0.7
[[event]]
at = "5 min"
inject = "hose_kinked"
severity = 0.5
"#;

fn same_rig(a: &Scenario, b: &Scenario) {
    // A value is written as short as it reads back to twelve digits, so texts are compared.
    let text = |s: &Scenario| s.to_toml(System::Si);
    let again = |s: &Scenario| text(&Scenario::parse("rig", &text(s)).expect("right"));
    assert_eq!(again(a), again(b));
}

#[test]
fn readings_are_written_with_their_rig_and_without_its_faults() {
    let odd = Scenario::parse("odd.toml", ODD_RIG).expect("right");
    let rig = rig_of(&odd).expect("not the standard rig");
    assert!(rig.events.is_empty());
    for system in [System::Us, System::Si] {
        let r = Readings {
            rig: Some(rig.clone()),
            title: "a \"title\" with \\ and \u{301}".to_owned(),
            ..case(&[("lock_up", "after_minute", "13.4 inwc")])
        };
        let text = r.to_toml(system);
        for hidden in ["nick", "grit", "kinked", "inject", "event", "severity"] {
            assert!(!text.contains(hidden), "`{hidden}` in\n{text}");
        }
        let back = readings(&text);
        assert_eq!(back.title, r.title);
        same_rig(back.rig.as_ref().expect("written"), &rig);
        // Also a rig that someone put in with its faults is written without.
        let careless = Readings {
            rig: Some(odd.clone()),
            ..r
        };
        assert!(!careless.to_toml(system).contains("inject"));
        assert!(readings(&careless.to_toml(system)).rig.is_some());
    }
}

/// A file whose rig has faults in it is asked about the rig without them.
#[test]
fn the_rig_of_a_file_is_taken_without_its_faults() {
    let nested = Scenario::parse("odd.toml", ODD_RIG)
        .expect("right")
        .to_toml_within("rig", System::Us);
    assert!(nested.contains("inject"), "{nested}");
    let r = readings(&format!("[half_load]\noutlet = \"11 inwc\"\n{nested}"));
    assert!(r.rig.expect("there").events.is_empty());
}

/// Every shipped rig reads back from readings as the same rig, made ready or not, and the library
/// learned for it is found again.
#[test]
fn shipped_rigs_read_back_from_readings_and_find_their_library() {
    for (name, text) in SHIPPED {
        let shipped = Scenario::parse(name, text).expect("shipped");
        let mut ready = shipped.clone();
        for _ in 0..7 {
            let Some(rig) = rig_of(&ready) else {
                panic!("{name} is not the standard rig")
            };
            let r = Readings {
                rig: Some(rig.clone()),
                ..case(&[("half_load", "outlet", "11 inwc")])
            };
            for system in [System::Us, System::Si] {
                let back = readings(&r.to_toml(system)).rig.expect("written");
                same_rig(&back, &rig);
                let digest = |s: &Scenario| Library::new(s).digest;
                assert_eq!(digest(&back), digest(&rig), "{name} {system:?}");
            }
            ready = prepare(&ready, &[]);
        }
    }
    assert!(rig_of(&standard_rig()).is_none());
    let ready = prepare(&standard_rig(), &[]);
    assert!(rig_of(&ready).is_none(), "made ready it is the same rig");
}

/// The built-in library is what this program makes: one sample of every cause is made again. Its
/// severity and unknowns are stored in small steps, so that rigs at the edge of something may fall
/// either way; an older physics moves far more of them.
#[test]
fn the_built_in_library_is_of_this_physics() {
    let library = prepared().library;
    let (mut same, mut all) = (0, 0);
    for cause in library.causes() {
        let mut of = library.samples.iter().filter(|s| s.fault == cause);
        let Some(sample) = of.nth(3) else { continue };
        let list: Vec<(Fault, f64)> = cause.map(|f| (f, sample.severity)).into_iter().collect();
        // A visit meets the rig shut or in use, and checks for leaks first or last: one of these is the sample's.
        let is_so = |stream: u64| {
            let (at, way) = (&sample.unknowns, &mut Random::new(1, stream));
            let now = sample_visit(&library.base, &list, at, World::NOMINAL, way);
            differing(&sample.values(), &now.expect("a visit")) <= 3
        };
        all += 1;
        same += usize::from((1..=12).any(is_so));
    }
    assert!(same * 10 >= all * 9, "{same} of {all}");
}

#[test]
fn priors_can_be_changed() {
    let p = prepared();
    let text = include_str!("readings/high_lock_up.toml");
    let plain = p.answer(&readings(text));
    let changed = p.answer(&readings(&format!("{text}\n[prior]\noily_residue = 500\n")));
    let of = |a: &Answer| {
        a.causes
            .iter()
            .find(|c| c.id == "oily_residue")
            .map_or(0.0, |c| c.probability)
    };
    assert!(
        of(&changed) > of(&plain) + 0.1,
        "{} {}",
        of(&plain),
        of(&changed)
    );
}

#[test]
fn a_diagnosis_runs_by_itself_and_can_be_stopped() {
    let run = Diagnosis::start(case(&[]), || {});
    // The built-in library answers; a stop before that is as good an end.
    let began = std::time::Instant::now();
    while !run.state().done && began.elapsed().as_secs() < 120 {
        std::thread::sleep(std::time::Duration::from_millis(20));
    }
    assert!(run.state().done && run.state().answer.is_some());
    let stopped = Diagnosis::start(case(&[("half_load", "outlet", "9 inwc")]), || {});
    stopped.cancel();
    drop(stopped);
}

/// Practice: the first look is at the container. With nothing in it no reading tells of the regulator, and that is said first.
#[test]
fn an_empty_container_is_told_first() {
    let p = prepared();
    let mut random = Random::new(77, 1);
    let truth = true_visit(&p, &[], &mut random);
    let mut readings = reading_of(&truth, &mut random);
    assert_eq!(p.answer(&readings).no_gas, None);
    readings.values = [None; twostage::visit::ITEMS];
    for item in [Id::Container, Id::HalfOutlet, Id::RestMinute] {
        readings.values[item.index()] = Some(0.0);
    }
    assert_eq!(p.answer(&readings).no_gas, Some(NoGas::Container));
}
