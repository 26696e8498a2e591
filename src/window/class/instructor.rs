//! The instructor's side: everyone's attempts as they grow, releasing them, writing the reports.

use egui::{Grid, RichText, ScrollArea, Ui};

use super::{ClassPage, Read, Who, Wish};
use crate::class::name::AttemptName;
use crate::class::standing::{Marked, Person, Reader};
use crate::drill::Act;
use crate::drill::attempt::rig_of;
use crate::form::store::{os_words, write_file};
use crate::report::class::{
    advice, drill_words, files, free_and_held, lacks, outcome, still_open, titles_of,
};
use crate::report::drills::done_and_said;
use crate::report::telling::{self, of_another_build};
use crate::window::look::pieces::named;
use crate::window::look::theme::{Theme, plain, quiet, small, strong, title};

/// What is asked for in a row.
enum Asked {
    Release(AttemptName),
    Through(usize, usize),
}

impl ClassPage {
    /// All attempts.
    pub(super) fn instructor_ui(&mut self, ui: &mut Ui, t: &Theme) -> Wish {
        let Some(read) = &self.read else {
            return Wish::Nothing;
        };
        let mut asked = None;
        let all = read.standing.people.iter().flat_map(|p| &p.marked);
        let under_way = all.clone().filter(|m| !m.is_ended()).count();
        let head = format!(
            "{}, {under_way} under way",
            telling::count(all.count(), "attempt")
        );
        ui.label(title(head, 14.0));
        for told in lacks(&read.class.list) {
            ui.label(RichText::new(told).font(plain(12.5)).color(t.danger));
        }
        let room = ui.available_width();
        ScrollArea::both().id_salt("class").auto_shrink(false).show(ui, |ui| {
            let right = ui.max_rect().left() + room;
            Grid::new("class").num_columns(8).spacing([if room < NARROW { 8.0 } else { 16.0 }, 4.0]).striped(true).show(ui, |ui| {
                for head in ["who", "begun", "drill", "", "acts", "of 100", "unsafe", "last act, or what was said"] {
                    ui.label(small(t, head));
                }
                ui.end_row();
                for (p, person) in read.standing.people.iter().enumerate() {
                    if let Some(one) = person_ui(ui, t, (p, person), read, right) {
                        asked = Some(one);
                    }
                }
            });
            if read.standing.clock_is_wrong {
                ui.label(small(t, "The clock of some computer was wrong; attempts stand in the order in which they were begun"));
            }
            let drills = read.drills.iter().map(|(_, d)| (d.title.as_str(), &**d));
            if let Some(told) = of_another_build(drills) {
                ui.label(small(t, format!("Drills {told}")));
            }
            for why in &read.standing.left_out {
                ui.label(small(t, format!("Left out: {why}")));
            }
        });
        match asked {
            Some(Asked::Release(name)) => self.release_one(name),
            Some(Asked::Through(p, i)) => {
                let found = self.read.as_ref().and_then(|r| {
                    let person = r.standing.people.get(p)?;
                    Some((
                        person.marked.get(i)?.of.found.clone(),
                        person.trainee.name.clone(),
                    ))
                });
                if let Some((found, name)) = found {
                    return Wish::GoThrough(Box::new(found), name);
                }
            }
            None => {}
        }
        Wish::Nothing
    }

    /// One attempt, unless somebody is at work on its drill and it was not said that it is released all the same.
    fn release_one(&mut self, name: AttemptName) {
        let Some(read) = &self.read else { return };
        let (free, held) = free_and_held(&read.standing.people, std::slice::from_ref(&name));
        match still_open(&read.standing.people, &held).at_work {
            Some(at_work) if free.is_empty() && !self.although => {
                self.said = Some(format!(
                    "Not released, for its answer could be heard. {at_work}"
                ));
            }
            _ => self.release(&[name]),
        }
    }

    fn release(&mut self, names: &[AttemptName]) {
        let Some(read) = &self.read else { return };
        let done = names.iter().try_for_each(|n| read.class.release(n));
        match done {
            Ok(()) => {
                self.said = None;
                self.told = Some(format!(
                    "{} released",
                    telling::count(names.len(), "attempt")
                ));
            }
            Err(e) => self.said = Some(e.to_string()),
        }
        self.look_now();
    }

