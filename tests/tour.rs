//! The tour walked as a person walks it, deed by deed, with what it says held against what the rig does; and the same
//! words in the README.

mod panels;

use std::time::{Duration, Instant};

use egui::accesskit::Role;
use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use twostage::rig::Readings;
use twostage::scenario::Scenario;
use twostage::sim::{Channel, Command};
use twostage::units::PA_PER_INWC;
use twostage::window::App;
use twostage::window::tour::steps::{LIT, STEPS};

struct Walk {
    harness: Harness<'static, Option<App>>,
}

impl Walk {
    /// A window in which the tour is offered.
    fn offered() -> Self {
        let harness = panels::harness(vec2(1400.0, 900.0), |ctx| {
            App::new(ctx, Scenario::opening()).expect("the opening scenario starts")
        });
        let mut walk = Self { harness };
        walk.press(Key::T);
        walk
    }

    fn begin() -> Self {
        let mut walk = Self::offered();
        walk.click("Take the tour");
        walk.until("the tour's own rig runs", |a| a.snapshot().generation == 1);
        walk
    }

    fn app(&mut self) -> &mut App {
        panels::app(&mut self.harness)
    }

    fn press(&mut self, key: Key) {
        self.harness.key_press(key);
        self.harness.run_steps(2);
    }

    fn click(&mut self, label: &str) {
        self.harness.get_by_label(label).click();
        self.harness.run_steps(3);
    }

    fn until(&mut self, what: &str, done: impl FnMut(&mut App) -> bool) {
        panels::wait(&mut self.harness, what, done);
    }

    fn outlet_inwc(&mut self) -> f64 {
        self.app().snapshot().readings.outlet_pa / PA_PER_INWC
    }

    /// Lets the rig come to rest without waiting for it.
    fn let_time_pass(&mut self, seconds: f64) {
        let until_s = self.app().snapshot().readings.time_s + seconds;
        self.app().send(Command::Step(seconds));
        self.until("time has passed", |a| {
            a.snapshot().readings.time_s >= until_s - 1e-6
        });
        self.app().send(Command::Play);
        self.harness.run_steps(3);
    }

    /// What the step says is on show, and the deed is not yet done.
    fn asks(&mut self, step: usize) {
        self.harness.run_steps(2);
        assert_eq!(self.app().tour.step(), Some(step));
        let title = format!("{} of {}: {}", step + 1, STEPS.len(), STEPS[step].title);
        assert!(self.harness.query_by_label(&title).is_some(), "{title}");
        assert!(
            self.harness.query_by_label(STEPS[step].deed).is_some(),
            "{title}: the deed"
        );
        assert!(
            self.harness.query_by_label("Go on").is_none(),
            "{title}: waits"
        );
    }

    /// The deed is seen to be done, its words are on show, and the tour goes on.
    fn goes_on(&mut self, step: usize) {
        self.seen(step);
        self.click("Go on");
    }

    fn seen(&mut self, step: usize) {
        let begun = Instant::now();
        while self.harness.query_by_label("Go on").is_none() {
            assert!(
                begun.elapsed() < panels::PATIENCE,
                "step {} is not seen",
                step + 1
            );
            std::thread::sleep(Duration::from_millis(5));
            self.harness.run_steps(1);
        }
        assert!(self.harness.query_by_label(STEPS[step].seen).is_some());
    }

    /// A cycle from the key to its end: how the rig stood before it and at each step, as `seen` finds it.
    fn goes_through_a_cycle(&mut self, seen: impl Fn(&Self, usize)) -> Vec<Readings> {
        let mut told = vec![self.app().snapshot().readings];
        self.press(Key::C);
        for step in 1..=6 {
            let word = if step < 6 { "Next step" } else { "Done" };
            let begun = Instant::now();
            while self.harness.query_by_label(word).is_none() {
                assert!(
                    begun.elapsed() < panels::PATIENCE,
                    "step {step} of the cycle does not come"
                );
                std::thread::sleep(Duration::from_millis(5));
                self.harness.run_steps(1);
            }
            seen(self, step);
            told.push(self.app().snapshot().readings);
            self.click(word);
        }
        told
    }

