//! What a trainee and an instructor read about a drill: whole names, dates, ranges, and which of two faults is not told.

use crate::common::{Folder, twostage};
use std::fs;
use std::sync::Arc;
use twostage::drill::attempt::act::tests_at;
use twostage::drill::making::make::{Shelf, judge};
use twostage::drill::making::shipped::named;
use twostage::drill::marking::debrief::{LookAlike, debrief};
use twostage::drill::{Act, Drill};
use twostage::fault::{Fault, Idle};
use twostage::report::marks::apart;
use twostage::report::telling::tells_its_fault;
use twostage::units::{System, inwc_to_pa, psi_to_pa};
use twostage::visit::{Bag, Id, Test};

fn small(title: &str, faults: &[(&str, f64)]) -> Arc<Drill> {
    let mut text = format!(
        "format = 1\ntitle = \"{title}\"\ncomplaint = \"It is odd.\"\ngas_told = false\n[scenario]\ntitle = \"A small rig\"\n\
         [[scenario.container]]\nkind = \"30 lb cylinder\"\n[[scenario.appliance]]\nkind = \"water heater\"\n\
         [[scenario.appliance]]\nkind = \"cooktop\"\n[scenario.run]\nduration = \"1 h\"\n"
    );
    for (id, severity) in faults {
        let severity = severity.to_string();
        for part in [
            "[[fault]]\nname = \"",
            id,
            "\"\nseverity = ",
            &severity,
            "\n",
        ] {
            text += part;
        }
    }
    Arc::new(Drill::read("small.toml", &text, None).unwrap_or_else(|e| panic!("{e}\n{text}")))
}

/// What the usual steps have told apart is said to be, and several severities are a range.
#[test]
fn a_look_alike_is_told_by_a_range_and_by_what_told_it_already() {
    let psi = |v: &[f64]| v.iter().map(|v| psi_to_pa(*v)).collect::<Vec<f64>>();
    let one = |id: Id, test: Test, already: bool, here: f64, there: Vec<f64>| LookAlike {
        cause: vec![Fault::named("second_seat_nick").expect("in the catalogue")],
        belief: 0.002,
        test: Some(test),
        already,
        here: Some((id, here)),
        read: true,
        there,
        from: None,
        idle: None,
    };
    let first = one(
        Id::FirstHalf,
        Test::FirstStage,
        false,
        psi_to_pa(96.7),
        psi(&[10.1, 9.9, 10.0]),
    );
    let told = apart(&first, System::Us);
    assert!(
        told.contains("9.9 psig to 10.1 psig there") && !told.contains(" or "),
        "{told}"
    );
    let rest = vec![inwc_to_pa(12.0); 3];
    let rest = one(Id::RestMinute, Test::LockUp, true, inwc_to_pa(19.5), rest);
    let told = apart(&rest, System::Us);
    assert!(told.starts_with("Told apart already by lock-up:"), "{told}");
    assert!(
        told.contains("12.0 in w.c. there") && !told.contains(" to 12"),
        "{told}"
    );
    // Words are no range.
    let bubbles = one(
        Id::SecondVentRest,
        Test::Vent,
        false,
        2.0,
        vec![0.0, 1.0, 1.0],
    );
    assert!(apart(&bubbles, System::Us).contains(" or "));
    let none = LookAlike {
        test: None,
        here: None,
        ..first
    };
    assert!(apart(&none, System::Us).starts_with("No single test"));
    let from = LookAlike {
        from: Some(0.3),
        ..none.clone()
    };
    let from = LookAlike {
        test: Some(Test::LockUp),
        here: rest.here,
        there: rest.there.clone(),
        ..from
    };
    assert!(apart(&from, System::Us).ends_with("there, at 30 % of it and more"));
    let idle = LookAlike {
        idle: Some(Idle::TooWarm(273.15)),
        ..none
    };
    let told = apart(&idle, System::Us);
    assert_eq!(
        told,
        "Does nothing here: it needs air under 32 °F, and it is warmer"
    );
}

/// On a mild day an iced vent shows nothing, and no test is said to tell it apart; a screw that was turned a little reads at half
/// load what rain water does, so the water that is seen tells it.
#[test]
fn a_look_alike_is_told_apart_by_what_it_can_show() {
    let d = small("After rain", &[("vent_turned_up", 0.5)]);
    let some = ["vent_turned_up", "second_vent_iced", "second_screw_high"];
    let some = some.map(|id| Fault::named(id).expect("in the catalogue"));
    let mut shelf = Shelf::of(some.to_vec());
    let causes = shelf.causes(&d.scenario, &mut |_| true).expect("a library");
    let found = debrief(&d, causes, &[], None).unwrap_or_else(|e| panic!("{e}"));
    let of = |fault: Fault| found.look_alikes.iter().find(|l| l.cause == [fault]);
    let iced = of(some[1]).expect("the catalogue names it");
    assert!(matches!(iced.idle, Some(Idle::TooWarm(_))));
    assert_eq!((iced.test, iced.here), (None, None));
    let screw = of(some[2]).expect("the catalogue names it");
    assert_eq!(screw.here.map(|h| h.0), Some(Id::VentLooks));
    assert_eq!((screw.from, screw.idle), (None, None));
    for l in &found.look_alikes {
        let told = apart(l, System::Us);
        assert!(!told.contains("  ") && !told.contains("be there"), "{told}");
    }
}