    /// What the instructor can do with all of it.
    pub(super) fn controls_ui(&mut self, ui: &mut Ui, t: &Theme) {
        let Some(read) = &self.read else { return };
        let ended: Vec<AttemptName> = read
            .standing
            .people
            .iter()
            .flat_map(|p| &p.marked)
            .filter(|m| m.is_ended() && !m.of.released)
            .map(|m| m.of.name.clone())
            .collect();
        let open = still_open(&read.standing.people, &ended);
        let (free, held) = free_and_held(&read.standing.people, &ended);
        // It cannot be taken back, so who could be told the answer stands before it.
        for words in open.lines() {
            ui.label(RichText::new(words).font(plain(12.0)).color(t.caution));
        }
        self.although &= !held.is_empty();
        if !held.is_empty() {
            let which = titles_of(&read.drills, &held);
            ui.label(small(t, format!("Held back meanwhile: {which}")));
            let words = "Release although somebody is at work on it";
            ui.checkbox(&mut self.although, words);
        }
        let all = held.is_empty() || self.although;
        let now = if all { ended } else { free };
        let words = if all {
            format!("Release all that ended ({})", now.len())
        } else {
            format!("Release the others ({})", now.len())
        };
        if ui
            .add_enabled(!now.is_empty(), egui::Button::new(words))
            .clicked()
        {
            self.although = false;
            self.release(&now);
        }
        ui.label(small(
            t,
            "A released attempt opens for whose it is, with its marks and what it was",
        ));
        ui.add_space(6.0);
        if ui.button("Write the reports").clicked() {
            self.write_reports();
        }
        ui.label(small(
            t,
            "A page of the class, a sheet for each trainee, a gradebook, all acts, and statements for a learning record \
             store, into the folder reports of the class; those of last time are replaced",
        ));
        ui.add_space(6.0);
        ui.label(small(
            t,
            "The page follows all attempts, at whatever computer they are made",
        ));
        ui.add_space(6.0);
        if let Some(read) = &mut self.read
            && let Some(told) = self.making.more_ui(ui, t, (&mut read.class, &read.drills))
        {
            (self.told, self.said) = (Some(told), None);
            self.look_now();
        }
        ui.add_space(10.0);
        if ui.button("Leave the instructor's page").clicked() {
            (self.who, self.told, self.said) = (Who::Nobody, None, None);
        }
    }

    fn write_reports(&mut self) {
        let Some(read) = &self.read else { return };
        let folder = read.class.reports();
        let all = files(&read.class.list, &read.drills, &read.standing);
        let done = all
            .iter()
            .try_for_each(|(name, text)| write_file(&folder.join(name), text.as_bytes()));
        match done {
            Ok(()) => {
                let count = telling::count(all.len(), "file");
                self.told = Some(format!("{count} written into {}", folder.display()));
            }
            Err(e) => {
                let why = os_words(&e);
                self.said = Some(format!("{} cannot be written: {why}", folder.display()));
            }
        }
    }
}

/// The rows of a person.
fn person_ui(
    ui: &mut Ui,
    t: &Theme,
    (p, person): (usize, &Person),
    read: &Read,
    right: f32,
) -> Option<Asked> {
    let name = RichText::new(format!(
        "{}  {}",
        person.trainee.number, person.trainee.name
    ))
    .font(strong(12.5));
    if person.marked.is_empty() {
        name_ui(ui, &name);
        ui.label(small(t, "nothing yet"));
        let (next, _) = advice(&read.drills, person, Reader::Instructor);
        ui.label(small(t, format!("next: {next}")));
        ui.end_row();
        return None;
    }
    let mut asked = None;
    for (i, m) in person.marked.iter().enumerate() {
        if i == 0 {
            name_ui(ui, &name);
        } else {
            ui.label("");
        }
        ui.label(small(t, m.of.name.date.words()));
        ui.label(RichText::new(drill_words(m)).font(plain(12.5)));
        if let Some(one) = state_ui(ui, t, p, i, person, m) {
            asked = Some(one);
        }
        ui.label(RichText::new(m.of.acts().to_string()).font(plain(12.5)));
        let marks = if m.is_ended() {
            format!("{:.0}", m.grade.total())
        } else {
            String::new()
        };
        ui.label(RichText::new(marks).font(strong(12.5)));
        let bad = m.grade.unsafe_acts + m.grade.unsafe_said;
        let colour = if bad > 0 { t.danger } else { t.soft };
        ui.label(
            RichText::new(done_and_said(&m.grade))
                .font(plain(12.5))
                .color(colour),
        );
        let last = read
            .last
            .get(p)
            .and_then(|l| l.get(i))
            .map_or("", String::as_str);
        ui.scope(|ui| {
            ui.set_width(last_width(right - ui.cursor().left()));
            ui.add(egui::Label::new(small(t, last)).truncate())
                .on_hover_text(last);
        });
        ui.end_row();
    }
    asked
}

