//! What a person reads after a mistake, and that no file can do more than be refused.

use proptest::prelude::*;

use super::*;
use crate::units::Dimension;

/// What is told of a file read by `ask`.
fn told(source: &str, ask: impl Fn(TableReader<'_>)) -> String {
    let form = match Form::parse("quiet.toml", source) {
        Ok(form) => form,
        Err(mistakes) => return mistakes.to_string(),
    };
    ask(form.root());
    form.finish(()).map_or_else(
        |mistakes| mistakes.to_string(),
        |()| "nothing wrong".to_owned(),
    )
}

/// A reader with one of every getter.
fn ask_all(root: TableReader<'_>) {
    let _ = root.text("title").not_empty().required();
    if let Some(regulator) = root.table("regulator").required() {
        let _ = regulator
            .quantity("outlet", Dimension::GaugePressure)
            .between(1000.0..=5000.0)
            .required();
        let _ = regulator
            .choice("kind", &[("two-stage", 2), ("single", 1)])
            .optional();
        let _ = regulator
            .quantity("fill", Dimension::Fraction)
            .between(0.0..=0.8)
            .optional();
        let _ = regulator.integer("seed").between(1..=9).or(1);
        let _ = regulator.boolean("sealed").or(false);
        let _ = regulator.number("gain").positive().optional();
        let _ = regulator
            .quantities("loads", Dimension::Power)
            .count(1..=3)
            .optional();
        let _ = regulator.texts("notes").optional();
    }
    for appliance in root.tables("appliance").count(0..=2).or(Vec::new()) {
        let _ = appliance.text("name").required();
    }
}

/// The file's own table, rightly.
const GOOD_HEAD: &str = "title = \"A quiet night\"\n[regulator]\noutlet = \"11 inwc\"\n";

const GOOD: &str = r#"title = "A quiet night"
[regulator]
outlet = "11 inwc"
kind = "two-stage"
fill = 0.5
seed = 3
sealed = true
gain = 2
loads = ["30 kBtu/h", "0.8 kW"]
notes = []
[[appliance]]
name = "furnace"
"#;

#[test]
fn a_right_file_is_read() {
    let form = Form::parse("quiet.toml", GOOD).expect("right TOML");
    let regulator = form.root().table("regulator").required().expect("is there");
    let loads = regulator
        .quantities("loads", Dimension::Power)
        .required()
        .expect("is there");
    assert_eq!(
        regulator.choice("kind", &[("two-stage", 2)]).required(),
        Some(2)
    );
    assert_eq!(
        regulator.quantity("fill", Dimension::Fraction).required(),
        Some(0.5)
    );
    assert!((loads[0] / loads[1] - 8792.13 / 800.0).abs() < 1e-4);
    assert_eq!(told(GOOD, ask_all), "nothing wrong");
    // The same file as another system saves it.
    let other = format!("\u{FEFF}{}", GOOD.replace('\n', "\r\n"));
    assert_eq!(told(&other, ask_all), "nothing wrong");
}

#[test]
fn an_unknown_key_is_shown_with_the_nearest_known() {
    let source = "title = \"x\"\n[regulator]\n  outlett = \"11 inwc\"\noutlet = \"11 inwc\"\n";
    assert_eq!(
        told(source, ask_all),
        "error: unknown key `outlett` in [regulator]\n  quiet.toml:3:3\n   3 |   outlett = \"11 inwc\"\n     |   ^^^^^^^\n  try: `outlet`"
    );
}

#[test]
fn every_mistake_is_told_at_once_in_the_order_of_the_file() {
    let source = r#"[regulator]
outlet = 11
kind = "two stage"
fill = "90 %"
seed = 1.5
sealed = "yes"
gain = -2.0
loads = ["30 kBtu/h", "5 mm", 3]
notes = [1]
[[appliance]]
nmae = "furnace"
"#;
    let want = r#"error: `outlet`: a bare number: a gauge pressure needs a unit
  quiet.toml:2:10
   2 | outlet = 11
     |          ^^
  try: "11 inwc", "11 psig" or "11 kPa", whichever is meant

error: `kind` knows no `two stage`
  quiet.toml:3:8
   3 | kind = "two stage"
     |        ^^^^^^^^^^^
  try: "two-stage"

error: `fill` is 90 %
  quiet.toml:4:8
   4 | fill = "90 %"
     |        ^^^^^^
  try: from 0 % to 80 %

error: `seed` is a number; a whole number is wanted
  quiet.toml:5:8
   5 | seed = 1.5
     |        ^^^
  try: seed = 3

error: `sealed` is a text; true or false is wanted
  quiet.toml:6:10
   6 | sealed = "yes"
     |          ^^^^^
  try: sealed = true

error: `gain` is -2
  quiet.toml:7:8
   7 | gain = -2.0
     |        ^^^^
  try: over 0

error: `loads`: mm is a length; a power is wanted
  quiet.toml:8:23
   8 | loads = ["30 kBtu/h", "5 mm", 3]
     |                       ^^^^^^
  try: "30000 Btu/h" or "0.8 kW"

error: `loads`: a bare number: a power needs a unit
  quiet.toml:8:31
   8 | loads = ["30 kBtu/h", "5 mm", 3]
     |                               ^
  try: "3 Btu/h", "3 kW" or "3 kBtu/h", whichever is meant

error: `notes` is a whole number; a text is wanted
  quiet.toml:9:10
   9 | notes = [1]
     |          ^
  try: notes = ["...", "..."]

error: [[appliance]] no. 1 has no `name`
  quiet.toml:10:1
   10 | [[appliance]]
      | ^^^^^^^^^^^^^
  try: name = "..."

error: unknown key `nmae` in [[appliance]] no. 1
  quiet.toml:11:1
   11 | nmae = "furnace"
      | ^^^^
  try: `name`

error: the file has no `title`
  quiet.toml
  try: title = "...""#;
    assert_eq!(told(source, ask_all), want);
}

#[test]
fn what_is_no_toml_is_told_alike() {
    let said = [
        (
            "set = 11 inwc",
            "`11 inwc` must stand in quotes",
            7,
            "`set = \"11 inwc\"`",
        ),
        (
            "set = 2,7",
            "`2,7` must stand in quotes",
            8,
            "`set = \"2,7\"`",
        ),
        (
            "kind = furnace # big",
            "`furnace` must stand in quotes",
            8,
            "`kind = \"furnace\"`, or a number without quotes where one is meant",
        ),
        (
            "set =",
            "nothing stands after `=`",
            6,
            "a value, or `#` before `set`",
        ),
        (
            "set",
            "a name without a value",
            4,
            "`name = \"value\"`, or `#` before a remark",
        ),
        (
            "[regulator",
            "the bracket of this table is not closed",
            11,
            "`]` at its end",
        ),
        (
            "a = 1 b = 2",
            "something follows where the line should end",
            5,
            "one name and value a line",
        ),
    ];
    for (source, message, column, help) in said {
        let mistakes = Form::parse("x.toml", source).expect_err(source).list;
        let place = mistakes[0].place.as_ref().expect("a place");
        let found = (
            &mistakes[0].message[..],
            place.column,
            &mistakes[0].help[..],
        );
        assert_eq!(found, (message, column, help), "{source}");
        assert_eq!(mistakes.len(), 1, "{source}");
    }
    let twice = Form::parse("x.toml", "a = 1\na = 2")
        .expect_err("twice")
        .list;
    assert_eq!(twice[0].message, "the same name is given twice");
    let several = Form::parse("x.toml", "a = 1 in\nb = 2\nc = 3 in")
        .expect_err("two")
        .list;
    assert_eq!(several.len(), 2);
}

#[test]
fn a_file_that_says_nothing_is_told_so() {
    for source in ["", " \n\t\n", "# only a remark\n", "\u{FEFF}"] {
        assert_eq!(
            told(source, ask_all),
            "error: the file says nothing\n  quiet.toml\n  try: one of the shipped files as a start"
        );
    }
}

#[test]
fn brackets_single_or_double_are_told_apart() {
    let source = "title = \"x\"\nregulator = 3\n[appliance]\nname = \"y\"\n";
    let said = told(source, ask_all);
    assert!(
        said.contains("`regulator` is a whole number; a table is wanted"),
        "{said}"
    );
    assert!(said.contains("try: [[appliance]]"), "{said}");
}

#[test]
fn a_table_that_is_missing_is_named_by_its_whole_path() {
    let ask = |root: TableReader<'_>| {
        if let Some(rig) = root.table("rig").required() {
            let _ = rig.table("run").required();
            let _ = rig.tables("container").required();
        }
        for event in root.tables("event").required_or(Vec::new()) {
            let _ = event.table("site").required();
        }
    };
    let said = told("[rig]\n[[event]]\n", ask);
    for right in [
        "a table [rig.run]",
        "a table [[rig.container]]",
        "a table [event.site]",
    ] {
        assert!(
            said.contains(&format!("try: {right}\n")) || said.ends_with(right),
            "{said}"
        );
    }
}

