//! What a closer look at the likely causes comes to, as the command line and the window ask for it: readings that were
//! told badly once, typed as a technician types them.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{LazyLock, Mutex};
use twostage::diagnosis::advice::Advice;
use twostage::diagnosis::answer::Answer;
use twostage::diagnosis::files::readings::{Readings, Yellow};
use twostage::diagnosis::inference::safety::Danger;
use twostage::diagnosis::library::standard::standard_rig;
use twostage::diagnosis::store::{Prepared, built_in};
use twostage::fault::Fault;
use twostage::scenario::Scenario;
use twostage::units::System;
use twostage::visit::{ALL, Id, LeakCheck, Verdict, quickened, visit};

static PREPARED: LazyLock<Prepared> = LazyLock::new(|| {
    let library = built_in(&standard_rig()).expect("the built-in library belongs to this model");
    Prepared::from_library(library).expect("a likelihood")
});

fn readings(text: &str) -> Readings {
    Readings::parse("case.toml", text).unwrap_or_else(|e| panic!("{e}"))
}

fn asked(text: &str) -> Answer {
    PREPARED.answer_with_pairs(&readings(text), &AtomicBool::new(false))
}

fn place(answer: &Answer, id: &str) -> usize {
    let own = |c: &String| c == id;
    let at = answer.groups.iter().position(|g| g.causes.iter().any(own));
    at.unwrap_or(usize::MAX)
}

/// Half load, full load and lock-up as they should be (practice).
const RIGHT: &str = "[half_load]\noutlet = \"11.1 inwc\"\n[full_load]\noutlet = \"10.8 inwc\"\nmanifold = \"10.4 inwc\"\n[lock_up]\nafter_minute = \"12.0 inwc\"\nafter_creep = \"12.0 inwc\"\n";

/// What is seen that is not so on a healthy rig is never passed over with "nothing to mend".
#[test]
fn a_sign_beside_right_pressures_is_looked_into() {
    for sign in [
        "[seen]\nflames = \"out\"\n",
        "[seen]\nvent_looks = \"water in it\"\n",
        "[heard]\nflowing = \"hum\"\n",
    ] {
        let answer = asked(&format!("{RIGHT}{sign}"));
        let healthy = answer.causes.iter().find(|c| c.id == "healthy");
        if let Some(healthy) = healthy {
            assert_eq!(healthy.action, Advice::LookInto, "{sign}");
            assert!(healthy.probability < 0.7, "{sign}: {}", healthy.probability);
        }
    }
    // Before a leak check nothing is called right either.
    for (more, action) in [
        ("", Advice::Watch),
        ("[leak_check]\nchange = \"0 inwc\"\n", Advice::Nothing),
    ] {
        let plain = asked(&format!("{RIGHT}{more}"));
        let healthy = plain.causes.iter().find(|c| c.id == "healthy");
        assert_eq!(healthy.map(|c| c.action), Some(action), "{more}");
    }
}

#[test]
fn water_in_the_vent_names_the_vent_that_looks_up() {
    let answer = asked(&format!("{RIGHT}[seen]\nvent_looks = \"water in it\"\n"));
    assert!(place(&answer, "vent_turned_up") < 2, "{:?}", answer.groups);
}

/// No leak of the catalogue blows leak fluid away and holds the leak check: then none of these stands first.
#[test]
fn fluid_blown_away_beside_a_tight_leak_check_is_none_of_these() {
    let answer = asked(&format!(
        "{RIGHT}[leak_check]\nchange = \"0 inwc\"\n[leak_fluid]\nlow_side = \"blown away\"\n"
    ));
    assert_eq!(answer.danger, Danger::ShutOff);
    let first = answer.groups.first().map_or(0.0, |g| g.probability);
    let is_leak = place(&answer, "low_side_leak") == 0;
    assert!(
        is_leak || answer.none_of_these > first,
        "{}",
        answer.none_of_these
    );
    assert!(answer.causes.iter().all(|c| c.action != Advice::Nothing));
}

/// By its page: lock-up stands high and then stays, flow pressure is right.
#[test]
fn a_set_seat_is_reached_by_what_its_page_says() {
    let answer = asked(
        "[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"13.3 inwc\"\nafter_creep = \"13.3 inwc\"\n[after_flush]\nlock_up = \"13.3 inwc\"\n",
    );
    assert!(place(&answer, "second_seat_set") < 3, "{:?}", answer.groups);
}