    fn shut_all(&mut self) {
        for key in [Key::Num2, Key::Num3, Key::Num4, Key::Num5] {
            self.press(key);
        }
    }
}

/// Steps of a cycle after how the rig stood when it was asked for: each at a later moment, and what the second to the fifth name
/// has moved on since the one before.
fn each_step_has_a_moment_of_its_own(told: &[Readings]) {
    let named: [fn(&Readings) -> f64; 4] = [
        |n| -n.second.rise_m,
        |n| -n.second.rise_m,
        |n| n.second.lift_m,
        |n| n.first.lift_m,
    ];
    assert_eq!(told.len(), 7);
    for (step, pair) in told.windows(2).enumerate() {
        assert!(pair[1].time_s > pair[0].time_s, "step {}", step + 1);
        let Some(of) = step.checked_sub(1).and_then(|i| named.get(i)) else {
            continue;
        };
        let moved = of(&pair[1]) - of(&pair[0]);
        assert!(moved > 1e-7, "step {}: {moved}", step + 1);
    }
}

/// The smallest plain burner there is to light swings less, and its steps stand apart all the same.
#[test]
fn a_cycle_of_a_smaller_burner_goes_step_by_step_too() {
    let harness = panels::harness(vec2(1400.0, 900.0), |ctx| {
        let mut scenario = Scenario::opening();
        scenario.events.clear();
        // All are lit but the back burner, the smaller of the two.
        for (i, on) in scenario.on_at_start.iter_mut().enumerate() {
            *on = i != 4;
        }
        App::new(ctx, scenario).expect("the opening scenario starts")
    });
    let mut w = Walk { harness };
    w.let_time_pass(10.0);
    let told = w.goes_through_a_cycle(|_, _| {});
    each_step_has_a_moment_of_its_own(&told);
}

#[test]
fn the_tour_is_walked_from_end_to_end_and_says_what_is_so() {
    let mut w = Walk::begin();
    w.asks(0);
    w.let_time_pass(5.0);
    let before = w.outlet_inwc();
    w.press(Key::Num4);
    w.goes_on(0);
    w.let_time_pass(10.0);
    let flowing = w.outlet_inwc();
    // "From about 11.4 to 11.3", as they are read to a tenth.
    assert!((11.35..11.45).contains(&before), "{before}");
    assert!((11.25..11.35).contains(&flowing), "{flowing}");
    assert!(before > flowing + 0.03, "{before} {flowing}");

    w.asks(1);
    w.click("Second-stage vent blocked");
    let slider = w.harness.get_by_role_and_label(Role::Slider, "Severity");
    slider.focus();
    w.harness.run_steps(2);
    for _ in 0..250 {
        w.harness.key_press(Key::ArrowRight);
    }
    w.harness.run_steps(3);
    w.click("Put it in");
    w.goes_on(1);
    w.let_time_pass(5.0);
    let still = w.outlet_inwc();
    assert!(
        (still - flowing).abs() < 0.03,
        "nothing happens: {flowing} {still}"
    );

    w.asks(2);
    w.shut_all();
    w.goes_on(2);
    w.let_time_pass(1.0);
    let high = w.outlet_inwc();
    assert!((15.5..16.8).contains(&high), "{high}");

    w.asks(3);
    w.press(Key::J);
    w.until("the past is looked at", |a| a.snapshot().looks_back());
    let from_s = w.app().snapshot().readings.time_s;
    // The ruler dragged to and fro.
    w.app().send(Command::LookAt(from_s - 1.0));
    w.until("another moment is looked at", |a| {
        a.snapshot().readings.time_s < from_s - 0.5
    });
    w.app().send(Command::LookAt(from_s));
    w.goes_on(3);
    let snap = w.app().snapshot();
    assert!(snap.looks_back() && snap.faults.is_empty());

    w.asks(4);
    w.press(Key::J);
    w.press(Key::G);
    w.until("another branch runs", |a| a.snapshot().branch.0 == 1);
    let lit = w.app().snapshot().readings.appliances;
    for i in LIT {
        assert_ne!(
            lit[i].phase,
            twostage::rig::Phase::Off,
            "burner {} is lit again",
            i + 1
        );
    }
    w.shut_all();
    w.seen(4);
    w.let_time_pass(1.0);
    let healthy = w.outlet_inwc();
    assert!((11.7..12.3).contains(&healthy), "{healthy}");
    assert_eq!(w.app().snapshot().kept.len(), 1);
    // "From where its own burners went off it climbs over 16": the ringed chart has both climbs in view.
    let [run, beside] = w.app().in_view(Channel::Outlet)[..] else {
        panic!("one branch stands beside the run");
    };
    let inwc = |pa: f64| pa / PA_PER_INWC;
    assert!((11.7..12.3).contains(&inwc(run[1])), "{run:?}");
    assert!((16.0..16.8).contains(&inwc(beside[1])), "{beside:?}");
    assert!(
        inwc(beside[0]) < 11.5,
        "and where it climbs from: {beside:?}"
    );
    w.click("Go on");

    w.asks(5);
    let told = w.goes_through_a_cycle(|w, step| {
        // The cycle counts its steps, and the tour holds its own count back.
        let count = |words: &str| {
            w.harness
                .query_all_by_label_contains(words)
                .next()
                .is_some()
        };
        // Two counts, each with its name.
        assert!(count(&format!("Cycle, step {step} of 6: ")) && count("6 of 7: "));
    });
    each_step_has_a_moment_of_its_own(&told);
    // One click too many on the place of the last one begins no other cycle.
    w.click("One cycle");
    w.harness.run_steps(3);
    assert!(
        w.harness
            .query_all_by_label_contains(" of 6: ")
            .next()
            .is_none()
    );
    w.goes_on(5);

    w.click("End of the tour");
    assert_eq!(w.app().tour.step(), None);
}

