//! How a right regulator of another make, or set by another hand, reads otherwise than the one that was simulated. A rig that comes
//! in is of any make; what bench and trade let pass is no fault of it.
//!
//! Each way is one unknown of the rig: readings go along it together. Their sizes are what the trade's limits allow a right
//! regulator, which are taken as two deviations about what was simulated (common practice: 10.5 to 11.5 in w.c. at half load, up to half an inch
//! less with everything lit, a lock-up about 0.5 to 2 in w.c. higher, a first stage about 9 to 11 psi); that they lie evenly about it is our own.

use crate::diagnosis::inference::fit::Row;
use crate::units::{inwc_to_pa, psi_to_pa};
use crate::visit::{ALL, Id, Scale};

/// Set pressure of the second stage \[in w.c.\].
const SET: f64 = 0.2;
/// What the second stage loses from half to full load, and from half of the load to nearly none has more \[in w.c.\].
const FALL: f64 = 0.2;
/// What it has more when it locks up \[in w.c.\].
const RISE: f64 = 0.35;
/// Set pressure of the first stage \[psi\].
const FIRST: f64 = 0.5;
/// What the first stage loses from rest to full load \[psi\].
const FIRST_FALL: f64 = 0.3;

/// In how far a reading goes along each way: set, fall, rise; first stage's set, first stage's fall.
fn along(id: Id) -> [f64; 5] {
    use Id::{
        ClimbRest, FirstFull, FirstHalf, FlushOutlet, FullManifold, FullOutlet, LongOutlet,
        PilotsOutlet, RestCreep, RestMinute, RestPeak, WarmFull, WarmRest,
    };
    let low = |fall: f64, rise: f64| [SET, FALL * fall, RISE * rise, 0.0, 0.0];
    let first = |fall: f64| [0.0, 0.0, 0.0, FIRST, FIRST_FALL * fall];
    match (id.item().kind, id) {
        (_, FullOutlet | FullManifold | LongOutlet | WarmFull) => low(-1.0, 0.0),
        (_, PilotsOutlet) => low(0.5, 0.0),
        (_, RestPeak | RestMinute | RestCreep | FlushOutlet | WarmRest | ClimbRest) => {
            low(0.5, 1.0)
        }
        (_, FirstFull) => first(-1.0),
        (_, FirstHalf) => first(-0.5),
        (Scale::Low, _) => low(0.0, 0.0),
        (Scale::Middle, _) => first(0.0),
        _ => [0.0; 5],
    }
}

/// The ways, on the scaled axes about where a right regulator reads.
pub(in crate::diagnosis) fn ways() -> [Row; 5] {
    std::array::from_fn(|way| {
        std::array::from_fn(|i| {
            let by = along(ALL[i].id)[way];
            if way < 3 {
                inwc_to_pa(by)
            } else {
                psi_to_pa(by)
            }
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::service::LIMITS;
    use crate::units::{pa_to_inwc, pa_to_psi};

    /// Two deviations of every way stay within the bench's limits about the simulated regulator, and reach most of the way to them: what
    /// hands set (11.1 at half load, 10 psi) and its own fall and rise (0.3 and 0.9 in w.c.).
    #[test]
    fn two_deviations_are_what_the_limits_allow() {
        let [set, fall, rise, first, first_fall] = ways();
        let half = Id::HalfOutlet.index();
        let set = 2.0 * pa_to_inwc(set[half]);
        let flow = LIMITS.flow;
        assert!(11.1 + set <= pa_to_inwc(flow.high) + 0.01 && 11.1 - set >= pa_to_inwc(flow.low));
        assert_eq!(fall[half], 0.0);
        let full = Id::FullOutlet.index();
        let lost = 0.3 - 2.0 * pa_to_inwc(fall[full]);
        assert!((0.5..=1.0).contains(&lost), "{lost}");
        let rest = Id::RestMinute.index();
        let up = 0.9 + 2.0 * pa_to_inwc(rise[rest] + fall[rest]);
        let most = pa_to_inwc(LIMITS.lock_up.high) - 11.1;
        assert!((0.75 * most..=most).contains(&up), "{up} of {most}");
        let at_rest = Id::FirstRest.index();
        let first = 10.0 + 2.0 * pa_to_psi(first[at_rest]);
        assert!(first <= pa_to_psi(LIMITS.first_rest.high), "{first}");
        assert!(first_fall[at_rest] == 0.0 && first_fall[Id::FirstFull.index()] < 0.0);
    }
}
