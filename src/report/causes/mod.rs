//! Words of a diagnosis: what an answer rests on, what to do about a cause, why a test is worth making.

mod before;

use before::is_only_expected;
pub use before::{SMELL, at_once, no_gas, notes, refer, stop};

use super::letters::{capital, lower};
use super::marks::{PARTS_SOME, parts_causes};
use super::percent::belief;
use super::visit::value;
use crate::diagnosis::advice::Advice;
use crate::diagnosis::answer::{Answer, Cause, Group, Look, Pair, Prediction};
use crate::diagnosis::files::slip::Slip;
use crate::diagnosis::inference::next::{NextTest, Sought};
use crate::diagnosis::inference::safety::{Danger, Offered};
use crate::fault::Fault;
use crate::units::{Dimension, System, with_commas};
use crate::visit::ALL;
use crate::visit::item::BUBBLES;

/// Decimals of a severity: more where it is a hundredth or less, so that none is told as nothing.
pub fn places(severity: f64) -> usize {
    if severity < 0.0095 { 3 } else { 2 }
}

/// For which side a reading speaks. It is weighed against what other causes foretell, so one that a cause foretells well
/// may still fit others better, and one that it foretells badly may fit all others worse.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Speaks {
    /// For the cause.
    For,
    /// Against it.
    Against,
    /// As the cause foretells it, and as others do still more closely.
    ForOthers,
    /// Off what the cause foretells, and further off what others do.
    LeastOff,
    /// For neither.
    Neutral,
}

impl Speaks {
    /// As a table has it.
    pub fn word(self) -> &'static str {
        match self {
            Self::For => "for",
            Self::Against => "against",
            Self::ForOthers => "fits others more",
            Self::LeastOff => "fits others less",
            Self::Neutral => "neutral",
        }
    }
}

/// How a reading came about.
pub fn read_or_not(p: &Prediction) -> &'static str {
    match (p.is_brought, p.is_over) {
        (true, _) => "worked out as",
        (false, true) => "read over",
        (false, false) => "read",
    }
}

/// Two faults at once, as a line of a list.
pub fn both(pair: &Pair) -> String {
    format!("{} (both)", pair.name)
}

/// What is done where two faults at once are likeliest of all.
pub fn pair_first(answer: &Answer) -> Option<String> {
    let pair = answer.pairs.first()?;
    let singles = answer.groups.iter().map(|g| g.probability);
    let is_first = singles
        .chain([answer.none_of_these])
        .all(|other| pair.probability > other);
    let advice = |k: usize| lower(&advice_of(pair.faults[k], answer.danger));
    is_first.then(|| {
        format!(
            "Two faults at once stand first, {}. A qualified technician: {}; and: {}; then every test again; otherwise shut off and refer.",
            pair.name,
            advice(0),
            advice(1)
        )
    })
}

/// What a reading says of a cause.
pub fn speaks(p: &Prediction) -> Speaks {
    /// Favour from which a reading says something \[nats\] (own).
    const HEARD: f64 = 0.5;
    // As it is read: half a division more or less is the same number.
    let in_range = |v: f64| {
        if ALL[p.item].choices().is_some() {
            return p.range.contains(&v);
        }
        let half = 0.5 * ALL[p.item].uncertainty(v);
        (p.range[0] - half..=p.range[1] + half).contains(&v)
    };
    let fits = p.off <= 1.0 || p.measured.is_some_and(in_range);
    match p.favour {
        f if f > HEARD && fits => Speaks::For,
        f if f > HEARD => Speaks::LeastOff,
        f if f < -HEARD && fits => Speaks::ForOthers,
        f if f < -HEARD => Speaks::Against,
        _ => Speaks::Neutral,
    }
}

/// What an answer rests on.
pub fn rests_on(answer: &Answer) -> String {
    let visits = with_commas(&answer.samples.to_string());
    if answer.is_first_look {
        format!(
            "A first look, from {visits} simulated visits to this rig: too few to say that nothing explains the readings, or to be sure."
        )
    } else {
        format!("From {visits} simulated visits.")
    }
}

/// That no test is left that would tell more.
pub fn no_test(answer: &Answer) -> &'static str {
    if answer.danger != Danger::None {
        "While the rig has to stay as it is, no test is left that would tell much: what was found comes first. A qualified technician \
         puts it right and makes every test again."
    } else if answer.is_unnamed() {
        "No test would tell more of the causes known here: read again what none of them explains."
    } else {
        "No further test would tell more."
    }
}

