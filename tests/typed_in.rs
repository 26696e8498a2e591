//! Readings as a technician of some years types them in, and what is told of them: nothing that fails is left out, nothing is told in
//! two ways, and what was seen by the eye comes before what a list of causes says of it. The numbers are the trade's (common practice).

use std::sync::LazyLock;
use twostage::diagnosis::answer::{Answer, Cause};
use twostage::diagnosis::files::readings::Readings;
use twostage::diagnosis::inference::next::Sought;
use twostage::diagnosis::inference::safety::{Danger, Reason};
use twostage::diagnosis::library::standard::standard_rig;
use twostage::diagnosis::store::{Prepared, built_in};
use twostage::report::causes::{
    Speaks, action, caution, next, notes, says_something, seen, speaks, unnamed,
};
use twostage::units::System;
use twostage::visit::{ALL, Id, Item, Test};

static PREPARED: LazyLock<Prepared> = LazyLock::new(|| {
    let library = built_in(&standard_rig()).expect("a library of this model");
    Prepared::from_library(library).expect("a likelihood")
});

fn of(text: &str) -> (Answer, String) {
    let readings = Readings::parse("typed.toml", text).unwrap_or_else(|e| panic!("{e}"));
    let answer = PREPARED.answer(&readings);
    let said = notes(&answer, System::Us, false).join("\n");
    (answer, said)
}

/// The tests that are offered, in their order.
fn offered(answer: &Answer) -> Vec<Test> {
    let offers = next(answer, 3);
    let tests = offers.iter().flat_map(|o| &o.tests);
    tests.map(|t| t.test).collect()
}

fn belief(answer: &Answer, ids: &[&str]) -> f64 {
    let is = |c: &&Cause| ids.contains(&c.id.as_str());
    answer.causes.iter().filter(is).map(|c| c.probability).sum()
}

/// Six things fail here: all of them are told, what is dangerous before what only starves a burner, and none as allowed.
#[test]
fn everything_that_fails_is_told_and_the_dangerous_first() {
    let (_, said) = of(
        "[half_load]\noutlet = \"9.8 inwc\"\n[full_load]\noutlet = \"8.5 inwc\"\nmanifold = \"7.0 inwc\"\n\
         [lock_up]\nafter_minute = \"13.4 inwc\"\nafter_creep = \"13.5 inwc\"\n[first_stage]\nafter_creep = \"18 psi\"\n",
    );
    let at = |words: &str| {
        said.find(words)
            .unwrap_or_else(|| panic!("{words}: {said}"))
    };
    let dangerous = ["first stage at rest five minutes later 18.0"];
    let others = [
        "fall from half load",
        "drop to the manifold",
        "outlet at half load 9.8",
        "outlet at full load 8.5",
    ];
    let last = dangerous.map(at).into_iter().max();
    assert!(last < others.map(at).into_iter().min(), "{said}");
    let watched = said.find("to be watched").expect("something");
    assert!(at("lock-up five minutes later 13.5") > watched, "{said}");
}

/// One number has one verdict: what stands at 13.9 a minute and five minutes after is to be watched both times; what has climbed there
/// fails by its climb.
#[test]
fn a_lock_up_is_judged_alike_wherever_it_is_read() {
    let (_, said) = of("[lock_up]\nafter_minute = \"13.9 inwc\"\nafter_creep = \"13.9 inwc\"\n");
    assert!(
        said.contains("to be watched: lock-up after a minute 13.9")
            && said.contains("lock-up five minutes later 13.9"),
        "{said}"
    );
    assert!(!said.contains("fails"), "{said}");
    let (_, said) = of("[lock_up]\nafter_minute = \"12.1 inwc\"\nafter_creep = \"13.9 inwc\"\n");
    assert!(said.contains("fails: climb at rest +1.8"), "{said}");
}

/// What the bench fails by the eye fails here too.
#[test]
fn what_is_seen_to_be_shut_fails_as_on_the_bench() {
    let (answer, said) = of(
        "[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"12.0 inwc\"\n[seen]\nvent_looks = \"blocked\"\n",
    );
    assert!(
        said.contains("fails: look of the second vent: blocked"),
        "{said}"
    );
    assert!(said.contains("the container stays shut"), "{said}");
    let healthy = answer.causes.iter().find(|c| c.faults.is_empty());
    assert!(healthy.is_none_or(|c| !action(&answer, c).contains("Nothing to mend")));
}