#[test]
fn one_of_several_keys_must_stand() {
    let keys = ["turn_on", "turn_off", "inject"];
    let ask = |root: TableReader<'_>| {
        for event in root.tables("event").required_or(Vec::new()) {
            if let Some(key) = event.one_of(&keys) {
                let _ = event.text(key).required();
            }
        }
    };
    assert_eq!(
        told("[[event]]\nturn_on = \"furnace\"", ask),
        "nothing wrong"
    );
    let none = told("[[event]]\n", ask);
    assert!(
        none.starts_with("error: [[event]] no. 1 says none of turn_on, turn_off, inject\n"),
        "{none}"
    );
    let both = told("[[event]]\nturn_on = \"a\"\ninject = \"b\"", ask);
    assert!(
        both.starts_with("error: `turn_on` and `inject` cannot stand together\n"),
        "{both}"
    );
}

#[test]
fn tables_with_names_of_the_writers_own() {
    let form = Form::parse("x.toml", "[likely]\ngrit = \"10 %\"\nnick = \"20 %\"").expect("right");
    let likely = form.root().table("likely").required().expect("is there");
    let shares: Vec<_> = likely
        .names()
        .iter()
        .map(|name| likely.quantity(name, Dimension::Fraction).required())
        .collect();
    assert_eq!(shares, [Some(0.1), Some(0.2)]);
    assert!(form.finish(()).is_ok());
}

