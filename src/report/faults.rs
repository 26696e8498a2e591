//! The page of every fault: what the catalogue says of it, and what a technician's visit shows with
//! it and without, worked out by the simulation. `twostage faults --paper docs` writes it.

use super::letters::stopped;
use super::visit::{capital, outcome, test as in_words};
use crate::analysis::{Chart, Line};
use crate::fault::trade::{Claim, MIDDLING};
use crate::fault::{Entry, Family, Fault, Onset};
use crate::rig::{Kind, Rig, Site, presets};
use crate::scenario::{Action, Scenario};
use crate::service::TOLERANCE;
use crate::sim::Simulation;
use crate::solver::Method;
use crate::units::{System, ZERO_FAHRENHEIT_K, fixed, pa_to_inwc, pa_to_psi};
use crate::visit::{Bench, Id, Measure, Test, VisitError, VisitReport, prepare, run_through};
use std::fmt::Write as _;
use std::sync::Arc;

/// Severity of the pages.
const MEDIUM: f64 = MIDDLING;
/// What a gauge of the trade shows as a difference \[in w.c., psi\].
const TO_BE_SEEN: f64 = 0.15;
/// A draw longer than a visit, for what needs time \[min\], and the appliance that draws, about half load.
const LONG_MIN: f64 = 40.0;
const DRAWS: usize = 3;
/// Points of a line in a picture.
const POINTS: usize = 140;

/// The pages.
pub struct Pages {
    /// faults.md.
    pub text: String,
    /// Name and picture of each fault.
    pub pictures: Vec<(&'static str, String)>,
}

/// A rig that pages are made on.
#[derive(Clone, Copy, PartialEq)]
struct Setting {
    /// In words, as the head of a table.
    words: &'static str,
    air_f: f64,
    containers: usize,
    /// Whether the service side of a twin set stands shut.
    on_reserve: bool,
}

const MILD: Setting = Setting {
    words: "70 °F",
    air_f: 70.0,
    containers: 1,
    on_reserve: false,
};
const FROST: Setting = Setting {
    words: "20 °F",
    air_f: 20.0,
    ..MILD
};
const TWIN: Setting = Setting {
    words: "twin set, 70 °F",
    containers: 2,
    ..MILD
};
const RESERVE: Setting = Setting {
    words: "twin set on the reserve alone, 70 °F",
    on_reserve: true,
    ..TWIN
};

impl Setting {
    fn scenario(self) -> Scenario {
        let kinds = [
            Kind::Furnace,
            Kind::WaterHeater,
            Kind::Cooktop,
            Kind::OnDemandHeater,
        ];
        let air_k = ZERO_FAHRENHEIT_K + self.air_f / 1.8;
        // A preset by its own name, so it is there; an empty list would give an empty page.
        let container = presets::container("30 lb cylinder").into_iter();
        let containers = container.cycle().take(self.containers).collect();
        let rig = Rig::standard(containers, kinds.map(presets::appliance).to_vec());
        Scenario::at_rest("visit", rig, Site::calm(air_k, 0.0), 0.6, air_k)
    }

    /// Where a fault is looked at.
    fn of(fault: Fault) -> &'static [Self] {
        if !fault.acts_on(&MILD.scenario().rig) {
            &[RESERVE, TWIN]
        } else if fault.entry().onset == Onset::Weather {
            &[FROST]
        } else {
            &[MILD]
        }
    }

    /// At rest, with a fault or none.
    fn start(self, fault: Option<Fault>) -> Result<Simulation, VisitError> {
        let faults: Vec<_> = fault.into_iter().map(|f| (f, MEDIUM)).collect();
        let mut prepared = prepare(&self.scenario(), &faults);
        if self.on_reserve {
            prepared.valves_open[prepared.service_side] = false;
        }
        Ok(Simulation::start(
            Arc::new(prepared),
            Method::Stiff,
            TOLERANCE,
        )?)
    }

    fn visit(self, fault: Option<Fault>) -> Result<VisitReport, VisitError> {
        let mut sim = self.start(fault)?;
        let mut go_on = |_: &crate::visit::Progress| true;
        run_through(&mut Bench::new(&mut sim, &mut go_on))
    }

