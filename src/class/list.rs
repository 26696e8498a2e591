//! `class.toml`: who is in a class and which drills it has. The names of people stand here and nowhere else in the folder;
//! everything else knows them by a pseudonym. Not here: where the file lies and what else is beside it.

use super::name::{DRILL_CHARS, is_word, random_word};
use crate::form::{Form, Mistakes, TableReader, fnv1a};
use crate::units::nearest;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// Version of the file.
const FORMAT: i64 = 1;
/// Longest name of a person or a class, characters.
pub const NAME_CHARS: usize = 60;
/// Most people and most drills of a class.
const MOST: usize = 1000;
/// Of 100 marks, those from which an attempt counts as a success.
pub const USUAL_PASS: f64 = 70.0;

/// One person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trainee {
    /// Number on the list.
    pub number: u32,
    /// Name.
    pub name: String,
    /// Pseudonym, which files carry.
    pub id: String,
}

/// Who is in a class, and its drills.
#[derive(Debug, Clone, PartialEq)]
pub struct ClassList {
    /// Name of the class.
    pub title: String,
    /// Random word of this class alone.
    pub id: String,
    /// Of 100 marks, those from which an attempt counts as a success.
    pub pass: f64,
    /// The instructor's word, hashed, where one was chosen.
    pub word: Option<String>,
    /// Short names of the drills in their order; each is a file of that name in `drills`.
    pub drills: Vec<String>,
    /// Whether what comes next follows that order, which the instructor gave, and not what each can.
    pub in_order: bool,
    /// People, by their numbers.
    pub trainees: Vec<Trainee>,
}

/// Somebody or something that is not in the class: what is wrong and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("error: {what}\n  try: {help}")]
pub struct NotThere {
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub help: String,
}

impl NotThere {
    /// The same with the place where it was said: a line of a file, an option.
    #[must_use]
    pub fn at(mut self, place: &str) -> Self {
        let _ = write!(self.what, "\n  {place}");
        self
    }
}

/// Whether this can be a person's or a class's name.
pub fn is_name(text: &str) -> bool {
    let text = text.trim();
    !text.is_empty() && text.chars().count() <= NAME_CHARS && !text.chars().any(char::is_control)
}

/// Whether this can be the short name of a drill of a class: a plain file's.
pub fn is_drill_name(text: &str) -> bool {
    let plain = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | ' ');
    (1..=DRILL_CHARS).contains(&text.len()) && text.chars().all(plain) && !text.starts_with('.')
}

impl ClassList {
    /// A class without people.
    pub fn new(title: &str) -> Self {
        Self {
            title: title.trim().to_owned(),
            id: random_word(),
            pass: USUAL_PASS,
            word: None,
            drills: Vec::new(),
            in_order: false,
            trainees: Vec::new(),
        }
    }

    /// Puts a person on the list, with the next number and a pseudonym of their own.
    ///
    /// # Errors
    /// That it is no name, or is on the list.
    pub fn add(&mut self, name: &str) -> Result<&Trainee, NotThere> {
        let refuse = |what: String, help: &str| NotThere {
            what,
            help: help.to_owned(),
        };
        let name = name.trim();
        if !is_name(name) {
            let help = format!("1 to {NAME_CHARS} letters");
            return Err(refuse("this is no name".to_owned(), &help));
        }
        if self
            .trainees
            .iter()
            .any(|t| t.name.to_lowercase() == name.to_lowercase())
        {
            let what = format!("`{name}` is on the list");
            return Err(refuse(what, "another letter of the surname with it"));
        }
        if self.trainees.len() >= MOST {
            let what = format!("a class has at most {MOST} people");
            return Err(refuse(what, "a second class"));
        }
        let number = 1 + self.trainees.iter().map(|t| t.number).max().unwrap_or(0);
        self.trainees.push(Trainee {
            number,
            name: name.to_owned(),
            id: format!("t{}", random_word()),
        });
        Ok(&self.trainees[self.trainees.len() - 1])
    }