/// Who writes 80 for a share means 80 %.
#[test]
fn a_share_over_one_is_asked_whether_it_is_percent() {
    let fill = |text: &str| {
        told(&format!("fill = \"{text}\""), |root| {
            let field = root.quantity("fill", Dimension::Fraction);
            let _ = field.between(0.0..=0.99).optional();
        })
    };
    assert!(
        fill("80").contains("try: `fill = \"80 %\"`, or from 0 to 0.99"),
        "{}",
        fill("80")
    );
    assert!(!fill("800").contains('%') && !fill("120 %").contains("`fill ="));
    assert_eq!(fill("0.8"), "nothing wrong");
}

#[test]
fn a_form_is_bounded() {
    let long = format!("title = \"{}\"", "x".repeat(1_000_000));
    assert!(told(&long, ask_all).starts_with("error: the file is longer than 1000000 bytes"));
    let deep = format!("a = {}{}", "[".repeat(40), "]".repeat(40));
    assert!(
        told(&deep, ask_all).starts_with("error: tables or lists within each other over 12 deep")
    );
    let deeper = format!("a = {}", "[".repeat(400_000));
    assert!(told(&deeper, ask_all).starts_with("error: "));
    let many = format!("a = [{}]", "1,".repeat(30_000));
    assert!(told(&many, ask_all).starts_with("error: the file holds more than 20000 values"));
    let wide = (0..501).fold(String::new(), |text, i| text + &format!("k{i} = 1\n"));
    assert!(told(&wide, ask_all).starts_with("error: a table holds more than 500 keys"));
    let wordy = format!(
        "title = \"{}\"\n[regulator]\noutlet = \"11 inwc\"",
        "x".repeat(5000)
    );
    assert!(told(&wordy, ask_all).starts_with("error: `title` is 5000 characters long"));
    // Many mistakes are counted, not all told: 100 unknown names, no title, no regulator.
    let wrong: String = (0..100).fold(String::new(), |text, i| text + &format!("k{i} = 1\n"));
    assert!(told(&wrong, ask_all).ends_with("and 62 more"));
    let hopeless = "k =\n".repeat(100_000);
    assert!(told(&hopeless, ask_all).ends_with("and many more"));
}

#[test]
fn nothing_of_a_file_steers_the_terminal() {
    for source in [
        "title = \"\\u001b[2J\"",
        "\u{1b}[2J = 1",
        "\"\\u001b[31m\" = 1",
        "a = \"\u{202e}\"\n",
    ] {
        let said = told(source, ask_all);
        assert!(said.starts_with("error: "), "{said}");
        assert!(!said.contains(['\u{1b}', '\u{202e}']), "{said:?}");
    }
}

mod files {
    use std::path::PathBuf;

    use super::super::*;