    /// Outlet over a long draw from rest, (minutes, in w.c.).
    fn long_draw(self, fault: Option<Fault>) -> Result<Vec<(f64, f64)>, VisitError> {
        let mut sim = self.start(fault)?;
        sim.act(&Action::Switch {
            appliance: DRAWS,
            on: true,
        });
        let every_s = 60.0 * LONG_MIN / POINTS as f64;
        let mut seen = Vec::with_capacity(POINTS);
        sim.advance(60.0 * LONG_MIN, Some(every_s), &mut |r| {
            seen.push((r.time_s / 60.0, pa_to_inwc(r.outlet_pa)));
        })?;
        Ok(seen)
    }
}

/// A setting with nothing wrong.
struct Healthy {
    at: Setting,
    visit: VisitReport,
    draw: Vec<(f64, f64)>,
}

impl Healthy {
    fn at(at: Setting) -> Result<Self, VisitError> {
        Ok(Self {
            at,
            visit: at.visit(None)?,
            draw: at.long_draw(None)?,
        })
    }

    /// What a visit here shows of a fault, and its picture; whether there was anything to see.
    fn show(&self, fault: Fault) -> Result<(String, String, bool), VisitError> {
        let (at, e) = (self.at, fault.entry());
        let with = at.visit(Some(fault))?;
        let rows = differences(&at.scenario().rig, &self.visit, &with);
        if !rows.is_empty() {
            let shown = format!(
                "| {} | healthy | with it |\n|---|---|---|\n{rows}",
                at.words
            );
            let drawn = picture(e, "minutes of the visit", trace(&with), trace(&self.visit));
            return Ok((shown, drawn, true));
        }
        let mut shown = format!("{}: this visit shows nothing of it.\n", capital(at.words));
        let slow = at.long_draw(Some(fault))?;
        Ok(if let Some(words) = late(&slow, &self.draw) {
            let _ = writeln!(shown, "{words}");
            let drawn = picture(e, "minutes of the draw", slow, self.draw.clone());
            (shown, drawn, true)
        } else {
            let drawn = picture(e, "minutes of the visit", trace(&with), trace(&self.visit));
            (shown, drawn, false)
        })
    }
}

/// Makes the pages: one visit without and one with each fault, in each setting that it is looked at in.
///
/// # Errors
/// [`VisitError`] if a visit fails.
pub fn fault_pages() -> Result<Pages, VisitError> {
    let mut healthy: Vec<Healthy> = Vec::new();
    let mut text = HEAD.to_owned();
    let mut pictures = Vec::new();
    for family in Family::ALL {
        let _ = writeln!(text, "\n## {}\n", capital(family.words()));
        for fault in Fault::all().filter(|f| f.entry().family == family) {
            let mut tables = Vec::new();
            let mut drawn: Option<(String, bool)> = None;
            for &at in Setting::of(fault) {
                if !healthy.iter().any(|h| h.at == at) {
                    healthy.push(Healthy::at(at)?);
                }
                let Some(here) = healthy.iter().find(|h| h.at == at) else {
                    continue;
                };
                let (shown, picture, seen) = here.show(fault)?;
                tables.push(shown);
                // The first that shows it is the one to draw.
                if drawn.as_ref().is_none_or(|(_, before)| seen && !before) {
                    drawn = Some((picture, seen));
                }
            }
            page(&mut text, fault, &tables.join("\n"));
            pictures.extend(drawn.map(|(picture, _)| (fault.id(), picture)));
        }
    }
    text.push_str(DISAGREE);
    Ok(Pages { text, pictures })
}

const HEAD: &str = "# Faults

Made by `twostage faults --paper docs` from the catalogue and the simulation. Each fault changes a
part of the rig, never a reading; what follows comes out of the equations. The tables and pictures
are a technician's visit (leak check, half load, full load, half load again, lock-up, creep) on a
30 lb cylinder and four appliances of 89,000 Btu/h together, at severity 0.5 and 70 °F (20 °F for
what waits for frost), against the same visit on a healthy rig. Dashed lines are the healthy rig.
What only a changeover can have is looked at on a twin set of two such cylinders, with the service side
shut so that the reserve must feed, and with both open.