/// That nothing explains the readings, where that is likelier than all else: of what was tried, and what is plain all the same.
pub fn unnamed(answer: &Answer) -> Option<String> {
    let tried = if answer.pairs.is_empty() {
        "No single cause known here explains these readings, and two at once were not tried"
    } else {
        "No cause known here explains these readings, nor any two of them that were tried"
    };
    let then = if answer.starved.is_some() {
        "What comes before the regulator is too little all the same: that is put right first"
    } else {
        "Read again before acting"
    };
    answer.is_unnamed().then(|| {
        format!(
            "{tried} ({} none of these). {then}.",
            belief(answer.none_of_these)
        )
    })
}

/// Heading and words of the caution that goes with a cause: of one that is likelier not there, what it would be.
pub fn caution(cause: &Cause) -> (&'static str, &'static str) {
    let is_guess = !cause.faults.is_empty() && cause.probability < 0.5;
    let heading = if is_guess {
        "caution, should it be this"
    } else {
        "caution"
    };
    (heading, cause.caution)
}

/// Whether what a reading says of a cause is worth a line: what only fits a little better or worse than elsewhere is not (own: e to 1).
pub fn says_something(p: &Prediction) -> bool {
    match speaks(p) {
        Speaks::For | Speaks::Against => true,
        Speaks::ForOthers | Speaks::LeastOff => p.favour.abs() >= 1.0,
        Speaks::Neutral => false,
    }
}

/// What stands nearest where nothing explains the readings.
pub fn nearest(answer: &Answer) -> Option<String> {
    let named = answer.causes.iter().filter(|c| !c.faults.is_empty());
    let names: Vec<&str> = named.map(|c| c.name.as_str()).take(3).collect();
    let is_wanted = answer.is_unnamed() && !names.is_empty();
    is_wanted.then(|| {
        format!(
            "Nearest of the causes known here, and none of them near: {}.",
            names.join("; ")
        )
    })
}

/// What was seen with the eye, where nothing explains all that was read, or what stands first does not show it: it is there, whatever
/// else is.
pub fn seen(answer: &Answer) -> Option<String> {
    let first = answer.causes.first().map(|c| &c.readings[..]);
    let left = |l: &&Look| {
        let mut all = first.unwrap_or_default().iter();
        all.any(|r| r.item == l.item && r.is_unexplained())
    };
    let looks = answer.seen.iter();
    let looks = looks.filter(|l| answer.is_unnamed() || left(l));
    let looks: Vec<String> = looks.map(look).collect();
    (!looks.is_empty()).then(|| {
        format!(
            "What was seen is there, whatever else is: {}. Put that right first, then read again.",
            looks.join("; ")
        )
    })
}

fn look(look: &Look) -> String {
    let word = value(ALL[look.item].id, look.seen as f64, System::Us);
    format!("{}: {word}", ALL[look.item].words)
}

/// That a reading makes no sense in its unit and would in another.
pub fn slip(s: &Slip, system: System) -> String {
    // As it was written, without what a product of units leaves behind it.
    let rounded = |number: f64| (1e4 * number).round() / 1e4;
    let told = |symbol: &str, number: f64| {
        let number = rounded(number);
        let all = Dimension::GaugePressure.units();
        let unit = all.iter().find(|u| u.symbol == symbol);
        unit.map_or_else(Default::default, |u| {
            (
                format!("{number} {}", u.screen.replace("inwc", "in w.c.")),
                value(s.item, number * u.si, system),
            )
        })
    };
    let ((written, is), (other, would_be)) = (told(s.from, s.number), told(s.to, s.meant));
    let words = capital(s.item.item().words);
    if s.is_of_point() {
        return format!(
            "Is the decimal point right? {words}: {written}, and {other} would be as usual"
        );
    }
    // What is shown in the unit that it was written in needs no second telling.
    let with = |what: String, shown: String, link: &str| {
        if shown.replace(".0 ", " ") == what {
            what
        } else {
            format!("{what} {link} {shown}")
        }
    };
    format!(
        "Read in another unit? {words}: {}; perhaps {}",
        with(written, is, "is"),
        with(other, would_be, "would be")
    )
}

/// What stands under such a question.
pub const AS_WRITTEN: &str =
    "Until that is answered what follows is a first look at the numbers as they are written.";

/// What is left for causes that are not in a list which holds so much, where that is worth a line.
pub fn others(answer: &Answer, listed: f64) -> Option<f64> {
    let left = 1.0 - listed - answer.none_of_these;
    (left >= 0.05).then_some(left)
}

