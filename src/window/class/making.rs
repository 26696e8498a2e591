//! Making a class in the window, and putting people and drills into one: names a line each, drills in the order in which
//! they are to be tried. The folder itself is the class room's.

use std::path::{Path, PathBuf};

use egui::{CollapsingHeader, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use crate::class::folder::NewDrill;
use crate::class::name::AttemptName;
use crate::class::standing::Drills;
use crate::class::{ClassFolder, ClassList};
use crate::drill::Drill;
use crate::drill::making::shipped;
use crate::report::class::{lacks, title as title_of};
use crate::report::telling::count;
use crate::window::desk::browse::{Browse, NONE_HERE, Sought};
use crate::window::look::pieces::named;
use crate::window::look::theme::{Theme, main_button, plain, quiet, small, strong, title};

/// Height of the list of shipped drills \[points\].
const LIST: f32 = 190.0;
/// Longest line that is typed \[points\].
const WIDE: f32 = 460.0;

/// What is put down about a class.
#[derive(Default)]
pub struct Making {
    title: String,
    place: String,
    word: String,
    names: String,
    /// Short names of shipped drills or files, in their order.
    drills: Vec<String>,
    own: String,
    /// Of own drills the path with title and level.
    own_titles: Vec<(String, String)>,
    /// Dialogs for the folder and for a drill.
    browse: [Browse; 2],
    /// Shipped drills: short name, title, level. Read when first asked for.
    shipped: Vec<(&'static str, String, u8)>,
    said: Option<String>,
}

/// Names as they were typed, a line each.
fn names_of(text: &str) -> impl Iterator<Item = &str> {
    text.lines().map(str::trim).filter(|l| !l.is_empty())
}

/// Makes a class of what was typed.
fn make(
    place: &Path,
    name: &str,
    word: &str,
    names: &str,
    drills: &[String],
) -> Result<(), String> {
    if !crate::class::list::is_name(name) {
        return Err(format!(
            "The class needs a name, 1 to {} letters",
            crate::class::list::NAME_CHARS
        ));
    }
    let mut list = ClassList::new(name);
    if !word.trim().is_empty() {
        list.choose_word(word);
    }
    list.in_order = drills.len() > 1;
    let drills = gather(&mut list, names, drills)?;
    ClassFolder::make(place, list, &drills)
        .map(|_| ())
        .map_err(|e| e.to_string())
}

/// Puts the people on the list, and fetches the drills: nothing is written yet.
fn gather(list: &mut ClassList, names: &str, drills: &[String]) -> Result<Vec<NewDrill>, String> {
    for name in names_of(names) {
        list.add(name).map_err(|e| e.to_string())?;
    }
    NewDrill::fetch_all(list, drills).map_err(|e| e.to_string())
}

/// Puts people and drills into a class that is there; what came of it.
fn put_in(class: &mut ClassFolder, names: &str, drills: &[String]) -> Result<String, String> {
    class.look_again().map_err(|e| e.to_string())?;
    let was = class.list.clone();
    let added = gather(&mut class.list, names, drills)
        .and_then(|new| class.take_in(&new).map_err(|e| e.to_string()));
    match added {
        Ok(()) => Ok(format!(
            "{} and {} put in",
            count(class.list.trainees.len() - was.trainees.len(), "person")
                .replace("persons", "people"),
            count(class.list.drills.len() - was.drills.len(), "drill")
        )),
        Err(why) => {
            class.list = was;
            Err(why)
        }
    }
}

/// Takes a drill, by its short name, or a person, by the pseudonym, out of a class: as long as nothing was tried of it or by
/// them, since attempts without a drill or a person count for nothing.
fn take_out(class: &mut ClassFolder, which: &Which) -> Result<(), String> {
    class.look_again().map_err(|e| e.to_string())?;
    let tries = class.tries(None).map_err(|e| e.to_string())?;
    let is_of = |n: &AttemptName| match which {
        Which::Drill(name) => n.drill == *name,
        Which::Person(id) => n.trainee == *id,
    };
    if tries.all.iter().any(|t| is_of(&t.name)) {
        return Err(match which {
            Which::Drill(_) => "This drill was tried already, and stays with its attempts",
            Which::Person(_) => "There are attempts under this name, and it stays with them",
        }
        .to_owned());
    }
    match which {
        Which::Drill(name) => class.list.drills.retain(|d| d != name),
        Which::Person(id) => class.list.trainees.retain(|t| t.id != *id),
    }
    class.save().map_err(|e| e.to_string())
}

/// What is taken out.
enum Which {
    /// A drill, by its short name.
    Drill(String),
    /// A person, by the pseudonym.
    Person(String),
}

/// Moves a drill of a class one place up.
fn move_up(class: &mut ClassFolder, name: &str) -> Result<(), String> {
    class.look_again().map_err(|e| e.to_string())?;
    if let Some(i) = class.list.drills.iter().position(|d| d == name)
        && i > 0
    {
        class.list.drills.swap(i - 1, i);
        // Whoever gives an order wants it followed.
        class.list.in_order = true;
        class.save().map_err(|e| e.to_string())?;
    }
    Ok(())
}

/// What the next drill follows from: the order of the class, or what each can.
fn follow_order(class: &mut ClassFolder, order: bool) -> Result<(), String> {
    class.look_again().map_err(|e| e.to_string())?;
    class.list.in_order = order;
    class.save().map_err(|e| e.to_string())
}

impl Making {
    /// The form for a new class, open at first where there is none yet; its folder, once it was made.
    pub fn new_ui(&mut self, ui: &mut Ui, t: &Theme, open: bool) -> Option<PathBuf> {
        let head = RichText::new("Make a class").font(strong(14.0));
        let form = CollapsingHeader::new(head).id_salt("make a class");
        let form = form.default_open(open);
        form.show(ui, |ui| {
            let label = ui.label(title("Name of the class", 13.0));
            line_ui(ui, &mut self.title, "Friday evening", label.id);
            let label = ui.label(title("Its folder, new or empty", 13.0));
            ui.horizontal(|ui| {
                line_ui(
                    ui,
                    &mut self.place,
                    "on a stick or a shared drive",
                    label.id,
                );
                let picked = self.browse[0].ui(ui, Sought::Folder, "the folder of the new class");
                if let Some(folder) = picked {
                    self.place = folder.display().to_string();
                }
            });
            let label = ui.label(title("The instructor's word, if you want one", 13.0));
            line_ui(
                ui,
                &mut self.word,
                "it keeps eyes from straying, no more",
                label.id,
            );
            self.fill_ui(ui, t);
            let ready = !self.title.trim().is_empty() && !self.place.trim().is_empty();
            if self.drills.is_empty() {
                ui.label(small(
                    t,
                    "No drill is ticked: nobody can try one before you put some in",
                ));
            }
            // Over the button, which may stand at the lower edge of the page.
            self.said_ui(ui, t);
            let button = ui.add_enabled(ready, main_button(t, "Make the class"));
            if !button.clicked() {
                return None;
            }
            let place = PathBuf::from(self.place.trim());
            match make(&place, &self.title, &self.word, &self.names, &self.drills) {
                Ok(()) => Some(place),
                Err(why) => {
                    self.said = Some(why);
                    None
                }
            }
        })
        .body_returned
        .flatten()
    }

    /// The form for more people and drills, and the order of the drills; what was done, where something was.
    pub fn more_ui(
        &mut self,
        ui: &mut Ui,
        t: &Theme,
        (class, drills): (&mut ClassFolder, &Drills),
    ) -> Option<String> {
        let head = RichText::new("People and drills of the class").font(strong(13.0));
        let form = CollapsingHeader::new(head).id_salt("more of a class");
        // Where it is told what the class lacks, the form for it stands open.
        let form = form.default_open(!lacks(&class.list).is_empty());
        form.show(ui, |ui| {
            let mut told = None;
            let (mut up, mut out) = (None, None);
            ui.label(title("People on the list", 13.0));
            for person in &class.list.trainees {
                ui.horizontal(|ui| {
                    if named(ui, "Take out", &format!("Take out: {}", person.name)) {
                        out = Some((Which::Person(person.id.clone()), person.name.clone()));
                    }
                    ui.label(small(t, format!("{:>2}", person.number)));
                    name_ui(ui, &person.name);
                });
            }
            ui.label(title("Drills, in their order", 13.0));
            let mut order = class.list.in_order;
            let words = "What comes next follows this order, and not what each can";
            if ui.checkbox(&mut order, words).changed() {
                match follow_order(class, order) {
                    Ok(()) if order => told = Some("What comes next follows the order".to_owned()),
                    Ok(()) => told = Some("What comes next follows what each can".to_owned()),
                    Err(why) => self.said = Some(why),
                }
            }
            for (i, name) in class.list.drills.iter().enumerate() {
                ui.horizontal(|ui| {
                    let words = title_of(drills, name);
                    let button = ui.add_enabled(i > 0, quiet("Up"));
                    button.widget_info(|| {
                        WidgetInfo::labeled(Role::Button, i > 0, format!("Up: {name}"))
                    });
                    if button.clicked() {
                        up = Some(name.clone());
                    }
                    if named(ui, "Take out", &format!("Take out: {words}")) {
                        out = Some((Which::Drill(name.clone()), words.to_owned()));
                    }
                    ui.label(small(t, format!("{:>2}", i + 1)));
                    name_ui(ui, words);
                });
            }
            if let Some((which, words)) = out {
                match take_out(class, &which) {
                    Ok(()) => told = Some(format!("{words} taken out")),
                    Err(why) => self.said = Some(why),
                }
            }
            if let Some(name) = up {
                match move_up(class, &name) {
                    Ok(()) => told = Some(format!("{} moved up", title_of(drills, &name))),
                    Err(why) => self.said = Some(why),
                }
            }
            self.fill_ui(ui, t);
            let ready = names_of(&self.names).next().is_some() || !self.drills.is_empty();
            self.said_ui(ui, t);
            let clicked = ui
                .add_enabled(ready, main_button(t, "Put them in"))
                .clicked();
            if clicked {
                match put_in(class, &self.names, &self.drills) {
                    Ok(done) => {
                        *self = Self::default();
                        told = Some(done);
                    }
                    Err(why) => self.said = Some(why),
                }
            }
            told
        })
        .body_returned
        .flatten()
    }

    fn said_ui(&self, ui: &mut Ui, t: &Theme) {
        if let Some(said) = &self.said {
            ui.label(RichText::new(said).font(plain(12.5)).color(t.danger));
        }
        if self.browse.iter().any(|b| b.has_none) {
            ui.label(small(t, NONE_HERE));
        }
    }

    /// People and drills, as both forms ask for them.
    fn fill_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let label = ui.label(title("People, a name on each line", 13.0));
        let names = TextEdit::multiline(&mut self.names)
            .desired_rows(4)
            .desired_width(WIDE.min(ui.available_width()));
        ui.add(names).labelled_by(label.id);
        ui.label(title(
            "Drills, in the order in which you tick them: so they come next",
            13.0,
        ));
        self.shipped_ui(ui);
        let label = ui.label(small(t, "and sealed ones of your own"));
        ui.horizontal_wrapped(|ui| {
            line_ui(ui, &mut self.own, "path of a sealed drill file", label.id);
            let ready = !self.own.trim().is_empty();
            let mut one = None;
            if ui
                .add_enabled(ready, egui::Button::new("Take it"))
                .clicked()
            {
                one = Some(std::mem::take(&mut self.own).trim().to_owned());
            }
            if let Some(path) = self.browse[1].ui(ui, Sought::Drill, "a sealed drill") {
                one = Some(path.display().to_string());
            }
            if let Some(one) = one.filter(|one| !self.drills.contains(one)) {
                self.take(one);
            }
        });
        self.order_ui(ui, t);
    }

    /// Takes a drill of one's own, if there is one.
    fn take(&mut self, path: String) {
        match title_of_file(&path) {
            Ok(title) => {
                self.said = None;
                self.own_titles.push((path.clone(), title));
                self.drills.push(path);
            }
            Err(why) => {
                self.said = Some(why);
                self.own = path;
            }
        }
    }

    fn shipped_ui(&mut self, ui: &mut Ui) {
        if self.shipped.is_empty() {
            // A test reads them all; were one not to be read, none would be offered.
            let all = shipped::easy_to_hard().unwrap_or_default();
            let of = |(id, d): (&'static str, crate::drill::Drill)| {
                let level = d.worked.as_ref().map_or(0, |w| w.difficulty.level());
                (id, d.title, level)
            };
            self.shipped = all.into_iter().map(of).collect();
        }
        let drills = &mut self.drills;
        ScrollArea::vertical()
            .id_salt("shipped drills for a class")
            .max_height(LIST)
            .show(ui, |ui| {
                // Title and level in one text, which is broken into lines where the column is narrow.
                for (id, name, level) in &self.shipped {
                    let mut on = drills.iter().any(|d| d == id);
                    let words = RichText::new(format!("{name}, level {level}"));
                    if ui.checkbox(&mut on, words.font(plain(12.5))).changed() {
                        drills.retain(|d| d != id);
                        if on {
                            drills.push((*id).to_owned());
                        }
                    }
                }
            });
    }

    /// What was chosen so far.
    fn order_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let mut out = None;
        for (i, name) in self.drills.iter().enumerate() {
            ui.horizontal(|ui| {
                let known = self.shipped.iter().find(|s| s.0 == name);
                let own = self.own_titles.iter().find(|o| o.0 == *name);
                let words = known.map(|s| s.1.as_str()).or(own.map(|o| o.1.as_str()));
                let words = words.unwrap_or(name);
                if named(ui, "Leave it out", &format!("Leave it out: {words}")) {
                    out = Some(i);
                }
                ui.label(small(t, format!("{:>2}", i + 1)));
                name_ui(ui, words);
            });
        }
        if let Some(i) = out {
            self.drills.remove(i);
        }
    }
}

