//! The headline: the state of affairs in a sentence or two. Only words are made here; what is so is decided by
//! [`crate::service::state_of_affairs`].

use egui::text::{LayoutJob, TextFormat};
use egui::{Color32, Label, Pos2, Response, RichText, Sense, Shape, Stroke, Ui, vec2};

use crate::report::letters::{capital, stopped};
use crate::report::record;
use crate::rig::Rig;
use crate::service::{Affairs, Compared, Doing, Filling, Finger, Gravity, Trouble, Which};
use crate::sim::Mark;
use crate::window::look::show::Units;
use crate::window::look::theme::{BODY, LEAD, NOTE, Theme, plain, strong};
use crate::window::told::seats::seat_words;
use crate::window::told::trouble::stage;
pub use crate::window::told::trouble::trouble;

/// An event is news for this long in simulated time \[s\].
const NEWS_S: f64 = 4.0;
/// Width of the sign of a gravity with the gaps beside it \[points\].
const BEFORE: f32 = 32.0;

/// What is not as it should be, or else what the regulator does; with the news before it.
pub fn headline(a: &Affairs, rig: &Rig, units: Units, time_s: f64, last: Option<&Mark>) -> String {
    let body = match a.troubles.first() {
        Some(gravest) => {
            let more = match a.troubles.len() {
                1 => String::new(),
                2 => " (and one more thing is not right)".to_owned(),
                n => format!(" (and {} more things are not right)", n - 1),
            };
            let told = stopped(&format!("{}{more}", trouble(gravest, rig, units)));
            let does = match (gravest, a.doing) {
                // The same said twice, and nothing comes that could press a seat.
                (Trouble::Creeps { .. } | Trouble::NoGas { .. }, Doing::Closing { air: None }) => {
                    fingers(a, units)
                }
                _ => Some(doing(a, units)),
            };
            match does {
                Some(does) => format!("{told} {}", capital(&does)),
                None => told,
            }
        }
        None => doing(a, units),
    };
    match last.filter(|m| (0.0..NEWS_S).contains(&(time_s - m.time_s))) {
        // Two sentences: what happened last need not be why.
        Some(m) => format!("{}. {}", capital(&record::mark(m, rig)), capital(&body)),
        None => capital(&body),
    }
}

/// What is done at once where somebody could be hurt, before anything that is told: it is never folded away.
pub const SHUT: &str = "Shut the container. ";

/// The headline with its sign and word where something is not as it should be, and before it that the container is shut first
/// where that is so.
pub fn show(ui: &mut Ui, gravity: Gravity, shut_first: bool, words: &str, t: &Theme) -> Response {
    let order = if shut_first { SHUT } else { "" };
    let all = format!("{order}{words}");
    let lead = egui::TextStyle::Heading.resolve(ui.style()).size;
    // Sign and word before it take from its room.
    let before = gravity_word(gravity).map_or(0.0, |word| {
        let word = ui
            .painter()
            .layout_no_wrap(word.to_owned(), strong(lead), t.ink);
        word.size().x + BEFORE
    });
    let size = fitting(ui, &all, before);
    // The picture under it stays where it is: what has no room even in the smallest type is told whole under the pointer, and to
    // a screen reader.
    let text = folded(ui, [order, words], size, t);
    let Some(word) = gravity_word(gravity) else {
        return ui.add(Label::new(text).wrap());
    };
    let shown = ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 7.0;
        let ink = gravity_ink(gravity, t);
        sign(ui, gravity, t);
        ui.label(RichText::new(word).font(strong(size)).color(ink));
        ui.add(Label::new(text).wrap())
    });
    shown.inner
}

/// An order and a sentence with as many lines as there is room for where they stand.
fn folded(ui: &Ui, [order, words]: [&str; 2], size: f32, t: &Theme) -> LayoutJob {
    let font = plain(size);
    let line = ui.ctx().fonts_mut(|f| f.row_height(&font)).max(1.0);
    let mut job = LayoutJob::default();
    job.append(order, 0.0, TextFormat::simple(strong(size), t.ink));
    job.append(words, 0.0, TextFormat::simple(font, t.ink));
    job.wrap.max_rows = ((ui.max_rect().height() / line + 0.05) as usize).max(1);
    job
}

/// All that is not right, one a line: what the headline only counts.
pub fn list_ui(ui: &mut Ui, a: &Affairs, rig: &Rig, units: Units) {
    if a.troubles.is_empty() {
        ui.label("Nothing is out of its limits");
    }
    for t in &a.troubles {
        ui.label(capital(&trouble(t, rig, units)));
    }
}

