//! A talk: a scenario with all that is done in it, and the moments at which it stops for a caption. Recorded from what
//! was done by hand, kept in a file, gone through in front of a room. Not here: how it is shown.

use std::fmt::Write as _;
use std::path::Path;

use super::{Event, Scenario};
use crate::form::{Form, FormError, Mistakes, TableReader};
use crate::units::{Dimension, System, write_quantity};

/// What is on show at a stop.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum TalkView {
    /// The cutaway with the chart of the outlet under it.
    #[default]
    PictureAndOutlet,
    /// The cutaway alone.
    Picture,
    /// The rig from outside alone.
    Outside,
    /// The chart of the outlet alone.
    Outlet,
    /// The charts of outlet and first stage.
    OutletAndFirst,
}

impl TalkView {
    /// All, with the words that files and screens have for them.
    pub const ALL: [(&'static str, Self); 5] = [
        ("picture and outlet", Self::PictureAndOutlet),
        ("picture", Self::Picture),
        ("outside", Self::Outside),
        ("outlet", Self::Outlet),
        ("outlet and first stage", Self::OutletAndFirst),
    ];

    /// Its words.
    pub fn words(self) -> &'static str {
        let own = Self::ALL.into_iter().find(|(_, view)| *view == self);
        own.map_or("", |(words, _)| words)
    }
}

/// A moment at which a talk stops.
#[derive(Debug, Clone, PartialEq)]
pub struct TalkStop {
    /// When \[s\].
    pub at_s: f64,
    /// What is said there.
    pub caption: String,
    /// What is on show.
    pub view: TalkView,
}

/// A talk.
#[derive(Debug, Clone, PartialEq)]
pub struct Talk {
    /// Its title.
    pub title: String,
    /// Where it stops, in order.
    pub stops: Vec<TalkStop>,
    /// What runs; what is done by hand stands among its events.
    pub scenario: Scenario,
}

/// Most stops of a talk.
const MOST_STOPS: usize = 200;
/// Longest caption.
const CAPTION_CHARS: usize = 400;

impl Talk {
    /// A talk of a scenario as it was played: what was done is put among its events.
    pub fn of(
        title: &str,
        scenario: &Scenario,
        acts: impl IntoIterator<Item = Event>,
        mut stops: Vec<TalkStop>,
    ) -> Self {
        let mut scenario = scenario.clone();
        scenario.events.extend(acts);
        scenario.events.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        stops.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let last_s = stops.last().map_or(0.0, |stop| stop.at_s);
        let events_s = scenario.events.last().map_or(0.0, |event| event.at_s);
        let run = &mut scenario.run;
        run.duration_s = run.duration_s.max(last_s).max(events_s);
        Self {
            title: title.to_owned(),
            stops,
            scenario,
        }
    }

    /// Reads a file.
    ///
    /// # Errors
    /// What keeps it from being read, or every mistake in it with line and column.
    pub fn load(path: &Path) -> Result<Self, FormError> {
        let form = Form::load(path)?;
        Ok(form.finish(Self::from_table(&form.root()))?)
    }

    /// Reads a text; `name` is what messages call it.
    ///
    /// # Errors
    /// Every mistake in it, with line and column.
    pub fn parse(name: &str, text: &str) -> Result<Self, Mistakes> {
        let form = Form::parse(name, text)?;
        form.finish(Self::from_table(&form.root()))
    }

    fn from_table(root: &TableReader<'_>) -> Self {
        let title = root.text("title").not_empty().at_most_chars(100);
        let title = title.required_or(String::new());
        let scenario = match root.table("scenario").required() {
            Some(table) => Scenario::from_table(&table),
            None => Scenario::opening(),
        };
        let tables = root.tables("stop").or(Vec::new());
        if tables.len() > MOST_STOPS {
            root.complain(
                "stop",
                format!("a talk stops {MOST_STOPS} times at most"),
                "a second talk",
            );
        }
        let mut stops: Vec<TalkStop> = tables.iter().take(MOST_STOPS).map(stop).collect();
        stops.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        Self {
            title,
            stops,
            scenario,
        }
    }

    /// The text of a file that reads back as this talk.
    pub fn to_toml(&self) -> String {
        let text = |s: &str| toml::Value::String(s.to_owned()).to_string();
        let mut out = String::from(
            "# A talk: it stops at the moments below. What is done stands among the scenario's events.\n",
        );
        let _ = writeln!(out, "title = {}", text(&self.title));
        for stop in &self.stops {
            let at = write_quantity(stop.at_s, Dimension::Time, System::Us);
            let _ = writeln!(out, "\n[[stop]]\nat = {}", text(&at));
            let _ = writeln!(out, "caption = {}", text(&stop.caption));
            let _ = writeln!(out, "view = {}", text(stop.view.words()));
        }
        out.push('\n');
        out.push_str(&self.scenario.to_toml_within("scenario", System::Us));
        out
    }
}

fn stop(table: &TableReader<'_>) -> TalkStop {
    let at = table.quantity("at", Dimension::Time);
    TalkStop {
        at_s: at
            .between(0.0..=super::read::LONGEST_RUN_S)
            .required_or(0.0),
        caption: table
            .text("caption")
            .at_most_chars(CAPTION_CHARS)
            .or(String::new()),
        view: table.choice("view", &TalkView::ALL).or(TalkView::default()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Fault;
    use crate::scenario::Action;

    #[test]
    fn what_was_done_is_kept_and_read_back() {
        let done = |at_s, action| Event { at_s, action };
        let acts = [
            done(
                7.25,
                Action::Switch {
                    appliance: 3,
                    on: false,
                },
            ),
            done(2.0, Action::Tap),
            done(
                9.5,
                Action::Inject {
                    fault: Fault::named("second_vent_blocked").expect("a fault"),
                    severity: 1.0,
                    over_s: 0.0,
                },
            ),
        ];
        let stops = vec![
            TalkStop {
                at_s: 12.0,
                caption: "It \"holds\":\nnothing to see".to_owned(),
                view: TalkView::Outlet,
            },
            TalkStop {
                at_s: 1.5,
                caption: String::new(),
                view: TalkView::Picture,
            },
        ];
        let opening = Scenario::opening();
        let talk = Talk::of("Vents", &opening, acts, stops);
        assert_eq!(talk.scenario.events.len(), opening.events.len() + 3);
        assert!(talk.stops[0].at_s < talk.stops[1].at_s);
        let text = talk.to_toml();
        let read = Talk::parse("talk.toml", &text).expect("reads back");
        // Numbers come back within the digits of a file: what is written of what was read is the same.
        assert_eq!(read.to_toml(), text);
        assert_eq!((&read.title, &read.stops), (&talk.title, &talk.stops));
    }

    #[test]
    fn mistakes_are_told_with_their_line() {
        let text = "title = \"x\"\n[[stop]]\nat = \"3 m\"\nview = \"roof\"\n[scenario]\n";
        let told = Talk::parse("talk.toml", text)
            .expect_err("wrong")
            .to_string();
        assert!(
            told.contains("talk.toml:3") && told.contains("talk.toml:4"),
            "{told}"
        );
    }
}
