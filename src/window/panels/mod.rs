//! The small panels beside the picture: burners, containers, site, and every number by name.

pub(super) mod burners;
pub(super) mod numbers;
pub(super) mod site;
pub(super) mod supply;