Only a qualified LP-gas technician opens, sets or replaces a regulator. A simulator is no permit
and no instrument.
";

const DISAGREE: &str = "
## Where the model and the trade disagree

What a page says a fault shows, and what tells it from its look-alikes, is run by tests/signatures; each sentence has
its grade. These are the places where the model says something else or something more than the trade, and why.

* **A sealed vent is not \"high at every load by the same amount\".** Sealed 1,000 ft lower down it reads some 16 in w.c.
  over at rest, 5 over at half load and next to nothing over at full load: as the diaphragm comes down for a load it
  stretches the trapped air.
* **A bent lever does not fall more to full load.** It reads low all round like a weak spring; no reading of a visit parts
  the two.
* **A starved supply shows by what drops out.** Sparked burners give up at 5 to 6 in w.c., and with their load the
  gauges come back: gauges read only after the load is off show nothing.

* **A restricted vent is not \"normal when steady\" with everything off.** The overshoot of a
  burner going off has nowhere to go when nothing draws: the outlet stays up to an inch high at 3 %
  of the vent until the first draw. With a pilot's draw it is gone within minutes, as the trade says.
* **A sealed vent takes the relief away.** The relief lies in the diaphragm and feels the difference
  across it. With trapped air above, outlet and case rise together: in the model the outlet stands
  at over 25 in w.c. and the relief stays shut.
* **A torn diaphragm reads a little low, then high, then is not held at all.** The spring opens the
  seat as gas is lost, so a small tear does not lower the flow pressure; at rest it holds the seat off
  and the outlet stays half an inch under lock-up. From some 2 mm² gas lifts the pressure in the spring
  case and the stage opens further; a rip leaves no pressure across the diaphragm, the rush shuts the
  valve at the container, and the outlet stands at an inch or two.
* **Grit creeps, it does not gush.** Rubber closes round a grain; what is left beside it is about
  the square of its size. A gap of 20 µm all round would take the outlet to the relief in a second;
  a grain of 75 µm takes most of a minute, which is what is seen.
* **A leak between container and regulator fails the leak check.** Under the set pressure every seat
  is open, so the low side sees all of it up to the container valve.
* **0.80 in w.c. per °F is for a rigid space.** At 9 in w.c. the second diaphragm of this regulator
  floats between its stops and gives like two litres of pipe: only about half of the correction is
  left. The leak check here corrects by what the make of regulator leaves (p A²/k against the pipe).
* **A nicked second seat hardly feels the container.** What slips past goes with the absolute pressure
  before the seat: before the first that is the container's, so hot gas climbs several times as fast as
  cold; before the second it is the first-stage pressure, which the container hardly moves.
* **Oil does not get worse with cold.** The residue raises friction and the force that seals by its
  mass alone; cold adds the rubber's own stiffness, not the oil's. The trade finds oily regulators worse
  in winter and with a near-empty container: the model has neither.
* **The excess-flow valve at the container shields the relief.** With the lever off at 98 psig the relief would
  stand at 28.7 in w.c.; the valve takes the rush for a broken hose at once, and its bleed alone
  keeps the outlet at 24.0.
* **First-stage faults show little at the outlet.** Container pressure on the second seat raises
  lock-up by about an inch through the jet on the seat; the first-stage tap tells at once.
";

/// Rows of a page: what, test, figure, in psi instead of in w.c.
const ROWS: [(&str, Test, Measure, bool); 11] = [
    (
        "flow pressure, half load",
        Test::FlowPressure,
        Measure::Read(Id::HalfOutlet),
        false,
    ),
    (
        "full load",
        Test::FullLoad,
        Measure::Read(Id::FullOutlet),
        false,
    ),
    (
        "manifold at full load",
        Test::FullLoad,
        Measure::Read(Id::FullManifold),
        false,
    ),
    (
        "half load from above less from below",
        Test::LoadUpDown,
        Measure::Band,
        false,
    ),
    (
        "highest as burners go off",
        Test::LockUp,
        Measure::Peak,
        false,
    ),
    ("lock-up", Test::LockUp, Measure::LockUp, false),
    (
        "climb in five minutes more",
        Test::Creep,
        Measure::Climb,
        false,
    ),
    (
        "first stage at rest",
        Test::FirstStage,
        Measure::FirstAtRest,
        true,
    ),
    (
        "first stage flowing",
        Test::FirstStage,
        Measure::FirstFlowing,
        true,
    ),
    (
        "inlet at rest",
        Test::FirstStage,
        Measure::InletAtRest,
        true,
    ),
    (
        "inlet flowing",
        Test::FirstStage,
        Measure::InletFlowing,
        true,
    ),
];

