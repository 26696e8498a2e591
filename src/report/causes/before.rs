//! What stands before the causes: what comes at once, why to stop, what the readings say by themselves.

use crate::diagnosis::answer::{Alone, Answer, Cause, Prediction};
use crate::diagnosis::files::account::{self, Smell};
use crate::diagnosis::files::readings::Yellow;
use crate::diagnosis::inference::next::Sought;
use crate::diagnosis::inference::safety::{Danger, NoGas, Reason};
use crate::diagnosis::remarks::Odd;
use crate::diagnosis::starved::{Starved, Taker};
use crate::fault::Family;
use crate::report::judged::decided;
use crate::report::letters::{capital, lower};
use crate::report::visit::value;
use crate::service::LIMITS;
use crate::units::{System, pa_to_inwc, pa_to_psi};
use crate::visit::{ALL, Against, Id, Judged, Measure, Test, Verdict};

/// Where there was no gas to read anything with.
pub fn no_gas(why: NoGas) -> &'static str {
    match why {
        NoGas::Container => {
            "The container gives no pressure: it is empty, shut, or too cold for its fuel. Nothing that was read then \
             tells of the regulator. Fill it, or open its valve slowly, make the leak check, and read again."
        }
        NoGas::Beyond => {
            "The container has pressure and no gas comes out of the regulator: its valve is shut, its excess-flow valve \
             has tripped, or the way to the regulator is blocked. Nothing that was read then tells of the regulator. Shut \
             the burners, open the valve slowly, make the leak check, and read again."
        }
    }
}

/// Whether nothing was found that stops, and gas is only to be expected.
pub(super) fn is_only_expected(answer: &Answer) -> bool {
    answer.refer.iter().all(|why| why.is_only_expected())
}

/// What stands over the reasons to stop.
pub fn stop(answer: &Answer) -> &'static str {
    if is_only_expected(answer) {
        "Light nothing yet"
    } else {
        "Shut the container and refer to a qualified LP-gas technician"
    }
}

/// What is to be said before the causes, a sentence or two each; numbers whose unit is asked about are not judged.
pub fn notes(answer: &Answer, system: System, is_asked: bool) -> Vec<String> {
    let mut out = Vec::new();
    if answer.is_first_look {
        out.push(FIRST_LOOK.to_owned());
    }
    if !is_asked {
        out.extend(fails(answer, system));
        out.extend(watched(answer, system));
    }
    out.extend(unknown(answer));
    let is_overfilled = |(_, judged): &(Test, Judged)| {
        let of_fill = matches!(
            judged.against,
            Against::Figure(Measure::Read(Id::Fill | Id::SecondFill))
        );
        of_fill && LIMITS.fill.is_passed_by(judged.value)
    };
    if answer.watched.iter().any(is_overfilled) {
        out.push(OVER_80.to_owned());
    }
    out.extend(leak_sought(answer));
    out.extend(answer.taken_at.as_ref().map(|name| {
        format!("The pressure at an appliance is taken as the {name}'s, the largest: name the one it was read at where that is another.")
    }));
    out.extend(answer.drop_to.as_ref().map(|name| {
        format!(
            "The drop is that to the {name} alone: its own branch, quick coupling or valve may take it. Read a second appliance's \
             inlet at full load before the main line is blamed."
        )
    }));
    out.extend(answer.branch.as_ref().map(|b| {
        let shown = |pa: f64| value(Id::FullManifold, pa, system);
        format!(
            "Between the manifold ({}) and the {} ({}) {} are lost, over {}: its own branch, quick coupling, valve or a kink takes it. No \
             cause of the list stands there: have a qualified technician put that right, and read again.",
            shown(b.manifold_pa),
            b.name,
            shown(b.inlet_pa),
            shown(b.lost_pa()),
            shown(LIMITS.pipe_drop.high),
        )
    }));
    let mut say = |words: &str| out.push(words.to_owned());
    if let Some(of) = &answer.starved {
        say(&starved(of, system));
    }
    match answer.yellow {
        Some(Yellow::AtRight) => say(YELLOW),
        Some(Yellow::AsLow) => say(YELLOW_AS_LOW),
        None => {}
    }
    if answer.gains {
        say(GAIN);
    }
    if answer.loses_little {
        say(LOSES_LITTLE);
    }
    if let Some(pa) = answer.began_off_pa {
        say(&began_off(pa, system));
    }
    if answer
        .next_tests
        .iter()
        .any(|t| t.sought == Some(Sought::Smell))
    {
        say(SMELL_SOUGHT);
    }
    if at_an_appliance(answer) {
        say(AT_THE_APPLIANCE);
    }
    if answer.first_climbs {
        say(FIRST_CLIMBS);
    }
    for words in facts(answer, system) {
        say(&words);
    }
    for odd in &answer.odd {
        say(match odd {
            Odd::FullOverHalf => {
                "The outlet was read higher at full load than at half load: read both again. Were they swapped, or had burners gone out?"
            }
            Odd::StillDrawn => {
                "Everything off, the outlet stands no higher than at half load, and the leak check loses: was something still burning? A refrigerator \
                 or a pilot that was left on does both, and so does a leak as large as a burner. Shut each appliance's own valve and read both again."
            }
            Odd::RestUnderFlow => {
                "The outlet was read lower with everything off than at half load: was gas still drawn, or had the supply run out? Read both again."
            }
        });
    }
    if let Some(of) = &answer.rests_on {
        say(&alone(of, system));
    }
    if let Some(words) = in_limits(answer) {
        say(words);
    }
    out
}

