//! What is reported of a class is what was done: habits, mix-ups, gradebook, sheets, statements.

use super::common::{DRILLS, Folder, twostage, well};
use super::statements::check;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use twostage::class::rating::Rated;
use twostage::class::standing::{Advice, Person, Reader, Standing, mix_up, standing};
use twostage::class::{ClassFolder, ClassList, Tries};
use twostage::drill::Drill;
use twostage::drill::attempt::act::{Finding, Left};
use twostage::drill::making::shipped::DRILLS as SHIPPED;
use twostage::fault::{Fault, Remedy};

/// A class with three people, the first of whom has a name that a spreadsheet would take for a formula.
fn class_of_three(folder: &Folder) -> String {
    let place = folder.path("class").display().to_string();
    let mut args = vec!["class", "new", &place, "--name", "Friday & Co"];
    for name in ["=Ada<b>", "Bo", "Cy"] {
        args.extend(["--trainee", name]);
    }
    for drill in DRILLS {
        args.extend(["--drill", drill]);
    }
    well(&args, "");
    place
}

fn truth(place: &str, drill: &str) -> (String, &'static str) {
    let drill = Drill::load(
        &Path::new(place)
            .join("drills")
            .join(format!("{drill}.toml")),
    )
    .expect("a drill");
    let cause: Vec<String> = drill.cause().iter().map(ToString::to_string).collect();
    let action = drill.cause()[0]
        .entry()
        .puts_right()
        .next()
        .expect("an action")
        .id();
    (cause.join("+"), action)
}

fn stands(place: &str) -> (ClassFolder, Tries, Standing) {
    let class = ClassFolder::open(Path::new(place)).expect("a class");
    let tries = class.tries(None).expect("readable");
    let (drills, _) = class.all_drills();
    let standing = standing(&class.list, &drills, &tries);
    (class, tries, standing)
}

/// The ratings under another pass mark.
fn standing_of(list: &ClassList, tries: &Tries) -> Rated {
    let drills: Vec<_> = tries
        .all
        .iter()
        .map(|t| (t.name.drill.clone(), t.found.drill.clone()))
        .collect();
    standing(list, &drills[..1], tries).rated
}

fn kept(person: &Person) -> [Option<bool>; 5] {
    person.marked[0].kept
}

