//! What an instructor met with a class: opened and left is not tried, a damaged file costs no more than its damage, nothing
//! is told before it is released, and a command that fails leaves nothing.

use super::common::{DRILLS, Folder, begun_elsewhere, class, twostage, well};
use std::fs;
use std::path::Path;
use twostage::class::ClassFolder;
use twostage::class::name::AttemptName;
use twostage::class::standing::{Advice, Person, Reader, Standing, standing};
use twostage::drill::making::shipped::DRILLS as DRILLS_OF_THE_PROGRAM;
use twostage::drill::{Act, Attempt, Drill};

fn stands(place: &str) -> Standing {
    let class = ClassFolder::open(Path::new(place)).expect("a class");
    let (drills, _) = class.all_drills();
    standing(&class.list, &drills, &class.tries(None).expect("readable"))
}

fn go(place: &str, who: &str, acts: &str) -> String {
    well(
        &["class", "try", place, "--who", who, "--drill", DRILLS[0]],
        acts,
    )
}

#[test]
fn a_drill_that_was_opened_and_left_was_not_tried() {
    let folder = Folder::new("opened");
    let place = class(&folder, 1);
    go(&place, "1", "");
    let of = &stands(&place).people[0];
    assert!(of.marked.is_empty());
    go(&place, "1", "look\nanswer nothing shut off\n");
    go(&place, "1", "");
    let person = &stands(&place).people[0];
    assert_eq!(person.marked.len(), 1, "neither before nor afterwards");
    assert!(!person.marked[0].of.is_retry());
    well(&["class", "report", &place], "");
    let book = fs::read_to_string(Path::new(&place).join("reports/gradebook.csv")).expect("there");
    assert!(!book.contains("retry"), "{book}");
}

#[test]
fn what_stands_before_a_damage_counts_and_is_gone_on_with() {
    let folder = Folder::new("damage");
    let place = class(&folder, 2);
    go(&place, "1", "look\nlisten\nread outlet\n");
    let attempts = Path::new(&place).join("attempts");
    let file = fs::read_dir(&attempts)
        .expect("there")
        .filter_map(Result::ok)
        .find(|f| f.metadata().is_ok_and(|m| m.len() > 0))
        .expect("one")
        .path();
    let mut bytes = fs::read(&file).expect("readable");
    bytes.extend(b"no line of a log\n");
    fs::write(&file, bytes).expect("room");

    let all = stands(&place);
    let one = &all.people[0].marked;
    assert_eq!((one.len(), one[0].of.acts()), (1, 3));
    assert!(one[0].of.damaged.is_some());
    assert!(
        all.left_out[0].starts_with("Trainee 1: Since the rain: line 5: "),
        "by the person's name: {:?}",
        all.left_out
    );
    let list = well(&["class", "list", &place], "");
    assert!(list.contains("3 acts, damaged"), "{list}");
    // The same attempt, not a new one: its next act is the fourth, and the damage stays told.
    assert!(go(&place, "1", "look\n").contains("[4] "));
    let one = &stands(&place).people[0].marked;
    assert_eq!((one.len(), one[0].of.acts()), (1, 4));
    assert!(one[0].of.damaged.is_some() && !one[0].of.is_retry());
    well(&["class", "report", &place], "");
    let page = fs::read_to_string(Path::new(&place).join("reports/class.html")).expect("there");
    assert!(page.contains("1 attempt damaged"));

    // Where not even the first line can be read, its name still tells whose it was.
    fs::write(&file, b"nothing\n").expect("room");
    let two = file.with_file_name(
        file.file_name()
            .expect("a name")
            .to_string_lossy()
            .replace(&all.people[0].trainee.id, &all.people[1].trainee.id),
    );
    fs::write(two, b"nothing\n").expect("room");
    let person = &stands(&place).people[1];
    assert!(person.marked.len() == 1 && person.marked[0].of.damaged.is_some());
}

