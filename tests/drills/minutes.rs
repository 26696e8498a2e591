//! The minutes that stand beside a test are near those that it takes, whichever is made first.

use crate::common::go;
use std::sync::Arc;
use twostage::diagnosis::inference::next::Offer;
use twostage::drill::attempt::takes;
use twostage::drill::attempt::way::make;
use twostage::drill::making::make::RIGS;
use twostage::drill::{Attempt, Drill};
use twostage::scenario::Scenario;
use twostage::solver::Method;
use twostage::units::System;
use twostage::visit::Test;

/// So far off a promise may be: half a minute, or a quarter.
fn is_near(told: f64, took: f64) -> bool {
    (told - took).abs() <= (0.25 * took).max(0.5)
}

#[test]
fn the_minutes_beside_a_test_are_those_that_it_takes() {
    let mut off = Vec::new();
    for (name, text) in RIGS {
        let rig = Scenario::parse(name, text).unwrap_or_else(|e| panic!("{e}"));
        let text = format!(
            "format = 1\ntitle = \"Small\"\ncomplaint = \"Weak.\"\ngas_told = false\nlimit = \"3 h\"\n[[fault]]\nname = \"second_screw_low\"\nseverity = 0.3\n{}",
            rig.to_toml_within("scenario", System::Us)
        );
        let d = Arc::new(Drill::read(name, &text, None).unwrap_or_else(|e| panic!("{e}")));
        let offer = Offer::with(&d.bag, &d.scenario.rig);
        for test in offer.tests().filter(|t| *t != Test::NewPiping) {
            for lit in [false, true] {
                let (mut a, mut s) = Attempt::unlogged(d.clone(), "Ada", Method::Stiff)
                    .unwrap_or_else(|e| panic!("{e}"));
                if lit {
                    go(&mut a, &mut s, "light half");
                }
                if !make(&mut a, &mut s, test, false) {
                    continue;
                }
                let last = a.entries().last().expect("an act");
                let took = (last.end_s - last.at_s) / 60.0;
                let told = takes::minutes(test, &d.bag);
                if !is_near(told, took) {
                    off.push(format!(
                        "{name} {} lit {lit}: told {told:.2}, took {took:.2}",
                        test.words()
                    ));
                }
            }
        }
    }
    assert!(off.is_empty(), "{off:#?}");
}
