//! A person's skill in general and in each family of faults, from what became of the drills they tried.
//!
//! As in the ratings of chess players (Elo 1978, published) a chance of success follows from skill less difficulty; on the
//! logistic scale it is `p = 1 / (1 + exp(-(s - d)))` (Rasch 1960, published). Skill is `s = g + f`: one in general
//! and one for the family, as Pelanek 2016 keeps them for subjects of a school (memory). What is known of it is a normal
//! distribution with a variance, as in Glickman 1999 (published), so that the first results move it far and later ones
//! little. All of a person's skills are one vector with one covariance matrix `P`; a result `y` (1 or 0) of a drill with the
//! loads `x` changes it by one step of Newton's method at the old mean, with `w = p (1 - p)`:
//!
//! ```text
//! v = x' P x + var(d)      m <- m + P x (y - p) / (1 + w v)      P <- P - (P x)(P x)' w / (1 + w v)
//! ```
//!
//! The chance that is told counts what is not known: `p = logistic((m'x - d) / sqrt(1 + pi v / 8))` (`MacKay` 1992,
//! published). Where a drill's difficulty starts is computed ([`difficulty`]); results move it too.
//!
//! Range: finite for all finite arguments; `P` stays positive, since each step takes less than the whole of `(P x)(P x)'/v`.

use crate::drill::Drill;
use crate::fault::Family;

/// Skills of a person: in general, then by family.
const SKILLS: usize = 1 + Family::ALL.len();
/// Spread of people's general skill and of what families differ by, on the logistic scale (own: at a drill that the middle
/// of a class solves half the time, its best sixth solves three of four and more).
const GENERAL_SD: f64 = 1.2;
const FAMILY_SD: f64 = 0.5;
/// How far a computed difficulty may be off (own).
const DRILL_SD: f64 = 0.5;
/// The score of a drill that a person of middling skill solves half the time, and what a step of one on the logistic scale
/// is of it (own: the middle and the width of level 3, see `Difficulty::level`).
const MIDDLE_SCORE: f64 = 35.0;
const SCORE_STEP: f64 = 8.0;
/// Most that a drill can differ from the middle one.
const FARTHEST: f64 = 3.0;

fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + (-x).exp())
}

/// How hard a drill is, on the logistic scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hardness {
    /// What is thought.
    pub mean: f64,
    /// Variance of it.
    pub var: f64,
}

/// Where a drill's difficulty starts: from what was worked out when it was sealed; the middle where nothing was.
pub fn difficulty(drill: &Drill) -> Hardness {
    let score = drill
        .worked
        .as_ref()
        .map_or(MIDDLE_SCORE, |w| w.difficulty.score());
    of_score(score)
}

/// The same from the score itself.
pub fn of_score(score: f64) -> Hardness {
    Hardness {
        mean: ((score - MIDDLE_SCORE) / SCORE_STEP).clamp(-FARTHEST, FARTHEST),
        var: DRILL_SD * DRILL_SD,
    }
}

/// The families of a drill's faults, each once, in the catalogue's order. A drill without a fault has none.
pub fn families(drill: &Drill) -> Vec<Family> {
    let has = |f: &Family| drill.faults.iter().any(|h| h.fault.entry().family == *f);
    Family::ALL.into_iter().filter(has).collect()
}

/// What is known of a person's skill.
#[derive(Debug, Clone, PartialEq)]
pub struct Skill {
    mean: [f64; SKILLS],
    cov: [[f64; SKILLS]; SKILLS],
    /// Results so far.
    pub results: usize,
}

impl Skill {
    /// Of somebody of whom nothing is known, in a class whose middle is there on the logistic scale.
    pub fn unknown(level: f64) -> Self {
        let mut cov = [[0.0; SKILLS]; SKILLS];
        for (i, row) in cov.iter_mut().enumerate() {
            let sd = if i == 0 { GENERAL_SD } else { FAMILY_SD };
            row[i] = sd * sd;
        }
        let mut mean = [0.0; SKILLS];
        mean[0] = level;
        Self {
            mean,
            cov,
            results: 0,
        }
    }
}

/// How much each skill counts in a drill of these families.
fn loads(families: &[Family]) -> [f64; SKILLS] {
    let mut x = [0.0; SKILLS];
    x[0] = 1.0;
    for family in families {
        if let Some(i) = Family::ALL.iter().position(|f| f == family) {
            x[1 + i] = 1.0 / families.len() as f64;
        }
    }
    x
}

impl Skill {
    /// `P x`.
    fn spread(&self, x: &[f64; SKILLS]) -> [f64; SKILLS] {
        let mut out = [0.0; SKILLS];
        for (o, row) in out.iter_mut().zip(&self.cov) {
            *o = dot(row, x);
        }
        out
    }

    /// `x' P x`; most of `x` is 0.
    fn variance(&self, x: &[f64; SKILLS]) -> f64 {
        let loaded = || x.iter().enumerate().filter(|(_, x)| **x != 0.0);
        let row = |i: usize| loaded().map(|(j, x)| self.cov[i][j] * x).sum::<f64>();
        loaded().map(|(i, x)| x * row(i)).sum()
    }

    /// The chance that the person succeeds at a drill of these families.
    pub fn chance(&self, families: &[Family], hard: Hardness) -> f64 {
        let x = loads(families);
        let v = self.variance(&x) + hard.var;
        logistic((dot(&self.mean, &x) - hard.mean) / (1.0 + std::f64::consts::PI * v / 8.0).sqrt())
    }