/// What single readings say together.
fn facts(answer: &Answer, system: System) -> Vec<String> {
    let of = &answer.facts;
    let mut out = Vec::new();
    out.extend(of.relief_held_pa.map(|pa| relief_held(pa, answer, system)));
    out.extend(of.lost_nowhere_pa.map(|pa| {
        format!(
            "The leak check loses {} and leak fluid shows nothing at the joints, the burners and the vent. Before a cause is believed: was a \
             pilot or a burner left on; are the gauge's own hose and its tap tight (leak fluid there too); had the gas cooled (1 °F takes 0.80 in \
             w.c.)? Shut each appliance's own valve and repeat it, out of the sun and the wind. What still loses then is a leak, and nothing is lit.",
            value(Id::RestMinute, pa, system)
        )
    }));
    out.extend(of.thawed_pa.map(|pa| {
        format!(
            "Warming brought back {} at full load: what stood in the way had frozen. That is water in the fuel or wet gas at the regulator's seats, \
             or ice that shuts its vent, whatever is likeliest below. It comes back with the next cold draw: a supplier dries the container (methanol, \
             by a qualified person), and a regulator that froze is drained or replaced (common practice).",
            value(Id::WarmFull, pa, system)
        )
    }));
    let is_told = answer.starved.is_some();
    out.extend(of.weak_pa.filter(|_| !is_told).map(|pa| {
        format!(
            "At the temperature of the air propane gives about {}, and this container gives a good deal less: it is chilled by what was drawn, nearly \
             empty, or holds another fuel. Weigh it, let it stand shut until it is as warm as the air (nobody heats it), and read it again.",
            value(Id::Container, pa, system)
        )
    }));
    out
}

/// That one number alone carries what stands first.
fn alone(of: &Alone, system: System) -> String {
    format!(
        "What stands first rests on one reading alone, {}: {}; without it there would be one fault fewer. Read it again, the gauge zeroed, before \
         anything is replaced; until then it stands as it was read.",
        of.item.item().words,
        value(of.item, of.value, system)
    )
}

/// That a relief did not open.
fn relief_held(pa: f64, answer: &Answer, system: System) -> String {
    let quiet = [Id::SecondVentRest, Id::SoundRest];
    let read = |r: &Prediction| quiet.contains(&ALL[r.item].id) && r.measured.is_some();
    let mut readings = answer.causes.iter().flat_map(|c| &c.readings);
    let stood = value(Id::RestCreep, pa, system);
    let opens = "A relief opens between 170 and 300 % of the set pressure (UL 144, from memory), which is by 33 in w.c.";
    let then = "it is stuck, or its way out is shut. That is a fault of its own, whatever lets the pressure rise: the container stays shut, and the \
        whole regulator is replaced by a qualified technician";
    if readings.any(read) {
        format!(
            "The outlet stood at {stood} and no gas left by the vent. {opens}: where it did not, {then}."
        )
    } else {
        format!(
            "The outlet stood at {stood}; was gas heard or felt to leave by the vent? {opens}: if none left, {then}."
        )
    }
}