/// A cause's readings beside which nothing is left unexplained, and no pair is thought of.
fn explains_all(answer: &Answer) {
    let first = answer.causes.first().expect("a cause");
    let left = first.readings.iter().filter(|r| r.is_unexplained());
    let left: Vec<&str> = left.map(|r| r.words).collect();
    assert!(left.is_empty(), "{}: {left:?}", answer.title);
    assert!(
        answer.pairs.iter().all(|p| p.probability < 0.1),
        "{}",
        answer.title
    );
}

/// Practice: flames made for 11 in w.c. are called low from about 8 to 9 on, and hard well before they lift. Either word is
/// fitting there, and a sign of nothing but the pressure.
#[test]
fn flames_are_called_low_and_hard_softly() {
    for flames in ["low", "normal"] {
        explains_all(&asked(&format!(
            "title = \"{flames}\"\n[half_load]\noutlet = \"8.9 inwc\"\n[full_load]\noutlet = \"8.6 inwc\"\nmanifold = \"8.3 inwc\"\n[lock_up]\nafter_minute = \"9.6 inwc\"\n[seen]\nflames = \"{flames}\"\n"
        )));
    }
    for flames in ["hard", "normal"] {
        let answer = asked(&format!(
            "title = \"{flames}\"\n[half_load]\noutlet = \"13.6 inwc\"\n[full_load]\noutlet = \"13.4 inwc\"\nmanifold = \"13.1 inwc\"\n[lock_up]\nafter_minute = \"14.6 inwc\"\n[seen]\nflames = \"{flames}\"\n"
        ));
        explains_all(&answer);
        assert_eq!(place(&answer, "second_screw_high"), 0, "{flames}");
    }
}

/// Yellow at a right pressure is for want of air and no sign of the regulator; at a low one it is another word for low.
#[test]
fn yellow_flames_are_the_burners_own_where_the_pressure_is_right() {
    let yellow = |outlet: f64| {
        let text = format!(
            "[half_load]\noutlet = \"{outlet} inwc\"\n[full_load]\noutlet = \"{outlet} inwc\"\n[seen]\nflames = \"Yellow\"\n"
        );
        (readings(&text), asked(&text))
    };
    let (right, answer) = yellow(11.0);
    let flames = Id::Flames.index();
    assert_eq!(
        (answer.yellow, right.values[flames]),
        (Some(Yellow::AtRight), None)
    );
    let again = readings(&right.to_toml(System::Us));
    assert_eq!(again, right, "it is written as it was read");
    let (low, answer) = yellow(7.0);
    assert_eq!(
        (answer.yellow, low.values[flames]),
        (Some(Yellow::AsLow), Some(1.0))
    );
    assert_eq!(
        readings(&low.to_toml(System::Us)),
        low,
        "it is written as it was read"
    );
}

/// Over four in w.c. between two gauges at full load are lost in the line, whatever else was read. A cause whose readings
/// hang on the make of the regulator is not near for it, and a search that gives the line up says nothing of it.
#[test]
fn what_is_lost_between_two_gauges_is_the_line() {
    for text in [
        "[full_load]\noutlet = \"10.6 inwc\"\nmanifold = \"6.2 inwc\"\n",
        "[site]\nair = \"55 degF\"\n[half_load]\noutlet = \"10.9 inwc\"\n[full_load]\noutlet = \"10.6 inwc\"\nappliance = \"6.1 inwc\"\nappliance_name = \"furnace\"\n[lock_up]\nafter_minute = \"11.8 inwc\"\n[seen]\nodd_one = \"one goes out\"\n",
        "[site]\nair = \"55 degF\"\n[half_load]\noutlet = \"11 inwc\"\n[full_load]\noutlet = \"10.6 inwc\"\nappliance = \"6.0 inwc\"\nappliance_name = \"furnace\"\n[lock_up]\nafter_minute = \"11.9 inwc\"\n",
    ] {
        let answer = asked(text);
        let first = &answer.causes[0];
        assert!(
            ["line_crushed", "line_too_small"].contains(&&*first.id),
            "{text}{}",
            first.id
        );
        // Whether there is no second cause beside it may stay open where an eye saw a burner go out; that it is no other does not.
        let [line, other] = [0, 1].map(|k| answer.groups[k].probability);
        let none = answer.none_of_these;
        assert!(
            line > 4.0 * other && line > none,
            "{text}{line} {other} {none}"
        );
    }
}