/// A full container, next to nothing behind it and all flames out: what lies between them, and no regulator that would have been heard.
#[test]
fn what_is_lost_before_the_regulator_is_no_regulators() {
    let (answer, _) = of(
        "[site]\nair = \"70 degF\"\n[container]\npressure = \"110 psi\"\n[full_load]\noutlet = \"0.5 inwc\"\ninlet = \"2 psi\"\n\
         [vent]\nsecond_flowing = \"none\"\n[seen]\nflames = \"out\"\nvalve = \"opens fully\"\nhose = \"straight\"\n",
    );
    let on_the_way = ["excess_flow_tripped", "hose_bored_down", "hose_kinked"];
    assert!(belief(&answer, &on_the_way) > 0.5, "{:?}", answer.groups);
    let (answer, _) = of(
        "[site]\nair = \"60 degF\"\n[container]\npressure = \"92 psi\"\n[half_load]\noutlet = \"11.0 inwc\"\n\
         [full_load]\noutlet = \"6.0 inwc\"\ninlet = \"4 psi\"\n[seen]\nhose = \"kinked\"\n",
    );
    assert!(belief(&answer, &on_the_way) > 0.5, "{:?}", answer.groups);
    // What an eye has seen is there: it stands first, or is told before what does.
    let is_first = answer.causes[0].id == "hose_kinked";
    let told = seen(&answer).is_some_and(|w| w.contains("kinked. Put that right first"));
    assert!(is_first || told, "{:?}", answer.groups);
}

/// Where the supply gives too little and nobody has looked where, that look comes first; and what the regulator then reads is no riddle.
#[test]
fn a_supply_that_is_too_little_is_looked_for() {
    let (answer, _) = of(
        "[site]\nair = \"70 degF\"\n[half_load]\noutlet = \"11.2 inwc\"\n[full_load]\noutlet = \"5.2 inwc\"\ninlet = \"0.2 psi\"\n[seen]\nflames = \"out\"\n",
    );
    assert_eq!(offered(&answer)[..2], [Test::Container, Test::Look]);
    let (answer, said) = of(
        "[told]\ncomplaint = \"weak flames\"\n[site]\nair = \"12 degF\"\n[container]\npressure = \"9 psi\"\nfill = \"10 %\"\n\
         [full_load]\noutlet = \"6.5 inwc\"\n[seen]\nflames = \"low\"\nfrost_on_container = \"yes\"\n",
    );
    assert!(said.contains("chilled by what was drawn"), "{said}");
    assert!(unnamed(&answer).is_none_or(|w| w.contains("too little all the same")));
}

/// Over 83 % by weight is overfilled, whatever else there is (derived): a cold container and fine pressures do not change that.
#[test]
fn a_weighed_container_that_is_too_full_is_named() {
    for (air, psi, fill) in [
        ("20 degF", 45, 90),
        ("20 degF", 45, 93),
        ("60 degF", 92, 93),
    ] {
        let (answer, _) = of(&format!(
            "[site]\nair = \"{air}\"\n[container]\npressure = \"{psi} psi\"\nfill = \"{fill} %\"\n[leak_check]\nchange = \"0 inwc\"\n\
             [half_load]\noutlet = \"11.0 inwc\"\n[lock_up]\nafter_minute = \"11.9 inwc\"\n"
        ));
        assert_eq!(answer.danger, Danger::ShutOff);
        assert_eq!(
            answer.causes[0].id, "container_overfilled",
            "{air} {fill}: {:?}",
            answer.groups
        );
    }
}

