//! How long one listens, what is said of bubbles and joints, and where bubbles are.

use super::house::{House, kelvin, loaded_rig};
use twostage::report::visit;
use twostage::service::{Bubbles, Joint, Sound, bubbles_at, listen};

#[test]
fn a_steady_outlet_is_quiet_for_the_half_second_one_listens() {
    let mut still = House::start(loaded_rig("100 lb cylinder"), 93.0, kelvin(60.0));
    still.switch([0, 1], true).wait(5.0);
    let from_s = still.sim.time_s();
    assert_eq!(
        listen(&mut still.sim).expect("the run goes on"),
        Sound::Quiet
    );
    assert!((still.sim.time_s() - from_s - 0.5).abs() < 1e-9);
}

#[test]
fn what_is_seen_and_heard_has_its_words() {
    let words = [
        Bubbles::None,
        Bubbles::Slow,
        Bubbles::Steady,
        Bubbles::BlownOff,
    ]
    .map(visit::bubbles);
    assert_eq!(
        words,
        [
            "no bubbles",
            "a bubble now and then",
            "steady bubbles",
            "fluid blown away"
        ]
    );
    assert_eq!(
        visit::sound(Sound::Hum { frequency_hz: 41.6 }),
        "it hums at 42 Hz"
    );
    assert!(visit::sound(Sound::Roar).contains("shut the container"));
    let rig = loaded_rig("20 lb cylinder");
    for (word, joint) in [
        ("first vent", Joint::FirstVent),
        ("second vent", Joint::SecondVent),
        ("pigtail", Joint::Pigtail),
        ("low side", Joint::LowSide),
        ("cooktop", Joint::Burner(1)),
    ] {
        assert_eq!(Joint::find(word, &rig).expect("a joint"), joint);
        assert_eq!(joint.name(&rig), word);
    }
    assert_eq!(Joint::find("hose", &rig).expect("a joint"), Joint::Pigtail);
}

/// A leak of the pigtail, of the low side and of a shut gas valve shows where it is and nowhere else.
#[test]
fn bubbles_are_where_the_gas_is() {
    let shown = |change: &dyn Fn(&mut twostage::rig::Rig)| {
        let mut rig = loaded_rig("20 lb cylinder");
        change(&mut rig);
        let house = House::start(rig, 93.0, kelvin(60.0));
        [Joint::Pigtail, Joint::LowSide, Joint::Burner(2)].map(|j| bubbles_at(j, &house.sim))
    };
    let dry = [Bubbles::None; 3];
    assert_eq!(shown(&|_| {}), dry);
    // 0.1 mm² at 93 psig pass some 0.16 g/s, 90 mL/s; at 11 in w.c. 1 mm² some 80 mg/s, 40 mL/s.
    let hose = shown(&|r| r.containers[0].supply.pigtail_leak_m2 = 1e-7);
    assert_eq!(hose, [Bubbles::BlownOff, Bubbles::None, Bubbles::None]);
    for leak_m2 in [1e-8, 3e-8] {
        let less = shown(&|r| r.containers[0].supply.pigtail_leak_m2 = leak_m2);
        assert_eq!(less, [Bubbles::Steady, Bubbles::None, Bubbles::None]);
    }
    let burner = shown(&|r| r.appliances[2].valve_leak_m2 = 1e-8);
    assert_eq!(burner[..2], [Bubbles::None; 2]);
    assert!(
        burner[2] == Bubbles::Slow || burner[2] == Bubbles::Steady,
        "{burner:?}"
    );
}
