//! The cubic inside a step of a one-step method. Not here: steps.

/// The cubic that has the states and slopes of both ends of a step.
pub(super) struct Hermite<'h> {
    pub(super) from: f64,
    pub(super) step: f64,
    pub(super) before: &'h [f64],
    pub(super) after: &'h [f64],
    pub(super) slope_before: &'h [f64],
    pub(super) slope_after: &'h [f64],
}

impl Hermite<'_> {
    pub(super) fn at(&self, tau: f64, out: &mut [f64]) {
        let s = (tau - self.from) / self.step;
        let r = 1.0 - s;
        for (i, out) in out.iter_mut().enumerate() {
            let (a, b) = (self.before[i], self.after[i]);
            let rise = b - a;
            let bend_before = self.step * self.slope_before[i] - rise;
            let bend_after = rise - self.step * self.slope_after[i];
            *out = a + s * rise + s * r * (r * bend_before + s * bend_after);
        }
    }
}