/// A second stage that falls by two in w.c. behind a first stage that holds is nobody's sign alone (a vent that is all but shut
/// does so for minutes, after a draw): no cause of the catalogue is called sure, and that it is none stays open.
#[test]
fn a_fall_that_no_cause_makes_is_called_no_cause_surely() {
    let answer = asked(
        "[half_load]\noutlet = \"9.9 inwc\"\n[full_load]\noutlet = \"8.1 inwc\"\n[lock_up]\nafter_minute = \"12.6 inwc\"\n[first_stage]\nhalf_load = \"9.8 psi\"\nfull_load = \"9.5 psi\"\n",
    );
    assert!(
        answer.causes.iter().all(|c| c.probability < 0.6),
        "{:?}",
        answer.groups
    );
    assert!(answer.none_of_these > 0.08, "{}", answer.none_of_these);
}

/// A look tells how far it has come, and one that is stopped gives the answer there is.
#[test]
fn a_look_tells_its_visits_and_can_be_stopped() {
    let odd = readings(&format!(
        "{RIGHT}[leak_check]\nchange = \"0 inwc\"\n[leak_fluid]\nlow_side = \"blown away\"\n"
    ));
    let heard = Mutex::new(Vec::new());
    let take = |visits| {
        if let Ok(mut all) = heard.lock() {
            all.push(visits);
        }
    };
    PREPARED.answer_closely(&odd, &AtomicBool::new(false), &take);
    let all = heard.into_inner().expect("no thread panics");
    assert!(all.iter().max() == Some(&all.len()), "{all:?}");
    let (cancel, visits) = (AtomicBool::new(false), AtomicUsize::new(0));
    let stop = |made: usize| {
        visits.fetch_max(made, Ordering::Relaxed);
        cancel.store(true, Ordering::Relaxed);
    };
    let answer = PREPARED.answer_closely(&odd, &cancel, &stop);
    assert!(!answer.groups.is_empty());
    // The visits that run at that moment on every processor are made to their end.
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    assert!(visits.into_inner() <= 2 * threads, "stopped at once");
}

/// What readings say by themselves stands before the causes: nothing "holds its limits" that climbs or falls (the bench's limits);
/// a first stage that climbs at rest is told whatever it is like (common practice); ice is no cause in warm air; what shows gas or is
/// seen shut is never set aside, and is named where nothing explains the rest; a place high up speaks against nobody.
#[test]
fn what_readings_say_by_themselves_is_told() {
    let at = |air: &str, rest: &str| format!("[site]\nair = \"{air}\"\n{rest}");
    let creeps = asked(&at(
        "60 degF",
        "[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"12.2 inwc\"\nafter_creep = \"13.1 inwc\"\n",
    ));
    assert_eq!(creeps.verdict, Some(Verdict::Fail));
    let climbs = asked(&at(
        "75 degF",
        "[half_load]\noutlet = \"11.1 inwc\"\n[first_stage]\nhalf_load = \"10 psi\"\nat_rest = \"16 psi\"\n\
         after_creep = \"25 psi\"\n[lock_up]\nafter_minute = \"12.0 inwc\"\n",
    ));
    assert!(climbs.first_climbs);
    let droops = asked(&at(
        "72 degF",
        "[half_load]\noutlet = \"10.0 inwc\"\n[full_load]\noutlet = \"8.5 inwc\"\n[lock_up]\nafter_minute = \"12.7 inwc\"\n",
    ));
    let iced = droops.causes.iter().find(|c| c.id == "second_vent_iced");
    assert!(iced.is_none_or(|c| c.probability == 0.0));
    let both = asked(&at(
        "70 degF",
        "[container]\npressure = \"110 psi\"\n[half_load]\noutlet = \"10.5 inwc\"\ninlet = \"40 psi\"\n[full_load]\n\
         outlet = \"6.0 inwc\"\ninlet = \"8 psi\"\n[leak_check]\nchange = \"-2.5 inwc\"\n[leak_fluid]\nlow_side = \"steady\"\n\
         [seen]\nhose = \"kinked\"\n",
    ));
    let seen: Vec<Id> = both.seen.iter().map(|l| ALL[l.item].id).collect();
    assert_eq!(seen, [Id::FluidLowSide, Id::Hose]);
    assert!(both.hangs_on.iter().all(|l| ALL[l.item].id == Id::Hose));
    let high = |place: &str| asked(&format!("{place}{RIGHT}")).none_of_these;
    let (up, somewhere) = (high("[site]\nelevation = \"9000 ft\"\n"), high(""));
    assert!(up < somewhere + 0.05, "{up} {somewhere}");
}