#[test]
fn nothing_is_told_before_it_is_released_and_all_of_it_afterwards() {
    let folder = Folder::new("held");
    let place = class(&folder, 1);
    // Everything wrong: lit unlooked, a wrong cause, and left in use with the fault in it.
    let said = go(
        &place,
        "1",
        "light all\nnote line_crushed 50\nanswer line_crushed replace in use\n",
    );
    let answer = said.split("[3]").nth(1).expect("the answer's line");
    assert!(!answer.contains("UNSAFE"), "{answer}");
    assert!(said.contains("note line_crushed 50 %"), "{said}");

    let person = &stands(&place).people[0];
    assert!(person.lesson(Reader::Instructor).is_some());
    assert_eq!(person.lesson(Reader::Owner), None);
    assert!(person.habits(Reader::Owner).iter().all(|h| *h == (0, 0)));
    // What was missed moves the chance of the next drill; whose it is hears of it when it is released, and then the same.
    let chance = |person: &Person, reader: Reader| match person.advice(reader) {
        Advice::Try(_, choice) => choice.chance,
        other => panic!("{other:?}"),
    };
    let (all, told) = (
        chance(person, Reader::Instructor),
        chance(person, Reader::Owner),
    );
    assert!(told > all, "{told} {all}");
    let next = well(&["class", "next", &place, "--who", "1"], "");
    assert!(!next.contains("Lesson") && !next.contains('%'), "{next}");
    well(&["class", "report", &place], "");
    let sheet = || fs::read_to_string(Path::new(&place).join("reports/sheet_001.html"));
    let held = sheet().expect("there");
    assert!(!held.contains("Lesson") && !held.contains("of 1 times"));

    well(&["class", "release", &place], "");
    let person = &stands(&place).people[0];
    assert_eq!(
        person.advice(Reader::Owner),
        person.advice(Reader::Instructor)
    );
    let mine = well(&["class", "mine", &place, "--who", "1"], "");
    for words in [
        "It was: ",
        "You said: ",
        "cause",
        "evidence",
        "leave it to a",
    ] {
        assert!(mine.contains(words), "`{words}`: {mine}");
    }
    well(&["class", "report", &place], "");
    assert!(sheet().expect("there").contains("Lesson"));
}

#[test]
fn a_class_is_made_whole_or_not_at_all() {
    let folder = Folder::new("whole");
    let place = folder.path("class").display().to_string();
    let open = folder.path("open.toml");
    fs::write(&open, "title = \"no drill\"\n").expect("room");
    let open = open.display().to_string();
    for (wrong, words) in [
        (["--trainee", "Ada"], "`Ada` is on the list"),
        (
            ["--drill", "since_the_rian"],
            "try: `since_the_rain`; `twostage drill list`",
        ),
        (["--drill", &open], "error"),
        (["--drill", DRILLS[0]], "is in the class"),
    ] {
        let mut call = vec!["class", "new", &place, "--name", "F", "--trainee", "Ada"];
        call.extend(["--drill", DRILLS[0]]);
        call.extend(wrong);
        let out = twostage(&call, "");
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        assert!(!out.status.success() && told.contains(words), "{told}");
        assert!(!Path::new(&place).exists(), "nothing is left: {told}");
    }
    let call = ["class", "new", &place, "--name", "F", "--trainee", "Ada L."];
    well(&call, "");
    let was = fs::read_to_string(Path::new(&place).join("class.toml")).expect("there");
    let out = twostage(
        &["class", "add", &place, "--trainee", "Bo", "--drill", "gone"],
        "",
    );
    assert!(!out.status.success());
    let now = fs::read_to_string(Path::new(&place).join("class.toml")).expect("there");
    assert_eq!(now, was, "nobody was added");
    // A first name is enough.
    well(&["class", "next", &place, "--who", "Ada"], "");
}

/// Nobody tries an exam again whose result waits for its release; after it a retry is offered as ever.
#[test]
fn an_exam_is_not_tried_again_before_its_release() {
    let folder = Folder::new("exam");
    let place = class(&folder, 2);
    let (name, text) = DRILLS_OF_THE_PROGRAM
        .iter()
        .find(|d| d.0 == DRILLS[0])
        .expect("a shipped one");
    let open = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    let worked = open.worked.clone().expect("sealed");
    let exam = Drill { exam: true, ..open };
    let exam = Drill {
        title: "The exam".to_owned(),
        ..exam
    };
    let file = folder.path("second_vent_blocked.toml");
    fs::write(&file, exam.to_sealed(&worked)).expect("room");
    let file = file.display().to_string();
    well(&["class", "add", &place, "--drill", &file], "");
    let again = |acts: &str| {
        let args = ["class", "try", &place, "--who", "1", "--drill", "The exam"];
        twostage(&args, acts)
    };
    assert!(again("look\n").status.success());
    let waits = || stands(&place).people[0].waits_for_release("the_exam");
    assert!(!waits(), "it is under way");
    assert!(again("answer nothing shut off\n").status.success());
    assert!(waits() && !stands(&place).people[1].waits_for_release("the_exam"));
    let refused = again("look\n");
    let why = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(
        !refused.status.success() && why.contains("not released yet"),
        "{why}"
    );
    // A drill that is no exam is tried again as before.
    go(&place, "1", "look\nanswer nothing shut off\n");
    go(&place, "1", "look\n");
    well(
        &[
            "class", "release", &place, "--drill", "The exam", "--anyway",
        ],
        "",
    );
    assert!(!waits() && again("look\n").status.success());
}

