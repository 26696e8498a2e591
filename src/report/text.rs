//! The summary in words and columns, for a terminal: what a technician reads at a glance.

use super::summary::{Burner, ContainerSummary, Extremes, OutBefore, ShutIn, Steady, Summary};
use crate::rig::Phase;
use crate::rig::Rig;
use crate::scenario::Scenario;
use crate::service::{LIMITS, Limit};
use crate::sim::{Mark, Noted};
use crate::solver::Work;
use crate::units::{
    DEG_C, DEG_F, KG_PER_LB, System, Unit, W_PER_BTU_PER_H, fixed, number_in, pa_to_inwc,
    pa_to_psi, plain,
};
use crate::visit::Verdict;
use std::fmt::Write as _;

/// Events told at most; beyond that the routine ones are left out.
const MOST_EVENTS: usize = 40;

/// The whole summary.
pub fn summary(
    scenario: &Scenario,
    s: &Summary,
    work: &Work,
    solver: &str,
    marks: &[Mark],
    system: System,
) -> String {
    let words = Words { system };
    let mut out = format!("{}\n", plain(&scenario.title));
    let names: Vec<String> = scenario
        .rig
        .appliances
        .iter()
        .map(|a| plain(&a.name))
        .collect();
    let containers = match scenario.rig.containers.len() {
        1 => "one container".to_owned(),
        n => format!("{n} containers"),
    };
    let _ = writeln!(
        out,
        "{}, {containers}, {} connected: {}\n",
        duration(s.time_s),
        words.power(s.connected_w),
        if names.is_empty() {
            "no appliance".to_owned()
        } else {
            names.join(", ")
        }
    );
    words.pressures(&mut out, s);
    words.supply(&mut out, s);
    words.burners(&mut out, s, scenario.run.settle_s);
    words.fuel(&mut out, s, work, solver);
    events(&mut out, &scenario.rig, marks, s.time_s);
    out
}

struct Words {
    system: System,
}

impl Words {
    /// A low pressure: in w.c. and psi, or kPa.
    fn low(&self, pa: f64) -> String {
        match self.system {
            System::Us => format!(
                "{} in w.c. ({} psi)",
                fixed(pa_to_inwc(pa), 2),
                fixed(pa_to_psi(pa), 3)
            ),
            System::Si => format!("{} kPa", fixed(pa / 1e3, 3)),
        }
    }

    /// A limit's number, short.
    fn bound(&self, pa: f64) -> String {
        match self.system {
            System::Us => {
                let inwc = (pa_to_inwc(pa) * 100.0).round() / 100.0;
                format!("{inwc}")
            }
            System::Si => fixed(pa / 1e3, 2),
        }
    }