/// How wide the last column is at least and at most, and what stays free at the edge \[points\].
const LAST: (f32, f32) = (120.0, 560.0);
const EDGE: f32 = 8.0;

/// How wide the last column is: what the others leave, rather than beyond the edge.
pub(super) fn last_width(left: f32) -> f32 {
    (left - EDGE).clamp(LAST.0, LAST.1)
}

/// Widest a name may be, so that the other columns stay in sight, and on a narrow page \[points\].
const NAME: (f32, f32) = (150.0, 90.0);
/// A page that is narrower has what can be done with an attempt under each other \[points\].
const NARROW: f32 = 700.0;

/// A name, in lines where it is too long.
fn name_ui(ui: &mut Ui, name: &RichText) {
    ui.scope(|ui| {
        let wide = ui.clip_rect().width() >= NARROW;
        ui.set_max_width(if wide { NAME.0 } else { NAME.1 });
        ui.add(egui::Label::new(name.clone()).wrap());
    });
}

/// How an attempt stands, and what can be done with it.
fn state_ui(
    ui: &mut Ui,
    t: &Theme,
    p: usize,
    i: usize,
    person: &Person,
    m: &Marked,
) -> Option<Asked> {
    let who = format!("{}, {}", person.trainee.name, drill_words(m));
    let mut asked = None;
    let body = |ui: &mut Ui| {
        if let Some(why) = &m.of.damaged {
            ui.label(RichText::new("damaged").font(strong(12.5)).color(t.danger))
                .on_hover_text(format!("{why}. What stands before it counts"));
        }
        if !m.is_ended() {
            ui.label(RichText::new("under way").font(plain(12.5)).color(t.accent));
            return;
        }
        let colour = if m.success { t.good } else { t.ink };
        ui.label(RichText::new(outcome(m)).font(plain(12.5)).color(colour));
        if named(ui, "Go through it", &format!("Go through it: {who}")) {
            asked = Some(Asked::Through(p, i));
        }
        if m.of.released {
            ui.label(small(t, "released"));
        } else {
            let button = ui.add(quiet("Release"));
            button.widget_info(|| {
                egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Release: {who}"))
            });
            if button.clicked() {
                asked = Some(Asked::Release(m.of.name.clone()));
            }
        }
    };
    if ui.clip_rect().width() >= NARROW {
        ui.horizontal(body);
    } else {
        ui.vertical(body);
    }
    asked
}

/// The last act in words; of an ended attempt the answer.
pub(super) fn last_words(m: &Marked) -> String {
    let Some(last) = m.of.found.contents.entries.last() else {
        return "begun".to_owned();
    };
    let rig = rig_of(&m.of.found.drill).rig;
    let words =
        Act::parse(&last.act, &rig).map_or_else(|_| last.act.clone(), |a| telling::act(&a, &rig));
    let at = telling::minutes(last.end_s / 60.0);
    let places = if m.of.branches.is_empty() {
        ""
    } else {
        "; worked on in two places at once"
    };
    let wrong = m.grade.judgings.iter().filter(|j| j.said != j.is).count();
    let wrong = match wrong {
        0 => String::new(),
        n => format!("; {} judged wrongly", telling::count(n, "test")),
    };
    format!("{words} ({at}){wrong}{places}")
}
