//! What the application does when told: by a key, or for a picture. Not here: the keys themselves
//! (`keys`), the panels.

use crate::service::state_of_affairs;
use crate::service::{Device, Fitted, Kit, TestPoint};
use crate::sim::Command;
use crate::window::app::App;
use crate::window::desk::keys::Wish;
use crate::window::desk::{Desk, Page, Side};
use crate::window::files::Way;
use crate::window::look::show::Units;
use crate::window::look::theme::Theme;
use crate::window::panels::burners;
use crate::window::time::{jumps, time_bar};

impl App {
    /// Sets everything up as a picture wants it.
    pub(super) fn pose(&mut self, shot: &crate::window::Shot) {
        self.cutaway.keep_diaphragm(shot.balance);
        if let Some(view) = shot.view {
            self.outside.stand(view);
        }
        self.look.page = shot.page;
        if shot.page != Page::default() {
            self.look.side = Side::Page;
        }
        self.look.units = if shot.si { Units::Si } else { Units::Us };
        if let Some(span_s) = shot.span_s {
            self.charts.fix_span(span_s);
        }
    }

    /// Has a page do something by its name and be through with it soon, for pictures and tests.
    pub fn begin(&mut self, what: &str, ctx: &egui::Context) {
        if let Some(part) = what.strip_prefix("build ") {
            self.build(true);
            let (snap, units) = (self.session.snapshot(), self.look.units);
            self.rig.begin_named(part, &snap, units);
            return;
        }
        self.at_a_desk(ctx, |app, desk| match app.look.page {
            Page::Bench => app.bench.begin_at_once(what, desk.send),
            Page::Curves => app.curves.begin_named(what, desk, ctx),
            Page::Causes => app.causes.begin_file(what, desk, ctx),
            Page::Drills => app.drills.begin_named(what, desk, ctx),
            Page::Lessons => app.lessons.begin_named(what, desk, ctx),
            Page::Faults | Page::Numbers => app.begin_in_time(what, desk, ctx),
        });
    }

    /// What pictures want of time: `look back 12`, `branch 12`, `present`, `tour`; `fault` with its name for its page; and
    /// `clip on` with an instrument's name, at the outlet.
    fn begin_in_time(&mut self, what: &str, desk: &mut Desk<'_>, ctx: &egui::Context) {
        let (words, number) = what.rsplit_once(' ').unwrap_or((what, ""));
        let at_s = number.parse().unwrap_or(0.0);
        match words {
            "look back" => jumps::look_at(desk, at_s),
            "branch" => {
                let ahead_s = desk.snap.front_s - at_s;
                jumps::look_at(desk, at_s);
                desk.send.push(Command::GoOnFromHere);
                desk.send.push(Command::Step(0.9 * ahead_s));
            }
            _ if what.starts_with("clip on ") => {
                let device = Device::find(&what["clip on ".len()..], &Kit::default());
                if let Ok(device) = device {
                    self.bench.rack().replace(
                        0,
                        Fitted {
                            point: TestPoint::Outlet,
                            device,
                        },
                    );
                }
            }
            _ if what.starts_with("fault ") => self.faults.show_named(&what["fault ".len()..]),
            _ if what == "tour" => self.tour.begin(desk),
            _ if what == "present" => self.present.toggle(ctx),
            _ => {}
        }
    }

    /// Takes a file dropped on the window: a drill or a lesson on their pages, else a scenario.
    pub(super) fn take_dropped(&mut self, path: &std::path::Path, ctx: &egui::Context) {
        match self.look.page {
            // What is dropped while a drill runs must not lift its cover.
            _ if self.drills.covered() => {}
            Page::Drills => self.drills.open(path),
            Page::Lessons => {
                self.at_a_desk(ctx, |app, desk| app.lessons.open_file(path, desk));
            }
            _ if is_talk(path) => self.at_a_desk(ctx, |app, desk| {
                app.present.open(path, desk);
                app.present.list = true;
            }),
            _ => self.open(path),
        }
    }