/// Readings with what they break, all of them in one line; none where there are none.
fn in_a_line<'a>(all: impl Iterator<Item = &'a (Test, Judged)>, system: System) -> Option<String> {
    let told: Vec<String> = all
        .map(|(test, judged)| lower(&decided(judged, *test, system)))
        .collect();
    let line = told.join("; ").trim_end_matches('.').to_owned();
    (!told.is_empty()).then_some(line)
}

/// What fails the bench's limits, but for what a sign to stop tells already.
fn fails(answer: &Answer, system: System) -> Option<String> {
    let is_told = |judged: &Judged| answer.refer.iter().any(|why| why.tells(judged));
    let left = answer.fails.iter().filter(|(_, judged)| !is_told(judged));
    let line = in_a_line(left, system)?;
    let shuts = answer
        .fails
        .iter()
        .any(|(test, judged)| judged.leaves_shut(*test));
    Some(if answer.danger == Danger::None && !shuts {
        format!(
            "By the bench's limits this fails: {line}. An appliance whose flame is low, or that will not burn, stays off until a qualified technician has \
             put that right and tested again (common practice)."
        )
    } else if answer.danger == Danger::None {
        format!(
            "By the bench's limits this fails: {line}. Except for testing, the container stays shut until a qualified technician has put \
             that right and tested again (common practice)."
        )
    } else {
        format!("By the bench's limits this fails besides: {line}.")
    })
}

/// That the regulator was given too little.
fn starved(of: &Starved, system: System) -> String {
    let shown = |pa: f64| value(of.at, pa, system);
    let (what, had) = (capital(of.at.item().words), shown(of.pa));
    let why = match of.by {
        Taker::Container(Some(full)) => format!(
            "At the temperature of the air propane gives about {}: this container is chilled by what was drawn, nearly empty, or holds \
             another fuel. Weigh it, and let it stand shut until it is as warm as the air (nobody heats it)",
            shown(full)
        ),
        Taker::Container(None) => "It is cold, or nearly empty: weigh it, and let it stand shut until it is as warm as the air (nobody heats it)".to_owned(),
        Taker::Between(container) => format!(
            "The container has {}: the rest is lost between them, in its valve, the hose or a filter",
            shown(container)
        ),
        Taker::Unknown => "Read the container too: it gives no more, or the rest is lost on the way".to_owned(),
    };
    format!(
        "{what} {had}: too little for any regulator of two stages, so what its outlet loses then is the supply's and says nothing of the \
         regulator. {why}; then read again."
    )
}

/// What has to be watched by them.
fn watched(answer: &Answer, system: System) -> Option<String> {
    let line = in_a_line(answer.watched.iter(), system)?;
    Some(format!(
        "Allowed by the bench's limits and to be watched: {line}."
    ))
}

/// That few visits stand behind an answer.
const FIRST_LOOK: &str =
    "A first look from few simulated visits: order and shares of the causes may still change.";

/// What a container is that holds a little more than it may.
const OVER_80: &str = "No container holds more than 42 % of its water capacity by weight, which is 80 % of its volume with the liquid at 40 °F (code; a level is \
    counted so by the air, up to 60 °F): warmer liquid stands higher, so weigh a cylinder. Until that is known it is \
    overfilled: burners off, kept out of the sun, and bled down by nobody but a qualified person, outdoors and away from flames.";

/// What comes before all else where gas is smelled.
pub use crate::fault::caution::SMELL;

/// What comes before all else where carbon monoxide or soot was told of (common practice).
pub const MONOXIDE: &str = "Carbon monoxide kills without a smell: everyone out into fresh air, now. On the way, and only if it costs no time: appliances off, \
    doors and windows open; then shut the container. Whoever has a headache, is dizzy, sick or drowsy needs medical help at once, called from outside. \
    Nobody goes back in to sleep, and nothing is lit again, before a qualified technician has found why and put it right";

/// What comes before all else, where anything does.
pub fn at_once(answer: &Answer) -> Vec<&'static str> {
    let smelled = |why: &Reason| matches!(why, Reason::Smelled(_) | Reason::SmellTold);
    let all = [
        (answer.refer.iter().any(smelled), SMELL),
        (answer.refer.contains(&Reason::MonoxideTold), MONOXIDE),
    ];
    let comes = all.into_iter().filter(|(is, _)| *is);
    comes.map(|(_, words)| words).collect()
}