/// Title, level and kind of a sealed drill.
fn title_of_file(path: &str) -> Result<String, String> {
    let drill = Drill::load(Path::new(path)).map_err(|e| e.to_string())?;
    let level = drill.worked.as_ref().map(|w| w.difficulty.level());
    let level = level.map_or_else(String::new, |l| format!(", level {l}"));
    let kind = if drill.exam { ", exam" } else { "" };
    Ok(format!("{}{level}{kind}", drill.title))
}

/// A name or title of a row, at its end: what does not fit is broken into lines, so that it pushes nothing off the page.
fn name_ui(ui: &mut Ui, words: &str) {
    let words = RichText::new(words).font(plain(12.5));
    ui.add(egui::Label::new(words).wrap());
}

fn line_ui(ui: &mut Ui, text: &mut String, hint: &str, label: egui::Id) {
    let wide = (ui.available_width() - 170.0).clamp(120.0, WIDE);
    let field = TextEdit::singleline(text)
        .hint_text(hint)
        .desired_width(wide);
    ui.add(field).labelled_by(label);
}

#[cfg(test)]
mod tests {
    use super::{Making, Which, follow_order, make, move_up, put_in, take_out};
    use crate::class::ClassFolder;

    /// A drill that is not there is told at once, and its path stays to be mended.
    #[test]
    fn a_drill_that_is_not_there_is_not_taken() {
        let mut making = Making::default();
        making.take("no-such-drill.toml".to_owned());
        assert!(making.drills.is_empty());
        assert_eq!(making.own, "no-such-drill.toml");
        let said = making.said.expect("told");
        assert!(said.contains("no-such-drill.toml"), "{said}");
    }