/// What the file of a drill was called by who made it stands nowhere where a trainee sees it: titles and numbers do.
#[test]
fn a_file_name_that_tells_is_not_shown() {
    let folder = Folder::new("names");
    let place = folder.path("class").display().to_string();
    let (name, text) = DRILLS_OF_THE_PROGRAM
        .iter()
        .find(|d| d.0 == DRILLS[0])
        .expect("a shipped one");
    let shipped = Drill::read(name, text, None).unwrap_or_else(|e| panic!("{e}"));
    let worked = shipped.worked.clone().expect("sealed");
    let told = |title: &str, file: &str| {
        let drill = Drill {
            title: title.to_owned(),
            ..shipped.clone()
        };
        let file = folder.path(file);
        fs::write(&file, drill.to_sealed(&worked)).expect("room");
        file.display().to_string()
    };
    let (first, second) = (
        told("Comes and goes", "vent_blocked.toml"),
        told("Comes, and goes!", "vent_blocked_worse.toml"),
    );
    let mut call = vec!["class", "new", &place, "--name", "F", "--trainee", "Ada"];
    call.extend(["--drill", &first, "--drill", &second]);
    well(&call, "");
    let try_it = |drill: &str| {
        let call = ["class", "try", &place, "--who", "1", "--drill", drill];
        well(&call, "look\nquit\n")
    };
    let mut seen = try_it("Comes and goes") + &try_it("2");
    for task in ["list", "next", "mine"] {
        let mut call = vec!["class", task, &place];
        call.extend(
            (task != "list")
                .then_some(["--who", "1"])
                .into_iter()
                .flatten(),
        );
        seen += &well(&call, "");
    }
    let attempts = fs::read_dir(Path::new(&place).join("attempts")).expect("there");
    let files = attempts.map(|f| f.expect("a file").file_name().display().to_string());
    seen.extend(files);
    assert!(!seen.contains("vent_blocked"), "{seen}");
    let listed = well(&["class", "list", &place], "");
    assert!(
        listed.contains("  1  Comes and goes\n") && listed.contains("  2  Comes, and goes!\n"),
        "{listed}"
    );
    // The same drill under another file's name is the same drill.
    let again = told("Comes and goes", "another.toml");
    let out = twostage(&["class", "add", &place, "--drill", &again], "");
    let why = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(
        !out.status.success() && why.contains("is in the class"),
        "{why}"
    );
}

/// Whoever releases on the command line hears who has not tried the drill before anything is released, as in the window: it
/// cannot be taken back.
#[test]
fn a_release_tells_who_has_not_tried_it() {
    let folder = Folder::new("untried");
    let place = class(&folder, 2);
    go(&place, "1", "look\nanswer nothing shut off\n");
    let out = twostage(&["class", "release", &place], "");
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    let two = stands(&place).people[1].trainee.name.clone();
    assert_eq!(out.status.code(), Some(2), "{told}");
    assert!(told.contains(&two) && told.contains("--anyway"), "{told}");
    assert!(!stands(&place).people[0].marked[0].of.released);
    let out = twostage(&["class", "release", &place, "--anyway"], "");
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(out.stdout.starts_with(b"1 attempt released"), "{out:?}");
    assert!(told.contains(&format!("yet: {two}")), "{told}");
}

/// What is released cannot be taken back: while somebody is at work on the drill nothing is released without a word for it.
#[test]
fn nothing_is_released_over_somebody_at_work() {
    let folder = Folder::new("at-work");
    let place = class(&folder, 2);
    go(&place, "1", "look\nanswer nothing shut off\n");
    go(&place, "2", "look\n");
    let released = || stands(&place).people[0].marked[0].of.released;
    let out = twostage(&["class", "release", &place], "");
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    let two = stands(&place).people[1].trainee.name.clone();
    assert_eq!(out.status.code(), Some(2), "{told}");
    assert!(told.contains(&two) && told.contains("--force"), "{told}");
    assert!(!released(), "refused is not done");
    well(&["class", "release", &place, "--force"], "");
    assert!(released());
    // Once nobody is at work no word is needed.
    go(&place, "2", "answer nothing shut off\n");
    well(&["class", "release", &place], "");
    assert!(stands(&place).people[1].marked[0].of.released);
}

