//! How faults come: at once, over a time, with cycles that the run counts, with the temperature of the
//! body. Severity must be where the law says (derived: in proportion), and the rig must feel it.

use std::fmt::Write as _;
use std::sync::Arc;
use twostage::rig::{Happening, Seat};
use twostage::scenario::Scenario;
use twostage::sim::{Noted, Simulation, usual_tolerance};
use twostage::solver::Method;
use twostage::units::pa_to_inwc;

/// A cooktop lit for 20 s out of every 60 s, so many times, and one fault.
fn cooking(times: usize, fault: &str) -> String {
    let mut text = format!(
        "title = \"Onsets\"\n[site]\nair = \"60 degF\"\n[[container]]\nkind = \"30 lb cylinder\"\n\
         [[appliance]]\nkind = \"cooktop\"\n[run]\nduration = \"{} s\"\nsample = \"1 s\"\n",
        60 * (times + 3)
    );
    if !fault.is_empty() {
        let _ = write!(text, "[[event]]\nat = \"0 s\"\n{fault}\n");
    }
    for k in 0..times {
        let _ = write!(
            text,
            "[[event]]\nat = \"{} s\"\nturn_on = \"cooktop\"\n[[event]]\nat = \"{} s\"\nturn_off = \"cooktop\"\n",
            60 * k + 10,
            60 * k + 30
        );
    }
    text
}

fn read(text: &str) -> Scenario {
    Scenario::parse("onsets.toml", text).unwrap_or_else(|e| panic!("{e}"))
}

fn start(text: &str) -> Simulation {
    let tolerance = usual_tolerance(Method::Stiff);
    Simulation::start(Arc::new(read(text)), Method::Stiff, tolerance).expect("comes to rest")
}

fn to(sim: &mut Simulation, at_s: f64) {
    sim.advance(at_s, None, &mut |_| {}).expect("runs");
}

fn severity(sim: &Simulation) -> f64 {
    let faults = &sim.moment().faults;
    faults.first().map_or(0.0, |f| f.severity.at(sim.time_s()))
}

fn outlet(sim: &Simulation) -> f64 {
    pa_to_inwc(sim.readings().outlet_pa)
}

/// Openings of the second seat.
fn openings(sim: &Simulation) -> u64 {
    sim.moment().strokes.of(Seat::Second)
}

#[test]
fn a_seat_wears_with_the_cycles_that_the_run_counts() {
    let wear = "inject = \"second_seat_nick\"\nseverity = 0.8\ncycles = 8";
    let mut sim = start(&cooking(10, wear));
    let mut lock_up = Vec::new();
    for k in 0..10_u32 {
        // Just before the next lighting, half a minute after the last flame went out.
        to(&mut sim, f64::from(60 * k) + 9.0);
        assert_eq!(openings(&sim), u64::from(k));
        let expected = 0.8 * f64::from(k.min(8)) / 8.0;
        assert!((severity(&sim) - expected).abs() < 1e-12, "{k} cycles");
        lock_up.push(outlet(&sim));
    }
    assert!(
        lock_up[1..].windows(2).all(|w| w[1] > w[0] - 0.02),
        "lock-up climbs as the seat wears: {lock_up:?}"
    );
    assert!(lock_up[9] > lock_up[1] + 0.5, "{lock_up:?}");
    // A seat as worn from the start locks up where the worn one has come to.
    let at_once = "inject = \"second_seat_nick\"\nseverity = 0.8";
    let mut other = start(&cooking(10, at_once));
    to(&mut other, 60.0 * 9.0 + 9.0);
    assert!((outlet(&other) - lock_up[9]).abs() < 0.05, "{lock_up:?}");
}

#[test]
fn a_burner_alone_opens_the_seat_once_each_time_and_rewinding_takes_it_back() {
    let wear = "inject = \"rubber_stiff\"\nseverity = 1\ncycles = 4";
    let mut sim = start(&cooking(4, wear));
    to(&mut sim, 100.0);
    let then = sim.moment().clone();
    to(&mut sim, 300.0);
    let lit = sim
        .marks()
        .iter()
        .filter(|m| matches!(m.what, Noted::Happened(Happening::Lit(_))));
    assert_eq!(lit.count(), 4);
    assert_eq!(openings(&sim), 4);
    assert_eq!(severity(&sim), 1.0);
    sim.go_back_to(&then);
    assert_eq!((openings(&sim), severity(&sim)), (2, 0.5));
    assert_eq!(sim.healthy_twin().moment().faults.len(), 0);
}

/// Derived: a seat that stands open for one burner opens no second time for the next, and one that never comes
/// back does not cycle; the engines count alike.
#[test]
fn it_is_the_seat_that_counts_and_not_the_burner() {
    let burners = "[[appliance]]\nkind = \"grill\"\n[run]";
    let on_and_off = |name: &str, on: u32, off: u32| {
        format!(
            "[[event]]\nat = \"{on} s\"\nturn_on = \"{name}\"\n[[event]]\nat = \"{off} s\"\nturn_off = \"{name}\"\n"
        )
    };
    // The grill burns from 5 s to 85 s; the cooktop comes and goes within, then once alone.
    let events = [
        on_and_off("grill", 5, 85),
        on_and_off("cooktop", 20, 40),
        on_and_off("cooktop", 100, 120),
    ];
    let text = cooking(0, "").replace("[run]", burners) + &events.concat();
    for method in [Method::Stiff, Method::Explicit] {
        let tolerance = usual_tolerance(method);
        let mut sim =
            Simulation::start(Arc::new(read(&text)), method, tolerance).expect("comes to rest");
        let mut seen = Vec::new();
        for at_s in [4.0, 19.0, 39.0, 60.0, 99.0, 130.0] {
            to(&mut sim, at_s);
            let count = |seat| sim.moment().strokes.of(seat);
            seen.push((count(Seat::First), count(Seat::Second)));
        }
        // The cooktop beside the grill opens the second seat further, and it comes back by as much.
        let expected = [(0, 0), (1, 1), (1, 1), (1, 1), (1, 1), (2, 2)];
        assert_eq!(seen, expected, "{method:?}");
    }
}