/// The largest of the type sizes at which a sentence has room where it stands, so much before it taken off.
pub fn fitting(ui: &Ui, words: &str, before: f32) -> f32 {
    let room = ui.max_rect();
    let fits = |size: &f32| {
        let galley = ui.painter().layout(
            words.to_owned(),
            plain(*size),
            Color32::PLACEHOLDER,
            (room.width() - before).max(1.0),
        );
        galley.size().y <= room.height()
    };
    // Before a room a heading is larger.
    let lead = egui::TextStyle::Heading.resolve(ui.style()).size;
    [lead, LEAD, BODY].into_iter().find(fits).unwrap_or(NOTE)
}

/// Ink of a gravity; its sign and word say the same.
pub fn gravity_ink(g: Gravity, t: &Theme) -> Color32 {
    match g {
        Gravity::Well => t.good,
        Gravity::Care => t.caution,
        Gravity::Stop => t.danger,
    }
}

/// The sign of a gravity: a tick, a triangle on its base, an octagon with a bar.
pub fn sign(ui: &mut Ui, g: Gravity, t: &Theme) {
    let (rect, _) = ui.allocate_exact_size(vec2(17.0, 17.0), Sense::hover());
    let (c, ink, painter) = (rect.center(), gravity_ink(g, t), ui.painter());
    let ring = |n: u32, turn: f32, r: f32| -> Vec<Pos2> {
        let at = |k: u32| std::f32::consts::TAU * (k as f32 + turn) / n as f32;
        (0..n)
            .map(|k| c + r * vec2(at(k).sin(), -at(k).cos()))
            .collect()
    };
    match g {
        Gravity::Well => {
            let points = [(-5.0, 0.0), (-1.5, 4.0), (5.5, -5.0)].map(|(x, y)| c + vec2(x, y));
            painter.add(Shape::line(points.to_vec(), Stroke::new(2.0, ink)));
        }
        Gravity::Care => {
            let points = ring(3, 0.0, 8.5).into_iter().map(|p| p + vec2(0.0, 2.0));
            painter.add(Shape::closed_line(points.collect(), Stroke::new(1.6, ink)));
            painter.vline(c.x, c.y - 2.0..=c.y + 2.0, Stroke::new(1.8, ink));
            painter.circle_filled(c + vec2(0.0, 4.2), 1.0, ink);
        }
        Gravity::Stop => {
            painter.add(Shape::convex_polygon(ring(8, 0.5, 8.5), ink, Stroke::NONE));
            painter.hline(c.x - 4.5..=c.x + 4.5, c.y, Stroke::new(2.6, t.card));
        }
    }
}

/// The word that stands beside the sign of a gravity; none where all is well.
pub fn gravity_word(g: Gravity) -> Option<&'static str> {
    match g {
        Gravity::Well => None,
        Gravity::Care => Some("Not right"),
        Gravity::Stop => Some("Danger"),
    }
}

/// What fills a spring case, wherever it is told: gas where gas leaves by it.
pub fn filling_word(f: Filling) -> &'static str {
    match f {
        Filling::Air => "air",
        Filling::Gas => "gas",
    }
}

/// A finger on a diaphragm.
pub fn finger(which: Which, f: Finger, u: Units) -> String {
    let does = if f.lifts { "lifts" } else { "presses down" };
    format!(
        "a finger {does} the {} diaphragm with {}",
        stage(which),
        u.force(f.newton)
    )
}

/// The fingers on the diaphragms, where there are any.
fn fingers(a: &Affairs, u: Units) -> Option<String> {
    let on = Which::BOTH.into_iter().zip(a.fingers);
    let told: Vec<String> = on
        .filter_map(|(which, f)| Some(finger(which, f?, u)))
        .collect();
    (!told.is_empty()).then(|| told.join("; "))
}

/// What the regulator does, in words, and the fingers that have not been told with it.
fn doing(a: &Affairs, u: Units) -> String {
    let deed = deed(a, u);
    match fingers(a, u) {
        Some(fingers) => format!("{deed}; {fingers}"),
        None => deed,
    }
}