/// Rows of what a visit reads otherwise than on a healthy rig, by more than a gauge's doubt.
fn differences(rig: &Rig, without: &VisitReport, with: &VisitReport) -> String {
    let mut rows = String::new();
    for (what, test, figure, psi) in ROWS {
        let read = |r: &VisitReport| {
            let pa = r.figure(test, figure)?;
            Some(if psi { pa_to_psi(pa) } else { pa_to_inwc(pa) })
        };
        let (a, b) = (read(without), read(with));
        let alike = match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() < TO_BE_SEEN,
            (a, b) => a == b,
        };
        if alike {
            continue;
        }
        let unit = if psi { "psig" } else { "in w.c." };
        let show =
            |v: Option<f64>| v.map_or("not read".to_owned(), |v| format!("{} {unit}", fixed(v, 1)));
        let _ = writeln!(rows, "| {what} | {} | {} |", show(a), show(b));
    }
    for test in [Test::LeakCheck, Test::Vent] {
        let words = |r: &VisitReport| {
            r.test(test).map_or_else(String::new, |t| {
                format!("{}: {}", outcome(t), in_words(t, rig, System::Us))
            })
        };
        let (a, b) = (words(without), words(with));
        if a != b {
            let _ = writeln!(rows, "| {} | {a} | {b} |", test.words());
        }
    }
    if let Some(full) = with.test(Test::FullLoad).filter(|t| !t.unlit.is_empty()) {
        let unlit: Vec<&str> = full
            .unlit
            .iter()
            .filter_map(|i| rig.appliances.get(*i))
            .map(|a| a.name.as_str())
            .collect();
        let _ = writeln!(
            rows,
            "| burners | all burn | {} would not burn |",
            unlit.join(", ")
        );
    }
    rows
}

/// When a long draw parts from the healthy one so that it is seen, and where it is furthest off; `None` where it does
/// not.
fn late(with: &[(f64, f64)], without: &[(f64, f64)]) -> Option<String> {
    let pairs = || with.iter().zip(without);
    let gap = |p: &(&(f64, f64), &(f64, f64))| (p.0.1 - p.1.1).abs();
    let first = pairs().find(|p| gap(p) >= TO_BE_SEEN)?;
    let most = pairs().max_by(|a, b| gap(a).total_cmp(&gap(b)))?;
    Some(format!(
        "\nIt needs time: with the on-demand heater alone the outlet parts from the healthy one after {:.0} minutes; \
         after {:.0} it stands furthest from it, at {} in w.c., healthy {}. The picture shows that draw.",
        first.0.0,
        most.0.0,
        fixed(most.0.1, 1),
        fixed(most.1.1, 1)
    ))
}