    /// Does something at a desk outside a frame's panels, and sends what it put there.
    fn at_a_desk(&mut self, ctx: &egui::Context, act: impl FnOnce(&mut Self, &mut Desk<'_>)) {
        let mut send = Vec::new();
        let snap = self.session.snapshot();
        let theme = Theme::of_context(ctx);
        let affairs = state_of_affairs(&snap.rig, &snap.readings);
        let mut desk = Desk {
            snap: &snap,
            send: &mut send,
            units: self.look.units,
            theme: &theme,
            affairs: &affairs,
        };
        act(self, &mut desk);
        for command in send {
            self.session.send(command);
        }
    }

    /// Whether a page is at work.
    pub fn busy(&self) -> bool {
        let snap = self.session.snapshot();
        self.rig.busy()
            || self.bench.busy()
            || self.curves.busy()
            || self.causes.busy()
            || self.drills.busy(&snap)
            || self.lessons.busy()
    }

    /// Does what a key asks for.
    pub(super) fn obey(&mut self, wish: Wish, ctx: &egui::Context, desk: &mut Desk<'_>) {
        let snap = desk.snap;
        let files = matches!(wish, Wish::Open | Wish::Save);
        let rests = self.drills.covered() || (self.look.building && !files);
        if rests && wish.touches_the_rig() {
            return;
        }
        match wish {
            Wish::PlayPause => desk.send.push(time_bar::play_command(snap.playing)),
            Wish::Step => desk.send.push(time_bar::step_command(snap.rate)),
            Wish::Back => {
                let back = time_bar::back_command(desk);
                desk.send.push(back);
            }
            Wish::ToStart => desk.send.push(Command::LookAt(0.0)),
            Wish::ToEnd => desk.send.push(Command::LookAt(f64::INFINITY)),
            Wish::MarkBefore if self.present.is_on() && self.present.go(false, desk) => {}
            Wish::MarkAfter if self.present.is_on() && self.present.go(true, desk) => {}
            Wish::MarkBefore => jumps::look_at(desk, jumps::mark_before(snap)),
            Wish::MarkAfter => jumps::look_at(desk, jumps::mark_after(snap)),
            Wish::BeforeFault => {
                if let Some(at_s) = jumps::before_fault(snap) {
                    jumps::look_at(desk, at_s);
                }
            }
            Wish::GoOnFromHere => jumps::go_on_from_here(desk),
            Wish::WhatRan => {
                desk.send.push(Command::GiveBack);
                self.lessons.forget();
                self.tour.close();
            }
            Wish::Slower => desk.send.push(time_bar::other_pace(snap.rate, false)),
            Wish::Faster => desk.send.push(time_bar::other_pace(snap.rate, true)),
            Wish::Burner(i) => burners::toggle(desk, i),
            Wish::Follow => self.charts.follow_live(),
            Wish::PanBack => self.charts.pan(-0.125, snap),
            Wish::PanOn => self.charts.pan(0.125, snap),
            Wish::ZoomIn => self.charts.zoom(0.7, snap),
            Wish::ZoomOut => self.charts.zoom(1.0 / 0.7, snap),
            Wish::Forces => self.cutaway.next_balance(),
            Wish::MotionMore => self.cutaway.magnify(true),
            Wish::MotionLess => self.cutaway.magnify(false),
            Wish::Turn => self.outside.turn(),
            Wish::Units => {
                self.look.units = match self.look.units {
                    Units::Us => Units::Si,
                    Units::Si => Units::Us,
                }
            }
            Wish::Appearance => Self::other_appearance(ctx, desk.theme.dark),
            Wish::Open => self.files.ask(Way::Open),
            Wish::Save => self.files.ask(Way::Save),
            Wish::Present => self.present.toggle(ctx),
            Wish::KeepMoment => {
                let caption = self.sentence_on_show(desk);
                let is_outside = self.outside.is_outside();
                self.present.keep(snap, caption, is_outside);
                self.present.list |= !self.present.is_on();
            }
            Wish::Tour if self.live.is_covered() => {}
            Wish::Tour => self.tour.key(desk),
            Wish::NextArea => self.look.to_area = Some(true),
            Wish::AreaBefore => self.look.to_area = Some(false),
            Wish::Help => self.look.help = !self.look.help,
            Wish::Cycle => self.go_through_cycle(desk),
            Wish::Close => self.close_topmost(ctx, desk),
        }
    }

    /// Switches between the appearances.
    pub(super) fn other_appearance(ctx: &egui::Context, dark: bool) {
        ctx.set_theme(if dark {
            egui::Theme::Light
        } else {
            egui::Theme::Dark
        });
    }

    fn close_topmost(&mut self, ctx: &egui::Context, desk: &mut Desk<'_>) {
        if std::mem::take(&mut self.look.help) {
            return;
        }
        let files = self.files.notice.take().is_some()
            || self.files.asking.take().is_some()
            || self.keep.drop_it();
        if !files && !self.leave_cycle(desk) {
            if self.look.building {
                self.build(false);
            } else if self.present.list {
                self.present.list = false;
            } else if self.present.is_on() {
                self.present.toggle(ctx);
            } else if self.cutaway.kept.take().is_none() {
                self.tour.leave();
            }
        }
    }
}

/// Whether a file is a talk: a scenario stands in it, and stops.
fn is_talk(path: &std::path::Path) -> bool {
    let text = crate::form::read_file(path, 4_000_000).unwrap_or_default();
    text.contains("[[stop]]") && text.contains("[scenario]")
}
