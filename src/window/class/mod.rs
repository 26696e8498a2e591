//! A class in the window: pick a name, see one's own attempts and what to try next; for the instructor all attempts as
//! they grow. The folder is read on a thread of its own, every two seconds where something changed in it. What a class
//! is stands in the class room; the drills page carries out what is asked for here.

mod instructor;
pub mod live;
mod making;
mod trainee;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use egui::{Context, RichText, ScrollArea, TextEdit, Ui};

use self::making::Making;
use super::desk::Desk;
use crate::class::ClassFolder;
use crate::class::folder::Begun;
use crate::class::standing::{Person, Standing, standing};
use crate::drill::Drill;
use crate::drill::attempt::folder::Found;
use crate::form::read_file;
use crate::form::store::{user_data, write_file};
use crate::window::desk::browse::{Browse, NONE_HERE, Sought};
use crate::window::desk::work::Work;
use crate::window::look::theme::{Theme, main_button, plain, small, title};
use crate::window::platform::Since;

/// Between two looks at the folder.
const LOOK: Duration = Duration::from_secs(2);

/// Who sits at the window.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
enum Who {
    /// Nobody has said.
    #[default]
    Nobody,
    /// A trainee, by pseudonym.
    Trainee(String),
    /// The instructor.
    Instructor,
}

/// What was read of a class.
struct Read {
    class: ClassFolder,
    drills: Vec<(String, Arc<Drill>)>,
    standing: Standing,
    /// The last act of each attempt in words, by person.
    last: Vec<Vec<String>>,
    state: u64,
}

/// What the page wants of the drills page.
pub enum Wish {
    /// Nothing.
    Nothing,
    /// An attempt was begun or gone on with: whose it is, how it is told, and the drill.
    Work {
        /// File and name of the attempt.
        begun: Box<Begun>,
        /// Whose it is.
        name: String,
        /// The drill.
        drill: Arc<Drill>,
    },
    /// An attempt that may be gone through, and whose it is.
    GoThrough(Box<Found>, String),
}

/// What the page keeps.
#[derive(Default)]
pub struct ClassPage {
    path: String,
    folder: Option<PathBuf>,
    read: Option<Read>,
    reading: Option<Work<Option<Read>>>,
    looked: Option<Since>,
    who: Who,
    word: String,
    /// Whether the instructor's word was typed wrong.
    word_is_wrong: bool,
    /// Whether the folder was chosen here: then it is remembered.
    by_hand: bool,
    /// Whether the folder of last time was looked for.
    asked_before: bool,
    /// The system's dialog for the folder.
    browse: Browse,
    /// A class that is being made, or what is being put into one.
    making: Making,
    /// Why the folder cannot be read now.
    trouble: Option<String>,
    /// What else went wrong.
    said: Option<String>,
    /// What went well.
    told: Option<String>,
    /// Whether what ended is to be released although somebody is at work on it.
    although: bool,
}

/// Where the folder of the last class is kept.
fn last_class() -> Option<PathBuf> {
    Some(user_data()?.join("last_class.txt"))
}

/// Remembers the folder of a class. It is a convenience: where it cannot be kept it is typed again.
fn remember(folder: &Path) {
    let whole = std::path::absolute(folder).unwrap_or_else(|_| folder.to_owned());
    if let Some(file) = last_class() {
        let _ = write_file(&file, whole.display().to_string().as_bytes());
    }
}

/// The folder of the last class, if one is remembered.
fn remembered() -> Option<String> {
    let text = read_file(&last_class()?, MOST_PATH_BYTES).ok()?;
    Some(crate::units::plain(text.trim()))
}

/// Longest path that is remembered, bytes.
const MOST_PATH_BYTES: u64 = 4000;

/// What a folder holds now, if that is not the known state.
fn read(folder: &Path, known: Option<u64>) -> Result<Option<Read>, String> {
    let class = ClassFolder::open(folder).map_err(|e| e.to_string())?;
    let state = class.state();
    if known == Some(state) {
        return Ok(None);
    }
    let (drills, _) = class.all_drills();
    let tries = class.tries(None).map_err(|e| e.to_string())?;
    let standing = standing(&class.list, &drills, &tries);
    let words = |p: &Person| p.marked.iter().map(instructor::last_words).collect();
    Ok(Some(Read {
        last: standing.people.iter().map(words).collect(),
        class,
        drills,
        standing,
        state,
    }))
}

impl ClassPage {
    /// Whether a trainee sits at the window: then only what is theirs is shown.
    pub fn is_a_trainees(&self) -> bool {
        self.read.is_some() && self.who != Who::Instructor
    }