    /// Takes in a result, into the skill and into what is known of the drill.
    pub fn take_in(&mut self, families: &[Family], hard: &mut Hardness, success: bool) {
        let x = loads(families);
        let spread = self.spread(&x);
        let v = dot(&x, &spread) + hard.var;
        let p = logistic(dot(&self.mean, &x) - hard.mean);
        let w = p * (1.0 - p);
        let step = (f64::from(u8::from(success)) - p) / (1.0 + w * v);
        let shrink = w / (1.0 + w * v);
        for (i, s) in spread.iter().enumerate() {
            self.mean[i] += s * step;
            for (c, t) in self.cov[i].iter_mut().zip(&spread) {
                *c -= s * t * shrink;
            }
        }
        hard.mean -= hard.var * step;
        hard.var -= hard.var * hard.var * shrink;
        self.results += 1;
    }

    /// Skill over all families alike, on the logistic scale, and its standard deviation.
    pub fn overall(&self) -> (f64, f64) {
        let x = loads(&Family::ALL);
        (dot(&self.mean, &x), self.variance(&x).max(0.0).sqrt())
    }

    /// Skill in one family, and its standard deviation.
    pub fn in_family(&self, family: Family) -> (f64, f64) {
        let x = loads(&[family]);
        (dot(&self.mean, &x), self.variance(&x).max(0.0).sqrt())
    }
}

/// What became of a drill that somebody tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outcome {
    /// Place of the person.
    pub who: usize,
    /// Place of the drill.
    pub item: usize,
    /// Whether it was a success.
    pub success: bool,
}

/// A drill to be rated by.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Families of its faults.
    pub families: Vec<Family>,
    /// How hard it is.
    pub hard: Hardness,
}

/// A class with its drills, rated.
#[derive(Debug, Clone, PartialEq)]
pub struct Rated {
    /// Skills of its people.
    pub skills: Vec<Skill>,
    /// Its drills with the difficulty that results have moved.
    pub items: Vec<Item>,
}

/// Times the middle of the class is worked out anew.
const PASSES: usize = 6;

/// Rates so many people by what became of these drills, in order. What nothing is known of somebody is taken to be
/// is the middle of the class, which is that of all their skills as rated (empirical Bayes: Efron and Morris 1975,
/// published): so a strong or a weak class is met after few drills each.
pub fn rate(people: usize, items: &[Item], outcomes: &[Outcome]) -> Rated {
    let mut level = 0.0;
    let mut out = pass(people, items, outcomes, level);
    for _ in 1..PASSES {
        let tried: Vec<f64> = out
            .skills
            .iter()
            .filter(|s| s.results > 0)
            .map(|s| s.mean[0])
            .collect();
        if tried.is_empty() {
            break;
        }
        // One more who stands in the middle of all classes, so that one person alone is no class.
        level = tried.iter().sum::<f64>() / (tried.len() + 1) as f64;
        out = pass(people, items, outcomes, level);
    }
    out
}

fn pass(people: usize, items: &[Item], outcomes: &[Outcome], level: f64) -> Rated {
    let mut out = Rated {
        skills: vec![Skill::unknown(level); people],
        items: items.to_vec(),
    };
    for o in outcomes {
        if let (Some(skill), Some(item)) = (out.skills.get_mut(o.who), out.items.get_mut(o.item)) {
            skill.take_in(&item.families, &mut item.hard, o.success);
        }
    }
    out
}

fn dot(a: &[f64; SKILLS], b: &[f64; SKILLS]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_move_it_the_right_way_and_less_and_less() {
        let hard = of_score(MIDDLE_SCORE);
        let mut skill = Skill::unknown(0.0);
        assert!((skill.chance(&[Family::Vent], hard) - 0.5).abs() < 1e-12);
        let (mut last, mut moved) = (skill.overall().0, f64::INFINITY);
        for _ in 0..8 {
            skill.take_in(&[Family::Vent], &mut hard.clone(), true);
            let now = skill.overall().0;
            assert!(now > last && now - last < moved);
            (moved, last) = (now - last, now);
        }
        // What was shown of one family speaks more of that one than of another.
        assert!(skill.in_family(Family::Vent).0 > skill.in_family(Family::Seat).0);
        assert!(skill.in_family(Family::Seat).0 > 0.0);
        assert!(skill.in_family(Family::Vent).1 < skill.in_family(Family::Seat).1);
    }

    #[test]
    fn one_result_is_that_of_the_integral() {
        // The posterior mean of a normal prior and a logistic likelihood by the trapezium rule over eight deviations.
        let var: f64 = GENERAL_SD * GENERAL_SD + FAMILY_SD * FAMILY_SD;
        let (mut mass, mut first) = (0.0, 0.0);
        for i in -8000..=8000 {
            let s = f64::from(i) * var.sqrt() / 1000.0;
            let p = (-0.5 * s * s / var).exp() * logistic(s - 0.5);
            mass += p;
            first += p * s;
        }
        let mut skill = Skill::unknown(0.0);
        let mut hard = Hardness {
            mean: 0.5,
            var: 0.0,
        };
        skill.take_in(&[Family::Seat], &mut hard, true);
        let ours = skill.in_family(Family::Seat).0;
        assert!(
            (ours - first / mass).abs() < 0.06,
            "{ours} and {}",
            first / mass
        );
        assert_eq!(hard.mean, 0.5, "what is known for certain is not moved");
    }

    #[test]
    fn it_stays_finite_whatever_comes() {
        let mut skill = Skill::unknown(0.0);
        for n in 0..5000 {
            let mut hard = of_score(if n % 2 == 0 { -1e9 } else { 1e9 });
            skill.take_in(&[Family::ALL[n % Family::ALL.len()]], &mut hard, n % 2 == 1);
        }
        assert!(skill.mean.iter().all(|m| m.is_finite()));
        assert!((0..SKILLS).all(|i| skill.cov[i][i] >= 0.0));
        assert!((0.0..=1.0).contains(&skill.chance(&[], of_score(1e9))));
    }
}
