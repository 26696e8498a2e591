//! Events: known times, directions, once each, order, ties, starting on the line.

use super::models::Model;
use crate::solver::{Direction, Engine, Method, Stop, Tolerance};

const METHODS: [Method; 3] = [Method::Auto, Method::Explicit, Method::Stiff];

fn tight() -> Tolerance {
    Tolerance {
        relative: 1e-9,
        absolute: 1e-10,
    }
}

/// cos 50 t against thresholds: 0.5 either way, 0 falling, -0.5 rising.
fn oscillator_with_watches() -> Model {
    let known = super::models::oscillator();
    known.model.watching(
        &[Direction::Either, Direction::Falling, Direction::Rising],
        Box::new(|_, y, out| {
            out[0] = y[0] - 0.5;
            out[1] = y[0];
            out[2] = y[0] + 0.5;
        }),
    )
}

/// Runs to `end`, going on after each event, and lists them.
fn all_events(
    engine: &mut Engine,
    model: &Model,
    end: f64,
    restart: bool,
) -> (Vec<(usize, f64, bool)>, Vec<f64>) {
    let mut y = model.start.clone();
    let (mut t, mut list) = (0.0, Vec::new());
    loop {
        match engine.advance(model, t, end, &mut y, &[], &mut |_, _| {}) {
            Ok(Stop::Reached) => return (list, y),
            Ok(Stop::Event {
                index,
                time_s,
                rising,
            }) => {
                assert!(time_s >= t && time_s <= end);
                assert!(list.len() < 1000, "events without end at {time_s}");
                list.push((index, time_s, rising));
                t = time_s;
                if restart {
                    engine.restart();
                }
            }
            Err(error) => panic!("{error}"),
        }
    }
}

#[test]
fn crossings_come_in_order_at_their_times_and_once() {
    use std::f64::consts::PI;
    let model = oscillator_with_watches();
    // One period of cos (derived): 0.5 down at pi/3, 0 down at pi/2, -0.5 up at 4 pi/3, 0.5 up at
    // 5 pi/3.
    let turn = [
        (0, PI / 3.0, false),
        (1, PI / 2.0, false),
        (2, 4.0 * PI / 3.0, true),
        (0, 5.0 * PI / 3.0, true),
    ];
    let expected: Vec<_> = (0..3)
        .flat_map(|n| {
            turn.map(|(i, phase, rising)| (i, (phase + 2.0 * PI * f64::from(n)) / 50.0, rising))
        })
        .collect();
    let end = 6.0 * PI / 50.0;
    for method in METHODS {
        for restart in [false, true] {
            let mut engine = Engine::new(method, tight());
            let (events, y) = all_events(&mut engine, &model, end, restart);
            assert_eq!(events.len(), expected.len(), "{method:?} {events:?}");
            for ((i, t, rising), (j, exact, up)) in events.iter().zip(&expected) {
                assert_eq!((i, rising), (j, up), "{method:?} {events:?}");
                // Amplitude error of the run, about 100 steps' tolerance, over the slope 43/s.
                assert!((t - exact).abs() < 3e-7, "{method:?}: {t} for {exact}");
            }
            assert!((y[0] - 1.0).abs() < 1e-5);
            assert_eq!(engine.work().events, 12);
        }
    }
}

#[test]
fn the_state_at_an_event_is_just_past_it() {
    let model = oscillator_with_watches();
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let mut y = model.start.clone();
        let mut t = 0.0;
        for _ in 0..8 {
            let stop = engine.advance(&model, t, 10.0, &mut y, &[], &mut |_, _| {});
            let Ok(Stop::Event {
                index,
                time_s,
                rising,
            }) = stop
            else {
                panic!("{method:?}: {stop:?}");
            };
            let level = [0.5, 0.0, -0.5][index];
            let past = if rising { y[0] - level } else { level - y[0] };
            // A bracket of 1e-9 steps (at most some ms) at 50/s.
            assert!((0.0..1e-9).contains(&past), "{method:?} {index}: {past}");
            t = time_s;
        }
    }
}

/// Height and speed of a body in free fall, 9.81 m/s2, from 1 m.
fn falling_body() -> Model {
    Model::new(
        "ball",
        &[1.0, 0.0],
        &[1.0, 1.0],
        Box::new(|_, y, dy| {
            dy[0] = y[1];
            dy[1] = -9.81;
        }),
    )
    .watching(&[Direction::Falling], Box::new(|_, y, out| out[0] = y[0]))
}

#[test]
fn a_bouncing_ball_hits_the_floor_at_the_known_times() {
    // Restitution 0.8 (derived): first touch sqrt(2/g), then intervals 2 v 0.8^n / g.
    let model = falling_body();
    let g = 9.81_f64;
    for method in METHODS {
        let mut engine = Engine::new(method, tight());
        let mut y = model.start.clone();
        let mut t = 0.0;
        let mut exact = (2.0 / g).sqrt();
        let mut speed = (2.0 * g).sqrt();
        for bounce in 0..12 {
            let stop = engine.advance(&model, t, 100.0, &mut y, &[], &mut |_, _| {});
            let Ok(Stop::Event {
                index: 0, time_s, ..
            }) = stop
            else {
                panic!("{method:?} bounce {bounce}: {stop:?}");
            };
            assert!(
                (time_s - exact).abs() < 1e-7,
                "{method:?}: {time_s} {exact}"
            );
            // The body is left a hair below the floor: that must not count again.
            y[1] *= -0.8;
            engine.restart();
            t = time_s;
            speed *= 0.8;
            exact += 2.0 * speed / g;
        }
    }
}