    fn unit(&self) -> &'static str {
        match self.system {
            System::Us => "in w.c.",
            System::Si => "kPa",
        }
    }

    fn low_range(&self, steady: &Steady) -> String {
        if self.bound(steady.low_pa) == self.bound(steady.high_pa) {
            return self.low(steady.high_pa);
        }
        match self.system {
            System::Us => format!(
                "{} to {} in w.c. ({} to {} psi)",
                fixed(pa_to_inwc(steady.low_pa), 2),
                fixed(pa_to_inwc(steady.high_pa), 2),
                fixed(pa_to_psi(steady.low_pa), 3),
                fixed(pa_to_psi(steady.high_pa), 3)
            ),
            System::Si => format!(
                "{} to {} kPa",
                fixed(steady.low_pa / 1e3, 3),
                fixed(steady.high_pa / 1e3, 3)
            ),
        }
    }

    /// A high pressure: psig or kPa.
    fn high(&self, pa: f64) -> String {
        match self.system {
            System::Us => fixed(pa_to_psi(pa), 1) + " psig",
            System::Si => fixed(pa / 1e3, 1) + " kPa",
        }
    }

    fn high_range(&self, e: &Extremes) -> String {
        match self.system {
            System::Us => format!(
                "{} to {} psig",
                fixed(pa_to_psi(e.low), 1),
                fixed(pa_to_psi(e.high), 1)
            ),
            System::Si => format!(
                "{} to {} kPa",
                fixed(e.low / 1e3, 1),
                fixed(e.high / 1e3, 1)
            ),
        }
    }

    fn temperature(&self, k: f64) -> String {
        let unit: &Unit = match self.system {
            System::Us => &DEG_F,
            System::Si => &DEG_C,
        };
        format!("{} {}", number_in(k, unit), unit.screen)
    }

    fn power(&self, w: f64) -> String {
        match self.system {
            System::Us => format!("{} Btu/h", fixed(w / W_PER_BTU_PER_H, 0)),
            System::Si => format!("{} kW", fixed(w / 1e3, 1)),
        }
    }

    fn mass(&self, kg: f64) -> String {
        match self.system {
            System::Us => format!("{:.3} lb", kg / KG_PER_LB),
            System::Si => format!("{kg:.3} kg"),
        }
    }

    fn pressures(&self, out: &mut String, s: &Summary) {
        let mut line = |name: &str, reading: &str, verdict: Option<Verdict>, limit: &str| {
            let _ = writeln!(out, "{}", cells(name, reading, said(verdict), limit));
        };
        let mut beside: Vec<(&str, String)> = Vec::new();
        for (name, steady, at_rest) in [
            ("half load", &s.half_load, false),
            ("full load", &s.full_load, false),
            ("lock-up", &s.lock_up, true),
        ] {
            if let Some(words) = steady.as_ref().and_then(|x| self.beside(x, at_rest)) {
                beside.push((name, words));
            }
        }
        let seen = |steady: &Option<Steady>, else_say: &str| {
            steady
                .as_ref()
                .map_or_else(|| else_say.to_owned(), |steady| self.low_range(steady))
        };
        line(
            "Flow, half load",
            &seen(&s.half_load, "no steady half load in this run"),
            s.verdicts.half_load,
            &self.between(&LIMITS.flow),
        );
        line(
            "Flow, full load",
            &seen(&s.full_load, "no steady full load in this run"),
            s.verdicts.full_load,
            &format!(
                "{} to {} ({}); at most {} lower ({})",
                self.bound(LIMITS.under_load.low),
                self.bound(LIMITS.under_load.high),
                LIMITS.under_load.grade.words(),
                self.bound(LIMITS.fall_caution.high),
                LIMITS.fall_caution.grade.words()
            ),
        );
        line(
            "Lock-up",
            &seen(
                &s.lock_up,
                if s.shut_in.is_some() {
                    "shut in all the while"
                } else if s.always_burned {
                    "something always burned"
                } else {
                    "no steady rest in this run"
                },
            ),
            s.verdicts.lock_up,
            &format!(
                "{} to {}, caution to {} ({})",
                self.bound(LIMITS.flow.low),
                self.bound(LIMITS.lock_up.high),
                self.bound(LIMITS.lock_up_caution.high),
                LIMITS.lock_up.grade.words()
            ),
        );
        for (name, words) in beside {
            let _ = writeln!(out, "{}at {name}: {words}", indent());
        }
        // What stands over its limit where it was shut in too is the seat's, and the verdict tells it.
        let by_place = |gas: &&ShutIn| LIMITS.lock_up.holds(gas.there_pa);
        if let Some(gas) = s.shut_in.as_ref().filter(by_place) {
            let _ = writeln!(
                out,
                "{}shut in, then warmed or gone higher: {}, {} where it was shut in; no lock-up:\n{}bleed a little, let it lock up again, read again",
                indent(),
                self.low(gas.high_pa),
                self.low(gas.there_pa),
                indent()
            );
        }
        let mut line = |name: &str, reading: &str, verdict: Option<&str>, limit: &str| {
            let verdict = verdict.unwrap_or("not seen");
            let _ = writeln!(out, "{}", cells(name, reading, verdict, limit));
        };
        line(
            "Highest in piping",
            &self.low(s.manifold_pa.high),
            s.verdicts.highest.map(kept),
            &format!(
                "to {} ({}: {})",
                self.bound(LIMITS.lock_up_caution.high),
                LIMITS.lock_up_caution.grade.words(),
                before_colon(LIMITS.lock_up_caution.source)
            ),
        );
        if s.over_highest_s > 0.0 {
            let _ = writeln!(
                out,
                "{}over it for {} in all",
                indent(),
                duration(s.over_highest_s)
            );
        }
        if s.relief_s > 0.0 {
            let _ = writeln!(
                out,
                "{}the relief discharged for {}",
                indent(),
                duration(s.relief_s)
            );
        }
        let extremes = format!(
            "lowest {} at {}, highest {} at {}",
            self.low(s.outlet_pa.low),
            clock(s.outlet_pa.low_at_s, s.time_s),
            self.low(s.outlet_pa.high),
            clock(s.outlet_pa.high_at_s, s.time_s)
        );
        let _ = writeln!(out, "{:<19}{extremes}", "Outlet");
        let _ = writeln!(out, "{:<19}{} at the end", "", self.low(s.outlet_end_pa));
    }

    /// What stood beside a steady reading and keeps it from passing; none where nothing did.
    fn beside(&self, x: &Steady, at_rest: bool) -> Option<String> {
        let mut out = Vec::new();
        if x.escapes_kg_per_s > 0.0 {
            out.push(format!(
                "{} gets out unburned",
                self.mass_flow(x.escapes_kg_per_s)
            ));
        }
        if !at_rest && x.unlit > 0 {
            let burners = if x.unlit == 1 { "burner" } else { "burners" };
            out.push(format!("{} {burners} without a flame", x.unlit));
        }
        let first = if at_rest {
            &LIMITS.first_rest
        } else {
            &LIMITS.first
        };
        if first.is_passed_by(x.first_high_pa) {
            out.push(format!("first stage {}", self.high(x.first_high_pa)));
        } else if first.is_missed_by(x.first_low_pa) {
            out.push(format!("first stage {}", self.high(x.first_low_pa)));
        }
        if !at_rest && LIMITS.pipe_drop.is_passed_by(x.line_loses_pa) {
            out.push(format!(
                "the line to the burners loses {}, over {}",
                self.low(x.line_loses_pa),
                self.bound(LIMITS.pipe_drop.high)
            ));
        }
        (!out.is_empty()).then(|| out.join("; "))
    }

    fn mass_flow(&self, kg_per_s: f64) -> String {
        match self.system {
            System::Us => format!("{} lb/h", fixed(3600.0 * kg_per_s / KG_PER_LB, 3)),
            System::Si => format!("{} g/h", fixed(3.6e6 * kg_per_s, 1)),
        }
    }

    fn between(&self, limit: &Limit) -> String {
        format!(
            "{} to {} {} ({})",
            self.bound(limit.low),
            self.bound(limit.high),
            self.unit(),
            limit.grade.words()
        )
    }

    fn supply(&self, out: &mut String, s: &Summary) {
        let first = &LIMITS.first;
        let limit = format!(
            "{} to {} ({})",
            number_of(&self.high(first.low)),
            self.high(first.high),
            first.grade.words()
        );
        let reading = self.high_range(&s.first_stage_pa);
        let verdict = said(s.verdicts.first_stage);
        let _ = writeln!(out, "{}", cells("First stage", &reading, verdict, &limit));
        let highest_pa = s.first_stage_pa.high;
        if first.is_passed_by(highest_pa) {
            let danger = if LIMITS.first_danger.is_passed_by(highest_pa) {
                format!(
                    ": over {} nothing is lit, and the container is shut",
                    self.high(LIMITS.first_danger.high)
                )
            } else {
                String::new()
            };
            let at = clock(s.first_stage_pa.high_at_s, s.time_s);
            let _ = writeln!(out, "{}highest at {at}{danger}", indent());
        }
        for (i, c) in s.containers.iter().enumerate() {
            let name = if s.containers.len() > 1 {
                format!("Container {}", i + 1)
            } else {
                "Container".to_owned()
            };
            let _ = writeln!(
                out,
                "{name:<19}{}, {} at the end; liquid {} to {}; {:.1} to {:.1} % full",
                self.high_range(&c.pressure_pa),
                self.high(c.end_pa),
                self.temperature(c.temperature_k.low),
                self.temperature(c.temperature_k.high),
                100.0 * c.fill_start,
                100.0 * c.fill_end
            );
            let _ = writeln!(out, "{}", fill(c));
        }
        if let Some(t_s) = s.reserve_from_s {
            let _ = writeln!(
                out,
                "{:<19}the reserve side came in at {}",
                "Changeover",
                clock(t_s, s.time_s)
            );
        }
        let mut body = format!(
            "{} to {}",
            self.temperature(s.body_k.low),
            self.temperature(s.body_k.high)
        );
        if s.ice_most > 0.005 {
            let _ = write!(
                body,
                "; ice over {} of the first orifice",
                super::percent::percent(s.ice_most)
            );
        }
        let _ = writeln!(out, "{:<19}{body}\n", "Body");
    }

    /// Why a burner was locked out before the run began; that was while the rig came to rest, over `settle_s`.
    fn out_before(&self, why: OutBefore, settle_s: f64) -> String {
        let at = |pa: f64| format!("{} at its inlet", self.low(pa));
        let why = match why {
            OutBefore::NoSupply => "no container was open".to_owned(),
            OutBefore::InletLow(pa) => format!("too little gas pressure, {}", at(pa)),
            OutBefore::InletHigh(pa) => format!("too much gas pressure, {}", at(pa)),
            OutBefore::NoFlame(pa) => format!(
                "no flame was seen at a right pressure, {}: air in the gas, igniter or flame sensor",
                at(pa)
            ),
        };
        format!(
            "on, and locked out before the start, in the {} in which the rig came to rest: {why}",
            duration(settle_s)
        )
    }

    fn burners(&self, out: &mut String, s: &Summary, settle_s: f64) {
        let burners = &s.burners;
        for burner in burners {
            let _ = writeln!(out, "{:<19}{}", plain(&burner.name), life(burner));
            if let Some(why) = burner.out_before {
                let _ = writeln!(out, "{}{}", indent(), self.out_before(why, settle_s));
            }
        }
        if !burners.is_empty() {
            out.push('\n');
        }
    }

    fn fuel(&self, out: &mut String, s: &Summary, work: &Work, solver: &str) {
        let _ = writeln!(
            out,
            "{:<19}{} burned, {} {}",
            "Fuel",
            self.mass(s.burned_kg),
            self.mass(s.lost_kg.abs()),
            // Under the air's pressure what comes in through an opening is air.
            if s.lost_kg < 0.0 {
                "of air drawn in"
            } else {
                "lost unburned"
            }
        );
        let _ = writeln!(
            out,
            "{:<19}right to {:.0e} of the fuel drawn",
            "Mass balance", s.balance_error
        );
        let _ = writeln!(
            out,
            "{:<19}{:.1} kJ taken in, {:.1} kJ carried off by vapor; right to {:.0e} of it",
            "Heat balance",
            1e-3 * s.taken_in_j,
            1e-3 * s.carried_off_j,
            s.energy_error
        );
        let _ = writeln!(
            out,
            "{:<19}{solver}: {} steps, {} rejected, {} evaluations, {} fallbacks",
            "Solver", work.steps, work.rejected_steps, work.derivative_calls, work.fallbacks
        );
    }
}