fn page(out: &mut String, fault: Fault, shown: &str) {
    let e = fault.entry();
    let graded = e.page().graded;
    let _ = writeln!(out, "### {} (`{}`)\n", e.name, e.id);
    let _ = writeln!(out, "{}\n", e.words);
    let _ = writeln!(
        out,
        "Severity 0.5: {} Comes {}.\n",
        stopped(&(e.meaning)(MEDIUM, System::Us)),
        onset(e.onset)
    );
    let _ = writeln!(
        out,
        "![{} on the gauges](pictures/faults/{}.svg)\n",
        e.name, e.id
    );
    out.push_str(shown);
    let _ = writeln!(
        out,
        "\nTold apart: {} ({}).\n",
        e.told_apart.trim_end_matches('.'),
        graded.told_apart.words()
    );
    for line in claim_lines(e).lines() {
        let _ = writeln!(out, "* {line}");
    }
    let _ = writeln!(
        out,
        "\nA qualified technician: {} ({}).\n",
        e.page().all_advice(),
        graded.advice.words()
    );
    if fault.strikes_a_side() {
        let _ = writeln!(
            out,
            "Strikes a side of a twin set: `{0}.left`, `{0}.right`.\n",
            e.id
        );
    }
    let links: Vec<String> = e
        .look_alikes
        .iter()
        .filter_map(|id| Fault::named(id))
        .map(|f| format!("{} (`{}`)", f.entry().name, f.id()))
        .collect();
    let _ = writeln!(out, "Looks like: {}.\n", links.join("; "));
    let _ = writeln!(
        out,
        "Caution: {} ({}).\n",
        e.caution.trim_end_matches('.'),
        graded.caution.words()
    );
}

fn onset(onset: Onset) -> &'static str {
    match onset {
        Onset::Sudden => "all at once",
        Onset::Gradual => "over minutes or hours",
        Onset::Weather => "with weather and temperature",
        Onset::Wear => "with cycles and age",
    }
}

/// What a visit shows of a fault, from its claims: against a healthy rig, then against each look-alike, each at the
/// severity that it holds at.
pub fn claim_lines(e: &Entry) -> String {
    let mut out = String::new();
    let page = e.page();
    let said = |versus: Option<&str>, severity: f64| {
        let is_one = |c: &&Claim| c.versus == versus && c.severity.total_cmp(&severity).is_eq();
        let of = page.claims.iter().filter(is_one);
        let words = of.map(|c| format!("{} ({})", c.words(), c.grade.words()));
        words.collect::<Vec<_>>().join("; ")
    };
    let mut severities: Vec<f64> = page.claims.iter().map(|c| c.severity).collect();
    severities.sort_by(f64::total_cmp);
    severities.dedup_by(|a, b| a.total_cmp(b).is_eq());
    for &severity in &severities {
        let own = said(None, severity);
        if !own.is_empty() {
            let _ = writeln!(
                out,
                "Shows at severity {severity:.1} ({}), against a healthy rig: {own}.",
                (e.meaning)(severity, System::Us)
            );
        }
    }
    for other in e.look_alikes {
        let name = Fault::named(other).map_or("", |f| f.entry().name);
        for &severity in &severities {
            let words = said(Some(other), severity);
            if !words.is_empty() {
                let _ = writeln!(
                    out,
                    "From {name} (`{other}`), both at severity {severity:.1}: {words}."
                );
            }
        }
        if page.otherwise.contains(other) {
            let _ = writeln!(
                out,
                "From {name} (`{other}`): no statement of one reading is made here, for how bad either is, and on which part, \
                 decides it; what tells them apart stands above."
            );
        }
    }
    out
}

/// Outlet with the fault, and dashed without.
fn picture(
    e: &Entry,
    along: &str,
    with: impl IntoIterator<Item = (f64, f64)>,
    without: impl IntoIterator<Item = (f64, f64)>,
) -> String {
    let mut chart = Chart::new(e.name, along, "outlet, in w.c.");
    let with = Line::solid("with it".to_owned(), with.into_iter());
    chart.lines.push(with);
    chart.lines.push(Line::dashed(without.into_iter()));
    chart.svg()
}

/// The outlet from flow pressure to creep, thinned.
fn trace(report: &VisitReport) -> impl Iterator<Item = (f64, f64)> {
    let points: Vec<(f64, f64)> = report
        .tests
        .iter()
        .filter(|t| !matches!(t.test, Test::LeakCheck | Test::Vent))
        .flat_map(|t| &t.trace)
        .map(|p| (p.time_s / 60.0, pa_to_inwc(p.outlet_pa)))
        .collect();
    let start = points.first().map_or(0.0, |p| p.0);
    let step = (points.len() / POINTS).max(1);
    let last = points.len().saturating_sub(1);
    points
        .into_iter()
        .enumerate()
        .filter(move |(k, _)| k % step == 0 || *k == last)
        .map(move |(_, (t, p))| (t - start, p))
}
