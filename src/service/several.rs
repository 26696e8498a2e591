//! Several appliances of a rig, by their places: what is so of more than one of them is told in one line.

use crate::rig::MAX_APPLIANCES;

/// Some of a rig's appliances.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Several {
    places: u16,
}

const _: () = assert!(MAX_APPLIANCES <= 16);

impl Several {
    /// One alone.
    pub fn one(appliance: usize) -> Self {
        let mut out = Self::default();
        out.add(appliance);
        out
    }

    /// Takes one in.
    pub fn add(&mut self, appliance: usize) {
        if appliance < MAX_APPLIANCES {
            self.places |= 1 << appliance;
        }
    }

    /// Whether it is one of them.
    pub fn has(self, appliance: usize) -> bool {
        appliance < MAX_APPLIANCES && self.places >> appliance & 1 == 1
    }

    /// Whether none is.
    pub fn is_empty(self) -> bool {
        self.places == 0
    }

    /// How many they are.
    pub fn count(self) -> usize {
        self.places.count_ones() as usize
    }

    /// Their places, in the order of the rig.
    pub fn places(self) -> impl Iterator<Item = usize> {
        (0..MAX_APPLIANCES).filter(move |i| self.has(*i))
    }
}