    /// Whether the folder is being read for the first time.
    pub fn busy(&self) -> bool {
        self.folder.is_some() && self.read.is_none() && self.trouble.is_none()
    }

    /// Opens a class.
    pub fn open(&mut self, folder: &Path) {
        *self = Self {
            path: folder.display().to_string(),
            folder: Some(folder.to_owned()),
            ..Self::default()
        };
    }

    /// Looks after the folder; call once a frame while the page is open.
    pub fn follow(&mut self, ctx: &Context) {
        if let Some(outcome) = self.reading.as_ref().and_then(Work::take) {
            self.reading = None;
            match outcome {
                Ok(Some(read)) => {
                    if std::mem::take(&mut self.by_hand) {
                        remember(read.class.place());
                    }
                    (self.read, self.trouble) = (Some(read), None);
                }
                Ok(None) => self.trouble = None,
                // What was read stays on show: the stick may only be away for a moment. A folder of which nothing was ever
                // read is asked for again.
                Err(why) => {
                    self.trouble = Some(why);
                    if self.read.is_none() {
                        self.folder = None;
                    }
                }
            }
        }
        let Some(folder) = self.folder.clone() else {
            return;
        };
        let is_due = self.looked.is_none_or(|l| l.elapsed() >= LOOK);
        if self.reading.is_none() && is_due {
            self.looked = Some(Since::now());
            let known = self.read.as_ref().map(|r| r.state);
            let wake = ctx.clone();
            match Work::begin(
                move || wake.request_repaint(),
                move |_| read(&folder, known),
            ) {
                Ok(work) => self.reading = Some(work),
                Err(why) => self.trouble = Some(why),
            }
        }
        ctx.request_repaint_after(LOOK);
    }

    /// Reads the folder again at once.
    fn look_now(&mut self) {
        self.looked = None;
    }

    /// An attempt of a trainee was ended or left: the next one at this window says a name again.
    pub fn ended(&mut self, name: &str, answered: bool) {
        self.who = Who::Nobody;
        self.told = Some(if answered {
            format!(
                "{name}: the answer is noted. The attempt opens with its marks when the instructor releases it"
            )
        } else {
            format!("{name}: left for now, every act is kept. Pick the name again to go on")
        });
        self.look_now();
    }

    /// Tells what went wrong.
    pub fn say(&mut self, why: String) {
        self.said = Some(why);
    }

    /// Name of the trainee who sits at the window.
    pub fn trainee(&self) -> Option<&str> {
        Some(&self.person()?.trainee.name)
    }

    fn person(&self) -> Option<&Person> {
        let (Who::Trainee(id), Some(read)) = (&self.who, &self.read) else {
            return None;
        };
        read.standing.people.iter().find(|p| p.trainee.id == *id)
    }

    /// Begins an attempt at a drill, or goes on with it.
    fn work(&mut self, drill: &str) -> Result<Wish, String> {
        let trainee = self
            .person()
            .map(|p| p.trainee.clone())
            .ok_or("Pick a name first")?;
        let read = self.read.as_mut().ok_or("The class is not read yet")?;
        let begun = read
            .class
            .begin(&trainee, drill)
            .map_err(|e| e.to_string())?;
        Ok(Wish::Work {
            drill: read.class.drill(drill).map_err(|e| e.to_string())?,
            name: trainee.name,
            begun: Box::new(begun),
        })
    }