    #[test]
    fn a_class_is_made_and_added_to_as_by_command() {
        let place = std::env::temp_dir().join(format!("twostage-making-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&place);
        let drills = ["since_the_rain", "after_the_ford"].map(str::to_owned);
        make(&place, " ", "", "Ada", &drills).expect_err("it has no name");
        make(&place, "Friday", "", "Ada\nada", &drills).expect_err("one name twice");
        assert!(!place.exists(), "nothing is left of what was refused");
        make(
            &place,
            "Friday",
            "plum",
            "Ada Reed\n\n  Ben Moss \n",
            &drills,
        )
        .expect("made");
        make(&place, "Friday", "", "", &[]).expect_err("something is in it");
        let mut class = ClassFolder::open(&place).expect("it is there");
        assert!(class.list.is_word_right("plum") && !class.list.is_word_right("pear"));
        let more = ["the_new_bottle".to_owned()];
        put_in(&mut class, "Ada Reed", &more).expect_err("she is on the list");
        assert_eq!(class.list.drills.len(), 2);
        let done = put_in(&mut class, "Cy Lund", &more).expect("put in");
        assert_eq!(done, "1 person and 1 drill put in");
        assert!(class.list.in_order, "two were ticked, in an order");
        follow_order(&mut class, false).expect("by what each can");
        assert!(!ClassFolder::open(&place).expect("there").list.in_order);
        move_up(&mut class, "the_new_bottle").expect("moved");
        assert!(ClassFolder::open(&place).expect("there").list.in_order);
        let there = ClassFolder::open(&place).expect("still there").list;
        let names: Vec<_> = there.trainees.iter().map(|t| t.name.as_str()).collect();
        assert_eq!(names, ["Ada Reed", "Ben Moss", "Cy Lund"]);
        assert_eq!(
            there.drills,
            ["since_the_rain", "the_new_bottle", "after_the_ford"]
        );
        // What nothing was tried of goes again.
        take_out(&mut class, &Which::Drill("the_new_bottle".to_owned())).expect("taken out");
        let cy = class.list.find("Cy Lund").expect("on the list").id.clone();
        take_out(&mut class, &Which::Person(cy)).expect("taken out");
        let there = ClassFolder::open(&place).expect("still there").list;
        assert_eq!(there.drills, ["since_the_rain", "after_the_ford"]);
        assert_eq!(there.trainees.len(), 2);
        std::fs::remove_dir_all(&place).expect("put away");
    }
}