/// The names of a source, without what it says.
fn before_colon(source: &str) -> &str {
    source.split(':').next().unwrap_or(source)
}

fn indent() -> String {
    " ".repeat(19)
}

/// Name, reading, verdict and limit under each other.
fn cells(name: &str, reading: &str, verdict: &str, limit: &str) -> String {
    format!("{name:<19}{reading:<46}{verdict:<10}{limit}")
}

/// What a container is filled to, held against the limit of the code: what heat makes of a lawful fill is no overfilling.
fn fill(c: &ContainerSummary) -> String {
    let share = |v: f64| fixed(100.0 * v, 1);
    let (low, high) = (share(c.fill_cold.low), share(c.fill_cold.high));
    let reading = if low == high {
        format!("{high} % filled, its liquid taken as at 40 °F")
    } else {
        format!("{low} to {high} % filled, its liquid at 40 °F")
    };
    let limit = format!(
        "{} to {} %, caution to {} ({}: {})",
        fixed(100.0 * LIMITS.fill_least.low, 0),
        fixed(100.0 * LIMITS.fill.high, 0),
        fixed(100.0 * LIMITS.fill_caution.high, 0),
        LIMITS.fill.grade.words(),
        before_colon(LIMITS.fill.source)
    );
    cells("", &reading, said(c.fill_verdict()), &limit)
}