    /// The sheet in the middle.
    pub fn sheet_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) -> Wish {
        let t = desk.theme;
        self.news_ui(ui, t);
        if self.folder.is_none() {
            ScrollArea::vertical()
                .id_salt("no class yet")
                .auto_shrink(false)
                .show(ui, |ui| self.open_ui(ui, t));
            return Wish::Nothing;
        }
        if self.read.is_none() {
            if self.trouble.is_none() {
                ui.label(RichText::new("Reading the class").color(t.soft));
            }
            return Wish::Nothing;
        }
        match self.who {
            Who::Nobody => {
                self.names_ui(ui, t);
                Wish::Nothing
            }
            Who::Trainee(_) => self.mine_ui(ui, t),
            Who::Instructor => self.instructor_ui(ui, t),
        }
    }

    fn news_ui(&self, ui: &mut Ui, t: &Theme) {
        if let Some(told) = &self.told {
            ui.label(RichText::new(told).font(plain(13.0)).color(t.good));
        }
        for said in [&self.trouble, &self.said].into_iter().flatten() {
            ui.add(egui::Label::new(RichText::new(said).monospace().color(t.danger)).wrap());
        }
    }

    fn open_ui(&mut self, ui: &mut Ui, t: &Theme) {
        if !self.asked_before {
            self.asked_before = true;
            if self.path.is_empty() {
                self.path = remembered().unwrap_or_default();
            }
        }
        let label = ui.label(title("The folder of a class", 14.0));
        let mut wanted = false;
        ui.horizontal(|ui| {
            let field = TextEdit::singleline(&mut self.path)
                .hint_text("folder on a stick or a shared drive")
                .desired_width((ui.available_width() - 240.0).clamp(120.0, 460.0));
            let field = ui.add(field).labelled_by(label.id);
            let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
            let ready = !self.path.trim().is_empty();
            wanted = ready
                && (ui
                    .add_enabled(ready, main_button(t, "Open the class"))
                    .clicked()
                    || entered);
            if let Some(folder) = self.browse.ui(ui, Sought::Folder, "the folder of a class") {
                self.path = folder.display().to_string();
                wanted = true;
            }
        });
        if self.browse.has_none {
            ui.label(small(t, NONE_HERE));
        }
        if wanted {
            let path = self.path.trim().to_owned();
            self.open(Path::new(&path));
            self.by_hand = true;
        }
        ui.label(small(
            t,
            "It holds the list of people, the drills and all attempts; several computers may have it open at once",
        ));
        ui.add_space(10.0);
        if let Some(folder) = self.making.new_ui(ui, t, self.path.is_empty()) {
            self.open(&folder);
            (self.by_hand, self.who) = (true, Who::Instructor);
        }
    }

    /// The right-hand column.
    pub fn column_ui(&mut self, ui: &mut Ui, desk: &Desk<'_>) {
        let t = desk.theme;
        let Some(read) = &self.read else {
            ui.label(RichText::new("No class is open").color(t.soft));
            return;
        };
        ui.label(title(&read.class.list.title, 15.0));
        ui.label(small(t, read.class.place().display().to_string()));
        ui.add_space(6.0);
        match self.who {
            Who::Nobody => self.word_ui(ui, t),
            Who::Trainee(_) => self.me_ui(ui, t),
            Who::Instructor => self.controls_ui(ui, t),
        }
        ui.add_space(8.0);
        ui.label(small(t, crate::report::class::NO_PROOF));
    }

    /// The way to the instructor's page, and out of the class.
    fn word_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let Some(read) = &self.read else { return };
        let words = if read.class.list.trainees.is_empty() {
            "There is no name to pick yet: the instructor's page puts people on the list"
        } else {
            "Pick your name at the left. You see your own attempts only"
        };
        ui.label(RichText::new(words).font(plain(12.5)));
        ui.add_space(10.0);
        let asks = read.class.list.word.is_some();
        let mut entered = false;
        if asks {
            let label = ui.label(title("The instructor's word", 13.0));
            let field = TextEdit::singleline(&mut self.word)
                .password(true)
                .desired_width(f32::INFINITY);
            let field = ui.add(field).labelled_by(label.id);
            entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
            self.word_is_wrong &= !field.changed();
        }
        if ui.button("Instructor's page").clicked() || entered {
            self.word_is_wrong = !read.class.list.is_word_right(&self.word);
            if !self.word_is_wrong {
                (self.who, self.said, self.told) = (Who::Instructor, None, None);
            }
            self.word.clear();
        }
        if self.word_is_wrong {
            let words = "This is not the word that the class was made with";
            ui.label(RichText::new(words).font(plain(12.5)).color(t.danger));
        }
        ui.add_space(4.0);
        if ui.button("Close the class").clicked() {
            *self = Self {
                path: read.class.place().display().to_string(),
                ..Self::default()
            };
        }
    }

    /// Opens a folder as somebody, for pictures and tests: `FOLDER`, `FOLDER as 3`, `FOLDER as instructor`.
    pub fn begin_named(&mut self, what: &str) {
        let (folder, who) = what.split_once(" as ").unwrap_or((what, ""));
        self.open(Path::new(folder));
        match read(Path::new(folder), None) {
            Ok(read) => self.read = read,
            Err(why) => (self.folder, self.trouble) = (None, Some(why)),
        }
        let Some(read) = &self.read else { return };
        self.who = match who {
            "instructor" => Who::Instructor,
            who => read
                .class
                .list
                .find(who)
                .map_or(Who::Nobody, |t| Who::Trainee(t.id.clone())),
        };
    }
}