/// Gas that was smelled asks for leak fluid first, however tight the low side was; and once it was everywhere it does not.
#[test]
fn a_smell_asks_for_leak_fluid_before_all_else() {
    let text = "[told]\ncomplaint = \"smell of gas\"\n[leak_check]\nchange = \"0 inwc\"\n[half_load]\noutlet = \"11.0 inwc\"\n\
                [lock_up]\nafter_minute = \"11.9 inwc\"\n";
    let (answer, said) = of(text);
    assert_eq!(offered(&answer)[..2], [Test::Joints, Test::Vent]);
    assert!(said.contains("the pigtail before all"), "{said}");
    let none = |table: &str, keys: &[&str]| {
        let lines: Vec<String> = keys.iter().map(|k| format!("{k} = \"none\"\n")).collect();
        format!("[{table}]\n{}", lines.concat())
    };
    let vents = [
        "first_at_rest",
        "first_flowing",
        "second_at_rest",
        "second_flowing",
    ];
    let (answer, _) = of(&format!(
        "{text}{}{}",
        none("leak_fluid", &["pigtail", "low_side", "burner"]),
        none("vent", &vents)
    ));
    assert!(
        answer
            .next_tests
            .iter()
            .all(|t| t.sought != Some(Sought::Smell))
    );
}

/// One appliance that goes out beside right pressures: the catalogue has a few of an appliance's own causes, and says so.
#[test]
fn an_appliances_own_causes_are_told_of() {
    let (_, said) = of(
        "[told]\ncomplaint = \"an appliance goes out\"\n[half_load]\noutlet = \"11.1 inwc\"\n[full_load]\noutlet = \"10.9 inwc\"\n\
         [lock_up]\nafter_minute = \"11.8 inwc\"\n[seen]\nodd_one = \"one goes out\"\n",
    );
    assert!(
        said.contains("high-limit") && said.contains("of this list alone"),
        "{said}"
    );
    let (_, said) =
        of("[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"13.8 inwc\"\n");
    assert!(!said.contains("high-limit"), "{said}");
}

/// A hum is no fault by itself, and no sign that nothing known is there (own: no cause of the catalogue hums).
#[test]
fn what_no_cause_shows_weighs_nothing() {
    let rest = "[half_load]\noutlet = \"11.0 inwc\"\n[full_load]\noutlet = \"10.8 inwc\"\n[lock_up]\nafter_minute = \"11.9 inwc\"\n";
    let (hums, said) = of(&format!("{rest}[heard]\nflowing = \"hum\"\n"));
    let (quiet, _) = of(rest);
    assert!((hums.none_of_these - quiet.none_of_these).abs() < 1e-6);
    assert!(said.contains("by itself it is no fault"), "{said}");
}

/// A leak check's small loss, and one that began elsewhere, are remarked on; words that people use are taken.
#[test]
fn what_was_done_otherwise_is_remarked_on() {
    let of_leak = |line: &str| of(&format!("[leak_check]\n{line}\n")).1;
    assert!(of_leak("change = \"-0.1 inwc\"").contains("repeat it for ten"));
    assert!(!of_leak("change = \"0 inwc\"").contains("repeat it for ten"));
    let high = of_leak("change = \"0 inwc\"\nbegan_at = \"25 inwc\"");
    assert!(high.contains("seats are shut"), "{high}");
    assert!(!of_leak("change = \"0 inwc\"\nbegan_at = \"8 inwc\"").contains("began at"));
    let (answer, _) =
        of("[told]\ncomplaint = \"nothing lights\"\n[lock_up]\nafter_minute = \"11.9 inwc\"\n");
    assert!(answer.refer.is_empty());
}

/// Over the limit at once and a minute after: both are told, for the one came through and the other stands.
#[test]
fn what_stands_over_the_limit_is_told_beside_its_peak() {
    let (answer, _) = of(
        "[half_load]\noutlet = \"11.0 inwc\"\n[lock_up]\nat_once = \"15.5 inwc\"\nafter_minute = \"15.3 inwc\"\n",
    );
    for id in [Id::RestPeak, Id::RestMinute] {
        assert!(
            answer.refer.contains(&Reason::Over(id)),
            "{:?}",
            answer.refer
        );
    }
}

/// Beside carbon monoxide nobody thinks of the next season, nor of half an hour with an air pump that tells little.
#[test]
fn beside_carbon_monoxide_nothing_is_told_of_the_season() {
    let (answer, _) = of(
        "[told]\ncomplaint = \"headaches\"\n[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"12.0 inwc\"\n",
    );
    let healthy = answer
        .causes
        .iter()
        .find(|c| c.faults.is_empty())
        .expect("likeliest");
    assert!(!healthy.caution.contains("season"));
    let offers = next(&answer, 9);
    assert!(
        offers
            .iter()
            .flat_map(|o| &o.tests)
            .all(|t| t.test != Test::NewPiping)
    );
}