/// What holds the second diaphragm: gas and spring, the air over it where that bears, and a finger.
fn holds(a: &Affairs, air_pa: Option<f64>, u: Units) -> String {
    let filled = filling_word(a.cases[1]);
    let lifts = a.fingers[1].map(|f| f.lifts);
    let below = match lifts {
        Some(true) => "gas and finger balance",
        _ => "gas balances",
    };
    let presses = lifts == Some(false);
    match air_pa {
        None if lifts.is_none() => "gas and spring balance".to_owned(),
        None if presses => format!("{below} spring and finger"),
        None => format!("{below} the spring"),
        Some(over) if over > 0.0 => {
            let below = match lifts {
                Some(true) => "the gas below and a finger balance",
                _ => "the gas below balances",
            };
            let also = if presses { ", a finger" } else { "" };
            format!(
                "{below} the spring{also} and {} of {filled} over the second diaphragm",
                u.low(over)
            )
        }
        Some(over) => {
            let all = match lifts {
                Some(_) => "gas, spring and finger",
                None => "gas and spring",
            };
            format!(
                "{all} balance only with the {filled} over the second diaphragm at {}",
                u.low(over)
            )
        }
    }
}

fn deed(a: &Affairs, u: Units) -> String {
    let [first, second] = a.seats;
    match a.doing {
        _ if a.second_hangs_loose() => {
            "the second diaphragm moves without its seat: no gas pressure shuts the orifice".to_owned()
        }
        Doing::Moving {
            opens,
            breath_m3_per_s,
        } => {
            let breath = match breath_m3_per_s {
                Some(q) if q > 0.0 && a.escapes_behind() => "; the vent blows",
                Some(q) if q > 0.0 => "; air leaves by the vent",
                Some(_) => "; air comes in by the vent",
                None => "",
            };
            if opens {
                format!(
                    "the spring pushes the second diaphragm down, and the lever draws the seat off its orifice{breath}"
                )
            } else {
                format!(
                    "the second diaphragm lifts against its spring, and the lever pushes the seat to its orifice{breath}"
                )
            }
        }
        Doing::WideOpen => {
            "the second seat stands wide open, and more is asked for than comes through".to_owned()
        }
        Doing::Holding { comes_in, air_pa } => {
            let holds = holds(a, air_pa, u);
            match comes_in {
                Compared::LeftOver => {
                    format!("{holds}; the container is shut, and what is taken is what the lines still hold")
                }
                Compared::Even if a.escapes() => holds,
                Compared::Untaken => {
                    let where_to = if a.escapes_behind() { ": what comes in escapes" } else { "" };
                    format!("{holds}; gas comes in, and no burner takes it{where_to}")
                }
                Compared::Even => format!("{holds}, and what comes in is what the burners take"),
                Compared::More if air_pa.is_some() || a.fingers[1].is_some() => {
                    format!("{holds}; more comes in than the burners take")
                }
                Compared::Less if air_pa.is_some() || a.fingers[1].is_some() => {
                    format!("{holds}; the burners take more than comes in")
                }
                Compared::More => "more comes in than the burners take".to_owned(),
                Compared::Less => "the burners take more than comes in".to_owned(),
            }
        }
        Doing::HeldOpen if !a.effects_only => {
            "no burner takes gas: the second seat is pressed home and does not shut, and gas goes on through it".to_owned()
        }
        // That a seat lets gas by is for a class to find.
        Doing::HeldOpen => "no burner takes gas, and gas comes in".to_owned(),
        Doing::Closing { .. } if a.effects_only => "no burner takes gas".to_owned(),
        Doing::Closing { air: Some((which, pa)) } => {
            let filled = filling_word(a.cases[usize::from(which == Which::Second)]);
            format!(
                "no burner takes gas, and {} of {filled} shut in over the {} diaphragm keeps its seat from shutting",
                u.low(pa),
                stage(which)
            )
        }
        // Whether it comes to a stop the instant cannot show: a nick never shuts.
        Doing::Closing { .. } if a.escapes_behind() => "no burner takes gas, and gas still passes a seat".to_owned(),
        Doing::Closing { .. } if a.creeps() => "no burner takes gas".to_owned(),
        Doing::Closing { .. } if a.climbs() => {
            "no burner takes gas, and gas still passes a seat: the pressure behind it climbs on".to_owned()
        }
        Doing::Closing { .. } => {
            "no burner takes gas; what still passes a seat raises the pressure behind it, and that presses the seat harder"
                .to_owned()
        }
        Doing::LockedUp => "no burner takes gas: the pressure holds both seats shut".to_owned(),
        Doing::AtRest => format!(
            "no gas flows to speak of: the first seat is {}, the second {}",
            seat_words(first, u),
            seat_words(second, u)
        ),
    }
}

#[cfg(test)]
mod tests;