/// A burner's life in words.
fn life(b: &Burner) -> String {
    let times = |n: usize| match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    };
    let mut parts = Vec::new();
    if b.lit > 0 {
        parts.push(format!("lit {}", times(b.lit)));
    }
    if b.burned_s > 0.0 {
        parts.push(format!("burned {}", duration(b.burned_s)));
    }
    if b.lost > 0 {
        parts.push(format!("FLAME LOST {}", times(b.lost)));
    }
    if b.locked_out > 0 {
        parts.push(format!("LOCKED OUT {}", times(b.locked_out)));
    }
    parts.push(
        match b.phase {
            Phase::Off => "off at the end",
            Phase::Satisfied => "satisfied at the end",
            Phase::Purge => "purging at the end",
            Phase::Trial => "trying to light at the end",
            Phase::Burning => "burning at the end",
            Phase::Waiting => "waiting to try again at the end",
            Phase::OpenUnlit => "GAS OPEN AND UNLIT at the end",
            Phase::LockedOut => "locked out at the end",
        }
        .to_owned(),
    );
    parts.join(", ")
}

/// Whether an event is daily life and may be left out of a long list.
fn is_routine(mark: &Mark) -> bool {
    use crate::rig::Happening::{Calls, Lit, PilotLit, Satisfied};
    matches!(
        mark.what,
        Noted::Happened(Calls(_) | Lit(_) | PilotLit(_) | Satisfied(_))
    )
}