/// A released attempt whose file lost its end is damaged, not under way, and nobody goes on with it: its answer was told.
#[test]
fn a_released_attempt_that_lost_its_end_is_damaged() {
    let folder = Folder::new("cut");
    let place = class(&folder, 1);
    go(&place, "1", "look\nlisten\nanswer nothing shut off\n");
    well(&["class", "release", &place], "");
    let attempts = Path::new(&place).join("attempts");
    let file = fs::read_dir(&attempts).expect("there").next().expect("one");
    let file = file.expect("a file").path();
    let whole = fs::read(&file).expect("readable");
    fs::write(&file, &whole[..whole.len() - 20]).expect("room");
    let out = twostage(&["class", "list", &place], "");
    let (list, told) = (
        String::from_utf8_lossy(&out.stdout).into_owned(),
        String::from_utf8_lossy(&out.stderr).into_owned(),
    );
    assert!(
        list.contains("cut off") && list.contains("damaged"),
        "{list}"
    );
    assert!(!list.contains("under way"), "{list}");
    assert!(told.contains("its end is gone"), "{told}");
    let again = go(&place, "1", "look\n");
    assert!(again.contains("retry 1"), "{again}");
    // Uncut it is what it was.
    fs::write(&file, &whole).expect("room");
    let list = well(&["class", "list", &place], "");
    assert!(
        list.contains("released") && !list.contains("damaged"),
        "{list}"
    );
}

/// Opened at two computers at once it is one attempt, told as worked on in two places, and no retry.
#[test]
fn one_attempt_opened_twice_is_no_retry() {
    let folder = Folder::new("twice");
    let place = class(&folder, 1);
    let mut here = ClassFolder::open(Path::new(&place)).expect("a class");
    let person = here.list.find("1").expect("there").clone();
    let drill = here.drill(DRILLS[0]).expect("there");
    let begun = [0, 1].map(|_| {
        let begun = here.begin(&person, DRILLS[0]).expect("room");
        let opened = Attempt::open(drill.clone(), &person.id, &begun.log);
        (begun, opened.unwrap_or_else(|e| panic!("{e}")))
    });
    assert_eq!(begun[0].0.name.attempt, begun[1].0.name.attempt);
    assert!(!begun[0].0.elsewhere && begun[1].0.elsewhere);
    for (n, (_, (mut attempt, mut sim))) in begun.into_iter().enumerate() {
        let words = ["look", "listen"][n];
        let act = Act::parse(words, sim.rig()).expect("an act");
        attempt.act(&mut sim, &act, &mut |_| true).expect("done");
    }
    let tries = here.tries(None).expect("readable");
    assert_eq!(tries.all.len(), 1);
    assert!(!tries.all[0].is_retry() && tries.all[0].branches.len() == 1);
    let list = well(&["class", "list", &place], "");
    assert!(
        list.contains("two places at once") && !list.contains("retry"),
        "{list}"
    );
    // Two that were begun in the same moment, before either was there to be seen: told too.
    let name = &tries.all[0].name;
    let other = AttemptName {
        attempt: "another0000".to_owned(),
        order: name.order + 1,
        ..name.clone()
    };
    let at = |name: &AttemptName| here.attempts().join(name.file());
    begun_elsewhere(&at(name), &at(&other));
    let tries = here.tries(None).expect("readable");
    if tries.all.len() > 1 {
        assert!(tries.all.iter().all(|t| tries.is_open_twice(t)));
        let list = well(&["class", "list", &place], "");
        assert!(
            list.contains("another of this drill that is open too"),
            "{list}"
        );
    } else {
        panic!("{:?}", tries.left_out);
    }
}