/// What the likeliest causes hang on, where that is a single look: each of these alone.
pub fn hangs_on(answer: &Answer) -> Option<String> {
    let looks: Vec<String> = answer.hangs_on.iter().map(look).collect();
    let (one, it) = match looks.len() {
        0 => return None,
        1 => ("a single look", "it is"),
        _ => ("each of these looks", "they are"),
    };
    Some(format!(
        "What stands first hangs on {one} ({}). An eye may be mistaken: look again before anything is done, and set it aside where {it} not so.",
        looks.join("; ")
    ))
}

/// What to make of a group that is one on this rig only.
pub fn alike(group: &Group, danger: Danger) -> String {
    let name = &group.name;
    match danger {
        Danger::None => format!(
            "As slightly as they would show on this rig, no test tells these apart: {name}. Do what mends all of them, or shut off and \
             refer."
        ),
        _ => format!(
            "While the rig has to stay as it is, no test that may be made tells these apart: {name}. What was found comes first; a \
             qualified technician tells them apart when that is put right."
        ),
    }
}

/// Heading and words of what tells a cause from its look-alikes, where there is such a test: beside a stop, and where the answer says
/// that no test tells it apart here, with when it does.
pub fn told_apart(answer: &Answer, cause: &Cause) -> Option<(&'static str, &'static str)> {
    let is_alike = answer.alike_here().any(|g| g.causes.contains(&cause.id));
    let heading = match answer.danger {
        Danger::None if is_alike => "told apart, where it shows more plainly than here",
        Danger::None => "told apart",
        _ => "told apart, by the technician who puts it right",
    };
    (!cause.told_apart.is_empty()).then_some((heading, cause.told_apart))
}

/// What a fault's page says to do; beside a stop nothing of what is lit afterwards.
fn advice_of(fault: Fault, danger: Danger) -> String {
    let page = fault.entry().page();
    match danger {
        Danger::None => page.all_advice(),
        _ => page.advice.to_owned(),
    }
}

/// What to do about a cause, by its page.
pub fn action(answer: &Answer, cause: &Cause) -> String {
    let advice = |fault: Fault| lower(&advice_of(fault, answer.danger));
    match (cause.action, cause.faults.first()) {
        (Advice::Mend, Some(&fault)) => format!(
            "A qualified technician: {} ({}); otherwise shut off and refer",
            advice(fault),
            fault.entry().page().graded.advice.words()
        ),
        (Advice::Prove | Advice::Watch, Some(&fault)) => format!(
            "Not shown by what was read, all of which holds its limits: the next test comes first. Where that shows it, a qualified \
             technician: {}; otherwise shut off and refer",
            advice(fault)
        ),
        (Advice::Seek, Some(&fault)) => format!(
            "Not shown by what was read, and it would let gas out: leak fluid there before anything is lit ({}). Where that shows gas, a \
             qualified technician: {}; otherwise shut off and refer",
            unseen(cause).join(", "),
            advice(fault)
        ),
        (Advice::Watch | Advice::Prove | Advice::Seek, None) => {
            "Nothing is changed, and nothing is called right yet: make the next test".to_owned()
        }
        (Advice::LookInto, _) => {
            let left = cause.readings.iter().filter(|r| r.is_unexplained());
            let left: Vec<&str> = left.map(|r| r.words).collect();
            if left.is_empty() {
                return "Not right yet: with nothing wrong what is said above would not be so. Have that put right, and read again".to_owned();
            }
            format!(
                "Not right yet: with nothing wrong this would not be so ({}). Look again, and find out what makes it",
                left.join(", ")
            )
        }
        (Advice::LeaveShut, _) => {
            "What was read is not safe, whatever the cause: leave it shut off and refer".to_owned()
        }
        (Advice::Nothing, _) | (Advice::Mend, None) => "Nothing to mend by these readings; a smell, a hiss or a flame that is not right says otherwise"
            .to_owned(),
    }
}

/// Where a cause lets gas out and leak fluid has not been.
fn unseen(cause: &Cause) -> Vec<&'static str> {
    let is_place = |r: &&Prediction| ALL[r.item].choices() == Some(BUBBLES);
    let places = cause.readings.iter().filter(is_place);
    let unseen = places.filter(|r| r.measured.is_none() && r.expected >= 1.0);
    unseen.map(|r| r.words).collect()
}

