//! No text is cut: at the smallest windows that are promised, at every text size, each page, form and view shows its words
//! whole.

use std::collections::BTreeSet;

use egui::epaint::TextShape;
use egui::{Rect, Shape, vec2};
use egui_kittest::Harness;
use twostage::rig::{Appliance, Rig, Site, presets};
use twostage::scenario::{Run, Scenario};
use twostage::window::{App, Page, Side};

use crate::panels;

type Driven = Harness<'static, Option<App>>;

/// Room for rounding of a text's width \[points\].
const EDGE: f32 = 2.0;

/// What is walked through on each page: in a slim window one column at a time.
const VIEWS: [(Side, f32, &str); 4] = [
    (Side::Middle, 1.0, "inside"),
    (Side::Middle, 0.0, "outside"),
    (Side::Supply, 1.0, "supply"),
    (Side::Page, 1.0, "page"),
];

/// A rig with every kind of appliance and two containers: the longest names and the least room for them.
fn full_house() -> Scenario {
    let appliances: Vec<Appliance> = presets::APPLIANCES
        .map(|(_, kind)| presets::appliance(kind))
        .to_vec();
    let containers = ["20 lb cylinder", "30 lb cylinder"]
        .map(|name| presets::container(name).expect("a preset"))
        .to_vec();
    let rig = Rig::standard(containers, appliances);
    Scenario {
        summary: "Every kind of appliance on two containers".to_owned(),
        run: Run {
            duration_s: 600.0,
            sample_s: 1.0,
            settle_s: 20.0,
        },
        ..Scenario::at_rest("Test meadow", rig, Site::calm(280.0, 300.0), 0.6, 280.0)
    }
}

/// Every text of the frame, with what it is clipped by.
fn texts(h: &Driven) -> Vec<(&TextShape, Rect)> {
    fn of_shape<'a>(shape: &'a Shape, clip: Rect, all: &mut Vec<(&'a TextShape, Rect)>) {
        match shape {
            Shape::Vec(some) => some.iter().for_each(|s| of_shape(s, clip, all)),
            Shape::Text(text) => all.push((text, clip)),
            _ => {}
        }
    }
    let mut all = Vec::new();
    for clipped in &h.output().shapes {
        of_shape(&clipped.shape, clipped.clip_rect, &mut all);
    }
    all
}

/// What of the frame is cut: with its end left out, or over an edge at the left or right.
fn cut(h: &Driven, place: &str, wrong: &mut BTreeSet<String>) {
    for (text, clip) in texts(h) {
        let at = text.visual_bounding_rect();
        let words = text.galley.text();
        if text.galley.elided {
            wrong.insert(format!("{place}: left out of `{words}`"));
        }
        if let Some(word) = broken_in(&text.galley) {
            wrong.insert(format!("{place}: `{word}` is broken in `{words}`"));
        }
        let seen = at.intersect(clip);
        let is_seen = seen.width() > 0.0 && seen.height() > 0.5 * at.height();
        if is_seen && (at.left() < clip.left() - EDGE || at.right() > clip.right() + EDGE) {
            wrong.insert(format!("{place}: cut `{words}` {at:?} by {clip:?}"));
        }
    }
}

/// A word that is broken between two lines, and not at its end.
fn broken_in(galley: &egui::Galley) -> Option<String> {
    let rows: Vec<String> = galley.rows.iter().map(|row| row.row.text()).collect();
    let ends_in_a_word = |row: &str| row.chars().next_back().is_some_and(char::is_alphabetic);
    let begins_in_one = |row: &str| row.chars().next().is_some_and(char::is_alphabetic);
    let mut pairs = rows.windows(2).zip(&galley.rows);
    let broken = pairs.find(|(pair, row)| {
        !row.ends_with_newline && ends_in_a_word(&pair[0]) && begins_in_one(&pair[1])
    });
    broken.map(|(pair, _)| {
        let before = pair[0].rsplit(' ').next().unwrap_or_default();
        let after = pair[1].split(' ').next().unwrap_or_default();
        format!("{before}|{after}")
    })
}