/// Where a leak check lost and leak fluid has not been everywhere: that comes before any cause.
fn leak_sought(answer: &Answer) -> Option<String> {
    let cause = answer.causes.first()?;
    let places = cause.readings.iter().filter(|r| {
        let seeks = [Test::Joints, Test::Vent].contains(&ALL[r.item].test);
        seeks && r.measured.is_none() && Danger::NoFlame.allows_item(ALL[r.item].id)
    });
    let places: Vec<&str> = places.map(|r| r.words).collect();
    let is_wanted = answer.refer.contains(&Reason::Loses) && !places.is_empty();
    is_wanted.then(|| {
        format!(
            "The leak check loses: where, leak fluid shows, and that comes before any cause. Still to be looked at: {}. By a qualified \
             technician, outdoors or with everything aired, no flame near, the container open no longer than it takes.",
            places.join("; ")
        )
    })
}

/// What a first stage is that does not lock up, whatever causes the readings are like.
const FIRST_CLIMBS: &str = "The first stage is right while gas flows and stands over 13 psig at rest: its seat does not close, or liquid \
    has reached it, whatever stands below. Keep the container shut; a regulator whose first stage does not lock up is replaced by a \
    qualified technician (common practice). Gas that was shut in and has warmed or gone higher since reads more by itself: if none was \
    drawn since, bleed a little, let it lock up again and read again before anything is replaced.";

/// What a leak check is that lost a little.
const LOSES_LITTLE: &str = "The leak check lost something within its limit of one division. A slow leak does no more in three minutes: repeat it for ten or longer, \
    in steady air and out of the sun, before the rig is called tight.";

/// That a leak check began far from where it should.
fn began_off(pa: f64, system: System) -> String {
    let began = value(Id::RestMinute, pa, system);
    if LIMITS.leak_start.is_passed_by(pa) {
        format!(
            "The leak check began at {began}: with so much in the line the regulator's seats are shut, so that no loss says nothing of what lies \
             behind them. Bleed to 9 in w.c. and repeat it."
        )
    } else {
        format!(
            "The leak check began at {began}: what it lost is counted as it would be from 9 in w.c.; so low a start shows less. Repeat it from there."
        )
    }
}

/// Why leak fluid comes first where gas was smelled.
const SMELL_SOUGHT: &str = "Gas was smelled, and leak fluid has not been everywhere. A leak check at 9 in w.c. proves neither pigtail and connections, which leak at the \
    container's pressure, nor the vents while gas flows, nor a burner's valve that is open: leak fluid there first, the pigtail before all (common practice).";

/// Belief from which what is an appliance's own is told (own).
const OF_APPLIANCE: f64 = 0.3;

/// Whether what stands first, or about, is of an appliance alone: there the catalogue has a few causes of many.
fn at_an_appliance(answer: &Answer) -> bool {
    let is = |c: &Cause| {
        let mut faults = c.faults.iter();
        faults.any(|f| f.entry().family == Family::Appliance)
    };
    let of = answer.causes.iter().filter(|c| is(c));
    of.map(|c| c.probability).sum::<f64>() > OF_APPLIANCE
}

/// What does the same at an appliance and is not in the catalogue (common practice).
const AT_THE_APPLIANCE: &str = "How sure an answer is counts for the causes of this list alone, and of an appliance it has a few: a thermocouple's or flame sensor's \
    connection, a high-limit or tilt switch, a draught, a flue or air inlet that is blocked, a dirty pilot or burner, its gas valve and its control do the same. Which \
    appliance it is was not asked either. Look at that one itself before a part is bought (common practice).";

/// Words that no cause known here shows.
fn unknown(answer: &Answer) -> Option<String> {
    let words: Vec<String> = answer.unknown.iter().map(super::look).collect();
    (!words.is_empty()).then(|| {
        format!(
            "{}: no cause known here shows that, so it weighs nothing in the list, and by itself it is no fault. Find out what makes it.",
            capital(&words.join("; "))
        )
    })
}

/// What yellow flames at a right pressure are.
const YELLOW: &str = "Yellow flames at a right pressure are the burner's own and not in this model: its air shutter, dirt or a \
    spider's web in its tube, a wrong orifice, at altitude an input that was not set lower for it. They make soot and carbon monoxide: but for the tests, everything aired, keep that burner off until a qualified technician \
    has put it right.";