/// Why a test is worth making.
pub fn reason(test: &NextTest) -> String {
    match (test.sought, &test.parts) {
        (Some(Sought::Smell), _) => "gas was smelled: this is where it shows".to_owned(),
        (Some(Sought::Escape), _) => {
            "what may be there would let gas out: before anything is lit".to_owned()
        }
        (Some(Sought::Supply), _) => {
            "tells whether the container gives too little, or where on the way it is lost"
                .to_owned()
        }
        (Some(Sought::Before), _) => {
            "it loses under load and locks up right: tells whether that is lost before the second stage"
                .to_owned()
        }
        (Some(Sought::Weak), _) => {
            "tells whether the container is chilled, nearly empty, or holds another fuel".to_owned()
        }
        (Some(Sought::Room), _) => {
            "tells whether there is any room left over the liquid, with the container shut".to_owned()
        }
        (None, Some(parts)) => tells(parts),
        (None, None) => "would narrow down the list".to_owned(),
    }
}

/// How much a test is worth, in a few words.
pub fn worth(test: &NextTest) -> &'static str {
    match test.sought {
        Some(_) => "comes first",
        None => parts_causes(test.bits),
    }
}

/// A test that takes longer is put in front of no other \[min\] (own): nobody drives up a hill before he has looked.
const SHORT_MIN: f64 = 30.0;

/// Tests worth making next that may be made under one condition.
#[derive(Debug)]
pub struct Offers<'a> {
    /// The condition; none where any of them may be made as the rig stands.
    pub heading: Option<&'static str>,
    /// What decides in front: the first that parts some of the causes, for its minutes, unless it takes long; then the rest as ranked, what takes long
    /// at the end.
    pub tests: Vec<&'a NextTest>,
}

fn decides(test: &NextTest) -> bool {
    test.sought.is_some() || (test.bits >= PARTS_SOME && test.minutes <= SHORT_MIN)
}

/// Where a test stands among those offered with it: what is asked for in front, then what decides, what takes long behind all that
/// does not.
fn place(test: &NextTest) -> (bool, bool, bool) {
    let is_long = test.minutes > SHORT_MIN;
    (test.sought.is_none(), !decides(test), is_long)
}

/// The tests worth making next, `most` of them, those that leave the container shut first where it is to stay shut. What was
/// read in part is worth no second visit to the gauge unless it decides; and where a stop stands and none decides, none is
/// worth making.
pub fn next(answer: &Answer, most: usize) -> Vec<Offers<'_>> {
    if answer.danger != Danger::None && !answer.next_tests.iter().any(decides) {
        return Vec::new();
    }
    // Nobody takes half an hour and more for what tells little.
    let tells_little = |t: &NextTest| t.minutes > SHORT_MIN && t.bits < PARTS_SOME;
    let worth = |t: &&NextTest| decides(t) || !(t.begun || tells_little(t));
    let mut left = most;
    let mut of = |offered: Offered| {
        let all = answer.next_tests.iter().filter(|t| t.offered == offered);
        let mut tests: Vec<&NextTest> = all.filter(worth).collect();
        tests.sort_by_key(|t| place(t));
        tests.truncate(left);
        left -= tests.len();
        let heading = heading(answer, offered);
        (!tests.is_empty()).then_some(Offers { heading, tests })
    };
    let both = [Offered::AsItStands, Offered::OncePutRight].map(&mut of);
    both.into_iter().flatten().collect()
}

/// Under what condition such tests are made.
fn heading(answer: &Answer, offered: Offered) -> Option<&'static str> {
    match (offered, answer.danger) {
        (Offered::AsItStands, Danger::None) => None,
        (Offered::AsItStands, _) => Some("With the container shut"),
        (Offered::OncePutRight, _) if is_only_expected(answer) => Some(
            "With the container open and nothing lit: for a qualified LP-gas technician, outdoors or with everything aired",
        ),
        (Offered::OncePutRight, _) => Some(
            "With the container open: only for a qualified LP-gas technician, outdoors or with everything aired, once what was found \
             has been put right",
        ),
    }
}

/// The first of them in a line, with its condition.
pub fn next_in_short(answer: &Answer) -> Option<String> {
    let offers = next(answer, 1);
    let offer = offers.first()?;
    let test = offer.tests.first()?;
    let when = offer.heading.map_or_else(String::new, |h| format!(". {h}"));
    Some(format!(
        "Next test: {} ({:.0} min, {}){when}",
        test_name(test),
        test.minutes,
        worth(test)
    ))
}