/// A van with eight feet of thin pipe, and a rig with three times the usual low side.
const OTHER_RIGS: [&str; 2] = [
    "[[container]]\nkind = \"20 lb cylinder\"\n[[appliance]]\nkind = \"furnace\"\n[[appliance]]\nkind = \"cooktop\"\n\
     [[appliance]]\nkind = \"refrigerator\"\n[[piping.section]]\nmaterial = \"copper\"\nsize = \"3/8 in\"\nlength = \"8 ft\"\n",
    "[[container]]\nkind = \"30 lb cylinder\"\n[[appliance]]\nkind = \"furnace\"\n[[appliance]]\nkind = \"cooktop\"\n\
     [[appliance]]\nkind = \"refrigerator\"\n[[appliance]]\nkind = \"water heater\"\n[[piping.section]]\n\
     material = \"copper\"\nsize = \"3/4 in\"\nlength = \"38 ft\"\n",
];

/// How fast a seat fills the low side and a leak empties it hangs on what it holds, which nobody types: a seat and a leak
/// that were read on another rig are told as these, with the standard rig's library.
#[test]
fn a_seat_with_a_leak_is_known_by_who_types_no_rig() {
    let read = [
        Id::Air,
        Id::LeakChange,
        Id::HalfOutlet,
        Id::RestMinute,
        Id::RestPeak,
        Id::RestCreep,
        Id::FluidLowSide,
    ];
    for text in OTHER_RIGS {
        let faults = ["second_seat_grit", "low_side_leak"].map(|f| Fault::named(f).expect("known"));
        let text = format!("title = \"Another\"\n[run]\nduration = \"1 min\"\n{text}");
        let rig = Scenario::parse("rig.toml", &text).expect("a rig");
        let faulty = Arc::new(quickened(&rig).with_faults([(faults[0], 0.7), (faults[1], 0.3)]));
        let truth = visit(&faulty, LeakCheck::First).expect("a visit");
        let mut typed = Readings::default();
        for id in read {
            typed.values[id.index()] = truth[id.index()];
        }
        let answer = PREPARED.answer_with_pairs(&typed, &AtomicBool::new(false));
        // 0.97 for none of these while the library knew one volume.
        let is_seat = |id: &str| id.starts_with("second_seat");
        let pairs = answer
            .pairs
            .iter()
            .filter(|p| p.faults.iter().any(|f| is_seat(f.id())));
        let alone = answer
            .groups
            .iter()
            .filter(|g| g.causes.iter().any(|c| is_seat(c)));
        let seat =
            pairs.map(|p| p.probability).sum::<f64>() + alone.map(|g| g.probability).sum::<f64>();
        assert!(seat > 0.6, "{seat} {}", answer.none_of_these);
    }
}

/// The owner turned the screw and a fitting leaks: no one fault reads so, and the two of them are found (common practice; made by a
/// visit of this program's bench with both at 0.3, and typed in with a division's rounding).
#[test]
fn a_turned_screw_and_a_leak_are_found_together() {
    let answer = asked(
        "[site]\nair = \"70 degF\"\n[leak_check]\nchange = \"-0.7 inwc\"\n[half_load]\noutlet = \"14.0 inwc\"\n\
         [full_load]\noutlet = \"13.8 inwc\"\n[lock_up]\nafter_minute = \"14.6 inwc\"\nat_once = \"14.6 inwc\"\nafter_creep = \"14.6 inwc\"\n",
    );
    let screw = Fault::named("second_screw_high").expect("in the catalogue");
    let with_it = answer.pairs.iter().filter(|p| p.faults.contains(&screw));
    assert!(
        with_it.map(|p| p.probability).sum::<f64>() > 0.7,
        "{:?}",
        answer.pairs
    );
    let leak = Fault::named("low_side_leak").expect("in the catalogue");
    assert!(
        answer.pairs[0].faults.contains(&leak),
        "{:?}",
        answer.pairs[0]
    );
    assert!(!answer.is_unnamed());
}