    /// A person by number, by name, or by a first name that nobody else has.
    ///
    /// # Errors
    /// That nobody is called so, with whoever comes near; or that several are.
    pub fn find(&self, who: &str) -> Result<&Trainee, NotThere> {
        let who = who.trim();
        let number = who.parse::<u32>().ok();
        let wanted = who.to_lowercase();
        let named = |t: &&Trainee| Some(t.number) == number || t.name.to_lowercase() == wanted;
        if let Some(found) = self.trainees.iter().find(named) {
            return Ok(found);
        }
        let first = |t: &&Trainee| t.name.to_lowercase().split_whitespace().next() == Some(&wanted);
        let short: String = who.chars().take(NAME_CHARS).collect();
        match self.trainees.iter().filter(first).collect::<Vec<_>>()[..] {
            [one] => Ok(one),
            [] => {
                let near = nearest(who, self.trainees.iter().map(|t| t.name.as_str()));
                Err(NotThere {
                    what: format!("nobody in this class is called or numbered `{short}`"),
                    help: near.map_or_else(
                        || {
                            "a number or a name of the class list; `twostage class list` shows it"
                                .to_owned()
                        },
                        |n| format!("`{n}`"),
                    ),
                })
            }
            [first, second, ..] => Err(NotThere {
                what: format!("more than one in this class is called `{short}`"),
                help: format!(
                    "a number or a whole name: {} is `{}`, {} is `{}`",
                    first.number, first.name, second.number, second.name
                ),
            }),
        }
    }

    /// Who has this pseudonym.
    pub fn of_id(&self, id: &str) -> Option<&Trainee> {
        self.trainees.iter().find(|t| t.id == id)
    }

    /// Chooses the instructor's word. It keeps an eye from straying, no more: whoever has the folder can read all of it.
    pub fn choose_word(&mut self, word: &str) {
        self.word = Some(self.hashed(word));
    }

    /// Whether this is the instructor's word; any is, where none was chosen.
    pub fn is_word_right(&self, word: &str) -> bool {
        self.word.as_ref().is_none_or(|w| *w == self.hashed(word))
    }

    fn hashed(&self, word: &str) -> String {
        format!(
            "{:016x}",
            fnv1a(format!("{}\n{}", self.id, word.trim()).as_bytes())
        )
    }

    /// Reads the text of a class list; `file` is what messages call it.
    ///
    /// # Errors
    /// Every mistake in it.
    pub fn read(file: &str, source: &str) -> Result<Self, Mistakes> {
        let form = Form::parse(file, source)?;
        let root = form.root();
        let format = root
            .integer("format")
            .between(1..=FORMAT)
            .required_or(FORMAT);
        let _ = format;
        let list = Self {
            title: root
                .text("class")
                .not_empty()
                .at_most_chars(NAME_CHARS)
                .required_or(String::new()),
            id: word_of(&root, "id"),
            pass: root.number("pass").between(0.0..=100.0).or(USUAL_PASS),
            word: root.text("word").at_most_chars(40).optional(),
            drills: drills_of(&root),
            in_order: root.boolean("in_order").or(false),
            trainees: trainees_of(&root),
        };
        form.finish(list)
    }

    /// The text of the file.
    pub fn to_toml(&self) -> String {
        let text = |s: &str| toml::Value::String(s.to_owned()).to_string();
        let mut out = String::from(
            "# A class of fault drills, kept by `twostage class`. The names of people stand here and nowhere else in this\n\
             # folder: attempts and reports for others carry the `id` of a person. Numbers and names may be changed by hand;\n\
             # an `id` may not, or its attempts are nobody's. Drills stand in their order, each a file in `drills`;\n\
             # with `in_order` it is the order in which they come next, without it that follows from what each can.\n",
        );
        let _ = writeln!(out, "format = {FORMAT}");
        let _ = writeln!(out, "class = {}", text(&self.title));
        let _ = writeln!(out, "id = {}", text(&self.id));
        let _ = writeln!(out, "pass = {}", self.pass);
        let _ = writeln!(out, "in_order = {}", self.in_order);
        if let Some(word) = &self.word {
            let _ = writeln!(out, "word = {}", text(word));
        }
        out.push_str("drills = [\n");
        for drill in &self.drills {
            let _ = writeln!(out, "  {},", text(drill));
        }
        out.push_str("]\n");
        for t in &self.trainees {
            let _ = writeln!(
                out,
                "\n[[trainee]]\nnumber = {}\nname = {}\nid = {}",
                t.number,
                text(&t.name),
                text(&t.id)
            );
        }
        out
    }
}

fn word_of(table: &TableReader<'_>, key: &str) -> String {
    let sound = |word: &String| {
        if is_word(word) {
            return Ok(());
        }
        let what = format!("`{key}` is no word that names of files can carry");
        Err((
            what,
            "small letters and digits, 1 to 32, as `twostage class` made it".to_owned(),
        ))
    };
    table.text(key).check(sound).required_or(String::new())
}