#[test]
fn a_class_is_reported_as_it_was() {
    let folder = Folder::new("report");
    let place = class_of_three(&folder);
    let (cause, action) = truth(&place, DRILLS[0]);
    let go = |who: &str, acts: &str| {
        well(
            &["class", "try", &place, "--who", who, "--drill", DRILLS[0]],
            acts,
        )
    };
    // One who works as it should be, one who judges before anything was read, one who says nothing yet.
    go(
        "1",
        &format!(
            "look\nread outlet\ntest flow pressure\nread manifold\nclear vents\ntest flow pressure\nanswer {cause} {action} shut off\n"
        ),
    );
    go(
        "2",
        &format!(
            "light all\nnote line_crushed 80 %\nclear vents\nanswer line_crushed {action} shut off\n"
        ),
    );
    go("3", "look\n");
    // The second tries again.
    go(
        "Bo",
        &format!("look\nread outlet\nanswer {cause} {action} shut off\n"),
    );

    let (_, tries, standing) = stands(&place);
    let [ada, bo, cy] = &standing.people[..] else {
        panic!("three people");
    };
    assert_eq!(kept(ada), [Some(true); 5]);
    assert_eq!(
        kept(bo),
        [
            Some(false),
            Some(false),
            Some(false),
            Some(false),
            Some(true)
        ]
    );
    assert_eq!(
        kept(cy),
        [None; 5],
        "without an occasion a habit is neither kept nor missed"
    );
    assert!(ada.marked[0].mix_up.is_none());
    let mixed = bo.marked[0]
        .mix_up
        .as_ref()
        .expect("one was taken for another");
    assert_eq!(
        mixed.taken_for,
        [Fault::named("line_crushed").expect("in the catalogue")]
    );
    assert!(bo.marked[1].of.is_retry() && !bo.marked[0].of.is_retry());
    // With the pass mark between the two, the rating tells them apart. The retry says nothing of skill.
    let [better, worse] = [ada, bo].map(|p| p.marked[0].grade.total());
    assert!(better > worse, "{better} and {worse}");
    let mut list = ClassFolder::open(Path::new(&place)).expect("a class").list;
    list.pass = 0.5 * (better + worse);
    let rated = standing_of(&list, &tries);
    let results: Vec<usize> = rated.skills.iter().map(|s| s.results).collect();
    assert_eq!(results, [1, 1, 0]);
    assert!(rated.skills[0].overall().0 > rated.skills[1].overall().0);
    assert_eq!(
        *cy.advice(Reader::Instructor),
        Advice::GoOn(DRILLS[0].to_owned())
    );
    assert!(
        matches!(ada.advice(Reader::Instructor), Advice::Try(name, _) if name == DRILLS[1]),
        "{:?}",
        ada.advice(Reader::Instructor)
    );
    assert_eq!(tries.all.len(), 4);

    let reports = Path::new(&place).join("reports");
    well(&["class", "report", &place], "");
    // The class's own reports are made anew, as the window's button does; elsewhere nothing is replaced unasked.
    well(&["class", "report", &place], "");
    let elsewhere = folder.path("elsewhere");
    fs::create_dir(&elsewhere).expect("room");
    let elsewhere = elsewhere.display().to_string();
    well(&["class", "report", &place, "--out", &elsewhere], "");
    let again = twostage(&["class", "report", &place, "--out", &elsewhere], "");
    assert_eq!(
        again.status.code(),
        Some(2),
        "what is there is not replaced unasked"
    );
    well(
        &["class", "report", &place, "--out", &elsewhere, "--force"],
        "",
    );
    let read = |name: &str| fs::read_to_string(reports.join(name)).expect(name);

    let gradebook = read("gradebook.csv");
    let rows: Vec<&str> = gradebook.lines().collect();
    assert_eq!(rows[0], "identifier,name,item,score,comment");
    assert_eq!(
        rows.len(),
        1 + 3 * DRILLS.len(),
        "a row for each person and drill, tried or not: {gradebook}"
    );
    assert!(
        rows[1].contains("\"Since the rain\",") && rows[3].contains("1 retry, best "),
        "{gradebook}"
    );
    assert!(rows[3].starts_with("2,\"Bo\","), "{gradebook}");
    assert!(
        rows[5].starts_with("3,\"Cy\",\"Since the rain\",,\"not ended"),
        "no score before the end: {gradebook}"
    );
    assert!(rows[6].ends_with(",,\"not tried\""), "{gradebook}");
    // What was not answered has no marks on the page of attempts either.
    let attempts = read("attempts.html");
    assert!(
        attempts.contains("<h3>Cy: Since the rain (no answer)</h3>"),
        "no marks without an answer"
    );
    let row = attempts.lines().find(|l| l.contains("<td>Cy</td>"));
    assert!(
        row.is_some_and(|r| r.ends_with("<td class=\"n\">-</td></tr>")),
        "{row:?}"
    );
    assert!(
        attempts.contains("Suspicion:"),
        "a note stands among the acts"
    );

    let acts = read("acts.csv");
    let done: usize = tries.all.iter().map(twostage::class::Try::acts).sum();
    assert_eq!(acts.lines().count(), 1 + done, "every act");

    let page = read("class.html");
    for words in [
        "no proof of competence",
        "Friday &amp; Co",
        "=Ada&lt;b&gt;",
        "looks before lighting",
    ] {
        assert!(page.contains(words), "the page has `{words}`");
    }
    // A sheet tells nothing of the answer before it is released.
    let names = |sheet: &str| {
        sheet.contains(&twostage::drill::reasoning::causes::cause_words(
            &tries.all[0].found.drill.cause(),
        ))
    };
    assert!(
        !names(&read("sheet_001.html")) && read("sheet_001.html").contains("ended, not released")
    );
    assert!(!read("sheet_001.html").contains(">Bo"), "only one's own");
    well(&["class", "release", &place, "--force"], "");
    well(&["class", "report", &place, "--force"], "");
    assert!(
        names(&read("sheet_001.html")) && read("sheet_001.html").contains("no proof of competence")
    );

    let text = read("statements.json");
    let statements: Vec<serde_json::Value> = serde_json::from_str(&text).expect("JSON");
    assert_eq!(statements.len(), 4 + 3, "each begun, three ended");
    statements.iter().for_each(check);
    let ids: BTreeSet<&str> = statements.iter().filter_map(|s| s["id"].as_str()).collect();
    assert_eq!(ids.len(), statements.len());
    assert!(
        !text.contains("Ada") && !text.contains("\"Bo\"") && !text.contains("Friday"),
        "pseudonyms only"
    );
    well(&["class", "report", &place, "--force"], "");
    assert_eq!(
        read("statements.json"),
        text,
        "sent twice it is stored once"
    );
}

#[test]
fn the_order_of_two_causes_is_no_mix_up() {
    let (name, text) = SHIPPED
        .iter()
        .find(|(id, _)| *id == "two_complaints_in_one")
        .expect("shipped");
    let drill = Drill::read(name, text, None).expect("a drill");
    let answer = |cause: Vec<Fault>| Finding {
        cause,
        actions: vec![Remedy::Replace],
        left: Left::ShutOff,
    };
    let mut both = drill.cause();
    assert_eq!(both.len(), 2);
    assert_eq!(mix_up(&drill, &answer(both.clone())), None);
    both.reverse();
    assert_eq!(mix_up(&drill, &answer(both.clone())), None);
    // Of a half right answer only the other half was taken for something.
    let other = Fault::all().find(|f| !both.contains(f)).expect("another");
    let half = mix_up(&drill, &answer(vec![other, both[0]])).expect("half");
    assert_eq!((half.was, half.taken_for), (vec![both[1]], vec![other]));
    let turned = mix_up(&drill, &answer(vec![both[0], other])).expect("half");
    assert_eq!(turned.taken_for, [other]);
}