/// What a guess would be is no fact, and a reading that says nothing takes no line.
#[test]
fn a_guess_is_told_as_one() {
    let (answer, _) = of("[half_load]\noutlet = \"11 inwc\"\n");
    for c in answer.causes.iter().filter(|c| !c.faults.is_empty()) {
        assert_eq!(caution(c).0 == "caution", c.probability >= 0.5, "{}", c.id);
        for r in c.readings.iter().filter(|r| speaks(r) == Speaks::Neutral) {
            assert!(!says_something(r));
        }
    }
}

/// The paper's table of keys has every item that a file may hold, by its words.
#[test]
fn the_paper_has_every_key() {
    let paper = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/diagnosis.md");
    let paper = std::fs::read_to_string(paper).expect("a paper");
    let row = |item: &Item| format!("| `{}.{}` |", item.table, item.key);
    let missing: Vec<String> = ALL.iter().map(row).filter(|r| !paper.contains(r)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

/// Gas that is seen or heard is never a word that weighs nothing, whatever few visits show it; a hum, which no cause makes, is.
#[test]
fn gas_that_is_seen_or_heard_always_weighs() {
    let right = "[half_load]\noutlet = \"11.1 inwc\"\n[lock_up]\nafter_minute = \"12.0 inwc\"\n[leak_check]\nchange = \"0 inwc\"\n";
    let unknown = |more: &str| of(&format!("{right}{more}")).0.unknown.len();
    for joint in ["pigtail", "low_side", "burner"] {
        for bubbles in ["slow", "steady", "blown away"] {
            let told = format!("[leak_fluid]\n{joint} = \"{bubbles}\"\n");
            assert_eq!(unknown(&told), 0, "{told}");
        }
    }
    for sound in ["hiss", "roar"] {
        let told = format!("[heard]\nflowing = \"{sound}\"\n");
        assert_eq!(unknown(&told), 0, "{told}");
    }
    assert_eq!(unknown("[heard]\nflowing = \"hum\"\n"), 1);
}

/// A right regulator is of any make and set by any hand: what holds the trade's limits in every reading (10.5 to 11.5 in w.c. at half load, up to
/// an inch less with everything lit, a lock-up up to 13.2: common practice) is first of all a rig with nothing wrong. Of 27 such visits, from
/// well inside to near the edge of what is usual, none is sure to be anything else, and in nine of ten "nothing wrong" comes first.
#[test]
fn what_holds_every_limit_is_nothing_wrong() {
    let mut first = 0;
    for (half, fall, rise) in
        each_with_each(&[10.7, 11.0, 11.3], &[0.2, 0.4, 0.6], &[0.6, 1.0, 1.5])
    {
        let (full, rest) = (half - fall, half + rise);
        let text = format!(
            "[site]\nair = \"70 degF\"\n[half_load]\noutlet = \"{half:.1} inwc\"\n[full_load]\noutlet = \"{full:.1} inwc\"\n\
             [lock_up]\nafter_minute = \"{rest:.1} inwc\"\nafter_creep = \"{rest:.1} inwc\"\n[leak_check]\nchange = \"0 inwc\"\n\
             [seen]\nflames = \"normal\"\nodd_one = \"none\"\nvent_looks = \"clear\"\n"
        );
        let (answer, _) = of(&text);
        let is_first = answer.groups[0].causes == ["healthy"];
        first += usize::from(is_first);
        assert!(
            is_first || answer.groups[0].probability < 0.6,
            "{half} {full} {rest}: {:?}",
            answer.groups[0]
        );
        assert!(belief(&answer, &["healthy"]) > 0.1, "{half} {full} {rest}");
    }
    assert!(first >= 25, "{first} of 27");
}

/// Every one of three lists with every other.
fn each_with_each(a: &[f64], b: &[f64], c: &[f64]) -> Vec<(f64, f64, f64)> {
    let mut out = Vec::new();
    for &x in a {
        for &y in b {
            out.extend(c.iter().map(|&z| (x, y, z)));
        }
    }
    out
}