fn drills_of(root: &TableReader<'_>) -> Vec<String> {
    let drills = root.texts("drills").or(Vec::new());
    let mut seen = BTreeSet::new();
    for drill in &drills {
        if !is_drill_name(drill) {
            let what = "`drills` has a name that no file of a drill has";
            root.complain(
                "drills",
                what,
                "letters, digits, `_` and `-`, without `.toml`",
            );
        } else if !seen.insert(drill.to_lowercase()) {
            root.complain("drills", format!("`{drill}` stands there twice"), "it once");
        }
    }
    drills
}

fn trainees_of(root: &TableReader<'_>) -> Vec<Trainee> {
    let tables = root.tables("trainee").count(0..=MOST).or(Vec::new());
    let (mut ids, mut numbers) = (BTreeSet::new(), BTreeSet::new());
    let mut out: Vec<Trainee> = Vec::new();
    for table in &tables {
        let trainee = Trainee {
            number: table
                .integer("number")
                .between(1..=1_000_000)
                .required_or(0) as u32,
            name: table
                .text("name")
                .not_empty()
                .at_most_chars(NAME_CHARS)
                .required_or(String::new()),
            id: word_of(table, "id"),
        };
        if trainee.number > 0 && !numbers.insert(trainee.number) {
            let what = format!("two people have the number {}", trainee.number);
            table.complain("number", what, "a number that nobody has");
        }
        if !trainee.id.is_empty() && !ids.insert(trainee.id.clone()) {
            let what = "two people have the same `id`: their attempts would be mixed up";
            table.complain(
                "id",
                what,
                "`twostage class add`, which gives each one of their own",
            );
        }
        out.push(trainee);
    }
    out.sort_by_key(|t| t.number);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_read_back_and_finds_people_by_number_and_name() {
        let mut list = ClassList::new("Friday \"evening\"");
        list.drills = vec!["the_new_bottle".to_owned(), "my drill".to_owned()];
        for name in ["Ada L.", "Bo", "Zoë ½"] {
            list.add(name).expect("a name");
        }
        list.choose_word("kettle");
        let again = ClassList::read("class.toml", &list.to_toml()).expect("as written");
        assert_eq!(again, list);
        assert_eq!(again.find("2").expect("there").name, "Bo");
        assert_eq!(again.find("zoë ½").expect("there").number, 3);
        let told = again.find("Ado L.").expect_err("nobody").to_string();
        assert!(told.contains("`Ada L.`"), "{told}");
        // A first name does where one person has it.
        list.add("Bo Zed").expect("a name");
        assert_eq!(list.find("ada").expect("the only one").number, 1);
        assert_eq!(list.find("bo").expect("a whole name").number, 2);
        list.add("Ada M.").expect("a name");
        let told = list.find("Ada").expect_err("two").to_string();
        assert!(told.contains("5 is `Ada M.`"), "{told}");
        assert!(list.add("bo").is_err() && list.add("\u{7}").is_err());
        assert!(again.is_word_right(" kettle ") && !again.is_word_right(""));
        assert!(!list.to_toml().contains("kettle"));
    }

    #[test]
    fn what_would_mix_people_up_is_refused() {
        let head = "format = 1\nclass = \"A\"\nid = \"c1\"\n";
        let two = |a: &str, b: &str| format!("{head}[[trainee]]\n{a}\n[[trainee]]\n{b}\n");
        let ada = "number = 1\nname = \"Ada\"\nid = \"t1\"";
        for (bad, words) in [
            (
                two(ada, "number = 1\nname = \"Bo\"\nid = \"t2\""),
                "number 1",
            ),
            (
                two(ada, "number = 2\nname = \"Bo\"\nid = \"t1\""),
                "mixed up",
            ),
            (two(ada, "number = 2\nname = \"Bo\"\nid = \"../x\""), "`id`"),
            (format!("{head}drills = [\"../../x\"]\n"), "`drills`"),
            (format!("{head}drills = [\"a\", \"A\"]\n"), "twice"),
            (
                "format = 2\nclass = \"A\"\nid = \"c\"\n".to_owned(),
                "format",
            ),
        ] {
            let told = ClassList::read("class.toml", &bad)
                .expect_err(&bad)
                .to_string();
            assert!(told.contains(words), "{words}: {told}");
        }
    }
}