    /// A file of this test's own, removed at the end.
    struct Scratch(PathBuf);

    impl Scratch {
        fn new(name: &str, bytes: &[u8]) -> Self {
            let path = std::env::temp_dir().join(format!("twostage-{}-{name}", std::process::id()));
            std::fs::write(&path, bytes).expect("a folder for scratch files");
            Self(path)
        }
    }

    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = std::fs::remove_file(&self.0);
        }
    }

    #[test]
    fn a_file_in_the_way_is_named() {
        let missing = read_file("no/such/quiet.toml".as_ref(), 100);
        assert!(matches!(missing, Err(FormError::Missing { .. })));
        let folder = read_file(&std::env::temp_dir(), 100);
        assert!(matches!(
            folder,
            Err(FormError::NotAFile {
                what: "a folder",
                ..
            })
        ));
        let latin = Scratch::new("latin.toml", b"title = \"x\"\nnote = \"28 \xb0F\"\n");
        assert!(matches!(
            read_file(&latin.0, 100),
            Err(FormError::NotUtf8 { line: 2, .. })
        ));
        let long = Scratch::new("long.toml", &[b'#'; 101]);
        assert!(matches!(
            read_file(&long.0, 100),
            Err(FormError::TooLong { limit: 100, .. })
        ));
        assert_eq!(read_file(&long.0, 101).expect("short enough").len(), 101);
    }

    /// A device has no end; it must be refused, not waited on.
    #[cfg(unix)]
    #[test]
    fn a_device_is_refused() {
        let device = read_file("/dev/zero".as_ref(), 100);
        assert!(matches!(device, Err(FormError::NotAFile { .. })));
    }

    /// A sparse file: long to look at, nothing on the disk.
    #[test]
    fn a_huge_file_is_refused_unread() {
        let huge = Scratch::new("huge.toml", b"");
        let file = std::fs::OpenOptions::new()
            .write(true)
            .open(&huge.0)
            .expect("just made");
        file.set_len(50_000_000).expect("room for a sparse file");
        assert!(matches!(
            Form::load(&huge.0),
            Err(FormError::TooLong { .. })
        ));
    }

    #[test]
    fn errors_of_files_speak_in_the_same_voice() {
        let said = read_file("quiet.toml".as_ref(), 1)
            .expect_err("missing")
            .to_string();
        assert_eq!(
            said,
            "error: there is no file `quiet.toml`\n  try: the name as the folder lists it"
        );
    }
}

proptest! {
    #[test]
    fn any_text_is_answered(source in any::<String>()) {
        let said = told(&source, ask_all);
        prop_assert!(said == "nothing wrong" || said.starts_with("error: "));
    }

    /// A good file with a few characters changed goes deeper into the reader.
    #[test]
    fn a_garbled_file_is_answered(
        changes in prop::collection::vec((0..GOOD.len(), any::<char>()), 0..6),
        cut in 0..GOOD.len(),
    ) {
        let mut chars: Vec<char> = GOOD.chars().collect();
        for (at, with) in changes {
            chars[at] = with;
        }
        for source in [chars.iter().collect::<String>(), chars[..cut].iter().collect()] {
            let said = told(&source, ask_all);
            prop_assert!(said == "nothing wrong" || said.starts_with("error: "));
        }
    }

    /// Every place told lies in the file, on the line and column its bytes say.
    #[test]
    fn places_are_in_the_file(
        pieces in prop::collection::vec(prop::sample::select(vec![
            "title", "regulator", "outlet", "=", "[", "]", "[[", "]]", "\"11 inwc\"", "1", "é",
            "\n", "\r\n", " ", "#", "{", "}", ",", "'", ".", "appliance", "\u{1F525}",
        ]), 0..40),
    ) {
        let source = pieces.concat();
        let mistakes = Form::parse("x.toml", &source).and_then(|form| {
            ask_all(form.root());
            form.finish(())
        });
        if let Err(mistakes) = mistakes {
            prop_assert!(!mistakes.list.is_empty());
            for place in mistakes.list.iter().filter_map(|mistake| mistake.place.as_ref()) {
                let before = source.get(..place.span.start);
                prop_assert!(before.is_some_and(|text| text.matches('\n').count() + 1 == place.line));
                prop_assert!(source.get(place.span.clone()).is_some());
            }
        }
    }
}