/// The reasons of the expert fade by what somebody of a class has ended, by number or name; nobody is told as nobody.
#[test]
fn the_expert_knows_the_class() {
    let folder = Folder::new("expert");
    let place = class(&folder, 2);
    let acts = "look\nanswer nothing shut off\n";
    let call = ["class", "try", &place, "--who", "1", "--drill", DRILLS[0]];
    well(&call, acts);
    let asked = |who: &str, at: &str| {
        let call = ["drill", "expert", DRILLS[0], "--who", who, "--attempts", at];
        twostage(&call, "")
    };
    let nobody = asked("Nobody", &place);
    assert!(!nobody.status.success(), "{nobody:?}");
    let attempts = Path::new(&place).join("attempts").display().to_string();
    let alone = asked("1", &attempts);
    let told = String::from_utf8_lossy(&alone.stderr).into_owned();
    assert!(
        !alone.status.success() && told.contains("no attempt in"),
        "{told}"
    );
    let one = stands(&place).people[0].trainee.name.clone();
    let told = |out: std::process::Output| String::from_utf8_lossy(&out.stdout).into_owned();
    let words = told(asked(&one, &place));
    assert!(words.contains("1 drill of this family ended"), "{words}");
    // A reason parts two that matter, or says what the test does; before anything was read nothing stands out, and a way that is the
    // shortest is told as seen afterwards.
    let first = words.lines().find(|l| l.trim_start().starts_with("why:"));
    assert!(
        first.is_some_and(|l| {
            l.contains("nothing was read yet") || l.contains("as seen afterwards")
        }),
        "{words}"
    );
}

/// Somebody at a retry of one drill holds back that drill, and not the others.
#[test]
fn who_is_at_work_holds_back_that_drill_alone() {
    let folder = Folder::new("others");
    let place = class(&folder, 2);
    for drill in ["1", "2"] {
        let try_it = ["class", "try", &place, "--who", "1", "--drill", drill];
        well(&try_it, "look\nanswer nothing shut off\n");
    }
    well(
        &["class", "try", &place, "--who", "2", "--drill", "1"],
        "look\n",
    );
    let out = twostage(&["class", "release", &place, "--anyway"], "");
    let (said, told) = (
        String::from_utf8_lossy(&out.stdout).into_owned(),
        String::from_utf8_lossy(&out.stderr).into_owned(),
    );
    assert!(
        out.status.success() && said.starts_with("1 attempt released"),
        "{said}{told}"
    );
    let held = "1 attempt not released, for its answer could be heard: Since the rain";
    assert!(told.contains(held) && told.contains("Trainee 2"), "{told}");
    let released: Vec<bool> = stands(&place).people[0]
        .marked
        .iter()
        .map(|m| m.of.released)
        .collect();
    assert_eq!(released, [false, true]);
    // That one alone, by its name, is refused still.
    let out = twostage(&["class", "release", &place, "--drill", "1"], "");
    assert_eq!(out.status.code(), Some(2));
}

/// An order that the instructor gives is what comes next, for the owner too; by what each can where it is asked for.
#[test]
fn an_order_that_was_given_is_followed() {
    use twostage::class::next::Why;
    let folder = Folder::new("order");
    let place = class(&folder, 1);
    let next = || match stands(&place).people[0].advice(Reader::Owner).clone() {
        Advice::Try(name, choice) => (name, choice.why),
        other => panic!("{other:?}"),
    };
    let drills = super::common::DRILLS;
    assert_eq!(next(), (drills[0].to_owned(), Why::InOrder));
    let try_it = ["class", "try", &place, "--who", "1", "--drill", "1"];
    well(&try_it, "look\nanswer nothing shut off\n");
    assert_eq!(next(), (drills[1].to_owned(), Why::InOrder));
    let told = well(&["class", "next", &place, "--who", "1"], "");
    assert!(
        told.contains("the next of the instructor's order") && !told.contains('%'),
        "{told}"
    );
    well(&["class", "add", &place, "--next", "skill"], "");
    assert_eq!(next().1, Why::Near);
    well(&["class", "add", &place, "--next", "order"], "");
    assert_eq!(next().1, Why::InOrder);
}

/// Who hears that it is quiet in a lock-up has listened before lighting; who lights for it has not.
#[test]
fn a_lock_up_that_lit_nothing_listened() {
    let folder = Folder::new("listened");
    let place = class(&folder, 3);
    for (who, acts) in [
        ("1", "test lock-up\nlight all\n"),
        ("2", "light half\ntest lock-up\n"),
        ("3", "read outlet\nlight all\n"),
    ] {
        well(
            &["class", "try", &place, "--who", who, "--drill", "1"],
            acts,
        );
    }
    let kept: Vec<Option<bool>> = stands(&place)
        .people
        .iter()
        .map(|p| p.marked[0].kept[0])
        .collect();
    assert_eq!(kept, [Some(true), Some(false), Some(false)]);
}