/// A hand that is too quick, and one that leaves and comes back: no step is lost, and nothing is told that is not so.
#[test]
fn a_second_click_skips_nothing_and_the_key_leads_back() {
    let mut w = Walk::begin();
    w.asks(0);
    w.press(Key::Num4);
    w.until("the burner is seen", |_| true);
    let begun = Instant::now();
    while w.harness.query_by_label("Go on").is_none() {
        assert!(
            begun.elapsed() < panels::PATIENCE,
            "the first step is not seen"
        );
        std::thread::sleep(Duration::from_millis(5));
        w.harness.run_steps(1);
    }
    let at = w.harness.get_by_label("Go on").rect();
    w.click("Go on");
    w.asks(1);
    // What lies there now does nothing to the tour.
    for label in ["Skip this", "Step back", "Leave"] {
        let other = w.harness.get_by_label(label).rect();
        assert!(!other.intersects(at), "{label} lies where Go on was");
    }
    // Away and back.
    w.press(Key::T);
    assert_eq!(w.app().tour.step(), None);
    w.press(Key::T);
    w.asks(1);
    // Without its fault the third step tells of no 16 in w.c.
    w.click("Skip this");
    assert_eq!(w.app().tour.step(), Some(2));
    let instead = STEPS[2].without_fault.expect("it has words for that");
    assert!(w.harness.query_by_label(instead).is_some());
    w.shut_all();
    w.let_time_pass(5.0);
    assert!(w.outlet_inwc() < 13.0);
    assert!(w.harness.query_by_label(instead).is_some());
    assert!(w.harness.query_by_label(STEPS[2].seen).is_none());
}

/// A fault that is put in at half of its severity is told, and what is still to do; and who leaves by Esc is told the way back.
#[test]
fn half_a_fault_is_told_and_so_is_the_way_back() {
    let mut w = Walk::begin();
    w.click("Skip this");
    w.asks(1);
    w.click("Second-stage vent blocked");
    w.click("Put it in");
    w.until("half of it is in", |a| a.snapshot().faults.len() == 1);
    w.harness.run_steps(3);
    let in_part = STEPS[1].in_part.expect("it has words for that");
    assert!(w.harness.query_by_label(in_part).is_some());
    assert!(w.harness.query_by_label("Go on").is_none());
    let slider = w.harness.get_by_role_and_label(Role::Slider, "Severity");
    slider.focus();
    w.harness.run_steps(2);
    for _ in 0..250 {
        w.harness.key_press(Key::ArrowRight);
    }
    w.goes_on(1);
    w.asks(2);
    // The first Esc takes the ring of the keyboard away, the next one leaves.
    for _ in 0..3 {
        if w.app().tour.step().is_some() {
            w.press(Key::Escape);
        }
    }
    assert_eq!(w.app().tour.step(), None);
    let back = "You left the tour at step 3 of 7: T comes back to it";
    assert!(w.harness.query_by_label(back).is_some());
    w.press(Key::T);
    w.asks(2);
}