/// A title or a complaint that names what is wrong, as the catalogue or a file does, is told; the owner's words are not.
#[test]
fn a_title_that_gives_the_fault_away_is_told() {
    let told = |title: &str| tells_its_fault(&small(title, &[("second_seat_grit", 0.6)]));
    for title in [
        "Single second_seat_grit",
        "Second seat grit, evening",
        "grit on the second-stage SEAT",
    ] {
        assert!(
            told(title).is_some_and(|t| t.contains("Grit on")),
            "{title}"
        );
    }
    for title in [
        "It pops on lighting",
        "Grit",
        "The second seat",
        "second_seat_nick",
    ] {
        assert_eq!(told(title), None, "{title}");
    }
    for (name, text) in twostage::drill::making::shipped::DRILLS {
        let d = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(tells_its_fault(&d), None, "{name}");
    }
}

/// Grit alone is told on this rig and the clogged orifice is not: so the refusal of both says which.
#[test]
fn the_refusal_of_a_pair_says_which_is_not_told() {
    let some = [
        "second_seat_grit",
        "second_seat_nick",
        "spud_clogged",
        "second_vent_blocked",
    ];
    let some = some.map(|id| Fault::named(id).expect("in the catalogue"));
    let mut shelf = Shelf::of(some.to_vec());
    let mut refused = |faults: &[(&str, f64)]| {
        let found = judge(&small("Odd", faults), &mut shelf, &mut |_| true);
        found.err().map(|e| e.to_string())
    };
    let grit = ("second_seat_grit", 0.6);
    assert_eq!(refused(&[grit]), None, "alone it is told");
    let clogged = refused(&[("spud_clogged", 0.6)]);
    let both = refused(&[grit, ("spud_clogged", 0.6)]);
    println!("{clogged:?}\n{both:?}");
    if clogged.is_some() {
        let both = both.expect("refused");
        let name = some[2].name();
        assert!(
            both.contains(&format!("nothing tells {name} beside")),
            "{both}"
        );
        assert!(!both.contains("a rig without a fault"), "{both}");
    }
}

/// The report of a folder has the day of every attempt, names that are whole, and a half right answer framed as one.
#[test]
fn a_report_has_dates_and_whole_names() {
    const NAME: &str = "two_complaints_in_one";
    let folder = Folder::new("dated");
    let (_, text) = named(NAME).expect("a shipped drill");
    let drill = Drill::read(NAME, text, None).unwrap_or_else(|e| panic!("{e}"));
    let cause = drill.cause();
    let answers = [
        ("Ada", format!("{}+{}", cause[0].id(), cause[1].id())),
        ("Bo", cause[0].id().to_owned()),
        ("Cy", String::new()),
    ];
    for (who, said) in &answers {
        let log = folder.path(&format!("{who}.attempt")).display().to_string();
        let acts = match said.as_str() {
            "" => "look\n".to_owned(),
            said => format!("look\nanswer {said} replace shut off\n"),
        };
        let tried = twostage(&["drill", "try", NAME, "--who", who, "--log", &log], &acts);
        assert!(tried.status.success(), "{tried:?}");
    }
    let (html, csv) = (folder.path("r.html"), folder.path("r.csv"));
    let [html, csv] = [html, csv].map(|p| p.display().to_string());
    let at = folder.0.display().to_string();
    let made = twostage(
        &["drill", "report", &at, "--html", &html, "--csv", &csv],
        "",
    );
    assert!(made.status.success(), "{made:?}");
    let csv = fs::read_to_string(csv).expect("written");
    for (row, (who, _)) in csv.lines().skip(1).zip(&answers) {
        let fields: Vec<&str> = row.split(',').collect();
        assert_eq!(fields[0].trim_matches('"'), *who);
        // RFC 3339, of this century.
        assert!(
            fields[1].starts_with("20") && fields[1].ends_with('Z'),
            "{row}"
        );
    }
    let html = fs::read_to_string(html).expect("written");
    assert!(!html.contains('…'), "no name is cut");
    let row = twostage::drill::reasoning::causes::cause_words(&cause);
    assert_eq!(
        html.matches(&format!("<tr><td>{row}</td><td class=\"n"))
            .count(),
        1,
        "one row"
    );
    assert_eq!(html.matches("class=\"n same\"").count(), 1);
    assert_eq!(html.matches("class=\"n half\"").count(), 1);
}

/// A test that is not there offers those that can be made with what is at hand, the nearest first, and no other.
#[test]
fn a_wrong_name_of_a_test_offers_those_at_hand_and_the_nearest_first() {
    let (_, text) = named("since_the_rain").expect("a shipped drill");
    let drill = Drill::read("drill", text, None).unwrap_or_else(|e| panic!("{e}"));
    let rig = drill.scenario.rig.clone();
    let parse = |name: &str, bag: &Bag| {
        let e = Act::parse_at(&format!("test {name}"), &rig, bag).expect_err(name);
        let (_, list) = e.help.split_once(": ").unwrap_or(("", ""));
        let names = list.split(", ").map(ToOwned::to_owned);
        (e.message.clone(), names.collect::<Vec<String>>())
    };
    let eyes_only = Bag::new([]);
    for (bag, least) in [(&drill.bag, 5), (&eyes_only, 1), (&Bag::full(), 10)] {
        let (said, names) = parse("of everything", bag);
        assert!(said.contains("of everything"), "{said}");
        assert!(names.len() >= least, "{names:?}");
        for name in &names {
            let test = Test::find(name).unwrap_or_else(|| panic!("{name} is no test"));
            assert!(bag.has(test.tool()), "{name} is not at hand");
        }
        assert_eq!(names.len(), tests_at(bag, &rig).len());
    }
    let first = |name: &str, bag: &Bag| parse(name, bag).1[0].clone();
    assert_eq!(first("lokup", &drill.bag), "lock-up");
    assert_eq!(first("presure", &drill.bag), "flow pressure");
    assert_ne!(
        first("lokup", &eyes_only),
        "lock-up",
        "it takes a manometer"
    );
}