/// Words that lie on other words.
fn collide(h: &Driven, place: &str, wrong: &mut BTreeSet<String>) {
    let mut all = Vec::new();
    for (text, clip) in texts(h) {
        for row in &text.galley.rows {
            let at = row.rect_without_leading_space();
            let at = at.translate(text.pos.to_vec2()).intersect(clip);
            let words = row.row.text();
            if at.width() > EDGE && at.height() > EDGE && !words.trim().is_empty() {
                all.push((at, words));
            }
        }
    }
    for (i, (one, words)) in all.iter().enumerate() {
        for (other, others) in &all[i + 1..] {
            let both = one.intersect(*other);
            // A line's box is higher than its letters.
            if both.width() > 2.0 * EDGE && both.height() > 0.35 * one.height().min(other.height())
            {
                wrong.insert(format!("{place}: `{words}` lies on `{others}`"));
            }
        }
    }
}

#[test]
fn no_words_are_cut_at_any_text_size() {
    let mut wrong = BTreeSet::new();
    for (wide, high, sizes) in [(1024.0, 768.0, &[1.0, 2.0][..]), (1280.0, 720.0, &[1.5])] {
        let mut h = panels::harness(vec2(wide, high), |ctx| {
            App::new(ctx, full_house()).expect("the test scenario starts")
        });
        h.key_press(egui::Key::T);
        h.run_steps(2);
        for text in sizes {
            let app = panels::app(&mut h);
            app.look.size.text = *text;
            app.look.building = false;
            // A column at a time is on show where text is largest.
            let views = if *text < 2.0 { &VIEWS[..2] } else { &VIEWS };
            for (page, name) in Page::ALL {
                panels::app(&mut h).look.page = page;
                for (side, at, view) in views {
                    let app = panels::app(&mut h);
                    app.outside.stand(*at);
                    app.look.side = *side;
                    h.run_steps(2);
                    let place = format!("{wide}x{high} text {text} {name} {view}");
                    cut(&h, &place, &mut wrong);
                    collide(&h, &place, &mut wrong);
                }
            }
            panels::app(&mut h).look.building = true;
            h.run_steps(2);
            cut(&h, &format!("{wide}x{high} text {text} form"), &mut wrong);
        }
    }
    let told: Vec<String> = wrong.into_iter().collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

/// What pages come to: an outcome of the bench, a fault's card, a lesson, a drill under way; with the largest text where there
/// is least room, and dark.
#[test]
fn no_words_of_an_outcome_or_a_card_are_cut() {
    let mut wrong = BTreeSet::new();
    let shown = [
        (Page::Bench, "visit", "outcome"),
        (Page::Faults, "fault second_seat_grit", "card"),
        (Page::Faults, "fault water_in_fuel", "card of water"),
        (Page::Lessons, "manometer", "lesson"),
        (Page::Lessons, "lock_up answered", "lesson answered"),
        (Page::Drills, "1: fluid second vent", "drill"),
    ];
    for (wide, high, text) in [(1280.0, 720.0, 2.0), (1024.0, 768.0, 1.0)] {
        for (page, what, name) in shown {
            let mut h = panels::harness(vec2(wide, high), |ctx| {
                ctx.set_theme(egui::Theme::Dark);
                App::new(ctx, full_house()).expect("the test scenario starts")
            });
            let ctx = h.ctx.clone();
            ctx.set_theme(egui::Theme::Dark);
            let app = panels::app(&mut h);
            app.look.size.text = text;
            app.look.page = page;
            app.begin(what, &ctx);
            h.run_steps(2);
            if page == Page::Bench {
                panels::wait(&mut h, "the visit is made", |a| !a.bench.busy());
            }
            for side in [Side::Middle, Side::Page] {
                panels::app(&mut h).look.side = side;
                h.run_steps(3);
                let place = format!("{wide}x{high} text {text} {name} {side:?}");
                cut(&h, &place, &mut wrong);
                collide(&h, &place, &mut wrong);
                // The header's title is a file's own, of any length: where it ends in dots a tip has it whole.
                let title = panels::app(&mut h).snapshot().scenario.title.clone();
                wrong.retain(|w| !w.ends_with(&format!("left out of `{title}`")));
            }
        }
    }
    let told: Vec<String> = wrong.into_iter().collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}