/// Nothing moves under a pointer as the tour is closed: its room goes with the next page, and not before.
#[test]
fn what_is_closed_leaves_its_room_until_the_page_is_laid_out_anew() {
    let mut w = Walk::begin();
    let play = |w: &Walk| w.harness.get_by_label("Supply").rect();
    let below = play(&w);
    w.click("Leave");
    w.harness.run_steps(20);
    assert_eq!(play(&w), below, "leaving moves the page");
    w.press(Key::T);
    w.asks(0);
    assert_eq!(play(&w), below, "coming back moves the page");
    for _ in 0..3 {
        if w.app().tour.step().is_some() {
            w.press(Key::Escape);
        }
    }
    w.click("Close");
    assert_eq!(play(&w), below, "closing moves the page");
    w.click("Bench");
    assert!(play(&w).top() < below.top() - 40.0);
    // And nobody leaves an empty band for good: some seconds later it is gone.
    let mut w = Walk::begin();
    let below = play(&w);
    w.click("Leave");
    w.harness.run_steps(600);
    assert!(play(&w).top() < below.top() - 40.0, "ten seconds later");
    // The offer too.
    let mut w = Walk::offered();
    let below = play(&w);
    w.click("Not now");
    assert_eq!(play(&w), below);
}

/// Text and program cannot part: each step stands in the README word for word, in order.
#[test]
fn the_readme_tells_the_tour() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"))
        .expect("the README is there");
    let plain = |text: &str| {
        let words: Vec<&str> = text.split_whitespace().collect();
        words.join(" ").replace(['`', '*'], "")
    };
    let mut rest = plain(&readme);
    for (i, step) in STEPS.iter().enumerate() {
        let told = plain(&format!(
            "{}. {}. {} {}",
            i + 1,
            step.title,
            step.deed,
            step.seen
        ));
        let Some(at) = rest.find(&told) else {
            panic!("the README lacks: {told}");
        };
        rest = rest[at + told.len()..].to_owned();
    }
}

/// The apprentice's first step in docs/guide.md, done on the rig that opens: what it says lights by itself does, and its keys
/// shut the front burner and light it again.
#[test]
fn the_guide_tells_the_rig_that_opens() {
    let guide = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/guide.md"))
        .expect("the guide is there");
    let guide = guide.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "the front burner lights at 4 s by itself, the back burner at 16 s. Then shut the front burner and light it again \
                (`4`, `4`). Press `C` for one cycle";
    assert!(guide.contains(told), "the guide lacks: {told}");
    let harness = panels::harness(vec2(1400.0, 900.0), |ctx| {
        App::new(ctx, Scenario::opening()).expect("the opening scenario starts")
    });
    let mut w = Walk { harness };
    let burns = |a: &mut App, name: &str| {
        let snap = a.snapshot();
        let i = snap.rig.appliances.iter().position(|a| a.name == name);
        let i = i.expect("the rig has it");
        assert!(name != "front burner" || i == 3, "key 4 is another's");
        snap.readings.appliances[i].heat_w > 0.0
    };
    w.app().send(Command::Pause);
    w.let_time_pass(20.0);
    for name in ["front burner", "back burner"] {
        w.until("it burns by itself", |a| burns(a, name));
    }
    w.press(Key::Num4);
    w.until("the key shuts it", |a| !burns(a, "front burner"));
    w.press(Key::Num4);
    w.until("the key lights it again", |a| burns(a, "front burner"));
    w.press(Key::C);
    let shown = (0..600).any(|_| {
        w.harness.run_steps(1);
        std::thread::sleep(std::time::Duration::from_millis(5));
        w.harness
            .query_all_by_label_contains(" of 6: ")
            .next()
            .is_some()
    });
    assert!(shown, "no cycle");
}