/// What they are where it is low, or was not read.
const YELLOW_AS_LOW: &str = "Yellow flames are counted as low ones here, since no right pressure was read beside them. Whatever makes them, they make soot and \
    carbon monoxide: but for the tests, everything aired, keep that burner off. Where flow pressure comes out right it is the burner's own.";

/// What a gain in the leak check is before it is anything else.
const GAIN: &str = "A leak check that gains: shut the container valve again and repeat it first, out of the sun: gas that is shut in gains 0.80 in w.c. for each °F that it \
    warms. A valve that leaks through is no cause of this catalogue.";

/// That all that was read holds its limits.
fn in_limits(answer: &Answer) -> Option<&'static str> {
    let named = answer.causes.first().is_some_and(|c| !c.faults.is_empty());
    let holds = answer.verdict == Some(Verdict::Pass);
    (holds && answer.refer.is_empty()).then_some(if named {
        "All that was read holds the bench's limits. Each cause below would be a mild one: test again before anything is done."
    } else {
        "All that was read holds the bench's limits. What is listed beside that nothing is wrong would be mild."
    })
}

/// The limit that nothing in a vehicle's piping may pass.
fn never_above() -> String {
    format!("{:.0} in w.c.", pa_to_inwc(LIMITS.lock_up_caution.high))
}

/// Why one should stop.
pub fn refer(why: Reason) -> String {
    match why {
        Reason::OverRelief(i) => format!(
            "{} is over {:.0} psig: the relief does not hold it (or it was read in another unit)",
            i.item().words,
            pa_to_psi(LIMITS.relief.high)
        ),
        Reason::FarOver(i) => format!("{} is far over {}", i.item().words, never_above()),
        Reason::Over(i) => format!("{} is over {}", i.item().words, never_above()),
        Reason::FirstOver => format!(
            "the first stage stands over {:.0} psig: container pressure reaches parts made for 10 psig",
            pa_to_psi(LIMITS.first_danger.high)
        ),
        Reason::FirstPegged => "the first stage's gauge is over its range: it may stand at the container's pressure, and parts made for \
             10 psig with it. A larger gauge tells, fitted with the container shut and the line bled"
            .to_owned(),
        Reason::Overfilled(i) => format!(
            "{} is far over 80 %: liquid may come to the regulator, and the container's own relief may open; nobody bleeds it down \
             but a qualified person, outdoors and away from flames",
            i.item().words
        ),
        Reason::OverPropane(i, most) => format!(
            "{} is over {:.0} psig, more than propane gives in such air and in the sun: liquid without room over it, air or another gas, or a gauge \
             that reads wrong. Weigh the container, shut as it is, and read a second gauge",
            i.item().words,
            pa_to_psi(most)
        ),
        Reason::Bubbles(i) => format!("leak fluid shows gas: {}", i.item().words),
        Reason::Heard(i) => format!("gas is heard: {}", i.item().words),
        Reason::Loses => "the leak check loses pressure".to_owned(),
        Reason::Smelled(place) => {
            format!("gas is smelled {}", account::words(&Smell::ALL, &place))
        }
        Reason::Expected(i) => format!(
            "what is likeliest here lets gas out: {}. Nose and leak fluid there before anything is lit",
            i.item().words
        ),
        Reason::MayHaveTripped(i) => format!(
            "gas is lost before the regulator, and an excess-flow valve that tripped may have shut off a leak. Nose and leak fluid before anything is \
             lit, where it would be: {}",
            i.item().words
        ),
        Reason::Unexplained(i) => format!(
            "{} stands over its limit or climbs, and what is likeliest below does not explain it: a seat that does not shut may be there besides. Read it \
             again; while it stands so nothing is lit, also when the rest has been put right",
            i.item().words
        ),
        Reason::FirstClimbing => format!(
            "the first stage at rest is over {:.0} psig and climbs on: nothing keeps it from the container's pressure",
            pa_to_psi(LIMITS.first_rest.high)
        ),
        Reason::MonoxideTold => {
            "carbon monoxide or soot was told of: no reading of a pressure shows that what burns is safe; a qualified technician looks at \
             burners, vents and air with a carbon monoxide meter"
                .to_owned()
        }
        Reason::SmellTold => {
            "a smell of gas was told, and no leak check has been read since".to_owned()
        }
    }
}
