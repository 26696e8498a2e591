//! The words and numbers in the cutaway: names and pressures beside the parts, what the seats do,
//! and the whole picture told for those who hear it.

use egui::{Align2, Color32, Painter, Pos2, Vec2, pos2, vec2};

use super::changeover;
use super::geometry::{FLANGE, PIPE, WALL};
use super::places::Places;
use super::scene::Scene;
use super::stage::{ICE_SEEN, Stage};
use super::weather::{frost_reach, has_residue};
use crate::physics::heat::frost_depth_k;
use crate::report::percent::percent;
use crate::rig::readings::StageReadings;
use crate::service::{SeatState, Which, passes_gas};
use crate::window::look::theme::{NOTE, Theme, plain, strong};
use crate::window::told::headline::trouble;
use crate::window::told::part::{chamber, liquid, seat_moves};
use crate::window::told::seats::seat_told;

/// Pressures and names beside the parts.
pub(super) fn labels(
    painter: &Painter,
    scene: &Scene<'_>,
    places: &Places,
    stages: &[Stage<'_>; 2],
    theme: &Theme,
) {
    let (n, u) = (scene.now, scene.units);
    let frost_k = frost_depth_k(n.body_k, n.air_k);
    let big = if places.roomy { 15.0 } else { 13.0 };
    // The numbers of two containers stand on the upper of their pipes.
    let top_of_pipe = |i: usize| match (scene.rig.changeover, i) {
        (Some(_), 0) => changeover::top_of_words(painter, places),
        _ => places.pipes()[i].top(),
    };
    for (i, s) in stages.iter().enumerate() {
        let (p, v) = (&s.plan, &s.view);
        let ink = theme.ink_on_gas(s.now.chamber_pa);
        let text = chamber(Which::BOTH[i], s.now.chamber_pa, u);
        // The first stage's number stands in the pipe that leaves it, where no lever lies; in a small picture the second's is
        // left to the outlet.
        if places.roomy && i == 1 {
            let at = v.xy(p.clamp * 0.94, p.floor + 1.2);
            let gas = theme.gas(s.now.chamber_pa);
            plated(
                painter,
                at,
                Align2::RIGHT_BOTTOM,
                text.to_string(),
                big,
                ink,
                Some(gas),
            );
        } else if i == 0 {
            // Words taller than the pipe stand under it; longer ones under the chamber, where no lever lies,
            // or in it on a ground of its gas.
            let pipe = places.pipes()[1];
            let size = painter
                .layout_no_wrap(text.to_string(), strong(big), ink)
                .size();
            let gas = theme.gas(s.now.chamber_pa);
            let below = v.xy(p.clamp, p.floor - WALL - frost_reach(frost_k)) + vec2(0.0, 3.0);
            let frost = 2.0 * v.len(frost_reach(frost_k));
            let (at, align, ink, gas) = if size.x + 8.0 + frost > pipe.width() {
                // The passage of a changeover lies under the body.
                let free = scene.rig.changeover.is_none();
                if free && below.y + size.y < places.free_under() + 4.0 {
                    (below, Align2::RIGHT_TOP, theme.ink, None)
                } else {
                    let at = v.xy(p.clamp * 0.96, p.floor + 0.6);
                    (at, Align2::RIGHT_BOTTOM, ink, Some(gas))
                }
            } else if pipe.height() > big + 2.0 {
                let gas = theme.gas(n.second.inlet_pa);
                (pipe.center(), Align2::CENTER_CENTER, ink, Some(gas))
            } else {
                let under = pipe.center_bottom() + vec2(0.0, 4.0);
                (under, Align2::CENTER_TOP, theme.ink, None)
            };
            plated(painter, at, align, text.to_string(), big, ink, gas);
        }
        // What stands at the left leaves so much room for the words; a long name is cut to its number.
        let from = if i == 0 {
            places.left
        } else {
            stages[0].view.xy(stages[0].plan.tower + WALL + 2.0, 0.0).x
        };
        let frost = v.len(frost_reach(frost_k));
        beside_tower(painter, scene, s, i, [from, frost, top_of_pipe(i)], theme);
    }
    // Where two containers meet before the inlet, the changeover tells of both.
    let twin = scene.rig.changeover.is_some();
    let [a, b] = &places.views;
    let above = a.len(PIPE + 1.7) + 5.0;
    let under = a.origin.y + above - 3.0;
    for (x, align, value, words) in [
        (
            places.left + 1.0,
            Align2::LEFT_TOP,
            u.high(n.first.inlet_pa),
            "at the inlet",
        ),
        (
            places.right - 1.0,
            Align2::RIGHT_TOP,
            u.low(n.outlet_pa),
            "at the outlet",
        ),
    ] {
        if twin && align == Align2::LEFT_TOP {
            continue;
        }
        let number = value.to_string();
        let r = painter.text(pos2(x, under), align, number, strong(big), theme.ink);
        // Under its number, or beside it where loupes and forces stand close below; else not at all.
        let galley = painter.layout_no_wrap(words.to_owned(), plain(11.5), theme.soft);
        let size = galley.size();
        let (mut at, gap) = (pos2(r.left(), r.bottom() - 1.0), 6.0);
        if align == Align2::RIGHT_TOP {
            at.x = r.right() - size.x;
        }
        if at.y + size.y > places.loupe_y {
            let taken = (a.xy(-places.plans[0].clamp - FLANGE, 0.0).x - gap)
                ..=(b.xy(places.plans[1].clamp + FLANGE, 0.0).x + gap);
            at = pos2(r.right() + gap, r.bottom() - size.y - 1.0);
            if align == Align2::RIGHT_TOP {
                at.x = r.left() - gap - size.x;
            }
            if at.x + size.x > *taken.start() && at.x < *taken.end() {
                continue;
            }
        }
        painter.galley(at, galley, theme.soft);
    }
}

/// Name of a stage, the pressure in its case and what is cold or wet in it, at the left of its tower, as far as frost reaches out of
/// that. What there is no height for line by line is told in one.
fn beside_tower(
    painter: &Painter,
    scene: &Scene<'_>,
    s: &Stage<'_>,
    i: usize,
    [from, frost, bottom]: [f32; 3],
    theme: &Theme,
) {
    let (p, v, u) = (&s.plan, &s.view, scene.units);
    let name_at = v.xy(-p.tower - WALL - 2.0, p.top) - vec2(frost, 0.0);
    let room = name_at.x - from;
    let names = [["First stage", "First"], ["Second stage", "Second"]][i];
    let name = names.into_iter().find_map(|name| {
        let galley = painter.layout_no_wrap(name.to_owned(), strong(13.0), theme.ink);
        (galley.size().x <= room).then_some(galley)
    });
    if let Some(name) = name {
        painter.galley(name_at - vec2(name.size().x, 0.0), name, theme.ink);
    }
    let case = u.low(s.now.case_pa);
    // A number alone would be taken for the pressure of the stage.
    let mut lines = vec![[format!("spring case {case}"), format!("case {case}")]];
    let weather = if i == 0 {
        weather_words(scene)
    } else {
        Vec::new()
    };
    let high = 15.0;
    let fits = ((bottom - name_at.y - 18.0) / high) as usize;
    if weather.len() < fits {
        lines.extend(weather);
    } else {
        let short: Vec<String> = weather.into_iter().map(|[_, short]| short).collect();
        lines.push([short.join(", "), short.join("\n")]);
    }
    for (k, line) in lines.into_iter().enumerate() {
        let y = name_at.y + 18.0 + high * k as f32;
        let fits = |words: String| {
            let galley = painter.layout_no_wrap(words, plain(NOTE), theme.soft);
            // Beside the wide part of the case there is less room than beside its tower.
            let right = if y + galley.size().y > v.xy(0.0, p.shoulder + 3.0).y {
                v.xy(-p.clamp - FLANGE, 0.0).x - 2.0 - frost
            } else {
                name_at.x
            };
            let x = right - galley.size().x;
            (x >= from).then_some((pos2(x, y), galley))
        };
        // Nothing is told on top of what stands at the pipe.
        let fits_too = |(at, galley): &(Pos2, std::sync::Arc<egui::Galley>)| {
            at.y + galley.size().y <= bottom + 2.0
        };
        let told = line.into_iter().find_map(fits).filter(fits_too);
        if let Some((at, galley)) = told {
            painter.galley(at, galley, theme.soft);
        }
    }
}

/// What is cold or wet in and on the first stage, each in words and in a word.
fn weather_words(scene: &Scene<'_>) -> Vec<[String; 2]> {
    let (n, u) = (scene.now, scene.units);
    let mut told = Vec::new();
    if let Some(pool) = liquid(n.pool_kg, u) {
        told.push([pool, "liquid".to_owned()]);
    }
    if frost_depth_k(n.body_k, n.air_k) > 0.0 {
        let body = u.temperature(n.body_k);
        told.push([format!("frost, body {body}"), "frost".to_owned()]);
    }
    if has_residue(n.residue_kg) {
        told.push(["oily residue", "residue"].map(str::to_owned));
    }
    told
}

/// Which stages move further than they are drawn so many times enlarged.
pub(super) fn runs_off(stages: &[Stage<'_>; 2]) -> Option<&'static str> {
    let off = |s: &Stage<'_>| s.plan.runs_off(s.now.rise_m, s.now.touch_rise_m);
    match [off(&stages[0]), off(&stages[1])] {
        [false, false] => None,
        [true, false] => Some("first stage goes further"),
        [false, true] => Some("second stage goes further"),
        [true, true] => Some("both stages go further"),
    }
}

/// What else is not right: the headline names the gravest and counts these.
fn others(scene: &Scene<'_>) -> String {
    let mut told = String::new();
    for t in scene.affairs.troubles.iter().skip(1) {
        told += ". Also: ";
        told += &trouble(t, scene.rig, scene.units);
    }
    told
}

/// A number on a ground of its own where it stands in gas, so that no dash runs through it.
fn plated(
    painter: &Painter,
    at: Pos2,
    align: Align2,
    text: String,
    size: f32,
    ink: Color32,
    ground: Option<Color32>,
) {
    let galley = painter.layout_no_wrap(text, strong(size), ink);
    let rect = align.anchor_size(at, galley.size());
    if let Some(color) = ground {
        painter.rect_filled(rect.expand2(vec2(3.0, -1.0)), 3.0, color);
    }
    painter.galley(rect.min, galley, ink);
}

/// The numbers beside a loupe.
#[allow(
    clippy::too_many_arguments,
    reason = "where, how large, and what: each is one thing"
)]
pub(super) fn loupe_words(
    painter: &Painter,
    at: Pos2,
    room: Vec2,
    i: usize,
    s: &StageReadings,
    scene: &Scene<'_>,
    [times, at_radius]: [f32; 2],
    theme: &Theme,
) {
    let stage = if i == 0 {
        &scene.rig.first
    } else {
        &scene.rig.second
    };
    let quiet = scene.affairs.effects_only;
    let state = if quiet {
        seat_moves(s, scene.units)
    } else {
        seat_told(stage, s, scene.units)
    };
    let name = seat_name(i, room.x, |words| {
        let font = plain(times * NOTE);
        painter.layout_no_wrap(words.to_owned(), font, theme.soft)
    });
    painter.galley(at, name, theme.soft);
    // Long words take a second line, and what stands below makes room; where there is none they are smaller.
    let laid = |size: f32| painter.layout(state.clone(), strong(times * size), theme.ink, room.x);
    let fits = |galley: &std::sync::Arc<egui::Galley>| times * 16.0 + galley.size().y <= room.y;
    let smaller = || [12.0, 10.0, 8.5].into_iter().map(laid).find(fits);
    let state = Some(laid(14.0)).filter(fits).or_else(smaller);
    let state = state.unwrap_or_else(|| laid(8.5));
    let below = at + vec2(0.0, times * 20.0 + state.size().y);
    painter.galley(at + times * vec2(0.0, 16.0), state, theme.ink);
    let push = scene
        .units
        .force((s.forces.jet_n * scene.shapes[i].lever_ratio).abs());
    let mut lines = vec![if room.x > 165.0 {
        format!("jet pushes {push} on the seat")
    } else {
        format!("jet {push}")
    }];
    if quiet {
        // Ice in it, or gas past a shut seat, is drawn and for the class to name.
    } else if s.ice > ICE_SEEN {
        lines.push(format!("ice on {} of the bore", percent(s.ice)));
    } else if i == 1 {
        lines.push(passes(s, scene));
    }
    if super::inset::is_deeper(s) {
        let deeper = ["pressed in deeper than drawn", "deeper than drawn"];
        let font = plain(times * NOTE);
        let fits = |words: &&str| {
            let laid = painter.layout_no_wrap((*words).to_owned(), font.clone(), theme.soft);
            laid.size().x <= room.x
        };
        lines.extend(deeper.into_iter().find(fits).map(str::to_owned));
    }
    if !super::inset::tells_its_bar(at_radius) {
        lines.push(format!("bar {}", super::inset::bar_words(scene.units)));
    }
    // What finds no line of its own is told under the pointer.
    let height = 15.0 * times;
    let fit = ((at.y + room.y - below.y) / height).max(0.0) as usize;
    for (k, line) in lines.iter().take(fit).enumerate() {
        painter.text(
            below + vec2(0.0, height * k as f32),
            Align2::LEFT_TOP,
            line,
            plain(times * NOTE),
            theme.soft,
        );
    }
}

/// How far a seat is open, or that it is not, where a loupe has room for no more.
pub(super) fn loupe_word(
    painter: &Painter,
    at: Pos2,
    s: &StageReadings,
    scene: &Scene<'_>,
    theme: &Theme,
) {
    let word = match SeatState::of(s) {
        SeatState::Open { lift_m } => scene.units.small_length(lift_m).to_string(),
        SeatState::Slips { .. } if !scene.affairs.effects_only => "slips".to_owned(),
        _ => "on its lip".to_owned(),
    };
    painter.text(at, Align2::CENTER_TOP, word, plain(10.5), theme.ink);
}

/// Name of a seat, in as many words as there is width for.
fn seat_name(
    i: usize,
    room: f32,
    laid: impl Fn(&str) -> std::sync::Arc<egui::Galley>,
) -> std::sync::Arc<egui::Galley> {
    let [long, short] = [
        ["First-stage seat", "First seat"],
        ["Second-stage seat", "Second seat"],
    ][i.min(1)];
    let long = laid(long);
    if long.size().x <= room {
        long
    } else {
        laid(short)
    }
}

/// What goes past the seat itself: by mass, since not all of it need burn.
fn passes(s: &StageReadings, scene: &Scene<'_>) -> String {
    // Nothing is told to pass a seat that is told to be shut.
    match SeatState::of(s) {
        SeatState::Pressed { .. } | SeatState::Touching => return "no gas passes".to_owned(),
        SeatState::Nearly { .. } => return "very little passes".to_owned(),
        SeatState::Open { .. } if !passes_gas(s) => return "no gas passes".to_owned(),
        SeatState::Open { .. } | SeatState::Slips { .. } => {}
    }
    let flow = scene.units.mass_flow(s.flow_kg_per_s.max(0.0));
    format!("{flow} passes")
}

/// The whole picture in words, for those who hear it.
pub(super) fn describe(scene: &Scene<'_>) -> String {
    let (n, u) = (scene.now, scene.units);
    let seat = |stage: &crate::rig::Stage, s: &StageReadings| {
        if scene.affairs.effects_only {
            seat_moves(s, u)
        } else {
            seat_told(stage, s, u)
        }
    };
    let two = match scene.rig.changeover {
        Some(_) => format!(
            " Changeover: {}, {}, indicator {}.",
            changeover::source(n, 0),
            changeover::source(n, 1),
            crate::report::visit::indicator(n.indicator_red)
        ),
        None => String::new(),
    };
    format!(
        "Cutaway of the regulator.{two} Inlet {}, first stage {}, outlet {}. First seat {}, second seat {}. {}",
        u.high(n.first.inlet_pa),
        u.high(n.first.chamber_pa),
        u.low(n.outlet_pa),
        seat(&scene.rig.first, &n.first),
        seat(&scene.rig.second, &n.second),
        scene.words
    ) + &others(scene)
}