/// A fault of the first stage wears with the first seat; practice: both open together when a burner comes on.
#[test]
fn the_first_seat_wears_by_its_own_openings() {
    let wear = "inject = \"first_seat_nick\"\nseverity = 1\ncycles = 4";
    let mut sim = start(&cooking(4, wear));
    to(&mut sim, 9.0);
    let whole = sim.readings().first.chamber_pa;
    to(&mut sim, 420.0);
    assert_eq!(sim.moment().strokes.of(Seat::First), 4);
    assert_eq!(severity(&sim), 1.0);
    assert!(sim.readings().first.chamber_pa > whole + 5e3);
}

/// The body follows the air within minutes; the fault follows the body, and goes back with it.
#[test]
fn what_grows_with_cold_follows_the_body_and_goes_back() {
    let cold = "inject = \"lever_gummed\"\nseverity = 0.9\nnone_at = \"50 degF\"\nall_at = \"20 degF\"\n\
                [[event]]\nat = \"0 s\"\nturn_on = \"cooktop\"\n\
                [[event]]\nat = \"1 s\"\nair = \"10 degF\"\nover = \"4 min\"\n\
                [[event]]\nat = \"24 min\"\nair = \"60 degF\"\nover = \"4 min\"";
    let text = cooking(0, cold).replace("duration = \"180 s\"", "duration = \"1 h\"");
    let mut sim = start(&text);
    assert_eq!(severity(&sim), 0.0);
    let healthy_n = sim.rig().second.friction_n;
    let (none_k, all_k) = (283.15, 266.483);
    let mut seen = Vec::new();
    for minute in (0..=54).step_by(2) {
        to(&mut sim, 60.0 * f64::from(minute));
        let share = ((sim.readings().body_k - none_k) / (all_k - none_k)).clamp(0.0, 1.0);
        // Looked at every five seconds, and in steps of two thousandths.
        assert!(
            (severity(&sim) - 0.9 * share).abs() < 0.02,
            "{minute} min: {} against {}",
            severity(&sim),
            0.9 * share
        );
        seen.push(severity(&sim));
    }
    assert!(seen.iter().any(|s| (0.2..0.7).contains(s)), "{seen:?}");
    assert_eq!(seen.iter().copied().fold(0.0, f64::max), 0.9);
    assert_eq!(*seen.last().expect("some"), 0.0);
    assert_eq!(sim.rig().second.friction_n, healthy_n);
}

/// What arrives with a fault arrives in the fault's own time, with the mass on the books.
#[test]
fn what_comes_over_a_time_arrives_over_that_time() {
    let fault = "inject = \"butane_rich\"\nseverity = 1\nover = \"100 s\"";
    let mut sim = start(&cooking(0, fault));
    let butane = |sim: &Simulation| sim.readings().containers[0].liquid_fractions[2];
    let at_first = butane(&sim);
    to(&mut sim, 50.0);
    let half_way = butane(&sim);
    to(&mut sim, 120.0);
    assert!(at_first < 0.03, "{at_first}");
    assert!((0.3..0.6).contains(&half_way), "{half_way}");
    assert!(butane(&sim) > 0.85, "{}", butane(&sim));
    assert!(sim.readings().balance_error.abs() < 1e-6);

    let mut at_once = start(&cooking(0, "inject = \"butane_rich\"\nseverity = 1"));
    to(&mut at_once, 120.0);
    assert!((butane(&sim) - butane(&at_once)).abs() < 0.01);
}

#[test]
fn onsets_that_cannot_be_are_told() {
    let told = |fault: &str| {
        Scenario::parse("onsets.toml", &cooking(0, fault))
            .expect_err("a mistake")
            .to_string()
    };
    let nick = "inject = \"second_seat_nick\"\nseverity = 0.5\n";
    for (more, words) in [
        ("cycles = 0", "cycles"),
        ("cycles = 10\nover = \"5 s\"", "one of `over`, `cycles`"),
        ("none_at = \"50 degF\"", "all_at"),
        (
            "none_at = \"50 degF\"\nall_at = \"50 degF\"",
            "another temperature",
        ),
        ("none_at = \"50 degF\"\nall_at = \"500 degF\"", "all_at"),
    ] {
        let text = told(&format!("{nick}{more}"));
        assert!(text.contains(words), "{more}:\n{text}");
    }
    let text = told(
        "inject = \"container_overfilled\"\nseverity = 0.5\nnone_at = \"50 degF\"\nall_at = \"80 degF\"",
    );
    assert!(
        text.contains("the body's temperature brings no more of it"),
        "{text}"
    );
    let text = told("turn_screw = \"second\"\nturns = \"0.5 turn\"\ncycles = 5");
    assert!(
        text.contains("`cycles` does not go with `turn_screw`"),
        "{text}"
    );
}