fn events(out: &mut String, rig: &Rig, marks: &[Mark], end_s: f64) {
    if marks.is_empty() {
        return;
    }
    let all = marks.len() <= MOST_EVENTS;
    let told: Vec<&Mark> = marks
        .iter()
        .filter(|mark| all || !is_routine(mark))
        .take(MOST_EVENTS)
        .collect();
    out.push('\n');
    for mark in &told {
        let _ = writeln!(
            out,
            "{:>10}  {}",
            clock(mark.time_s, end_s),
            plain(&super::record::mark(mark, rig))
        );
    }
    if told.len() < marks.len() {
        let _ = writeln!(
            out,
            "{:>10}  {} more, all of them with --json",
            "",
            marks.len() - told.len()
        );
    }
}

/// A length of time in words.
pub fn duration(s: f64) -> String {
    if s < 9.95 {
        format!("{s:.1} s")
    } else if s < 120.0 {
        format!("{s:.0} s")
    } else if s < 7200.0 {
        format!("{:.1} min", s / 60.0)
    } else {
        format!("{:.1} h", s / 3600.0)
    }
}

/// A moment of a run as minutes and seconds, hours where the run has them.
pub fn clock(t_s: f64, end_s: f64) -> String {
    if end_s < 3600.0 {
        let tenths = (t_s * 10.0).round();
        let minutes = (tenths / 600.0).floor();
        format!("{minutes:.0}:{:04.1}", (tenths - 600.0 * minutes) / 10.0)
    } else {
        let whole = t_s.round();
        let hours = (whole / 3600.0).floor();
        let minutes = ((whole - 3600.0 * hours) / 60.0).floor();
        let seconds = whole - 3600.0 * hours - 60.0 * minutes;
        format!("{hours:.0}:{minutes:02.0}:{seconds:02.0}")
    }
}

/// The number of a reading without its unit.
fn number_of(reading: &str) -> &str {
    reading.split(' ').next().unwrap_or(reading)
}

/// What is so of a limit that holds at every moment: no test of the regulator passes by it.
fn kept(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "kept",
        Verdict::Caution => "caution",
        Verdict::Fail => "FAIL",
    }
}

/// A verdict in a word or two; loud where a limit is not kept.
fn said(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        None => "not seen",
        Some(Verdict::Pass) => "pass",
        Some(Verdict::Caution) => "caution",
        Some(Verdict::Fail) => "FAIL",
    }
}
