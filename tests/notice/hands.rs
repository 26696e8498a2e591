//! Each safety rule of drills both ways: what breaks it is noticed, and what nearly does is not.

use std::sync::Arc;
use twostage::drill::{Act, Attempt, Drill};
use twostage::sim::Simulation;

/// A drill on a small rig with these burners and faults, without a log.
pub struct Work {
    pub attempt: Attempt,
    pub sim: Simulation,
}

const BURNERS: &str =
    "[[scenario.appliance]]\nkind = \"cooktop\"\n\n[[scenario.appliance]]\nkind = \"oven\"\n";

fn read(burners: &str, fault: &str, severity: f64, more: &str) -> Drill {
    let text = format!(
        "format = 1\ntitle = \"t\"\ncomplaint = \"c\"\ngas_told = false\nlimit = \"3 h\"\n{more}\n[scenario]\ntitle = \"r\"\n\
         [[scenario.container]]\nkind = \"20 lb cylinder\"\n{burners}\
         [scenario.run]\nduration = \"60 min\"\nsample = \"1 s\"\n\
         [[fault]]\nname = \"{fault}\"\nseverity = {severity}\n"
    );
    Drill::read("t.toml", &text, None).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

impl Work {
    fn on(burners: &str, fault: &str, severity: f64, more: &str) -> Self {
        Self::of(read(burners, fault, severity, more))
    }

    fn of(drill: Drill) -> Self {
        let (attempt, sim) = start(&Arc::new(drill));
        Self { attempt, sim }
    }

    pub fn new(fault: &str, severity: f64) -> Self {
        Self::on(BURNERS, fault, severity, "")
    }

    /// Does these acts, and says what rules the last one broke.
    pub fn does(&mut self, acts: &[&str]) -> Vec<String> {
        let mut broken = Vec::new();
        for words in acts {
            let act = Act::parse(words, self.sim.rig()).unwrap_or_else(|e| panic!("{words}: {e}"));
            let entry = self
                .attempt
                .act(&mut self.sim, &act, &mut |_| true)
                .unwrap_or_else(|e| panic!("{words}: {e}"));
            broken = entry
                .noticed
                .iter()
                .map(|n| twostage::report::drills::rule(n).to_owned())
                .collect();
        }
        broken
    }
}

fn start(drill: &Arc<Drill>) -> (Attempt, Simulation) {
    Attempt::unlogged(drill.clone(), "Ada", twostage::solver::Method::Stiff)
        .unwrap_or_else(|e| panic!("{e}"))
}

/// A fault that shows nothing of what these rules look at.
const QUIET: (&str, f64) = ("flame_sensor_dead", 0.5);

pub fn quiet() -> Work {
    Work::new(QUIET.0, QUIET.1)
}

#[test]
fn a_valve_is_opened_slowly() {
    assert_eq!(quiet().does(&["shut", "open fast"]), ["opened fast"]);
    assert_eq!(quiet().does(&["shut", "open"]), Vec::<String>::new());
}

#[test]
fn nothing_burns_beside_a_flush() {
    let beside = quiet().does(&["light cooktop", "flush"]);
    assert_eq!(beside[0], "flushed beside a flame");
    // And the burst blows it out, which is told as what it is.
    assert_eq!(beside[1..], ["gas at an unlit burner"]);
    assert_eq!(
        quiet().does(&["light cooktop", "off all", "flush"]),
        Vec::<String>::new()
    );
}

#[test]
fn a_screw_is_turned_by_a_gauge_and_never_over_fourteen() {
    assert_eq!(
        quiet().does(&["screw second +10"]),
        ["screw without a gauge"]
    );
    assert_eq!(
        quiet().does(&["read first stage", "screw second +10"]),
        ["screw without a gauge"]
    );
    assert_eq!(
        quiet().does(&["read outlet", "screw second +10"]),
        Vec::<String>::new()
    );
    assert_eq!(
        quiet().does(&["test lock-up", "screw second +10"]),
        Vec::<String>::new()
    );
    // The first stage has a gauge of its own.
    assert_eq!(
        quiet().does(&["read outlet", "screw first +10"]),
        ["screw without a gauge"]
    );
    assert_eq!(
        quiet().does(&["read first stage", "screw first +10"]),
        Vec::<String>::new()
    );
    assert_eq!(
        quiet().does(&["read outlet", "screw second +700"]),
        ["set over the limit"]
    );
    // Out again it is still over, and is on its way down.
    assert_eq!(
        quiet().does(&[
            "read outlet",
            "screw second +700",
            "read outlet",
            "screw second -90"
        ]),
        Vec::<String>::new()
    );
}

/// One reading is worth one turn, and only while nothing else is touched: a guess that was right once excuses no other.
#[test]
fn one_reading_excuses_one_turn_of_a_screw() {
    let without = ["screw without a gauge"];
    let mut work = quiet();
    assert_eq!(
        work.does(&["read outlet", "screw second +10"]),
        Vec::<String>::new()
    );
    assert_eq!(work.does(&["screw second -5"]), without);
    assert_eq!(work.does(&["wait 5 min", "screw second -5"]), without);
    assert_eq!(
        work.does(&["read outlet", "screw second -5"]),
        Vec::<String>::new()
    );
    // What was read with everything off says nothing of it with a burner lit.
    assert_eq!(
        work.does(&["read outlet", "light cooktop", "screw second -5"]),
        without
    );
    assert_eq!(
        work.does(&["read outlet", "screw second -5"]),
        Vec::<String>::new()
    );
    assert_eq!(
        work.does(&["read outlet", "off all", "screw second -5"]),
        without
    );
    assert_eq!(
        work.does(&["read outlet", "shut", "open", "screw second -5"]),
        without
    );
}

/// How far in the screw brings the outlet at rest just to 14 in w.c., by trying: the rule speaks above and is silent under.
#[test]
fn set_over_the_limit_speaks_from_fourteen_inches() {
    let mut sides = [0, 0];
    for degrees in (60..720).step_by(30) {
        let mut work = quiet();
        let turn = format!("screw second +{degrees}");
        let broken = work.does(&["read outlet", &turn]);
        let inches = work.sim.readings().outlet_pa / 249.0889;
        let over = inches > 14.0;
        assert_eq!(
            broken.contains(&"set over the limit".to_owned()),
            over,
            "{degrees} degrees: {inches} in w.c."
        );
        sides[usize::from(over)] += 1;
        if over {
            break;
        }
    }
    assert!(sides.iter().all(|n| *n > 0), "{sides:?}");
}

/// A part comes off a safe rig only. A container that is shut leaves its pressure in the line, so the line is bled, too.
#[test]
fn parts_come_off_without_pressure_and_without_a_flame() {
    for part in ["new hose", "new regulator"] {
        assert_eq!(quiet().does(&[part]), ["opened under pressure"], "{part}");
        assert_eq!(
            quiet().does(&["shut", part]),
            ["opened under pressure"],
            "{part}"
        );
        assert_eq!(
            quiet().does(&["shut", "bleed", part]),
            Vec::<String>::new(),
            "{part}"
        );
        let beside = quiet().does(&["light cooktop", part]);
        assert_eq!(
            beside[..2],
            ["opened under pressure", "opened beside a flame"],
            "{part}"
        );
    }
}

/// The rig answers as a rig would: gas is lost and the flame dies; off a safe rig neither.
#[test]
fn a_line_opened_under_pressure_loses_gas_and_the_flame() {
    for part in ["new hose", "new regulator"] {
        let mut work = quiet();
        work.does(&["light cooktop"]);
        let (lit, lost_kg) = (
            work.sim.moment().modes.appliances[0].lit,
            work.sim.moment().state.lost_kg,
        );
        work.does(&[part]);
        let now = work.sim.moment();
        assert!(
            lit && !now.modes.appliances[0].lit,
            "{part}: the flame dies"
        );
        assert!(now.state.lost_kg - lost_kg > 1e-3, "{part}: gas escapes");
        let mut work = quiet();
        work.does(&["shut", "bleed"]);
        let lost_kg = work.sim.moment().state.lost_kg;
        work.does(&[part]);
        assert!(work.sim.moment().state.lost_kg - lost_kg < 1e-4, "{part}");
        // The new part shows what the line holds: nothing.
        assert!(work.sim.readings().outlet_pa.abs() < 50.0, "{part}");
    }
}

/// Through a new part gas is used once its connections were looked at.
#[test]
fn a_new_part_is_looked_at_for_leaks_before_it_is_used() {
    let fitted = ["shut", "bleed", "new hose", "open"];
    let untested = ["new part not looked at for leaks"];
    let mut work = quiet();
    work.does(&fitted);
    assert_eq!(work.does(&["light cooktop"]), untested);
    for look in ["fluid pigtail", "test joints"] {
        let mut work = quiet();
        work.does(&fitted);
        assert_eq!(
            work.does(&[look, "light cooktop"]),
            Vec::<String>::new(),
            "{look}"
        );
    }
    let mut work = quiet();
    work.does(&fitted);
    let left = work.does(&["answer nothing adjust in use"]);
    assert!(left.contains(&untested[0].to_owned()), "{left:?}");
}

/// A burner whose flame is not watched goes out when the container is shut, and gas gathers when it is opened.
#[test]
fn nothing_is_lit_where_gas_has_gathered() {
    let out = ["light cooktop", "shut", "wait 10 min"];
    let mut work = quiet();
    work.does(&out);
    let gathers = work.does(&["open"]);
    assert_eq!(gathers, ["gas at an unlit burner"]);
    assert_eq!(
        work.does(&["wait 1 min"]),
        Vec::<String>::new(),
        "told once"
    );
    assert_eq!(work.does(&["light oven"]), ["lit where gas had gathered"]);
    // A test that lights burners lights them, too.
    let mut work = quiet();
    work.does(&out);
    let tested = work.does(&["open", "test full load"]);
    assert_eq!(tested, ["lit where gas had gathered"]);
    let mut work = quiet();
    work.does(&out);
    assert_eq!(
        work.does(&["off cooktop", "open", "light oven"]),
        Vec::<String>::new()
    );
}

/// Gas at a burner is told once, and once more where it gathers again after it was shut off.
#[test]
fn gas_that_gathers_again_is_told_again() {
    let mut work = quiet();
    let gathers = ["light cooktop", "shut", "wait 10 min", "open"];
    assert_eq!(work.does(&gathers), ["gas at an unlit burner"]);
    assert_eq!(work.does(&["off cooktop"]), Vec::<String>::new());
    assert_eq!(work.does(&gathers), ["gas at an unlit burner"]);
}

/// What the owner reports may show later: gas that escapes within the next hour was there to be looked for; what comes after it
/// nobody could have found. Nor may it be lit once it was found, though it rests just then.
#[test]
fn a_leak_that_is_told_and_shows_within_the_hour_counts() {
    let lit = |at_min: f64, acts: &[&str]| {
        let mut drill = read(BURNERS, "low_side_leak", 0.6, "");
        drill.gas_told = true;
        drill.faults[0].at_s = 60.0 * at_min;
        Work::of(drill).does(acts)
    };
    let escaped = "lit before a reported leak was looked for, and gas escaped";
    let unsought = "lit before a reported leak was looked for";
    assert_eq!(lit(50.0, &["light cooktop"]), [escaped]);
    assert_eq!(lit(65.0, &["light cooktop"]), [unsought]);
    assert_eq!(lit(65.0, &["wait 10 min", "light cooktop"]), [escaped]);
}

/// Gas that escapes and was found: lit all the same. What was not found, or is shut off, is no rule of lighting.
#[test]
fn nothing_is_lit_while_gas_escapes_that_was_found() {
    let leaks = || Work::new("pigtail_leak", 0.9);
    assert_eq!(
        leaks().does(&["fluid pigtail", "light cooktop"]),
        ["lit while gas escaped"]
    );
    assert_eq!(leaks().does(&["light cooktop"]), Vec::<String>::new());
    assert_eq!(
        leaks().does(&["fluid low side", "light cooktop"]),
        Vec::<String>::new()
    );
    assert_eq!(
        leaks().does(&["fluid pigtail", "test flow pressure"]),
        ["lit while gas escaped"]
    );
    // A leak check that loses pressure has found it as well.
    assert_eq!(
        leaks().does(&["test leak check", "light cooktop"]),
        ["lit while gas escaped"]
    );
    let shut = leaks().does(&["fluid pigtail", "shut", "light cooktop"]);
    assert!(
        !shut.contains(&"lit while gas escaped".to_owned()),
        "{shut:?}"
    );
}

const AGAINST: &str = "lit against a reading";

pub const STOP: &str = "lit after a reading that is a stop";

/// Over 25 psig between the stages at rest, or over 14 in w.c. behind them, nothing is lit until it is put right (common
/// practice): by hand or by a test, whatever was judged. It is one deed, and before it was read nobody knew. Over 25 psig it is
/// a stop, and what is lit fails the attempt; over 14 in w.c. and not over 18 it is none.
#[test]
fn nothing_is_lit_against_a_reading() {
    let first = || Work::new("first_seat_disc_lost", 0.9);
    let second = || Work::new("second_seat_nick", SOME_OVER);
    let rest = ["light cooktop", "test lock-up"];
    let after = |work: &mut Work, acts: &[&str]| {
        assert_eq!(work.does(&rest), Vec::<String>::new());
        work.does(acts)
    };
    let minute = {
        use twostage::visit::{Id, Measure, Told};
        let mut work = second();
        work.does(&["light cooktop", "test lock-up"]);
        let Told::Test { figures, .. } = &work.attempt.entries()[1].told else {
            panic!("a test");
        };
        let at = |f: &&twostage::visit::Figure| f.measure == Measure::Read(Id::RestMinute);
        figures.iter().find(at).expect("a minute").value / 249.0889
    };
    assert!(
        (14.3..18.0).contains(&minute),
        "{minute} in w.c. after a minute"
    );
    let both = [(first as fn() -> Work, STOP), (second, AGAINST)];
    for (work, rule) in both {
        for judged in [
            &[][..],
            &["judge pass"],
            &["judge caution"],
            &["judge fail"],
        ] {
            for light in [
                "light cooktop",
                "light all",
                "test full load",
                "test flow pressure",
            ] {
                let acts = [judged, &[light]].concat();
                assert_eq!(after(&mut work(), &acts), [rule], "{acts:?}");
            }
        }
        // Once.
        assert!(after(&mut work(), &["light cooktop", "off all", "light all"]).is_empty());
        // What lights nothing, or nothing that has gas.
        for act in [
            "test leak check",
            "fluid second vent",
            "read outlet",
            "off all",
        ] {
            assert!(after(&mut work(), &[act]).is_empty(), "{act}");
        }
        assert!(!after(&mut work(), &["shut", "light cooktop"]).contains(&rule.to_owned()));
        // A new regulator gives leave to see whether that was it.
        let new = [
            "off all",
            "shut",
            "bleed",
            "new regulator",
            "test leak check",
            "open",
        ];
        let lit = [&new[..], &["light cooktop"]].concat();
        assert!(!after(&mut work(), &lit).contains(&rule.to_owned()));
        // Not read is not known.
        assert!(!work().does(&["light cooktop"]).contains(&rule.to_owned()));
    }
    // A rig in order: read at rest, and lit.
    assert!(after(&mut quiet(), &["light cooktop"]).is_empty());
}

/// So far a nicked second seat lets this rig rise over 14 in w.c. in a minute, and not over 18.
const SOME_OVER: f64 = 0.7;

/// One deed is charged once: the judgement alone where nothing was lit after it, the flame where it was.
#[test]
fn a_judgement_and_the_flame_after_it_are_one_deed() {
    use twostage::drill::attempt::safety::Unsafe;
    use twostage::drill::marking::grade::grade;
    let told = |acts: &[&str]| {
        let mut work = Work::new("first_seat_disc_lost", 0.9);
        work.does(&["look", "light cooktop", "test lock-up", "judge pass"]);
        work.does(acts);
        work.does(&["answer first_seat_disc_lost replace shut off"]);
        let g = grade(
            work.attempt.drill(),
            work.attempt.entries(),
            work.attempt.answer(),
        );
        let counts = (g.unsafe_acts, g.unsafe_said);
        (g.noticed, counts, g.safety.given, g.failed.is_some())
    };
    let said = Unsafe::CalledSafe(twostage::visit::Test::LockUp);
    assert_eq!(told(&["off all"]), (vec![said], (0, 1), 10.0, false));
    let (noticed, counts, safety, failed) = told(&["light all"]);
    assert!(
        matches!(noticed[..], [Unsafe::LitOverStop(_)]),
        "{noticed:?}"
    );
    assert_eq!((counts, safety, failed), ((1, 0), 0.0, true));
}

/// A gauge that was named tells what the one that is taken by itself does, and counts as it does.
#[test]
fn a_gauge_that_is_named_counts() {
    let counted = |act: &str| {
        let mut work = Work::new("first_seat_disc_lost", 0.9);
        work.does(&["look", act]);
        let last = work.attempt.entries().last().expect("an act").clone();
        last.found
            .iter()
            .map(|o| (o.item, o.value))
            .collect::<Vec<_>>()
    };
    let plain = counted("read first stage");
    assert_eq!(plain.len(), 1);
    assert_eq!(counted("read first stage with dial 300 psi"), plain);
}

/// What a burst of flow carried off a seat leaves a regulator that let gas by: it is replaced, or left shut off (the catalogue's
/// caution, common practice).
#[test]
fn a_burst_of_flow_leaves_no_rig_in_order() {
    let left = |acts: &[&str], how: &str| {
        let mut work = Work::new("second_seat_grit", 0.6);
        work.does(&["light cooktop", "test lock-up", "off all", "flush"]);
        let gone = work.sim.moment().faults.is_empty();
        work.does(acts);
        (
            gone,
            work.does(&[&format!("answer second_seat_grit replace {how}")]),
        )
    };
    let burst = "left in use with a regulator that only a burst of flow helped".to_owned();
    assert_eq!(
        left(&[], "in use"),
        (true, vec![burst]),
        "the burst carries it off"
    );
    assert_eq!(left(&[], "shut off").1, Vec::<String>::new());
    let new = ["shut", "bleed", "new regulator", "test leak check", "open"];
    assert_eq!(left(&new, "in use").1, Vec::<String>::new());
}

/// What creeps up while a screw is turned out was not brought there by it; turned in, it was.
#[test]
fn a_screw_turned_out_is_not_blamed_for_a_creep() {
    let over = "set over the limit".to_owned();
    let turned = |degrees: &str| {
        let mut work = Work::new("second_seat_nick", 0.5);
        work.does(&["light cooktop", "off all", "read outlet"]);
        let from = work.sim.readings().outlet_pa;
        let broken = work.does(&[&format!("screw second {degrees}")]);
        (work.sim.readings().outlet_pa - from, broken)
    };
    let (out, broken) = turned("-2");
    assert!(out > 0.0, "it creeps by itself: {out} Pa");
    assert!(!broken.contains(&over), "{broken:?}");
    assert!(turned("+90").1.contains(&over));
}

/// What leak fluid showed is known, however little it is; what nobody could know is held against nobody.
#[test]
fn a_small_leak_counts_for_who_saw_it() {
    let left = |tenths: u32, acts: &[&str]| {
        let mut work = Work::new("low_side_leak", 0.1 * f64::from(tenths));
        work.does(acts);
        let broken = work.does(&["answer nothing adjust in use"]);
        let grams = 1e3 * work.sim.readings().loss_kg_per_s;
        (grams, broken.contains(&"left leaking".to_owned()))
    };
    let small: Vec<u32> = (1..10)
        .filter(|t| left(*t, &["wait 1 min"]).0 < 0.05)
        .collect();
    assert!(!small.is_empty());
    assert!(small.iter().all(|t| !left(*t, &["wait 1 min"]).1));
    let seen = |t: &u32| left(*t, &["test leak check"]).1;
    assert!(
        small.iter().any(seen),
        "a leak check finds the largest of {small:?}"
    );
    // Nor is anything lit beside it, by hand or by a test, once it bubbled.
    let lit = |t: &u32, acts: &[&str]| {
        Work::new("low_side_leak", 0.1 * f64::from(*t))
            .does(acts)
            .contains(&"lit while gas escaped".to_owned())
    };
    for light in ["light cooktop", "test flow pressure"] {
        let found = |t: &u32| lit(t, &["fluid low side", light]);
        assert!(small.iter().any(found), "{light}");
        assert!(small.iter().all(|t| !lit(t, &[light])), "{light}");
    }
}

/// Over 14 in w.c. at the end is held against who had a gauge for it.
#[test]
fn nobody_is_held_to_a_gauge_that_is_not_at_hand() {
    let hands = "[at_hand]\nleak_fluid = \"1 min\"\n";
    let mut work = Work::on(BURNERS, "second_screw_high", 0.9, hands);
    let left = work.does(&["light cooktop", "off all", "answer nothing adjust in use"]);
    assert_eq!(left, ["left in use with the fault in it"]);
}

/// A screw that is set right again is no fault left in; one that is not, is.
#[test]
fn a_screw_set_right_is_put_right() {
    let fault = "left in use with the fault in it".to_owned();
    let left = |degrees: i32| {
        let mut work = Work::new("second_screw_high", 0.2);
        let turn = format!("screw second {degrees:+}");
        work.does(&["read outlet", &turn]);
        work.does(&["answer second_screw_high adjust in use"])
            .contains(&fault)
    };
    assert!(left(-5));
    assert!((-24..0).any(|n| !left(30 * n)), "some turn sets it right");
}

/// The nose tells from 0.05 g/s on: smaller leaks are no rule of leaving, larger are.
#[test]
fn a_leak_counts_from_a_twentieth_of_a_gram() {
    let mut sides = [0, 0];
    for tenth in 1..10 {
        let mut work = Work::new("pigtail_leak", 0.1 * f64::from(tenth));
        let broken = work.does(&["wait 1 min", "answer nothing adjust in use"]);
        let grams = 1e3 * work.sim.readings().loss_kg_per_s;
        let leaks = grams > 0.05;
        assert_eq!(
            broken.contains(&"left leaking".to_owned()),
            leaks,
            "{grams} g/s"
        );
        sides[usize::from(leaks)] += 1;
    }
    assert!(sides.iter().all(|n| *n > 0), "{sides:?}");
}

#[test]
fn a_drill_may_forbid_a_tool() {
    let forbids = "[[must_not]]\ntool = \"flush\"\nbecause = \"the tap is broken\"\n";
    let mut work = Work::on(BURNERS, QUIET.0, QUIET.1, forbids);
    assert_eq!(work.does(&["flush"]), ["forbidden in this drill"]);
    assert_eq!(work.does(&["read outlet"]), Vec::<String>::new());
}