/// A long list is not told whole: what shares a word with what was written, then its first names.
#[test]
fn of_a_long_list_the_nearest_are_told() {
    let names: Vec<String> = (0..40).map(|i| format!("word{i:02} thing")).collect();
    let mut list: Vec<(&str, u8)> = names.iter().map(|n| (n.as_str(), 0)).collect();
    list.push(("low flames", 1));
    let told = |list: &[(&str, u8)]| {
        let form = Form::parse("quiet.toml", "kind = \"surging flames\"").expect("read");
        assert!(form.root().choice("kind", list).optional().is_none());
        form.finish(()).expect_err("no such name").to_string()
    };
    let long = told(&list);
    assert!(
        long.contains("one of low flames, word00 thing, word01 thing"),
        "{long}"
    );
    assert!(
        long.contains("(41 in all)") && !long.contains("word20"),
        "{long}"
    );
    let short = told(&list[..12]);
    assert!(
        short.contains("word11 thing") && !short.contains("in all"),
        "{short}"
    );
}

/// One list too long gave a hundred "unknown key" besides: what stands under a refused table was not asked for.
#[test]
fn what_stands_under_a_refused_table_is_not_judged() {
    let many = "[[appliance]]\nname = \"a\"\nkind = \"cooktop\"\n".repeat(60);
    let said = told(&format!("{GOOD_HEAD}{many}"), ask_all);
    assert_eq!(said.matches("error:").count(), 1, "{said}");
    assert!(said.contains("there are 60 of `appliance`"), "{said}");
}

/// A wrong word that decides what else is asked leaves the rest unjudged, but for slips of the pen.
#[test]
fn what_stands_beside_a_refused_word_is_not_judged() {
    let ask = |root: TableReader<'_>| {
        if root
            .choice("of", &[("outlet", 1), ("inlet", 2)])
            .required()
            .is_some()
        {
            let _ = root.text("unit").required();
        }
        let _ = root.text("name").required();
    };
    let said = told("name = \"x\"\nof = \"outlett\"\nunit = \"inwc\"\n", ask);
    assert_eq!(said.matches("error:").count(), 1, "{said}");
    assert!(said.contains("try: \"outlet\""), "{said}");
    let said = told("name = \"x\"\nnmae = \"y\"\nof = \"outlett\"\n", ask);
    assert_eq!(said.matches("error:").count(), 2, "{said}");
}

/// A suggestion never turns a no into a yes.
#[test]
fn a_no_is_no_yes() {
    let ask = |root: TableReader<'_>| {
        let _ = root.boolean("gas_told").optional();
        let _ = root.choice("set", &[("on", 1), ("open", 2)]).optional();
    };
    for (written, help) in [
        ("gas_told = \"no\"", "try: gas_told = false"),
        ("gas_told = \"Yes\"", "try: gas_told = true"),
        ("gas_told = 3", "try: gas_told = true, or gas_told = false"),
        ("set = \"no\"", "try: one of on, open"),
        ("set = false", "try: one of on, open"),
    ] {
        let said = told(&format!("{written}\n"), ask);
        assert!(said.ends_with(help), "{written}: {said}");
    }
}

/// Some editors put a mark before a text: it is no part of it, whichever door it comes by.
#[test]
fn a_mark_before_a_text_is_no_part_of_it() {
    let name = format!("twostage-{}-mark.txt", std::process::id());
    let path = std::env::temp_dir().join(name);
    std::fs::write(&path, "\u{FEFF}Ada\nBo\n").expect("a folder for scratch files");
    let read = read_file(&path, 100);
    let _ = std::fs::remove_file(&path);
    assert_eq!(read.expect("readable"), "Ada\nBo\n");
}

/// A recorder's table is told as that, however long, and an empty file by what a shortest one holds.
#[test]
fn a_recorded_table_and_an_empty_file_are_told_as_that() {
    let name = format!("twostage-{}-log.csv", std::process::id());
    let path = std::env::temp_dir().join(name);
    let say = |text: &str| {
        std::fs::write(&path, text).expect("a folder for scratch files");
        let said = Form::load_like(&path, "one reading").expect_err("no TOML");
        let _ = std::fs::remove_file(&path);
        said.to_string()
    };
    let rows = "2026-11-01T00:00:00;27,50\n";
    for times in [3, 60_000] {
        let said = say(&rows.repeat(times));
        assert!(said.contains("a table of columns"), "{said}");
        assert!(said.contains("[lock_up]"), "{said}");
    }
    assert!(say("# nothing yet\n").ends_with("try: one reading"));
}