#[test]
fn a_watch_that_starts_on_the_line_counts_from_the_side_it_moves_to() {
    // y = sin t from exactly 0, watched either way: first event at pi (falling), then 2 pi.
    use std::f64::consts::PI;
    let model = Model::new(
        "sine",
        &[0.0, 1.0],
        &[1.0, 1.0],
        Box::new(|_, y, dy| {
            dy[0] = y[1];
            dy[1] = -y[0];
        }),
    )
    .watching(&[Direction::Either], Box::new(|_, y, out| out[0] = y[0]));
    for method in METHODS {
        let mut engine = Engine::new(method, tight());
        let (events, _) = all_events(&mut engine, &model, 7.0, true);
        assert_eq!(events.len(), 2, "{method:?} {events:?}");
        assert!((events[0].1 - PI).abs() < 1e-6 && !events[0].2);
        assert!((events[1].1 - 2.0 * PI).abs() < 1e-6 && events[1].2);
    }
}

#[test]
fn watches_that_cross_together_are_all_reported_in_turn() {
    // Three watches on y = t, two of them at the very same level.
    let model = Model::new("clock", &[0.0], &[1.0], Box::new(|_, _, dy| dy[0] = 1.0)).watching(
        &[Direction::Rising; 4],
        Box::new(|t, y, out| {
            out[0] = y[0] - 0.75;
            out[1] = y[0] - 0.5;
            out[2] = t - 0.5;
            out[3] = 10.0 * y[0] - 5.0;
        }),
    );
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let (events, _) = all_events(&mut engine, &model, 1.0, false);
        let mut indices: Vec<_> = events.iter().map(|e| e.0).collect();
        assert_eq!(indices.pop(), Some(0), "{events:?}");
        indices.sort_unstable();
        assert_eq!(indices, [1, 2, 3], "{method:?} {events:?}");
        for (index, time_s, _) in events {
            let exact = if index == 0 { 0.75 } else { 0.5 };
            assert!((time_s - exact).abs() < 1e-9, "{time_s}");
        }
    }
}

#[test]
fn arriving_at_the_end_time_counts_once() {
    let model = Model::new("clock", &[0.0], &[1.0], Box::new(|_, _, dy| dy[0] = 1.0))
        .watching(&[Direction::Rising], Box::new(|t, _, out| out[0] = t - 1.0));
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let mut y = vec![0.0];
        let stop = engine.advance(&model, 0.0, 1.0, &mut y, &[], &mut |_, _| {});
        assert!(
            matches!(stop, Ok(Stop::Event { index: 0, time_s, rising: true }) if time_s == 1.0),
            "{method:?} {stop:?}"
        );
        let stop = engine.advance(&model, 1.0, 2.0, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
}

#[test]
fn a_jump_made_by_the_caller_is_not_a_crossing() {
    let model = Model::new("still", &[1.0], &[1.0], Box::new(|_, _, dy| dy[0] = 0.0))
        .watching(&[Direction::Either], Box::new(|_, y, out| out[0] = y[0]));
    for method in METHODS {
        let mut engine = Engine::new(method, Tolerance::default());
        let mut y = vec![1.0];
        engine
            .advance(&model, 0.0, 1.0, &mut y, &[], &mut |_, _| {})
            .unwrap();
        y[0] = -1.0;
        engine.restart();
        let stop = engine.advance(&model, 1.0, 2.0, &mut y, &[], &mut |_, _| {});
        assert_eq!(stop, Ok(Stop::Reached));
    }
}

#[test]
fn samples_stop_at_the_event_and_go_on_after_it() {
    let model = falling_body();
    let samples: Vec<f64> = (1..=100).map(|i| f64::from(i) * 0.01).collect();
    for method in METHODS {
        let mut engine = Engine::new(method, tight());
        let mut y = model.start.clone();
        let mut seen = Vec::new();
        let mut t = 0.0;
        loop {
            let stop = engine
                .advance(&model, t, 1.0, &mut y, &samples, &mut |t, y| {
                    seen.push((t, y[0]));
                })
                .unwrap();
            let Stop::Event { time_s, .. } = stop else {
                break;
            };
            assert!(seen.iter().all(|s| s.0 <= time_s));
            assert_eq!(seen.len(), samples.iter().filter(|s| **s <= time_s).count());
            t = time_s;
            y[1] = -y[1];
            engine.restart();
        }
        let times: Vec<f64> = seen.iter().map(|s| s.0).collect();
        assert_eq!(times, samples, "{method:?}");
        // Elastic bounces (derived): fold the time into the first fall.
        let fall = (2.0_f64 / 9.81).sqrt();
        for (t, height) in seen {
            let phase = (t + fall).rem_euclid(2.0 * fall) - fall;
            let exact = 1.0 - 0.5 * 9.81 * phase * phase;
            assert!(
                (height - exact).abs() < 1e-6,
                "{method:?} {t}: {height} {exact}"
            );
        }
    }
}