/// Whether one of these parts some of the causes.
pub fn any_decides(offers: &[Offers<'_>]) -> bool {
    offers.iter().flat_map(|o| &o.tests).any(|t| decides(t))
}

/// The name of a test that is offered, with what of it is left to be read, or may be.
pub fn test_name(test: &NextTest) -> String {
    let left = || {
        let words: Vec<&str> = test.gives.iter().map(|i| ALL[*i].words).collect();
        words.join(", ")
    };
    match test.offered {
        _ if test.begun => format!("{}, what is left of it: {}", test.words, left()),
        // What wants neither gas nor flame of a test that lights everything.
        Offered::AsItStands if (1..test.test.items().count()).contains(&test.gives.len()) => {
            format!("{}, with nothing lit: {}", test.words, left())
        }
        Offered::OncePutRight if test.gives.len() < test.test.items().count() => {
            format!("{}, no burner lit", test.words)
        }
        _ => test.words.to_owned(),
    }
}

/// The caution that stands at an offered test: each once in a list, at the first test that needs it.
pub fn caution_at<'a>(offers: &[Offers<'a>], test: &NextTest) -> Option<&'a str> {
    let all = || offers.iter().flat_map(|o| o.tests.iter().copied());
    let first = all().find(|t| t.caution == test.caution)?;
    (!first.caution.is_empty() && std::ptr::eq(first, test)).then_some(first.caution)
}

/// What a test tells apart.
pub fn tells([one, other]: &[String; 2]) -> String {
    format!("would tell {one} from {other}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::visit::Test;

    /// A reading inside what a cause foretells never speaks against it, however much better it fits others.
    #[test]
    fn a_reading_in_its_range_is_not_against() {
        let p = |measured: f64, off: f64, favour: f64| Prediction {
            item: 0,
            name: String::new(),
            words: "",
            measured: Some(measured),
            is_brought: false,
            is_over: false,
            expected: 11.0,
            range: [10.5, 11.5],
            favour,
            off,
        };
        assert_eq!(speaks(&p(11.2, 0.4, 2.0)), Speaks::For);
        assert_eq!(speaks(&p(11.2, 0.4, -2.0)), Speaks::ForOthers);
        assert_eq!(speaks(&p(13.0, 4.0, -2.0)), Speaks::Against);
        assert_eq!(speaks(&p(13.0, 4.0, 2.0)), Speaks::LeastOff);
        assert_eq!(speaks(&p(13.0, 4.0, 0.1)), Speaks::Neutral);
    }

    fn offered(test: Test, bits: f64, offered: Offered) -> NextTest {
        NextTest {
            test,
            words: test.words(),
            bits,
            minutes: test.minutes(),
            parts: None,
            caution: test.caution(),
            offered,
            gives: Vec::new(),
            begun: false,
            sought: None,
        }
    }

    /// Only the first test offered showed its caution: a leak check below it said no word of who fits the gauges.
    #[test]
    fn each_caution_stands_once_in_the_list() {
        let shut = Offered::AsItStands;
        let all = [
            offered(Test::LockUp, 0.3, shut),
            offered(Test::LeakCheck, 0.3, shut),
            offered(Test::FirstStage, 0.3, shut),
            offered(Test::FullLoad, 0.3, Offered::OncePutRight),
            offered(Test::FlowPressure, 0.3, Offered::OncePutRight),
        ];
        let offers: Vec<Offers<'_>> = [&all[..3], &all[3..]]
            .map(|tests| Offers {
                heading: None,
                tests: tests.iter().collect(),
            })
            .into();
        let told = all.each_ref().map(|t| caution_at(&offers, t).is_some());
        assert_eq!(told, [false, true, false, true, false]);
    }

    /// A climb may tell most a minute: where no test decides, it is still not what one begins with.
    #[test]
    fn nobody_drives_up_a_hill_first() {
        let shut = Offered::AsItStands;
        for bits in [0.5 * PARTS_SOME, 8.0 * PARTS_SOME] {
            let all = [
                offered(Test::Climb, bits, shut),
                offered(Test::Fill, 0.02, shut),
                offered(Test::Vent, 0.02, shut),
            ];
            let mut tests: Vec<&NextTest> = all.iter().collect();
            tests.sort_by_key(|t| place(t));
            let order: Vec<Test> = tests.iter().map(|t| t.test).collect();
            assert_eq!(order, [Test::Fill, Test::Vent, Test::Climb]);
        }
    }
}
